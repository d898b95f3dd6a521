"""What the readings of a cylinder would be in each of its states, beside a sound sibling."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis.causes import Cause
from ringtrue.diagnosis.cells import PATHS, Cells
from ringtrue.physics.responses import CHARGES, CLEARANCES, DELAYS, LEAK_AREAS, SPEEDS, Responses
from ringtrue.quantities import STANDARD_AIR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Variant:
    """
    A fault that all cylinders of an engine, or of a bank, share.

    Parameters
    ----------
    area : float
        Leak that each has besides its own. [mm2]
    path : Cause
        Where to.
    sealed : float or None
        Share of it that oil seals; None for the usual ones of rings.
    """

    area: float = 0.0
    path: Cause = Cause.RINGS
    sealed: float | None = None


@dataclass(frozen=True)
class Predicted:
    """
    What the readings of a cylinder would be in each state, as logarithms beside a sound sibling.

    Parameters
    ----------
    cells : Cells
        The states.
    responses : Responses
        What each fault does.
    variant : Variant
        What all share.
    """

    cells: Cells
    responses: Responses
    variant: Variant
    _found: dict[tuple[float | None, ...], Floats] = field(default_factory=dict, init=False, compare=False, repr=False)

    @cached_property
    def areas(self) -> Floats:
        """Area of each path, the shared one in it; (paths, C). [mm2]."""
        areas = self.cells.areas.copy()
        areas[PATHS.index(self.variant.path)] += self.variant.area
        return areas

    def dry(self, stroke: int) -> Floats:
        """
        Return the dry reading after a stroke.

        Parameters
        ----------
        stroke : int
            From 0.

        Returns
        -------
        ndarray, shape (D, C)
            Over that of a sound sibling that has what all share. [-]
        """
        if (stroke,) in self._found:
            return self._found[stroke,]
        leak = self.areas.sum(axis=0) + self.cells.fitting
        found = self._leaking(self.responses.leak, leak, 0.0, stroke) - self.shift(stroke)
        for cause, table, _ in self._dull:
            rows = self.cells.rows[cause]
            found += np.where(rows < 0, 0.0, table[:, np.maximum(rows, 0), stroke])
        return self._found.setdefault((stroke,), found)

    def bin_width(self, stroke: int) -> Floats:
        """
        Return how far the dry readings spread for which one state stands.

        Parameters
        ----------
        stroke : int
            From 0.

        Returns
        -------
        ndarray, shape (C,)
            From half-way to the milder state to half-way to the graver one. [-]
        """
        dry = self.dry(stroke).mean(axis=0)
        steps = (self.cells.above != np.arange(len(dry))) * 1 + (self.cells.below != np.arange(len(dry))) * 1
        return np.asarray(np.abs(dry[self.cells.above] - dry[self.cells.below]) / np.maximum(steps, 1))

    def shift(self, stroke: int) -> Floats:
        """
        Return what the shared fault does to all.

        Parameters
        ----------
        stroke : int
            From 0.

        Returns
        -------
        ndarray, shape (D, 1)
            A sound sibling that has it over one that has not. [-]
        """
        return self._leaking(self.responses.leak, np.array([self.variant.area]), 0.0, stroke)

    def wet(self, stroke: int, sealed: float, oil: float | None) -> Floats:
        """
        Return the wet reading over the dry one.

        Parameters
        ----------
        stroke : int
            From 0.
        sealed : float
            Share of a ring leak that oil seals. [-]
        oil : float or None
            How much oil, where that was said. [m3]

        Returns
        -------
        ndarray, shape (D, C)
            Wet over dry. [-]
        """
        if (stroke, sealed, oil) in self._found:
            return self._found[stroke, sealed, oil]
        rings = self.areas[PATHS.index(Cause.RINGS)]
        dry = self.areas.sum(axis=0) + self.cells.fitting
        closed = sealed * rings
        if self.variant.sealed is not None:
            closed = sealed * (rings - self.variant.area) + self.variant.sealed * self.variant.area
        before = self._leaking(self.responses.leak, dry, 0.0, stroke)
        after = self._leaking(self.responses.wet, dry - closed, sealed, stroke)
        unsealed = self._leaking(self.responses.leak, dry - closed, sealed, stroke)
        poured = 1.0 if oil is None else (oil / self.responses.oil)[:, None]
        oiled = poured * (after - unsealed) * self._more_of_gauge(stroke)
        return self._found.setdefault((stroke, sealed, oil), unsealed - before + oiled)

    def _more_of_gauge(self, stroke: int) -> Floats:
        """Return how much more a share of the absolute pressure is of a low gauge pressure; (D, C)."""
        dull = np.any([self.cells.rows[cause] >= 0 for cause, _, _ in self._dull], axis=0)
        sound = np.exp(self.responses.level[:, stroke])[:, None]
        mine = sound * np.exp(np.where(dull, self.dry(stroke), 0.0))
        return np.asarray((mine + STANDARD_AIR) / mine * sound / (sound + STANDARD_AIR))

    def first(self, last: int) -> Floats:
        """
        Return the first reading over the final one.

        Parameters
        ----------
        last : int
            Stroke of the final, from 0.

        Returns
        -------
        ndarray, shape (D, C)
            Over the same of a sound sibling. [-]
        """
        return self.dry(0) - self.dry(last)

    @property
    def _dull(self) -> tuple[tuple[Cause, Floats, tuple[float, ...]], ...]:
        r = self.responses
        return (
            (Cause.NOT_FILLING, r.charge, CHARGES),
            (Cause.LATE_CLOSING, r.delay, DELAYS),
            (Cause.CARBON, r.clearance, CLEARANCES),
            (Cause.SLOW_CRANKING, r.speed, SPEEDS),
        )

    def _leaking(self, table: Floats, more: Floats, sealed: float, stroke: int) -> Floats:
        """Return the table at the usual ring leak, part of it sealed, and what comes on top; (D, C)."""
        at = self.responses.base[:, None] * (1.0 - sealed) + more[None, :]
        grid = np.sqrt(LEAK_AREAS)
        root = np.sqrt(np.maximum(at, 0.0))
        place = np.clip(np.searchsorted(grid, root, side="right") - 1, 0, len(grid) - 2)
        share = np.minimum((root - grid[place]) / (grid[place + 1] - grid[place]), 1.0)
        rows = np.arange(len(table))[:, None]
        return np.asarray(table[rows, place, stroke] * (1 - share) + table[rows, place + 1, stroke] * share)
