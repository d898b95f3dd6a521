"""A correction is a new entry that names the one it replaces; nothing is rubbed out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import msgspec
import pytest
from tests.records.making import SHEET, WHO, gauge, header, key, leakdown, pull, reading, six_pulls, tell

from ringtrue.compression import Kind
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.records import Change

if TYPE_CHECKING:
    from ringtrue.records import Book


# If this failed, a corrected reading would be judged by its old figure, or would lose its turn in the order taken.
def test_a_corrected_reading_stands_where_the_first_stood(book: Book) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    before = book.test(test_id)
    fixed = replace(pull("2", 150), first=before.test.taken[1].first, note="second look")  # type: ignore[union-attr]
    entry = book.correct(test_id, before.standing[1], fixed, why=" misread by one mark ", key=key(), **WHO)
    after = book.test(test_id)
    assert after.test.taken == (six_pulls()[0], fixed, *six_pulls()[2:])
    assert after.standing == (2, entry.seq, *before.standing[2:])
    assert after.entries[: len(before.entries)] == before.entries
    assert after.finished
    (said,) = after.corrections
    assert (said.seq, said.target, said.cylinder, said.kind, said.withdrawn) == (entry.seq, 3, "2", Kind.DRY, False)
    assert (said.why, said.who, said.device, said.at) == ("misread by one mark", *WHO.values(), entry.at)
    assert said.changes == (Change("note", "", "second look"), Change("final", "149 psi", "150 psi"))


# If this failed, an entry could be swapped for another one with the same number, and the correction would not mind.
def test_a_correction_names_the_hash_of_what_it_replaces(book: Book) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    first = book.correct(test_id, 3, pull("2", 150), why="misread", key=key(), **WHO)
    second = book.correct(test_id, first.seq, pull("2", 151), why="misread again", key=key(), **WHO)
    entries = book.test(test_id).entries
    for entry, replaced in ((first, entries[2]), (second, first)):
        said = msgspec.json.decode(entry.body)
        assert (said["replaces"], said["replaced_hash"]) == (replaced.seq, replaced.hash)


# If this failed, two people who correct the same reading would each undo what the other wrote, unseen.
@pytest.mark.parametrize("target", [3, 9])
def test_who_comes_second_is_told(book: Book, target: int) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    first = book.correct(test_id, 3, pull("2", 150), why="misread", key=key(), who="A", device="phone")
    book.correct(test_id, first.seq, pull("2", 151), why="misread", key=key(), who="B", device="phone")
    with pytest.raises(InputRefused, match=rf"entry {target}: This reading was corrected meanwhile, in entry 10 by B"):
        book.correct(test_id, target, pull("2", 152), why="misread", key=key(), **WHO)


# If this failed, a pull on the wrong cylinder would have to be judged, or be rubbed out.
def test_a_reading_taken_back_stands_no_more(book: Book) -> None:
    test_id = book.enter(header(), (*six_pulls(), leakdown("5", 58)), sheet_text=None, key=key(), **WHO)
    entry = book.withdraw(test_id, 4, why="gauge was on cylinder 4", key=key(), **WHO)
    recorded = book.test(test_id)
    assert recorded.test.taken == (*six_pulls()[:2], *six_pulls()[3:], leakdown("5", 58))
    (said,) = recorded.corrections
    assert (said.withdrawn, said.target, said.cylinder) == (True, 4, "3")
    assert said.changes == (Change("first", "91.2 psi", ""), Change("final", "152 psi", ""))
    assert recorded.entries[3].kind == "pull"
    meanwhile = "taken back meanwhile, in entry 10 by a builder"
    with pytest.raises(InputRefused, match=meanwhile):
        book.correct(test_id, entry.seq, pull("3", 150), why="after all", key=key(), **WHO)
    with pytest.raises(InputRefused, match=meanwhile):
        book.withdraw(test_id, 4, why="again", key=key(), **WHO)


# If this failed, a pull on the wrong cylinder could not be put under the right one with its history.
def test_a_reading_may_move_to_another_cylinder(book: Book) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    book.correct(test_id, 2, replace(six_pulls()[0], cylinder="6"), why="hose was on 6", key=key(), **WHO)
    (said,) = book.test(test_id).corrections
    assert (said.cylinder, said.changes) == ("1", (Change("cylinder", "1", "6"),))


# If this failed, a correction would leave nothing to tell why, or would hit what is no reading.
def test_corrections_that_say_nothing_are_refused(book: Book) -> None:
    test_id = book.enter(header(), (*six_pulls(), leakdown("5", 58)), sheet_text=None, key=key(), **WHO)
    same = six_pulls()[0]
    for why in ("", "  "):
        with pytest.raises(InputRefused, match="correction says why"):
            book.correct(test_id, 2, pull("1", 155), why=why, key=key(), **WHO)
        with pytest.raises(InputRefused, match="correction says why"):
            book.withdraw(test_id, 2, why=why, key=key(), **WHO)
        with pytest.raises(InputRefused, match="change says why"):
            book.change_header(test_id, header(by="B"), why=why, key=key(), **WHO)
    with pytest.raises(InputRefused, match="ntry 2 says exactly that already"):
        book.correct(test_id, 2, same, why="no reason", key=key(), **WHO)
    with pytest.raises(InputRefused, match="says exactly that already"):
        book.change_header(test_id, header(), why="no reason", key=key(), **WHO)
    with pytest.raises(InputRefused, match="A pull stays a pull"):
        book.correct(test_id, 2, leakdown("1", 70), why="mixed up", key=key(), **WHO)
    with pytest.raises(InputRefused, match="A pull stays a pull"):
        book.correct(test_id, 8, pull("5", 70), why="mixed up", key=key(), **WHO)
    for seq in (0, 1, 9, 99, -1):
        with pytest.raises(NotInBook, match=rf"entry {seq}: No reading of test {test_id} stands in that entry"):
            book.correct(test_id, seq, pull("1", 155), why="misread", key=key(), **WHO)
    assert len(book.test(test_id).entries) == 9


# If this failed, a gauge named after the test would not count, or the change would not be seen on the sheet.
def test_the_header_may_be_said_anew(book: Book) -> None:
    test_id = book.start(header(gauge=None), sheet_text=SHEET, key=key(), **WHO)
    book.add(test_id, pull("1", 150), key=key(), **WHO)
    later = header(
        gauge=gauge(repeatability=0.004), note="gauge named later", conditions=replace(header().conditions, oil=None)
    )
    entry = book.change_header(test_id, later, why="gauge found", key=key(), **WHO)
    recorded = book.test(test_id)
    assert (recorded.header, recorded.test.gauge) == (later, later.gauge)
    (said,) = recorded.corrections
    assert (said.seq, said.target, said.cylinder, said.kind) == (entry.seq, None, "", None)
    assert Change("gauge name", "", "shop gauge") in said.changes
    assert Change("gauge range", "", "300 psi") in said.changes
    assert Change("conditions oil", "80 C", "") in said.changes
    assert recorded.sheet_text == SHEET


# If this failed, a test filed under the wrong engine would stay in that engine's history.
def test_a_test_may_move_to_another_engine(book: Book) -> None:
    test_id = book.start(header(), sheet_text=SHEET, key=key(), **WHO)
    book.change_header(test_id, header("0500", "Green four"), why="wrong engine", key=key(), **WHO)
    assert (book.tests("0417"), [each.test_id for each in book.tests("0500")]) == ((), [test_id])
    recorded = book.test(test_id)
    assert (recorded.sheet_text, recorded.sheet_revision) == (SHEET, 1)
    assert [each.tests for each in book.sheets("0500")] == [(test_id,)]
    assert [each.tests for each in book.sheets("0417")] == [()]
    book.change_header(
        test_id, header("0500", "Green four"), sheet_text="four\n", why="its own sheet", key=key(), **WHO
    )
    recorded = book.test(test_id)
    assert (recorded.sheet_text, recorded.sheet_revision) == ("four\n", 2)
    assert recorded.corrections[-1].changes[-1].name == "build sheet"
    assert book.verify() == ()


# If this failed, a long history would be put together in another way than it was written.
def test_the_whole_story(book: Book) -> None:
    story = tell(book)
    recorded = book.test(story.test_id)
    assert [str(entry.kind) for entry in recorded.entries] == [
        "opened",
        *["pull"] * 7,
        "leak-down",
        "correction",
        "withdrawal",
        "header",
        "finished",
    ]
    finals = [row.final for row in recorded.test.taken if hasattr(row, "final")]
    assert finals == [reading(psi) for psi in (151, 150, 150, 118, 151, 151.5)]
    assert recorded.standing == (2, 10, 5, 6, 7, 8, 9)
    assert book.verify() == ()
