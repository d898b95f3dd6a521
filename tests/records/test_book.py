"""What goes into a book comes out of it, once and to the letter."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.records.making import (
    SHEET,
    WHO,
    full_pull,
    header,
    key,
    leakdown,
    pull,
    reading,
    six_pulls,
)

from ringtrue.compression import CompressionTest, LeakdownReading, Pull, Reading
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.quantities import PaGauge
from ringtrue.records import Book, EntryKind
from ringtrue.wording import short_head

if TYPE_CHECKING:
    from collections.abc import Callable


# If this failed, a reading would come back as another than was taken, or under another test.
def test_a_test_comes_back_as_it_was_taken(book: Book) -> None:
    rows: tuple[Pull | LeakdownReading, ...] = (*six_pulls(), full_pull(), leakdown("5", 58.25))
    test_id = book.start(header(), sheet_text=SHEET, key=key(), **WHO)
    entries = [book.add(test_id, row, key=key(), **WHO) for row in rows]
    recorded = book.test(test_id)
    said = header()
    assert recorded.test == CompressionTest(rows, said.date, said.by, said.run_since_build, said.gauge, said.conditions)
    assert (recorded.header, recorded.sheet_text, recorded.sheet_revision) == (said, SHEET, 1)
    assert recorded.entries[1:] == tuple(entries)
    assert [entry.seq for entry in recorded.entries] == list(range(1, len(rows) + 2))
    assert recorded.standing == tuple(entry.seq for entry in entries)
    assert recorded.head == entries[-1].hash
    assert (recorded.finished, recorded.corrections) == (False, ())
    assert (recorded.opened_at, recorded.last_at) == (recorded.entries[0].at, entries[-1].at)
    assert {(entry.who, entry.device) for entry in recorded.entries} == {("a builder", "shop PC")}


# If this failed, a builder who closes the program would find another book when he comes back.
def test_another_program_sees_what_was_written(book: Book, where: str) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=SHEET, key=key(), **WHO)
    with Book.open(where, create=False) as again:
        assert again.test(test_id) == book.test(test_id)
        assert again.verify() == ()


# If this failed, a phone that repeats what it could not see arrive would make a second test or a second reading.
def test_the_same_key_never_writes_twice(book: Book) -> None:
    test_id = book.start(header(), sheet_text=SHEET, key="start", **WHO)
    entry = book.add(test_id, pull("1", 150), key="pull", **WHO)
    fixed = book.correct(test_id, entry.seq, pull("1", 151), why="misread", key="fix", **WHO)
    gone = book.withdraw(test_id, fixed.seq, why="wrong cylinder", key="gone", **WHO)
    changed = book.change_header(test_id, header(by="another"), why="typed wrong", key="head", **WHO)
    done = book.finish(test_id, key="done", **WHO)
    before = book.export()
    assert book.start(header(), sheet_text=SHEET, key="start", **WHO) == test_id
    assert book.add(test_id, pull("1", 150), key="pull", **WHO) == entry
    assert book.correct(test_id, entry.seq, pull("1", 151), why="misread", key="fix", **WHO) == fixed
    assert book.withdraw(test_id, fixed.seq, why="wrong cylinder", key="gone", **WHO) == gone
    assert book.change_header(test_id, header(by="another"), why="typed wrong", key="head", **WHO) == changed
    assert book.finish(test_id, key="done", **WHO) == done
    assert book.finish(test_id, key="done again", **WHO) == done
    assert book.export() == before


# If this failed, a phone that gives an old key to a new reading would be told that the new one is saved.
@pytest.mark.parametrize(
    "deed",
    [
        lambda book, test_id: book.add(test_id, pull("1", 151), key="pull", **WHO),
        lambda book, test_id: book.add(test_id, leakdown("1", 70), key="pull", **WHO),
        lambda book, _: book.start(header(), sheet_text=None, key="pull", **WHO),
        lambda book, _: book.start(header(), sheet_text=SHEET, key="start", **WHO),
        lambda book, test_id: book.correct(test_id, 2, pull("1", 160), why="misread", key="pull", **WHO),
        lambda book, test_id: book.withdraw(test_id, 2, why="misread", key="pull", **WHO),
        lambda book, test_id: book.change_header(test_id, header(by="B"), why="typed wrong", key="pull", **WHO),
        lambda book, test_id: book.finish(test_id, key="pull", **WHO),
        lambda book, _: book.add_event("0417", "oil change", key="pull", **WHO),
        lambda book, _: book.add(
            book.start(header(), sheet_text=None, key="other", **WHO), pull("1", 150), key="pull", **WHO
        ),
    ],
)
def test_the_same_key_for_something_else_is_refused(book: Book, deed: Callable[[Book, str], object]) -> None:
    test_id = book.start(header(), sheet_text=None, key="start", **WHO)
    book.add(test_id, pull("1", 150), key="pull", **WHO)
    with pytest.raises(InputRefused, match=r"(pull|start): This key already stands on the .* nothing was written"):
        deed(book, test_id)
    assert len(book.test(test_id).entries) == 2


# If this failed, a file would be half in the book after a kill, or twice after the second try.
def test_many_readings_are_one_commit(book: Book) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=SHEET, key="file", **WHO)
    assert book.enter(header(), six_pulls(), sheet_text=SHEET, key="file", **WHO) == test_id
    recorded = book.test(test_id)
    assert (recorded.test.taken, recorded.finished) == (six_pulls(), True)
    assert [entry.key for entry in recorded.entries[1:]] == [*(f"file/{n}" for n in range(1, 7)), "file/finished"]
    more = (pull("1", 160), pull("2", float("nan")))
    with pytest.raises(InputRefused, match="cannot be written down exactly"):
        book.add_all(test_id, more, key="more", **WHO)
    with pytest.raises(InputRefused, match="cannot be written down exactly"):
        book.enter(header(), more, sheet_text=None, key="new", **WHO)
    assert book.test(test_id) == recorded
    assert len(book.tests()) == 1
    assert [entry.seq for entry in book.add_all(test_id, more[:1], key="more", **WHO)] == [9]


# If this failed, a reading that reached the shop after the test was closed would be lost.
def test_a_late_reading_still_gets_in(book: Book) -> None:
    test_id = book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    late = book.add(test_id, leakdown("5", 60), key=key(), **WHO)
    recorded = book.test(test_id)
    assert recorded.entries[-1] == late
    assert recorded.test.leakdowns == (leakdown("5", 60),)
    assert recorded.finished


# If this failed, an id on a sheet could not be typed by a person, or would be two tests.
def test_ids_can_be_typed(book: Book) -> None:
    ids = [book.start(header(), sheet_text=None, key=key(), **WHO) for _ in range(20)]
    assert len(set(ids)) == 20
    assert all(re.fullmatch(r"[2-9b-df-hj-np-tv-xz]{4}-[2-9b-df-hj-np-tv-xz]{4}", test_id) for test_id in ids)
    wanted = book.test(ids[3])
    for typed in (ids[3].upper(), ids[3].replace("-", ""), ids[3].replace("-", " "), f"  {ids[3]} "):
        assert book.test(typed) == wanted


# If this failed, a slip of the pen would open nothing, and say nothing of use.
@pytest.mark.parametrize("typed", ["", "gauges", "events", "zzzz-zzzz", "k3v9", "'; drop table entries", "\0"])
def test_an_unknown_test_is_refused_in_words(book: Book, typed: str) -> None:
    book.add_gauge(replace(full_gauge(), name="g"), key=key(), **WHO)
    deeds: list[Callable[[], Any]] = [
        lambda: book.test(typed),
        lambda: book.add(typed, pull("1", 150), key=key(), **WHO),
        lambda: book.finish(typed, key=key(), **WHO),
        lambda: book.export(typed),
    ]
    for deed in deeds:
        with pytest.raises(NotInBook, match=r"(?s)no such test.*book list"):
            deed()


def full_gauge() -> Any:  # noqa: ANN401 - a gauge
    """Return a gauge from a header."""
    return header().gauge


# If this failed, an entry would name nobody, and a quarrel over a reading could not be settled.
@pytest.mark.parametrize("part", ["key", "who", "device"])
@pytest.mark.parametrize("given", ["", "  ", "a\nb", "a\0b", "x" * 201, "\ud800"])
def test_every_entry_names_who_and_on_what(file_book: Book, part: str, given: str) -> None:
    stamp: dict[str, Any] = {"key": "k", **WHO, part: given}
    with pytest.raises(InputRefused, match=part):
        file_book.start(header(), sheet_text=None, **stamp)
    assert file_book.tests() == ()


# If this failed, a figure that is no number, or a text that is none, would be stored as something else.
@pytest.mark.parametrize(
    "row",
    [
        pull("1", float("inf")),
        pull("1", float("nan")),
        Pull(cylinder="1", note="\ud800"),
        Pull(cylinder=1),  # type: ignore[arg-type]
        Pull(cylinder="1", strokes=2.5),  # type: ignore[arg-type]
        Pull(cylinder="1", repeat=True),
        Pull(cylinder="1", final="150 psi"),  # type: ignore[arg-type]
        Pull(cylinder="1", kind="leakdown"),  # type: ignore[arg-type]
    ],
)
def test_what_cannot_be_kept_exactly_is_refused(file_book: Book, row: Pull) -> None:
    test_id = file_book.start(header(), sheet_text=None, key=key(), **WHO)
    with pytest.raises(InputRefused):
        file_book.add(test_id, row, key=key(), **WHO)
    assert len(file_book.test(test_id).entries) == 1


# If this failed, a sheet with characters that no file can hold would stop the book later, with the readings in it.
@pytest.mark.parametrize("text", ["a\0b", "a\ud800b"])
def test_a_sheet_that_is_no_text_is_refused(file_book: Book, text: str) -> None:
    with pytest.raises(InputRefused, match="build sheet"):
        file_book.start(header(), sheet_text=text, key=key(), **WHO)
    assert (file_book.tests(), file_book.engines()) == ((), ())


# If this failed, a floating-point figure would change by its last bit on the way through the book.
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(alphabet=st.characters(codec="utf-8"), max_size=30),
    st.text(alphabet=st.characters(codec="utf-8"), max_size=30),
)
def test_every_figure_and_every_text_survives(file_book: Book, pascal: float, text: str, note: str) -> None:
    row = Pull(cylinder=text, final=Reading(PaGauge(pascal), text, text), note=note, extra=((text, note),))
    test_id = file_book.start(header(), sheet_text=None, key=key(), **WHO)
    file_book.add(test_id, row, key=key(), **WHO)
    (found,) = file_book.test(test_id).test.taken
    assert found == row
    assert isinstance(found, Pull)
    assert found.final is not None
    assert found.final.pressure.hex() == pascal.hex()
    assert file_book.verify(test_id) == ()


# If this failed, the lists would show another engine's tests, or hide one that is still open.
def test_lists(book: Book) -> None:
    first = book.start(header(), sheet_text=SHEET, key=key(), **WHO)
    book.add(first, pull("1", 150), key=key(), **WHO)
    gone = book.add(first, pull("2", 150), key=key(), **WHO)
    book.withdraw(first, gone.seq, why="wrong cylinder", key=key(), **WHO)
    second = book.enter(header("0500", "Green four"), six_pulls()[:4], sheet_text="four\n", key=key(), **WHO)
    third = book.enter(header(), six_pulls(), sheet_text=SHEET + "# changed\n", key=key(), **WHO)
    fourth = book.start(header("0500", "Green four"), sheet_text="four\n", key=key(), **WHO)
    assert [summary.test_id for summary in book.tests()] == [first, second, third, fourth]
    assert [summary.readings for summary in book.tests()] == [1, 4, 6, 0]
    assert [summary.test_id for summary in book.tests("0417")] == [first, third]
    assert [summary.test_id for summary in book.tests("Launch six")] == [first, third]
    assert [summary.test_id for summary in book.open_tests()] == [first, fourth]
    assert [summary.test_id for summary in book.open_tests("Green four")] == [fourth]
    assert book.open_tests("not known yet") == ()
    assert [(each.key, each.name, each.tests, each.sheets) for each in book.engines()] == [
        ("0417", "Launch six", 2, 2),
        ("0500", "Green four", 2, 1),
    ]
    assert [(each.revision, each.text, each.tests) for each in book.sheets("0417")] == [
        (1, SHEET, (first,)),
        (2, SHEET + "# changed\n", (third,)),
    ]
    assert book.test(third).sheet_revision == 2
    summary = book.tests()[0]
    assert (summary.header, summary.finished) == (header(), False)
    assert summary.head == book.test(first).head
    with pytest.raises(NotInBook, match="knows 0417, 0500"):
        book.tests("0999")


# If this failed, two engines would share one history, and each would be judged by the other's past.
@pytest.mark.parametrize(
    ("engine", "name", "says"),
    [
        ("0417", "Green four", "the engine 0417 is called Launch six"),
        ("0500", "Launch six", r"another engine by that name, 0417 \(Launch six\)"),
        ("Launch six", "Launch six", r"another engine by that name, 0417 \(Launch six\)"),
        ("Launch six", "", r"another engine by that name, 0417 \(Launch six\)"),
        ("0600", "0417", r"another engine by that name, 0417 \(Launch six\)"),
        ("", "", "every entry of the book names it"),
        ("  ", "x", "every entry of the book names it"),
    ],
)
def test_two_engines_of_one_name_are_refused(book: Book, engine: str, name: str, says: str) -> None:
    book.start(header(), sheet_text=None, key=key(), **WHO)
    with pytest.raises(InputRefused, match=says):
        book.start(header(engine, name), sheet_text=None, key=key(), **WHO)
    assert len(book.tests()) == 1


# If this failed, an engine first known by its number alone would stay without its name.
def test_a_name_may_come_later(book: Book) -> None:
    book.start(header("0417", ""), sheet_text=None, key=key(), **WHO)
    book.start(header("0417", "Launch six"), sheet_text=None, key=key(), **WHO)
    book.start(header("0417", ""), sheet_text=None, key=key(), **WHO)
    assert [(each.key, each.name, each.tests) for each in book.engines()] == [("0417", "Launch six", 3)]
    assert book.verify() == ()


# If this failed, a sheet taken back to its earlier wording would be counted as yet another one.
def test_the_same_sheet_is_one_revision(book: Book) -> None:
    for text in (SHEET, SHEET + "#", SHEET):
        book.start(header(), sheet_text=text, key=key(), **WHO)
    assert [len(each.tests) for each in book.sheets("0417")] == [2, 1]


# If this failed, a clock that jumps would put readings in another order than they were taken.
def test_order_comes_from_the_book_and_never_from_the_clock(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    times = iter(["2036-01-01T00:00:00.000000Z", "2016-01-01T00:00:00.000000Z", "2026-10-25T02:30:00.000000Z", "then"])
    monkeypatch.setattr("ringtrue.records._chain.now", lambda: next(times))
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
    for row in six_pulls()[:3]:
        book.add(test_id, row, key=key(), **WHO)
    recorded = book.test(test_id)
    assert recorded.test.taken == six_pulls()[:3]
    assert [entry.at[:4] for entry in recorded.entries] == ["2036", "2016", "2026", "then"]
    assert book.verify() == ()


# If this failed, the head on a sheet would be longer than a person types, or too short to mean anything.
def test_the_head_on_paper(book: Book) -> None:
    head = book.test(book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)).head
    assert re.fullmatch(r"[0-9a-f]{64}", head)
    assert re.fullmatch(r"([0-9a-f]{4}-){4}[0-9a-f]{4}", short_head(head))
    assert head.startswith(short_head(head).replace("-", ""))


# If this failed, the kinds of entries in older books would no longer be known. (frozen)
def test_kinds_of_entries_are_what_they_were() -> None:
    assert [str(kind) for kind in EntryKind] == [
        "opened",
        "pull",
        "leak-down",
        "correction",
        "withdrawal",
        "header",
        "finished",
        "put aside",
        "gauge",
        "event",
        "event taken back",
        "photograph",
        "photograph on sheet",
        "photograph taken back",
        "photograph erased",
    ]


# If this failed, a reading without a first, or without any figure, could not be kept as what it is: missing.
def test_missing_stays_missing(book: Book) -> None:
    rows = (Pull(cylinder="1"), Pull(cylinder="2", final=reading(0)), Pull(cylinder="3", first=reading(90)))
    test_id = book.enter(header(), rows, sheet_text=None, key=key(), **WHO)
    assert book.test(test_id).test.taken == rows


# If this failed, every command would wait for a database library, also those that need none.
def test_the_package_is_light_until_a_book_is_opened() -> None:
    look = "import sys, ringtrue.records as r; print(sorted({'sqlalchemy', 'alembic'} & set(sys.modules))); r.Book; "
    look += "print(sorted({'sqlalchemy', 'alembic', 'psycopg'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["[]", "['sqlalchemy']"]
