"""Figures that have a bound: no interval of one reaches beyond what an engine can be."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from scipy.stats import halfnorm
from tests.pulled import gauge, pulled, pulls, rule, si

from ringtrue.measure import Outcome, judge
from ringtrue.measure.gauges import GaugeError
from ringtrue.measure.limits import Figure, Side
from ringtrue.measure.uncertainty import Final, Uncertainty
from ringtrue.measure.why import whys
from ringtrue.shop.why import WhySo, as_json
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import why_budget

PSI = si(1.0, "psi")
PURE = GaugeError(None, 0.0, 0.0, 0.01, ())
ALIKE = (150.0, 150.0, 151.0, 150.0, 150.0, 149.0)


def sides(error: GaugeError, *finals: float) -> tuple[float, float, float, float]:
    """Return evidence for met and not met of 0.75, and the interval, of lowest over highest."""
    told = Uncertainty(error, 0.0, [Final(each * PSI, 1) for each in finals])
    found = told.sides(Figure.LOWEST_OVER_HIGHEST, Side.AT_LEAST, 0.75)
    return found.met, found.not_met, found.interval.low, found.interval.high


# If this failed, the draws of two cylinders that change places would count as an engine whose lowest is above its
# highest. By hand: two that read alike, 1 % scatter each, lie apart by the absolute value of a normal of root 2 x 1 %,
# whose 95th percentile scipy's half normal gives.
def test_two_that_read_alike() -> None:
    met, not_met, low, high = sides(PURE, 150, 150)
    assert (met, not_met, high) == (1.0, 0.0, 1.0)
    assert low == pytest.approx(math.exp(-halfnorm.ppf(0.95, scale=0.01 * math.sqrt(2))), abs=0.0008)


# If this failed, an owner would read that the lowest of his cylinders may be above the highest.
@pytest.mark.parametrize("resolution", [1, 2, 5])
def test_no_interval_is_beyond_what_can_be(resolution: float) -> None:
    with_limit = judge(pulled(*pulls(ALIKE), gauge=gauge(300, resolution, "B"))).dry
    assert with_limit is not None
    found = rule(with_limit, "lowest_over_highest")
    assert found.interval is not None
    assert found.value is not None
    assert found.interval.low < found.value < found.interval.high == 1.0
    assert found.outcome is Outcome.MET


# If this failed, keeping an interval to what can be would leave engines out: of those that are nearly alike, where it
# is cut, 90 % and more have to be in it. Readings are made by a path of their own; figures are invented.
def test_it_still_covers() -> None:
    draw, held, tries = random.Random(7), 0, 120
    error = replace(PURE, repeatability=0.006)
    for _ in range(tries):
        own = [150 * (1 + draw.gauss(0, 0.004)) for _ in range(6)]
        _, _, low, high = sides(error, *(each * (1 + draw.gauss(0, 0.006)) for each in own))
        held += low <= min(own) / max(own) <= high <= 1
    assert held / tries >= 0.9


# If this failed, the budget of a figure would tell ends that no engine has, or hide what the sum alone says.
def test_the_budget_says_so() -> None:
    test = pulled(*pulls(ALIKE), gauge=gauge(300, 5, "B"))
    found = judge(test, sheet=None).dry
    assert found is not None
    budgets = {each.figure: each for each in whys(test, found, ()) if not each.cylinder}
    over, spread = budgets[Figure.LOWEST_OVER_HIGHEST], budgets[Figure.SPREAD]
    assert over.budget.high > 1 >= over.first_order.high == 1
    assert spread.budget.low < 0 == spread.first_order.low
    unit = find_unit("psi", Dimension.PRESSURE)
    assert "no engine is beyond that; the sum alone says" in why_budget(over, unit).says[0]
    told = as_json(WhySo(unit, (over,), ()))["budgets"]
    assert isinstance(told, list)
    assert max(told[0][part]["high"] for part in ("interval", "first_order", "drawn")) <= 1
