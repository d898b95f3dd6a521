"""What the odds rest on: what was read of each cylinder, what each fault would do, what the cylinder then says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis import likelihood as of
from ringtrue.diagnosis.causes import Cause, Practice
from ringtrue.diagnosis.cells import Cells, cells
from ringtrue.diagnosis.evidence import Read
from ringtrue.diagnosis.explanation import Item
from ringtrue.diagnosis.predicted import Predicted, Variant
from ringtrue.physics.responses import Responses

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LATTICE = 0.01
"""Step of the logarithm of what a sound sibling shows. [-]"""
BEYOND = 0.03
"""The lattice reaches so far beyond the readings. [-]"""
FARTHEST_BELOW, FARTHEST_ABOVE = 0.5, 0.35
"""Readings farther than that from the middle say nothing of what a sound sibling shows. [-]"""
USUAL_STROKES = 8
"""Compression strokes of a pull where nobody counted: common practice, 5 to 8."""
DEAD, DEAD_SHARE = 70e3, 0.25
"""A final below both of these, one as a share of the highest, is of a dead cylinder: common practice. [Pa gauge, -]"""
FEWEST_FIRSTS, ALIKE_FIRSTS = 3, 2
"""First strokes, and those alike among them, that it takes to say what a sound one is."""


@dataclass(frozen=True)
class Table:
    """
    What one cylinder says, in one variant.

    Parameters
    ----------
    final : ndarray, shape (D or 1, S, C)
        Likelihood of the final.
    drawn, state, rest : dict of Item to ndarray
        Logarithms of the likelihoods of the other items: (D, C), (C,) and (R, C).
    prior : ndarray, shape (C,)
        Of each state. [-]
    """

    final: Floats
    drawn: dict[Item, Floats]
    state: dict[Item, Floats]
    rest: dict[Item, Floats]
    prior: Floats

    def finals(self, items: frozenset[Item] | None = None) -> Floats:
        """
        Return the likelihood of the final; (D or 1, S, C).

        Parameters
        ----------
        items : frozenset of Item or None
            Only these; None takes all.

        Returns
        -------
        ndarray
            Ones where the final is not among them.
        """
        if items is None or Item.FINAL in items:
            return self.final
        return np.ones_like(self.final)

    def others(self, items: frozenset[Item] | None = None) -> Floats:
        """
        Return the likelihood of all but the final.

        Parameters
        ----------
        items : frozenset of Item or None
            Only these; None takes all.

        Returns
        -------
        ndarray, shape (D or 1, C, R)
            Likelihoods.
        """
        if items is None:
            return self._others
        return self._of(items)

    @cached_property
    def _others(self) -> Floats:
        return self._of(None)

    def _of(self, items: frozenset[Item] | None) -> Floats:
        def together(logs: dict[Item, Floats]) -> Floats | float:
            return sum((log for item, log in logs.items() if items is None or item in items), 0.0)

        shape = (len(of.SOUND_AT_REST), len(self.prior))
        rest = np.broadcast_to(together(self.rest), shape).T[None, :, :]
        mine = together(self.drawn) + np.zeros((1, shape[1])) + together(self.state)
        return np.asarray(np.exp(np.minimum(mine[:, :, None] + rest, 50.0)))


@dataclass(frozen=True)
class Problem:
    """
    All that the odds rest on.

    Parameters
    ----------
    reads : tuple of Read
        What was read of each cylinder.
    responses : Responses
        What each fault would do.
    practice : Practice
        How often each cause is met, what is impossible left out.
    banks : tuple of tuple of str
        Cylinders of each bank; empty where that is not known.
    pairs : tuple of (str, str)
        Neighbours on one gasket.
    speed_known : bool
        The cranking speed is in the model.
    speed : float or None
        Cranking speed of the day. [rad/s]
    shift : float
        Standard uncertainty of all readings together, relative. [-]
    """

    reads: tuple[Read, ...]
    responses: Responses
    practice: Practice
    banks: tuple[tuple[str, ...], ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()
    speed_known: bool = False
    speed: float | None = None
    shift: float = 0.0

    @cached_property
    def cells(self) -> Cells:
        """The states."""
        return cells()

    @cached_property
    def scale(self) -> Floats:
        """Logarithms of what a sound sibling may show; (S,)."""
        # A cylinder that is dead shows nothing of what a sound one does.
        reads = [read for read in self.reads if read.final is not None and not self.dead(read)]
        logs = sorted(math.log(read.final) - (read.earlier or 0.0) for read in reads if read.final is not None)
        middle = median(logs)
        low = max(logs[0], middle - FARTHEST_BELOW) - BEYOND
        high = min(logs[-1], middle + FARTHEST_ABOVE) + BEYOND
        if len(logs) == 1:
            # Alone, a cylinder may be far below what it should show.
            high += FARTHEST_BELOW
        return np.asarray(low + LATTICE * np.arange(math.ceil((high - low) / LATTICE) + 1))

    def dead(self, read: Read) -> bool:
        """
        Tell whether a cylinder is at next to nothing, and others are not.

        Parameters
        ----------
        read : Read
            The cylinder.

        Returns
        -------
        bool
            Its final is below `DEAD`, and below a quarter of the highest.
        """
        highest = max(each.final or 0.0 for each in self.reads)
        return read.final is not None and read.final < DEAD and read.final < DEAD_SHARE * highest

    def last(self, read: Read) -> int:
        """
        Return the stroke of a final.

        Parameters
        ----------
        read : Read
            The cylinder.

        Returns
        -------
        int
            From 0.
        """
        counted = [each.strokes for each in self.reads if each.strokes]
        strokes = read.strokes or (round(median(counted)) if counted else USUAL_STROKES)
        return min(max(strokes, 1), len(self.responses.level[0])) - 1

    @cached_property
    def sound_first(self) -> Floats | None:
        """
        Logarithm of first over final of a sound sibling; (D,).

        Firsts that were spoiled are low and scattered, and may be half of all: the middle of the largest cluster is
        taken, not that of all.
        """
        firsts = np.array([math.log(read.first) for read in self.reads if read.first is not None])
        if len(firsts) < FEWEST_FIRSTS:
            return None
        near = np.abs(firsts[:, None] - firsts) < 2 * of.FIRST_SPREAD
        largest = max(range(len(firsts)), key=lambda index: (int(near[index].sum()), firsts[index]))
        if near[largest].sum() < ALIKE_FIRSTS:
            return None
        return np.full(len(self.responses.base), float(np.median(firsts[near[largest]])))

    @cached_property
    def sibling_speed(self) -> float | None:
        """Middle cranking speed of the pulls. [rad/s]."""
        speeds = [read.rpm for read in self.reads if read.rpm is not None]
        return median(speeds) if len(speeds) >= FEWEST_FIRSTS else self.speed

    def neighbours(self, name: str) -> tuple[str, ...]:
        """
        Return the cylinders on the same gasket.

        Parameters
        ----------
        name : str
            The cylinder.

        Returns
        -------
        tuple of str
            One or two; none where that is not known.
        """
        return tuple(other for pair in self.pairs if name in pair for other in pair if other != name)

    @cached_property
    def pair_prior(self) -> float:
        """Prior of a gasket leak between any two neighbours. [-]."""
        each = self.practice.causes.get(Cause.GASKET_NEIGHBOUR, 0.0)
        return each * len(self.reads) / (2 * len(self.pairs)) if self.pairs else 0.0

    @cached_property
    def alike(self) -> tuple[tuple[Floats, dict[Item, Floats], dict[Item, Floats]], ...]:
        """What each final, first stroke and state says, whatever all share: (D or 1, S, C), (D, C) and (C,)."""
        predicted = Predicted(self.cells, self.responses, Variant())
        return tuple(
            (
                of.of_final(read, predicted, self.scale, self.last(read)),
                of.of_first(read, predicted, self.sound_first, self.last(read)),
                of.of_state(read, self.cells, self.sibling_speed),
            )
            for read in self.reads
        )

    def tables(self, variant: Variant) -> tuple[Table, ...]:
        """
        Work out what each cylinder says.

        Parameters
        ----------
        variant : Variant
            What all share. What a cylinder's own fault does beside that is taken to be what it does by itself.

        Returns
        -------
        tuple of Table
            In the order of the cylinders.
        """
        predicted = Predicted(self.cells, self.responses, variant)
        prior = self.cells.prior(self.practice.causes)
        found = []
        for read, (final, first, state) in zip(self.reads, self.alike, strict=True):
            found.append(
                Table(
                    final=final,
                    drawn=first | of.of_wet(read, predicted, self.last(read)),
                    state=state,
                    rest=of.of_rest(read, self.cells, variant, self.neighbours(read.cylinder)),
                    prior=prior,
                )
            )
        return tuple(found)


def pairs_of(banks: Sequence[tuple[str, ...]], names: set[str]) -> tuple[tuple[str, str], ...]:
    """
    Return the neighbours of each bank.

    Parameters
    ----------
    banks : sequence of tuple of str
        Front to rear.
    names : set of str
        Cylinders that share a gasket with another.

    Returns
    -------
    tuple of (str, str)
        Front to rear.
    """
    return tuple(pair for bank in banks for pair in pairwise(bank) if set(pair) <= names)
