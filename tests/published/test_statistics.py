"""
Tests for outliers and robust scales, against print and against general libraries.

NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17, 1.3.5.17.1 and 1.3.5.17.3 (read as quoted by others). Figures
marked "computed" were worked out with the t quantiles of another library from the handbook's formula.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.robust import scale

from ringtrue.measure.statistics import (
    TO_SIGMA,
    generalised_esd,
    grubbs,
    grubbs_critical,
    mean,
    mean_deviation,
    median,
    median_deviation,
    sample_sd,
)

HANDBOOK_GRUBBS = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
# fmt: off
HANDBOOK_ESD = [
    -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38,
    1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70,
    1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09,
    2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40,
    2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21,
    3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
]
# fmt: on


# If this failed, the handbook's own outlier would not be one here, or by another figure (ST-01; G printed as 2.4687).
def test_grubbs_on_the_handbooks_example() -> None:
    found = grubbs(HANDBOOK_GRUBBS, 0.05)
    assert mean(HANDBOOK_GRUBBS) == pytest.approx(206.43375, abs=1e-5)
    assert sample_sd(HANDBOOK_GRUBBS) == pytest.approx(15.852564, abs=1e-5)
    assert found.statistic == pytest.approx(2.468765, abs=1e-5)
    assert found.critical == pytest.approx(2.126645, abs=1e-5)  # computed
    assert [HANDBOOK_GRUBBS[i] for i in found.outliers] == [245.57]


# If this failed, the handbook's one-sided limit, printed as 2.032, would not come from the same formula.
def test_grubbs_critical_one_sided_is_two_sided_at_twice_the_significance() -> None:
    assert grubbs_critical(8, 2 * 0.05) == pytest.approx(2.031652, abs=1e-5)


# If this failed, an engine of that many cylinders would have its outlier called at another limit (ST-02, computed).
@pytest.mark.parametrize(
    ("count", "critical"),
    [
        (3, 1.1543),
        (4, 1.4813),
        (5, 1.7150),
        (6, 1.8871),
        (8, 2.1266),
        (10, 2.2900),
        (12, 2.4116),
        (20, 2.7082),
        (30, 2.9085),
    ],
)
def test_grubbs_critical_values(count: int, critical: float) -> None:
    assert grubbs_critical(count, 0.05) == pytest.approx(critical, abs=1e-4)
    t = float(stats.t.ppf(0.05 / (2 * count), count - 2))
    formula = (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))
    assert grubbs_critical(count, 0.05) == pytest.approx(formula, rel=1e-12)


# If this failed, the quantile under the limit would wander off where no table is at hand (scipy's t, a library's own
# computation): from three figures to two hundred, at every significance that is in use.
@pytest.mark.parametrize("alpha", [0.1, 0.05, 0.01, 0.001])
def test_grubbs_critical_follows_another_librarys_t(alpha: float) -> None:
    for count in (*range(3, 25), 30, 50, 100, 200):
        t = float(stats.t.ppf(alpha / (2 * count), count - 2))
        formula = (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))
        assert grubbs_critical(count, alpha) == pytest.approx(formula, rel=1e-10), count


# If this failed, outliers that hide one another would stay hidden: two steps alone find none (ST-03, printed).
def test_generalised_esd_on_the_handbooks_example() -> None:
    found = generalised_esd(HANDBOOK_ESD, 10, 0.05)
    assert sorted(HANDBOOK_ESD[i] for i in found.outliers) == [5.34, 5.42, 6.01]
    assert found.statistic == pytest.approx(3.179, abs=2e-3)
    assert found.critical == pytest.approx(3.144, abs=2e-3)


# If this failed, a step of the test would be other than the handbook's table (ST-03, printed).
@pytest.mark.parametrize(
    ("step", "statistic", "critical"),
    [(1, 3.119, 3.159), (2, 2.943, 3.151), (3, 3.179, 3.144), (4, 2.810, 3.136), (5, 2.816, 3.128), (10, 2.067, 3.085)],
)
def test_steps_of_generalised_esd(step: int, statistic: float, critical: float) -> None:
    left = list(HANDBOOK_ESD)
    for _ in range(step - 1):
        left.remove(max(left, key=lambda each: abs(each - mean(left))))
    found = grubbs(left, 0.05)
    assert found.statistic == pytest.approx(statistic, abs=2e-3)
    assert found.critical == pytest.approx(critical, abs=2e-3)


# If this failed, readings that are all the same would have an outlier.
def test_identical_figures_have_no_outlier() -> None:
    assert grubbs([150.0] * 6, 0.05).outliers == ()
    assert generalised_esd([0.1 + 0.2] * 16, 5, 0.05).outliers == ()


# If this failed, the robust scale on which places rest would not be the handbook's (ST-06; 3.5 and 0.6745 printed).
def test_modified_z_score() -> None:
    assert median(HANDBOOK_GRUBBS) == pytest.approx(201.37, abs=1e-9)
    assert median_deviation(HANDBOOK_GRUBBS) == pytest.approx(0.995, abs=1e-9)
    largest = max(abs(each - median(HANDBOOK_GRUBBS)) for each in HANDBOOK_GRUBBS) / median_deviation(HANDBOOK_GRUBBS)
    assert 0.6745 * largest == pytest.approx(29.9627, abs=1e-3)
    assert pytest.approx(1 / 0.6745, abs=1e-4) == TO_SIGMA
    assert mean_deviation(HANDBOOK_GRUBBS) == pytest.approx(9.784063, abs=1e-6)


# If this failed, our own arithmetic would differ from that of libraries that many people check.
@pytest.mark.parametrize("count", [1, 2, 3, 4, 7, 12, 24])
def test_the_same_as_general_libraries(count: int) -> None:
    values = [float(each) for each in np.random.default_rng(count).normal(150, 5, count)]
    assert mean(values) == pytest.approx(float(np.mean(values)), rel=1e-14)
    assert median(values) == pytest.approx(float(np.median(values)), rel=1e-14)
    assert median_deviation(values) == pytest.approx(float(stats.median_abs_deviation(values)), rel=1e-12)
    assert median_deviation(values) == pytest.approx(float(scale.mad(np.array(values), c=1.0)), rel=1e-12)
    assert mean_deviation(values) == pytest.approx(
        float(np.mean(np.abs(np.array(values) - np.mean(values)))), rel=1e-12
    )
    if count > 1:
        assert sample_sd(values) == pytest.approx(float(np.std(values, ddof=1)), rel=1e-12)
