"""What goes together, against general libraries of statistics (scipy, statsmodels), on figures that are drawn."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.multitest import multipletests

from ringtrue.history.together import (
    FEWEST_PAIRS,
    compare_kinds,
    for_all_looked_at,
    ranks,
    together,
    together_within,
)


def drawn(seed: int, count: int, leaning: float, step: float = 0.0) -> list[tuple[float, float]]:
    """Return pairs that lean on one another; with a step they are rounded, so that some are alike."""
    random = np.random.default_rng(seed)
    one = random.standard_normal(count)
    other = leaning * one + random.standard_normal(count)
    if step:
        one, other = np.round(one / step) * step, np.round(other / step) * step
    return list(zip(one.tolist(), other.tolist(), strict=True))


# If this failed, figures that are alike would be put in an order that nobody read.
def test_ranks() -> None:
    random = np.random.default_rng(1)
    values = [float(each) for each in random.integers(0, 6, 40)]
    assert ranks(values) == list(stats.rankdata(values))


# If this failed, builds would be said to go together more, or less, than they do. Against scipy.stats.spearmanr.
@pytest.mark.parametrize(
    ("count", "leaning", "step"), [(10, 0.0, 0.0), (25, 0.8, 0.5), (300, -0.3, 0.0), (40, 3.0, 1.0)]
)
def test_rank_correlation(count: int, leaning: float, step: float) -> None:
    pairs = drawn(count, count, leaning, step)
    found = together(pairs)
    assert found is not None
    expected = stats.spearmanr(pairs)
    assert found.rank == pytest.approx(expected.statistic, abs=1e-12)
    assert found.chance == pytest.approx(expected.pvalue, rel=1e-6)
    assert found.low < found.rank < found.high


# If this failed, the interval would promise more than it keeps: of 500 sets, 95 % have to hold the correlation that
# very many pairs show (standard error 1 %; the formula itself is an approximation, so 3 %).
@pytest.mark.parametrize("leaning", [0.0, 0.7])
def test_the_interval_keeps_its_promise(leaning: float) -> None:
    true = 6 / math.pi * math.asin(leaning / math.sqrt(1 + leaning**2) / 2)
    held = 0
    for seed in range(500):
        found = together(drawn(seed, 25, leaning))
        assert found is not None
        held += found.low <= true <= found.high
    assert held / 500 == pytest.approx(0.95, abs=0.03)


# If this failed, an engine whose cylinders are all low would make chambers look as if they mattered: within one engine
# it is the correlation of scipy.stats.spearmanr, and a shift of a whole engine changes nothing.
def test_within_engines() -> None:
    pairs = drawn(3, 12, 1.0)
    alone = together_within([pairs])
    assert alone is not None
    assert alone.rank == pytest.approx(stats.spearmanr(pairs).statistic, abs=1e-12)
    several = [drawn(seed, 6, 1.0) for seed in range(8)]
    shifted = [[(a + 100 * at, b - 50 * at) for a, b in pairs] for at, pairs in enumerate(several)]
    assert together_within(several) == together_within(shifted)


# If this failed, cylinders that have nothing to do with one another would be told of more often than 1 time in 20.
# 500 shops of five sixes: standard error 1 %.
def test_within_engines_by_chance() -> None:
    told = 0
    for seed in range(500):
        found = together_within([drawn(50 * seed + at, 6, 0.0) for at in range(5)])
        assert found is not None
        told += found.chance < 0.05
    assert told / 500 == pytest.approx(0.05, abs=0.03)


# If this failed, kinds of rings would be said to differ when they do not, or the other way round. Against
# scipy.stats.kruskal.
def test_kinds() -> None:
    random = np.random.default_rng(5)
    found = {
        "gapped": [float(each) for each in np.round(random.gamma(3, 0.3, 14), 1)],
        "gapless": [float(each) for each in np.round(random.gamma(3, 0.2, 9), 1)],
        "other": [float(each) for each in np.round(random.gamma(3, 0.25, 5), 1)],
        "once": [9.0],
    }
    compared = compare_kinds(found)
    assert compared is not None
    expected = stats.kruskal(*(figures for kind, figures in found.items() if kind != "once"))
    assert compared.statistic == pytest.approx(expected.statistic, rel=1e-9)
    assert compared.chance == pytest.approx(expected.pvalue, rel=1e-9)
    assert set(compared.kinds) == {"gapped", "gapless", "other"}


# If this failed, twenty things looked at would show one that means nothing. Against statsmodels, method "holm".
def test_corrected_for_how_many_were_looked_at() -> None:
    random = np.random.default_rng(6)
    for count in (1, 2, 7, 20):
        chances = [float(each) for each in random.random(count) ** 3]
        assert for_all_looked_at(chances) == pytest.approx(multipletests(chances, method="holm")[1])
    assert for_all_looked_at([]) == ()


# If this failed, a handful of engines would be made to prove something.
def test_few_prove_nothing() -> None:
    assert together(drawn(1, FEWEST_PAIRS - 1, 5.0)) is None
    assert together([(1.0, float(at)) for at in range(20)]) is None
    assert together_within([drawn(1, 6, 5.0)]) is None
    assert compare_kinds({"gapped": [1.0] * 20}) is None
    assert compare_kinds({"gapped": [1.0] * 20, "gapless": [2.0, 2.0]}) is None
