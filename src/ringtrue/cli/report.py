"""``ringtrue plan`` and ``ringtrue report``: paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.engine import BuildSheet
    from ringtrue.records import Book
    from ringtrue.report import WorkPlan
    from ringtrue.shop.workplace import Workplace

PaperName = Annotated[str, Parameter(name="--paper", help="A4 or Letter.")]


def plan(
    sheet: options.Word,
    /,
    *,
    output: options.Output = None,
    order: Annotated[str, Parameter(name="--order", help='Order of the cylinders, for example "1 3 2 4".')] = "",
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    paper: PaperName = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Plan a test: preparation, safety, order of cylinders; printed, a worksheet to fill in with a pencil.

    Parameters
    ----------
    sheet
        The engine's build sheet.
    """
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.engine import turning
    from ringtrue.intake import read_sheet
    from ringtrue.shop.reporting import print_sheet
    from ringtrue.shop.sheets import turning_as_json
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    engine, _ = read_sheet(Path(sheet))
    facts = _planned(place, engine, order=order, unit=unit or "", gauge=gauge or "", paper=paper)
    if output:
        print_sheet(facts, Path(output))
        show.remark(f"The worksheet is in {output}.")
    parts = (
        ("Make it comparable", wording.preparation(engine)),
        ("Make it safe", wording.safety(engine)),
        ("How to pull", wording.pulling(engine, facts.order)),
        ("After the dry series, where a cylinder is low: with oil", wording.wet_test(engine)),
        ("After the dry series, where a cylinder is low: with air", wording.leakdown(engine)),
        ("Put it back", wording.putting_back(engine)),
    )
    *steps, (last, back) = [(title, items) for title, items in parts if items]
    stops = turning(engine)
    if json:
        show.as_json(
            {
                "engine": engine.key,
                "order": list(facts.order),
                "parts": [
                    {"part": title, "items": [{"key": item.key, "text": item.text} for item in items]}
                    for title, items in parts
                    if items
                ],
                "turning": turning_as_json(stops),
                "sees": list(facts.sees),
                "cautions": [caution.text for caution in wording.cautions(engine)],
                "deferral": wording.deferral(),
            }
        )
        return
    if output:
        return
    for title, items in steps:
        show.heading(title)
        show.bullets((item.text for item in items), mark="[ ]")
        if items == parts[2][1]:
            show.heading("Order of the cylinders")
            show.line("  " + ", ".join(facts.order) + f"  and {facts.order[0]} once more, for the day's drift")
    show.turning(engine, stops)
    show.heading(wording.SEE_HEAD)
    show.bullets(facts.sees)
    show.heading(last)
    show.bullets((item.text for item in back), mark="[ ]")
    show.heading("Cautions")
    show.bullets(caution.text for caution in wording.cautions(engine))
    show.line()
    show.sentences([wording.deferral(), f"A worksheet to fill in with a pencil: ringtrue plan {sheet} -o plan.pdf"])


def _planned(place: Workplace, engine: BuildSheet, *, order: str, unit: str, gauge: str, paper: str) -> WorkPlan:
    """Plan with the book where there is one: it is asked for a gauge that is named, and for the engine's baseline."""
    from ringtrue.cli import show
    from ringtrue.errors import BookMissing, BookUnusable
    from ringtrue.shop.reporting import work_plan

    def planned(book: Book | None) -> WorkPlan:
        named = book.gauge(gauge) if book is not None and gauge else None
        return work_plan(book, engine, place.settings, order=order, unit=unit, gauge=named, paper=paper)

    try:
        with place.open_book(create=bool(gauge)) as book:
            return planned(book)
    except BookUnusable as error:
        if gauge:
            raise
        if not isinstance(error, BookMissing):
            show.remark(str(error))
            show.warnings(["the plan is made without the book"])
        return planned(None)


def report(
    test: options.Word,
    /,
    *,
    output: options.Output = None,
    sheet: options.Sheet = None,
    day: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    confirm_unit: options.ConfirmUnit = False,
    paper: PaperName = "",
    builder: str = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Print the hand-over sheet of a test.

    Parameters
    ----------
    test
        A test's id, or a readings file.
    builder
        Who signs as the builder; if left out, who the settings name, else an empty line. Who tested is told apart.
    """
    from dataclasses import replace

    from ringtrue.cli import show
    from ringtrue.cli.judge import file_and_words, judged_file_or_test, names_a_test, note_unused
    from ringtrue.shop.reporting import hand_over, hand_over_recorded, print_sheet
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    path = Path(output or f"{Path(test).stem}.pdf")
    if names_a_test(test):
        with place.open_book(create=False) as opened:
            facts = hand_over_recorded(opened, test, place.settings, paper)
        note_unused(sheet=sheet, test=day, gauge=gauge, unit=unit)
    else:
        words = file_and_words(
            place, test, sheet, day, gauge, unit=unit, decimal=decimal, encoding=encoding, confirm_unit=confirm_unit
        )
        found = judged_file_or_test(place, test, words)
        show.warnings(found.warnings)
        facts = hand_over(found, place.settings, paper)
    print_sheet(replace(facts, builder=builder.strip() or facts.builder), path)
    show.done(
        f"The hand-over sheet is in {path}.", {"file": str(path), "test": facts.test_id, "head": facts.head}, json=json
    )
