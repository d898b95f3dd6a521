"""The next check: what each could show, and which tells most for its minutes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import NormalDist
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis import likelihood as of
from ringtrue.diagnosis.answers import answer_of, causes_of
from ringtrue.diagnosis.causes import BankCause, Cause, Check, EngineCause
from ringtrue.diagnosis.cells import PATHS, Cells
from ringtrue.diagnosis.explanation import CheckResult, CylinderExplanation, Item, NextCheck, Says
from ringtrue.diagnosis.posterior import Solved
from ringtrue.diagnosis.predicted import Predicted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

RESULTS: Mapping[Check, tuple[str, ...]] = MappingProxyType(
    {
        Check.REPEAT_PULL: ("much_lower", "as_before", "much_higher"),
        Check.WET_PULL: ("little", "between", "clearly_better"),
        Check.LEAK_DOWN: ("tight", "crankcase", "intake", "exhaust", "neighbour", "coolant", "nowhere"),
        Check.VALVE_LIFT: ("full", "lost"),
        Check.CAM_TIMING: ("right", "off"),
        Check.BATTERY_AND_THROTTLE: ("right", "wrong"),
        Check.ANOTHER_GAUGE: ("as_before", "other"),
        Check.BORESCOPE: ("clean", "rings", "intake_valve", "exhaust_valve", "carbon", "coolant"),
        Check.TAKE_APART: ("sound", "rings", "intake_valve", "exhaust_valve", "neighbour", "coolant", "carbon"),
    }
)
"""Possible results of each check; those of leak-down are where the air is heard, or that the cylinder holds."""

WORTH = 0.08
"""A check that tells less is not proposed. [bit]"""
SUSPECT = 0.35
"""A cylinder is looked into from this probability of a fault on. [-]"""
KNOWN = 0.9
"""A cause this likely is not looked for by taking apart. [-]"""
MOST_CYLINDERS, MOST_CHECKS = 4, 6
"""How many cylinders are looked into, and how many checks are proposed."""
ENGINE_SUSPECT = 0.4
"""The whole engine is looked into from this probability of a cause on. [-]"""

_LITTLE, _CLEAR, _WET_SPREAD = math.log(1.05), math.log(1.10), 0.02
_TIGHT_AREA, _TIGHT_SPREAD = 0.32, 0.3
"""Leak through which a tenth of the supply goes by 0.040 in [mm2], and how sharply that is told apart."""
_SEES = {
    Cause.RINGS: ("rings", 0.35),
    Cause.INTAKE_VALVE: ("intake_valve", 0.4),
    Cause.EXHAUST_VALVE: ("exhaust_valve", 0.5),
    Cause.CARBON: ("carbon", 0.9),
    Cause.GASKET_COOLANT: ("coolant", 0.5),
}
"""What a look through the plug hole shows of each cause, and how often: assumed. [-]"""
_ENGINE_SEES: Mapping[Check, tuple[set[EngineCause], float]] = {
    Check.CAM_TIMING: ({EngineCause.CAM_TIMING}, 0.95),
    Check.BATTERY_AND_THROTTLE: ({EngineCause.SLOW_OR_COLD_CRANKING, EngineCause.THROTTLE}, 0.9),
    Check.ANOTHER_GAUGE: ({EngineCause.GAUGE}, 0.9),
    Check.WET_PULL: ({EngineCause.GENERAL_WEAR, EngineCause.FUEL_WASHED}, 0.7),
}
"""What each check of the whole engine finds, and how often: assumed. [-]"""
_CRANKS = {Check.REPEAT_PULL, Check.WET_PULL, Check.LEAK_DOWN}
_ENGINE_ALONE = set(_ENGINE_SEES) - {Check.WET_PULL}
_AS_IT_SHOULD_BE = {Check.WET_PULL: ("little", "clearly_better"), Check.ANOTHER_GAUGE: ("as_before", "other")}
"""Results of a check of the whole engine, the one that finds nothing first, where they are not right and wrong."""
_PLACES = ("crankcase", "intake", "exhaust", "neighbour", "coolant")


def next_checks(solved: Solved, cylinders: Sequence[CylinderExplanation]) -> tuple[NextCheck, ...]:
    """
    Propose checks by what they are expected to tell for their minutes and risk.

    Parameters
    ----------
    solved : Solved
        The odds.
    cylinders : sequence of CylinderExplanation
        What is said of each cylinder.

    Returns
    -------
    tuple of NextCheck
        The best first; empty where no cylinder and no engine is suspect, or nothing would tell more.

    Notes
    -----
    Expected information is that between the result and the main cause (the cause of the engine, for checks of the whole
    engine), one check ahead.
    """
    found = [*_of_cylinders(solved, cylinders), *(tuple(_of_engine(solved)) or tuple(_of_banks(solved)))]
    costs = solved.problem.practice.costs
    worth = [each for each in found if each.gain >= WORTH]
    worth.sort(key=lambda each: (-each.gain / (costs[each.check].minutes + costs[each.check].risk), each.cylinder))
    partners = {one.cylinder: one.partner for one in cylinders if one.partner}
    known = {
        one.cylinder for one in cylinders if one.answer.probability >= KNOWN and isinstance(one.answer.says, Cause)
    }
    kept: list[NextCheck] = []
    for each in worth:
        mine = [other for other in kept if other.cylinder == each.cylinder]
        on_partner = any(other.check is each.check and partners.get(other.cylinder) == each.cylinder for other in kept)
        # Nothing is taken apart while anything else would tell, or to learn what is known.
        if not on_partner and not (each.check is Check.TAKE_APART and (mine or each.cylinder in known)):
            kept.append(each)
    return tuple(kept[:MOST_CHECKS])


def _of_cylinders(solved: Solved, cylinders: Sequence[CylinderExplanation]) -> Iterator[NextCheck]:
    faults = {
        index: 1.0 - next(each.probability for each in one.causes if each.cause is Cause.SOUND)
        for index, one in enumerate(cylinders)
        if one.read
    }
    worst = sorted((index for index in faults if faults[index] >= SUSPECT), key=lambda index: -faults[index])
    for index in worst[:MOST_CYLINDERS]:
        read = solved.problem.reads[index]
        for check, cost in solved.problem.practice.costs.items():
            if check in _ENGINE_ALONE or _done(check, read.items):
                continue
            # Nobody cranks a dead cylinder again, or pours oil into it, before it has been looked into.
            if solved.problem.dead(read) and check in _CRANKS:
                continue
            odds = _results(solved, index, check)
            yield _proposal(solved, index, check, cost.minutes, odds)


def _done(check: Check, items: Sequence[Item]) -> bool:
    done = {
        # With oil in it a dry pull would come out too high.
        Check.REPEAT_PULL: Item.REPEATS in items or Item.WET in items,
        Check.WET_PULL: Item.WET in items,
        Check.LEAK_DOWN: Item.LEAKDOWN in items and Item.HEARD in items,
        Check.VALVE_LIFT: Item.LIFT in items,
    }
    return done.get(check, False)


def _results(solved: Solved, index: int, check: Check) -> Floats:
    """How likely each result is in each state; (results, C)."""
    cells = solved.problem.cells
    count = len(cells.main)
    if check is Check.REPEAT_PULL:
        as_before = np.full(count, 0.98)
        as_before[cells.of(Cause.MISREAD)] = 0.05
        as_before[cells.of(Cause.GAUGE_OR_FITTING)] = 0.25
        as_before[cells.of(Cause.SLOW_CRANKING)] = 0.5
        middle = float(np.exp(solved.problem.scale).mean())
        was_low = (solved.problem.reads[index].final or 0.0) < middle
        toward, away = 0.9 * (1 - as_before), 0.1 * (1 - as_before)
        return np.array([away, as_before, toward] if was_low else [toward, as_before, away])
    if check is Check.WET_PULL:
        return _wet(solved, index)
    if check is Check.LEAK_DOWN:
        return _leak_down(cells)
    if check is Check.VALVE_LIFT:
        lost = np.where(cells.rows[Cause.NOT_FILLING] >= 0, of.LIFT_SEEN, 0.02)
        return np.array([1 - lost, lost])
    names = RESULTS[check]
    sure = check is Check.TAKE_APART
    found = np.zeros((len(names), count))
    for column, cause in enumerate(cells.main):
        seen, share = _SEES.get(cause, (names[0], 1.0))
        if cause is Cause.GASKET_NEIGHBOUR and sure:
            seen, share = "neighbour", 1.0
        share = max(share, 0.95) if sure else share
        found[names.index(seen), column] += share
        found[0, column] += 1.0 - share
    return found


def _wet(solved: Solved, index: int) -> Floats:
    cells, r = solved.problem.cells, solved.problem.responses
    predicted = Predicted(cells, r, solved.main)
    last = solved.problem.last(solved.problem.reads[index])
    bound = NormalDist(0.0, _WET_SPREAD)
    by_oil = predicted.wet(last, 0.0, None)[:, :1]
    below = np.zeros((2, len(cells.main)))
    for sealed, share in of.SEALED:
        net = (predicted.wet(last, sealed, None) - by_oil).mean(axis=0)
        for row, limit in enumerate((_LITTLE, _CLEAR)):
            below[row] += share * np.array([bound.cdf(limit - each) for each in net.tolist()])
    return np.array([below[0], below[1] - below[0], 1 - below[1]])


def _leak_down(cells: Cells) -> Floats:
    areas = cells.areas
    total = areas.sum(axis=0) + of.USUAL_AT_REST
    step = NormalDist(0.0, _TIGHT_SPREAD)
    tight = np.array([step.cdf(math.log(_TIGHT_AREA * 1.35 / each)) for each in total.tolist()])
    hears = of.HEARS / (1.0 + (of.HALF_HEARD / np.maximum(areas, 1e-6)) ** of.STEEP)
    hears = np.maximum(hears, of.WRONG_PLACE)
    hears[PATHS.index(Cause.RINGS)] = np.maximum(hears[PATHS.index(Cause.RINGS)], of.BLOW_BY)
    # The loudest place is told; places share what is heard as they hiss.
    loud = hears * (areas + 0.02)
    share = loud / loud.sum(axis=0) * (1 - np.prod(1 - hears, axis=0))
    nowhere = 1 - share.sum(axis=0)
    return np.vstack([tight, (1 - tight) * share, (1 - tight) * nowhere])


def _proposal(solved: Solved, index: int, check: Check, minutes: float, odds: Floats) -> NextCheck:
    problem = solved.problem
    states = solved.states[index]
    main = _by_cause(states[None, :], problem.cells)
    joint = _by_cause(odds * states[None, :], problem.cells)
    results = []
    for row, name in enumerate(RESULTS[check]):
        likely = float(joint[row].sum())
        if likely < 0.01:  # noqa: PLR2004 - one in a hundred is not worth telling
            continue
        then = answer_of(causes_of(odds[row] * states, problem.cells, problem.practice))
        results.append(CheckResult(name, likely, then.says, then.probability))
    results.sort(key=lambda each: -each.probability)
    gain = _information(joint, main[0])
    return NextCheck(check, problem.reads[index].cylinder, gain, minutes, tuple(results))


def _by_cause(weights: Floats, cells: Cells) -> Floats:
    return np.asarray(weights @ cells.by_cause.T)


def _information(joint: Floats, main: Floats) -> float:
    """Information between results (rows) and causes (columns). [bit]."""
    rows = joint.sum(axis=1, keepdims=True)
    apart = rows * main[None, :]
    there = (joint > 1e-12) & (apart > 0)  # noqa: PLR2004 - never
    return max(float((joint[there] * np.log2(joint[there] / apart[there])).sum()), 0.0)


def _of_banks(solved: Solved) -> Iterator[NextCheck]:
    """Propose to check the timing where a bank may be off."""
    cost = solved.problem.practice.costs.get(Check.CAM_TIMING)
    off = sum(solved.banks.values())
    if cost is None or off < ENGINE_SUSPECT:
        return
    cam = sum(odds for (_, cause), odds in solved.banks.items() if cause is BankCause.CAM_TIMING)
    _, share = _ENGINE_SEES[Check.CAM_TIMING]
    joint = np.array([[(1 - share) * cam, 0.97 * (1 - cam)], [share * cam, 0.03 * (1 - cam)]])
    likely = joint.sum(axis=1)
    results = [
        CheckResult("off", float(likely[1]), EngineCause.CAM_TIMING, float(joint[1, 0] / likely[1])),
        CheckResult("right", float(likely[0]), EngineCause.NONE, float(joint[0, 1] / likely[0])),
    ]
    results.sort(key=lambda each: -each.probability)
    gain = _information(joint, np.array([cam, 1 - cam]))
    yield NextCheck(Check.CAM_TIMING, "", gain, cost.minutes, tuple(results))


def _of_engine(solved: Solved) -> Iterator[NextCheck]:
    engine = solved.engine
    if 1.0 - engine[EngineCause.NONE] < ENGINE_SUSPECT:
        return
    causes = list(engine)
    main = np.array([engine[cause] for cause in causes])
    main = main / main.sum()
    for check, (found, share) in _ENGINE_SEES.items():
        cost = solved.problem.practice.costs.get(check)
        cylinder = _lowest_dry(solved) if check is Check.WET_PULL else ""
        if cost is None or cylinder is None:
            continue
        wrong = np.array([share if cause in found else 0.03 for cause in causes])
        odds = np.array([1 - wrong, wrong])
        joint = odds * main[None, :]
        results = []
        for row, name in enumerate(_AS_IT_SHOULD_BE.get(check, RESULTS[check])):
            likely = float(joint[row].sum())
            best = int(joint[row].argmax())
            says: Says | EngineCause = causes[best]
            results.append(CheckResult(name, likely, says, float(joint[row, best]) / likely))
        results.sort(key=lambda each: -each.probability)
        yield NextCheck(check, cylinder, _information(joint, main), cost.minutes, tuple(results))


def _lowest_dry(solved: Solved) -> str | None:
    """Return the lowest cylinder, on which oil tells most of all; None once oil has been in one."""
    reads = solved.problem.reads
    if any(Item.WET in read.items for read in reads):
        return None
    return min((read for read in reads if read.final is not None), key=lambda read: read.final or 0.0).cylinder
