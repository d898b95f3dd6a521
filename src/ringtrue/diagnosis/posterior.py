"""
The odds of every state of every cylinder, the siblings, the whole engine and its banks taken together.

What cylinders share is summed over a lattice: which of the drawn engines it is (D), the logarithm of what a sound
sibling shows (S), and the leak of a sound cylinder at standstill (R). Given a point of it, cylinders are strangers to
one another, but for two that share a gasket leak.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis import likelihood as of
from ringtrue.diagnosis.causes import BankCause, Cause, EngineCause
from ringtrue.diagnosis.cells import Cells
from ringtrue.diagnosis.explanation import Item
from ringtrue.diagnosis.levels import SHARED
from ringtrue.diagnosis.levels import levels as levels_of
from ringtrue.diagnosis.likelihood import normal
from ringtrue.diagnosis.predicted import Variant
from ringtrue.diagnosis.problem import LATTICE, Problem, Table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

BANK_OFF = 0.35
"""A bank whose cam is off is lower or higher by up to that, as a logarithm: assumed. [-]"""
BANK_HIGH = 0.1
"""A bank that is off is that seldom higher: common practice knows low ones. [-]"""
AREA_STEP = 0.04
AREAS = 0.02 * np.exp(AREA_STEP * np.arange(208))
"""Leak areas that are told apart, up to 80 mm2. [mm2]"""
NEGLIGIBLE = 1e-5
"""What all share is left out of the odds of cylinders where it is that much less likely. [-]"""


@dataclass
class Solved:
    """
    The odds.

    Parameters
    ----------
    problem : Problem
        What they rest on.
    engine : dict of EngineCause to float
        Summing to 1. [-]
    banks : dict of (int, BankCause) to float
        Of each bank that is off. [-]
    states : ndarray, shape (n, C)
        Of each state of each cylinder, summing to 1; a shared gasket leak stands with its severity. [-]
    areas : ndarray, shape (n, A)
        For each cylinder, weights of the leak areas of `AREAS`. [-]
    partners : tuple of str
        For each cylinder, the neighbour with which it may share a leak.
    main : Variant
        The likeliest variant.
    tables : tuple of Table
        Of that one.
    others : list of ndarray, shape (D, S, R)
        For each cylinder, what all the others say of what they share.
    shared : list of ndarray or None
        For each cylinder, what its neighbours say of a shared gasket leak, over a sound one; (D, S, R, G).
    """

    problem: Problem
    engine: dict[EngineCause, float]
    banks: dict[tuple[int, BankCause], float]
    states: Floats
    areas: Floats
    partners: tuple[str, ...]
    main: Variant
    tables: tuple[Table, ...]
    others: list[Floats]
    shared: list[Floats | None] = field(default_factory=list)

    def states_with(self, index: int, items: frozenset[Item] | None) -> Floats:
        """
        Return the odds of a cylinder's states with some of its evidence only.

        Parameters
        ----------
        index : int
            The cylinder.
        items : frozenset of Item or None
            The evidence; None takes all.

        Returns
        -------
        ndarray, shape (C,)
            Summing to 1. [-]
        """
        found = weigh(self.tables[index], self.others[index], self.shared[index], self.problem.cells, items).sum(axis=0)
        return np.asarray(found / found.sum())


def weigh(
    table: Table, others: Floats, shared: Floats | None, states: Cells, items: frozenset[Item] | None = None
) -> Floats:
    """
    Weigh a cylinder's states by what it and all others say.

    Parameters
    ----------
    table : Table
        The cylinder.
    others : ndarray, shape (D, S, R)
        What the others say of what they share.
    shared : ndarray, shape (D, S, R, G), or None
        What neighbours say of a shared gasket leak of each severity.
    states : Cells
        The states.
    items : frozenset of Item or None
        Only this evidence of the cylinder.

    Returns
    -------
    ndarray, shape (D, C)
        Weights, not normalised.
    """
    finals, rest = table.finals(items), table.others(items)
    found = np.einsum(
        "dcr,dcr->dc",
        np.matmul(finals.transpose(0, 2, 1), others),
        np.broadcast_to(rest, (len(others), *rest.shape[1:])),
    )
    found *= table.prior
    if shared is not None:
        columns = states.of(Cause.GASKET_NEIGHBOUR)
        together = (shared * others[..., None] * rest[:, None, columns, :].swapaxes(2, 3)).sum(axis=2)
        found[:, columns] = (together * finals[:, :, columns]).sum(axis=1)
    return np.asarray(found)


def solve(problem: Problem) -> Solved:
    """
    Work out the odds.

    Parameters
    ----------
    problem : Problem
        At least one final was read.

    Returns
    -------
    Solved
        Deterministic; the order in which readings came does not matter.
    """
    return _Solver(problem).solved()


class _Solver:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        engine = problem.practice.engine
        variants: list[tuple[EngineCause | None, Variant, float]] = [(None, Variant(), 1.0)]
        if problem.responses.of_this_engine or any(read.leaked or read.wet for read in problem.reads):
            variants += [each for each in SHARED if engine.get(each[0], 0.0) > 0]
        self.variants = variants
        # What all share shows beside the siblings only with oil or with air.
        differ = any(read.leaked or read.heard or read.wet for read in problem.reads)
        first = problem.tables(variants[0][1])
        self.sets = [first, *(problem.tables(variant) if differ else first for _, variant, _ in variants[1:])]
        alone = self._each_alone(first)
        self.alone = [alone, *(self._each_alone(tables) if differ else alone for tables in self.sets[1:])]
        rest = np.array(of.SOUND_AT_REST)
        at_rest = normal(np.log(rest / of.USUAL_AT_REST), of.USUAL_SPREAD)
        self.common = (at_rest - np.log(np.exp(at_rest).sum()))[None, None, :]

    def _each_alone(self, tables: Sequence[Table]) -> list[Floats]:
        """Return what each cylinder says of what all share, in one shape, one that was not read too."""
        return list(np.broadcast_arrays(*(self._alone(table) for table in tables)))

    @staticmethod
    def _alone(table: Table) -> Floats:
        """Logarithm of what a cylinder says of what all share; (D, S, R)."""
        return np.asarray(np.log(np.matmul(table.final, table.others() * table.prior[None, :, None]) + 1e-300))

    def solved(self) -> Solved:
        problem = self.problem
        count = len(problem.reads)
        logs: list[Floats] = []
        engine_parts: list[dict[EngineCause, Floats]] = []
        for (cause, variant, share), alone in zip(self.variants, self.alone, strict=True):
            together = np.sum(alone, axis=0) + self.common
            levels = levels_of(problem, cause, variant, share)
            engine_parts.append(levels)
            logs.append(together + np.logaddexp.reduce(list(levels.values()), axis=0)[:, :, None])
        shared = self._shared()
        top = max(float(log.max()) for log in logs)
        base = [np.exp(log - top) for log in logs]
        pair_gain = self._pair_gain(shared)
        pairs = {pair: base[0] * gain for pair, gain in pair_gain.items()}
        banks = dict(self._banks(logs[0] - np.sum(self.alone[0], axis=0), top))
        total = sum(float(each.sum()) for each in base)
        total += sum(float(each.sum()) for each in pairs.values())
        total += sum(float(weight.sum()) for weight in banks.values())
        engine = self._engine(base, pairs, banks, engine_parts, total)
        weights = [float(each.sum()) for each in base]
        strongest = weights.index(max(weights))
        states = np.zeros((count, len(problem.cells.main)))
        areas = np.zeros((count, len(AREAS)))
        others, strongest_shared = [], []
        for index in range(count):
            pieces = []
            for number, weight in enumerate(base):
                if weights[number] < NEGLIGIBLE * max(weights):
                    continue
                mine = weight
                if number == 0:
                    mine = mine + self._elsewhere(index, pairs, banks)
                away = mine / np.exp(self.alone[number][index])
                with_pair = None
                beside = shared[index]
                if number == 0 and beside is not None:
                    # The pair's own weight rests on the engine without it.
                    with_pair = beside * (weight / np.maximum(mine, 1e-300))[..., None]
                pieces.append(weigh(self.sets[number][index], away, with_pair, problem.cells))
                areas[index] += self._areas(pieces[-1], self.variants[number][1])
                if number == strongest:
                    others.append(away)
                    strongest_shared.append(with_pair)
            whole = sum((piece.sum(axis=0) for piece in pieces), np.zeros(1))
            states[index] = whole / whole.sum()
        return Solved(
            problem=problem,
            engine=engine,
            banks=self._bank_causes(banks, total),
            states=states,
            areas=areas,
            partners=tuple(self._partner(read.cylinder, pairs) for read in problem.reads),
            main=self.variants[strongest][1],
            tables=self.sets[strongest],
            others=others,
            shared=strongest_shared,
        )

    def _engine(
        self,
        base: list[Floats],
        pairs: dict[tuple[str, str], Floats],
        banks: dict[tuple[int, int], Floats],
        parts: list[dict[EngineCause, Floats]],
        total: float,
    ) -> dict[EngineCause, float]:
        """Odds of each cause of the engine, all that cylinders and banks may have summed over."""
        engine = dict.fromkeys((EngineCause.NONE, *self.problem.practice.engine), 0.0)
        for number, levels in enumerate(parts):
            whole = np.logaddexp.reduce(list(levels.values()), axis=0)
            mine = base[number].sum(axis=2)
            if number == 0:
                mine = mine + sum((each.sum(axis=2) for each in pairs.values()), np.zeros(1))
            for cause, log in levels.items():
                engine[cause] += float((mine * np.exp(log - whole)).sum()) / total
        engine[EngineCause.NONE] += sum(float(weight.sum()) for weight in banks.values()) / total
        return engine

    def _shared(self) -> list[Floats | None]:
        """For each cylinder, what its neighbours say of a shared gasket leak over what they say alone; (D, S, R, G)."""
        problem = self.problem
        columns = problem.cells.of(Cause.GASKET_NEIGHBOUR)
        share = problem.cells.share[columns] * problem.pair_prior
        found: list[Floats | None] = [None] * len(problem.reads)
        if not problem.pairs or problem.pair_prior <= 0:
            return found
        index = {read.cylinder: number for number, read in enumerate(problem.reads)}
        self.sides: dict[str, Floats] = {}
        for pair in problem.pairs:
            for name in pair:
                if name in self.sides:
                    continue
                table = self.sets[0][index[name]]
                rest = table.others()[:, columns, :].swapaxes(1, 2)[:, None, :, :]
                self.sides[name] = (
                    table.final[:, :, None, columns] * rest / np.exp(self.alone[0][index[name]])[..., None]
                )
        for number, read in enumerate(problem.reads):
            sides = [self.sides[other] for other in problem.neighbours(read.cylinder)]
            if sides:
                found[number] = np.sum(sides, axis=0) * share
        return found

    def _pair_gain(self, shared: list[Floats | None]) -> dict[tuple[str, str], Floats]:
        """For each pair, how much likelier all is with a leak between them; (D, S, R)."""
        problem = self.problem
        if all(each is None for each in shared):
            return {}
        share = problem.cells.share[problem.cells.of(Cause.GASKET_NEIGHBOUR)] * problem.pair_prior
        return {pair: (self.sides[pair[0]] * self.sides[pair[1]]) @ share for pair in problem.pairs}

    def _banks(self, rest: Floats, top: float) -> Iterator[tuple[tuple[int, int], Floats]]:
        """Weights of each bank being off by a number of steps of the lattice; (D, S, R)."""
        problem = self.problem
        read = {one.cylinder: number for number, one in enumerate(problem.reads) if one.final is not None}
        groups = [[read[name] for name in bank if name in read] for bank in problem.banks]
        prior = sum(problem.practice.banks.values())
        if len([group for group in groups if len(group) > 1]) < 2 or prior <= 0:  # noqa: PLR2004 - one to compare with
            return
        alone = np.array(self.alone[0])
        steps = round(BANK_OFF / LATTICE)
        size = alone.shape[2]
        nothing = np.delete(np.arange(-steps, steps // 2 + 1), steps)
        for number, group in enumerate(groups):
            if len(group) < 2:  # noqa: PLR2004 - a bank
                continue
            bank = alone[group].sum(axis=0)
            others = np.delete(alone, group, axis=0).sum(axis=0)
            for step in nothing[np.abs(nothing) < size]:
                moved = np.full_like(bank, -np.inf)
                source = slice(max(step, 0), size + min(step, 0))
                target = slice(max(-step, 0), size + min(-step, 0))
                moved[:, target] = bank[:, source]
                side = 1 - BANK_HIGH if step < 0 else BANK_HIGH
                share = prior * side / np.count_nonzero(np.sign(nothing) == np.sign(step))
                yield (number, int(step)), np.exp(rest + others + moved - top) * share

    def _bank_causes(self, banks: dict[tuple[int, int], Floats], total: float) -> dict[tuple[int, BankCause], float]:
        """Share what a bank is off by between its cam and its gasket: the leak-down tells them apart."""
        problem = self.problem
        found: dict[tuple[int, BankCause], float] = {}
        for number in sorted({number for number, _ in banks}):
            weight = sum(float(each.sum()) for (bank, _), each in banks.items() if bank == number) / total
            odds = dict(problem.practice.banks)
            for read in problem.reads:
                if read.cylinder in problem.banks[number] and read.leaked is not None:
                    tight = of.of_rest(read, problem.cells, Variant(), ())[Item.LEAKDOWN][1, 0]
                    open_ = of.of_rest(read, problem.cells, Variant(1.5, Cause.GASKET_NEIGHBOUR), ())
                    odds[BankCause.GASKET] *= math.exp(float(open_[Item.LEAKDOWN][1, 0] - tight))
            whole = sum(odds.values())
            for cause, each in odds.items():
                found[number, cause] = weight * each / whole
        return found

    def _elsewhere(
        self, index: int, pairs: dict[tuple[str, str], Floats], banks: dict[tuple[int, int], Floats]
    ) -> Floats:
        """Weights under which a cylinder is by itself, though two others or a bank are not; (D, S, R)."""
        problem = self.problem
        name = problem.reads[index].cylinder
        found = np.zeros_like(self.alone[0][0])
        for pair, weight in pairs.items():
            if name not in pair:
                found += weight
        size = found.shape[1]
        for (number, step), weight in banks.items():
            if name in problem.banks[number]:
                source = slice(max(-step, 0), size + min(-step, 0))
                target = slice(max(step, 0), size + min(step, 0))
                found[:, target] += weight[:, source]
            else:
                found += weight
        return found

    def _areas(self, piece: Floats, variant: Variant) -> Floats:
        """Weights of the leak areas that a cylinder may have; (A,)."""
        problem = self.problem
        total = problem.responses.base[:, None] + problem.cells.areas.sum(axis=0)[None, :] + variant.area
        place = np.round((np.log(total) - math.log(AREAS[0])) / AREA_STEP).astype(np.intp)
        place = np.clip(place, 0, len(AREAS) - 1)
        return np.bincount(place.ravel(), piece.ravel(), len(AREAS)).astype(np.float64)

    def _partner(self, name: str, pairs: dict[tuple[str, str], Floats]) -> str:
        mine = {pair: float(weight.sum()) for pair, weight in pairs.items() if name in pair}
        if not mine:
            return ""
        best = max(mine, key=lambda pair: mine[pair])
        return best[0] if best[1] == name else best[1]
