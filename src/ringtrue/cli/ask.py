"""Questions at the terminal; the same answers can be piped in, a line each."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeVar

from ringtrue.errors import InputRefused

Answer = TypeVar("Answer")

YES = ("yes", "y")
NO = ("no", "n")
STOP = ("stop", "quit", "exit")
UNREADABLE = "\ufffd"
"""Stands for a sign that is not of the terminal's alphabet."""


class NoMoreAnswers(Exception):
    """The person types stop or closes the input, or the piped answers ran out."""


def ask(prompt: str) -> str:
    """
    Ask for one line; ask again for one that cannot be read.

    Parameters
    ----------
    prompt : str
        The question.

    Returns
    -------
    str
        The answer without surrounding blanks.

    Raises
    ------
    NoMoreAnswers
        There is no more input, or the answer is stop.
    """
    while UNREADABLE in (answer := _line(prompt)):
        print("  ! Some signs of that cannot be read. Type it again, in plain letters and digits.")
    if answer.casefold() in STOP:
        raise NoMoreAnswers
    return answer


def _line(prompt: str) -> str:
    sys.stdout.write(f"{prompt} ")
    sys.stdout.flush()
    try:
        answer = input() if sys.stdin.isatty() else sys.stdin.readline()
    except (EOFError, ValueError):
        raise NoMoreAnswers from None
    if not sys.stdin.isatty():
        if not answer:
            raise NoMoreAnswers
        # Piped answers are shown, so that the output reads like the conversation it was.
        print(answer.rstrip("\r\n"))
    return answer.strip()


def ask_until(prompt: str, read: Callable[[str], Answer]) -> Answer:
    """
    Ask until the answer can be used; say each time what was wrong with it.

    Parameters
    ----------
    prompt : str
        The question.
    read : callable
        Turns the answer into a value, or raises InputRefused.

    Returns
    -------
    object
        The value.
    """
    while True:
        try:
            return read(ask(prompt))
        except InputRefused as error:
            print(f"  {error}")


def ask_yes(prompt: str) -> bool:
    """
    Ask yes or no.

    Parameters
    ----------
    prompt : str
        The question.

    Returns
    -------
    bool
        True for yes.

    Raises
    ------
    NoMoreAnswers
        There is no more input.
    """
    return ask_until(prompt, _yes)


def _yes(answer: str) -> bool:
    if answer.casefold() in YES:
        return True
    if answer.casefold() in NO:
        return False
    raise InputRefused.of(f"read “{answer}”", "this is yes or no", "type yes or no")
