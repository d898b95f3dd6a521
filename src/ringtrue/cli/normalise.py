"""``ringtrue normalise``: tests carried to agreed conditions, and laid over one another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.history import Change
    from ringtrue.shop.judging import FileAndWords
    from ringtrue.shop.normalising import CarriedTest, Normalised
    from ringtrue.shop.workplace import Workplace


def normalise(
    test: options.Word,
    /,
    *more: options.Word,
    altitude: options.Altitude = None,
    barometer: options.Barometer = None,
    inlet_air: options.InletAir = None,
    oil: options.Oil = None,
    cranking_speed: options.CrankingSpeed = None,
    sheet: options.Sheet = None,
    day: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    confirm_unit: options.ConfirmUnit = False,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Carry tests to sea level, 20 C and 200 rpm, or to other conditions, so that they can be compared.

    Parameters
    ----------
    test
        A readings file, or a test's id: the baseline.
    *more
        Later tests of the same engine, each compared with the first.
    """
    from ringtrue.cli import show
    from ringtrue.cli.judge import file_and_words
    from ringtrue.shop.normalised_as_json import normalised
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    said = {
        "altitude": altitude or "",
        "barometer": barometer or "",
        "inlet_air": inlet_air or "",
        "oil": oil or "",
        "cranking_speed": cranking_speed or "",
    }
    words = file_and_words(
        place, test, sheet, day, gauge, unit=unit, decimal=decimal, encoding=encoding, confirm_unit=confirm_unit
    )
    made = _carried(place, (test, *more), words, said)
    if json:
        show.as_json(normalised(made))
        return
    show.warnings(made.warnings)
    _show(made)


def _carried(place: Workplace, named: tuple[str, ...], words: FileAndWords, said: dict[str, str]) -> Normalised:
    from ringtrue.cli.judge import must_be_a_file, names_a_test
    from ringtrue.errors import InputRefused
    from ringtrue.intake import read_sheet
    from ringtrue.shop.normalising import normalise_file, normalise_recorded

    files = [each for each in named if not names_a_test(each)]
    for each in files:
        must_be_a_file(each)
    if files and len(named) > 1:
        raise InputRefused.of(
            f"“{files[0]}”",
            "tests are compared out of the book, and this is a readings file",
            f"type ringtrue enter {files[0]} --sheet SHEET, and name the id that it prints",
        )
    if files:
        return normalise_file(words, said)
    if words.test or words.gauge:
        raise InputRefused.of(
            "--test" if words.test else "--gauge",
            "a test of the book has the day and the gauge with which it was kept",
            "leave it out, or put the test right with ringtrue book correct",
        )
    typed = read_sheet(words.sheet) if words.sheet else None
    with place.open_book(create=False) as book:
        return normalise_recorded(book, named, typed, said, confirmed=words.confirm_unit)


def _show(made: Normalised) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    name, unit = made.tests[0].of.sheet.name, made.unit.name
    show.heading(f"{name}: dry finals carried to agreed conditions, in {unit}")
    show.bullets([wording.carried_to(made.to, made.to_gauge)])
    for each in made.tests:
        _factor(each, made)
    if len(made.tests) == 1:
        _one(made)
    for change, later in zip(made.changes, made.tests[1:], strict=True):
        _change(made, change, later)
    show.line()
    show.sentences([wording.deferral()])


def _factor(each: CarriedTest, made: Normalised) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    test, carried = each.of.test, each.carried
    show.heading(_title(each))
    assumed = test.gauge is None and made.to_gauge is not None
    show.bullets(wording.factor_sentences(test.conditions, made.to, carried.factor, gauge_assumed=assumed))
    read, band = wording.pressure(carried.middle_read, made.unit), wording.carried_text(carried.middle, made.unit)
    show.bullets([f"Middle of the finals: {read} {wording.as_read(test)}; carried {band} {made.unit.name}."])


def _title(each: CarriedTest) -> str:
    return f"{each.of.label}, {each.of.test.date}" if each.of.test.date else each.of.label


def _one(made: Normalised) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    show.line()
    show.rows(
        ("cylinder", wording.as_read(made.tests[0].of.test), f"carried, 90 % interval [{made.unit.name}]"),
        [
            (
                row.cylinder,
                "not read" if row.read is None else wording.pressure(row.read, made.unit),
                "" if row.carried is None else wording.carried_text(row.carried, made.unit),
            )
            for row in made.tests[0].carried.cylinders
        ],
        right=(1, 2),
    )


def _change(made: Normalised, change: Change, later: CarriedTest) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    first, unit = made.tests[0], made.unit
    show.heading(f"From {first.of.label} to {later.of.label}")
    sides = [{row.cylinder: row for row in each.carried.cylinders} for each in (first, later)]
    lines = []
    for each in change.cylinders:
        cells = [each.cylinder]
        for side in sides:
            row = side.get(each.cylinder)
            cells.append("not read" if row is None or row.read is None else wording.pressure(row.read, unit))
            cells.append("" if row is None or row.carried is None else wording.carried_text(row.carried, unit))
        lines.append((*cells, wording.beside_text(each)))
    show.rows(wording.CHANGE_HEAD, lines, right=(1, 2, 3, 4, 5))
    show.line()
    show.bullets(wording.change_sentences(change))
    show.heading("How far to trust it")
    days = (first.of.test.conditions, later.of.test.conditions)
    show.bullets(wording.trust_sentences(change, *days, oil_agreed=made.to.oil is not None))
    if first.of.sheet_text != later.of.sheet_text:
        show.bullets(["The tests stand under different build sheets: what was rebuilt is in the change."])
