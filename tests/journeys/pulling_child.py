"""A ``ringtrue pull`` in a process of its own, which starts at once: what it imports is loaded before it forks."""

from __future__ import annotations

import multiprocessing
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING

# These are what a pull loads while it runs; the process that forks has them already.
import ringtrue.cli.app
import ringtrue.cli.pull_talk
import ringtrue.intake.settings
import ringtrue.intake.test_file
import ringtrue.measure.judging
import ringtrue.records
import ringtrue.records._sqlite
import ringtrue.shop.opening
import ringtrue.shop.pulling
import ringtrue.wording.verdict

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

    from ringtrue.compression import Pull

ENGINE = "launch-six.toml"


@dataclass(slots=True)
class Child:
    """The process, and the two ends of its terminal."""

    process: BaseProcess
    typed: int
    shown: int

    def type(self, line: str) -> None:
        """Type a line; a process that is gone hears nothing."""
        try:
            os.write(self.typed, f"{line}\n".encode())
        except BrokenPipeError:
            return

    def hear(self) -> str:
        """Return what it says next; empty when it is gone."""
        return os.read(self.shown, 65_536).decode()

    def kill(self) -> None:
        """Kill it with signal 9, as a flat battery would."""
        self.process.kill()

    def gone(self) -> None:
        """Wait for its end."""
        self.process.kill()
        self.process.join()
        self.process.close()
        os.close(self.typed)
        os.close(self.shown)


def pull(folder: Path, *, forgetful: bool = False) -> Child:
    """Start ``ringtrue pull`` in a folder; a forgetful one acknowledges and writes nothing."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.journeys.pulling_child"])
    heard_from, typed_to = os.pipe()
    said_to, shown_from = os.pipe()
    ends = (Connection(heard_from), Connection(shown_from))
    process = context.Process(target=_pull, args=(*ends, str(folder), forgetful), daemon=True)
    process.start()
    for end in ends:
        end.close()
    return Child(process, typed_to, said_to)


def _pull(typed: Connection, shown: Connection, folder: str, forgetful: bool) -> None:
    os.dup2(typed.fileno(), 0)
    os.dup2(shown.fileno(), 1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    typed.close()
    shown.close()
    sys.stdin, sys.stdout = os.fdopen(0, encoding="utf-8"), os.fdopen(1, "w", encoding="utf-8")
    os.chdir(folder)
    os.environ.update(RINGTRUE_BOOK="book.db", RINGTRUE_SETTINGS="settings.toml")
    if forgetful:
        ringtrue.shop.pulling.Session._add = _forget  # type: ignore[method-assign]
    words: Sequence[str] = ("pull", "--sheet", ENGINE, "--unit", "psi")
    code = ringtrue.cli.run(words)
    sys.stdout.flush()
    os._exit(code)


def _forget(self: ringtrue.shop.pulling.Session, pull: Pull) -> None:
    """Take a pull as a program would that means to write it later."""
    taken, standing = self.recorded.test.taken, self.recorded.standing
    test = replace(self.recorded.test, taken=(*taken, pull))
    self.recorded = replace(self.recorded, test=test, standing=(*standing, len(standing) + 1))
