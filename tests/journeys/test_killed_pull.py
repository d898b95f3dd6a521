"""``ringtrue pull`` killed at any moment: what it acknowledged is in the book, once, and it goes on where it was."""

from __future__ import annotations

import contextlib
import json
import os
import random
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from tests.journeys.conftest import STORY

ROUNDS, SOAK_ROUNDS = 12, 1_000
SEED = 20_260_514
STARTING = 0.9
"""Some rounds are killed within this time of their start. [s]"""
WRITING = 0.05
"""The others are killed within this time of a random answer, so that the kill falls into the writing of it. [s]"""
MOST_ANSWERS = 12
LONGEST = 60.0
"""No conversation takes longer; if one did, the test would hang. [s]"""


@dataclass(slots=True)
class Engine:
    """A builder's view of one engine under test: what he was told is saved."""

    folder: Path
    saved: list[tuple[str, str]] = field(default_factory=list)
    finished: int = 0

    def environment(self) -> dict[str, str]:
        return {
            **os.environ,
            "RINGTRUE_BOOK": str(self.folder / "book.db"),
            "RINGTRUE_SETTINGS": str(self.folder / "settings.toml"),
            "PYTHONUNBUFFERED": "1",
        }

    def run(self, *words: str) -> str:
        """Run a command to its end."""
        done = subprocess.run(
            [sys.executable, "-m", "ringtrue", *words],
            env=self.environment(),
            cwd=self.folder,
            check=True,
            capture_output=True,
            text=True,
            stdin=subprocess.DEVNULL,
        )
        return done.stdout

    def in_the_book(self) -> dict[str, list[tuple[str, str]]]:
        """Return cylinder and final of every reading, by test."""
        book = self.folder / "book.db"
        if not book.exists():
            return {}
        found = {}
        for test in json.loads(self.run("book", "list", "--json")):
            told = json.loads(self.run("book", "show", test["test"], "--json"))
            found[test["test"]] = [(row["cylinder"], row["final"]) for row in told["readings"] if not row["drift"]]
        return found


def conversation(engine: Engine, dice: random.Random) -> None:
    """Answer a test one line at a time, each after its question, and kill the program at a random moment."""
    process = subprocess.Popen(
        [sys.executable, "-m", "ringtrue", "pull", "--sheet", "launch-six.toml", "--unit", "psi"],
        env=engine.environment(),
        cwd=engine.folder,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        bufsize=1,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    left = dice.randint(0, MOST_ANSWERS)
    killer = threading.Timer(dice.uniform(0.05, STARTING) if left == 0 else dice.uniform(0.0, WRITING), process.kill)
    watchdog = threading.Timer(LONGEST, process.kill)
    watchdog.start()
    if left == 0:
        killer.start()
    said = ""
    try:
        while letter := process.stdout.read(1):
            said += letter
            if not said.endswith(("? ", ": ")) or "\n" in said[-2:]:
                continue
            question = said.rsplit("\n", 1)[-1]
            answer = answer_to(question, dice)
            if answer is None:
                continue
            process.stdin.write(answer + "\n")
            process.stdin.flush()
            left -= 1
            if left == 0:
                killer.start()
            # The program shows a piped answer behind its question; what it says next is about this answer.
            said = ""
            told = process.stdout.readline() + (process.stdout.readline() if answer[0].isdigit() else "")
            if "Saved: cylinder" in told:
                cylinder = told.split("cylinder ")[1].split(",")[0]
                engine.saved.append((cylinder, told.split("final ")[1].rstrip(".\n")))
    except (BrokenPipeError, OSError):
        pass
    finally:
        killer.cancel()
        watchdog.cancel()
        process.kill()
        process.wait()
        process.stdout.close()
        with contextlib.suppress(BrokenPipeError):
            process.stdin.close()


def answer_to(question: str, dice: random.Random) -> str | None:
    """Return what the builder types; None where the words only look like a question."""
    if "Go on with it" in question or "All of it done" in question:
        return "yes"
    if "again, first and final" in question:
        return "skip"
    if "first and final [psi]:" in question:
        return f"{dice.randint(80, 99)} {dice.randint(140, 160)}"
    if question.startswith("More?"):
        return "done"
    return None


# If this failed, a flat battery, a closed lid or a crash would cost a reading that the builder was told is saved, or
# would enter it twice. 12 kills here, 1,000 in the long run.
def test_killed_at_random(tmp_path: Path, *, soaking: bool) -> None:
    dice = random.Random(SEED)
    engine = Engine(tmp_path)
    (tmp_path / "launch-six.toml").write_bytes((STORY / "launch-six.toml").read_bytes())
    rounds = SOAK_ROUNDS if soaking else ROUNDS
    for number in range(rounds):
        conversation(engine, dice)
        if number % 10 == 9 or number == rounds - 1:
            check(engine)
    assert engine.saved, "no round lived long enough to save a reading"


def check(engine: Engine) -> None:
    """Compare the book with what was acknowledged, and every test with itself."""
    found = engine.in_the_book()
    everything = [row for rows in found.values() for row in rows]
    for saved in set(engine.saved):
        assert everything.count(saved) >= engine.saved.count(saved), f"{saved} was acknowledged and is not in the book"
    for rows in found.values():
        cylinders = [cylinder for cylinder, _ in rows]
        assert len(cylinders) == len(set(cylinders)), f"a cylinder was entered twice: {rows}"
    # A reading that is in the book but was not acknowledged was written in the very moment of a kill: at most one each.
    if found:
        assert "is what was written" in engine.run("book", "verify")


# If this failed, the test above would pass with a program that never writes. Control: it must notice a lost reading.
def test_the_check_has_teeth(tmp_path: Path) -> None:
    engine = Engine(tmp_path, saved=[("1", "150 psi")])
    (tmp_path / "launch-six.toml").write_bytes((STORY / "launch-six.toml").read_bytes())
    with pytest.raises(AssertionError, match="was acknowledged and is not in the book"):
        check(engine)
