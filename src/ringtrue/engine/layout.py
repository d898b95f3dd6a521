"""The engine seen from above: where each cylinder stands. Page, sheet and terminal all draw from this."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringtrue.engine.parts import Layout
from ringtrue.engine.sheet import BuildSheet

BANKS_APART = 1.7
"""Distance between banks, in cylinder spacings."""


@dataclass(frozen=True, slots=True)
class Station:
    """
    Where one cylinder stands.

    Parameters
    ----------
    cylinder : str
        Its name.
    across, along : float
        Left to right, and front (0) to rear, in cylinder spacings. For a radial engine, seen from the front, right and
        down from its centre.
    bank : int
        Which bank, from 0.
    """

    cylinder: str
    across: float
    along: float
    bank: int


def seen_from_above(sheet: BuildSheet) -> tuple[Station, ...]:
    """
    Lay out an engine's cylinders.

    The front is at the top. The first bank of the sheet is drawn on the left. A radial engine is seen from the front,
    its first cylinder at the top and the others clockwise, a second row inside the first.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    tuple of Station
        One a cylinder, in the order of the sheet's banks, none on top of another.
    """
    if sheet.layout is Layout.RADIAL:
        return _radial(sheet.banks)
    return tuple(
        Station(name, bank * BANKS_APART, float(row), bank)
        for bank, names in enumerate(sheet.banks)
        for row, name in enumerate(names)
    )


def in_a_row(cylinders: tuple[str, ...]) -> tuple[Station, ...]:
    """
    Lay out cylinders of which nothing is known but their names.

    Parameters
    ----------
    cylinders : tuple of str
        Their names.

    Returns
    -------
    tuple of Station
        One behind the other.
    """
    return tuple(Station(name, 0.0, float(row), 0) for row, name in enumerate(cylinders))


def _radial(rows: tuple[tuple[str, ...], ...]) -> tuple[Station, ...]:
    # Neighbours on a circle of n stand one and a half spacings apart, rows one and a half spacings inside one another.
    largest = max(len(row) for row in rows)
    outer = max(1.5, 0.75 / math.sin(math.pi / max(largest, 2))) + 1.5 * (len(rows) - 1)
    stations = []
    for index, names in enumerate(rows):
        radius = outer - 1.5 * index
        for place, name in enumerate(names):
            angle = 2 * math.pi * (place + 0.5 * (index % 2)) / len(names)
            stations.append(Station(name, radius * math.sin(angle), -radius * math.cos(angle), index))
    return tuple(stations)
