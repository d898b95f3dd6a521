"""Engines in the order of their first tests, on both kinds of book."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from tests.records.making import WHO, header, key, six_pulls

from ringtrue.errors import InputRefused
from ringtrue.intake import Settings
from ringtrue.shop.heading import correct_day
from ringtrue.shop.reporting import hand_over_recorded
from ringtrue.shop.trending import follow
from ringtrue.shop.workmanship import asked_for, look_back

if TYPE_CHECKING:
    from ringtrue.records import Book


def taken(book: Book, engine: str, date: str) -> str:
    """Write a whole test of an engine."""
    return book.enter(header(engine, f"Engine {engine}", date=date), six_pulls(), sheet_text=None, key=key(), **WHO)


# If this failed, an engine would be left out of the last builds, or stand in them by a test that is not its first: one
# that nobody finished, or one that came into the book before an earlier one was brought in.
def test_the_last_engines_by_their_first_tests(book: Book) -> None:
    later = taken(book, "1", "2026-05-01")
    earlier = taken(book, "1", "2025-05-01")
    book.start(header("2", "Engine 2", date="2024-01-01"), sheet_text=None, key=key(), **WHO)
    second = taken(book, "2", "2026-02-01")
    third = taken(book, "3", "2026-03-01")
    found = book.engines_by_first_test()
    assert [(each.engine, each.first, each.tests) for each in found] == [
        ("1", "2025-05-01", (earlier, later)),
        ("2", "2026-02-01", (second,)),
        ("3", "2026-03-01", (third,)),
    ]
    assert [each.engine for each in book.engines_by_first_test(latest=2)] == ["2", "3"]
    assert [each.engine for each in book.engines_by_first_test(since="2026-01-01")] == ["2", "3"]
    assert [each.engine for each in book.engines_by_first_test(only=["3", "1", "none"])] == ["1", "3"]
    made = look_back(book, asked_for("", "", "", ""))
    assert [each.build.test_id for each in made.handed] == [earlier, second, third]


# If this failed, a test that is wrong as a whole would shape baseline, trend and workmanship for ever, or would vanish
# from the book, or stay away after a reading that came late took it up again.
def test_a_whole_test_that_was_put_aside(book: Book) -> None:
    wrong, right = taken(book, "1", "2025-05-01"), taken(book, "1", "2026-05-01")
    other = taken(book, "2", "2026-06-01")
    before = book.test(wrong).test
    for _ in range(2):
        book.put_aside(wrong, why="the gauge leaked all day", key="aside", **WHO)
    found = book.engines_by_first_test()
    assert [(each.engine, each.first, each.tests) for each in found] == [
        ("1", "2026-05-01", (right,)),
        ("2", "2026-06-01", (other,)),
    ]
    assert {each.test_id: each.counts for each in book.tests("1")} == {wrong: False, right: True}
    assert [each.test_id for each in follow(book, "1", {}).course] == [right]
    kept = book.test(wrong)
    assert (kept.test, kept.put_aside) == (before, "the gauge leaked all day")
    paper = [hand_over_recorded(book, each, Settings(), explained=False).put_aside for each in (wrong, right)]
    assert paper == ["the gauge leaked all day", ""]
    assert book.verify() == ()
    with pytest.raises(InputRefused, match="put aside already"):
        book.put_aside(wrong, why="again", key=key(), **WHO)
    book.add(wrong, replace(six_pulls()[0], repeat=2), key=key(), **WHO)
    assert {each.test_id for each in book.tests("1") if each.counts} == {wrong, right}
    assert book.engines_by_first_test()[0].first == "2025-05-01"


# If this failed, a date or a run that was mistyped could be put right on the pages alone, without its reason.
def test_the_day_of_a_test_is_put_right_by_command(book: Book) -> None:
    test = taken(book, "1", "2025-05-01")
    made = correct_day(book, test, date="2025-05-02", run="700 mile", why="read off the wrong line", **WHO)
    header = book.test(test).header
    assert (header.date, str(header.run_since_build)) == ("2025-05-02", "700 mile")
    assert book.test(test).corrections[-1].why == "read off the wrong line"
    assert made.seq == len(book.test(test).entries)
    with pytest.raises(InputRefused, match=r"--run: .*500 mile[\s\S]*--why: A change has a reason"):
        correct_day(book, test, date=None, run="soon", why="", **WHO)
    with pytest.raises(InputRefused, match="belong to the whole test"):
        correct_day(book, test, date="2025-05-03", run=None, why="x", of_reading=True, **WHO)


# If this failed, a date that was put right would leave the engine where the wrong one had put it.
def test_a_date_that_was_put_right(book: Book) -> None:
    test = taken(book, "1", "2062-05-01")
    taken(book, "2", "2026-05-01")
    right = header("1", "Engine 1", date="2026-04-01")
    book.change_header(test, right, why="a slip", key=key(), **WHO)
    assert [(each.engine, each.first) for each in book.engines_by_first_test()] == [
        ("1", "2026-04-01"),
        ("2", "2026-05-01"),
    ]
