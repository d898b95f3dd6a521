"""
What is said of the cases of the library, and how right it is.

The program reports odds under how often each cause is met. Here every fault is given the same small share, and what is
reported is turned into the odds among nine causes that are equally likely: p' goes as p over the share.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from tests.simulated.faults import NINE, PATHS
from tests.simulated.library import EVERYTHING, Case, Evidence
from tests.simulated.shares import mean_and_error

from ringtrue.diagnosis import explain
from ringtrue.diagnosis.causes import Cause, Practice
from ringtrue.diagnosis.explanation import CylinderExplanation, Explanation
from ringtrue.engine import BuildSheet

FAULT = 0.01
"""Share of cylinders with each fault."""
EQUAL = Practice(causes={Cause.SOUND: 0.0, **{Cause(cause): FAULT for cause in NINE if cause != "sound"}})
USUAL = Practice()
LEAST = 1e-6
"""A cause that is said to be impossible and is true costs as much as this probability."""
CHARGE = ("not_filling", "late_closing")
LOW = 0.97
"""A neighbour below this share of the median is low too."""

FINALS: frozenset[Evidence] = frozenset()
FIRSTS = frozenset({Evidence.FIRST})
WET = FIRSTS | {Evidence.WET}
LEAKDOWN = frozenset({Evidence.LEAKDOWN})
HEARD = LEAKDOWN | {Evidence.HEARD}
HEARD_WET = HEARD | {Evidence.WET}
SETS: Mapping[str, frozenset[Evidence]] = {
    "finals": FINALS,
    "finals, firsts": FIRSTS,
    "finals, firsts, wet": WET,
    "leak-down": LEAKDOWN,
    "leak-down, heard": HEARD,
    "leak-down, heard, wet": HEARD_WET,
    "everything": EVERYTHING,
}
"""Sets of evidence; the finals are in each."""
MORE = [(a, b) for a, some in SETS.items() for b, more in SETS.items() if some < more]
"""Sets of which the second holds all that the first does, and more."""


@dataclass(frozen=True, slots=True)
class Said:
    """
    What was said of the target of one case, with one set of evidence.

    `odds` are those of nine equally likely causes [-]; `area` is the 90 % interval of all its leaks [mm2].
    """

    case: Case
    odds: Mapping[str, float]
    area: tuple[float, float] | None

    @property
    def named(self) -> str:
        """The likeliest cause."""
        return max(self.odds, key=lambda cause: self.odds[cause])

    @property
    def sure(self) -> float:
        """Its probability."""
        return self.odds[self.named]

    @property
    def right(self) -> bool:
        """Whether it is the true one."""
        return self.named == self.case.cause

    @property
    def right_in_kind(self) -> bool:
        """The same, with low charge and late closing taken as one."""
        return self.right or (self.named in CHARGE and self.case.cause in CHARGE)

    @property
    def score(self) -> float:
        """Logarithm of the probability of what is true."""
        return math.log(max(self.odds.get(self.case.cause, 0.0), LEAST))

    @property
    def covered(self) -> bool:
        """Whether the interval holds the true area of all leaks."""
        return self.area is not None and self.area[0] <= self.case.area <= self.area[1]

    @property
    def names_a_path(self) -> bool:
        """Whether a leak path has more than even odds; a gasket between two low neighbours does not count."""
        paths = [path for path in PATHS if path != "gasket_neighbour" or not neighbour_is_low(self.case)]
        return any(self.odds.get(path, 0.0) > 0.5 for path in paths)


def neighbour_is_low(case: Case) -> bool:
    """Tell whether a cylinder beside the target reads low too: well below the others, or lowest with it."""
    finals = {row.cylinder: row.final for row in case.dry}
    middle = median(final for name, final in finals.items() if name != case.target)
    neighbours = case.build_sheet().bridge_neighbours(case.target)
    return any(finals[name] < LOW * middle or _lowest(finals, {case.target, name}) for name in neighbours)


def _lowest(finals: Mapping[str, float], pair: set[str]) -> bool:
    others = [final for name, final in finals.items() if name not in pair]
    return bool(others) and max(finals[name] for name in pair) < min(others)


def of_cylinder(explained: Explanation, cylinder: str) -> CylinderExplanation:
    """Return what is said of one cylinder."""
    return next(each for each in explained.cylinders if each.cylinder == cylinder)


def equally_likely(said: CylinderExplanation, sheet: BuildSheet) -> dict[str, float]:
    """Return the odds among equally likely causes, of those that this engine can have."""
    shares = dict(EQUAL.possible(sheet).causes)
    shares[Cause.SOUND] = 1.0 - sum(share for cause, share in shares.items() if cause is not Cause.SOUND)
    weights = {each.cause.value: each.probability / shares[each.cause] for each in said.causes if each.cause in shares}
    total = sum(weights.values())
    return {cause: weight / total for cause, weight in weights.items()}


def asked(case: Case, evidence: frozenset[Evidence]) -> Said:
    """Ask what is the matter with the target."""
    sheet = case.build_sheet()
    said = of_cylinder(explain(case.test(evidence), sheet, practice=EQUAL), case.target)
    area = said.leak_area
    return Said(case, equally_likely(said, sheet), None if area is None else (1e6 * area.low, 1e6 * area.high))


def leaking(said: Iterable[Said]) -> list[Said]:
    """Return those whose target leaks."""
    return [each for each in said if each.case.cause in PATHS]


def gained(some: Sequence[Said], more: Sequence[Said]) -> tuple[float, float]:
    """Return what more evidence on the same cases adds to the mean log score, and the standard error of that."""
    return mean_and_error([b.score - a.score for a, b in zip(some, more, strict=True)])


@dataclass(frozen=True, slots=True)
class Alarm:
    """
    What was said of an engine of which every cylinder is sound.

    `named` is the cylinder and cause that was named with more than even odds, `sent` whether a check was proposed.
    """

    case: Case
    named: tuple[str, str] | None
    engine: str
    sent: bool

    @property
    def false(self) -> bool:
        """Whether somebody was sent looking for nothing."""
        return self.named is not None or self.sent


def alike(case: Case) -> bool:
    """Tell whether the mean deviation of the finals is under 1 %."""
    finals = [row.final for row in case.dry]
    mean = fmean(finals)
    return fmean([abs(each - mean) for each in finals]) < 0.01 * mean


def alarm(case: Case, evidence: frozenset[Evidence]) -> Alarm:
    """Ask what is the matter with an engine with which nothing is, causes being as likely as is usual."""
    explained = explain(case.test(evidence), case.build_sheet(), practice=USUAL)
    named = next(
        (
            (each.cylinder, str(each.answer.says))
            for each in explained.cylinders
            if each.answer.says is not Cause.SOUND and each.answer.probability > 0.5
        ),
        None,
    )
    engine = max(explained.engine, key=lambda each: each.probability)
    return Alarm(case, named, engine.cause.value, bool(explained.next))


def engine_odds(case: Case, evidence: frozenset[Evidence]) -> dict[str, float]:
    """Return the odds of the causes of a whole engine, the likeliest first, causes being as likely as is usual."""
    explained = explain(case.test(evidence), case.build_sheet(), practice=USUAL)
    ranked = sorted(explained.engine, key=lambda each: -each.probability)
    return {each.cause.value: each.probability for each in ranked}
