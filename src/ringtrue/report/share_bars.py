"""Bars of shares, and the key to their hatching: what the drawings of causes have in common."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from ringtrue.diagnosis.causes import Cause
from ringtrue.report.canvas import write
from ringtrue.report.glyphs import fitted, printable, width_of
from ringtrue.report.palette import CAUSE_LOOKS, HIGH, INK, LOW, PAPER, QUIET, SMALLEST
from ringtrue.report.views import CauseShare
from ringtrue.wording import cause_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ringtrue.diagnosis.explanation import Odds

KEY_ROW = 5.0
"""From line to line of the key. [mm]"""

_SWATCH, _SWATCH_HIGH, _KEY_TYPE = 8.0, 3.2, 7.0  # mm, mm, pt
_KEY_COLUMN = 42.0  # mm
_THINNEST = 0.004  # of a bar: thinner shares are not drawn, nor in the key
_DARK = {INK, LOW, HIGH, QUIET}
"""Fields on which type is white."""


def shares_of(causes: Iterable[Odds]) -> tuple[CauseShare, ...]:
    """
    Put the odds of a cylinder into the order in which they are drawn.

    Parameters
    ----------
    causes : iterable of Odds
        In any order.

    Returns
    -------
    tuple of CauseShare
        In the order of `ringtrue.diagnosis.causes.Cause`, sound first, so that bars can be compared.
    """
    odds = {each.cause: each.probability for each in causes}
    return tuple(CauseShare(c.value, cause_label(c), odds[c]) for c in Cause if c in odds)


def bar(axes: Axes, box: tuple[float, float, float, float], shares: Sequence[CauseShare], *, named: bool) -> None:
    """
    Draw a bar of shares.

    Parameters
    ----------
    axes : Axes
        From `canvas`.
    box : tuple of float
        Left, top, width, height. [mm]
    shares : sequence of CauseShare
        They sum to 1.
    named : bool
        Write the names of shares that are wide enough for it into them.
    """
    from matplotlib.patches import Rectangle

    left, top, width, height = box
    at = left
    for each in shares:
        wide = each.share * width
        if each.share >= _THINNEST:
            _field(axes, (at, top, wide, height), each.key)
            if named:
                _name(axes, (at, top, wide, height), each)
        at += wide
    axes.add_patch(Rectangle((left, top), width, height, fill=False, edgecolor=QUIET.light, linewidth=0.7, zorder=5))


def _field(axes: Axes, box: tuple[float, float, float, float], key: str) -> None:
    from matplotlib.patches import Rectangle

    look = CAUSE_LOOKS[key]
    axes.add_patch(
        Rectangle(
            box[:2],
            box[2],
            box[3],
            facecolor=look.fill.light,
            edgecolor=look.line.light,
            hatch=look.hatch or None,
            linewidth=0.5,
            zorder=4,
        )
    )


def _name(axes: Axes, box: tuple[float, float, float, float], each: CauseShare) -> None:
    from matplotlib.patches import Rectangle

    left, top, wide, height = box
    size = 6.4
    taken = width_of(each.label, size)
    if taken + 1.6 > wide:
        return
    middle = left + wide / 2
    look = CAUSE_LOOKS[each.key]
    if look.hatch:
        ground = (middle - taken / 2 - 0.5, top + height / 2 - 1.4)
        axes.add_patch(Rectangle(ground, taken + 1.0, 2.8, facecolor=look.fill.light, edgecolor="none", zorder=5))
    colour = PAPER.light if look.fill in _DARK else INK.light
    write(axes, (middle, top + height / 2), each.label, size, colour, align="center")


def keyed(groups: Iterable[Sequence[CauseShare]]) -> tuple[CauseShare, ...]:
    """
    Collect what a key has to explain.

    Parameters
    ----------
    groups : iterable of sequence of CauseShare
        Every bar.

    Returns
    -------
    tuple of CauseShare
        Each cause that can be seen in some bar, once, in the order of drawing.
    """
    seen = {each.key: each for group in groups for each in group if each.share >= _THINNEST}
    return tuple(seen[key] for key in CAUSE_LOOKS if key in seen)


def key_height(count: int, width: float) -> float:
    """
    Return how tall a key is.

    Parameters
    ----------
    count : int
        How many causes it explains.
    width : float
        Room across. [mm]

    Returns
    -------
    float
        [mm]
    """
    return KEY_ROW * -(-count // _columns(width))


def _columns(width: float) -> int:
    return max(1, int(width // _KEY_COLUMN))


def key(axes: Axes, where: tuple[float, float], width: float, causes: Sequence[CauseShare]) -> None:
    """
    Draw the key: a field and a name for each cause.

    Parameters
    ----------
    axes : Axes
        From `canvas`.
    where : tuple of float
        Its upper left corner. [mm]
    width : float
        Room across. [mm]
    causes : sequence of CauseShare
        From `keyed`.
    """
    columns = _columns(width)
    for number, each in enumerate(causes):
        left = where[0] + number % columns * _KEY_COLUMN
        top = where[1] + number // columns * KEY_ROW
        _field(axes, (left, top, _SWATCH, _SWATCH_HIGH), each.key)
        room = min(width, _KEY_COLUMN) - _SWATCH - 3.0
        text, size = fitted(printable(each.label), room, _KEY_TYPE, SMALLEST)
        write(axes, (left + _SWATCH + 1.5, top + _SWATCH_HIGH / 2), text, size)


def told(shares: Sequence[CauseShare]) -> str:
    """
    Tell a bar to whoever cannot see it.

    Parameters
    ----------
    shares : sequence of CauseShare
        They sum to 1.

    Returns
    -------
    str
        The three largest, in per cent.
    """
    largest = sorted(shares, key=lambda each: -each.share)[:3]
    return ", ".join(f"{each.label} {_percent(each.share)}" for each in largest if each.share >= 0.01)  # noqa: PLR2004


def _percent(share: float) -> str:
    return f"{min(max(round(100 * share), 1), 99)} %"
