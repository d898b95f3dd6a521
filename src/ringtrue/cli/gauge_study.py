"""``ringtrue gauge study``: how a gauge and a hand repeat."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.studying import Order, Studied
    from ringtrue.shop.workplace import Workplace


def study(
    file: options.Given = None,
    /,
    *,
    gauge: options.GaugeName = None,
    keep: Annotated[bool, Parameter(negative=())] = False,
    date: options.Given = None,
    plan: Annotated[bool, Parameter(negative=())] = False,
    sheet: options.Sheet = None,
    cylinders: options.Given = None,
    people: options.Given = None,
    repeats: int = 3,
    seed: int | None = None,
    names_right: Annotated[bool, Parameter(negative=())] = False,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    output: options.Output = None,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Find out how a gauge and a hand repeat: cylinders x people x repeats, or one person alone.

    Parameters
    ----------
    file
        Finals (CSV, XLSX, JSON) with columns cylinder, read_by, repeat, final [psi].
    keep
        Keep the repeatability with the gauge: judging uses it from here on.
    date
        Day of the study; today where neither this nor the file says.
    plan
        Write an order to pull in, as a file to fill in, instead of reading one.
    cylinders
        For --plan, where there is no --sheet: "1;2;3;4".
    people
        For --plan: "JA;KM"; left out, one person does it all.
    repeats
        For --plan: how many rounds.
    seed
        For --plan: the number of an order that is wanted again.
    names_right
        People whose names look alike are different people.
    """
    from ringtrue.cli import show
    from ringtrue.errors import InputRefused
    from ringtrue.shop.expecting import must_be_a_drawing
    from ringtrue.shop.studying import write_study
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    if plan:
        if file is not None:
            raise InputRefused.of(f"“{file}”", "a plan is written, not read", "leave the file out, or leave --plan out")
        order = _order(place, gauge, sheet, cylinders, people, unit, repeats=repeats, seed=seed)
        _show_plan(order, output, sheet, json=json)
        return
    if file is None:
        instead = 'name the file with the finals; or plan a study: ringtrue gauge study --plan --cylinders "1;2;3;4"'
        raise InputRefused.of("", "there is nothing to work out", instead)
    if output:
        must_be_a_drawing(Path(output))
    found = _found(place, file, gauge, date, unit, decimal, encoding, names_right=names_right, keep=keep)
    if keep:
        _keep(place, found, by)
    if output:
        write_study(found, Path(output))
        show.remark(f"The drawing is in {output}.")
    if json:
        from ringtrue.shop.study_as_json import studied

        show.as_json({**studied(found), "kept": keep})
        return
    _show(found, keep=keep)


def _order(
    place: Workplace,
    gauge: str | None,
    sheet: str | None,
    cylinders: str | None,
    people: str | None,
    unit: str | None,
    *,
    repeats: int,
    seed: int | None,
) -> Order:
    from ringtrue.intake import read_sheet
    from ringtrue.shop.judging import usual_unit
    from ringtrue.shop.studying import order_of_study
    from ringtrue.shop.typed import cylinders_typed, names_typed
    from ringtrue.units import Dimension, find_unit

    named = cylinders_typed(cylinders) if cylinders else read_sheet(Path(sheet))[0].cylinders if sheet else ()
    face = find_unit(unit, Dimension.PRESSURE) if unit else None
    face = face or usual_unit(place.gauge(gauge or ""), place.settings.pressure)
    return order_of_study(named, names_typed(people) if people else (), repeats, face.name if face else "psi", seed)


def _show_plan(order: Order, output: str | None, sheet: str | None, *, json: bool) -> None:
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.intake import read_sheet
    from ringtrue.shop.workplace import write_new_file

    if output:
        write_new_file(Path(output), order.as_csv().encode("utf-8"))
    if json:
        pulls = [{"cylinder": c, "read_by": p, "repeat": r} for c, p, r in order.pulls]
        show.as_json({"seed": order.seed, "unit": order.unit, "pulls": pulls, "file": output or ""})
        return
    engine = read_sheet(Path(sheet))[0] if sheet else None
    drawn = f"{len(order.pulls)} pulls, in an order drawn with --seed {order.seed}. "
    whole = (
        "Each one whole: gauge off and on, vented, the same number of strokes. Battery on a charger; rest the starter."
    )
    show.sentences([drawn + whole, "Whoever reads should not see what was read before."])
    if not output:
        show.line()
        show.line(order.as_csv().rstrip())
        show.line()
    else:
        show.sentences([f"Fill in {output}, then: ringtrue gauge study {output}"])
    short = "; ".join(each.short for each in wording.cautions(engine))
    show.sentences([f"{wording.capital(short)}.", wording.deferral()])


def _found(
    place: Workplace,
    file: str,
    gauge: str | None,
    date: str | None,
    unit: str | None,
    decimal: str,
    encoding: str,
    *,
    names_right: bool,
    keep: bool,
) -> Studied:
    from ringtrue.intake import Typed
    from ringtrue.shop.calibrating import the_gauge
    from ringtrue.shop.judging import usual_unit
    from ringtrue.shop.studying import study_file
    from ringtrue.shop.typed import decimal_mark
    from ringtrue.units import Dimension, find_unit

    known = None
    if gauge or keep:
        with place.open_book() as opened:
            known = the_gauge(opened, gauge or "")
    said = find_unit(unit, Dimension.PRESSURE) if unit else usual_unit(known, place.settings.pressure)
    typed = Typed(said, decimal_mark(decimal), encoding)
    return study_file(Path(file), typed, known, date or "", names_right=names_right)


def _keep(place: Workplace, found: Studied, by: str) -> None:
    from ringtrue.shop.calibrating import keep, the_gauge
    from ringtrue.shop.workplace import this_device, this_person

    with place.open_book() as opened:
        gauge = found.with_it(the_gauge(opened, found.gauge.name if found.gauge else ""))
        keep(opened, gauge, who=this_person(place.settings, by), device=this_device())


def _show(found: Studied, *, keep: bool) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    of = found.found
    people = "one person" if of.people == 1 else f"{of.people} people"
    named = f" of gauge {found.gauge.name}" if found.gauge else ""
    said = f"Study{named}, {found.date}: {of.cylinders} cylinders, {people}, {of.repeats} repeats. "
    how = "Scatter is a share of the reading: this is worked out of logarithms, and told in per cent of the reading."
    show.sentences([said + how])
    show.heading("What it shows")
    show.bullets(wording.study_sentences(of))
    show.heading("What adds to the spread")
    header, rows = wording.component_rows(of)
    show.rows(header, rows, right=(1, 2))
    show.heading("Table of variance")
    header, rows = wording.variance_rows(of)
    show.rows(header, rows, right=(1, 2, 3, 4, 5))
    if found.ranges is not None:
        ranges = found.ranges
        told = [f"repeats {wording.share_text(ranges.repeatability)}"]
        told += [f"between people {wording.share_text(ranges.between_people)}"] if of.people > 1 else []
        told += [f"between cylinders {wording.share_text(ranges.between_cylinders)}"]
        show.line()
        show.sentences([f"By averages and ranges, as a check that can be done with a pencil: {', '.join(told)}."])
    show.line()
    if keep and found.gauge:
        kept = f"Kept with gauge {found.gauge.name}: repeatability {wording.share_text(of.one_pull)} of the reading. "
        show.sentences([kept + "Tests from here on are judged with it; those that were taken keep what they had."])
    else:
        show.sentences(["Nothing was kept. With --keep and --gauge judging takes this repeatability from here on."])
    show.warnings(found.warnings)
