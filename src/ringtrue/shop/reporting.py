"""Paper: the hand-over sheet and the worksheet for pencil."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.diagnosis import PatternKey
from ringtrue.errors import CannotWrite, InputRefused
from ringtrue.intake import practice_of
from ringtrue.report import (
    CorrectionShown,
    HandOver,
    OverTime,
    Paper,
    SheetContent,
    WorkPlan,
    as_html,
    as_pdf,
    content,
    worksheet,
)
from ringtrue.shop.entering import judge_recorded
from ringtrue.shop.explaining import explain_recorded, explain_test
from ringtrue.shop.foreseeing import before_test, foresee
from ringtrue.shop.photographs import on_paper
from ringtrue.shop.typed import order_of
from ringtrue.shop.workplace import write_file
from ringtrue.units import Dimension, find_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from ringtrue.compression import Gauge
    from ringtrue.diagnosis.explanation import Explanation
    from ringtrue.engine import BuildSheet
    from ringtrue.intake import Settings
    from ringtrue.records import Book, Correction, Recorded
    from ringtrue.shop.explaining import ExplainedTest
    from ringtrue.shop.judging import Judged


def hand_over(found: Judged, settings: Settings, paper: str = "") -> HandOver:
    """
    Gather the facts of a hand-over sheet for a test that is in no book.

    Parameters
    ----------
    found : Judged
        What was found.
    settings : Settings
        Names and paper.
    paper : str
        "A4" or "Letter"; empty for the shop's own.

    Returns
    -------
    HandOver
        The facts.

    Raises
    ------
    InputRefused
        There is no such paper.
    """
    practice = practice_of(settings.practice)
    return replace(
        _without_explanation(found, settings, paper),
        explanation=_explanation(found, lambda: explain_test(found.test, found.sheet, practice)),
    )


def _without_explanation(found: Judged, settings: Settings, paper: str) -> HandOver:
    return HandOver(
        test=found.test,
        judgement=found.judgement,
        patterns=found.patterns,
        leak_areas=tuple(leak.area for leak in found.leaks),
        sheet=found.sheet,
        expected=found.expected,
        not_expected=found.not_expected,
        strokes=found.strokes,
        shop_name=settings.shop,
        builder=settings.builder,
        paper=paper_of(paper or settings.paper),
    )


def _explanation(found: Judged, explain: Callable[[], ExplainedTest]) -> Explanation | None:
    """Explain a test in which something stands out; a sheet is printed all the same where that cannot be done."""
    if all(pattern.key in _NOTHING for pattern in found.patterns):
        return None
    try:
        return explain().found
    except InputRefused:
        return None


_NOTHING = {PatternKey.NOTHING_STANDS_OUT, PatternKey.WET_OIL_VOLUME}
"""Patterns of a test that needs no explanation."""


def hand_over_recorded(
    book: Book, test_id: str, settings: Settings, paper: str = "", *, explained: bool = True
) -> HandOver:
    """
    Gather the facts of a hand-over sheet for a test of the book.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    settings : Settings
        Names, thresholds and paper.
    paper : str
        "A4" or "Letter"; empty for the shop's own.
    explained : bool
        Look for what is likeliest, which takes a second or two; without it the sheet does not tell it.

    Returns
    -------
    HandOver
        The facts.

    Raises
    ------
    NotInBook
        There is no such test.
    BookUnusable
        The book cannot be used, or the test is not what was written.
    """
    recorded = book.test(test_id)
    found = judge_recorded(recorded, settings.limits)
    explanation = (
        _explanation(found, lambda: explain_recorded(book, test_id, practice_of(settings.practice)))
        if explained
        else None
    )
    owner = book.owner(recorded.header.engine)
    corrections = tuple(shown for change in recorded.corrections for shown in _shown(change))
    return replace(
        _without_explanation(found, settings, paper),
        explanation=explanation,
        test_id=recorded.test_id,
        head=recorded.head,
        engine_name=recorded.header.engine_name or recorded.header.engine,
        engine_reference=recorded.header.engine if recorded.header.engine != recorded.header.engine_name else "",
        owner_name=owner.name if owner else "",
        corrections=corrections,
        photographs=on_paper(book, recorded),
        note=recorded.header.note,
        put_aside=recorded.put_aside,
        over_time=_over_time(book, recorded, settings) if explained else None,
    )


def _over_time(book: Book, recorded: Recorded, settings: Settings) -> OverTime | None:
    """Tell what became of the engine since its baseline; nothing for the baseline itself."""
    from ringtrue.shop.trend_courses import siblings_course
    from ringtrue.shop.trend_told import in_short
    from ringtrue.shop.trending import follow

    try:
        found = follow(book, recorded.header.engine, settings.limits, until=recorded.test_id)
    except InputRefused:
        return None
    if found.latest is None or found.course[-1].test_id != recorded.test_id:
        return None
    return OverTime(sentences=in_short(found), course=siblings_course(found))


def _shown(change: Correction) -> Iterator[CorrectionShown]:
    """Tell what was changed, a line each; a reading that was taken back is one line, with its figures."""
    parts = [(part.name.replace("_", " "), part.before, part.after) for part in change.changes]
    if change.withdrawn:
        figures = [f"{name} {before}" for name, before, _ in parts if before and name in _FIGURES]
        parts = [("taken back", ", ".join(figures), "")]
    for what, before, after in parts:
        yield CorrectionShown(
            cylinder=change.cylinder,
            kind=str(change.kind or ""),
            what=what,
            before=before,
            after=after,
            why=change.why,
            who=change.who,
            when=change.at,
        )


_FIGURES = {"first", "final", "supply", "held"}


def paper_of(name: str) -> Paper:
    """
    Find a paper by its name.

    Parameters
    ----------
    name : str
        "A4" or "Letter".

    Returns
    -------
    Paper
        The paper.

    Raises
    ------
    InputRefused
        There is no such paper.
    """
    for paper in Paper:
        if paper.value.casefold() == name.strip().casefold():
            return paper
    raise InputRefused.of(f"--paper {name}", "sheets are printed on A4 or Letter", "say --paper A4 or --paper Letter")


def work_plan(
    book: Book | None,
    sheet: BuildSheet,
    settings: Settings,
    *,
    order: str,
    unit: str,
    gauge: Gauge | None,
    paper: str,
) -> WorkPlan:
    """
    Gather the facts of a worksheet for pencil.

    Parameters
    ----------
    book : Book or None
        Where the engine's tests are; None where there is no book yet.
    sheet : BuildSheet
        The engine.
    settings : Settings
        Names and paper.
    order : str
        Cylinders parted by blanks; empty for the usual order.
    unit : str
        Unit of the readings; empty to leave it open.
    gauge : Gauge or None
        The gauge that will be used.
    paper : str
        "A4" or "Letter"; empty for the shop's own.

    Returns
    -------
    WorkPlan
        The facts.

    Raises
    ------
    InputRefused
        The order or the paper cannot be.
    UnitRefused
        The unit is no unit of pressure.
    BookUnusable
        The book cannot be used.
    """
    named = unit or settings.pressure
    return WorkPlan(
        sheet=sheet,
        order=order_of(order, sheet.pull_order),
        unit=find_unit(named, Dimension.PRESSURE).name if named else "",
        gauge=gauge,
        sees=foresee(before_test(book, sheet), gauge, named),
        shop_name=settings.shop,
        builder=settings.builder,
        paper=paper_of(paper or settings.paper),
    )


def print_sheet(facts: HandOver | WorkPlan, path: Path) -> None:
    """
    Write a sheet as PDF or HTML, by the file's ending.

    Parameters
    ----------
    facts : HandOver or WorkPlan
        What it is made of.
    path : Path
        Ends in ``.pdf`` or ``.html``.

    Raises
    ------
    CannotWrite
        The ending is neither, or the file cannot be written.
    """
    ending = path.suffix.casefold()
    if ending not in {".pdf", ".html", ".htm"}:
        raise CannotWrite.of(f"“{path}”", "a sheet is a PDF or an HTML page", "name a file that ends in .pdf or .html")
    made: SheetContent = content(facts) if isinstance(facts, HandOver) else worksheet(facts)
    write_file(path, as_pdf(made) if ending == ".pdf" else as_html(made).encode())
