"""The command line: parse, call the shop, print."""

from __future__ import annotations

import errno
import gc
import io
import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cyclopts import CycloptsError

SELDOM = 1_000_000
"""
New objects between two looks for such as only hold one another.

A command makes hardly any of those and ends soon: looking as often as Python does by itself takes up to a fifth of it.
"""
TRACE_VARIABLE = "RINGTRUE_TRACE"
_LISTED = {
    "TEST": "see ringtrue book list for the tests",
    "ENGINE": "see ringtrue book list for the engines",
    "GAUGE": "see ringtrue gauge list for the gauges",
}
"""Where what is missing can be looked up."""
NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO}
"""What a full or failing disk says when output is sent to it."""


def main(arguments: Sequence[str] | None = None) -> None:
    """
    Run ringtrue and leave with its exit code.

    Parameters
    ----------
    arguments : sequence of str or None
        The words typed after the program's name; None for those of this process.

    Raises
    ------
    SystemExit
        Always: 0 done, 1 a rule not met where that was asked for, 2 a person's input cannot be used, 3 the book cannot
        be used.
    """
    gc.set_threshold(SELDOM)
    raise SystemExit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: Sequence[str]) -> int:
    """
    Run one command.

    Parameters
    ----------
    arguments : sequence of str
        The words typed after the program's name.

    Returns
    -------
    int
        The exit code.
    """
    from cyclopts import CycloptsError

    from ringtrue.cli.app import app, load_all
    from ringtrue.errors import RingtrueError

    _prepare_streams()
    try:
        asked = app if arguments and not arguments[0].startswith("-") else load_all()
        code = asked(list(arguments), exit_on_error=False, print_error=False, result_action="return_value")
        sys.stdout.flush()
    except SystemExit as leave:
        # rich answers a reader that went away by leaving with 1, which here would mean a limit that is not met.
        code = 0 if isinstance(leave.__context__, BrokenPipeError) else leave.code
    except BrokenPipeError:
        # The reader of our output went away; there is nobody left to tell.
        _drop_output()
        code = 0
    except (KeyboardInterrupt, Exception) as error:
        if os.environ.get(TRACE_VARIABLE) and not isinstance(error, RingtrueError | CycloptsError):
            raise
        code, told = _told(error)
        print(told, file=sys.stderr)
    return code if isinstance(code, int) else 0


def _prepare_streams() -> None:
    """Let a console that cannot show a sign show another one, and one that is closed be none: neither stops a test."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - stays until the end
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _drop_output() -> None:
    """Let what is still waiting to be written go nowhere, so that leaving does not try it again."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _told(error: BaseException) -> tuple[int, str]:
    """Return the exit code and the words for what stopped a command."""
    from cyclopts import CycloptsError

    from ringtrue.errors import Fault, RingtrueError

    if isinstance(error, RingtrueError):
        return error.exit_code, str(error)
    if isinstance(error, CycloptsError):
        return 2, _plain(error)
    if isinstance(error, KeyboardInterrupt):
        return 130, "\nStopped. What was acknowledged is in the book."
    if isinstance(error, OSError) and error.filename is not None:
        return 2, str(
            Fault(f"“{error.filename}”", f"it cannot be reached ({error.strerror})", "see to it, or name another")
        )
    if isinstance(error, OSError) and error.errno in NO_ROOM:
        _drop_output()
        return 2, str(Fault("output", f"it cannot be written ({error.strerror})", "make room, or send it elsewhere"))
    return 70, (
        f"This is a fault of ringtrue, not of yours: {type(error).__name__}: {error}. "
        f"What was acknowledged is in the book. Set {TRACE_VARIABLE}=1 and run it again to see where it happened."
    )


def _plain(error: CycloptsError) -> str:
    """Say in a builder's words what is wrong with the words of a command."""
    from cyclopts import CoercionError, MissingArgumentError, UnusedCliTokensError, ValidationError

    from ringtrue.errors import Fault

    command = " ".join(("ringtrue", *(error.command_chain or ())))
    see = f"type {command} --help to see what there is"
    if isinstance(error, UnusedCliTokensError):
        given = f"“{' '.join(error.unused_tokens or ())}”"
        why = f"there is no place for it in {command}"
        return str(Fault(given, why, f"leave it out; quote what has blanks; or {see}"))
    if isinstance(error, MissingArgumentError) and error.argument is not None:
        name = error.keyword or error.argument.name
        missing = f"the value behind {name} is missing" if name.startswith("-") else f"{name} is missing"
        return str(Fault(command, missing, f"{_LISTED[name]}, or {see}" if name in _LISTED else see))
    if isinstance(error, CoercionError) and error.token is not None:
        wanted = {int: "a whole number", bool: "yes or no"}.get(error.target_type or str, "something else")
        name = error.token.keyword or (error.argument.name if error.argument else "")
        return str(Fault(f"{name} “{error.token.value}”", f"{wanted} is wanted here", see))
    if isinstance(error, ValidationError) and error.argument is not None:
        given = error.argument.name
        for token in error.argument.tokens[:1]:  # none where what is left out is what is refused
            given = f"{token.keyword or given} “{token.value}”"
        return str(Fault(given, error.exception_message, see))
    return f"{' '.join(str(error).split())} {Fault('', '', see)}"
