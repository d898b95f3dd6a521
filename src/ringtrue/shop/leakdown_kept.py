"""A leak-down reading goes into the book: into a test that is there, or as a test of its own."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringtrue.compression import LeakdownReading
from ringtrue.errors import InputRefused
from ringtrue.intake import Day, parse_sheet
from ringtrue.shop.leakdown import Engine
from ringtrue.shop.opening import header_for

if TYPE_CHECKING:
    from ringtrue.records import Book


@dataclass(frozen=True, slots=True)
class Kept:
    """
    A leak-down reading that is in the book.

    Parameters
    ----------
    test_id : str
        The test.
    seq : int
        The entry's number.
    head : str
        Head of the chain after it.
    repeat : int or None
        Which declared repeat of the cylinder it is; None for its first reading.
    """

    test_id: str
    seq: int
    head: str
    repeat: int | None


def keep(book: Book, test_id: str, reading: LeakdownReading, *, who: str, device: str, key: str = "") -> Kept:
    """
    Add a leak-down reading to a test of the book, finished or not.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    reading : LeakdownReading
        The reading; a second one of its cylinder is kept as a declared repeat.
    who, device : str
        Who reads, on which machine.
    key : str
        Made where the reading was taken, so that what is sent twice is kept once; empty for one of its own.

    Returns
    -------
    Kept
        What stands in the book when this returns.

    Raises
    ------
    InputRefused
        It is not said which cylinder, or the key stands on another reading.
    NotInBook
        There is no such test.
    BookUnusable
        The book cannot be written; nothing was acknowledged.
    """
    _which_cylinder(reading)
    recorded = book.test(test_id)
    made = book.made_with(key) if key else None
    if made is not None and isinstance(made[1], LeakdownReading):
        # The first time it got its number among the repeats; sent again it is the same reading.
        repeat = made[1].repeat
    else:
        before = [row for row in recorded.test.leakdowns if row.cylinder == reading.cylinder]
        repeat = max((row.repeat or 1 for row in before), default=0) + 1 if before else None
    entry = book.add(
        recorded.test_id,
        replace(reading, repeat=repeat, read_by=who),
        key=key or f"leakdown-{secrets.token_hex(16)}",
        who=who,
        device=device,
    )
    return Kept(recorded.test_id, entry.seq, entry.hash, repeat)


def keep_new(
    book: Book, engine: Engine, sheet_text: str, reading: LeakdownReading, *, by: str, who: str, device: str
) -> Kept:
    """
    Make a test of the book of one leak-down reading; further ones may be added to it.

    Parameters
    ----------
    book : Book
        The record book.
    engine : Engine
        The engine, whose sheet is needed, and the day.
    sheet_text : str
        The sheet as it was written.
    reading : LeakdownReading
        The reading.
    by : str
        Whose test it is; empty when not said.
    who, device : str
        Who reads, on which machine.

    Returns
    -------
    Kept
        What stands in the book when this returns.

    Raises
    ------
    InputRefused
        The engine, or which cylinder, is not said.
    BookUnusable
        The book cannot be written; nothing was acknowledged.
    """
    _which_cylinder(reading)
    if engine.sheet is None:
        why = "the book needs to know which engine this is"
        raise InputRefused.of("--into new", why, "say --sheet and the engine's build sheet")
    header = header_for(
        engine.sheet, engine.sheet.key, engine.sheet.pull_order, engine.day, gauge=engine.day.gauge, by=by
    )
    key = f"leakdown-{secrets.token_hex(16)}"
    rows = (replace(reading, read_by=who),)
    test_id = book.enter(header, rows, sheet_text=sheet_text, key=key, who=who, device=device)
    recorded = book.test(test_id)
    return Kept(test_id, recorded.standing[0], recorded.head, None)


def engine_of_test(book: Book, test_id: str) -> Engine:
    """
    Find what a reading that comes late is held against: the sheet and the day of its test.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.

    Returns
    -------
    Engine
        As the test began with it.

    Raises
    ------
    NotInBook
        There is no such test.
    BookUnusable
        The book cannot be used, or the test is not what was written.
    """
    recorded = book.test(test_id)
    header = recorded.header
    sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    day = Day(header.date, header.by, header.run_since_build, header.gauge, header.conditions)
    return Engine(sheet, header.plan_order, day)


def _which_cylinder(reading: LeakdownReading) -> None:
    if not reading.cylinder:
        raise InputRefused.of(
            "--into", "the book needs to know which cylinder this is", "say it, for example --cylinder 3"
        )
