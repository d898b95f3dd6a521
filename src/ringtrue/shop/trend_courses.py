"""An engine over time, as figures: where its level goes, and each cylinder beside its siblings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.history import Axis, Says
from ringtrue.report.course import Axis as Along
from ringtrue.report.course import Band, Counts, Course, Figures, Limit, Line, Occasion, Shape, Spot, told_apart
from ringtrue.report.palette import ACCENT, INK
from ringtrue.shop.course_tests import axis_of
from ringtrue.shop.expecting import must_be_a_drawing
from ringtrue.shop.workplace import write_file
from ringtrue.units import from_si

if TYPE_CHECKING:
    from pathlib import Path

    from ringtrue.history import Change, CylinderChange
    from ringtrue.shop.trending import Followed

_DAY = 86400.0
_EPOCH = 719163
"""Ordinal of 1970-01-01, from which the dates of an axis count. [day]"""
_LONGEST_LABEL = 28


@dataclass(frozen=True, slots=True)
class Across:
    """
    Where tests stand on a figure.

    Parameters
    ----------
    axis : Axis
        Of the figure.
    at : tuple of float
        Each test, in the units of that axis.
    """

    axis: Along
    at: tuple[float, ...]


def level_course(found: Followed) -> Course:
    """
    Draw where the level of an engine goes.

    Parameters
    ----------
    found : Followed
        The engine over time.

    Returns
    -------
    Course
        The middle of its finals, carried where they can be, test by test, with the 90 % interval of each.
    """
    across, unit = _across(found), found.unit
    spots, rows = [], []
    for place, (x, test, carried) in enumerate(zip(across.at, found.course, found.tests, strict=True)):
        middle = [from_si(each, unit) for each in (carried.middle.median, carried.middle.low, carried.middle.high)]
        text = f"{wording.carried_text(carried.middle, unit)} {unit.name}"
        read_how = "" if wording.as_read(test.test) == "as read" else ", corrected"
        spots.append(Spot(x, middle[0], middle[1], middle[2], says=f"{test.label}: {text}"))
        rows.append(
            (
                test.date or "no date",
                test.test_id + (", baseline" if place == found.baseline else ""),
                str(test.run or ""),
                wording.pressure(carried.middle_read, unit) + read_how,
                "" if found.not_carried else text,
            )
        )
    carried_word = "as read" if found.not_carried else "carried to one day"
    return Course(
        title=f"Middle of the finals, {carried_word}",
        says=_headline(found),
        across=across.axis,
        up=Along(f"final [{unit.name}]"),
        lines=(Line("middle of all cylinders, 90 % interval", tuple(spots), ACCENT, Shape.DOT),),
        figures=Figures(
            "Every test, the middle of its finals",
            ("date", "test", "run since the build", "as read", "carried, 90 % interval"),
            tuple(rows),
        ),
        limits=tuple(_minimum(found)),
        occasions=tuple(_occasions(found, across)),
    )


def siblings_course(found: Followed) -> Course | None:
    """
    Draw each cylinder beside its siblings, since the baseline.

    Parameters
    ----------
    found : Followed
        The engine over time.

    Returns
    -------
    Course or None
        Change in per cent, test by test; None with one test, or of one cylinder.
    """
    across = _since_baseline(found)
    names = [each.cylinder for each in found.latest.cylinders] if found.latest else []
    points = {
        name: [Spot(across.at[0], 0.0)]
        for name in names
        if any(_of(change, name).ratio is not None for change in found.changes.values())
    }
    if not points:
        return None
    edges = []
    for place, change in sorted(found.changes.items()):
        for name, spots in points.items():
            spots.extend(_spot(across.at[place - found.baseline], found.course[place].label, _of(change, name)))
        widths = sorted(
            (
                100 * (1 - each.interval.low / each.interval.median),
                100 * (each.interval.high / each.interval.median - 1),
            )
            for each in change.cylinders
            if each.interval is not None and each.interval.median > 0
        )
        if widths:
            low, high = widths[len(widths) // 2]
            edges.append((across.at[place - found.baseline], -low, high))
    if edges:
        edges.insert(0, (across.at[0], *edges[0][1:]))
    lines = tuple(Line(f"cylinder {name}", tuple(spots)) for name, spots in points.items())
    return Course(
        title="Each cylinder beside its siblings, change since the baseline",
        says=_headline(found),
        across=across.axis,
        up=Along("change beside the siblings [%]", low=None, high=None),
        lines=told_apart(lines),
        figures=Figures(
            "Change since the baseline, beside the siblings, 95 % interval",
            ("cylinder", *(found.course[place].date or found.course[place].test_id for place in sorted(found.changes))),
            tuple((name, *(_cell(_of(change, name)) for _, change in sorted(found.changes.items()))) for name in names),
        ),
        bands=(Band("what the gauge leaves open, 19 times in 20", tuple(edges)),) if edges else (),
        limits=(Limit(0.0, "no change", INK),),
        occasions=tuple(each for each in _occasions(found, across) if each.x >= across.at[0]),
    )


def write_trend(found: Followed, path: Path) -> None:
    """
    Draw the cylinders beside their siblings, or the level of the engine where it has no siblings to show.

    Parameters
    ----------
    found : Followed
        The engine over time.
    path : Path
        Ends in ``.svg``.

    Raises
    ------
    CannotWrite
        It does not, or cannot be written.
    """
    from ringtrue.report.course_figure import course_svg

    must_be_a_drawing(path)
    write_file(path, course_svg(siblings_course(found) or level_course(found), "trend").encode())


def _headline(found: Followed) -> str:
    return wording.trend_headline(found.latest, len(found.since), found.baseline)


def _of(change: Change, name: str) -> CylinderChange:
    return next(each for each in change.cylinders if each.cylinder == name)


def _spot(x: float, label: str, change: CylinderChange) -> Iterator[Spot]:
    if change.ratio is None:
        return
    told = f"cylinder {change.cylinder}, {label}: {wording.change_percent(change)}"
    marked = change.says not in {Says.NO_CHANGE, Says.CANNOT_TELL}
    if marked and change.interval is not None:
        ends = (100 * (change.interval.low - 1), 100 * (change.interval.high - 1))
        yield Spot(x, 100 * (change.ratio - 1), *ends, says=told)
    else:
        yield Spot(x, 100 * (change.ratio - 1), says=told)


def _cell(change: CylinderChange) -> str:
    said = "" if change.says in {Says.NO_CHANGE, Says.CANNOT_TELL} else f", {change.says}"
    return f"{wording.change_percent(change)}{said}"


def _since_baseline(found: Followed) -> Across:
    """Lay the tests from the baseline on along the axis of the course."""
    placed = found.placed
    if placed is None:
        across = _across(found)
        return Across(across.axis, across.at[found.baseline :])
    if placed.axis is Axis.DATE or placed.unit is None:
        return Across(Along("date", Counts.DATE), tuple(at / _DAY - _EPOCH for at in placed.at))
    title = f"run since the build [{placed.unit.name}]"
    return Across(Along(title), tuple(from_si(at, placed.unit) for at in placed.at))


def _across(found: Followed) -> Across:
    """Lay all tests along one axis, or one after the other where there is none."""
    if found.baseline == 0 and found.placed is not None:
        return _since_baseline(found)
    dates = [each.date for each in found.course]
    if all(dates) and len(set(dates)) == len(dates):
        return Across(Along("date", Counts.DATE), tuple(_day(date) for date in dates))
    return Across(Along("test", Counts.WHOLE), tuple(float(place + 1) for place in range(len(found.course))))


def _day(date: str) -> float:
    import datetime as dt

    return float(dt.date.fromisoformat(date).toordinal() - _EPOCH)


def _occasions(found: Followed, on: Across) -> Iterator[Occasion]:
    """Place what was done on an axis, where that can be told."""
    across, placed = on.axis, found.placed
    for event in found.events:
        label = event.text if len(event.text) <= _LONGEST_LABEL else f"{event.text[: _LONGEST_LABEL - 1]}…"
        if across.counts is Counts.DATE:
            if event.date:
                yield Occasion(_day(event.date), label)
        elif placed is None or placed.unit is None or across.counts is Counts.WHOLE:
            continue
        elif event.at is not None and axis_of(event.at) is placed.axis:
            yield Occasion(from_si(event.at.value, placed.unit), label)


def _minimum(found: Followed) -> Iterator[Limit]:
    sheet = found.course[-1].sheet
    if sheet is not None and sheet.limits.minimum is not None and not found.not_carried:
        least = sheet.limits.minimum
        label = f"least final, build sheet: {wording.pressure(least, found.unit)}"
        yield Limit(from_si(least, found.unit), label)
