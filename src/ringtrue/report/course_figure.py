"""A course on paper: the same lines, bands, limits and occasions that a page shows."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Literal

from ringtrue.report.course import Axis, Band, Counts, Course, Line, Shape, Spot, Stroke
from ringtrue.report.glyphs import POINT, SANS, fitted, printable, width_of
from ringtrue.report.palette import HAIR, INK, PAPER, QUIET, SMALLEST
from ringtrue.report.svg import drawn

if TYPE_CHECKING:
    from collections.abc import Mapping

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

    from ringtrue.report.palette import Tint

Dashes = tuple[float, tuple[float, float]]

COURSE_WIDTH, COURSE_HEIGHT = 178.0, 72.0
"""Size of a course across a page. [mm]"""

_LEFT, _FOOT, _TOP, _KEY = 15.0, 12.0, 9.0, 4.4  # mm round the field, and a line of the key
_NAMED = 34.0  # mm at most for the names of lines beside the field
_TYPE = 6.6  # pt

_MARKERS = {
    Shape.DOT: "o",
    Shape.RING: "o",
    Shape.SQUARE: "s",
    Shape.DIAMOND: "D",
    Shape.UP: "^",
    Shape.DOWN: "v",
    Shape.CROSS: "x",
    Shape.NONE: "",
}
_DASHES: Mapping[Stroke, Dashes] = {Stroke.DASHED: (0.0, (4.0, 2.5)), Stroke.DOTTED: (0.0, (1.0, 1.8))}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def course_svg(course: Course, name: str, width: float = COURSE_WIDTH, height: float = COURSE_HEIGHT) -> str:
    """
    Draw a course.

    Parameters
    ----------
    course : Course
        What it shows.
    name : str
        Put before every id of the drawing.
    width, height : float
        Its size. [mm]

    Returns
    -------
    str
        An ``svg`` element, the same for the same course.
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / 25.4, height / 25.4), dpi=72)
    ends = _ends(course)
    right = 3.0 + max((width_of(words, _TYPE) for words, _, _ in ends), default=0.0) + (2.0 if ends else 0.0)
    keyed = _key_lines((*(() if ends else course.lines), *course.bands), width - _LEFT)
    foot = _FOOT + _KEY * len(keyed)
    axes = figure.add_axes(
        (
            _LEFT / width,
            foot / height,
            (width - _LEFT - right) / width,
            (height - foot - _TOP) / height,
        ),
        facecolor="none",
    )
    _frame(axes, course)
    _behind(axes, course)
    for line in course.lines:
        _line(axes, line)
    room = (width - _LEFT - right, height - foot - _TOP)
    _limits(axes, course, room[0] * 0.6)
    _occasions(axes, course, room)
    _name_ends(axes, ends, room[1])
    title, size = fitted(printable(course.title), width - 2.0, 8.0, SMALLEST, bold=True)
    figure.text(
        1.0 / width,
        1 - 4.0 / height,
        title,
        fontsize=size,
        family=SANS,
        weight="bold",
        color=INK.light,
        parse_math=False,
    )
    for row, items in enumerate(keyed):
        _key_row(figure, items, (_LEFT, 3.6 + _KEY * (len(keyed) - 1 - row)), (width, height))
    return drawn(figure, name, printable(course.says))


def _frame(axes: Axes, course: Course) -> None:
    shown = course.window
    axes.set_xlim(shown.left, shown.right)
    axes.set_ylim(shown.foot, shown.top)
    for edge in ("top", "right"):
        axes.spines[edge].set_visible(False)
    for edge in ("left", "bottom"):
        axes.spines[edge].set(color=HAIR.light, linewidth=0.6)
    axes.tick_params(
        length=2, width=0.5, color=HAIR.light, labelcolor=QUIET.light, labelsize=_TYPE, labelfontfamily=SANS
    )
    axes.grid(visible=True, axis="y", color=HAIR.light, linewidth=0.3)
    axes.set_axisbelow(True)
    _ticks(axes, course.across, upright=False)
    _ticks(axes, course.up, upright=True)
    axes.set_xlabel(
        printable(course.across.title), fontsize=_TYPE, color=QUIET.light, family=SANS, labelpad=2, parse_math=False
    )
    # Upright type is read badly: the title of the upright axis stands over it, as on the pages.
    axes.annotate(
        printable(course.up.title),
        (0, 1),
        xycoords="axes fraction",
        xytext=(-_LEFT / POINT + 3, 5),
        textcoords="offset points",
        fontsize=_TYPE,
        color=QUIET.light,
        family=SANS,
        parse_math=False,
    )


