"""``ringtrue gauge calibrate``: a gauge held against a reference."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.calibrating import Calibrated


def calibrate(
    file: options.Word,
    /,
    *,
    gauge: options.GaugeName = None,
    date: options.Given = None,
    reference_uncertainty: options.Given = None,
    against: options.Given = None,
    temperature: Annotated[str | None, options.figure("--temperature", 'Of gauge and air, for example "21 C".')] = None,
    months: options.Given = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    columns_right: Annotated[bool, Parameter(negative=())] = False,
    only_show: Annotated[bool, Parameter(negative=())] = False,
    output: options.Output = None,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Hold a gauge against a reference: its correction, what that leaves open, and whether it still meets its grade.

    Parameters
    ----------
    file
        Points (CSV, XLSX, JSON) with columns reference [psi], shown [psi] and direction (rising, falling).
    date
        Day of the calibration; today where neither this nor the file says.
    reference_uncertainty
        Expanded uncertainty of the reference (k = 2), from its own certificate, for example "0.3 psi".
    against
        What the reference was.
    months
        How long it is good for; a year, or as the last time.
    columns_right
        The columns are not swapped, though it looks so.
    only_show
        Show what it comes to, and keep nothing.
    """
    from ringtrue.cli import show
    from ringtrue.intake import Typed
    from ringtrue.shop.calibrating import Said, calibrate_file, keep, the_gauge, write_course
    from ringtrue.shop.expecting import must_be_a_drawing
    from ringtrue.shop.typed import decimal_mark
    from ringtrue.shop.workplace import this_device, this_person, workplace
    from ringtrue.units import Dimension, find_unit

    if output:
        must_be_a_drawing(Path(output))
    place = workplace(book)
    typed = Typed(find_unit(unit, Dimension.PRESSURE) if unit else None, decimal_mark(decimal), encoding)
    said = Said(
        date or "",
        months or "",
        against or "",
        reference_uncertainty or "",
        temperature or "",
        by,
        columns_right=columns_right,
    )
    with place.open_book() as opened:
        found = calibrate_file(Path(file), the_gauge(opened, gauge or ""), typed, said)
        if not only_show:
            keep(opened, found.gauge, who=this_person(place.settings, by), device=this_device())
    if output:
        write_course(found, Path(output))
        show.remark(f"The drawing is in {output}.")
    if json:
        from ringtrue.shop.gauge_as_json import calibration

        show.as_json({**calibration(found), "kept": not only_show})
        return
    _show(found)
    show.line()
    if only_show:
        show.sentences(["Nothing was kept."])
    elif found.newer:
        counts = f"Tests are corrected by its calibration of {found.newer}, which is newer, as before."
        show.sentences([f"Kept in the history of gauge {found.gauge.name}. {counts}"])
    else:
        kept = (
            f"Kept with gauge {found.gauge.name}. Tests from here on are corrected by it; those that were taken keep "
        )
        show.sentences([kept + "the gauge as it was described then."])
    show.warnings(found.warnings)


def _show(found: Calibrated) -> None:
    from ringtrue import wording
    from ringtrue.cli import show

    show.sentences(wording.calibration_sentences(found.gauge, found.curve, found.unit))
    show.sentences(wording.grade_sentences(found.grade, found.gauge, found.unit))
    show.heading(f"Points, in {found.unit.name}")
    header, rows = wording.point_rows(found.gauge, found.curve, found.grade, found.unit)
    show.rows(header, rows, right=(0, 2, 3, 4, 5))
    show.heading("What is not known of the correction, where that is most")
    header, rows = wording.budget_rows(found.curve, found.unit)
    show.rows(header, rows, right=(1,))
