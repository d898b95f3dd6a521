"""``ringtrue why``: why an interval is as wide as it is."""

from __future__ import annotations

from ringtrue.cli import options


def why(
    file: options.Word,
    figure: str = "",
    /,
    *,
    sheet: options.Sheet = None,
    test: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    confirm_unit: options.ConfirmUnit = False,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Say why the interval of a figure is as wide as it is: what each thing that is not known adds to it.

    Parameters
    ----------
    file
        Readings file (CSV, XLSX, JSON), or a test's id.
    figure
        One figure, for example "mean deviation" or a cylinder's name; all of them if left out.
    """
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.cli.judge import file_and_words, judged_file_or_test, names_a_test, note_unused
    from ringtrue.shop.why import as_json, why_so
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    words = file_and_words(
        place, file, sheet, test, gauge, unit=unit, decimal=decimal, encoding=encoding, confirm_unit=confirm_unit
    )
    found = judged_file_or_test(place, file, words)
    if names_a_test(file):
        note_unused(sheet=sheet, test=test, gauge=gauge, unit=unit)
    made = why_so(found, figure)
    if json:
        show.as_json(as_json(made))
        return
    show.warnings(found.warnings)
    for each in made.budgets:
        told = wording.why_budget(each, made.unit)
        interval = f", {told.interval}, 9 times in 10" if told.interval else ""
        show.heading(f"{told.title}: {told.value}{interval}")
        show.rows(wording.WHY_HEAD, told.rows, right=(1, 2, 3))
        show.line()
        show.bullets(told.says)
    show.heading("What this rests on")
    show.bullets(made.notes)
