"""``ringtrue explain``: which cause, how sure, and which check next."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.explaining import ExplainedTest
    from ringtrue.shop.judging import FileAndWords
    from ringtrue.shop.workplace import Workplace
    from ringtrue.wording import CheckWords, CylinderWords, Explained

_IN_FULL = 3
"""How many checks are told with all their results; the others get a line each."""


def explain(
    file: options.Word,
    /,
    *,
    sheet: options.Sheet = None,
    test: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    confirm_unit: options.ConfirmUnit = False,
    cylinder: Annotated[options.Given, Parameter(name="--cylinder", help="Tell this cylinder alone.")] = None,
    output: options.Output = None,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Say what a cylinder that is off is likely to have, what is ruled out, and which check would tell most.

    Parameters
    ----------
    file
        Readings file (CSV, XLSX, JSON), or a test's id.
    """
    from ringtrue.cli import show
    from ringtrue.cli.judge import file_and_words, names_a_test, note_unused
    from ringtrue.shop.expecting import must_be_a_drawing
    from ringtrue.shop.explained_as_json import explained
    from ringtrue.shop.explaining import write_causes
    from ringtrue.shop.workplace import workplace

    if output:
        must_be_a_drawing(Path(output))
    place = workplace(book)
    words = file_and_words(
        place, file, sheet, test, gauge, unit=unit, decimal=decimal, encoding=encoding, confirm_unit=confirm_unit
    )
    made = _explained(place, file, words)
    if names_a_test(file):
        note_unused(sheet=sheet, test=test, gauge=gauge, unit=unit)
    only = cylinder or ""
    told = made.words(only)
    if output:
        write_causes(made, Path(output), only)
        show.remark(f"The drawing is in {output}.")
    if json:
        show.as_json(explained(made, only))
        return
    show.warnings(made.warnings)
    _show(made, told, only)


def _explained(place: Workplace, file: str, words: FileAndWords) -> ExplainedTest:
    from ringtrue.cli.judge import must_be_a_file, names_a_test
    from ringtrue.shop.explaining import explain_file, explain_recorded

    if not names_a_test(file):
        must_be_a_file(file)
        return explain_file(words, place.practice())
    with place.open_book(create=False) as book:
        return explain_recorded(book, file, place.practice())


def _show(made: ExplainedTest, told: Explained, only: str) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    show.heading(f"{made.sheet.name}: what it is likely to be" if made.sheet else "What it is likely to be")
    show.bullets((*told.summary(), *made.beside_odds(only)))
    if contradictions := told.contradictions():
        show.heading("Read these again first")
        for says, likeliest, again in contradictions:
            show.bullets([f"{says} {likeliest}"])
            show.bullets([again], mark=" ")
    for each in told.odd:
        _cylinder(told.cylinder(each))
    if engine := told.engine():
        show.heading("The engine as a whole")
        show.bullets(engine)
    _next(told.next_checks())
    if not made.found.with_sheet:
        show.heading("Without the build sheet" if made.sheet is None else "The build sheet")
        show.bullets(wording.without_sheet(made.sheet, made.not_used))
    if made.earlier:
        show.heading("Also looked at")
        show.bullets([f"Earlier tests of this engine as it is built: {', '.join(made.earlier)}."])
    show.line()
    show.sentences([wording.deferral()])


def _cylinder(words: CylinderWords) -> None:
    from ringtrue.cli import show

    show.heading(words.title)
    lines = [
        ("Most likely", words.most_likely),
        ("Also possible", words.also_possible),
        ("And besides", words.second),
        ("How large", words.leak),
        *_listed("Because", words.because),
        *_listed("Ruled out by", words.ruled_out),
        (words.settle_title, words.settle),
    ]
    show.named(line for line in lines if line[1])


def _listed(name: str, texts: tuple[str, ...]) -> list[tuple[str, str]]:
    return [("" if number else name, text) for number, text in enumerate(texts)]


def _next(checks: tuple[CheckWords, ...]) -> None:
    from ringtrue.cli import show

    if not checks:
        return
    show.heading("Next check, the one that tells most for its minutes first")
    for number, check in enumerate(checks[:_IN_FULL], start=1):
        show.bullets([f"{check.title}. {check.do}"], mark=f"{number}.")
        if check.results:
            show.rows(
                ("   if", "which comes", "then it is"),
                [(f"   {each.result}", each.how_likely, each.means) for each in check.results],
            )
    rest = [check.title for check in checks[_IN_FULL:]]
    show.bullets([f"After these: {'; '.join(rest)}."] if rest else [], mark=" ")
    show.heading("With care")
    show.bullets(dict.fromkeys(caution for check in checks[:_IN_FULL] for caution in check.cautions))
