"""Whatever is done to a book, in whatever order, it agrees with a list kept by hand."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)
from tests.records.making import WHO, header, key, leakdown, pull

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.records import Book, Header

Row = Pull | LeakdownReading

CYLINDERS = st.sampled_from(["1", "2", "3"])
PRESSURES = st.integers(1, 400)
ROWS = st.one_of(st.builds(pull, CYLINDERS, PRESSURES), st.builds(leakdown, CYLINDERS, PRESSURES))


class Listed:
    """A test as it should be: rows with the entry in which each stands, the header, how many entries."""

    def __init__(self, head: Header) -> None:
        self.rows: list[tuple[int, Row]] = []
        self.header = head
        self.entries = 1
        self.finished = False


class Books(RuleBasedStateMachine):
    """A book, opened and closed, sent away and taken back, beside a list."""

    tests = Bundle("tests")
    spent = Bundle("spent")

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "book"
        self.book = Book.open(self.path)
        self.listed: dict[str, Listed] = {}
        self.moves = 0

    def teardown(self) -> None:
        """Remove the book."""
        self.book.close()
        self.folder.cleanup()

    @rule(target=tests, engine=st.sampled_from(["0417", "0500"]), sheet=st.sampled_from([None, "a\n", "b\n"]))
    def begin(self, engine: str, sheet: str | None) -> str:
        """Open a test."""
        head = header(engine, "")
        test_id = self.book.start(head, sheet_text=sheet, key=key(), **WHO)
        self.listed[test_id] = Listed(head)
        return test_id

    @rule(target=spent, test=tests, row=ROWS)
    def take(self, test: str, row: Row) -> tuple[str, str, Row]:
        """Take a reading."""
        word = key()
        entry = self.book.add(test, row, key=word, **WHO)
        self.listed[test].rows.append((entry.seq, row))
        self.listed[test].entries += 1
        return test, word, row

    @rule(target=spent, given=consumes(spent))
    def send_again(self, given: tuple[str, str, Row]) -> Any:  # noqa: ANN401 - as hypothesis has it
        """Send a reading again whose acknowledgement was lost."""
        test, word, row = given
        self.book.add(test, row, key=word, **WHO)
        with pytest.raises(InputRefused):
            self.book.add(test, pull("9", 999), key=word, **WHO)
        return multiple(given)

    @rule(test=tests, which=st.integers(0, 5), row=ROWS)
    def correct(self, test: str, which: int, row: Row) -> None:
        """Put a reading right."""
        listed = self.listed[test]
        if which >= len(listed.rows):
            with pytest.raises(NotInBook):
                self.book.correct(test, 1, row, why="slip", key=key(), **WHO)
            return
        seq, old = listed.rows[which]
        if type(old) is not type(row) or old == row:
            with pytest.raises(InputRefused):
                self.book.correct(test, seq, row, why="slip", key=key(), **WHO)
            return
        entry = self.book.correct(test, seq, row, why="slip", key=key(), **WHO)
        listed.rows[which] = (entry.seq, row)
        listed.entries += 1
        with pytest.raises(InputRefused):
            self.book.correct(test, seq, old, why="slip", key=key(), **WHO)

    @rule(test=tests, which=st.integers(0, 5))
    def take_back(self, test: str, which: int) -> None:
        """Take a reading back."""
        listed = self.listed[test]
        if which < len(listed.rows):
            seq, _ = listed.rows.pop(which)
            self.book.withdraw(test, seq, why="wrong cylinder", key=key(), **WHO)
            listed.entries += 1

    @rule(test=tests, note=st.sampled_from(["", "x", "y"]), engine=st.sampled_from(["0417", "0500"]))
    def say_anew(self, test: str, note: str, engine: str) -> None:
        """Change the header."""
        listed = self.listed[test]
        head = header(engine, "", note=note)
        if head == listed.header:
            with pytest.raises(InputRefused):
                self.book.change_header(test, head, why="typed wrong", key=key(), **WHO)
            return
        self.book.change_header(test, head, why="typed wrong", key=key(), **WHO)
        listed.header = head
        listed.entries += 1

    @rule(test=tests)
    def finish(self, test: str) -> None:
        """Say that a test is done."""
        listed = self.listed[test]
        listed.entries = self.book.finish(test, key=key(), **WHO).seq
        listed.finished = True

    @rule()
    def close_and_open(self) -> None:
        """Go home, and come back in the morning."""
        self.book.close()
        self.book = Book.open(self.path, create=False)

    @rule()
    def move(self) -> None:
        """Send the book to another machine, and go on there."""
        document = self.book.export()
        assert self.book.import_(document).entries == 0
        self.book.close()
        self.moves += 1
        self.path = Path(self.folder.name) / f"book {self.moves}"
        self.book = Book.open(self.path)
        self.book.import_(document)
        assert self.book.export() == document

    @invariant()
    def agrees(self) -> None:
        """Compare."""
        for test_id, listed in self.listed.items():
            recorded = self.book.test(test_id)
            assert recorded.test.taken == tuple(row for _, row in listed.rows)
            assert recorded.standing == tuple(seq for seq, _ in listed.rows)
            assert (recorded.header, recorded.finished) == (listed.header, listed.finished)
            assert len(recorded.entries) == listed.entries
        summaries = self.book.tests()
        assert [each.test_id for each in summaries] == list(self.listed)
        assert [each.readings for each in summaries] == [len(each.rows) for each in self.listed.values()]
        assert [each.header for each in summaries] == [each.header for each in self.listed.values()]
        assert self.book.verify() == ()


# If this failed, some order of taking, correcting, taking back and moving would make the book say something else than
# was done.
def test_a_book_agrees_with_a_list(soaking: bool) -> None:
    run_state_machine_as_test(Books, settings=settings(max_examples=200 if soaking else 6, stateful_step_count=15))
