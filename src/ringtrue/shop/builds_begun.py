"""Where builds began: engines at their first tests, and again after work that made other engines of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.errors import BookDamaged
from ringtrue.shop.course_tests import OnCourse, first_after, in_order

if TYPE_CHECKING:
    from ringtrue.records import Book, EngineTests


@dataclass(frozen=True, slots=True)
class Begun:
    """
    A build, with the tests among which its hand-over is looked for.

    Parameters
    ----------
    engine, name : str
        How the book knows the engine, and what it is called.
    tests : tuple of str
        Ids of its finished tests until the next build of the same engine, in the order of their days.
    first : str
        ISO date of the first of them.
    after : str
        The work that made another engine of it; empty for the first build.
    """

    engine: str
    name: str
    tests: tuple[str, ...]
    first: str
    after: str = ""


def builds_begun(book: Book, *, latest: int | None, since: str) -> tuple[Begun, ...]:
    """
    Find where builds began.

    Parameters
    ----------
    book : Book
        The record book; chains are checked of engines that were rebuilt, and else by whoever reads the tests.
    latest : int or None
        So many builds at most, those that began last; None for all.
    since : str
        ISO date: those that began on that day or later; empty for all.

    Returns
    -------
    tuple of Begun
        The one last that began last.

    Raises
    ------
    BookUnusable
        The book cannot be used.
    """
    again = book.rebuilt()
    found = [
        Begun(each.engine, each.name, each.tests, each.first)
        for each in book.engines_by_first_test(latest=latest, since=since)
        if each.engine not in again
    ]
    for each in book.engines_by_first_test(only=again):
        found += [begun for begun in _parted(book, each) if begun.first >= since]
    found.sort(key=lambda each: each.first)
    return tuple(found if latest is None else found[-latest:])


def _parted(book: Book, engine: EngineTests) -> Iterator[Begun]:
    """Part the tests of an engine where work made another one of it."""
    whole = Begun(engine.engine, engine.name, engine.tests, engine.first)
    recorded = list(book.tests_read(engine.tests))
    read = [each for each in recorded if not isinstance(each, BookDamaged)]
    if len(read) < len(recorded):
        # Which build a damaged test is of cannot be told.
        yield whole
        return
    course = in_order([OnCourse(each, each.test, None, "") for each in read])
    begins = {0: ""}
    for event in book.events(engine.engine):
        if event.new_baseline and 0 < (place := first_after(course, event)) < len(course):
            begins[place] = event.text
    ends = [*sorted(begins)[1:], len(course)]
    for (place, work), end in zip(sorted(begins.items()), ends, strict=True):
        tests = course[place:end]
        first = tests[0].date or tests[0].recorded.opened_at[:10]
        yield Begun(engine.engine, engine.name, tuple(each.test_id for each in tests), first, work)
