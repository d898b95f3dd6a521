"""What the command line is told, told on a page: no option and no command of a terminal stands in a page's sentence."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ringtrue.errors import Fault

_BRACKET = re.compile(r" \([^()]*--[a-z][^()]*\)")
_PART = re.compile(r"(?:;|,(?: or)?)\s*[^;,]*(?:--[a-z][a-z-]*|\bringtrue [a-z]+)[^;,]*")
"""A part of a sentence that names an option or a command."""
_WHOLE = re.compile(r"--[a-z]|\bringtrue [a-z]+|`")
_GIVEN_AS = re.compile(r" and give it as --[a-z-]+ or in the test file")
_OPTION = re.compile(r"^--([a-z][a-z-]*)\s*")
_CONFIRM = re.compile(r"(?:;|, or)? ?say --confirm-unit if (?:it is|the figures are) meant(?: as (?:it is|they are))?")
_SENTENCE = re.compile(r"(?<=[.!?]) (?=[A-Z])")
INSTEAD = "put it right here, and send it again"
"""What is said where a message has nothing else to offer than the command line."""


def on_a_page(fault: Fault) -> Fault:
    """
    Tell a fault as a page does.

    Parameters
    ----------
    fault : Fault
        As the command line tells it.

    Returns
    -------
    Fault
        The same without options and commands of a terminal.
    """
    given = _OPTION.sub("", fault.given)
    instead = without_options(_CONFIRM.sub("", fault.instead))
    return replace(fault, given=given, why=without_options(fault.why), instead=instead or INSTEAD)


def without_options(text: str) -> str:
    """
    Leave out of sentences what is typed at a terminal alone.

    Parameters
    ----------
    text : str
        Sentences.

    Returns
    -------
    str
        Without the parts that name an option or a command; empty where nothing else is said.

    Examples
    --------
    >>> without_options("type 1.5 or 15, or say --decimal comma or --decimal point")
    'type 1.5 or 15'
    """
    text = _BRACKET.sub("", _GIVEN_AS.sub(" and say it when the test begins", text))
    parts = (_PART.sub("", each) for each in _SENTENCE.split(text))
    return " ".join(each for each in parts if each and not _WHOLE.search(each))
