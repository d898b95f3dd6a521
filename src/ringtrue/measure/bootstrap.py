"""
Draws of what the same gauge could have shown, and what they say of a figure that the readings make.

A figure f of the readings x is not the figure of the engine: the gauge, the reader and the day added noise. Drawing
that noise onto the readings again (x*, f* = f(x*)) and looking at f* alone, as a plain Monte Carlo propagation would
(JCGM 101), counts it twice: a spread grows with every helping of noise, so f* says that the engine is worse than even
the readings show. The basic (pivotal) bootstrap turns the argument round: f* differs from f as f differs from the
engine's own figure, so that figure is distributed as 2 f - f* (Davison and Hinkley 1997, chapter 5; from memory).

For a figure that picks the worst of many, or adds up absolute deviations, noise also pushes one way (the lowest of
twelve equal cylinders always reads low), and how far depends on what the engine is like, which is not known. Therefore
f* is drawn about two engines:

* about the readings themselves, for "met": there the push is small, little of it is forgiven, and *met* is said late;
* about the least favourable engine that the readings allow, for "not met": cylinders that could share the worst place
  are put there, deviations that could be noise are taken out; the push is largest, and *not met* is said late.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from ringtrue.measure.limits import Figure

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_DRAWS = 20_000
"""How often the noise is drawn: a probability of 0.95 is found to within 0.003, nineteen times in twenty."""

_SEED = 18_000
_COULD_SHARE_THE_WORST = 3.0
"""Cylinders within this many standard uncertainties of the worst could be as bad as it. [-]"""
_COULD_BE_NOISE = 2.0
"""Deviations within this many standard uncertainties could be none. [-]"""
_FLOOR = 0.01
"""A drawn denominator is kept above this share of the one that was read, so that no draw divides by nothing. [-]"""


@dataclass(frozen=True, slots=True)
class Standard:
    """
    Standardised noise for one reading of each of several cylinders, the same at every run.

    Parameters
    ----------
    rounding, drift : ndarray
        Even between -1/2 and 1/2, a row a draw, a column a cylinder. [-]
    scatter : ndarray
        Normal with standard deviation 1. [-]
    """

    rounding: Floats
    scatter: Floats
    drift: Floats


def shared_shift() -> Floats:
    """
    Return the shift that all readings of a series share.

    Returns
    -------
    ndarray
        Even between -1 and 1, one a draw, as a column. [-]
    """
    import numpy as np

    return np.random.default_rng([_SEED, 0]).uniform(-1.0, 1.0, (_DRAWS, 1))


def standard_noise(count: int, *, stream: int) -> Standard:
    """
    Draw the noise of one reading of each cylinder.

    Parameters
    ----------
    count : int
        How many cylinders.
    stream : int
        Readings of different streams have noise of their own.

    Returns
    -------
    Standard
        Rounding, scatter and drift.
    """
    import numpy as np

    draw = np.random.default_rng([_SEED, stream])
    even = draw.uniform(-0.5, 0.5, (2, _DRAWS, count))
    return Standard(even[0], draw.standard_normal((_DRAWS, count)), even[1])


# ---------------------------------------------------------------------------------- figures of many draws at once
# Each takes an array of readings whose last axis is the cylinders, and the readings as they were, for the floor.


def over(part: Floats, whole: Floats, read: Floats) -> Floats:
    """
    Divide draws by draws.

    Parameters
    ----------
    part, whole : ndarray
        Drawn readings. [Pa]
    read : ndarray
        What `whole` was drawn about, above zero: no draw divides by less than a hundredth of it. [Pa]

    Returns
    -------
    ndarray
        Their ratio. [-]
    """
    import numpy as np

    return part / np.maximum(whole, _FLOOR * read)


def mean_deviations(x: Floats, read: Floats) -> Floats:
    """
    Return the mean deviation of every draw.

    Parameters
    ----------
    x : ndarray
        Readings, the cylinders along the last axis. [Pa gauge]
    read : ndarray
        The readings as they were; their mean keeps the denominator from zero. [Pa gauge]

    Returns
    -------
    ndarray
        One a draw. [%]
    """
    import numpy as np

    centre = x.mean(axis=-1, keepdims=True)
    return 100 * over(np.abs(x - centre).mean(axis=-1), centre[..., 0], read.mean())


def _cylinder_deviation(x: Floats, read: Floats) -> Floats:
    centre = x.mean(axis=-1)
    return 100 * over(abs(x - centre[..., None]).max(axis=-1), centre, read.mean())


def _below_mean(x: Floats, read: Floats) -> Floats:
    centre = x.mean(axis=-1)
    return 100 * over(centre - x.min(axis=-1), centre, read.mean())


def _lowest_over_highest(x: Floats, read: Floats) -> Floats:
    return over(x.min(axis=-1), x.max(axis=-1), read.max())


def _spread(x: Floats, _read: Floats) -> Floats:
    spread: Floats = x.max(axis=-1) - x.min(axis=-1)
    return spread


def _lowest(x: Floats, _read: Floats) -> Floats:
    lowest: Floats = x.min(axis=-1)
    return lowest


# ---------------------------------------------------------------------------------- least favourable engines
# Each takes the readings and their own standard uncertainties and returns readings that the same engine could have.


def _near(x: Floats, u: Floats, worst: int) -> NDArray[np.bool_]:
    import numpy as np

    near: NDArray[np.bool_] = np.abs(x - x[worst]) <= _COULD_SHARE_THE_WORST * np.hypot(u, u[worst])
    return near


def _many_lowest(x: Floats, u: Floats) -> Floats:
    import numpy as np

    return np.where(_near(x, u, int(x.argmin())), x.min(), x)


def _many_at_both_ends(x: Floats, u: Floats) -> Floats:
    import numpy as np

    low, high = _near(x, u, int(x.argmin())), _near(x, u, int(x.argmax()))
    nearer_low = x - x.min() <= x.max() - x
    return np.where(low & (nearer_low | ~high), x.min(), np.where(high, x.max(), x))


def _many_farthest(x: Floats, u: Floats) -> Floats:
    import numpy as np

    off = x - x.mean()
    farthest = int(np.abs(off).argmax())
    reach = np.abs(off[farthest])
    could = reach - np.abs(off) <= _COULD_SHARE_THE_WORST * np.hypot(u, u[farthest])
    return np.where(could, x.mean() + np.where(off < 0, -reach, reach), x)


def _deviations_without_noise(x: Floats, u: Floats) -> Floats:
    import numpy as np

    return np.where(np.abs(x - x.mean()) <= _COULD_BE_NOISE * u, x.mean(), x)


_FIGURES: Mapping[Figure, tuple[Callable[[Floats, Floats], Floats], Callable[[Floats, Floats], Floats]]] = (
    MappingProxyType(
        {
            Figure.MEAN_DEVIATION: (mean_deviations, _deviations_without_noise),
            Figure.CYLINDER_DEVIATION: (_cylinder_deviation, _many_farthest),
            Figure.BELOW_MEAN: (_below_mean, _many_lowest),
            Figure.LOWEST_OVER_HIGHEST: (_lowest_over_highest, _many_at_both_ends),
            Figure.SPREAD: (_spread, _many_at_both_ends),
            Figure.LOWEST: (_lowest, _many_lowest),
            # The readings of this one are the first strokes over their finals.
            Figure.FIRST_OVER_FINAL: (_lowest, _many_lowest),
        }
    )
)


@dataclass(frozen=True, slots=True)
class Pivots:
    """
    The engine's own figure, as the draws leave it.

    Parameters
    ----------
    for_met : ndarray
        Drawn about the readings. [as the figure]
    for_not_met : ndarray
        Drawn about the least favourable engine. [as the figure]
    """

    for_met: Floats
    for_not_met: Floats


def pivots(figure: Figure, read: Floats, noise: Floats, own: Floats) -> Pivots:
    """
    Return where the engine's own figure may be.

    Parameters
    ----------
    figure : Figure
        Which figure.
    read : ndarray
        The readings. [Pa gauge, or - for first over final]
    noise : ndarray
        A row of noise for each draw. [as the readings]
    own : ndarray
        Standard uncertainty of each reading beside its siblings. [as the readings]

    Returns
    -------
    Pivots
        2 f - f*, for either outcome.

    References
    ----------
    .. [1] Davison and Hinkley, Bootstrap Methods and their Application, 1997, chapter 5 (from memory).
    """
    of, least_favourable = _FIGURES[figure]
    worst = least_favourable(read, own)
    seen = of(read, read)
    return Pivots(2 * seen - of(read + noise, read), seen + of(worst, read) - of(worst + noise, read))
