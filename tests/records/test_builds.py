"""Engines in the order of their first tests, on both kinds of book."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.records.making import WHO, header, key, six_pulls

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
