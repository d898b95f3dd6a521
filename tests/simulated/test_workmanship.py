"""
Shops that stay the same, and shops that change: do the charts of builds tell so as often as they promise?

Engines are drawn by a path of their own: finals that scatter normally about a mean, a gauge that scatters and rounds,
and builds that are themselves not all alike.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtrue.history.builds import Build
from ringtrue.history.charts import cusum, ewma, individuals
from ringtrue.history.workmanship import (
    AHEAD,
    ALLOWANCE,
    BASELINE,
    FALSE_SIGNALS,
    WEIGHT,
    Chart,
    chart_builds,
    reach,
)
from ringtrue.measure.statistics import mean_deviation

LEVEL = 150.0
"""Mean final. [psi]"""


def engine(random: np.random.Generator, cylinders: int, tight: float, scatter: float, step: float = 1.0) -> Build:
    """Return an engine whose cylinders scatter by `tight`, read with a gauge that scatters and rounds to its step."""
    true = LEVEL * (1 + tight * random.standard_normal(cylinders))
    read = np.round(true * (1 + scatter * random.standard_normal(cylinders)) / step) * step
    deviation = 100 * mean_deviation(list(read)) / float(read.mean())
    noise = 100 * math.hypot(scatter, step / LEVEL / math.sqrt(12))
    return Build("", "", "", "", cylinders, deviation, noise)


def shop(
    random: np.random.Generator, sizes: tuple[int, ...], uneven: float, grows: float = 1.0, after: int = AHEAD
) -> list[Build]:
    """Return a shop's builds: a baseline, and what comes after it, at `grows` times the scatter of the baseline."""
    made = []
    for at in range(BASELINE + after):
        factor = 1.0 if at < BASELINE else grows
        tight = 0.01 * factor * math.exp(uneven * random.standard_normal() - uneven**2 / 2)
        made.append(engine(random, int(random.choice(sizes)), tight, 0.006))
    return made


def false_signals(sizes: tuple[int, ...], uneven: float, shops: int, seed: int) -> dict[str, float]:
    """Return how many shops that stay the same get a false signal after the baseline: of each chart, and of any."""
    random = np.random.default_rng(seed)
    told = dict.fromkeys([*Chart, "any"], 0)
    for _ in range(shops):
        charted = chart_builds(shop(random, sizes, uneven))
        assert charted is not None
        kinds = {signal.chart for signal in charted.signals if signal.at >= BASELINE}
        for kind in kinds:
            told[kind] += 1
        told["any"] += bool(kinds)
    return {kind: count / shops for kind, count in told.items()}


# If this failed, the limits would not be those that the documentation says: normal figures, 10 % in 50 builds. 2,000
# shops: standard error 0.7 %, so 2 % allowed.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("baseline", [10, 20, 35, 100])
def test_limits_keep_what_they_promise_of_normal_figures(baseline: int) -> None:
    random = np.random.default_rng(baseline)
    far, shops = reach(baseline), 2000
    told = np.zeros(3)
    for _ in range(shops):
        figures = list(random.standard_normal(baseline + AHEAD))
        single = individuals(figures, baseline, far.single)
        later = [(each - single.centre) / single.sigma for each in figures[baseline:]]
        average = ewma(later, 0.0, 1.0, WEIGHT, far.average)
        sums = cusum(later, 0.0, ALLOWANCE)
        told += [
            max(map(abs, later)) > far.single,
            any(abs(each) > upper for each, upper in zip(average.values, average.upper, strict=True)),
            max(*sums.above, *sums.below) > far.sums,
        ]
    assert told / shops == pytest.approx(FALSE_SIGNALS, abs=0.02)


# If this failed, a shop that stays as it is would be told oftener than the guide says that it got worse or better:
# engines alike, and engines that are not, with sizes mixed.
@pytest.mark.in_part(3)
@pytest.mark.parametrize(
    ("sizes", "uneven", "most"),
    [((6,), 0.0, 0.15), ((4,), 0.0, 0.13), ((4, 6, 8), 0.3, 0.19)],
    ids=["sixes", "fours", "mixed and uneven"],
)
def test_a_shop_that_stays_the_same(sizes: tuple[int, ...], uneven: float, most: float) -> None:
    found = false_signals(sizes, uneven, 600, 11)
    assert max(found[chart] for chart in Chart) <= most, found
    assert 0.08 <= found["any"] <= 0.27, found
    assert min(found[chart] for chart in Chart) >= 0.01, "limits so far out that nothing is ever told"


def found_within(grows: float, shops: int, seed: int) -> list[int]:
    """Return after how many builds a change was found, in each shop that found it in the right direction."""
    random = np.random.default_rng(seed)
    after = []
    for _ in range(shops):
        charted = chart_builds(shop(random, (6,), 0.0, grows, 40))
        assert charted is not None
        told = [each.at for each in charted.signals if each.at >= BASELINE and each.wider == (grows > 1)]
        after.append(min(told) - BASELINE + 1 if told else 1000)
    return sorted(after)


# If this failed, a shop would go on for longer than the guide says before it is told that its engines are twice as
# uneven.
def test_a_change_for_the_worse_is_found() -> None:
    after = found_within(2.0, 300, 3)
    assert after[len(after) // 2] <= 6, "half of the shops"
    assert after[int(0.9 * len(after))] <= 14, "nine in ten"


# If this failed, work that got better would not be seen: half the scatter, of which a gauge of 0.6 % leaves two thirds.
def test_a_change_for_the_better_is_found() -> None:
    after = found_within(0.5, 300, 4)
    assert after[len(after) // 2] <= 16, "half of the shops"
    assert after[int(0.75 * len(after))] <= 35, "three in four"
