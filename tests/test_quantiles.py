"""Chi-squared, F and normal, against scipy; of drawn figures, against numpy."""

from __future__ import annotations

import mpmath
import numpy as np
import pytest
from scipy import stats

from ringtrue.measure import bootstrap
from ringtrue.measure.quantiles import chi2_quantile, f_beyond, f_quantile, normal_quantile

CHANCES = (0.005, 0.025, 0.05, 0.5, 0.9, 0.975, 0.999)


# If this failed, intervals of a study, and the choice between line and points, would rest on another distribution.
@pytest.mark.parametrize("chance", CHANCES)
@pytest.mark.parametrize("freedom", [1, 2, 5, 18, 81])
def test_chi_squared(chance: float, freedom: int) -> None:
    assert chi2_quantile(chance, freedom) == pytest.approx(stats.chi2.ppf(chance, freedom), rel=1e-9)


# If this failed, an interaction would be pooled that must not be, or the other way round.
@pytest.mark.in_part(4)
@pytest.mark.parametrize("above", [1, 2, 9])
@pytest.mark.parametrize("below", [1, 18, 60])
def test_f(above: int, below: int) -> None:
    for chance in CHANCES:
        assert f_quantile(chance, above, below) == pytest.approx(stats.f.ppf(chance, above, below), rel=1e-8)
    for value in (0.0, 0.3, 1.0, 5.27, 40.0):
        assert f_beyond(value, above, below) == pytest.approx(stats.f.sf(value, above, below), rel=1e-9, abs=1e-12)


# If this failed, the smallest difference that repeats can show would be told too small or too large.
def test_normal() -> None:
    assert normal_quantile(0.9) == pytest.approx(stats.norm.ppf(0.9), rel=1e-12)


# If this failed, one computation that changes the precision of the common context would move another one's interval.
# The reference is scipy.
def test_precision_is_of_their_own() -> None:
    chi2_quantile.cache_clear()
    f_quantile.cache_clear()
    with mpmath.workdps(4):
        assert chi2_quantile(0.95, 7) == pytest.approx(stats.chi2.ppf(0.95, 7), rel=1e-9)
        assert f_quantile(0.95, 3, 10) == pytest.approx(stats.f.ppf(0.95, 3, 10), rel=1e-8)
        assert mpmath.mp.dps == 4


# If this failed, every interval of a rule would be another one than the draws leave.
@pytest.mark.parametrize("count", [2, 3, 100, 7_999, 8_000])
def test_of_drawn_figures(count: int) -> None:
    drawn = np.random.default_rng(count).normal(150.0, 3.0, count)
    for share in (0.001, 0.05, 0.5, 0.95, 0.999):
        assert bootstrap.quantile(drawn, share) == pytest.approx(np.quantile(drawn, share), rel=1e-14)
    assert bootstrap.quantile(np.round(drawn), 0.05) == np.quantile(np.round(drawn), 0.05)
