"""``ringtrue pull`` killed at any moment: what it acknowledged is in the book, once, and it goes on where it was."""

from __future__ import annotations

import os
import random
import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from tests.journeys import pulling_child
from tests.journeys.conftest import STORY

from ringtrue.compression import Pull
from ringtrue.records import Book

pytestmark = pytest.mark.skipif(
    os.name != "posix", reason="no POSIX: no process can be forked and killed with signal 9"
)

ROUNDS, SOAK_ROUNDS = 12, 1_000
SEED = 20_260_514
STARTING = 0.08
"""Some rounds are killed within this time of their start. [s]"""
WRITING = 0.04
"""The others are killed within this time of a random answer, so that the kill falls into the writing of it. [s]"""
MOST_ANSWERS = 14
LONGEST = 60.0
"""No conversation takes longer; if one did, the test would hang. [s]"""
CYLINDERS = ("1", "2", "3", "4", "5", "6")
QUESTION = re.compile(
    r"(Go on with it, yes or no\?|Go on, yes or no\?|Why\? A few words:"
    r"|All of it done\? Type yes, or what is otherwise:"
    r"|More\? again, wet, correct, show, or done:"
    r"|Cylinder (?P<name>\d) (?P<what>\(\d of 6\)|again|with 4 cc of oil|as it should be), first and final \[psi\]"
    r"(?P<drift> \(or skip\))?:) $"
)
ACKNOWLEDGED = re.compile(
    r"^(  (Saved[:.]|Corrected\.|Cylinder \d is left out\.)|The test is in the book as)", re.MULTILINE
)


@dataclass(frozen=True, slots=True)
class Row:
    """A reading as the builder knows it."""

    cylinder: str
    kind: str
    drift: bool
    first: str | None
    final: str | None


@dataclass(slots=True)
class Builder:
    """Somebody who tests one engine after another, and what he was told is in the book."""

    folder: Path
    dice: random.Random
    test: str = ""
    rows: list[Row] = field(default_factory=list)
    open_answer: list[Row] | None = None
    finishing: bool = False
    acknowledged: int = 0
    kills_in_writing: int = 0
    _wanted: Row | None = None

    def answer(self, question: re.Match[str]) -> str:
        """Return what he types, and remember what the book will hold once that is acknowledged."""
        asked = question[0]
        if "yes or no" in asked or "All of it" in asked:
            return "yes"
        if asked.startswith("More?"):
            return self._choose()
        if asked.startswith("Why?"):
            # Only now the correction is whole.
            self.open_answer = self._corrected()
            return "misread"
        what, name = question["what"], question["name"]
        if what.startswith("("):
            assert name == self.next_cylinder, f"asks for {name}, and {self.next_cylinder} is next"
            if self.dice.random() < 0.1:
                self.open_answer = [*self.rows, Row(name, "dry", False, None, None)]
                return "skip"
        row = Row(name, "wet" if "oil" in what else "dry", bool(question["drift"]), *self._figures())
        if what == "as it should be":
            self._wanted = row
        else:
            self.open_answer = [*self.rows, row]
        return f"{(row.first or '')[:-4]} {(row.final or '')[:-4]}"

    @property
    def next_cylinder(self) -> str | None:
        """The first that has no row."""
        pulled = {row.cylinder for row in self.rows}
        return next((name for name in CYLINDERS if name not in pulled), None)

    def was_acknowledged(self) -> None:
        """Take the open answer for written: it said so."""
        if self.finishing:
            self.test, self.rows, self.finishing = "", [], False
        elif self.open_answer is not None:
            self.rows, self.open_answer = self.open_answer, None
            self.acknowledged += 1

    def compare(self) -> None:
        """Hold the book against what was acknowledged; what was being written when it was killed may be in it."""
        if not (self.folder / "book.db").exists():
            assert not self.acknowledged, "a reading was acknowledged, and there is no book"
            return
        with Book.open(str(self.folder / "book.db")) as book:
            tests = book.tests()
            if self.test:
                found = [as_known(row) for row in book.test(self.test).test.taken if isinstance(row, Pull)]
                assert found in (self.rows, self.open_answer), (
                    f"acknowledged: {self.rows}\nopen: {self.open_answer}\nin the book: {found}"
                )
                self.kills_in_writing += self.open_answer is not None
                self.rows, self.open_answer = found, None
                if next(each for each in tests if each.test_id == self.test).finished:
                    assert self.finishing, "a test was finished that nobody finished"
                    self.test, self.rows = "", []
            else:
                opened = [each for each in tests if not each.finished]
                assert sum(each.readings for each in opened) == 0, "a reading stands in a test that nobody began"
            self.finishing = False

    def _figures(self) -> tuple[str, str]:
        return f"{self.dice.randint(80, 99)} psi", f"{self.dice.randint(140, 199)} psi"

    def _choose(self) -> str:
        read = [row.cylinder for row in self.rows if row.final is not None and not row.drift]
        if not read or self.dice.random() < 0.3:
            self.finishing = True
            return "done"
        name = self.dice.choice(read)
        return self.dice.choice((f"again {name}", f"wet {name} 4 cc", f"correct {name}"))

    def _corrected(self) -> list[Row]:
        """The rows with the last pull of a cylinder put right."""
        assert self._wanted is not None
        name = self._wanted.cylinder
        last = max(n for n, r in enumerate(self.rows) if (r.cylinder, r.kind, r.drift) == (name, "dry", False))
        right = replace(self.rows[last], first=self._wanted.first, final=self._wanted.final)
        return [*self.rows[:last], right, *self.rows[last + 1 :]]


