"""
Control charts, against the worked examples of a handbook and against general libraries.

NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals), 6.3.2.3 (CUSUM) and 6.3.2.4 (EWMA), read as
quoted by others; the handbook itself was not opened.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from ringtrue.history.builds import evening, scatter_of_deviation
from ringtrue.history.charts import D2, D4, began, cusum, ewma, individuals
from ringtrue.measure.student import t_beyond, t_quantile

# fmt: off
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
SUMMED = [
    324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6,
    324.625, 325.15, 328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35,
]
ABOVE = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.0, 19.04]
BELOW = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0]
AVERAGED = [
    52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
    49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1,
]
AVERAGES = [
    50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
    50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
]
# fmt: on


# If this failed, limits would lie elsewhere than everybody who charts single figures puts them (6.3.2.2, printed).
def test_individuals_as_printed() -> None:
    chart = individuals(FLOW)
    assert chart.centre == pytest.approx(50.81, abs=1e-9)
    assert chart.range_mean == pytest.approx(1.8778, abs=5e-5)
    assert (chart.lower, chart.upper) == pytest.approx((45.8159, 55.8041), abs=1e-4)


# If this failed, figures after the baseline would move the limits that they are to be held against.
def test_only_the_baseline_makes_limits() -> None:
    alone, followed = individuals(FLOW), individuals([*FLOW, 90.0, 10.0], baseline=len(FLOW))
    assert (followed.lower, followed.upper, followed.range_mean) == (alone.lower, alone.upper, alone.range_mean)
    assert followed.ranges[-1] == 80.0


# If this failed, a drift would be told later or sooner than the handbook tells it (6.3.2.3, printed to two places).
def test_cusum_as_printed() -> None:
    sums = cusum(SUMMED, 325, 0.3175)
    assert list(sums.above) == pytest.approx(ABOVE, abs=0.01)
    assert list(sums.below) == pytest.approx(BELOW, abs=0.01)
    first = next(at for at, each in enumerate(sums.above) if each > 4.1959)
    assert first + 1 == 14
    assert began(sums.above, first) + 1 == 13
    assert max(sums.below) < 4.1959


# If this failed, an average would forget faster or slower than it says (6.3.2.4, printed to two places).
def test_ewma_as_printed() -> None:
    chart = ewma(AVERAGED, 50, 2.0539, 0.3)
    assert list(chart.values) == pytest.approx(AVERAGES, abs=0.01)
    assert (chart.lower[-1], chart.upper[-1]) == pytest.approx((47.4116, 52.5884), abs=5e-4)
    assert all(low <= each <= high for low, each, high in zip(chart.lower, chart.values, chart.upper, strict=True))


# If this failed, limits of the average would be too wide at first, where a change is seen best: the standard deviation
# of the first average is the weight times that of a figure (derived by hand).
def test_the_first_limits_of_an_average_are_narrow() -> None:
    chart = ewma(AVERAGED, 50, 2.0, 0.3)
    assert chart.upper[0] - 50 == pytest.approx(3 * 0.3 * 2.0)


# If this failed, scatter would be taken for more or less than it is: tables print d2 = 1.128 and D4 = 3.267 for two,
# which are 2/sqrt(pi) and 1 + 3 sqrt(pi/2 - 1), rounded (derived by hand: the difference of two normal figures is
# normal).
def test_chart_constants() -> None:
    assert pytest.approx(2 / math.sqrt(math.pi), abs=5e-4) == D2
    assert pytest.approx(1 + 3 * math.sqrt(math.pi / 2 - 1), abs=5e-4) == D4


# If this failed, a mean deviation of few cylinders would be taken for less scatter than there is, or its own scatter
# for another one. Against simulated normal figures: 400,000 engines give a mean to 0.001 and a scatter to 0.001.
@pytest.mark.parametrize("cylinders", [2, 3, 4, 6, 8, 12])
def test_the_mean_deviation_of_few(cylinders: int) -> None:
    drawn = np.random.default_rng(5).standard_normal((400_000, cylinders))
    found = np.abs(drawn - drawn.mean(axis=1, keepdims=True)).mean(axis=1)
    assert math.sqrt(2 / math.pi) * evening(cylinders) == pytest.approx(found.mean(), abs=0.003)
    assert scatter_of_deviation(cylinders) == pytest.approx(found.std(), abs=0.003)


# If this failed, intervals of a level would be too wide or too narrow. Against scipy.stats.t.
@pytest.mark.parametrize("freedom", [1, 2, 9, 19, 57.5, 1999])
def test_student(freedom: float) -> None:
    for probability in (0.6, 0.9, 0.975, 0.9995):
        assert t_quantile(probability, freedom) == pytest.approx(stats.t.ppf(probability, freedom), rel=1e-8)
    for t in (0.0, 0.5, -2.2, 7.0):
        assert t_beyond(t, freedom) == pytest.approx(2 * stats.t.sf(abs(t), freedom), rel=1e-8)
    assert t_beyond(math.inf, freedom) == 0.0
