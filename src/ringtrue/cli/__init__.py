"""The command line: parse, call the shop, print."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

TRACE_VARIABLE = "RINGTRUE_TRACE"


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

    from ringtrue.cli.app import app
    from ringtrue.errors import RingtrueError

    for stream in (sys.stdout, sys.stderr):
        # A console that cannot show a sign shows another one; it never stops a test.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = app(list(arguments), exit_on_error=False, print_error=False, result_action="return_value")
    except SystemExit as leave:
        code = leave.code
    except BrokenPipeError:
        # The reader of our output went away; there is nobody left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 0
    except (KeyboardInterrupt, Exception) as error:
        if os.environ.get(TRACE_VARIABLE) and not isinstance(error, RingtrueError | CycloptsError):
            raise
        code, told = _told(error)
        print(told, file=sys.stderr)
    return code if isinstance(code, int) else 0


def _told(error: BaseException) -> tuple[int, str]:
    """Return the exit code and the words for what stopped a command."""
    from cyclopts import CycloptsError

    from ringtrue.errors import RingtrueError

    if isinstance(error, RingtrueError):
        return error.exit_code, str(error)
    if isinstance(error, CycloptsError):
        return 2, _plain(error)
    if isinstance(error, KeyboardInterrupt):
        return 130, "\nStopped. What was acknowledged is in the book."
    return 70, (
        f"This is a fault of ringtrue, not of yours: {type(error).__name__}: {error}. "
        f"What was acknowledged is in the book. Set {TRACE_VARIABLE}=1 and run it again to see where it happened."
    )


def _plain(error: Exception) -> str:
    text = " ".join(str(error).split())
    return f"{text} Type ringtrue --help, or add --help to the command, to see what there is."
