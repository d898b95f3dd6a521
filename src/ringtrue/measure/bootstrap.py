"""
Draws of what the gauge did to the readings, and what they say of a figure that the readings make.

A figure f of the readings x is not the figure of the engine: the gauge, the reader and the day added noise. For a
figure that picks the worst of many, or adds up absolute deviations, noise pushes one way: the lowest of twelve equal
cylinders always reads low. A plain Monte Carlo propagation (JCGM 101), which puts the noise onto the readings once more
and looks at the figures that come out, f*, would count that push twice. The basic (pivotal) bootstrap turns the
argument round: f* differs from f as f differs from the engine's own figure, so that figure is distributed as
f - (f* - f) (Davison and Hinkley 1997, chapter 5; from memory).

How hard noise pushes depends on what the engine is like, which is not known. So the draws are made about two engines:

* for "met", about one in which every cylinder keeps its part (the lowest stays the lowest, a deviation keeps its sign):
  scatter pushes no way, nothing is forgiven, and *met* is said late. As nothing is pushed, nothing is counted twice,
  and the readings less their noise are the engine's own, a plain propagation. Rounding is the exception: on a coarse
  scale cylinders that differ read the same, so the parts are dealt anew within the steps of the scale at each draw;
* for "not met", about the most crowded one that the readings allow: cylinders that could share the worst place are put
  there, deviations that could be noise are taken out. Noise pushes hardest, the pivotal bootstrap takes that off, and
  *not met* is said late.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Protocol

from ringtrue.measure.limits import SLACK, Figure

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_DRAWS = 8_000
"""How often the noise is drawn: a probability of 0.95 is found to within 0.005, nineteen times in twenty."""

_SEED = 18_000
_COULD_SHARE_THE_WORST = 3.0
"""Cylinders within this many standard uncertainties of the worst could be as bad as it. [-]"""
_COULD_BE_NOISE = 2.0
"""Deviations within this many standard uncertainties could be none. [-]"""
_FLOOR = 0.01
"""A drawn denominator is kept above this share of the one that was read, and above 1 Pa: no draw divides by nothing."""


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


@lru_cache(maxsize=1)
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


@lru_cache(maxsize=12)
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
    # A cylinder's draws stand side by side in memory: figures are made across the cylinders, many draws at a time.
    return Standard(*map(np.asfortranarray, (even[0], draw.standard_normal((_DRAWS, count)), even[1])))


def quantile(drawn: Floats, share: float) -> float:
    """
    Return what a share of the draws stays below.

    Parameters
    ----------
    drawn : ndarray
        One number a draw, of two at least.
    share : float
        From 0 to 1, both left out. [-]

    Returns
    -------
    float
        In a straight line between the two draws next to it, as ``numpy.quantile`` has it, in a third of the time.
    """
    import numpy as np

    at = share * (drawn.size - 1)
    below = int(at)
    ordered = np.partition(drawn, (below, below + 1))
    low, high = float(ordered[below]), float(ordered[below + 1])
    return low + (high - low) * (at - below)


def over(part: Floats, whole: Floats, read: Floats) -> Floats:
    """
    Divide draws by draws.

    Parameters
    ----------
    part, whole : ndarray
        Drawn readings. [Pa]
    read : ndarray
        What `whole` was drawn about: no draw divides by less than a hundredth of it, or than 1 Pa. [Pa]

    Returns
    -------
    ndarray
        Their ratio. [-]
    """
    import numpy as np

    return part / np.maximum(whole, np.maximum(_FLOOR * read, 1.0))


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

    return _of_mean(np.abs(_off(x)).mean(axis=-1), x, read)


def _off(x: Floats) -> Floats:
    off: Floats = x - x.mean(axis=-1, keepdims=True)
    return off


def _of_mean(part: Floats, x: Floats, read: Floats) -> Floats:
    return 100 * over(part, x.mean(axis=-1), read.mean())


# ------------------------------------------------------------------------------------------------ figures
# `seen` is the figure of each draw; `held` is the same with every cylinder in the part that it has in `parts`, another
# row of readings for each draw; `crowded` makes the most crowded engine out of the readings and their standard
# uncertainties beside one another. The last axis is the cylinders.


class _Bootstrapped(Protocol):
    def seen(self, x: Floats, read: Floats) -> Floats: ...
    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats: ...
    def crowded(self, read: Floats, own: Floats) -> Floats: ...


class _MeanDeviation:
    def seen(self, x: Floats, read: Floats) -> Floats:
        return mean_deviations(x, read)

    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats:
        import numpy as np

        return _of_mean((np.sign(_off(parts)) * _off(x)).mean(axis=-1), x, read)

    def crowded(self, read: Floats, own: Floats) -> Floats:
        import numpy as np

        return np.where(np.abs(_off(read)) <= _COULD_BE_NOISE * own + _last_bits(read), read.mean(), read)


class _CylinderDeviation:
    def seen(self, x: Floats, read: Floats) -> Floats:
        import numpy as np

        return _of_mean(np.abs(_off(x)).max(axis=-1), x, read)

    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats:
        import numpy as np

        worst = np.abs(_off(parts)).argmax(axis=-1)
        return _of_mean(_at(worst, np.sign(_off(parts)) * _off(x)), x, read)

    def crowded(self, read: Floats, own: Floats) -> Floats:
        import numpy as np

        # Of several that are equally far, the least sure one says how far the worst place reaches.
        off = _off(read)
        reach = np.abs(off).max()
        worst = own[reach - np.abs(off) <= _last_bits(read)].max()
        could = reach - np.abs(off) <= _COULD_SHARE_THE_WORST * np.hypot(own, worst) + _last_bits(read)
        moved = np.where(off < -_last_bits(read), -reach, reach)
        # Moving some moves the mean: the one about which they end up equally far, where the others leave room for it.
        others, pull = np.count_nonzero(~could), moved[could].sum()
        room = others and np.abs(pull) <= others * reach + _last_bits(read)
        centre = (read[~could].sum() + pull) / others if room else read.mean()
        return np.where(could, centre + moved, read)


class _BelowMean:
    def seen(self, x: Floats, read: Floats) -> Floats:
        return _of_mean(-_off(x).min(axis=-1), x, read)

    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats:
        return _of_mean(_at(parts.argmin(axis=-1), -_off(x)), x, read)

    def crowded(self, read: Floats, own: Floats) -> Floats:
        return _many_lowest(read, own)


class _Lowest:
    def seen(self, x: Floats, read: Floats) -> Floats:
        del read
        lowest: Floats = x.min(axis=-1)
        return lowest

    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats:
        del read
        return _at(parts.argmin(axis=-1), x)

    def crowded(self, read: Floats, own: Floats) -> Floats:
        return _many_lowest(read, own)


class _Level:
    def seen(self, x: Floats, read: Floats) -> Floats:
        import numpy as np

        del read
        middle: Floats = np.median(x, axis=-1)
        return middle

    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats:
        del parts
        return self.seen(x, read)

    def crowded(self, read: Floats, own: Floats) -> Floats:
        del own
        return read


class _Spread:
    def seen(self, x: Floats, read: Floats) -> Floats:
        return self._of(x.min(axis=-1), x.max(axis=-1), read)

    def held(self, x: Floats, parts: Floats, read: Floats) -> Floats:
        import numpy as np

        # Of cylinders that all read the same the last may be the highest as well as the first.
        lowest, highest = parts.argmin(axis=-1), parts.argmax(axis=-1)
        highest = np.where(lowest == highest, parts.shape[-1] - 1, highest)
        # A draw in which the two change places is of an engine whose lowest is the other one.
        one, other = _at(lowest, x), _at(highest, x)
        return self._of(np.minimum(one, other), np.maximum(one, other), read)

    def crowded(self, read: Floats, own: Floats) -> Floats:
        import numpy as np

        low, high = _near(read, own, int(read.argmin())), _near(read, own, int(read.argmax()))
        nearer_low = read - read.min() <= read.max() - read + _last_bits(read)
        return np.where(low & (nearer_low | ~high), read.min(), np.where(high, read.max(), read))

    def _of(self, lowest: Floats, highest: Floats, read: Floats) -> Floats:
        del read
        return highest - lowest


class _LowestOverHighest(_Spread):
    def _of(self, lowest: Floats, highest: Floats, read: Floats) -> Floats:
        return over(lowest, highest, read.max())


def _at(chosen: NDArray[np.intp], x: Floats) -> Floats:
    """Return of each draw the cylinder that was chosen for it."""
    import numpy as np

    return np.take_along_axis(x, chosen[..., None], axis=-1)[..., 0]


def _last_bits(read: Floats) -> float:
    """Return how far readings may be apart that differ in their last bits alone, as they do in another unit."""
    return SLACK * float(read.max())


def _near(read: Floats, own: Floats, worst: int) -> NDArray[np.bool_]:
    import numpy as np

    # Of several that share the worst place, the least sure one says how far it reaches: rounding does not choose.
    apart = np.abs(read - read[worst])
    least_sure = own[apart <= _last_bits(read)].max()
    near: NDArray[np.bool_] = apart <= _COULD_SHARE_THE_WORST * np.hypot(own, least_sure) + _last_bits(read)
    return near


def _many_lowest(read: Floats, own: Floats) -> Floats:
    import numpy as np

    return np.where(_near(read, own, int(read.argmin())), read.min(), read)


MOST: Mapping[Figure, float] = MappingProxyType({Figure.LOWEST_OVER_HIGHEST: 1.0})
"""What no engine has more of. Cylinders that are all alike have a lowest over highest of 1. [-]"""

_FIGURES: Mapping[Figure, _Bootstrapped] = MappingProxyType(
    {
        Figure.MEAN_DEVIATION: _MeanDeviation(),
        Figure.CYLINDER_DEVIATION: _CylinderDeviation(),
        Figure.BELOW_MEAN: _BelowMean(),
        Figure.LOWEST_OVER_HIGHEST: _LowestOverHighest(),
        Figure.SPREAD: _Spread(),
        Figure.LOWEST: _Lowest(),
        Figure.LEVEL: _Level(),
        # The readings of this one are the first strokes over their finals.
        Figure.FIRST_OVER_FINAL: _Lowest(),
    }
)


@dataclass(frozen=True, slots=True)
class Pivots:
    """
    The engine's own figure, as the draws leave it.

    Parameters
    ----------
    for_met : ndarray
        Drawn with every cylinder in its part. [as the figure]
    for_not_met : ndarray
        Drawn about the most crowded engine. [as the figure]
    """

    for_met: Floats
    for_not_met: Floats


def pivots(figure: Figure, read: Floats, unrounded: Floats, true: Floats, own: Floats) -> Pivots:
    """
    Return where the engine's own figure may be.

    Parameters
    ----------
    figure : Figure
        Which figure.
    read : ndarray
        The readings. [Pa gauge, or - for first over final]
    unrounded : ndarray
        The readings less their rounding, a row a draw. [as the readings]
    true : ndarray
        The readings less all of their noise, a row a draw. [as the readings]
    own : ndarray
        Standard uncertainty of each reading beside its siblings. [as the readings]

    Returns
    -------
    Pivots
        The figure of the readings less their noise, parts held, for "met"; the figure less what noise adds to it in
        the most crowded engine, for "not met".

    Notes
    -----
    A draw of the second kind may take off more than the figure has room for: the engine of that draw would be more
    alike than alike. No engine is, and the nearest that can be is one whose cylinders are all alike; it stands for that
    draw. Truth lies among engines that can be, so an interval that leaves the others out covers it as often, and since
    no limit lies above `MOST` no outcome moves.

    References
    ----------
    .. [1] Davison and Hinkley, Bootstrap Methods and their Application, 1997, chapter 5 (from memory).
    """
    import numpy as np

    figures = _FIGURES[figure]
    crowded = figures.crowded(read, own)
    # Noise is even about nothing: what was taken off the readings may as well be put onto another engine's.
    pushed = figures.seen(crowded + (read - true), read) - figures.seen(crowded, read)
    for_not_met = figures.seen(read, read) - pushed
    if figure in MOST:
        for_not_met = np.minimum(for_not_met, MOST[figure])
    return Pivots(for_met=figures.held(true, unrounded, read), for_not_met=for_not_met)
