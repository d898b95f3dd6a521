"""Lines through the course of an engine, limits ahead, what a test can see: beside a reference library, and by hand."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import chi2
from tests.pulled import gauge, pulled, pulls, si

from ringtrue.compression import Band
from ringtrue.history import Carried, Says, Trend, carry, outlook, sight, surely_for, trend
from ringtrue.history.trend import chi_squared_limit, shared_covariance, weights
from ringtrue.measure.gauges import GaugeError
from ringtrue.measure.limits import DEFAULT, rules_for

PSI = si(1.0, "psi")
HOUR = 3600.0
ONE = Band(1.0, 1.0, 1.0)
PLAIN = gauge(300, 2, "", 0.006)
RULES = rules_for(DEFAULT, None)


def read(*finals: float) -> Carried:
    """Return a test of finals in psi, carried by nothing."""
    found = carry(pulled(*pulls(finals), gauge=PLAIN), (), ONE)
    assert found is not None
    return found


def sure(tests: int) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return factors of one that are known exactly."""
    return np.zeros((8, tests))


def course(*hours: float, lost: float = 0.0) -> tuple[Trend, list[float]]:
    """Return the course of an engine of six, of which the last loses a share every hour."""
    tests = [read(*[150.0] * 5, 150.0 * math.exp(-lost * each)) for each in hours]
    at = [HOUR * each for each in hours]
    return trend(tests, sure(len(tests)), at), at


# If this failed, rates would not be those of generalised least squares: statsmodels' GLS is the reference, on a
# covariance in which two tests share a day.
def test_lines_are_those_of_a_reference_library() -> None:
    at = [0.0, 40.0, 90.0, 150.0]
    y = np.array([0.0, -0.011, -0.018, -0.041])
    covariance = np.diag([1.0, 2.0, 1.5, 3.0]) * 1e-4 + 0.4e-4
    makes, spread = weights(at, covariance)
    reference = sm.GLS(y, sm.add_constant(np.array(at) - np.mean(at)), sigma=covariance).fit(cov_type="fixed scale")
    assert (makes @ y).tolist() == pytest.approx(reference.params.tolist(), rel=1e-9)
    assert np.allclose(spread, reference.normalized_cov_params, rtol=1e-9)


# If this failed, a course that scatters more than the gauge would be held for one that does not. scipy's chi-squared
# distribution is the reference; Wilson and Hilferty's form of it is good to 1 % from two degrees of freedom on.
@pytest.mark.parametrize("free", [1, 2, 3, 5, 10, 40])
def test_the_limit_of_scatter(free: int) -> None:
    assert chi_squared_limit(free) == pytest.approx(chi2.ppf(0.95, free), rel=0.03 if free == 1 else 0.01)


# If this failed, a cylinder that burns away would have no rate, or its siblings one. By hand: 1 % lost in 10 h.
def test_a_cylinder_that_loses() -> None:
    found, _ = course(0, 50, 100, lost=0.001)
    last = found.cylinders["6"]
    assert last.rate.median * HOUR == pytest.approx(-0.001)
    assert last.says is Says.LOWER
    assert {found.cylinders[name].says for name in "12345"} == {Says.NO_CHANGE}
    assert found.cylinders["1"].rate.median == pytest.approx(0.0, abs=1e-12)


# If this failed, a whole engine's rate would count a day's factor, or a gauge's shift, as if each test had its own. By
# hand: two tests that share all of their day are apart by nothing; two that share nothing by both.
def test_what_tests_share_is_no_wear() -> None:
    tests = [read(*[150.0] * 4), read(*[150.0] * 4)]
    draws = np.random.default_rng(1).standard_normal((4000, 1)) * 0.03
    alike = trend(tests, np.hstack([draws, draws]), [0.0, HOUR]).engine
    other = trend(tests, np.hstack([draws, draws[::-1]]), [0.0, HOUR]).engine
    assert alike is not None
    assert other is not None
    widths = [(each.rate.high - each.rate.low) * HOUR / 2 / 1.959964 for each in (alike, other)]
    assert widths[1] == pytest.approx(math.hypot(widths[0], math.sqrt(2) * 0.03), rel=0.05)
    graded = [carry(pulled(*pulls([level] * 4), gauge=gauge(300, 2, "B", 0.006)), (), ONE) for level in (150, 150, 75)]
    shared = shared_covariance([each for each in graded if each], np.zeros((4, 3)))
    # Grade B from 75 to 225 psi of 300 is 6 psi (docs/worked/gauge-grade.md), over root 3: 2.309 % of 150 psi.
    assert math.sqrt(shared[0, 0]) == pytest.approx(6 / math.sqrt(3) / 150, rel=1e-6)
    assert shared[0, 1] == pytest.approx(shared[0, 0])
    assert shared[2, 2] > 4 * shared[0, 0] * 0.99


