"""Why the area of a leak is known no better: what readings, restrictor and air add to it."""

from __future__ import annotations

import math
import re
from collections import Counter
from typing import TYPE_CHECKING

from ringtrue.diagnosis.evidence import FLOWS_TO, READ_TO
from ringtrue.measure.propagation import Quantity, Spread, propagate
from ringtrue.measure.why import LEVEL, Not, Why
from ringtrue.physics import effective_area
from ringtrue.quantities import PaAbs, PaGauge
from ringtrue.shop.leaks import air_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

    from ringtrue.compression import Conditions, LeakdownReading
    from ringtrue.measure.propagation import Propagated
    from ringtrue.quantities import Measured
    from ringtrue.shop.judging import Judged

    Floats = NDArray[np.float64]

_MM2 = 1e6
_LEAST_HELD = 1.0
_BORE_TO = 0.02
"""No restrictor is drilled worse than this, as a share of its bore: common practice. [-]"""
_AIR_READ, _AIR_BY_HEIGHT, _AIR_NOT_SAID = 100.0, 1.0e3, 3.0e3
"""Standard uncertainty of the surrounding air: read on the spot, from the height (weather), nothing said. [Pa]"""

LEAKS_REST_ON = (
    "a leak-down gauge is taken to be read to half a psi (one standard deviation, common practice)",
    "how far the leak-down tester's own gauges are off is not known, and in no leak's budget",
    "what a restrictor lets through is taken as known within a tenth (one standard deviation, common practice)",
    "a restrictor's bore is taken as it was written, within half of the last digit or 2 %, whichever is less",
)
"""What the budget of a leak rests on, as sentences without their full stop."""


def leak_whys(judged: Judged) -> tuple[Why, ...]:
    """
    Tell of every leak that has a size why it is known no better.

    Parameters
    ----------
    judged : Judged
        A test, judged.

    Returns
    -------
    tuple of Why
        A budget a leak-down reading, in the order taken; readings without a restrictor, or that held nothing, have no
        area and no budget. [mm2]
    """
    return tuple(_all(judged))


def _all(judged: Judged) -> Iterator[Why]:
    met: Counter[str] = Counter()
    for row, leak in zip(judged.test.leakdowns, judged.leaks, strict=True):
        met[row.cylinder] += 1
        if leak.area is None or row.supply is None or row.held is None or row.restrictor is None:
            continue
        budget = _budget(row, row.restrictor, leak.coefficient, judged.test.conditions)
        yield Why(None, row.cylinder, _MM2 * leak.area, "area", None, budget, met[row.cylinder])


def _budget(row: LeakdownReading, restrictor: Measured, coefficient: float, day: Conditions) -> Propagated:
    if row.supply is None or row.held is None:
        raise AssertionError
    supply = float(row.supply.pressure)
    bore = min(half_of_last_digit(restrictor), _BORE_TO * restrictor.value)
    inputs = (
        Quantity(Not.SUPPLY, supply, READ_TO),
        Quantity(Not.HELD, min(float(row.held.pressure), supply), READ_TO),
        Quantity(Not.BORE, restrictor.value, bore / math.sqrt(3), Spread.EVEN),
        Quantity(Not.FLOW, coefficient, FLOWS_TO * coefficient),
        Quantity(Not.AIR, float(air_of(day)), _air_known_to(day)),
    )
    return propagate(_areas, inputs, level=LEVEL, draws=20_000)


def _areas(x: Floats) -> Floats:
    """Return the effective area of each draw; a cylinder holds no more than it is given. [mm2]."""
    import numpy as np

    def one(supply: float, held: float, bore: float, coefficient: float, air: float) -> float:
        given = max(supply, 2 * _LEAST_HELD)
        holds = PaGauge(min(max(held, _LEAST_HELD), given))
        return _MM2 * effective_area(
            PaGauge(given), holds, max(bore, 0.0), coefficient=max(coefficient, 0.0), barometer=PaAbs(air)
        )

    return np.array([one(*each) for each in x.tolist()])


def half_of_last_digit(written: Measured) -> float:
    """
    Return half a unit of the last digit that somebody wrote.

    Parameters
    ----------
    written : Measured
        A figure above zero.

    Returns
    -------
    float
        In the SI unit of the figure; a whole number counts to its last place that is no zero.

    Examples
    --------
    0.040 in is written to a thousandth of an inch:

    >>> from ringtrue.quantities import Measured
    >>> round(half_of_last_digit(Measured(0.040 * 0.0254, "0.040", "in")) / 0.0254, 6)
    0.0005
    """
    text = written.written.strip().replace(",", ".")
    number = re.fullmatch(r"[+]?(\d*)(?:\.(\d*))?", text)
    if number is None or not any(digit in "123456789" for digit in text):
        return 0.0
    whole, part = number.group(1) or "", number.group(2) or ""
    last = 10.0 ** -len(part) if part else 10.0 ** (len(whole) - len(whole.rstrip("0")))
    return 0.5 * last * written.value / float(text)


def _air_known_to(day: Conditions) -> float:
    if day.barometer is not None:
        return _AIR_READ
    return _AIR_NOT_SAID if day.altitude is None else _AIR_BY_HEIGHT
