"""Builds on charts: what a signal is, and how it is told."""

from __future__ import annotations

import math
import random
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from tests.pulled import gauge, pulled, pulls

from ringtrue.history.builds import Build, evened, level, usual_size
from ringtrue.history.hand_over import Looked, finals_of
from ringtrue.history.together import Together
from ringtrue.history.workmanship import BASELINE, FEWEST, REACHES, Chart, Charted, chart_builds, reach
from ringtrue.report.course import Shape
from ringtrue.report.workmanship_courses import courses
from ringtrue.wording import workmanship as words

THEORY = (Path(__file__).resolve().parents[1] / "docs" / "theory" / "workmanship.md").read_text(encoding="utf-8")


def builds(deviations: list[float], cylinders: int = 6, scatter: float | None = 0.3) -> list[Build]:
    """Return builds, a week apart, of so many cylinders."""
    return [
        Build(
            f"{at:04d}",
            f"Engine {at}",
            f"t{at:03d}",
            f"2026-01-{at % 28 + 1:02d}",
            cylinders,
            each,
            scatter,
            "shop gauge",
        )
        for at, each in enumerate(deviations, 1)
    ]


def usual(count: int, seed: int = 2) -> list[float]:
    """Return mean deviations as a shop that stays the same has them. [%]"""
    draw = random.Random(seed)
    return [max(0.8 + draw.gauss(0, 0.2), 0.05) for _ in range(count)]


def charted(deviations: list[float], **more: float) -> Charted:
    """Return them on charts."""
    found = chart_builds(builds(deviations, **more))  # type: ignore[arg-type]
    assert found is not None
    return found


# If this failed, a build far out would pass, or its neighbours would be told in its place.
def test_a_single_build_far_out() -> None:
    found = charted([*usual(30), 5.0, *usual(5, 3)])
    singles = [each for each in found.signals if each.chart is Chart.SINGLE]
    assert [(each.at, each.wider, each.may_be_gauge) for each in singles] == [(30, True, False)]
    says = words.signal_sentences(found)[0]
    assert says.startswith("Build 31 (Engine 31, ")
    assert "is outside what the builds of the baseline would lead one to expect: mean deviation 5.0 %" in says
    spot = courses(found)[0].lines[0].spots[30]
    assert (spot.shape, spot.name) == (Shape.UP, "31: Engine 31")


# If this failed, what is only the gauge would be called bad work.
def test_what_the_gauge_alone_may_make_is_too_close_to_call() -> None:
    made = builds([*usual(30), 5.0])
    coarse = [*made[:-1], replace(made[-1], scatter=5.0)]
    found = chart_builds(coarse)
    assert found is not None
    assert [each.may_be_gauge for each in found.signals if each.chart is Chart.SINGLE] == [True]
    assert "Too close to call: gauge and hand alone may make as much." in words.signal_sentences(found)[0]


# If this failed, a change that came with a coarser gauge would be blamed on the builder.
def test_a_change_that_came_with_a_coarser_gauge() -> None:
    made = builds([*usual(20), *(each + 0.6 for each in usual(20, 4))])
    coarse = [each if at < 20 else replace(each, scatter=1.0) for at, each in enumerate(made)]
    found = chart_builds(coarse)
    assert found is not None
    drifts = [each for each in found.signals if each.chart is not Chart.SINGLE]
    assert drifts
    assert all(each.may_be_gauge for each in drifts)
    assert "Ask what changed" not in " ".join(words.signal_sentences(found))


# If this failed, a change would be told of another time than its own, or in the wrong direction.
@pytest.mark.parametrize(("by", "wider", "says"), [(0.6, True, "wider apart than"), (-0.6, False, "more alike than")])
def test_a_change_that_stays(by: float, wider: bool, says: str) -> None:
    found = charted([*usual(30), *(max(each + by, 0.05) for each in usual(20, 4))])
    sums = [each for each in found.signals if each.chart is Chart.SUMS]
    assert len(sums) == 1
    assert (sums[0].wider, sums[0].lasts) == (wider, True)
    assert abs(sums[0].began - 30) <= 3
    assert any(says in each and "still tells so" in each for each in words.signal_sentences(found))


