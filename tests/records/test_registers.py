"""Gauges, engines' logs, and owners, who can be forgotten."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.records.making import WHO, behind, file_of, gauge, header, key, six_pulls

from ringtrue.errors import BookDamaged, InputRefused, NotInBook
from ringtrue.quantities import Measured
from ringtrue.records import Book, Event, Owner

if TYPE_CHECKING:
    from pathlib import Path


# If this failed, a recalibrated gauge would be judged by its old description, or old tests by its new one.
def test_the_latest_description_of_a_gauge_counts(book: Book) -> None:
    book.add_gauge(gauge(), key=key(), **WHO)
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    book.add_gauge(gauge("another"), key=key(), **WHO)
    book.add_gauge(gauge(repeatability=0.004), key=key(), **WHO)
    assert book.gauges() == (gauge("another"), gauge(repeatability=0.004))
    assert book.gauge("shop gauge") == gauge(repeatability=0.004)
    history = book.gauge_history("shop gauge")
    assert [(each.gauge, each.who) for each in history] == [
        (gauge(), "a builder"),
        (gauge(repeatability=0.004), "a builder"),
    ]
    assert book.test(test_id).header.gauge == gauge()


# If this failed, a gauge described twice alike would look as if it had been changed.
def test_the_same_description_is_written_once(book: Book) -> None:
    for _ in range(3):
        book.add_gauge(gauge(), key=key(), **WHO)
    assert len(book.gauge_history("shop gauge")) == 1
    book.add_gauge(gauge(repeatability=0.01), key=key(), **WHO)
    book.add_gauge(gauge(), key=key(), **WHO)
    assert len(book.gauge_history("shop gauge")) == 3


# If this failed, a mistyped gauge would be taken for one without error.
def test_an_unknown_gauge_is_refused_in_words(book: Book) -> None:
    with pytest.raises(NotInBook, match="gauge add"):
        book.gauge("shop gauge")
    book.add_gauge(gauge(), key=key(), **WHO)
    with pytest.raises(NotInBook, match=r"shop gouge: The register has no such gauge\. It has shop gauge"):
        book.gauge("shop gouge")
    with pytest.raises(InputRefused, match="the gauge's name"):
        book.add_gauge(gauge(" "), key=key(), **WHO)


# If this failed, the oil change that explains a reading would stand under another engine, or nowhere.
def test_the_log_of_an_engine(book: Book) -> None:
    book.start(header(), sheet_text=None, key=key(), **WHO)
    book.start(header("0500", "Green four"), sheet_text=None, key=key(), **WHO)
    at = Measured(1126540.8, "700", "mile")
    book.add_event("0417", "oil change", at=at, date="2026-06-01", key="e", **WHO)
    book.add_event("Launch six", "head re-torqued", key=key(), **WHO)
    book.add_event("0500", "first start", key=key(), **WHO)
    book.add_event("0417", "oil change", at=at, date="2026-06-01", key="e", **WHO)
    events = book.events("Launch six")
    assert [event.text for event in events] == ["oil change", "head re-torqued"]
    assert events[0] == Event("0417", "oil change", at, "2026-06-01", "a builder", events[0].recorded_at, seq=1)
    assert [(each.key, each.events) for each in book.engines()] == [("0417", 2), ("0500", 1)]
    assert book.verify() == ()


# If this failed, an oil change under the wrong engine would explain its readings for ever, or would vanish without a
# trace; or two books that join would lose that it was taken back.
def test_a_line_of_a_log_is_taken_back(book: Book, tmp_path: Path) -> None:
    book.start(header(), sheet_text=None, key=key(), **WHO)
    book.start(header("0500", "Green four"), sheet_text=None, key=key(), **WHO)
    book.add_event("0500", "first start", key=key(), **WHO)
    book.add_event("0417", "oil change", new_baseline=True, key=key(), **WHO)
    book.add_event("0417", "oil change", key=key(), **WHO)
    wrong = book.events("0417")[0].seq
    with pytest.raises(InputRefused, match="stays in the record, with the reason"):
        book.take_back_event("0417", wrong, why=" ", key=key(), **WHO)
    with pytest.raises(NotInBook, match="log of 0500 has no such line"):
        book.take_back_event("0500", wrong, why="wrong engine", key=key(), **WHO)
    for _ in range(2):
        book.take_back_event("Launch six", wrong, why="0500", key="back", **WHO)
    assert [each.text for each in book.events("0500")] == ["first start"]
    with pytest.raises(InputRefused, match="taken back already"):
        book.take_back_event("0417", wrong, why="again", key=key(), **WHO)
    assert [(e.text, e.new_baseline) for e in book.events("0417")] == [("oil change", False)]
    assert [e.taken_back for e in book.events("0417", taken_back=True)] == ["0500", ""]
    assert [(each.key, each.events) for each in book.engines()] == [("0417", 1), ("0500", 1)]
    assert book.verify() == ()
    with Book.open(str(tmp_path / "other.db")) as other:
        other.add_event("0900", "first start", new_engine=True, key=key(), **WHO)
        other.import_(book.export())
        assert [e.taken_back for e in other.events("0417", taken_back=True)] == ["0500", ""]
        assert other.verify() == ()


# If this failed, a mistyped engine would get a log of its own, and the true one would miss a line.
def test_a_log_needs_an_engine_that_is_known_or_said_to_be_new(book: Book) -> None:
    with pytest.raises(NotInBook, match=r"0417: The book knows no such engine\. It knows none yet"):
        book.add_event("0417", "oil change", key=key(), **WHO)
    book.add_event("0417", "heat cycle", new_engine=True, key=key(), **WHO)
    with pytest.raises(NotInBook, match="It knows 0417"):
        book.events("0147")
    with pytest.raises(InputRefused, match="says what was done"):
        book.add_event("0417", " ", key=key(), **WHO)
    book.start(header(), sheet_text=None, key=key(), **WHO)
    assert [(each.key, each.name, each.events) for each in book.engines()] == [("0417", "Launch six", 1)]
    assert book.verify() == ()


# If this failed, the book would mix up whose engine it is.
def test_owners(book: Book) -> None:
    book.start(header(), sheet_text=None, key=key(), **WHO)
    assert book.owner("0417") is None
    book.set_owner("0417", Owner("First Owner"))
    second = Owner("Zweite Eigentümerin", "0000 / 1", "a street\na town", "note")
    book.set_owner("Launch six", second)
    assert book.owner("0417") == second
    assert book.verify() == ()
    with pytest.raises(NotInBook):
        book.set_owner("0500", second)
    with pytest.raises(InputRefused, match="owner's name"):
        book.set_owner("0417", Owner("a\0b"))
    with pytest.raises(InputRefused, match="owner's contact"):
        book.set_owner("0417", Owner("a", "\ud800"))
    assert book.owner("0417") == second


# If this failed, a wrong address would be printed on a sheet, and nobody would know that it had changed by itself.
def test_a_changed_owner_is_found(book: Book) -> None:
    book.start(header(), sheet_text=None, key=key(), **WHO)
    book.set_owner("0417", Owner("An Owner", "0000 / 1"))
    with behind(book) as connection:
        connection.exec_driver_sql("UPDATE owners SET contact = '0000 / 3'")
    (finding,) = book.verify()
    assert "owner of '0417'" in str(finding)
    with pytest.raises(BookDamaged, match="et the owner anew"):
        book.owner("0417")


# If this failed, a person who asked to be forgotten would still be in the book, or a test would go with him.
def test_an_owner_is_forgotten_and_the_tests_stay(book: Book) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    book.set_owner("0417", Owner("An Owner"))
    recorded = book.test(test_id)
    assert book.forget_owner("Launch six")
    assert not book.forget_owner("0417")
    assert book.owner("0417") is None
    assert book.test(test_id) == recorded
    assert book.verify() == ()


# If this failed, the name of a forgotten owner could be read off the disk with any editor.
def test_nothing_of_a_forgotten_owner_is_left_in_the_file(file_book: Book) -> None:
    file_book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    secret = "Qwertz-Zuiop " * 400
    file_book.set_owner("0417", Owner("Unforgettable Name", note=secret))
    file_book.set_owner("0417", Owner("Unforgettable Name", contact="changed", note=secret[:100]))
    path = file_of(file_book)
    assert b"Unforgettable" in path.read_bytes()
    file_book.forget_owner("0417")
    for left in path.parent.iterdir():
        raw = left.read_bytes()
        assert b"Unforgettable" not in raw
        assert b"Qwertz-Zuiop" not in raw
