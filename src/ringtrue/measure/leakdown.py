"""Leak-down readings: what share of the supply is lost, and whether that is suspect."""

from __future__ import annotations

import math
from collections.abc import Callable

from ringtrue.compression import LeakdownReading
from ringtrue.engine import BuildSheet
from ringtrue.errors import ReadingImpossible
from ringtrue.measure.judgement import LeakdownFigures, Outcome
from ringtrue.measure.limits import (
    LEAKDOWN_ADOPTED,
    LEAKDOWN_SUSPECT,
    SLACK,
    Rule,
    Thresholds,
    with_threshold,
)
from ringtrue.quantities import PaGauge
from ringtrue.units import Dimension, find_unit, to_si

_INCH = find_unit("in", Dimension.LENGTH)

SMALL_RESTRICTOR = to_si(0.040, _INCH)
"""Bore of the restrictor that the general rule is about, and of DT-01 for bores below 5.00 in. [m]"""

LARGE_RESTRICTOR = to_si(0.060, _INCH)
"""Bore of the restrictor of DT-02, for bores of 5.00 in and over. [m]"""

LARGE_BORE = to_si(5.00, _INCH)
"""Bore from which DT-02 asks for the larger restrictor. [m]"""

_SAME_RESTRICTOR = 0.005
"""Restrictors whose bores differ by less than this share are the same one, written with other digits. [-]"""

EquivalentLoss = Callable[[PaGauge, PaGauge, float, float], float | None]
"""(supply, held, restrictor used, restrictor wanted) -> share that the same leak would lose through the latter."""


def leak_fraction(supply: PaGauge, held: PaGauge) -> float:
    r"""
    Share of the supply that a cylinder lets go in a leak-down test.

    .. math:: (p_s - p_h) / p_s

    Parameters
    ----------
    supply, held : PaGauge
        Regulated supply and what the cylinder holds, same zero. [Pa gauge]

    Returns
    -------
    float
        0 for a sealed cylinder, 1 for an open one. [-]

    Raises
    ------
    ReadingImpossible
        The supply is not above zero, or the cylinder holds more than is supplied, or less than nothing.

    Notes
    -----
    Depends on the restrictor: compare only readings through the same one.

    References
    ----------
    .. [1] FAA AC 43.13-1B, 8-14.

    Examples
    --------
    60 held of 80 is a quarter gone, whatever the unit:

    >>> leak_fraction(PaGauge(80.0), PaGauge(60.0))
    0.25
    """
    if not supply > 0:
        raise ReadingImpossible.of(
            "a leak-down supply that is not above zero",
            "without air from the regulator nothing can be lost",
            "type the regulated pressure, for example 80 psi",
        )
    if not 0 <= held <= supply * (1 + SLACK):
        raise ReadingImpossible.of(
            f"a cylinder that holds {held / supply:.0%} of its leak-down supply",
            "it holds between nothing and all of what is supplied",
            "look whether supply and held were swapped, or read the second gauge again",
        )
    return max(supply - held, 0.0) / supply


def judge_leakdown(
    reading: LeakdownReading,
    *,
    sheet: BuildSheet | None,
    thresholds: Thresholds,
    equivalent_loss: EquivalentLoss | None = None,
) -> LeakdownFigures:
    """
    Judge one leak-down reading.

    Parameters
    ----------
    reading : LeakdownReading
        As it was read.
    sheet : BuildSheet or None
        For the rule it adopts and, with DT-03, the cylinder's bore.
    thresholds : Thresholds
        The shop's limits.
    equivalent_loss : EquivalentLoss or None
        Turns the loss through one restrictor into that through another; without it other restrictors are not judged.

    Returns
    -------
    LeakdownFigures
        A bare comparison: nothing is known of a leak-down tester's two gauges.

    Notes
    -----
    "More than": a loss that is exactly the limit is not suspect (60 of 80 is on the limit of DT-03). The limit of 20 %
    through 0.040 in is common practice; DT-03 is an aircraft rule, and where it finds a cylinder suspect the engine is
    run and the reading repeated before anything is taken apart (AC 43.13-1B, 8-14b(5)).

    References
    ----------
    .. [1] FAA AC 43.13-1B, 8-14, Change 1 (2001), and page 8-15, 8-14b(5)(i).
    """
    adopted = sheet is not None and LEAKDOWN_ADOPTED.key in sheet.limits.adopt
    rule = LEAKDOWN_ADOPTED if adopted else with_threshold(LEAKDOWN_SUSPECT, thresholds)
    supply = reading.supply.pressure if reading.supply else None
    held = reading.held.pressure if reading.held else None
    restrictor = reading.restrictor.value if reading.restrictor else None
    loss = leak_fraction(supply, held) if supply is not None and held is not None else None
    outcome = Outcome.NOT_JUDGED
    if supply is None or held is None or loss is None:
        reason = "supply or held not read"
    elif restrictor is None:
        reason = "restrictor not known"
    else:
        wanted, reason = _restrictor_of(rule, restrictor, sheet.dimensions(reading.cylinder).bore if sheet else None)
        same_leak: float | None = loss
        if not math.isclose(restrictor, wanted, rel_tol=_SAME_RESTRICTOR):
            same_leak = equivalent_loss(supply, held, restrictor, wanted) if equivalent_loss else None
            reason = "restrictor is not the one that the rule is about"
            if loss >= 1 and restrictor > wanted:
                # What lets out all that a larger hole gives lets out all that a smaller one gives.
                same_leak = loss
        if same_leak is not None:
            outcome = Outcome.MET if rule.side.holds(same_leak, rule.limit) else Outcome.NOT_MET
            converted = "" if same_leak is loss else f"; the same leak loses {100 * same_leak:.2f} % through that one"
            reason = f"{reason}{converted}; gauge not known"
    return LeakdownFigures(
        cylinder=reading.cylinder,
        supply=supply,
        held=held,
        loss=loss,
        outcome=outcome,
        rule=rule.key,
        limit=rule.limit,
        source=rule.source,
        reason=reason,
        heard=reading.heard,
        restrictor=restrictor,
    )


def _restrictor_of(rule: Rule, used: float, bore: float | None) -> tuple[float, str]:
    """Return the bore of the restrictor that a rule is about, and how that is known."""
    if rule.key == LEAKDOWN_SUSPECT.key:
        return SMALL_RESTRICTOR, "the rule is about a restrictor of 0.040 in"
    if bore is None:
        nearest = min(SMALL_RESTRICTOR, LARGE_RESTRICTOR, key=lambda each: abs(each - used))
        return nearest, "bore not known: the restrictor is taken to be the one that belongs to it"
    return (
        LARGE_RESTRICTOR if bore >= LARGE_BORE * (1 - SLACK) else SMALL_RESTRICTOR
    ), "the restrictor belongs to the bore"
