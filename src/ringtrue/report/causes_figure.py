"""The cylinders in plan, each with the share of every cause it may have."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.diagnosis.causes import Cause
from ringtrue.report.canvas import canvas, write
from ringtrue.report.engine_figure import Box, EngineDrawing, block, placed
from ringtrue.report.engine_part import view_of
from ringtrue.report.glyphs import fitted, printable, width_of
from ringtrue.report.palette import INK, PAPER, QUIET, SMALLEST
from ringtrue.report.share_bars import bar, key, key_height, keyed, shares_of, told
from ringtrue.report.svg import drawn
from ringtrue.report.views import CausesStation, CausesView
from ringtrue.wording import cause_label, odds, short_answer

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ringtrue.diagnosis.explanation import Explanation
    from ringtrue.engine import BuildSheet

WIDTH = 178.0
"""Width of the drawing: across a page. [mm]"""

_HEAD, _EDGE, _GAP = 9.0, 4.0, 8.0
_BESIDE = 44.0  # mm, the least room in which the key stands beside the engine
_TOP = 6.5  # mm from the head to the key
_LINE = 4.6  # mm
_PADDING = 1.3
_NAME, _TITLE = 8.0, 10.5  # pt
_SOUND = cause_label(Cause.SOUND)
_NOTE = "Each bar: what that cylinder may have, as shares of 1. Its main cause only; what is not known stays open."


def causes_view(found: Explanation, sheet: BuildSheet | None, engine: str) -> CausesView:
    """
    Take from an explanation what the plan shows.

    Parameters
    ----------
    found : Explanation
        The explanation.
    sheet : BuildSheet or None
        The engine; without one its cylinders stand in a row.
    engine : str
        The engine's name.

    Returns
    -------
    CausesView
        Already worded.
    """
    plan = view_of(sheet, tuple(each.cylinder for each in found.cylinders))
    known = {each.cylinder: each for each in found.cylinders if each.read}
    stations = []
    for station in plan.stations:
        each = known.get(station.name)
        if each is None:
            stations.append(CausesStation(station.name, "not read", "", ()))
        else:
            answer = cause_label(each.answer.says)
            stations.append(CausesStation(station.name, answer, odds(each.answer.probability), shares_of(each.causes)))
    says = "; ".join(
        f"cylinder {each.name}: {each.answer}{f', {each.odds}' if each.odds else ''}"
        f"{f' ({told(each.shares)})' if each.shares else ''}"
        for each in stations
    )
    odd = (each for each in found.cylinders if each.read and each.answer.says is not Cause.SOUND)
    answers = tuple(short_answer(each) for each in odd)
    return CausesView(engine, plan, tuple(stations), answers, f"What each cylinder of {engine} may have. {says}.")


def causes_svg(view: CausesView, name: str) -> str:
    """
    Draw the plan.

    Parameters
    ----------
    view : CausesView
        What it shows.
    name : str
        Put before every id of the drawing.

    Returns
    -------
    str
        An ``svg`` element, the same for the same view.
    """
    drawing = placed(view.plan)
    causes = keyed(each.shares for each in view.stations)
    beside = WIDTH - 2 * _EDGE - drawing.width - _GAP
    room = beside if beside >= _BESIDE else WIDTH - 2 * _EDGE
    tall = key_height(len(causes), room)
    body = max(drawing.height, tall + _TOP) if beside >= _BESIDE else drawing.height + 3.0 + tall
    height = _HEAD + body + 9.0
    figure, axes = canvas(WIDTH, height)
    moved = tuple(
        Box(each.station, each.left + _EDGE, each.top + _HEAD, each.width, each.height) for each in drawing.boxes
    )
    hub = (drawing.hub[0] + _EDGE, drawing.hub[1] + _HEAD)
    block(axes, EngineDrawing(moved, drawing.width, drawing.height, hub), view.plan)
    for box, station in zip(moved, view.stations, strict=True):
        _cylinder(axes, box, station)
    if beside >= _BESIDE:
        where = (_EDGE + drawing.width + _GAP, _HEAD + _TOP)
        _answers(axes, (where[0], where[1] + tall + 3.0), (room, _HEAD + body), view.answers)
    else:
        where = (_EDGE, _HEAD + drawing.height + 3.0)
    key(axes, where, room, causes)
    title, size = fitted(
        printable(f"{view.engine}: what each cylinder may have"), WIDTH - 8.0, _TITLE, SMALLEST, bold=True
    )
    write(axes, (_EDGE, 6.0), title, size, bold=True)
    write(axes, (_EDGE, height - 4.0), _NOTE, 6.4, QUIET.light)
    return drawn(figure, name, view.says)


def _answers(axes: Axes, where: tuple[float, float], within: tuple[float, float], answers: tuple[str, ...]) -> None:
    """Write the answers in words where there is room for all of them."""
    if where[1] + _LINE * len(answers) > within[1]:
        return
    for number, answer in enumerate(answers):
        text, size = fitted(printable(answer), within[0], 7.2, SMALLEST)
        write(axes, (where[0], where[1] + _LINE * (number + 0.5)), text, size)


def _cylinder(axes: Axes, box: Box, station: CausesStation) -> None:
    """Draw one cylinder: its name, the answer in a word, its odds, and the bar."""
    from matplotlib.patches import FancyBboxPatch

    odd = station.answer not in {_SOUND, "not read"}
    axes.add_patch(
        FancyBboxPatch(
            (box.left, box.top),
            box.width,
            box.height,
            boxstyle="round,pad=0,rounding_size=1.4",
            facecolor=PAPER.light,
            edgecolor=INK.light if odd else QUIET.light,
            linewidth=1.6 if odd else 0.6,
            linestyle=(0.0, (1.0, 2.0)) if not station.shares else "solid",
            zorder=3,
        )
    )
    left, room = box.left + _PADDING, box.width - 2 * _PADDING
    high = box.height / 3
    short = station.odds.removeprefix("about ") if odd else ""
    taken = width_of(short, SMALLEST) + 1.0 if short else 0.0
    name, size = fitted(printable(station.name), room - taken, _NAME, SMALLEST, bold=True)
    write(axes, (left, box.top + 0.55 * high), name, size, bold=True)
    if short:
        text, size = fitted(short, max(room - width_of(name, size, bold=True) - 1.0, taken), 6.4, SMALLEST)
        write(axes, (left + room, box.top + 0.55 * high), text, size, align="right")
    text, size = fitted(station.answer, room, 6.8, SMALLEST, bold=odd)
    write(axes, (left, box.top + 1.45 * high), text, size, INK.light if odd else QUIET.light, bold=odd)
    if station.shares:
        bar(axes, (left, box.top + 2.0 * high, room, 0.75 * high), station.shares, named=False)
