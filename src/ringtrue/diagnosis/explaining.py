"""From the odds of every state to what is said of each cylinder, of the engine, and of what to do next."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.compression import Band, CompressionTest, Conditions
from ringtrue.diagnosis.answers import answer_of, causes_of
from ringtrue.diagnosis.causes import CHARGE, LEAKS, Cause, Practice
from ringtrue.diagnosis.evidence import LEAST_FINAL, Read, gather
from ringtrue.diagnosis.explanation import (
    Answer,
    BankOdds,
    Because,
    Contradiction,
    CylinderExplanation,
    EngineOdds,
    Explanation,
    Item,
    Odds,
    Slip,
    Step,
    Unsure,
)
from ringtrue.diagnosis.next_check import next_checks
from ringtrue.diagnosis.posterior import AREA_STEP, AREAS, Solved, solve
from ringtrue.diagnosis.problem import Problem, pairs_of
from ringtrue.engine import BuildSheet
from ringtrue.errors import CannotExpect, GaugeRefused
from ringtrue.measure.gauges import gauge_error
from ringtrue.physics import loss_through
from ringtrue.physics.responses import Responses, responses
from ringtrue.quantities import Measured, PaGauge

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

RULED_OUT = 0.02
"""A cause is ruled out below this probability, if it was twice as likely without the reading. [-]"""
BANK_TOLD = 0.10
"""A bank that is off is told from this probability on. [-]"""
LOOKED_INTO = 0.15
"""Cylinders whose fault is this likely are explained reading by reading. [-]"""
TOO_MUCH_AT_REST = 0.06
"""A leak at standstill that should have cost more than this of a final that is in line contradicts it. [-]"""
AT_MOST_MORE = 1.3
"""So many times larger a leak may be at standstill without a word. [-]"""
IN_LINE = 0.03
"""A final this near to the best of its siblings is in line. [-]"""

_RESTRICTOR, _SUPPLY = 0.040 * 0.0254, PaGauge(80 * 6894.757293)
"""The leak-down in which the size of a leak is told: 0.040 in, and 80 psi. [m, Pa gauge]"""
BLUR = 0.045
"""Severities stand apart by a quarter: each is spread over its neighbourhood, as a logarithm. [-]"""


def explain(
    test: CompressionTest,
    sheet: BuildSheet | None,
    *,
    practice: Practice | None = None,
    earlier: Sequence[CompressionTest] = (),
) -> Explanation:
    """
    Say what may be the matter with each cylinder, how sure that is, and which check would tell most.

    Parameters
    ----------
    test : CompressionTest
        What was done and read; every item may be missing, and they may come in any order.
    sheet : BuildSheet or None
        The engine. Without one, or with one that the model cannot use, cylinders are compared with one another on
        engines of usual sizes.
    practice : Practice or None
        How often each cause is met and what each check costs; None takes the usual.
    earlier : sequence of CompressionTest
        Earlier tests of the same engine: what a cylinder was off by then is not held against it now.

    Returns
    -------
    Explanation
        The same for the same input. Without a single dry final nothing is explained: no cylinders.

    Raises
    ------
    InputRefused
        Sheet, gauge or conditions hold what cannot be.

    Notes
    -----
    A Bayesian model on ratios to the siblings; docs/theory/explaining.md has it whole, with what is assumed. Leak areas
    are effective areas, 90 % intervals.
    """
    usual = (practice or Practice()).possible(sheet)
    reads, contradictions = gather(test, sheet, earlier)
    if not any(read.final is not None for read in reads):
        return Explanation((), (), (), (), contradictions)
    table, on_sheet = _responses(test, sheet, reads)
    problem = _problem(test, sheet, reads, table, usual)
    reads, more = _not_at_top(problem)
    if more:
        contradictions = (*contradictions, *more)
        problem = replace(problem, reads=reads)
    solved = solve(problem)
    cylinders = tuple(_cylinder(solved, index, on_sheet=on_sheet) for index in range(len(reads)))
    engine = sorted(solved.engine.items(), key=lambda pair: (-pair[1], pair[0]))
    banks = sorted(solved.banks.items(), key=lambda pair: (-pair[1], pair[0]))
    return Explanation(
        cylinders=cylinders,
        engine=tuple(EngineOdds(cause, odds) for cause, odds in engine),
        banks=tuple(BankOdds(bank, cause, odds) for (bank, cause), odds in banks if odds >= BANK_TOLD),
        next=next_checks(solved, cylinders),
        contradictions=contradictions,
        with_sheet=on_sheet,
        level=_level(problem) if table.of_this_engine else None,
    )


def _level(problem: Problem) -> float:
    finals = [read.final for read in problem.reads if read.final is not None]
    last = max(problem.last(read) for read in problem.reads)
    return median(finals) / math.exp(median(problem.responses.level[:, last].tolist()))


def _responses(test: CompressionTest, sheet: BuildSheet | None, reads: tuple[Read, ...]) -> tuple[Responses, bool]:
    poured = sorted(read.oil for read in reads if read.oil is not None)
    oil = poured[len(poured) // 2] if poured else None
    conditions = _with_speed(test.conditions, reads)
    if sheet is not None:
        try:
            return responses(sheet, test.gauge, conditions, oil), True
        except CannotExpect:
            pass
    return responses(None, test.gauge, conditions, oil), False


def _with_speed(conditions: Conditions, reads: Sequence[Read]) -> Conditions:
    speeds = sorted(read.rpm for read in reads if read.rpm is not None)
    if conditions.cranking_speed is not None or not speeds:
        return conditions
    middle = speeds[len(speeds) // 2]
    return replace(conditions, cranking_speed=Measured(middle, f"{middle * 30 / math.pi:.0f}", "rpm"))


def _problem(
    test: CompressionTest, sheet: BuildSheet | None, reads: tuple[Read, ...], table: Responses, practice: Practice
) -> Problem:
    conditions = _with_speed(test.conditions, reads)
    speed = conditions.cranking_speed
    shift = 0.02
    finals = [read.final for read in reads if read.final is not None]
    try:
        error = gauge_error(test.gauge, test.date)
    except GaugeRefused:
        error = None
    if error is not None and error.shifts:
        middle = sorted(finals)[len(finals) // 2]
        shift = error.tolerance(middle) / math.sqrt(3) / middle
    on_gasket = set() if sheet is None else {name for name in sheet.cylinders if sheet.bridge_neighbours(name)}
    banks = sheet.banks if sheet is not None else ()
    return Problem(
        reads=reads,
        responses=table,
        practice=practice,
        banks=banks,
        pairs=pairs_of(banks, on_gasket) if Cause.GASKET_NEIGHBOUR in practice.causes else (),
        speed_known=speed is not None,
        speed=None if speed is None else speed.value,
        shift=shift,
    )


def _not_at_top(problem: Problem) -> tuple[tuple[Read, ...], list[Contradiction]]:
    """Set aside a leak-down that shows a leak which the final cannot have had."""
    finals = [math.log(read.final) for read in problem.reads if read.final is not None]
    best = sorted(finals)[-max(len(finals) // 3, 1)]
    found, contradictions = [], []
    for read in problem.reads:
        if (
            read.leaked is not None
            and read.final is not None
            and len(finals) > 2  # noqa: PLR2004 - siblings to be in line with
            and math.log(read.final) > best - IN_LINE
            and _cost(problem, read.leaked.area / AT_MOST_MORE, problem.last(read)) > TOO_MUCH_AT_REST
        ):
            items = (Item.FINAL, Item.LEAKDOWN, *((Item.HEARD,) if read.heard else ()))
            contradictions.append(Contradiction(read.cylinder, items, Slip.NOT_AT_TOP, read.leaked.loss, read.heard))
            found.append(replace(read, leaked=None, heard=()))
        else:
            found.append(read)
    return tuple(found), contradictions


def _cost(problem: Problem, area: float, last: int) -> float:
    """Share of the final that a leak of that total area should cost; the middle of what is possible. [-]."""
    from ringtrue.physics.responses import LEAK_AREAS

    table = problem.responses.leak[:, :, last]
    lost = [-float(np.interp(area, LEAK_AREAS, row)) for row in table]
    return 1.0 - math.exp(-sorted(lost)[len(lost) // 2])


def _cylinder(solved: Solved, index: int, *, on_sheet: bool) -> CylinderExplanation:
    problem, read = solved.problem, solved.problem.reads[index]
    cells, states = problem.cells, solved.states[index]
    causes = causes_of(states, cells, problem.practice)
    answer = answer_of(causes)
    second: dict[Cause, float] = {}
    for cause, odds in zip(cells.second, states.tolist(), strict=True):
        if cause is not None:
            second[cause] = second.get(cause, 0.0) + odds
    also = sorted(((cause, odds) for cause, odds in second.items() if odds >= RULED_OUT), key=lambda pair: -pair[1])
    steps: tuple[Step, ...] = ()
    because: tuple[Because, ...] = ()
    if read.items and 1.0 - {each.cause: each.probability for each in causes}[Cause.SOUND] >= LOOKED_INTO:
        steps = tuple(_steps(solved, index))
        because = tuple(sorted(_because(solved, index, causes, answer), key=lambda each: -abs(math.log(each.factor))))
    partner = solved.partners[index] if causes[0].cause is Cause.GASKET_NEIGHBOUR else ""
    area = _band(solved.areas[index]) if on_sheet and read.final is not None else None
    return CylinderExplanation(
        cylinder=read.cylinder,
        causes=causes,
        also=tuple(Odds(cause, odds) for cause, odds in also),
        answer=answer,
        leak_area=area,
        # Where a leak-down was taken, its own loss stands there.
        leak_loss=None if area is None or read.leaked is not None else loss_through(area.median, _RESTRICTOR, _SUPPLY),
        because=because,
        steps=steps,
        partner=partner,
        read=read.final is not None,
    )


def _band(weights: Floats) -> Band:
    """Return median and 90 % interval of a leak area. [m2]."""
    reach = round(3 * BLUR / AREA_STEP)
    near = np.exp(-0.5 * (np.arange(-reach, reach + 1) * AREA_STEP / BLUR) ** 2)
    share = np.cumsum(np.convolve(weights, near, mode="same"))
    low, median, high = np.interp([0.05, 0.5, 0.95], share / share[-1], AREAS)
    return Band(1e-6 * float(median), 1e-6 * float(low), 1e-6 * float(high))


def _steps(solved: Solved, index: int) -> Iterator[Step]:
    problem, read = solved.problem, solved.problem.reads[index]
    seen: frozenset[Item] = frozenset()
    yield Step(None, causes_of(_prior(problem), problem.cells, problem.practice))
    for item in read.items:
        seen |= {item}
        if item is Item.EARLIER:
            continue
        yield Step(item, causes_of(solved.states_with(index, seen), problem.cells, problem.practice))


def _prior(problem: Problem) -> Floats:
    prior = problem.cells.prior(problem.practice.causes)
    prior[problem.cells.of(Cause.GASKET_NEIGHBOUR)] = (
        problem.pair_prior * problem.cells.share[problem.cells.of(Cause.GASKET_NEIGHBOUR)]
    )
    return np.asarray(prior / prior.sum())


def _because(solved: Solved, index: int, causes: Sequence[Odds], answer: Answer) -> Iterator[Because]:
    problem, read = solved.problem, solved.problem.reads[index]
    with_all = {each.cause: each.probability for each in causes}
    for item in read.items:
        if item is Item.EARLIER:
            continue
        states = solved.states_with(index, frozenset(read.items) - {item})
        without = {each.cause: each.probability for each in causes_of(states, problem.cells, problem.practice)}
        lifts = {cause: _odds(with_all[cause]) / _odds(without[cause]) for cause in with_all}
        gone = tuple(
            cause
            for cause in with_all
            if cause is not Cause.SOUND
            and with_all[cause] < RULED_OUT
            and without[cause] > max(2 * with_all[cause], 1.5 * RULED_OUT)
        )
        told, words = _told(read, item, solved)
        yield Because(
            item=item,
            read=told,
            words=words,
            factor=_odds(_of(answer, with_all)) / _odds(_of(answer, without)),
            for_cause=max(lifts, key=lambda cause: lifts[cause]),
            ruled_out=gone,
        )


def _of(answer: Answer, odds: Mapping[Cause, float]) -> float:
    group: tuple[Cause, ...]
    if isinstance(answer.says, Cause):
        group = (answer.says,)
    elif answer.says is Unsure.LEAK_PATH_UNKNOWN:
        group = LEAKS
    elif answer.says is Unsure.CHARGE_OR_TIMING:
        group = CHARGE
    else:
        group = (max(odds, key=lambda cause: odds[cause]),)
    return math.fsum(odds.get(cause, 0.0) for cause in group)


def _odds(probability: float) -> float:
    held = min(max(probability, 1e-6), 1 - 1e-6)
    return held / (1 - held)


def _told(read: Read, item: Item, solved: Solved) -> tuple[float | None, tuple[str, ...]]:
    problem = solved.problem
    if item is Item.HEARD:
        return None, read.heard
    if item is Item.PLUG:
        return None, (read.plug,)
    figures: Mapping[Item, float | None] = {
        Item.FINAL: 0.0 if read.final == LEAST_FINAL else read.final,
        Item.REPEATS: read.apart,
        Item.FIRST: None
        if read.first is None or problem.sound_first is None
        else read.first / math.exp(float(problem.sound_first[0])),
        Item.SPEED: None if read.rpm is None or not problem.sibling_speed else read.rpm / problem.sibling_speed,
        Item.WET: read.net if read.net is not None else read.wet,
        Item.LEAKDOWN: None if read.leaked is None else read.leaked.loss,
        Item.LIFT: read.lift_lost,
    }
    return figures.get(item), ()
