"""How a final moves from one day, height, starter and gauge to others: a factor, known more closely than a level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.compression import Band, Conditions, Gauge
from ringtrue.physics.cylinders import check, vectors
from ringtrue.physics.expecting import PAIRS, band, hypercube, needle, values_at
from ringtrue.physics.inputs import inputs_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ringtrue.engine import BuildSheet

    Floats = NDArray[np.float64]

DRAWS = 48
"""Draws behind the factors of many days: each takes a cranking of its own."""

_OF_A_DAY = {"barometer", "inlet_air", "wall", "speed"}
_OF_A_GAUGE = {"check_valve", "adapter_volume", "hose_volume", "opening_pressure", "check_area", "hose_heat"}


@dataclass(frozen=True, slots=True)
class Day:
    """
    What a test was taken on.

    Parameters
    ----------
    sheet : BuildSheet
        The engine as it was built that day.
    gauge : Gauge or None
        With which it was read; None, or what is not known of it, is drawn.
    conditions : Conditions
        The day; what is not known is drawn.
    """

    sheet: BuildSheet
    gauge: Gauge | None = None
    conditions: Conditions = field(default_factory=Conditions)


def between_days(
    sheet: BuildSheet, gauge: Gauge | None, conditions: Conditions, to_gauge: Gauge | None, to: Conditions
) -> Band:
    """
    Work out the factor that carries a final from one day, height, starter and gauge to agreed ones.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    gauge, conditions : Gauge or None, Conditions
        With what and when it was read.
    to_gauge, to : Gauge or None, Conditions
        What it is carried to: conditions are taken as exact, and what is left out there stays as it was that day; a
        gauge is the one that it is, as far as it is known, and None leaves the day its own.

    Returns
    -------
    Band
        Final there over final here. [-]

    Raises
    ------
    CannotExpect, InputRefused
        As `expect`.

    Notes
    -----
    What belongs to the engine and to the model is the same on both sides and cancels; what is not known of the day
    stays uncertain.
    """
    return band(np.exp(log_factors([Day(sheet, gauge, conditions)], to_gauge, to, draws=2 * PAIRS)[:, 0]))


def log_factors(days: Sequence[Day], to_gauge: Gauge | None, to: Conditions, *, draws: int = DRAWS) -> Floats:
    """
    Work out the factors of several days of one engine together, so that what they share is shared.

    Parameters
    ----------
    days : sequence of Day
        In any order.
    to_gauge, to : Gauge or None, Conditions
        What they are carried to: conditions are taken as exact, and what is left out there stays as it was on each day;
        a gauge is the one that it is, as far as it is known, and None leaves each day its own.
    draws : int
        Draws of all that is not known.

    Returns
    -------
    ndarray, shape (draws, days)
        Natural logarithms of final there over final here; a row is one engine, model and set of gauges that may be the
        true ones. [-]

    Raises
    ------
    CannotExpect, InputRefused
        As `ringtrue.physics.expect`.

    Notes
    -----
    Engine and model are the same on all days, a gauge of the same name and range is the same gauge, and what is not
    known of two gauges is not the same unknown; barometer,
    temperatures and cranking speed are drawn for each day by itself, also where the same thing was left unsaid of
    several days: two days in one shop are then taken to be less alike than they are, and intervals are wide rather than
    narrow.
    """
    check_days(days, to_gauge, to)
    here = [inputs_of(day.sheet, day.gauge, day.conditions) for day in days]
    there = [inputs_of(day.sheet, to_gauge, to) for day in days]
    places: dict[tuple[str, object], int] = {}
    for number, (day, inputs) in enumerate(zip(days, here, strict=True)):
        for item in inputs:
            places.setdefault(_shared(item.key, number, day.gauge), len(places))
    for number, inputs in enumerate(there):
        for item in inputs:
            places.setdefault(_shared(item.key, number, to_gauge), len(places))
    scores = hypercube(len(places), draws)
    found = np.empty((draws, len(days)))
    cranked: dict[bytes, Floats] = {}

    def final(of: Floats) -> Floats:
        """Crank once what is the same for several days: the agreed ones, of one sheet."""
        key = of.tobytes()
        if key not in cranked:
            cranked[key] = np.log(needle(of)[:, -1])
        return cranked[key]

    for number, (day, inputs) in enumerate(zip(days, here, strict=True)):
        own = scores[:, [places[_shared(item.key, number, day.gauge)] for item in inputs]]
        before = values_at(inputs, own)
        other = scores[:, [places[_shared(item.key, number, to_gauge)] for item in there[number]]]
        with_gauge, exact = values_at(there[number], other), values_at(there[number], np.zeros_like(other))
        after = {
            item.key: exact[item.key]
            if item.known and item.key in _OF_A_DAY
            else with_gauge[item.key]
            if item.key in _OF_A_GAUGE and to_gauge is not None
            else before[item.key]
            for item in there[number]
        }
        found[:, number] = final(vectors(day.sheet, after)) - final(vectors(day.sheet, before))
    return found


def check_days(days: Sequence[Day], to_gauge: Gauge | None, to: Conditions) -> None:
    """
    Refuse what the model cannot be asked.

    Parameters
    ----------
    days : sequence of Day
        Every one of them.
    to_gauge, to : Gauge or None, Conditions
        What they are carried to.

    Raises
    ------
    CannotExpect, InputRefused
        As `ringtrue.physics.expect`.
    """
    for day in days:
        check(day.sheet, day.gauge, day.conditions)
        check(day.sheet, to_gauge, to)


def _shared(key: str, number: int, gauge: Gauge | None) -> tuple[str, object]:
    """Return under which name an input is drawn: once for all days, for a gauge, or for one day."""
    if key in _OF_A_DAY:
        return key, number
    if key in _OF_A_GAUGE:
        return key, None if gauge is None else gauge.face
    return key, None
