"""Why the interval of a figure is as wide as it is: what each thing that is not known adds to it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from ringtrue.measure.drawn import FIGURES
from ringtrue.measure.figures import CylinderReadings, drift_of, fold
from ringtrue.measure.gauges import gauge_error
from ringtrue.measure.judgement import Interval
from ringtrue.measure.limits import Figure
from ringtrue.measure.propagation import Propagated, Quantity, Spread, propagate
from ringtrue.measure.statistics import mean
from ringtrue.measure.uncertainty import rounding_left

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from ringtrue.compression import CompressionTest, Series
    from ringtrue.measure.gauges import GaugeError
    from ringtrue.measure.judgement import SeriesJudgement

    Floats = NDArray[np.float64]

LEVEL = 0.9
"""What the intervals of a judgement hold. [-]"""

CAN_BE: Mapping[Figure | None, tuple[float, float]] = MappingProxyType(
    {
        Figure.MEAN_DEVIATION: (0.0, math.inf),
        Figure.CYLINDER_DEVIATION: (0.0, math.inf),
        Figure.BELOW_MEAN: (0.0, 100.0),
        Figure.LOWEST_OVER_HIGHEST: (0.0, 1.0),
        Figure.SPREAD: (0.0, math.inf),
    }
)
"""Between what a figure of an engine lies, whatever was read. [%, - or Pa, as the rules have it]"""


class Not(StrEnum):
    """What is not known of a reading."""

    SHIFT = "how far the gauge is off, the same for every reading"
    ROUNDING = "reading the gauge to its step"
    SCATTER = "how a pull repeats"
    DRIFT = "what the day did between the first pull and the last"
    SUPPLY = "reading the supply"
    HELD = "reading what the cylinder holds"
    FLOW = "how well the restrictor flows"
    BORE = "the bore of the restrictor"
    AIR = "the surrounding air"


@dataclass(frozen=True, slots=True)
class Why:
    """
    Why an interval is as wide as it is.

    Parameters
    ----------
    figure : Figure or None
        Which figure; None for the final of one cylinder, for the mean, and for the area of a leak.
    cylinder : str
        Of which cylinder; empty for a figure of all.
    value : float
        The figure, as read. [%, -, Pa or mm2]
    dimension : str
        "percent", "fraction", "pressure" or "area".
    shown : Interval or None
        The 90 % interval that stands in the judgement; None where none does.
    budget : Propagated
        First order and draws, with what each part adds.
    which : int
        Which leak-down reading of the cylinder, from 1; 0 where that is not asked.
    """

    figure: Figure | None
    cylinder: str
    value: float
    dimension: str
    shown: Interval | None
    budget: Propagated
    which: int = 0

    @property
    def first_order(self) -> Interval:
        """Ends of the first order, which knows no bounds, as far as the figure can be."""
        least, most = (0.0, math.inf) if self.dimension == "area" else CAN_BE.get(self.figure, (-math.inf, math.inf))
        return Interval(max(self.budget.low, least), min(self.budget.high, most))


_OF_ALL = (
    (Figure.MEAN_DEVIATION, "percent"),
    (Figure.CYLINDER_DEVIATION, "percent"),
    (Figure.BELOW_MEAN, "percent"),
    (Figure.LOWEST_OVER_HIGHEST, "fraction"),
    (Figure.SPREAD, "pressure"),
)


def whys(test: CompressionTest, judged: SeriesJudgement, cylinders: Sequence[str]) -> tuple[Why, ...]:
    """
    Tell of every figure of a series why its interval is as wide as it is.

    Parameters
    ----------
    test : CompressionTest
        What was read, corrected by the gauge's calibration where there is one.
    judged : SeriesJudgement
        The same, judged.
    cylinders : sequence of str
        The cylinders of the sheet; empty without one.

    Returns
    -------
    tuple of Why
        The mean, each cylinder's final, the figures of all, and the first stroke over the final of the worst; empty
        where the gauge is not known or nothing was read.

    Raises
    ------
    GaugeRefused
        The gauge's grade is none that a standard knows.

    Notes
    -----
    Inputs are those of `ringtrue.measure.uncertainty`: one shift that all readings share, even; a rounding of each,
    even; a scatter of each, normal, or Student's t where it comes from a study of few pulls; the day's drift, even.

    Noise makes a spread look larger than it is, never smaller: the plain draws of supplement 1, laid about the figure
    that was read, count that push twice. What stands in the judgement is the pivotal interval of
    `ringtrue.measure.bootstrap`, which takes it off. The budget tells which part makes the width.
    """
    series = test.series(judged.kind)
    error = gauge_error(test.gauge, test.date)
    if series is None or error is None:
        return ()
    read = [each for each in fold(series, cylinders) if each.final is not None]
    if not read:
        return ()
    return tuple(_all(test, series, judged, error, read))


def _all(
    test: CompressionTest,
    series: Series,
    judged: SeriesJudgement,
    error: GaugeError,
    read: Sequence[CylinderReadings],
) -> Iterator[Why]:
    drift = drift_of(series)
    pressures, pulls = [each.final or 0.0 for each in read], [len(each.finals) for each in read]
    known = _Known(error, abs(drift.fraction) if drift else 0.0, _freedom(test))
    inputs = known.of(pressures, pulls)
    level = mean(pressures)
    yield Why(None, "", level, "pressure", None, known.carry(pressures, inputs, lambda x: x.mean(axis=1)))
    shown = {each.cylinder: each.interval for each in judged.cylinders}
    for place, each in enumerate(read):
        found = known.carry([pressures[place]], known.of([pressures[place]], [pulls[place]]), lambda x: x[:, 0])
        yield Why(None, each.cylinder, pressures[place], "pressure", shown.get(each.cylinder), found)
    if len(read) > 1 and min(pressures) > 0:
        by = {each.rule: each for each in judged.rules}
        for figure, dimension in _OF_ALL:
            made = FIGURES[figure]
            interval = next((by[key].interval for key in _RULES[figure] if key in by), None)
            budget = known.carry(pressures, inputs, made)
            yield Why(figure, "", budget.value, dimension, interval, budget)
    yield from _first(judged, known, read)


def _first(judged: SeriesJudgement, known: _Known, read: Sequence[CylinderReadings]) -> Iterator[Why]:
    """Tell of the first stroke of the worst cylinder over its final: both read on one gauge, in one pull."""
    rule = next((each for each in judged.rules if each.rule == "first_stroke_half"), None)
    worst = next((each for each in read if rule is not None and each.cylinder == rule.cylinder and each.ratios), None)
    if rule is None or worst is None or worst.first_over_final is None:
        return
    final = mean(worst.finals_of_ratios)
    pressures = [worst.first_over_final * final, final]
    # The day changes both alike.
    steady = _Known(known.error, 0.0, known.freedom)
    inputs = steady.of(pressures, [len(worst.ratios)] * 2)
    budget = steady.carry(pressures, inputs, lambda x: x[:, 0] / x[:, 1])
    yield Why(Figure.FIRST_OVER_FINAL, worst.cylinder, budget.value, "fraction", rule.interval, budget)


def _freedom(test: CompressionTest) -> float:
    """Degrees of freedom behind the repeatability: those of the study it comes from."""
    study = None if test.gauge is None else test.gauge.study
    if study is None or test.gauge is None or test.gauge.repeatability is None:
        return math.inf
    return float(max(study.cylinders * study.people * (study.repeats - 1), 1))


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of how readings err."""

    error: GaugeError
    drift: float
    freedom: float

    def of(self, pressures: Sequence[float], pulls: Sequence[int]) -> list[Quantity]:
        """Return everything that is not known of some readings, each about zero and in standard units of its own."""
        error, found = self.error, []
        if error.shifts:
            found.append(Quantity(Not.SHIFT, 0.0, 1 / math.sqrt(3), Spread.EVEN))
        for pressure, times in zip(pressures, pulls, strict=True):
            if error.resolution > 0:
                rounding = error.resolution / math.sqrt(12) * rounding_left(error, pressure, times)
                found.append(Quantity(Not.ROUNDING, 0.0, rounding, Spread.EVEN))
            spread = Spread.NORMAL if math.isinf(self.freedom) else Spread.STUDENT
            scatter = error.repeatability * pressure / math.sqrt(times)
            found.append(Quantity(Not.SCATTER, 0.0, scatter, spread, self.freedom))
            if self.drift > 0:
                found.append(Quantity(Not.DRIFT, 0.0, self.drift * pressure / math.sqrt(12), Spread.EVEN))
        return found

    def carry(
        self, pressures: Sequence[float], inputs: Sequence[Quantity], figure: Callable[[Floats], Floats]
    ) -> Propagated:
        """Carry them into a figure of the readings."""
        import numpy as np

        read = np.asarray(pressures)
        reach = np.array([self.error.tolerance(each) for each in pressures])
        each = (len(inputs) - bool(self.error.shifts)) // len(read)

        def of_noise(x: Floats) -> Floats:
            own = x[:, 1:] if self.error.shifts else x
            noise = own.reshape(len(x), len(read), each).sum(axis=2)
            shift = x[:, :1] * reach if self.error.shifts else 0.0
            return figure(np.maximum(read - noise - shift, 1.0))

        return propagate(of_noise, inputs, level=LEVEL, draws=20_000)


_RULES: dict[Figure, tuple[str, ...]] = {
    Figure.MEAN_DEVIATION: ("mean_deviation_target", "mean_deviation_limit"),
    Figure.CYLINDER_DEVIATION: ("cylinder_deviation_limit",),
    Figure.BELOW_MEAN: ("below_mean",),
    Figure.LOWEST_OVER_HIGHEST: ("lowest_over_highest", "sheet_lowest_over_highest"),
    Figure.SPREAD: ("sheet_spread", "CT-04", "CT-05", "CT-07"),
}