def _ticks(axes: Axes, axis: Axis, *, upright: bool) -> None:
    from matplotlib.dates import AutoDateLocator
    from matplotlib.ticker import FuncFormatter, Locator, MaxNLocator

    side = axes.yaxis if upright else axes.xaxis
    if axis.counts is Counts.DATE:
        locator: Locator = AutoDateLocator(minticks=3, maxticks=8)  # type: ignore[no-untyped-call]
        side.set_major_locator(locator)
        side.set_major_formatter(FuncFormatter(_day))
        return
    side.set_major_locator(
        MaxNLocator(nbins=5 if upright else 9, steps=[1, 2, 2.5, 5, 10], integer=axis.counts is Counts.WHOLE)
    )
    side.set_major_formatter(FuncFormatter(lambda value, _: f"{round(value, 9):.6g}".replace("-", "\u2212")))


def _day(value: float, _: int | None = None) -> str:
    day = date(1970, 1, 1) + timedelta(value)
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def _behind(axes: Axes, course: Course) -> None:
    for band in course.bands:
        xs, lows, highs = zip(*band.edges, strict=True)
        axes.fill_between(xs, lows, highs, facecolor=band.ink.light, edgecolor=HAIR.light, linewidth=0.4, zorder=0.5)
    for each in course.occasions:
        axes.axvline(each.x, color=QUIET.light, linewidth=0.6, linestyle=(0.0, (1.0, 2.0)), zorder=1)


def _occasions(axes: Axes, course: Course, size: tuple[float, float]) -> None:
    """Name what happened, upright at its line: at the top, at the foot where the one before is too near, else not."""
    shown = course.window
    apart = 1.3 * _TYPE * POINT / size[0] * (shown.right - shown.left)
    last: dict[int, float] = {1: -float("inf"), 0: -float("inf")}
    for each in sorted(course.occasions, key=lambda each: each.x):
        end = next((end for end, before in last.items() if each.x - before >= apart), None)
        if end is None:
            continue
        last[end] = each.x
        text, points = fitted(printable(each.label), 0.45 * size[1], _TYPE, SMALLEST)
        written = axes.annotate(
            text,
            (each.x, end),
            xycoords=("data", "axes fraction"),
            xytext=(-2 if each.x - apart > shown.left else _TYPE, -2 if end else 2),
            textcoords="offset points",
            rotation=90,
            rotation_mode="anchor",
            ha="right" if end else "left",
            va="bottom",
            fontsize=points,
            color=QUIET.light,
            family=SANS,
            parse_math=False,
            zorder=3,
        )
        _on_paper(written)


def _on_paper(written: Text) -> None:
    """Put paper round words, so that lines do not run through them."""
    from matplotlib.patheffects import withStroke

    written.set_path_effects([withStroke(linewidth=2.0, foreground=PAPER.light)])


def _line(axes: Axes, line: Line) -> None:
    xs, ys = [each.x for each in line.spots], [each.y for each in line.spots]
    if line.stroke is not Stroke.NONE:
        axes.plot(xs, ys, color=line.ink.light, linewidth=1.0, linestyle=_DASHES.get(line.stroke, "solid"), zorder=2.2)
    for each in line.spots:
        ink = each.ink or line.ink
        if each.low is not None and each.high is not None:
            axes.vlines(each.x, each.low, each.high, colors=ink.light, linewidth=0.7, zorder=2.4)
        _spot(axes, (each.x, each.y), each.shape or line.shape, ink)
        if each.name:
            _name_spot(axes, each, ink)


def _spot(axes: Axes, where: tuple[float, float], shape: Shape, ink: Tint) -> None:
    if shape is Shape.NONE:
        return
    axes.plot([where[0]], [where[1]], clip_on=False, zorder=2.6, **_look(shape, ink))


def _look(shape: Shape, ink: Tint) -> dict[str, Any]:
    return {
        "marker": _MARKERS[shape],
        "markersize": 4.2 if shape is Shape.CROSS else 3.6,
        "markerfacecolor": PAPER.light if shape is Shape.RING else ink.light,
        "markeredgecolor": ink.light,
        "markeredgewidth": 0.9,
        "linestyle": "none",
    }


