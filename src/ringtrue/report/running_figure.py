"""The running figure, drawn from what a sheet says: finals and mean, and the mean deviation, in the order taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.report.glyphs import SANS, printable, width_of
from ringtrue.report.palette import ACCENT, HAIR, INK, LOOKS, LOW, QUIET
from ringtrue.report.svg import drawn
from ringtrue.report.views import Mark, RunningView

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.ticker import Locator

_MARKERS = {
    Mark.NONE: "o",
    Mark.IN_LINE: "o",
    Mark.LOW: "v",
    Mark.HIGH: "^",
    Mark.CANNOT_TELL: "D",
    Mark.NOT_READ: "o",
}

RUNNING_WIDTH, RUNNING_HEIGHT = 92.0, 60.0
"""Size of the running figure. [mm]"""

_LEFT, _RIGHT, _FOOT, _GAP = 12.5, 22.0, 9.0, 4.5  # mm round and between its two panels


def running_svg(view: RunningView, name: str) -> str:
    """
    Draw finals and mean, and the mean deviation below them, in the order taken.

    Parameters
    ----------
    view : RunningView
        What it shows.
    name : str
        Put before every id of the drawing.

    Returns
    -------
    str
        An ``svg`` element, the same for the same view.
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(RUNNING_WIDTH / 25.4, RUNNING_HEIGHT / 25.4), dpi=72)
    tall = (RUNNING_HEIGHT - _FOOT - _GAP - 3.0) / 2
    upper = _panel(figure, _FOOT + tall + _GAP, tall, len(view.pulls))
    lower = _panel(figure, _FOOT, tall, len(view.pulls))
    _finals(upper, view)
    _deviations(lower, view)
    upper.set_xticks([])
    _name_pulls(lower, view)
    return drawn(figure, name)


def _panel(figure: Figure, foot: float, tall: float, pulls: int) -> Axes:
    wide = RUNNING_WIDTH - _LEFT - _RIGHT
    axes = figure.add_axes(
        (_LEFT / RUNNING_WIDTH, foot / RUNNING_HEIGHT, wide / RUNNING_WIDTH, tall / RUNNING_HEIGHT), facecolor="none"
    )
    axes.set_xlim(0.5, pulls + 0.5)
    for edge in ("top", "right"):
        axes.spines[edge].set_visible(False)
    for edge in ("left", "bottom"):
        axes.spines[edge].set(color=HAIR.light, linewidth=0.6)
    axes.tick_params(length=2, width=0.5, color=HAIR.light, labelcolor=QUIET.light, labelsize=6.2, labelfontfamily=SANS)
    axes.yaxis.set_major_locator(_few_ticks())
    return axes


def _few_ticks() -> Locator:
    from matplotlib.ticker import MaxNLocator

    return MaxNLocator(nbins=4, steps=[1, 2, 2.5, 5, 10])


def _finals(axes: Axes, view: RunningView) -> None:
    numbers = range(1, len(view.pulls) + 1)
    axes.plot(numbers, [pull.mean for pull in view.pulls], color=ACCENT.light, linewidth=1.2, clip_on=False)
    for number, pull in zip(numbers, view.pulls, strict=True):
        look = LOOKS[pull.mark]
        axes.plot(
            [number],
            [pull.final],
            marker=_MARKERS[pull.mark],
            markersize=4.6,
            markerfacecolor=look.line.light if pull.mark is not Mark.NOT_READ else look.fill.light,
            markeredgecolor=look.line.light,
            markeredgewidth=0.8,
            linestyle="none",
            clip_on=False,
        )
    axes.margins(y=0.16)
    _title(axes, f"final, and mean so far [{view.unit}]")
    _at_end(axes, [(view.pulls[-1].mean, "mean so far", ACCENT.light)])


def _deviations(axes: Axes, view: RunningView) -> None:
    numbers = range(1, len(view.pulls) + 1)
    seen = [pull.deviation_percent for pull in view.pulls]
    top = max(*seen, *(at for at, _ in view.lines if at <= 1.5 * max(seen)), 1.2)
    axes.set_ylim(0, 1.18 * top)
    axes.plot(numbers, seen, color=INK.light, linewidth=1.2, marker="o", markersize=2.6, clip_on=False)
    _title(axes, "mean deviation so far [% of the mean]")
    named = [(seen[-1], "mean deviation", INK.light)]
    for at, words in view.lines:
        if at <= axes.get_ylim()[1]:
            axes.axhline(at, color=LOW.light, linewidth=0.8, linestyle=(0.0, (3.0, 2.0)))
            named.append((at, words, LOW.light))
    _at_end(axes, named)


def _title(axes: Axes, words: str) -> None:
    axes.text(0, 1.03, words, transform=axes.transAxes, fontsize=6.4, color=QUIET.light, family=SANS, parse_math=False)


def _at_end(axes: Axes, named: list[tuple[float, str, str]]) -> None:
    """Name the lines where they end, one clear of the other."""
    low, high = axes.get_ylim()
    apart = (high - low) * 0.13
    at = low - apart
    for value, words, colour in sorted(named):
        at = max(value, at + apart)
        axes.annotate(
            words,
            (axes.get_xlim()[1], at),
            xytext=(3, 0),
            textcoords="offset points",
            fontsize=6.2,
            color=colour,
            va="center",
            family=SANS,
            parse_math=False,
            annotation_clip=False,
        )


def _name_pulls(axes: Axes, view: RunningView) -> None:
    """Name every pull by its cylinder where there is room, else number some of them."""
    room = (RUNNING_WIDTH - _LEFT - _RIGHT) / len(view.pulls) - 0.8
    numbers = list(range(1, len(view.pulls) + 1))
    names = [printable(pull.name) for pull in view.pulls]
    if all(width_of(each, 6.2) <= room for each in names):
        axes.set_xticks(numbers, names, parse_math=False)
        axes.set_xlabel("cylinder, in the order taken", fontsize=6.4, color=QUIET.light, family=SANS, labelpad=2)
        return
    step = max(1, -(-len(numbers) // 8))
    axes.set_xticks(numbers[::step])
    axes.set_xlabel(
        "number of the pull; the table names its cylinder", fontsize=6.4, color=QUIET.light, family=SANS, labelpad=2
    )