# If this failed, readings that jump about more than pull after pull does would be told as a sure rate.
def test_scatter_that_the_gauge_does_not_explain() -> None:
    calm = [read(150, 152, 150, 148, 150, 150), read(150, 152, 150, 148, 150, 150), read(150, 152, 150, 148, 150, 150)]
    wild = [calm[0], read(140, 160, 143, 157, 150, 138), calm[2]]
    at = [0.0, HOUR, 2 * HOUR]
    assert not trend(calm, sure(3), at).widened
    found = trend(wild, sure(3), at)
    assert found.widened
    assert found.scatter > 2
    narrow = trend(calm, sure(3), at).cylinders["1"].rate
    wide = found.cylinders["1"].rate
    assert wide.high - wide.low == pytest.approx(found.scatter * (narrow.high - narrow.low), rel=0.1)


# If this failed, one test, two on one day, or a cylinder that died would stop the program or have a rate.
def test_where_there_is_no_line() -> None:
    assert trend([read(150, 150)], sure(1), [0.0]).lines is None
    assert trend([read(150, 150), read(150, 150)], sure(2), [5.0, 5.0]).lines is None
    assert trend([read(150, 150), read(150, 150)], sure(2), []).lines is None
    found = trend([read(150, 150, 150), read(150, 0, 150)], sure(2), [0.0, HOUR])
    assert set(found.cylinders) == {"1", "3"}
    alone = trend([read(150), read(140)], sure(2), [0.0, HOUR])
    assert alone.cylinders == {}
    assert alone.engine is not None


# If this failed, a limit ahead would be foretold at the wrong place, or one that is not in sight be told. By hand: a
# cylinder that loses 0.1 % an hour is 20 % below the mean of all six where 1 - x is 0.8 of (5 + 1 - x) / 6, so at
# 23.1 % lost, after 262 h; it was watched for 140 h, and 280 h is as far again.
def test_a_limit_ahead() -> None:
    found, at = course(0, 70, 140, lost=0.001)
    assert found.lines is not None
    ahead = outlook(found.lines, RULES)
    assert ahead is not None
    assert ahead.until == pytest.approx(2 * at[-1])
    by = {each.rule.key: each for each in ahead.forecasts}
    below = by["below_mean"]
    assert below.median is not None
    assert below.low is not None
    assert below.median / HOUR == pytest.approx(-math.log(1 - 0.2308) * 1000, rel=0.03)
    assert below.low < below.median
    assert below.cylinder == "6"
    assert "mean_deviation_target" not in by
    assert not by["mean_deviation_limit"].in_sight
    assert ahead.forecasts[0].rule.key == "cylinder_deviation_limit"
    assert ahead.forecasts[0].already > 0.5


# If this failed, an engine that does not change would be told that it will break a limit.
def test_nothing_ahead_of_a_sound_engine() -> None:
    found, _ = course(0, 200, 400, 600)
    assert found.lines is not None
    ahead = outlook(found.lines, RULES)
    assert ahead is not None
    assert not any(each.in_sight for each in ahead.forecasts)


# If this failed, what is told before a test would not be what is found in it. By hand, for eight cylinders, 0.9 %
# repeatability and nothing else, three pulls both times: a cylinder's ratio has 0.9 % x root (2 / 3) = 0.735 %, the
# median of seven such 0.459 of that (order statistics of the normal, from memory), together 0.809 %; times 1.645 and
# 1.282 is 2.37 %; and 2.489 in place of 1.645 for one engine in 20, 3.05 %. The share lost is 1 - exp(-x).
def test_the_smallest_loss_that_is_seen() -> None:
    error = GaugeError(None, 0.0, 0.0, 0.009, ())
    found = sight(error, 3, error, 3, pressure=150 * PSI, cylinders=8)
    assert found is not None
    assert found.looks == pytest.approx(1 - math.exp(-0.0237), rel=0.02)
    assert found.lower == pytest.approx(1 - math.exp(-0.0305), rel=0.02)
    assert NormalDist().inv_cdf(1 - surely_for(8)) == pytest.approx(2.489, abs=0.002)
    once = sight(error, 1, error, 3, pressure=150 * PSI, cylinders=8)
    assert once is not None
    assert once.looks > found.looks
    assert sight(error, 3, None, 3, pressure=150 * PSI, cylinders=1) is None
