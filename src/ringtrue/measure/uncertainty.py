"""What the readings of a series leave open: intervals, and the probability of either side of a limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from ringtrue.measure import bootstrap
from ringtrue.measure.gauges import GaugeError
from ringtrue.measure.judgement import Interval, SpreadAgainstGauge
from ringtrue.measure.limits import SLACK, Figure, Side
from ringtrue.measure.statistics import mean, mean_deviation

if TYPE_CHECKING:
    from ringtrue.measure.bootstrap import Floats, Standard

_SQRT12 = math.sqrt(12)
_TERMS = 40
_NO_MORE = 1e-20
"""A term of the series so small changes nothing, nor do those after it. [-]"""
_NORMAL_95 = 1.6448536269514722
"""Upper 5 % point of the normal distribution. [-]"""


@dataclass(frozen=True, slots=True)
class Final:
    """
    The final of one cylinder.

    Parameters
    ----------
    pressure : float
        Mean of its pulls. [Pa gauge]
    pulls : int
        How many.
    """

    pressure: float
    pulls: int


@dataclass(frozen=True, slots=True)
class FirstStroke:
    """
    The first stroke of one cylinder, beside its final.

    Parameters
    ----------
    ratio : float
        Mean of the pulls' first over final. [-]
    final : float
        Mean final of those pulls. [Pa gauge]
    pulls : int
        How many they are.
    """

    ratio: float
    final: float
    pulls: int


@dataclass(frozen=True, slots=True)
class Sides:
    """
    What the readings say of a figure against its limit.

    Parameters
    ----------
    met, not_met : float
        Evidence for either outcome, each drawn about the engine that speaks least for it. [-]
    interval : Interval
        90 % interval of the engine's own figure. It leaves the limit on one side just when that side has 0.95. It need
        not hold the figure itself: noise makes spreads look larger than they are.
    """

    met: float
    not_met: float
    interval: Interval

    @property
    def probability_met(self) -> float:
        """Probability of the rule being met: of the two, the one that decides less. [-]."""
        return min(self.met, 1 - self.not_met, key=lambda p: abs(p - 0.5))


_Row = TypeVar("_Row", Final, FirstStroke)


def beside_siblings(error: GaugeError | None, drift: float, final: Final) -> float:
    """
    Return the standard uncertainty of a cylinder beside its siblings.

    Parameters
    ----------
    error : GaugeError or None
        How the gauge errs; None when it is not known.
    drift : float
        The day's drift, as a fraction of the reading. [-]
    final : Final
        The cylinder's.

    Returns
    -------
    float
        Rounding, scatter and drift; a shift that all share is not in it. With the gauge not known, drift alone. [Pa]

    Examples
    --------
    A resolution of 2 and nothing else is 2 over the root of 12:

    >>> round(beside_siblings(GaugeError(None, 0.0, 2.0, 0.0, ()), 0.0, Final(150.0, 1)), 4)
    0.5774
    """
    by_day = abs(drift) * final.pressure / _SQRT12
    if error is None:
        return by_day
    scatter = error.repeatability * final.pressure / math.sqrt(final.pulls)
    rounding = error.resolution / _SQRT12 * rounding_left(error, final.pressure, final.pulls)
    return math.hypot(rounding, scatter, by_day)


def rounding_left(error: GaugeError, pressure: float, pulls: float) -> float:
    r"""
    Return what repeats leave of the rounding of one reading.

    .. math:: \sqrt{\frac 1n + \left(1 - \frac 1n\right) \rho}, \qquad
        \rho = \frac 6 {\pi^2} \sum_k \frac 1 {k^2} e^{-4 \pi^2 k^2 \sigma^2 / d^2}

    with n repeats, a scatter sigma and a resolution d: readings that scatter across several steps are each rounded by
    themselves, and the mean rounds out; readings that all fall on one step are all rounded alike.

    Parameters
    ----------
    error : GaugeError
        How the gauge errs.
    pressure : float
        Where it is read. [Pa gauge]
    pulls : float
        How many repeats.

    Returns
    -------
    float
        From 1 for one pull down to one over the root of their number. [-]

    Notes
    -----
    rho is the correlation of the rounding errors of two readings of one pressure that lies anywhere on its step: the
    Fourier series of the mean rounding error, damped by the characteristic function of the scatter.

    References
    ----------
    .. [1] Widrow and Kollar, Quantization Noise, 2008 (from memory); derived here.

    Examples
    --------
    Three repeats that scatter by half a step:

    >>> round(rounding_left(GaugeError(None, 0.0, 2.0, 0.01, ()), 100.0, 3), 3)
    0.577
    """
    if pulls <= 1 or error.resolution <= 0:
        return 1.0
    damped = (2 * math.pi * error.repeatability * pressure / error.resolution) ** 2
    alike = 0.0
    for k in range(1, _TERMS):
        term = math.exp(-damped * k**2) / k**2
        alike += term
        if term < _NO_MORE:
            break
    return math.sqrt(1 / pulls + (1 - 1 / pulls) * min(6 / math.pi**2 * alike, 1.0))


def _ranks(figures: Sequence[float]) -> list[int]:
    """Return the rank of each figure; what differs in its last bits alone, as in another unit, shares one."""
    ranks, reached, edge = [0] * len(figures), 0, math.inf
    for place in sorted(range(len(figures)), key=figures.__getitem__):
        if figures[place] > edge:
            reached += 1
        if figures[place] > edge or edge == math.inf:
            edge = figures[place] * (1 + SLACK)
        ranks[place] = reached
    return ranks


def _in_order(rows: Sequence[_Row], *ranks: Sequence[int]) -> list[_Row]:
    """Sort by the ranks, then by how often each was pulled."""
    return [row for *_, row in sorted(zip(*ranks, rows, strict=True), key=lambda each: (*each[:-1], each[-1].pulls))]


class Uncertainty:
    """
    The uncertainty of one series.

    Every reading is taken to be the engine's own figure, plus one shift that all readings of the series share
    (rectangular, as wide as the grade allows at each reading), plus a rounding of its own (rectangular, one resolution
    wide; of repeats what `rounding_left` leaves of it), plus a scatter of its own (normal, the repeatability over the
    root of the number of repeats), plus its share of the day's drift (rectangular, as wide as the drift: a straight
    line in time, spread about its middle, of which nobody knows where a cylinder stood).

    Parameters
    ----------
    error : GaugeError
        How the gauge errs.
    drift : float
        Change of the first cylinder between its pull and the last one, over the former. [-]
    finals : sequence of Final
        One for each cylinder read, in any order: the same readings give the same draws in whatever order they come.
    firsts : sequence of FirstStroke
        One for each cylinder that has a first to use.

    Notes
    -----
    Draws are the same at every run. A first stroke has a rounding and a scatter of its own and shares the shift; drift
    does not reach a first over its own final.

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7 and F.2.2.1 (from memory).
    .. [2] Davison and Hinkley, Bootstrap Methods and their Application, 1997, chapter 5 (from memory).
    """

    def __init__(
        self, error: GaugeError, drift: float, finals: Sequence[Final], firsts: Sequence[FirstStroke] = ()
    ) -> None:
        self._error = error
        self._drift = abs(drift)
        # Sorted, so that a draw belongs to a rank and not to a place in the file, nor to a unit.
        self._finals = _in_order(finals, _ranks([each.pressure for each in finals]))
        first, final = _ranks([each.ratio for each in firsts]), _ranks([each.final for each in firsts])
        self._firsts = _in_order(firsts, first, final)
        self._pivots: dict[Figure, bootstrap.Pivots] = {}

    def of_final(self, final: Final) -> Interval:
        """
        Return the interval of one cylinder's final, the shared shift in it.

        Parameters
        ----------
        final : Final
            The cylinder's.

        Returns
        -------
        Interval
            90 %, by the normal quantile of the combined standard uncertainty; not below zero. [Pa gauge]
        """
        shift = self._error.tolerance(final.pressure) / math.sqrt(3)
        half = _NORMAL_95 * math.hypot(shift, beside_siblings(self._error, self._drift, final))
        return Interval(max(final.pressure - half, 0.0), final.pressure + half)

    def sides(self, figure: Figure, side: Side, limit: float) -> Sides:
        """
        Return what the readings say of a figure against its limit.

        Parameters
        ----------
        figure : Figure
            Which figure; the readings must make one.
        side : Side
            Which side of the limit meets the rule.
        limit : float
            In the unit of the figure. [% or - or Pa]

        Returns
        -------
        Sides
            Evidence for either outcome, and an interval that agrees with it.
        """
        import numpy as np

        if figure not in self._pivots:
            drawn = self._drawn_ratios if figure is Figure.FIRST_OVER_FINAL else self._drawn_finals
            self._pivots[figure] = bootstrap.pivots(figure, *drawn)
        for_met, for_not_met = self._pivots[figure].for_met, self._pivots[figure].for_not_met
        edge = side.edge(limit)
        if side.small_is_good:
            met, not_met = np.count_nonzero(for_met < edge), np.count_nonzero(for_not_met >= edge)
            low, high = bootstrap.quantile(for_not_met, 0.05), bootstrap.quantile(for_met, 0.95)
        else:
            met, not_met = np.count_nonzero(for_met >= edge), np.count_nonzero(for_not_met < edge)
            low, high = bootstrap.quantile(for_met, 0.05), bootstrap.quantile(for_not_met, 0.95)
        return Sides(met / for_met.size, not_met / for_not_met.size, Interval(max(low, 0.0), max(high, 0.0)))

    def spread_against_gauge(self) -> SpreadAgainstGauge | None:
        """
        Compare the spread that was read with what the gauge alone would show on cylinders that are all alike.

        Returns
        -------
        SpreadAgainstGauge or None
            None with fewer than two cylinders, or where all are zero. Rounding and scatter make it; the shared shift
            and the day's drift are not in it.
        """
        import numpy as np

        pressures = [each.pressure for each in self._finals]
        if len(pressures) < 2 or max(pressures) <= 0:  # noqa: PLR2004 - one cylinder has no spread
            return None
        alike = np.full(len(pressures), mean(pressures))
        rounding = self._rounding(alike, self._repeats, self._finals_noise)
        scatter = self._scatter(alike, self._repeats, self._finals_noise)
        alone = bootstrap.mean_deviations(alike + rounding + scatter, alike)
        observed = 100 * mean_deviation(pressures) / mean(pressures)
        return SpreadAgainstGauge(
            no_bigger=observed <= bootstrap.quantile(alone, 0.95),
            expected=float(alone.mean()),
            observed=observed,
            reason="rounding and repeatability of the gauge alone, on cylinders that are all alike, 19 times in 20",
        )

    # ------------------------------------------------------------------------------ noise, drawn once

    @cached_property
    def _shift(self) -> Floats:
        return bootstrap.shared_shift()

    @cached_property
    def _finals_noise(self) -> Standard:
        return bootstrap.standard_noise(len(self._finals), stream=1)

    @cached_property
    def _repeats(self) -> Floats:
        import numpy as np

        return np.array([float(each.pulls) for each in self._finals])

    def _rounding(self, read: Floats, repeats: Floats, noise: Standard) -> Floats:
        """Return the rounding that each reading has for itself, a row a draw."""
        import numpy as np

        left = [rounding_left(self._error, *each) for each in zip(read.tolist(), repeats.tolist(), strict=True)]
        return np.multiply(noise.rounding, np.multiply(left, self._error.resolution), order="F")

    def _scatter(self, read: Floats, repeats: Floats, noise: Standard) -> Floats:
        """Return the scatter that each reading has for itself, a row a draw."""
        import numpy as np

        return noise.scatter * (self._error.repeatability * read / np.sqrt(repeats))

    def _shared(self, read: Floats) -> Floats:
        """Return the shift that the readings share, a row a draw."""
        import numpy as np

        return np.multiply(self._shift, [self._error.tolerance(float(each)) for each in read], order="F")

    @cached_property
    def _drawn_finals(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Finals as read, less their rounding, less all noise; their standard uncertainties beside one another."""
        import numpy as np

        read, noise = np.array([each.pressure for each in self._finals]), self._finals_noise
        unrounded = read - self._rounding(read, self._repeats, noise)
        day = noise.drift * (self._drift * read)
        true = unrounded - self._scatter(read, self._repeats, noise) - day - self._shared(read)
        own = [beside_siblings(self._error, self._drift, each) for each in self._finals]
        return read, unrounded, true, np.array(own)

    @cached_property
    def _drawn_ratios(self) -> tuple[Floats, Floats, Floats, Floats]:
        """First over final as read, less its rounding, less all noise; its standard uncertainties."""
        import numpy as np

        read = np.array([each.ratio for each in self._firsts])
        final = np.array([each.final for each in self._firsts])
        repeats = np.array([float(each.pulls) for each in self._firsts])
        unrounded, true = [], []
        for stream, at in ((2, read * final), (3, final)):
            noise = bootstrap.standard_noise(len(at), stream=stream)
            unrounded.append(at - self._rounding(at, repeats, noise))
            true.append(unrounded[-1] - self._scatter(at, repeats, noise) - self._shared(at))
        ratio = bootstrap.over(true[0], true[1], final)
        return read, bootstrap.over(unrounded[0], unrounded[1], final), ratio, ratio.std(axis=0)
