"""How each reading moved the odds of one cylinder, from before any to the last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.report.canvas import canvas, write
from ringtrue.report.glyphs import fitted, printable, width_of
from ringtrue.report.palette import HAIR, QUIET, SMALLEST
from ringtrue.report.share_bars import bar, key, key_height, keyed, shares_of, told
from ringtrue.report.svg import drawn
from ringtrue.report.views import MovedRow, MovedView
from ringtrue.wording import capital, read_text, short_answer

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ringtrue.diagnosis.explanation import CylinderExplanation, Step
    from ringtrue.units import Unit

WIDTH = 178.0
"""Width of the drawing: across a page. [mm]"""

_HEAD, _EDGE, _LEFT = 17.0, 4.0, 54.0
_ROW, _BAR = 9.0, 6.4
_TITLE = 10.5  # pt
_NOTE = (
    "Each bar: the odds after the readings down to that line, as shares of 1. Readings count together, in any order."
)


def moved_view(each: CylinderExplanation, unit: Unit, engine: str) -> MovedView:
    """
    Take from an explanation what the drawing shows.

    Parameters
    ----------
    each : CylinderExplanation
        The cylinder.
    unit : Unit
        Unit of pressures.
    engine : str
        The engine's name.

    Returns
    -------
    MovedView
        Already worded.
    """
    rows = tuple(MovedRow(_title(step, each, unit), shares_of(step.causes)) for step in each.steps)
    said = "; ".join(f"{row.title}: {told(row.shares)}" for row in rows)
    says = f"How each reading moved the odds of cylinder {each.cylinder} of {engine}. {said}."
    answer = short_answer(each) if each.read else f"Cylinder {each.cylinder}: not read"
    return MovedView(engine, each.cylinder, answer, rows, says)


def _title(step: Step, each: CylinderExplanation, unit: Unit) -> str:
    if step.item is None:
        return "Before any reading"
    for why in each.because:
        if why.item is step.item:
            return capital(read_text(why.item, why.read, why.words, unit).removeprefix("the "))
    return capital(read_text(step.item, None, (), unit).removeprefix("the "))


def moved_svg(view: MovedView, name: str) -> str:
    """
    Draw how the odds moved.

    Parameters
    ----------
    view : MovedView
        What it shows.
    name : str
        Put before every id of the drawing.

    Returns
    -------
    str
        An ``svg`` element, the same for the same view.
    """
    causes = keyed(row.shares for row in view.rows)
    wide = WIDTH - 2 * _EDGE
    foot = key_height(len(causes), wide)
    scale = _HEAD + _ROW * len(view.rows)
    height = scale + 7.0 + foot + 8.0
    figure, axes = canvas(WIDTH, height)
    left, room = _LEFT, WIDTH - _LEFT - _EDGE - 4.0
    for part in range(5):
        at = left + room * part / 4
        axes.plot([at, at], [_HEAD - 1.5, scale], color=HAIR.light, linewidth=0.5, zorder=1)
        write(axes, (at, scale + 2.0), ("0", "1/4", "1/2", "3/4", "1")[part], 6.4, QUIET.light, align="center")
    for number, row in enumerate(view.rows):
        top = _HEAD + _ROW * number
        _row_title(axes, top + _BAR / 2, printable(row.title))
        bar(axes, (left, top, room, _BAR), row.shares, named=True)
    key(axes, (_EDGE, scale + 6.5), wide, causes)
    texts = (
        (6.0, f"{view.engine}: how each reading moved the odds of cylinder {view.cylinder}", _TITLE, True),
        (11.5, f"{view.answer}.", 7.6, False),
    )
    for down, text, wanted, bold in texts:
        words, size = fitted(printable(text), wide, wanted, SMALLEST, bold=bold)
        write(axes, (_EDGE, down), words, size, bold=bold)
    write(axes, (_EDGE, height - 3.6), _NOTE, 6.4, QUIET.light)
    return drawn(figure, name, view.says)


def _row_title(axes: Axes, middle: float, title: str) -> None:
    """Write what was read; its figure goes on a second line where one is too short."""
    room = _LEFT - _EDGE - 2.0
    what, bracket, rest = title.partition(" (")
    lines = [what, f"({rest}"] if bracket and width_of(title, SMALLEST) > room else [title]
    for number, line in enumerate(lines):
        words, size = fitted(line, room, 7.4, SMALLEST)
        write(axes, (_EDGE, middle + 3.2 * (number - (len(lines) - 1) / 2)), words, size)
