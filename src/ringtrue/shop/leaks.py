"""The leak behind a leak-down reading: how large it is, and what another restrictor would show of it."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.compression import Conditions
from ringtrue.measure import LeakdownFigures
from ringtrue.measure.leakdown import LARGE_RESTRICTOR, SMALL_RESTRICTOR
from ringtrue.physics import RESTRICTOR_COEFFICIENT, area_ratio, effective_area, equivalent_loss, standard_pressure
from ringtrue.physics.atmosphere import HIGHEST, LOWEST
from ringtrue.quantities import STANDARD_AIR, PaAbs, PaGauge

SHOWN_THROUGH = (SMALL_RESTRICTOR, LARGE_RESTRICTOR)
"""Restrictors of DT-01 and DT-02, through which every leak is told. [m]"""


@dataclass(frozen=True, slots=True)
class Leak:
    """
    The size of a leak.

    Parameters
    ----------
    ratio : float or None
        Its area over that of the restrictor, at equal discharge coefficients; None where nothing was held (a leak of
        100 % has no size), or nothing read. [-]
    area : float or None
        Effective area; None also where the restrictor is not known. [m2]
    coefficient : float
        Discharge coefficient of the restrictor that the area rests on. [-]
    through : tuple of (float, float or None)
        Restrictor [m], and the share of the supply that the same leak would lose through it [-]; empty where the
        restrictor that was used is not known.
    """

    ratio: float | None
    area: float | None
    coefficient: float
    through: tuple[tuple[float, float | None], ...] = ()


def air_of(conditions: Conditions) -> PaAbs:
    """
    Return the surrounding air of a day.

    Parameters
    ----------
    conditions : Conditions
        The day.

    Returns
    -------
    PaAbs
        The barometer; where nobody read one the standard atmosphere at the altitude, or at sea level. [Pa]
    """
    if conditions.barometer is not None:
        return PaAbs(conditions.barometer.value)
    if conditions.altitude is None:
        return STANDARD_AIR
    return standard_pressure(min(max(conditions.altitude.value, LOWEST), HIGHEST))


def loss_through(supply: PaGauge, held: PaGauge, used: float, wanted: float, air: PaAbs) -> float | None:
    """
    Return the share that the same leak would lose through another restrictor.

    Parameters
    ----------
    supply, held : PaGauge
        As read; in two units they may be equal but for rounding. [Pa gauge]
    used, wanted : float
        Bores of the restrictors. [m]
    air : PaAbs
        The surrounding air. [Pa]

    Returns
    -------
    float or None
        None where nothing was held. [-]
    """
    return equivalent_loss(supply, PaGauge(min(held, supply)), used, wanted, air)


def leak_of(found: LeakdownFigures, air: PaAbs, coefficient: float = RESTRICTOR_COEFFICIENT) -> Leak:
    """
    Work out the size of a leak.

    Parameters
    ----------
    found : LeakdownFigures
        The reading, judged.
    air : PaAbs
        The surrounding air. [Pa]
    coefficient : float
        Discharge coefficient of the restrictor. [-]

    Returns
    -------
    Leak
        What is known of it.
    """
    if found.supply is None or found.held is None:
        return Leak(None, None, coefficient)
    supply, held, used = found.supply, PaGauge(min(found.held, found.supply)), found.restrictor
    through = (
        () if used is None else tuple((each, loss_through(supply, held, used, each, air)) for each in SHOWN_THROUGH)
    )
    if held <= 0:
        return Leak(None, None, coefficient, through)
    area = None if used is None else effective_area(supply, held, used, coefficient=coefficient, barometer=air)
    return Leak(area_ratio(supply, held, air), area, coefficient, through)