def as_known(pull: Pull) -> Row:
    """Return a reading of the book as the builder knows it."""
    first, final = (None if figure is None else str(figure) for figure in (pull.first, pull.final))
    return Row(pull.cylinder, str(pull.kind), pull.drift, first, final)


def questions(child: pulling_child.Child, builder: Builder) -> Iterator[re.Match[str]]:
    """Yield every question of a conversation; take note of what was acknowledged before it."""
    said = ""
    while heard := child.hear():
        said += heard
        if begun := re.search(r"^Test (\S+), Launch six$|^Test (\S+) is open", said, re.MULTILINE):
            builder.test = begun[1] or begun[2]
        question = QUESTION.search(said)
        for _ in ACKNOWLEDGED.finditer(said):
            builder.was_acknowledged()
        if question:
            said = ""
            yield question
        else:
            said = said.rpartition("\n")[2] if "\n" in said else said


def conversation(builder: Builder, *, forgetful: bool = False) -> None:
    """Answer one line at a time, each when it is asked for, and kill the program at a random moment."""
    dice = builder.dice
    child = pulling_child.pull(builder.folder, forgetful=forgetful)
    left = dice.randint(0, MOST_ANSWERS)
    killer = threading.Timer(dice.uniform(0.0, WRITING if left else STARTING), child.kill)
    watchdog = threading.Timer(LONGEST, child.kill)
    watchdog.start()
    try:
        if left == 0:
            killer.start()
        for question in questions(child, builder):
            child.type(builder.answer(question))
            left -= 1
            if left == 0:
                killer.start()
    finally:
        for timer in (killer, watchdog):
            timer.cancel()
            if timer.ident is not None:
                timer.join()
        child.gone()


def begun(folder: Path) -> Builder:
    (folder / pulling_child.ENGINE).write_bytes((STORY / pulling_child.ENGINE).read_bytes())
    return Builder(folder, random.Random(SEED))


# If this failed, a flat battery, a closed lid or a crash would cost a reading that the builder was told is saved, would
# enter it twice, or would go on at another cylinder. 25 kills here, 1,000 in the long run.
def test_killed_at_random(tmp_path: Path, *, soaking: bool) -> None:
    builder = begun(tmp_path)
    for _ in range(SOAK_ROUNDS if soaking else ROUNDS):
        conversation(builder)
        builder.compare()
    assert builder.acknowledged > ROUNDS
    assert builder.kills_in_writing > ROUNDS / 8, "hardly a kill fell into the writing of an answer"
    with Book.open(str(tmp_path / "book.db")) as book:
        assert book.verify() == ()


# If this failed, the test above would pass with a program that acknowledges first and means to write later. Control.
def test_a_program_that_writes_later_is_found_out(tmp_path: Path) -> None:
    builder = begun(tmp_path)

    def kill_some() -> None:
        for _ in range(ROUNDS):
            conversation(builder, forgetful=True)
            builder.compare()

    with pytest.raises(AssertionError, match=r"acknowledged: \[Row"):
        kill_some()
