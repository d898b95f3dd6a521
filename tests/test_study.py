"""Studies of invented gauges: does what is found hold what was put in? All figures are invented."""

from __future__ import annotations

import math
import random

import pytest
from scipy import stats

from ringtrue.measure.anova import Source
from ringtrue.measure.components import difference_interval, sum_interval
from ringtrue.measure.study import Component, StudyFound, by_ranges, study

Table = list[list[list[float]]]


def invented(chance: random.Random, shape: tuple[int, int, int], sds: tuple[float, float, float, float]) -> Table:
    """Return logarithms of finals: cylinders, people, people by cylinder and repeats scatter by so much."""
    cylinders, people, both, own = sds
    of_person = [chance.gauss(0, people) for _ in range(shape[1])]
    table = []
    for _ in range(shape[0]):
        level = math.log(1e6) + chance.gauss(0, cylinders)
        row = [level + person + chance.gauss(0, both) for person in of_person]
        table.append([[cell + chance.gauss(0, own) for _ in range(shape[2])] for cell in row])
    return table


def inside(truth: float, part: Component) -> bool:
    """Tell whether an interval holds the truth."""
    return part.low <= truth <= part.high


# If this failed, intervals of components would be narrower or wider than 90 %: 400 invented studies, two standard
# errors of a share of 400 are 3 %.
@pytest.mark.soak
def test_the_intervals_hold_what_they_say() -> None:
    chance = random.Random(20260514)
    names = ("repeatability", "between_people", "interaction", "measurement", "between_cylinders")
    truth = (0.006, 0.005, 0.008, math.sqrt(0.006**2 + 0.005**2 + 0.008**2), 0.02)
    held, judged = dict.fromkeys(names, 0), 0
    share = truth[3] ** 2 / (truth[3] ** 2 + truth[4] ** 2)
    shares = 0
    for _ in range(400):
        found = study(invented(chance, (8, 3, 3), (0.02, 0.005, 0.008, 0.006)))
        if found.pooled:
            continue
        judged += 1
        for name, true in zip(names, truth, strict=True):
            held[name] += inside(true, getattr(found, name))
        shares += found.share_low <= share <= found.share_high
    assert judged >= 350
    for name in names:
        assert 0.86 <= held[name] / judged <= 0.97, (name, held[name] / judged)
    assert 0.86 <= shares / judged <= 0.98, shares / judged


# If this failed, the repeatability of a builder who works alone would be told surer or less sure than it is.
def test_one_person() -> None:
    chance = random.Random(7)
    held = [0, 0, 0]
    for _ in range(400):
        found = study(invented(chance, (6, 1, 3), (0.02, 0.0, 0.0, 0.006)))
        assert (found.pooled, found.between_people, found.interaction) == (None, None, None)
        held[0] += inside(0.006, found.repeatability)
        held[1] += inside(0.02, found.between_cylinders)
        held[2] += found.share_low <= 0.006**2 / (0.006**2 + 0.02**2) <= found.share_high
    assert all(0.86 <= each / 400 <= 0.94 for each in held), held


# If this failed, the exact interval of one mean square would not be the one of the textbooks (chi-squared, by scipy).
def test_one_mean_square() -> None:
    own = Source(18, 18 * 4.0)
    low, high = sum_interval([(1.0, own)])
    assert low == pytest.approx(18 * 4 / stats.chi2.ppf(0.95, 18), rel=1e-9)
    assert high == pytest.approx(18 * 4 / stats.chi2.ppf(0.05, 18), rel=1e-9)


# If this failed, a difference would not end at zero just where F is significant: there its lower end is exact.
def test_a_difference_is_zero_where_f_is_just_significant() -> None:
    minus = Source(20, 20.0)
    edge = stats.f.ppf(0.95, 5, 20)
    assert difference_interval(Source(5, 5 * edge), minus, 3)[0] == pytest.approx(0.0, abs=1e-9)
    assert difference_interval(Source(5, 5 * 1.2 * edge), minus, 3)[0] > 0


# If this failed, a variance below zero would become a spread that is no number.
def test_below_zero_is_nought_and_said() -> None:
    table = [[[0.0, 2.0], [2.0, 0.0]], [[0.0, 2.0], [2.0, 0.0]], [[0.0, 2.0], [2.0, 0.0]]]
    found = study(table)
    assert (found.between_cylinders.sd, found.between_cylinders.below_zero) == (0.0, True)
    assert found.between_people is not None
    assert (found.between_people.sd, found.between_people.below_zero) == (0.0, True)
    assert found.share == 1.0


# If this failed, a gauge whose step hides its scatter would break the arithmetic.
def test_all_alike() -> None:
    found = study([[[5.0, 5.0]], [[6.0, 6.0]]])
    assert found.one_pull == 0.0
    assert found.share == 0.0
    same = study([[[5.0, 5.0], [5.0, 5.0]], [[5.0, 5.0], [5.0, 5.0]]])
    assert (same.measurement.sd, same.between_cylinders.sd) == (0.0, 0.0)


# If this failed, a difference of that size would be seen more seldom, or more often, than is said (simulated).
def test_the_smallest_difference_is_seen_in_nine_of_ten_cases() -> None:
    found = study(invented(random.Random(3), (6, 1, 4), (0.01, 0.0, 0.0, 0.007)))
    sigma, pulls = found.one_pull, 3
    size = found.smallest(pulls)
    chance = random.Random(11)
    limit = stats.norm.ppf(0.95) * sigma * math.sqrt(6 / 5 / pulls)
    seen = false = 0
    for _ in range(4000):
        means = [chance.gauss(0, sigma / math.sqrt(pulls)) for _ in range(6)]
        others = math.fsum(means[1:]) / 5
        seen += others - (means[0] - size) > limit
        false += others - means[0] > limit
    assert 0.88 <= seen / 4000 <= 0.92
    assert 0.04 <= false / 4000 <= 0.06
    needed = found.repeats_for()
    assert needed is not None
    assert found.smallest(needed) <= 0.01 < found.smallest(needed - 1)


# If this failed, more pulls would be promised to show what a person's own hand hides.
def test_an_interaction_is_not_averaged_away() -> None:
    found: StudyFound = study(invented(random.Random(5), (8, 3, 3), (0.02, 0.0, 0.02, 0.003)))
    assert found.pooled is False
    assert found.repeats_for() is None
    assert found.smallest(50) > 0.02


# If this failed, the check by pencil would say something else than the analysis, where there is no interaction.
def test_ranges_agree_with_variances() -> None:
    ratios = []
    chance = random.Random(2)
    for _ in range(200):
        table = invented(chance, (6, 2, 3), (0.02, 0.01, 0.0, 0.006))
        ranges = by_ranges(table)
        assert ranges is not None
        ratios.append(ranges.repeatability / 0.006)
    assert math.fsum(ratios) / 200 == pytest.approx(1.0, abs=0.03)
