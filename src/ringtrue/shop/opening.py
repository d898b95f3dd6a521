"""Before the first pull: an open test to go on with, or the header of a new one."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from typing import TYPE_CHECKING

from ringtrue.compression import Gauge
from ringtrue.engine import BuildSheet
from ringtrue.errors import NotInBook
from ringtrue.intake import Day
from ringtrue.records import Header

if TYPE_CHECKING:
    from ringtrue.records import Book, Summary


def open_test(book: Book, named: str, engine: str) -> Summary | None:
    """
    Find a test that was begun and not finished.

    Parameters
    ----------
    book : Book
        The record book.
    named : str
        Its id, or "last"; empty to look for one of the engine.
    engine : str
        The engine's key; empty when not known.

    Returns
    -------
    Summary or None
        The latest that fits; None when none was named and none is open.

    Raises
    ------
    NotInBook
        One was named and is not open.
    """
    if not named and not engine:
        return None
    wanted = named
    if named not in {"", "last"}:
        with suppress(NotInBook):
            wanted = book.test(named).test_id  # as the book spells it
    found = [test for test in book.open_tests(engine or None) if wanted in {"", "last", test.test_id}]
    if found:
        return found[-1]
    if named:
        raise NotInBook.of(
            f"--go-on {named}", "no such test is open", "look with ringtrue book list, or leave --go-on out"
        )
    return None


def known_as(book: Book, named: str) -> str:
    """
    Find under which key the book files an engine.

    Parameters
    ----------
    book : Book
        The record book.
    named : str
        Its reference or its name, in capitals or not.

    Returns
    -------
    str
        Its key; what was typed for an engine that the book does not know.
    """
    try:
        return book.engine(named).key
    except NotInBook:
        return named


def header_for(
    sheet: BuildSheet | None, engine: str, order: tuple[str, ...], day: Day, *, gauge: Gauge | None, by: str
) -> Header:
    """
    Make the header of a test that is about to begin.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.
    engine : str
        How the book is to know it.
    order : tuple of str
        The cylinders in the order of the test.
    day : Day
        What the test file says; its date is today where it says none.
    gauge : Gauge or None
        The gauge.
    by : str
        Who takes the test, where the day does not say.

    Returns
    -------
    Header
        What belongs to the whole test.
    """
    return Header(
        engine=engine,
        engine_name=sheet.name if sheet else "",
        date=day.date or dt.datetime.now().astimezone().date().isoformat(),
        by=day.by or by,
        run_since_build=day.run_since_build,
        gauge=gauge,
        conditions=day.conditions,
        plan_order=order,
    )