def _name_spot(axes: Axes, spot: Spot, ink: Tint) -> None:
    text, size = fitted(printable(spot.name), 30.0, _TYPE, SMALLEST)
    written = axes.annotate(
        text,
        (spot.x, spot.y if spot.high is None else spot.high),
        xytext=(0, 4),
        textcoords="offset points",
        ha="center",
        fontsize=size,
        color=ink.light,
        family=SANS,
        parse_math=False,
        zorder=4,
    )
    _on_paper(written)


def _limits(axes: Axes, course: Course, room: float) -> None:
    for each in course.limits_shown:
        axes.axhline(each.y, color=each.ink.light, linewidth=0.8, linestyle=_DASHES.get(each.stroke, "solid"), zorder=2)
        text, size = fitted(printable(each.label), room, _TYPE, SMALLEST)
        begins = course.begins(each)
        written = axes.annotate(
            text,
            (0 if begins else 1, each.y),
            xycoords=("axes fraction", "data"),
            xytext=(2 if begins else 0, 2),
            textcoords="offset points",
            ha="left" if begins else "right",
            fontsize=size,
            color=each.ink.light,
            family=SANS,
            parse_math=False,
            zorder=3,
        )
        _on_paper(written)


def _ends(course: Course) -> list[tuple[str, float, Tint]]:
    """Return what stands beside the field where lines end there; nothing where a key is needed instead."""
    right = max(spot.x for line in course.lines for spot in line.spots)
    joined = [line for line in course.lines if line.spots and line.stroke is not Stroke.NONE]
    if len(joined) != len(course.lines) or len(joined) == 1 or any(line.spots[-1].x < right for line in joined):
        return []
    named = [(printable(line.label), line.spots[-1].y, line.ink) for line in joined]
    return [] if any(width_of(words, _TYPE) > _NAMED for words, _, _ in named) else named


def _name_ends(axes: Axes, ends: list[tuple[str, float, Tint]], tall: float) -> None:
    """Name lines where they end, one clear of the other."""
    foot, top = axes.get_ylim()
    apart = (top - foot) * 1.25 * _TYPE * POINT / tall
    ends = sorted(ends, key=lambda each: each[1])
    places = [y for _, y, _ in ends]
    for at in range(1, len(places)):
        places[at] = max(places[at], places[at - 1] + apart)
    for at in reversed(range(len(places))):
        places[at] = min(places[at], places[at + 1] - apart if at + 1 < len(places) else top)
    for (words, _, ink), place in zip(ends, places, strict=True):
        axes.annotate(
            words,
            (1, place),
            xycoords=("axes fraction", "data"),
            xytext=(4, 0),
            textcoords="offset points",
            fontsize=_TYPE,
            color=ink.light,
            va="center",
            family=SANS,
            parse_math=False,
            annotation_clip=False,
        )


def _key_lines(keyed: tuple[Line | Band, ...], room: float) -> list[list[tuple[Line | Band, str]]]:
    """Break the key into lines."""
    rows: list[list[tuple[Line | Band, str]]] = []
    taken = room
    for each in keyed:
        text, _ = fitted(printable(each.label), room - 14.0, _TYPE, SMALLEST)
        wide = 14.0 + width_of(text, _TYPE)
        if taken + wide > room:
            rows.append([])
            taken = 0.0
        rows[-1].append((each, text))
        taken += wide
    return rows


def _key_row(
    figure: Figure, items: list[tuple[Line | Band, str]], where: tuple[float, float], size: tuple[float, float]
) -> None:
    at, up = where[0] / size[0], where[1] / size[1]
    for each, text in items:
        _sample(figure, each, (at, up), size)
        below = up - 0.8 / size[1]
        figure.text(at + 10.0 / size[0], below, text, fontsize=_TYPE, color=INK.light, family=SANS, parse_math=False)
        at += (14.0 + width_of(text, _TYPE)) / size[0]


def _sample(figure: Figure, each: Line | Band, where: tuple[float, float], size: tuple[float, float]) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    (at, up), wide = where, 8.0 / size[0]
    if isinstance(each, Band):
        tall = 2.6 / size[1]
        field = Rectangle(
            (at, up - tall / 2), wide, tall, facecolor=each.ink.light, edgecolor=HAIR.light, linewidth=0.4
        )
        field.set_transform(figure.transFigure)
        figure.add_artist(field)
        return
    if each.stroke is not Stroke.NONE:
        dashes: Dashes | Literal["solid"] = _DASHES.get(each.stroke, "solid")
        figure.add_artist(Line2D([at, at + wide], [up, up], color=each.ink.light, linewidth=1.0, linestyle=dashes))
    figure.add_artist(Line2D([at + wide / 2], [up], **_look(each.shape, each.ink)))
