"""Every state that one cylinder may be in: a main cause with its severity, and perhaps a second one, as one list."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis.causes import LEAKS, Cause
from ringtrue.physics.responses import CHARGES, CLEARANCES, DELAYS, SPEEDS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PATHS = LEAKS
"""Paths of a leak, in the order of the columns of `Cells.areas`."""

SEVERITIES = tuple(float(area) for area in np.geomspace(0.14, 30.0, 26))
"""Effective areas that a faulty path may have besides the usual ring leak. [mm2]"""

_FEW = (0.25, 0.6, 1.5, 4.0)
"""The same where two things are wrong. [mm2]"""
_SHARES = (0.7, 0.3)
"""How two paths share a leak. [-]"""
_FITTING = (0.2, 0.5, 1.2, 3.0)
"""Leaks at the fitting of the gauge. [mm2]"""
_DULL = {
    Cause.NOT_FILLING: tuple(range(1, len(CHARGES))),
    Cause.LATE_CLOSING: tuple(row for row, delay in enumerate(DELAYS) if delay > 0),
    Cause.CARBON: tuple(row for row, share in enumerate(CLEARANCES) if share < 1),
    Cause.SLOW_CRANKING: tuple(range(1, len(SPEEDS))),
}
"""Rows of the tables of `ringtrue.physics.responses` that each of these causes may have."""


@dataclass(frozen=True)
class Cells:
    """
    The states, a column each.

    Parameters
    ----------
    main : tuple of Cause
        The cause that costs most pressure.
    second : tuple of Cause or None
        What else is wrong.
    areas : ndarray, shape (paths, C)
        Effective area of each path of `PATHS` beyond the usual ring leak. [mm2]
    fitting : ndarray, shape (C,)
        Leak at the fitting of the gauge. [mm2]
    rows : mapping of Cause to ndarray, shape (C,)
        Row of the table of a cause that is no leak; -1 where it is not there.
    share : ndarray, shape (C,)
        Prior share of a state within its cause, or pair of causes. [-]
    below, above : ndarray, shape (C,)
        The next milder and the next graver state of the same kind; the state itself where there is none. Each state
        stands for all that lie half-way to them.
    """

    main: tuple[Cause, ...]
    second: tuple[Cause | None, ...]
    areas: Floats
    fitting: Floats
    rows: Mapping[Cause, NDArray[np.intp]]
    share: Floats
    below: NDArray[np.intp]
    above: NDArray[np.intp]

    def of(self, cause: Cause) -> NDArray[np.bool_]:
        """
        Return which states have a main cause.

        Parameters
        ----------
        cause : Cause
            Which.

        Returns
        -------
        ndarray of bool, shape (C,)
            The states.
        """
        return self._of[cause]

    @cached_property
    def _of(self) -> Mapping[Cause, NDArray[np.bool_]]:
        return {cause: np.array([each is cause for each in self.main]) for cause in Cause}

    @cached_property
    def by_cause(self) -> Floats:
        """One where a state has a main cause; a row a cause, in their order; (causes, C)."""
        return np.array([self.of(cause) for cause in Cause], dtype=np.float64)

    def prior(self, causes: Mapping[Cause, float]) -> Floats:
        """
        Return the prior of each state.

        Parameters
        ----------
        causes : mapping of Cause to float
            How often each cause is met; a cause that is missing is impossible. [-]

        Returns
        -------
        ndarray, shape (C,)
            Summing to 1; a gasket to the neighbour has none here, for it takes two cylinders. [-]
        """
        prior = np.zeros(len(self.main))
        for column, (main, second) in enumerate(zip(self.main, self.second, strict=True)):
            if main in {Cause.SOUND, Cause.GASKET_NEIGHBOUR}:
                continue
            prior[column] = causes.get(main, 0.0) * (1.0 if second is None else causes.get(second, 0.0))
        prior *= self.share
        prior[0] = max(1.0 - prior.sum() - causes.get(Cause.GASKET_NEIGHBOUR, 0.0), 0.0)
        return prior


@dataclass(slots=True)
class _State:
    main: Cause
    second: Cause | None
    share: float
    areas: dict[Cause, float]
    rows: dict[Cause, int]
    fitting: float = 0.0

    @property
    def kind(self) -> tuple[object, ...]:
        """What it has in common with milder and graver ones."""
        paths = sorted(self.areas, key=lambda path: -self.areas[path])
        rows = tuple(self.rows.items()) if self.areas else tuple(self.rows)
        return (*paths, *rows, self.fitting > 0)


def _single() -> Iterator[_State]:
    yield _State(Cause.SOUND, None, 1.0, {}, {})
    # Small leaks are as likely as large ones, on a scale of ratios.
    for path in PATHS:
        for area in SEVERITIES:
            yield _State(path, None, 1 / len(SEVERITIES), {path: area}, {})
    for cause, rows in _DULL.items():
        for row in rows:
            yield _State(cause, None, 1 / len(rows), {}, {cause: row})
    for area in _FITTING:
        yield _State(Cause.GAUGE_OR_FITTING, None, 1 / len(_FITTING), {}, {}, area)
    yield _State(Cause.MISREAD, None, 1.0, {}, {})


def _double() -> Iterator[_State]:
    alone = (Cause.RINGS, Cause.INTAKE_VALVE, Cause.EXHAUST_VALVE)
    for pair in combinations(alone, 2):
        for first, other in (pair, pair[::-1]):
            for area in _FEW:
                areas = {first: _SHARES[0] * area, other: _SHARES[1] * area}
                yield _State(first, other, 0.5 / len(_FEW), areas, {})
    for path in alone:
        for cause in (Cause.NOT_FILLING, Cause.CARBON):
            rows = _DULL[cause][1::2]
            for row in rows:
                for area in _FEW:
                    # A leak of half a square millimetre costs about as much as a middling fault of filling.
                    leak_is_more = cause is Cause.CARBON or math.log(area / 0.5) > 2 * (row - 2) / len(CHARGES)
                    main, other = (path, cause) if leak_is_more else (cause, path)
                    yield _State(main, other, 1 / (len(_FEW) * len(rows)), {path: area}, {cause: row})


@lru_cache(maxsize=1)
def cells() -> Cells:
    """
    List every state.

    Returns
    -------
    Cells
        The first one is sound.
    """
    states = [*_single(), *_double()]
    kinds: dict[tuple[object, ...], list[int]] = {}
    for column, state in enumerate(states):
        kinds.setdefault(state.kind, []).append(column)
    below = np.arange(len(states))
    above = below.copy()
    for columns in kinds.values():
        below[columns[1:]], above[columns[:-1]] = columns[:-1], columns[1:]
    areas = np.array([[state.areas.get(path, 0.0) for state in states] for path in PATHS])
    return Cells(
        main=tuple(state.main for state in states),
        second=tuple(state.second for state in states),
        areas=areas,
        fitting=np.array([state.fitting for state in states]),
        rows={cause: np.array([state.rows.get(cause, -1) for state in states]) for cause in _DULL},
        share=np.array([state.share for state in states]),
        below=below,
        above=above,
    )
