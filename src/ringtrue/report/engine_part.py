"""The engine on the hand-over sheet: seen from above, at a glance, and in the order in which it was pulled."""

from __future__ import annotations

from ringtrue.engine import BuildSheet, Layout, Station, in_a_row, seen_from_above
from ringtrue.measure import CylinderFigures, Extreme, SeriesJudgement
from ringtrue.report.facts import HandOver
from ringtrue.report.model import Fact, Facts, Picture, Section
from ringtrue.report.tables import cylinder_table, finals, running_table
from ringtrue.report.told import Told
from ringtrue.report.views import EngineView, Mark, PullShown, RunningView, StationShown
from ringtrue.units import from_si
from ringtrue.wording import place_sentence

_TABLE_BESIDE = 2.0
"""An engine this wide leaves room for the table of cylinders beside it. [cylinder spacings]"""


def view_of(
    sheet: BuildSheet | None, cylinders: tuple[str, ...], shown: dict[str, StationShown] | None = None
) -> EngineView:
    """
    Lay out an engine for a sheet of paper.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine; without one its cylinders stand in a row.
    cylinders : tuple of str
        Its cylinders, where there is no sheet.
    shown : dict of str to StationShown or None
        What is known of each, wherever it stands; None for a view to be filled in.

    Returns
    -------
    EngineView
        Every cylinder in its place.
    """
    stations = in_a_row(cylinders) if sheet is None else seen_from_above(sheet)
    is_round = sheet is not None and sheet.layout is Layout.RADIAL
    return EngineView(
        tuple(_standing(each, shown) for each in stations), "front" if sheet and not is_round else "", is_round
    )


def _standing(station: Station, shown: dict[str, StationShown] | None) -> StationShown:
    name = station.cylinder
    if shown is None:
        return StationShown(name, station.across, station.along, "", "", Mark.NONE)
    known = shown.get(name) or StationShown(name, 0.0, 0.0, "", "", Mark.NOT_READ)
    return StationShown(name, station.across, station.along, known.final, known.deviation, known.mark)


def view_caption(view: EngineView, sheet: BuildSheet | None) -> str:
    """
    Say how an engine view is to be read.

    Parameters
    ----------
    view : EngineView
        The view.
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    str
        One sentence.
    """
    if sheet is None:
        return "How the cylinders stand is not known; they are drawn in a row."
    if view.round:
        return "Seen from the front, the first cylinder at the top."
    if sheet.banks_are_missing:
        return "Seen from above. The build sheet names no banks: the cylinders are drawn in one row."
    return "Seen from above."


def engine_sections(handover: HandOver, told: Told) -> tuple[Section, ...]:
    """
    Show the engine and every cylinder's figures.

    Parameters
    ----------
    handover : HandOver
        The facts.
    told : Told
        How figures are written.

    Returns
    -------
    tuple of Section
        The view, what stands beside it, and the table where it does not fit there.
    """
    series = handover.judgement.main
    figures = series.cylinders if series else ()
    names = tuple(each.cylinder for each in figures) or tuple(dict.fromkeys(r.cylinder for r in handover.test.taken))
    if not names and handover.sheet is None:
        return ()
    view = view_of(handover.sheet, names, {each.cylinder: _shown(handover, each, told) for each in figures})
    rules = series.rules if series else ()
    says = " ".join(place_sentence(each, told.unit, rules) for each in figures) or "No cylinder was cranked."
    picture = Picture(view, says, view_caption(view, handover.sheet))
    shape = Section("The engine", (picture,), "narrow" if view.is_narrow else "wide")
    if series is None:
        return (shape,)
    glance, table = _at_a_glance(series, told), cylinder_table(handover.test, series, told)
    if view.across <= _TABLE_BESIDE:
        return (shape, Section("Every cylinder", (glance, table), "rest"))
    beside = Section("At a glance", (glance,), "rest" if view.is_narrow else "wide")
    return (shape, beside, Section("Every cylinder", (table,)))


def _shown(handover: HandOver, each: CylinderFigures, told: Told) -> StationShown:
    series = handover.judgement.main
    read = finals(handover.test, series.kind, each.cylinder) if series else ()
    final = told.as_read(read, each.final)
    return StationShown(
        each.cylinder,
        0.0,
        0.0,
        f"{final} {told.unit.name}" if final else "",
        told.signed_percent(each.deviation_percent),
        Mark(each.place),
    )


def _at_a_glance(series: SeriesJudgement, told: Told) -> Facts:
    rows = []
    if series.mean is not None:
        rows.append(Fact(f"mean of {series.count} cylinders" if series.count > 1 else "final", told.final(series.mean)))
    if series.mean_deviation is not None and series.mean_deviation_percent is not None and series.count > 1:
        apart = f"{told.signed(series.mean_deviation).lstrip('+')} {told.unit.name}"
        rows.append(Fact("mean deviation", f"{apart}, {told.mean_deviation_percent(series.mean_deviation_percent)}"))
    if series.lowest and series.highest and series.count > 1:
        rows += [_extreme("lowest", series.lowest, told), _extreme("highest", series.highest, told)]
        if series.lowest_over_highest is not None:
            rows.append(Fact("lowest over highest", told.lowest_over_highest(series.lowest_over_highest)))
    if series.not_read:
        rows.append(Fact("not read", ", ".join(series.not_read)))
    if (drift := series.drift) is not None:
        change = told.signed(drift.after - drift.before)
        rows.append(Fact("the day's drift", f"{change} {told.unit.name} on cylinder {drift.cylinder}"))
    return Facts(tuple(rows), columns=2)


def _extreme(label: str, found: Extreme, told: Told) -> Fact:
    return Fact(label, f"{told.final(found.value)}, cylinder {found.cylinder}")


def as_taken_sections(handover: HandOver, told: Told) -> tuple[Section, ...]:
    """
    Show the pulls in the order taken, with the running figures.

    Parameters
    ----------
    handover : HandOver
        The facts.
    told : Told
        How figures are written.

    Returns
    -------
    tuple of Section
        Figure and table beside one another; the table alone where a figure would show one point; nothing without
        pulls.
    """
    judged = handover.judgement.main
    series = handover.test.series(judged.kind) if judged else None
    if judged is None or series is None:
        return ()
    table = running_table(series, judged, told)
    if len(judged.running) < 2:  # noqa: PLR2004 - a line has two ends
        return (Section("In the order taken", (table,)),)
    return (
        Section("In the order taken", (_running_picture(judged, told),), "narrow"),
        Section("", (table,), "rest"),
    )


def _running_picture(judged: SeriesJudgement, told: Told) -> Picture:
    marks = {each.cylinder: Mark(each.place) for each in judged.cylinders}
    pulls = tuple(
        PullShown(
            each.cylinder,
            from_si(each.final, told.unit),
            from_si(each.mean, told.unit),
            each.mean_deviation_percent,
            marks[each.cylinder],
        )
        for each in judged.running
    )
    names = {"mean_deviation_target": "target", "mean_deviation_limit": "limit"}
    lines = tuple((r.limit, names[r.rule]) for r in judged.rules if r.rule in names and r.limit is not None)
    last = judged.running[-1]
    says = (
        f"After {len(pulls)} pulls the mean is {told.final(last.mean)} and the mean deviation "
        f"{told.mean_deviation_percent(last.mean_deviation_percent)} of it; the table beside it gives every step."
    )
    return Picture(
        RunningView(pulls, told.unit.name, lines),
        says,
        "Shapes: \u25cf in line, \u25bc low, \u25b2 high, \u25c6 cannot tell.",
    )
