"""An empty drawing measured in millimetres, and type on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from ringtrue.report.glyphs import POINT, SANS
from ringtrue.report.palette import INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_CAPITAL = 0.73
"""Height of a capital over type size, in DejaVu Sans. [-]"""


def canvas(width: float, height: float) -> tuple[Figure, Axes]:
    """
    Make an empty drawing.

    Parameters
    ----------
    width, height : float
        Its size. [mm]

    Returns
    -------
    tuple of (Figure, Axes)
        Axes in millimetres from the upper left corner.
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / 25.4, height / 25.4), dpi=72)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    axes.set_axis_off()
    return figure, axes


def write(
    axes: Axes,
    where: tuple[float, float],
    text: str,
    size: float,
    colour: str = INK.light,
    *,
    bold: bool = False,
    align: Literal["left", "right", "center"] = "left",
) -> None:
    """
    Write a line of type, its capitals centred on a height.

    Parameters
    ----------
    axes : Axes
        From `canvas`.
    where : tuple of float
        From the upper left corner. [mm]
    text : str
        A printable text.
    size : float
        Type size. [pt]
    colour : str
        As #rrggbb.
    bold : bool
        In the heavy weight.
    align : str
        "left", "right" or "center".
    """
    axes.text(
        where[0],
        where[1] + _CAPITAL / 2 * size * POINT,
        text,
        fontsize=size,
        color=colour,
        ha=align,
        va="baseline",
        family=SANS,
        weight="bold" if bold else "normal",
        parse_math=False,
        zorder=9,
    )
