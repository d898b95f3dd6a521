"""The engine view, drawn from what a sheet says. Nothing is computed here but where ink goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from ringtrue.report.canvas import canvas, write
from ringtrue.report.glyphs import POINT, fitted, printable, width_of
from ringtrue.report.palette import ACCENT, HAIR, LOOKS, QUIET, SMALLEST, WASH
from ringtrue.report.svg import drawn
from ringtrue.report.views import EngineView, StationShown

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NARROW_WIDTH = 96.0
WIDE_WIDTH = 178.0
TALLEST, TALLEST_ROUND = 155.0, 180.0
"""Room for a drawing beside a table, across a page, and down it. [mm]"""

_SPACING = 13.2  # mm between neighbours where there is room
_BOX_WANTED = 19.0  # mm, for which neighbours may move further apart
_BOX_HEIGHT = 0.86  # of the spacing
_BOX_SHARE = 0.92  # of the distance to the nearest neighbour at the same height
_BOX_WIDEST = 29.0  # mm
_FLAT, _FLAT_WIDEST = 5.8, 50.0  # mm: fields lower than this hold one line, and are wider where they stand alone
_PADDING, _APART = 1.2, 1.0  # mm
_MARGIN = 4.5  # mm round the engine
_LINE = 1.2  # line height over type size
_TIGHTEST = 0.85  # of the line height

Item = Literal["name", "final", "deviation", "place"]

# What stands in a field, line by line: at the left, and at the right. The first arrangement that fits is taken.
_ARRANGEMENTS: tuple[tuple[tuple[Item, ...], ...], ...] = (
    (("name", "final"), ("place", "deviation")),
    (("name", "deviation"), ("final",), ("place",)),
    (("name",), ("final",), ("place", "deviation")),
    (("name",), ("final",), ("deviation",), ("place",)),
)
_ONE_LINE: tuple[tuple[Item, ...], ...] = (("name", "place", "deviation", "final"),)
_TYPE: dict[Item, tuple[float, float, bool]] = {
    "name": (8.0, 6.4, True),
    "final": (9.5, 6.6, True),
    "deviation": (6.4, SMALLEST, False),
    "place": (6.4, SMALLEST, False),
}  # size [pt], the smallest it may be [pt], bold


@dataclass(frozen=True, slots=True)
class Box:
    """
    The field in which one cylinder's figures stand.

    Parameters
    ----------
    station : StationShown
        The cylinder.
    left, top, width, height : float
        From the upper left corner of the drawing. [mm]
    """

    station: StationShown
    left: float
    top: float
    width: float
    height: float

    def overlaps(self, other: Box) -> bool:
        """
        Tell whether two fields cover each other.

        Parameters
        ----------
        other : Box
            Of another cylinder.

        Returns
        -------
        bool
            Whether they share ink.
        """
        return (
            abs(self.left + self.width / 2 - other.left - other.width / 2) < (self.width + other.width) / 2
            and abs(self.top + self.height / 2 - other.top - other.height / 2) < (self.height + other.height) / 2
        )


@dataclass(frozen=True, slots=True)
class EngineDrawing:
    """
    Where the fields of an engine view stand.

    Parameters
    ----------
    boxes : tuple of Box
        One for each cylinder.
    width, height : float
        Of the whole drawing. [mm]
    hub : tuple of float
        Where the layout has its zero, from the upper left corner. [mm]
    """

    boxes: tuple[Box, ...]
    width: float
    height: float
    hub: tuple[float, float]


def placed(view: EngineView) -> EngineDrawing:
    """
    Give every cylinder a field on paper.

    Parameters
    ----------
    view : EngineView
        The engine.

    Returns
    -------
    EngineDrawing
        Fields as large as there is room for, none on another.
    """
    stations = view.stations
    left, top = min(each.across for each in stations), min(each.along for each in stations)
    down = max(each.along for each in stations) - top
    nearest = min(
        (
            apart
            for one in stations
            for other in stations
            if one is not other and abs(one.along - other.along) < _BOX_HEIGHT + 0.06
            if (apart := abs(one.across - other.across)) > 0
        ),
        default=_FLAT_WIDEST,
    )
    share = nearest * _BOX_SHARE
    room = NARROW_WIDTH if view.is_narrow else WIDE_WIDTH
    wanted = max(_SPACING, _BOX_WANTED / share)
    wide = min(wanted, (room - 2 * _MARGIN) / (view.across + min(share, 2.0)))
    tall = min(wanted if view.round else _SPACING, ((TALLEST_ROUND if view.round else TALLEST) - 14.0) / (down + 1))
    if view.round:
        wide = tall = min(wide, tall)
    height = _BOX_HEIGHT * tall
    width = min(share * wide, _FLAT_WIDEST if height < _FLAT and not view.across else _BOX_WIDEST)
    head = _MARGIN + (3.5 if view.side else 0.0)
    boxes = tuple(
        Box(each, _MARGIN + (each.across - left) * wide, head + (each.along - top) * tall, width, height)
        for each in stations
    )
    return EngineDrawing(
        boxes,
        width=2 * _MARGIN + view.across * wide + width,
        height=head + down * tall + height + _MARGIN,
        hub=(_MARGIN - left * wide + width / 2, head - top * tall + height / 2),
    )


def engine_svg(view: EngineView, name: str) -> str:
    """
    Draw the engine view.

    Parameters
    ----------
    view : EngineView
        What it shows.
    name : str
        Put before every id of the drawing.

    Returns
    -------
    str
        An ``svg`` element, the same for the same view.
    """
    drawing = placed(view)
    figure, axes = canvas(drawing.width, drawing.height)
    block(axes, drawing, view)
    rows = _rows(drawing.boxes)
    for box in drawing.boxes:
        _field(axes, box, rows)
    return drawn(figure, name)


def block(axes: Axes, drawing: EngineDrawing, view: EngineView) -> None:
    """
    Draw what carries the cylinders: a block with a nose at its front, or a crankcase in their middle.

    Parameters
    ----------
    axes : Axes
        From `ringtrue.report.canvas.canvas`.
    drawing : EngineDrawing
        Where the fields stand.
    view : EngineView
        What is shown.
    """
    from matplotlib.patches import Circle, FancyBboxPatch, Polygon

    boxes, inset = drawing.boxes, _MARGIN - 0.6
    left, top = min(box.left for box in boxes), min(box.top for box in boxes)
    right, bottom = max(box.left + box.width for box in boxes), max(box.top + box.height for box in boxes)
    middle = (left + right) / 2
    if view.round:
        # The layout has its crankcase at 0, 0.
        hub = drawing.hub
        for box in boxes:
            axes.plot(
                [hub[0], box.left + box.width / 2], [hub[1], box.top + box.height / 2], color=HAIR.light, linewidth=2.2
            )
        axes.add_patch(Circle(hub, 6.0, facecolor=WASH.light, edgecolor=HAIR.light, linewidth=0.6, zorder=2))
    else:
        axes.add_patch(
            FancyBboxPatch(
                (left - inset / 2, top - inset / 2),
                right - left + inset,
                bottom - top + inset,
                boxstyle=f"round,pad=0,rounding_size={inset}",
                facecolor=WASH.light,
                edgecolor=HAIR.light,
                linewidth=0.6,
            )
        )
    if view.side:
        tip = top - inset / 2
        nose = [(middle - 2.2, tip - 0.6), (middle, tip - 2.8), (middle + 2.2, tip - 0.6)]
        axes.add_patch(Polygon(nose, facecolor=ACCENT.light, edgecolor="none"))
        write(axes, (middle + 3.4, tip - 1.7), view.side, 6.5, QUIET.light)


def _said(station: StationShown, item: Item) -> str:
    named = f"{LOOKS[station.mark].shape} {station.name}".strip()
    return printable(
        {"name": named, "final": station.final, "deviation": station.deviation, "place": station.mark}[item]
    )


def _rows(boxes: tuple[Box, ...]) -> tuple[tuple[Item, ...], ...]:
    """Choose one arrangement for all fields: the first that fits them, else the one that sticks out least."""
    room, height = boxes[0].width - 2 * _PADDING, boxes[0].height
    low_enough = [rows for rows in _ARRANGEMENTS if _height_of(rows) <= height] or [_ONE_LINE]
    over = {rows: max(_width_of(box.station, row) for box in boxes for row in rows) - room for rows in low_enough}
    return next((rows for rows in low_enough if over[rows] <= 0), min(low_enough, key=lambda rows: over[rows]))


def _height_of(rows: tuple[tuple[Item, ...], ...]) -> float:
    return sum(max(_TYPE[item][0] for item in row) for row in rows) * POINT * _LINE * _TIGHTEST


def _width_of(station: StationShown, row: tuple[Item, ...], share: float = 0.0) -> float:
    """Width of a line: 0 with every item as small as it may be, 1 with none made smaller. [mm]."""
    widths = [
        width_of(_said(station, item), small + share * (size - small), bold=bold)
        for item, (size, small, bold) in ((item, _TYPE[item]) for item in row)
    ]
    return sum(widths) + _APART * (len(row) - 1)


def _field(axes: Axes, box: Box, rows: tuple[tuple[Item, ...], ...]) -> None:
    from matplotlib.patches import FancyBboxPatch

    look = LOOKS[box.station.mark]
    axes.add_patch(
        FancyBboxPatch(
            (box.left, box.top),
            box.width,
            box.height,
            boxstyle="round,pad=0,rounding_size=1.4",
            facecolor=look.fill.light,
            edgecolor=look.line.light,
            linewidth=look.weight,
            linestyle=(0.0, look.dashes) if look.dashes else "solid",
            zorder=3,
        )
    )
    heights = [max(_TYPE[item][0] for item in row) * POINT * _LINE for row in rows]
    scale = min(1.0, (box.height - 0.4) / sum(heights))
    spare = (box.height - scale * sum(heights)) / (len(rows) + 1)
    top = box.top - 0.15
    for row, height in zip(rows, heights, strict=True):
        top += spare
        _line_of(axes, box, row, top + scale * height / 2, scale)
        top += scale * height


def _line_of(axes: Axes, box: Box, row: tuple[Item, ...], middle: float, scale: float) -> None:
    colour, room = LOOKS[box.station.mark].text.light, box.width - 2 * _PADDING
    widest, narrowest = _width_of(box.station, row, 1.0), _width_of(box.station, row)
    share = min(1.0, max(0.0, (room - narrowest) / (widest - narrowest))) if widest > narrowest else 1.0
    left, right = box.left + _PADDING, box.left + box.width - _PADDING
    # What stands at the right is a figure and stays whole; what stands at the left gives way.
    for item in reversed(row):
        full, small, bold = _TYPE[item]
        wanted = max(min(full * scale, small + share * (full - small)), SMALLEST)
        text, size = fitted(_said(box.station, item), right - left, wanted, min(small, wanted), bold=bold)
        if not text:
            continue
        at_right = item != row[0]
        write(
            axes,
            (right if at_right else left, middle),
            text,
            size,
            colour,
            bold=bold,
            align="right" if at_right else "left",
        )
        right -= width_of(text, size, bold=bold) + _APART if at_right else 0.0
