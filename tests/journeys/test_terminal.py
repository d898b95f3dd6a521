"""The guided test on a real terminal: keys, Ctrl-C, Ctrl-D, and a window of its own width."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.journeys.conftest import Types

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no POSIX: no terminal can be made for a test")

PULL = ("pull", "--sheet", "launch-six.toml", "--unit", "psi")
LONGEST = 60.0
"""No command takes longer; if one did, the test would hang. [s]"""
WIDE = 72
"""Width of the window. [character]"""


@dataclass(slots=True)
class Terminal:
    """A window with a command in it."""

    process: subprocess.Popen[bytes]
    master: int
    seen: str = ""

    def until(self, words: str) -> str:
        """Read until some words stand at the end; return what came before and with them."""
        said = ""
        while words not in said:
            letters = self._read()
            assert letters, f"it ended before it said {words!r}: {said}"
            said += letters
        self.seen += said
        return said

    def type(self, keys: str) -> None:
        os.write(self.master, keys.encode())

    def ended(self) -> int:
        """Read to the end and return the exit code."""
        while letters := self._read():
            self.seen += letters
        return self.process.wait(LONGEST)

    def _read(self) -> str:
        try:
            letters = os.read(self.master, 65_536)
        except OSError:  # Linux says so when the other end is gone
            letters = b""
        return letters.decode("utf-8", "replace").replace("\r\n", "\n")


@contextmanager
def terminal(folder: Path, *words: str) -> Iterator[Terminal]:
    """Run a command in a window of its own."""
    import pty
    import termios

    master, slave = pty.openpty()
    termios.tcsetwinsize(slave, (40, WIDE))
    # The width is that of this window, not one that whoever runs the tests has exported.
    told = {name: value for name, value in os.environ.items() if name not in {"COLUMNS", "LINES"}}
    environment = {**told, "RINGTRUE_BOOK": str(folder / "book.db"), "TERM": "xterm"}
    environment["RINGTRUE_SETTINGS"] = str(folder / "settings.toml")
    process = subprocess.Popen(
        [sys.executable, "-m", "ringtrue", *words],
        cwd=folder,
        env=environment,
        stdin=slave,
        stdout=slave,
        stderr=slave,
        start_new_session=True,
    )
    os.close(slave)
    try:
        yield Terminal(process, master)
    finally:
        process.kill()
        process.wait()
        os.close(master)


def begun(window: Terminal) -> None:
    for _ in range(2):
        window.until("what is otherwise: ")
        window.type("yes\r")
    window.until("first and final [psi]: ")


def finals(types: Types) -> list[str]:
    (test,) = json.loads(types("book list --json").out)
    return [row["final"] for row in json.loads(types(f"book show {test['test']} --json").out)["readings"]]


# If this failed, a person at a keyboard would be asked otherwise than a pipe: twice, without an echo, in control signs.
def test_typed_at_a_keyboard(types: Types, tmp_path: Path) -> None:
    with terminal(tmp_path, *PULL) as window:
        begun(window)
        window.type("95 151\x7f0\r")  # a slip, taken back with the backspace key
        assert "Saved: cylinder 1, first 95 psi, final 150 psi." in window.until(
            "Cylinder 2 (2 of 6), first and final [psi]: "
        )
        window.type("150 95\r")
        assert "!" in window.until("Cylinder 2 (2 of 6), first and final [psi]: ")
        window.type("stop\r")
        assert window.ended() == 0
    assert finals(types) == ["150 psi"]
    assert "\x1b" not in window.seen
    assert window.seen.count("95 15") == 1


# If this failed, Ctrl-C would lose what was typed before it, end in a page of Python, or not say how to go on.
def test_ctrl_c(types: Types, tmp_path: Path) -> None:
    with terminal(tmp_path, *PULL) as window:
        begun(window)
        window.type("95 150\r")
        window.until("Cylinder 2 (2 of 6), first and final [psi]: ")
        window.process.send_signal(signal.SIGINT)
        assert window.ended() == 130
    assert "Traceback" not in window.seen
    assert (found := re.search(r"Go on with: ringtrue pull --go-on (\S+)", window.seen)) is not None
    assert finals(types) == ["150 psi"]
    assert types(f"pull --go-on {found[1]} --unit psi", "96 151\nstop\n").code == 0
    assert finals(types) == ["150 psi", "151 psi"]


# If this failed, Ctrl-D, or a window that is closed, would be taken for an answer or end in a page of Python.
@pytest.mark.parametrize("before", [0, 1])
def test_ctrl_d(types: Types, tmp_path: Path, before: int) -> None:
    with terminal(tmp_path, *PULL) as window:
        if before:
            begun(window)
            window.type("95 150\r")
            window.until("Cylinder 2 (2 of 6), first and final [psi]: ")
        else:
            window.until("what is otherwise: ")
        window.type("\x04")
        assert window.ended() == 0
    assert "Traceback" not in window.seen
    assert ("--go-on" if before else "nothing was recorded") in window.seen
    assert len(json.loads(types("book list --json").out)) == before


# If this failed, a table would be broken by the window, or something would be said by colour alone.
def test_a_judgement_in_a_window(types: Types, tmp_path: Path) -> None:
    assert types("judge june.csv --sheet launch-six.toml").code == 0
    with terminal(tmp_path, "judge", "june.csv", "--sheet", "launch-six.toml") as window:
        assert window.ended() == 0
    plain = re.sub(r"\x1b\[[01]m", "", window.seen)
    assert "\x1b" not in plain
    assert max(len(line) for line in plain.splitlines()) <= WIDE
    for word in ("What it means", "Rules", "How sure this is", "common practice"):
        assert word in window.seen


# If this failed, a program that feeds a test or a sheet through pipes would find questions among its answer.
def test_json_of_a_conversation(types: Types) -> None:
    said = types(
        "pull --sheet launch-six.toml --unit psi --json", "yes\nyes\n95 150\n" + "95 151\n" * 5 + "skip\ndone\n"
    )
    assert said.code == 0, said.err
    found = json.loads(said.out)
    assert (found["finished"], found["count"], found["lowest"]["cylinder"]) == (True, 6, "1")
    assert "Cylinder 6 (6 of 6)" in said.err
    stopped = json.loads(types("pull --sheet launch-six.toml --unit psi --json", "yes\nyes\n95 150\n").out)
    assert (stopped["finished"], stopped["count"]) == (False, 1)
    assert json.loads(types("sheet new x.toml --json", "Mower\n\nsingle\n1\ndone\n").out)["engine"] == "Mower"
    exported = json.loads(types("book export -o all.json --json").out)
    assert exported == {"file": "all.json", "photographs": 0, "missing": []}
