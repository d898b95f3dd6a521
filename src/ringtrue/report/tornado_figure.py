"""The tornado: what each uncertain input does to the final, the one that moves it most at the top."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.report.glyphs import SANS, fitted, printable, width_of
from ringtrue.report.palette import ACCENT, HAIR, INK, PAPER, QUIET, SMALLEST, WASH
from ringtrue.report.svg import drawn
from ringtrue.report.views import TornadoBar, TornadoView

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from ringtrue.wording import Expected

WIDTH = 178.0
"""Width of the drawing: across a page. [mm]"""

_ROW, _BAR = 6.4, 3.4
_LEFT, _RIGHT = 52.0, 17.0
_HEAD, _FOOT = 17.0, 19.0
_GAP = 1.3  # mm between a bar and its label
_LABEL, _NAME, _TITLE = 6.4, 7.6, 10.5  # pt
_LEAST_ROOM = 4.0  # mm beyond the outermost bar


def tornado_view(words: Expected, engine: str) -> TornadoView:
    """
    Take from an expectation what the tornado shows.

    Parameters
    ----------
    words : Expected
        The expectation in words.
    engine : str
        The engine's name.

    Returns
    -------
    TornadoView
        Already worded.
    """
    final, rows = words.final, words.inputs()
    bars = tuple(
        TornadoBar(row.title, row.known == "given", row.low, row.high, row.at_lowest, row.at_highest) for row in rows
    )
    said = "; ".join(f"{row.title} ({row.known}), {row.span}: {row.finals} {final.unit}" for row in rows)
    says = f"What moves the final of {engine} most. All together: {final.whole}, 90 % interval. {said}."
    return TornadoView(engine, final.unit, final.low, final.median, final.high, bars, says)


def tornado_svg(view: TornadoView, name: str) -> str:
    """
    Draw the tornado.

    Parameters
    ----------
    view : TornadoView
        What it shows.
    name : str
        Put before every id of the drawing.

    Returns
    -------
    str
        An ``svg`` element, the same for the same view.
    """
    from matplotlib.figure import Figure

    tall = _ROW * (len(view.bars) + 1)
    height = _HEAD + tall + _FOOT
    figure = Figure(figsize=(WIDTH / 25.4, height / 25.4), dpi=72)
    wide = WIDTH - _LEFT - _RIGHT
    axes = figure.add_axes((_LEFT / WIDTH, _FOOT / height, wide / WIDTH, tall / height), facecolor="none")
    axes.set_ylim(len(view.bars) + 0.5, -0.5)
    axes.set_xlim(*_ends(view, wide))
    _ground(axes, view)
    _whole(axes, view)
    for row, bar in enumerate(view.bars, start=1):
        _bar(axes, row, bar, float(view.median))
    _words(figure, view, height)
    return drawn(figure, name, view.says)


def _ends(view: TornadoView, wide: float) -> tuple[float, float]:
    """Choose the scale so that every label finds room beside its bar."""
    marks = [(float(view.low), float(view.high), view.low, view.high)]
    marks += [(bar.low, bar.high, bar.at_low, bar.at_high) for bar in view.bars]
    least, most = min(mark[0] for mark in marks), max(mark[1] for mark in marks)
    first, last = least, most
    for _ in range(20):  # a wider scale makes bars shorter, which may let a label stand further in
        per_mm = (last - first) / wide
        wanted_first = min(low - per_mm * _room(text) for low, _, text, _ in marks)
        wanted_last = max(high + per_mm * _room(text) for _, high, _, text in marks)
        first, last = min(wanted_first, least - per_mm * _LEAST_ROOM), max(wanted_last, most + per_mm * _LEAST_ROOM)
    return first, last


def _room(text: str) -> float:
    return width_of(printable(text), _LABEL) + 2 * _GAP


def _ground(axes: Axes, view: TornadoView) -> None:
    low, median, high = float(view.low), float(view.median), float(view.high)
    axes.axvspan(low, high, facecolor=WASH.light, edgecolor="none", zorder=0)
    for end in (low, high):
        axes.axvline(end, color=QUIET.light, linewidth=0.6, linestyle=(0.0, (3.0, 2.0)), zorder=1)
    axes.axvline(median, color=INK.light, linewidth=0.9, zorder=4)
    for edge in ("top", "right", "left"):
        axes.spines[edge].set_visible(False)
    axes.spines["bottom"].set(color=HAIR.light, linewidth=0.6)
    axes.set_yticks([])
    axes.tick_params(length=2, width=0.5, color=HAIR.light, labelcolor=QUIET.light, labelsize=6.6, labelfontfamily=SANS)
    axes.set_xlabel(f"final [{view.unit}]", fontsize=6.8, color=QUIET.light, family=SANS, labelpad=2, parse_math=False)


def _whole(axes: Axes, view: TornadoView) -> None:
    low, median, high = float(view.low), float(view.median), float(view.high)
    axes.plot([low, high], [0, 0], color=INK.light, linewidth=2.4, solid_capstyle="butt", zorder=3)
    axes.plot(
        [median], [0], marker="D", markersize=4.6, markerfacecolor=PAPER.light, markeredgecolor=INK.light, zorder=5
    )
    _name(axes, 0, "all of them together", "", bold=True)
    _label(axes, 0, low, view.low, left=True, bold=True)
    _label(axes, 0, high, view.high, left=False, bold=True)


def _bar(axes: Axes, row: int, bar: TornadoBar, median: float) -> None:
    axes.barh(
        row,
        bar.high - bar.low,
        left=bar.low,
        height=_BAR / _ROW,
        facecolor=ACCENT.light if bar.known else PAPER.light,
        edgecolor=ACCENT.light,
        linewidth=0.9,
        zorder=3,
    )
    if bar.known and bar.low < median < bar.high:  # the line of the middle, seen on a dark ground
        axes.vlines(median, row - _BAR / _ROW / 2, row + _BAR / _ROW / 2, color=PAPER.light, linewidth=0.9, zorder=5)
    _name(axes, row, bar.title, "given" if bar.known else "assumed", bold=False)
    _label(axes, row, bar.low, bar.at_low, left=True, bold=False)
    _label(axes, row, bar.high, bar.at_high, left=False, bold=False)


def _name(axes: Axes, row: int, title: str, known: str, *, bold: bool) -> None:
    text, size = fitted(printable(title), _LEFT - 6.0, _NAME, SMALLEST, bold=bold)
    weight = "bold" if bold else "normal"
    place = axes.get_yaxis_transform()
    axes.text(
        -(_LEFT - 4.0) / (WIDTH - _LEFT - _RIGHT),
        row,
        text,
        transform=place,
        fontsize=size,
        weight=weight,
        color=INK.light,
        family=SANS,
        va="center",
        parse_math=False,
    )
    axes.text(
        1.0 + 2.0 / (WIDTH - _LEFT - _RIGHT),
        row,
        known,
        transform=place,
        fontsize=6.6,
        color=QUIET.light,
        family=SANS,
        va="center",
    )


def _label(axes: Axes, row: int, at: float, text: str, *, left: bool, bold: bool) -> None:
    # A label that stands on the line of the middle interrupts it.
    ground = None if bold else {"facecolor": WASH.light, "edgecolor": "none", "pad": 0.6}
    axes.annotate(
        printable(text),
        (at, row),
        xytext=((-_GAP if left else _GAP) * 72 / 25.4, 0),
        textcoords="offset points",
        ha="right" if left else "left",
        va="center",
        fontsize=_LABEL,
        weight="bold" if bold else "normal",
        color=INK.light,
        family=SANS,
        parse_math=False,
        bbox=ground,
        zorder=6,
    )


def _words(figure: Figure, view: TornadoView, height: float) -> None:
    title = printable(f"{view.engine}: what moves the final most")
    text, size = fitted(title, WIDTH - 8.0, _TITLE, SMALLEST, bold=True)
    lines = (
        (6.5, text, size, INK.light, "bold"),
        (
            11.5,
            (
                f"From {view.low} to {view.high} {view.unit}, 9 times in 10 (shaded); {view.median} {view.unit} is the "
                "middle (line), not a target."
            ),
            7.2,
            INK.light,
            "normal",
        ),
        (
            height - 6.8,
            (
                "Each bar: the final at the two ends of the 90 % range of one input, all else in the middle. Filled: "
                "given on sheet, gauge or day; open: assumed."
            ),
            6.4,
            QUIET.light,
            "normal",
        ),
        (
            height - 3.2,
            "The level cannot be predicted closely; cylinders are compared with their siblings.",
            6.4,
            QUIET.light,
            "normal",
        ),
    )
    for down, words, points, colour, weight in lines:
        figure.text(
            4.0 / WIDTH,
            1.0 - down / height,
            words,
            fontsize=points,
            color=colour,
            weight=weight,
            family=SANS,
            va="center",
            parse_math=False,
        )
