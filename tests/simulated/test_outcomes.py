"""
Engines whose truth is known, read with gauges that err: is what is said of them right often enough?

Every engine stands exactly on the limit of every rule, which is the worst place for being right: either outcome is
wrong by a hair, and each may be said in 5 % of the engines. The simulation makes readings by a path of its own (a shift
by the grade, scatter, a drift that runs straight through the day, and real rounding), not by the draws of the product.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random

import pytest
from scipy.stats import binom
from tests.pulled import gauge, reading, rule, sheet, si

from ringtrue.compression import CompressionTest, Gauge, Pull
from ringtrue.engine import Limits
from ringtrue.measure import DEFAULT, Outcome, SeriesJudgement, judge
from ringtrue.measure.gauges import accuracy
from ringtrue.quantities import PaGauge

RULES = (*DEFAULT.keys() - {"leakdown_suspect"}, "sheet_minimum", "sheet_spread", "sheet_lowest_over_highest")


@dataclass(frozen=True, slots=True)
class Tool:
    """A gauge in psi, as it errs."""

    span: float
    resolution: float
    grade: str
    repeatability: float

    @property
    def described(self) -> Gauge:
        """What its owner knows of it."""
        return gauge(self.span, self.resolution, self.grade, self.repeatability)

    def show(self, pressure: float, shift: float, random: Random) -> float:
        """Return what it shows of a true pressure."""
        off = shift * accuracy(self.grade).tolerance(pressure, self.span)
        scattered = pressure * random.gauss(1, self.repeatability) + off
        return max(round(scattered / self.resolution) * self.resolution, 0.0)


TOOLS = (Tool(300, 1, "A", 0.004), Tool(300, 2, "B", 0.006), Tool(300, 5, "1.6", 0.008))


def engine(random: Random) -> tuple[dict[str, float], dict[str, float]]:
    """Return the true finals and first strokes of an engine, some cylinders of which may be bad. [psi]."""
    level, alike = random.uniform(110, 190), random.uniform(0.002, 0.03)
    finals = {str(n + 1): level * random.gauss(1, alike) for n in range(random.randint(2, 12))}
    for bad in random.sample(sorted(finals), random.randint(0, min(2, len(finals) - 1))):
        finals[bad] *= random.uniform(0.7, 0.95)
    return finals, {name: final * random.uniform(0.5, 0.65) for name, final in finals.items()}


def truth(finals: Mapping[str, float], firsts: Mapping[str, float]) -> dict[str, float]:
    """Return the engine's own figures, as the rules have them. [% or - or psi]."""
    values = list(finals.values())
    mean = sum(values) / len(values)
    off = [100 * abs(each - mean) / mean for each in values]
    return {
        "mean_deviation_target": sum(off) / len(off),
        "mean_deviation_limit": sum(off) / len(off),
        "cylinder_deviation_limit": max(off),
        "below_mean": 100 * (mean - min(values)) / mean,
        "lowest_over_highest": min(values) / max(values),
        "first_stroke_half": min(firsts[name] / finals[name] for name in finals),
        "sheet_minimum": min(values),
        "sheet_spread": max(values) - min(values),
        "sheet_lowest_over_highest": min(values) / max(values),
    }


def read(finals: Mapping[str, float], firsts: Mapping[str, float], tool: Tool, random: Random) -> CompressionTest:
    """Return the test that a builder would have made of an engine on one day."""
    shift, drift = random.uniform(-1, 1), random.gauss(0, 0.01)
    names = [*finals, next(iter(finals))]
    taken = []
    for turn, name in enumerate(names):
        day = 1 + drift * turn / (len(names) - 1)
        first, final = (tool.show(day * true[name], shift, random) for true in (firsts, finals))
        pull = Pull(cylinder=name, first=reading(min(first, final), "psi"), final=reading(final, "psi"))
        taken.append(replace(pull, drift=turn == len(names) - 1))
    return CompressionTest(tuple(taken), gauge=tool.described)


def on_every_limit(random: Random, tool: Tool) -> SeriesJudgement:
    """Return the judgement of a random engine that stands on the limit of every rule."""
    finals, firsts = engine(random)
    own = truth(finals, firsts)
    limits = Limits(
        minimum=PaGauge(si(own["sheet_minimum"], "psi")),
        spread=si(own["sheet_spread"], "psi"),
        lowest_over_highest=own["sheet_lowest_over_highest"],
    )
    found = judge(
        read(finals, firsts, tool, random),
        sheet=sheet(list(finals), limits),
        thresholds={**DEFAULT, **{key: own[key] for key in DEFAULT if key in own}},
    ).dry
    assert found is not None
    return found


# If this failed, a builder would be told "met" or "not met", and be wrong, more often than one time in twenty. Allowed
# beside that: what chance adds to 5 % in a run of this length, once in a thousand runs (binomial).
@pytest.mark.parametrize("tool", TOOLS, ids=lambda tool: f"{tool.grade}-{tool.resolution}psi")
def test_outcomes_are_wrong_at_most_one_time_in_twenty(tool: Tool, soaking: bool) -> None:
    engines = 2000 if soaking else 60
    random = Random(20)
    said: Counter[tuple[str, Outcome]] = Counter()
    for _ in range(engines):
        series = on_every_limit(random, tool)
        said.update((key, rule(series, key).outcome) for key in RULES)
    most = int(binom.ppf(0.999, engines, 0.05))
    wrong = {each: count for each, count in said.items() if each[1] is not Outcome.TOO_CLOSE and count > most}
    assert wrong == {}


# If this failed, outcomes would be right because none is ever said: a cylinder clearly off, or clearly on, is told so.
# By hand: 18 % low is 15.5 % below the mean, 2 % low is 1.7 % below; the gauge is good to about 1 % beside siblings.
@pytest.mark.parametrize(("off", "outcome"), [(0.82, Outcome.NOT_MET), (0.98, Outcome.MET)])
def test_what_is_clear_is_said(off: float, outcome: Outcome) -> None:
    random = Random(21)
    finals = {str(n + 1): 150.0 for n in range(6)} | {"3": 150.0 * off}
    firsts = {name: 0.6 * final for name, final in finals.items()}
    said = []
    for _ in range(20):
        found = judge(read(finals, firsts, TOOLS[1], random)).dry
        assert found is not None
        said.append(rule(found, "cylinder_deviation_limit").outcome)
    assert said.count(outcome) >= 19
