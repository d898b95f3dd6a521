"""Take a readings file into the record book."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.engine import BuildSheet
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.records import Header
from ringtrue.shop.in_order import Known, doubts, refuse_not_come
from ringtrue.shop.judging import FileAndWords, Judged, Taken, judge_so_far, judge_test, read_test

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringtrue.measure import SeriesJudgement
    from ringtrue.records import Book, Recorded


@dataclass(frozen=True, slots=True)
class Entered:
    """
    A file that is now in the book.

    Parameters
    ----------
    test_id : str
        The test's id.
    head : str
        Head of its chain.
    readings : int
        How many readings it has.
    already : bool
        The same file was entered before; nothing was added.
    warnings : tuple of str
        What the person should know of the file.
    """

    test_id: str
    head: str
    readings: int
    already: bool
    warnings: tuple[str, ...]


def enter_file(book: Book, words: FileAndWords, *, who: str, device: str) -> Entered:
    """
    Enter a readings file as one test, whole or not at all.

    Parameters
    ----------
    book : Book
        The record book.
    words : FileAndWords
        The file and what is said with it; the sheet is needed.
    who, device : str
        Who enters it, and on which machine.

    Returns
    -------
    Entered
        The test. Entering the same files again adds nothing and finds the same test.

    Raises
    ------
    InputRefused
        One of the files cannot be used, or its day has not come; nothing was entered.
    BookUnusable
        The book cannot be used.
    """
    if words.sheet is None:
        raise InputRefused.of(
            "", "the book needs to know which engine this is", "say --sheet and the engine's build sheet"
        )
    taken = read_test(words)
    if taken.sheet is None:  # pragma: no cover - read_test read it or refused it
        raise AssertionError
    refuse_not_come(taken.test.date)
    key = _fingerprint(taken)
    before = _tests_of(book, taken.sheet.key)
    header = header_of(taken, taken.sheet)
    cylinders = frozenset(row.cylinder for row in taken.test.taken)
    said = Known(taken.test.date, taken.test.run_since_build, cylinders, "this test")
    odd = doubts(book, taken.sheet.key, said, taken.sheet.cylinders)
    test_id = book.enter(header, taken.test.taken, sheet_text=taken.sheet_text, key=key, who=who, device=device)
    recorded = book.test(test_id)
    return Entered(test_id, recorded.head, len(recorded.test.taken), test_id in before, (*taken.warnings, *odd))


def header_of(taken: Taken, sheet: BuildSheet) -> Header:
    """
    Make the header of a test that comes from a file.

    Parameters
    ----------
    taken : Taken
        The test.
    sheet : BuildSheet
        The engine.

    Returns
    -------
    Header
        What belongs to the whole test.
    """
    test = taken.test
    return Header(
        engine=sheet.key,
        engine_name=sheet.name,
        date=test.date,
        by=test.by,
        run_since_build=test.run_since_build,
        gauge=test.gauge,
        conditions=test.conditions,
        plan_order=sheet.pull_order,
    )


def judge_recorded(recorded: Recorded, limits: Mapping[str, float]) -> Judged:
    """
    Judge a test of the book, against the build sheet of its day.

    Parameters
    ----------
    recorded : Recorded
        The test.
    limits : mapping of str to float
        Thresholds that the shop has changed.

    Returns
    -------
    Judged
        What was found.

    Raises
    ------
    SheetRefused
        The sheet that was entered with it cannot be used.
    """
    from ringtrue.intake import parse_sheet

    sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    return judge_test(recorded.test, sheet, limits)


def figures_recorded(recorded: Recorded, limits: Mapping[str, float]) -> SeriesJudgement | None:
    """
    Work out the figures of a test of the book for a list, where what the engine should show is not asked.

    Parameters
    ----------
    recorded : Recorded
        The test.
    limits : mapping of str to float
        Thresholds that the shop has changed.

    Returns
    -------
    SeriesJudgement or None
        The dry series, or the only one; None for a test without a pull.

    Raises
    ------
    SheetRefused
        The sheet that was entered with it cannot be used.
    """
    from ringtrue.intake import parse_sheet

    sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    return judge_so_far(recorded.test, sheet, limits).main


def _tests_of(book: Book, engine: str) -> set[str]:
    try:
        return {summary.test_id for summary in book.tests(engine)}
    except NotInBook:
        return set()


def _fingerprint(taken: Taken) -> str:
    """Name the same files alike, so that entering them twice is entering them once."""
    told = hashlib.sha256(repr(taken.test).encode())
    told.update(taken.sheet_text.encode())
    return f"file-{told.hexdigest()[:32]}"
