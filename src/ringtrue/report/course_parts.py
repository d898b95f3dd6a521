"""What a course is made of: axes, lines and their points, bands, limits, occasions, and the table beside it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ringtrue.report.palette import HAIR, HIGH_WASH, INK, LOW, WASH, Tint


class Shape(StrEnum):
    """Shape of a point, so that no meaning hangs on colour."""

    DOT = "dot"
    RING = "ring"
    SQUARE = "square"
    DIAMOND = "diamond"
    UP = "up"
    DOWN = "down"
    CROSS = "cross"
    NONE = "none"


class Stroke(StrEnum):
    """How a line is drawn."""

    WHOLE = "whole"
    DASHED = "dashed"
    DOTTED = "dotted"
    NONE = "none"


class Counts(StrEnum):
    """What an axis counts in."""

    NUMBER = "number"
    WHOLE = "whole"
    DATE = "date"


GLYPHS = {
    Shape.DOT: "\u25cf",
    Shape.RING: "\u25cb",
    Shape.SQUARE: "\u25a0",
    Shape.DIAMOND: "\u25c6",
    Shape.UP: "\u25b2",
    Shape.DOWN: "\u25bc",
    Shape.CROSS: "\u2715",
    Shape.NONE: "",
}
"""Each shape as a character, for keys and tables."""

BAND_INKS = (WASH, HIGH_WASH, HAIR)
"""Inks that a band may have."""


@dataclass(frozen=True, slots=True)
class Axis:
    """
    One axis.

    Parameters
    ----------
    title : str
        What it counts, its unit in it: "run since the build [mile]".
    counts : Counts
        Numbers, whole numbers, or dates as days since 1970-01-01.
    low, high : float or None
        Where it begins and ends; None where that follows from what is drawn.
    """

    title: str
    counts: Counts = Counts.NUMBER
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Spot:
    """
    One point of a line.

    Parameters
    ----------
    x, y : float
        Where it is, in the units of the axes.
    low, high : float or None
        Its interval; both or neither.
    shape : Shape or None
        None for the shape of its line.
    ink : Tint or None
        None for the ink of its line.
    says : str
        What a reader is told who touches it.
    name : str
        Written beside it; for the few that matter.
    """

    x: float
    y: float
    low: float | None = None
    high: float | None = None
    shape: Shape | None = None
    ink: Tint | None = None
    says: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """
    Points that belong together, from left to right.

    Parameters
    ----------
    label : str
        What it is; written in the key, and where it ends.
    spots : tuple of Spot
        Its points.
    ink : Tint
        A colour of the palette.
    shape : Shape
        Of its points.
    stroke : Stroke
        How they are joined.
    """

    label: str
    spots: tuple[Spot, ...]
    ink: Tint = INK
    shape: Shape = Shape.DOT
    stroke: Stroke = Stroke.WHOLE


@dataclass(frozen=True, slots=True)
class Band:
    """
    A field between two lines.

    Parameters
    ----------
    label : str
        What it is.
    edges : tuple of tuple of float
        Where it runs: x, low, high, from left to right.
    ink : Tint
        One of `BAND_INKS`: what lies on it has to be seen.
    """

    label: str
    edges: tuple[tuple[float, float, float], ...]
    ink: Tint = WASH


@dataclass(frozen=True, slots=True)
class Limit:
    """
    A level that runs across.

    Parameters
    ----------
    y : float
        Where.
    label : str
        What it is, with its figure and its unit.
    ink : Tint
        A colour of the palette.
    stroke : Stroke
        How it is drawn.
    """

    y: float
    label: str
    ink: Tint = LOW
    stroke: Stroke = Stroke.DASHED


@dataclass(frozen=True, slots=True)
class Occasion:
    """
    Something that happened, as an upright line.

    Parameters
    ----------
    x : float
        When.
    label : str
        What.
    """

    x: float
    label: str


@dataclass(frozen=True, slots=True)
class Figures:
    """
    The same figures as a table, for whoever cannot see the drawing.

    Parameters
    ----------
    caption : str
        What the table holds.
    columns : tuple of str
        Their titles, units in them or in the cells.
    rows : tuple of tuple of str
        Cells, already worded; the first heads its row.
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
