"""A series folded into its cylinders: means, running figures, drift. No judgement yet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.compression import CompressionTest, Kind, Pull, Series
from ringtrue.measure.judgement import Drift, Extreme, RunningFigures
from ringtrue.measure.limits import SLACK
from ringtrue.measure.statistics import mean, mean_deviation
from ringtrue.quantities import PaGauge


@dataclass(frozen=True, slots=True)
class CylinderReadings:
    """
    All pulls of one cylinder in one series.

    Parameters
    ----------
    cylinder : str
        Its name.
    finals : tuple of float
        Every final that was read. [Pa gauge]
    firsts : tuple of float
        First strokes that were seen and not spoiled. [Pa gauge]
    ratios : tuple of float
        First over final of the pulls that have both and are not spoiled. [-]
    finals_of_ratios : tuple of float
        The finals of those pulls. [Pa gauge]
    first_spoiled : bool
        A first stroke was spoiled.
    undeclared : bool
        Two pulls claim to be the same one: the readings conflict until one is chosen.
    first_from_film : bool
        A first stroke that is used was read later, off a film.
    """

    cylinder: str
    finals: tuple[float, ...]
    firsts: tuple[float, ...]
    ratios: tuple[float, ...]
    finals_of_ratios: tuple[float, ...]
    first_spoiled: bool
    undeclared: bool
    first_from_film: bool = False

    @property
    def final(self) -> PaGauge | None:
        """Mean of the finals; None when none was read. [Pa gauge]."""
        return PaGauge(mean(self.finals)) if self.finals else None

    @property
    def first(self) -> PaGauge | None:
        """Mean of the usable first strokes; None when there is none. [Pa gauge]."""
        return PaGauge(mean(self.firsts)) if self.firsts else None

    @property
    def first_over_final(self) -> float | None:
        """Mean of the pulls' own ratios; None when there is none. [-]."""
        return mean(self.ratios) if self.ratios else None


def readings_of(cylinder: str, pulls: Sequence[Pull]) -> CylinderReadings:
    """
    Fold the pulls of one cylinder.

    Parameters
    ----------
    cylinder : str
        Its name.
    pulls : sequence of Pull
        Its pulls of one kind, without drift pulls; may be empty.

    Returns
    -------
    CylinderReadings
        What they amount to. A pull whose final is zero has no first over final.
    """
    usable = [pull for pull in pulls if pull.first is not None and not pull.first_spoiled]
    read = [pull for pull in pulls if pull.final is not None]
    numbers = Counter(pull.repeat or 1 for pull in read)
    both = [
        (pull.first.pressure, pull.final.pressure)
        for pull in usable
        if pull.first and pull.final and pull.final.pressure > 0
    ]
    return CylinderReadings(
        cylinder,
        finals=tuple(pull.final.pressure for pull in read if pull.final),
        firsts=tuple(pull.first.pressure for pull in usable if pull.first),
        ratios=tuple(first / final for first, final in both),
        finals_of_ratios=tuple(final for _, final in both),
        first_spoiled=any(pull.first_spoiled for pull in pulls),
        undeclared=any(times > 1 for times in numbers.values()),
        first_from_film=any(pull.first_from_film for pull in usable),
    )


def two_claim_to_be_one(test: CompressionTest, cylinder: str, kind: Kind) -> bool:
    """
    Tell whether two pulls of a cylinder claim to be the same one, so that nothing is made of either.

    Parameters
    ----------
    test : CompressionTest
        What was taken.
    cylinder : str
        Its name.
    kind : Kind
        Dry or wet.

    Returns
    -------
    bool
        True until one is chosen, or both are declared as repeats.
    """
    series = test.series(kind)
    return series is not None and readings_of(cylinder, series.of(cylinder)).undeclared