# If this failed, limits would be made of builds that they are to judge, or of too few.
def test_what_makes_the_limits() -> None:
    alone = charted(usual(BASELINE))
    followed = charted([*usual(BASELINE), *[9.0] * 10])
    assert (alone.upper, alone.middle) == (followed.upper, followed.middle)
    assert alone.lately is None
    assert chart_builds(builds(usual(FEWEST - 1))) is None
    assert chart_builds(builds([0.8] * 30)) is None
    assert "There are 9 builds: limits are drawn from 10 on" in words.too_few(9)
    assert "all have the same mean deviation" in words.too_few(30)


# If this failed, a shop of fours and eights would be told of its sizes, not of its work: the mean deviation of four
# that scatter alike is sqrt(3/4) / sqrt(7/8) of that of eight (derived by hand).
def test_sizes_are_evened() -> None:
    mixed = [*builds([0.8] * 5, 8), *builds([0.8 * math.sqrt(6 / 7)] * 4, 4)]
    assert usual_size(mixed) == 8
    assert evened(mixed, 8) == pytest.approx([0.8] * 9)


# If this failed, what is left for the engines would be more than was read, or less than nothing.
def test_gauge_and_hand_taken_out() -> None:
    plain = level(builds([0.8] * 12, scatter=0.0), 6)
    assert plain.own == pytest.approx(0.8)
    half = level(builds([0.8] * 12, scatter=0.6), 6)
    # 0.8 % is a scatter of 0.8 / 0.7979 / 0.9129 = 1.0983 %; less 0.6 % as variances 0.9200 %, or 0.6701 % (by hand).
    assert half.own == pytest.approx(0.6701, abs=2e-4)
    assert level(builds([0.8] * 12, scatter=3.0), 6).own == 0.0
    assert level(builds([0.8] * 12, scatter=None), 6).own is None


# If this failed, a drift of the day, a conflict or a cylinder without a final would get into the shop's record.
def test_finals_of_a_whole_test() -> None:
    test = pulled(*pulls([150.0, 148.0, 152.0, 150.0]), gauge=gauge(300, 2, "B", 0.006))
    whole = finals_of(test, ("1", "2", "3", "4"))
    assert whole is not None
    assert whole.deviation == pytest.approx(100 / 150)
    # 2 psi over the root of 12 of 150 psi, and 0.6 %, together (by hand).
    assert whole.scatter == pytest.approx(100 * math.hypot(2 / math.sqrt(12) / 150, 0.006), rel=1e-3)
    assert finals_of(test, ("1", "2", "3", "4", "5")) is None
    assert finals_of(pulled(*pulls([150.0, 148.0])), ()) is not None
    twice = pulled(*pulls([150.0, 148.0, 152.0]), *pulls([140.0]), gauge=gauge(300, 2, "B", 0.006))
    assert finals_of(twice, ("1", "2", "3")) is None


# If this failed, the theory would print other limits than those that decide.
@pytest.mark.parametrize("line", REACHES, ids=lambda line: f"{line[0]:g}")
def test_the_theory_tells_the_limits(line: tuple[float, float, float, float]) -> None:
    count = "any number" if math.isinf(line[0]) else f"{line[0]:g}"
    assert f"| {count} | {line[1]:.2f} | {line[2]:.2f} | {line[3]:.2f} |" in THEORY


# If this failed, limits would jump from one number of builds to the next, or grow with more builds.
def test_limits_narrow_with_every_build() -> None:
    every = [reach(count) for count in range(FEWEST, 400)]
    for fewer, more in pairwise(every):
        assert fewer.single >= more.single >= 3
        assert fewer.average >= more.average
        assert 0 <= fewer.sums - more.sums < 1.1
    assert reach(15).sums == 10.06


# If this failed, something that chance makes would be told as if it meant something, or what was looked at be hidden.
def test_what_goes_together_is_told_with_its_caution() -> None:
    strong = Looked("chamber and final", Together(60, -0.6, -0.75, -0.4, 0.00001, 10), 0.00003)
    weak = Looked("ring gap", Together(20, 0.2, -0.27, 0.59, 0.4), 0.8)
    told = words.looked_sentences([strong, weak])
    assert told[0].startswith(
        "Within an engine, a larger measured chamber goes with a lower final (rank correlation -0.60"
    )
    assert "less than once in 1,000" in told[0]
    assert re.fullmatch(
        r"Of 2 things looked at, no more than chance makes of so many: end gap .*\(0\.20, .*\)\.", told[1]
    )
    assert "need not cause" in words.CAUTION
