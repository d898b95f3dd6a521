"""
A course: what a figure of things that follow one another shows, as plain data.

One description is drawn twice, by a browser (``static/course.js``) and on paper (`ringtrue.report.course_figure`).
Figures reach it worked out, words worded: what it finds itself is only how much of the plane is shown.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

from ringtrue.errors import InputRefused
from ringtrue.report.course_parts import (
    GLYPHS,
    Axis,
    Band,
    Counts,
    Figures,
    Limit,
    Line,
    Occasion,
    Shape,
    Spot,
    Stroke,
)
from ringtrue.report.palette import ACCENT, HIGH, INK, LOW, QUIET, UNSURE

__all__ = [
    "GLYPHS",
    "Axis",
    "Band",
    "Counts",
    "Course",
    "Figures",
    "Limit",
    "Line",
    "Occasion",
    "Shape",
    "Spot",
    "Stroke",
    "Window",
    "told_apart",
]


_MARGIN = 0.06  # of what is shown, on each side
_LIMIT_REACH = 0.6  # limits farther off than this, of what is shown, would press the rest flat: they are told in words
_NAME_ABOVE, _NAME_BELOW, _NAME_WIDE = 0.14, 0.04, 0.33  # where the name of a level lies, of what is shown


@dataclass(frozen=True, slots=True)
class Window:
    """
    How much of the plane is shown.

    Parameters
    ----------
    left, right, foot, top : float
        In the units of the axes.
    """

    left: float
    right: float
    foot: float
    top: float


@dataclass(frozen=True, slots=True)
class Course:
    """
    What a figure shows, already worked out and worded.

    Parameters
    ----------
    title : str
        What stands over it.
    says : str
        What it shows in a sentence or two, for whoever cannot see it.
    across, up : Axis
        Its axes.
    lines : tuple of Line
        At least one, with a point.
    figures : Figures
        The same as a table.
    bands : tuple of Band
        Behind everything.
    limits : tuple of Limit
        Levels.
    occasions : tuple of Occasion
        What happened.

    Raises
    ------
    InputRefused
        There is nothing to draw, or a number in it is not finite.
    """

    title: str
    says: str
    across: Axis
    up: Axis
    lines: tuple[Line, ...]
    figures: Figures
    bands: tuple[Band, ...] = ()
    limits: tuple[Limit, ...] = ()
    occasions: tuple[Occasion, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        if not any(line.spots for line in self.lines):
            raise InputRefused.of(self.title, "there is nothing to draw", "take a test first")
        if not all(map(math.isfinite, chain(self._xs(), self._ys(), (each.y for each in self.limits)))):
            raise InputRefused.of(self.title, "a figure of it is no number", "check what it is made from")

    def _xs(self) -> Iterator[float]:
        yield from (spot.x for line in self.lines for spot in line.spots)
        yield from (edge[0] for band in self.bands for edge in band.edges)
        yield from (each.x for each in self.occasions)

    def _ys(self) -> Iterator[float]:
        for spot in (spot for line in self.lines for spot in line.spots):
            yield spot.y
            yield from (end for end in (spot.low, spot.high) if end is not None)
        yield from (y for band in self.bands for edge in band.edges for y in edge[1:])

    @property
    def window(self) -> Window:
        """How much is shown: all that is drawn, with a margin, and such limits as are near it."""
        xs, ys = list(self._xs()), list(self._ys())
        left, right = _spread(min(xs), max(xs))
        foot, top = _spread(min(ys), max(ys))
        reach = _LIMIT_REACH * (top - foot)
        near = [each.y for each in self.limits if foot - reach <= each.y <= top + reach]
        foot, top = min([foot, *near]), max([top, *near])
        room, high = _MARGIN * (right - left), _MARGIN * (top - foot)
        if self.across.counts is Counts.WHOLE:
            room = 0.5
        return Window(
            left - room if self.across.low is None else self.across.low,
            right + room if self.across.high is None else self.across.high,
            foot - high if self.up.low is None else self.up.low,
            top + high if self.up.high is None else self.up.high,
        )

    @property
    def limits_shown(self) -> tuple[Limit, ...]:
        """Such limits as lie within what is shown."""
        shown = self.window
        return tuple(each for each in self.limits if shown.foot <= each.y <= shown.top)

    @property
    def limits_beyond(self) -> tuple[Limit, ...]:
        """Limits that lie outside what is shown: they are told in words under the drawing."""
        return tuple(each for each in self.limits if each not in self.limits_shown)

    def begins(self, limit: Limit) -> bool:
        """
        Tell at which end a level is named: where fewer points are in the way.

        Parameters
        ----------
        limit : Limit
            One of those shown.

        Returns
        -------
        bool
            True for the left end; the right one where both are alike.
        """
        shown = self.window
        wide, high = shown.right - shown.left, shown.top - shown.foot
        ends = [0, 0]
        for spot in (spot for line in self.lines for spot in line.spots):
            if -_NAME_BELOW * high <= spot.y - limit.y <= _NAME_ABOVE * high:
                share = (spot.x - shown.left) / wide
                ends[0] += share <= _NAME_WIDE
                ends[1] += share >= 1 - _NAME_WIDE
        return ends[0] < ends[1]

    def plain(self) -> dict[str, Any]:
        """
        Return what a browser draws from.

        Returns
        -------
        dict
            Numbers, texts and lists; colours by the names that they have in the style sheet.
        """
        shown = self.window
        return {
            "x": {
                "title": self.across.title,
                "counts": self.across.counts.value,
                "low": shown.left,
                "high": shown.right,
            },
            "y": {"title": self.up.title, "counts": self.up.counts.value, "low": shown.foot, "high": shown.top},
            "bands": [{"label": each.label, "ink": each.ink.name, "edges": each.edges} for each in self.bands],
            "lines": [_plain_line(each) for each in self.lines],
            "limits": [
                {
                    "y": each.y,
                    "label": each.label,
                    "ink": each.ink.name,
                    "stroke": each.stroke.value,
                    "begins": self.begins(each),
                }
                for each in self.limits_shown
            ],
            "occasions": [{"x": each.x, "label": each.label} for each in self.occasions],
        }


def _spread(low: float, high: float) -> tuple[float, float]:
    """Part two ends that fall together."""
    if high > low:
        return low, high
    half = max(0.05 * abs(low), 0.5)
    return low - half, high + half


def _plain_line(line: Line) -> dict[str, Any]:
    spots = []
    for each in line.spots:
        spot: dict[str, Any] = {"x": each.x, "y": each.y}
        if each.low is not None and each.high is not None:
            spot |= {"low": each.low, "high": each.high}
        spot |= {key: text for key, text in (("says", each.says), ("name", each.name)) if text}
        if each.shape is not None:
            spot["shape"] = each.shape.value
        if each.ink is not None:
            spot["ink"] = each.ink.name
        spots.append(spot)
    return {
        "label": line.label,
        "ink": line.ink.name,
        "shape": line.shape.value,
        "stroke": line.stroke.value,
        "spots": spots,
    }


_INKS = (ACCENT, LOW, UNSURE, INK, HIGH, QUIET)
_SHAPES = (Shape.DOT, Shape.DOWN, Shape.DIAMOND, Shape.SQUARE, Shape.UP, Shape.RING, Shape.CROSS)
_STROKES = (Stroke.WHOLE, Stroke.DASHED, Stroke.DOTTED)


def told_apart(lines: tuple[Line, ...]) -> tuple[Line, ...]:
    """
    Give each of several lines a look of its own: the cylinders of an engine, for example.

    Parameters
    ----------
    lines : tuple of Line
        However many.

    Returns
    -------
    tuple of Line
        The same with ink, shape and stroke; no two of the first 42 have the same ink and shape.

    Examples
    --------
    >>> [line.shape.value for line in told_apart((Line("1", ()), Line("2", ())))]
    ['dot', 'down']
    """
    return tuple(
        replace(
            each,
            ink=_INKS[at % len(_INKS)],
            shape=_SHAPES[at % len(_SHAPES)],
            stroke=_STROKES[at // len(_INKS) % len(_STROKES)],
        )
        for at, each in enumerate(lines)
    )