def fold(series: Series, cylinders: Sequence[str]) -> tuple[CylinderReadings, ...]:
    """
    Fold a series into its cylinders.

    Parameters
    ----------
    series : Series
        The pulls of one kind.
    cylinders : sequence of str
        The cylinders of the sheet; empty without one.

    Returns
    -------
    tuple of CylinderReadings
        In the order of the sheet, then (or else) of the file; those without a final included.
    """
    names = dict.fromkeys([*cylinders, *series.cylinders])
    return tuple(readings_of(name, series.of(name)) for name in names)


@dataclass(frozen=True, slots=True)
class Spread:
    """
    How the finals of several cylinders lie about their mean.

    Parameters
    ----------
    mean : PaGauge
        Their mean. [Pa gauge]
    mean_deviation : float
        Mean absolute deviation from it. [Pa]
    mean_deviation_percent : float
        The same, of the mean. [%]
    """

    mean: PaGauge
    mean_deviation: float
    mean_deviation_percent: float


def spread_of(finals: Sequence[float]) -> Spread:
    """
    Return mean, mean deviation and that deviation as a percentage.

    Parameters
    ----------
    finals : sequence of float
        One final for each cylinder, at least one. [Pa gauge]

    Returns
    -------
    Spread
        No deviation is 0 % of any mean, of zero too.
    """
    centre, deviation = mean(finals), mean_deviation(finals)
    return Spread(PaGauge(centre), deviation, percent_of(deviation, centre))


def percent_of(part: float, whole: float) -> float:
    """
    Return a part as a percentage of a whole.

    Parameters
    ----------
    part, whole : float
        In the same unit; the whole is zero only where the part is.

    Returns
    -------
    float
        The percentage; nothing is 0 % of nothing. [%]
    """
    return 100 * part / whole if part else 0.0


def running(series: Series) -> tuple[RunningFigures, ...]:
    """
    Return the figures after every pull.

    Parameters
    ----------
    series : Series
        The pulls of one kind, in the order taken.

    Returns
    -------
    tuple of RunningFigures
        One for each pull with a final; a repeat is folded into its cylinder first.
    """
    finals: dict[str, list[float]] = {}
    figures = []
    for pull in series.pulls:
        if pull.final is None:
            continue
        finals.setdefault(pull.cylinder, []).append(pull.final.pressure)
        so_far = spread_of([mean(each) for each in finals.values()])
        figures.append(
            RunningFigures(
                pull.cylinder,
                pull.final.pressure,
                so_far.mean,
                so_far.mean_deviation,
                so_far.mean_deviation_percent,
            )
        )
    return tuple(figures)


def extremes(read: Sequence[CylinderReadings]) -> tuple[Extreme, Extreme] | None:
    """
    Return the lowest and the highest cylinder.

    Parameters
    ----------
    read : sequence of CylinderReadings
        In the order of the engine; those without a final are passed over.

    Returns
    -------
    tuple of Extreme or None
        The first in order where several share a value, to the last bits, which another unit changes; None when none
        has a final.
    """
    found = [Extreme(each.cylinder, each.final) for each in read if each.final is not None]
    if not found:
        return None
    low, high = min(each.value for each in found), max(each.value for each in found)
    lowest = next(each for each in found if each.value <= low * (1 + SLACK))
    return lowest, next(each for each in found if each.value >= high * (1 - SLACK))


def drift_of(series: Series) -> Drift | None:
    """
    Return what the day did between the first pull and the last.

    Parameters
    ----------
    series : Series
        With its drift pulls.

    Returns
    -------
    Drift or None
        Of the cylinder that changed most, where several were pulled again; None when there is nothing to compare, or
        it read zero before.
    """
    again: dict[str, list[float]] = {}
    for pull in series.drift_pulls:
        if pull.final is not None:
            again.setdefault(pull.cylinder, []).append(pull.final.pressure)
    found = []
    for cylinder, finals in again.items():
        before, after = readings_of(cylinder, series.of(cylinder)).final, mean(finals)
        if before is not None and before > 0:
            found.append(Drift(cylinder, before, PaGauge(after), after / before - 1))
    return max(found, key=lambda each: abs(each.fraction), default=None)
