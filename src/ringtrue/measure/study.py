"""A study of how a gauge repeats: cylinders, people, repeats; what each adds to the spread of the readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.measure.anova import Source, one_way, two_way
from ringtrue.measure.components import difference_interval, sum_interval
from ringtrue.measure.quantiles import normal_quantile
from ringtrue.measure.statistics import mean

POOLED_ABOVE = 0.25
"""An interaction that chance alone would make as large more often than this is pooled (industry manual). [-]"""

LEVEL, POWER = 0.05, 0.90
"""One-sided level and power with which a difference is to be seen. [-]"""

WANTED = 0.01
"""The difference that is asked about: a careful builder's cylinders are within 1 % (common practice). [-]"""

MOST_REPEATS = 50
_DRAWS, _SEED = 40_000, 20260514


@dataclass(frozen=True, slots=True)
class Row:
    """
    One line of the table of variance.

    Parameters
    ----------
    name : str
        What varies.
    source : Source
        Its squares.
    ratio, chance : float or None
        F, and the chance of one as large; None where nothing is below it. [-]
    """

    name: str
    source: Source
    ratio: float | None
    chance: float | None


@dataclass(frozen=True, slots=True)
class Component:
    """
    What one cause adds, as a standard deviation.

    Parameters
    ----------
    sd : float
        Standard deviation; 0 where its variance came out below zero.
    low, high : float
        90 % interval.
    below_zero : bool
        Its variance came out below zero, so that 0 is told.
    """

    sd: float
    low: float
    high: float
    below_zero: bool = False


@dataclass(frozen=True, slots=True)
class StudyFound:
    """
    What a study shows. Standard deviations are of the figures handed in; of logarithms they are shares of the reading.

    Parameters
    ----------
    cylinders, people, repeats : int
        How many of each.
    rows : tuple of Row
        The table of variance, as it stands before pooling.
    pooled : bool or None
        The interaction was pooled with the repeats; None with one person.
    repeatability : Component
        The same person, cylinder and gauge again.
    between_people : Component or None
        What a person reads more or less on all cylinders; None with one person.
    interaction : Component or None
        What a person reads more or less on some cylinders; None where pooled or with one person.
    measurement : Component
        All of these together.
    between_cylinders : Component
        What is left: the engine's own.
    share, share_low, share_high : float
        Measurement, of the whole spread of single readings; as variance, with a 90 % interval. [-]
    """

    cylinders: int
    people: int
    repeats: int
    rows: tuple[Row, ...]
    pooled: bool | None
    repeatability: Component
    between_people: Component | None
    interaction: Component | None
    measurement: Component
    between_cylinders: Component
    share: float
    share_low: float
    share_high: float

    @property
    def one_pull(self) -> float:
        """Standard deviation of one pull beside its siblings, by one person: repeats, and the interaction if any."""
        return math.hypot(self.repeatability.sd, self.interaction.sd if self.interaction else 0.0)

    def smallest(self, repeats: int, siblings: int | None = None) -> float:
        r"""
        Return the smallest difference between one cylinder and the mean of its siblings that is seen.

        .. math:: (z_{1-\alpha} + z_{1-\beta}) \sqrt{\left(\frac{\sigma_r^2}{m} + \sigma_i^2\right) \frac{n}{n-1}}

        Parameters
        ----------
        repeats : int
            Pulls of every cylinder by one person.
        siblings : int or None
            How many cylinders there are, with the one; None for those of the study.

        Returns
        -------
        float
            Seen in 9 of 10 cases, at 5 % one-sided, with the scatter taken as known.
        """
        count = siblings or self.cylinders
        fixed = self.interaction.sd**2 if self.interaction else 0.0
        variance = (self.repeatability.sd**2 / repeats + fixed) * count / (count - 1)
        return (normal_quantile(1 - LEVEL) + normal_quantile(POWER)) * math.sqrt(variance)

    def repeats_for(self, difference: float = WANTED) -> int | None:
        """
        Return how many pulls of every cylinder it takes to see a difference.

        Parameters
        ----------
        difference : float
            Between one cylinder and the mean of its siblings.

        Returns
        -------
        int or None
            None where `MOST_REPEATS` are not enough.
        """
        return next((m for m in range(1, MOST_REPEATS + 1) if self.smallest(m) <= difference), None)


def study(table: Sequence[Sequence[Sequence[float]]]) -> StudyFound:
    """
    Part the spread of readings into cylinders, people and repeats.

    Parameters
    ----------
    table : sequence of sequence of sequence of float
        Cylinders, of people, of repeats: as many in every cell, at least two cylinders and two repeats. Logarithms,
        where the scatter is a share of the reading.

    Returns
    -------
    StudyFound
        Components with 90 % intervals.

    Notes
    -----
    Cylinders and people are taken as drawn at random (a random-effects model). The interaction is pooled with the
    repeats where chance alone would make it as large in more than a quarter of cases.

    References
    ----------
    .. [1] Measurement systems analysis manual of the automotive industry action group, 4th edition, ANOVA method
       (second-hand).
    """
    return _one_person([row[0] for row in table]) if len(table[0]) == 1 else _people(table)


def _one_person(groups: Sequence[Sequence[float]]) -> StudyFound:
    between, within = one_way(groups)
    repeats = len(groups[0])
    own = _sum([(1.0, within)])
    share = _shares([(between, repeats)], [], within)
    rows = (
        Row("cylinders", between, between.over(within), between.chance(within)),
        Row("repeats", within, None, None),
    )
    cylinder = _difference(between, within, repeats)
    return StudyFound(
        cylinders=len(groups),
        people=1,
        repeats=repeats,
        rows=rows,
        pooled=None,
        repeatability=own,
        between_people=None,
        interaction=None,
        measurement=own,
        between_cylinders=cylinder,
        share=_share(own, cylinder),
        share_low=share[0],
        share_high=share[1],
    )


def _people(table: Sequence[Sequence[Sequence[float]]]) -> StudyFound:
    high, wide, deep = len(table), len(table[0]), len(table[0][0])
    found = two_way(table)
    chance = found.interaction.chance(found.within)
    pooled = chance > POOLED_ABOVE
    below = found.within.with_(found.interaction) if pooled else found.within
    beside = below if pooled else found.interaction
    own = _sum([(1.0, below)])
    person = _difference(found.columns, beside, high * deep)
    interaction = None if pooled else _difference(found.interaction, found.within, deep)
    cylinder = _difference(found.rows, beside, wide * deep)
    scale = 1.0 / (high * deep)
    terms = [(scale, found.columns)]
    if pooled:
        terms.append((1 - scale, below))
    else:
        terms += [((high - 1) * scale, found.interaction), ((deep - 1) / deep, found.within)]
    ends = sum_interval(terms)
    whole = math.hypot(own.sd, person.sd, interaction.sd if interaction else 0.0)
    measurement = Component(whole, min(math.sqrt(ends[0]), whole), max(math.sqrt(ends[1]), whole))
    share = _shares(
        [(found.rows, wide * deep), (found.columns, high * deep)],
        [] if pooled else [(found.interaction, deep)],
        below,
    )
    rows = (
        Row("cylinders", found.rows, found.rows.over(beside), found.rows.chance(beside)),
        Row("people", found.columns, found.columns.over(beside), found.columns.chance(beside)),
        Row("people by cylinder", found.interaction, found.interaction.over(found.within), chance),
        Row("repeats", found.within, None, None),
    )
    return StudyFound(
        cylinders=high,
        people=wide,
        repeats=deep,
        rows=rows,
        pooled=pooled,
        repeatability=own,
        between_people=person,
        interaction=interaction,
        measurement=measurement,
        between_cylinders=cylinder,
        share=_share(measurement, cylinder),
        share_low=share[0],
        share_high=share[1],
    )


def _sum(terms: Sequence[tuple[float, Source]]) -> Component:
    low, high = sum_interval(terms)
    variance = math.fsum(factor * source.mean_square for factor, source in terms)
    return Component(math.sqrt(variance), math.sqrt(low), math.sqrt(high))


def _difference(plus: Source, minus: Source, over: float) -> Component:
    low, high = difference_interval(plus, minus, over)
    variance = (plus.mean_square - minus.mean_square) / over
    return Component(math.sqrt(max(variance, 0.0)), math.sqrt(low), math.sqrt(high), below_zero=variance < 0)


def _share(measurement: Component, cylinder: Component) -> float:
    whole = measurement.sd**2 + cylinder.sd**2
    return measurement.sd**2 / whole if whole > 0 else 0.0


def _shares(
    outer: Sequence[tuple[Source, int]],
    inner: Sequence[tuple[Source, int]],
    below: Source,
) -> tuple[float, float]:
    """
    Return the interval of the share of measurement, by generalised pivotal quantities.

    Each mean square is divided by draws of chi-squared over its degrees of freedom; the share is worked out anew for
    each draw (Hamada and Weerahandi, Measurement system assessment via generalized inference, Journal of Quality
    Technology 32, 2000; from memory).
    """
    import numpy as np

    chance = np.random.default_rng(_SEED)

    def drawn(source: Source) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return source.squares / chance.chisquare(source.freedom, _DRAWS)

    error = drawn(below)
    base, measurement = error, error
    for source, over in inner:
        mixed = drawn(source)
        measurement = measurement + np.maximum(mixed - error, 0.0) / over
        base = mixed
    parts = [np.maximum(drawn(source) - base, 0.0) / over for source, over in outer]
    for extra in parts[1:]:
        measurement = measurement + extra
    whole = measurement + parts[0]
    share = np.divide(measurement, whole, out=np.zeros_like(whole), where=whole > 0)
    return float(np.quantile(share, 0.05)), float(np.quantile(share, 0.95))


@dataclass(frozen=True, slots=True)
class ByRanges:
    """
    The same by averages and ranges, which can be done with a pencil; a check, and without the interaction.

    Parameters
    ----------
    repeatability : float
        From the mean range of the cells.
    between_people : float
        From the range of the people's means; 0 where it came out below zero, or with one person.
    between_cylinders : float
        From the range of the cylinders' means.
    """

    repeatability: float
    between_people: float
    between_cylinders: float


_OF_REPEATS = {2: 0.8862, 3: 0.5908, 4: 0.4857, 5: 0.4299}
_OF_PEOPLE = {2: 0.7071, 3: 0.5231}
_OF_CYLINDERS = {
    2: 0.7071, 3: 0.5231, 4: 0.4467, 5: 0.4030, 6: 0.3742, 7: 0.3534, 8: 0.3375, 9: 0.3249, 10: 0.3146,
}  # fmt: skip
"""Range to standard deviation, by how many there are (manual of [1], from memory; 1 / d2 and 1 / d2*). [-]"""


def by_ranges(table: Sequence[Sequence[Sequence[float]]]) -> ByRanges | None:
    """
    Work a study out by averages and ranges.

    Parameters
    ----------
    table : sequence of sequence of sequence of float
        As for `study`.

    Returns
    -------
    ByRanges or None
        None beyond the table of factors: 10 cylinders, 3 people, 5 repeats.

    References
    ----------
    .. [1] Measurement systems analysis manual of the automotive industry action group, average and range method (from
       memory).
    """
    high, wide, deep = len(table), len(table[0]), len(table[0][0])
    if high not in _OF_CYLINDERS or deep not in _OF_REPEATS or wide not in {1, *_OF_PEOPLE}:
        return None
    own = _OF_REPEATS[deep] * mean([max(cell) - min(cell) for row in table for cell in row])
    people = [mean([x for row in table for x in row[column]]) for column in range(wide)]
    square = 0.0
    if wide > 1:
        square = (_OF_PEOPLE[wide] * (max(people) - min(people))) ** 2 - own**2 / (high * deep)
    cylinders = [mean([x for cell in row for x in cell]) for row in table]
    return ByRanges(own, math.sqrt(max(square, 0.0)), _OF_CYLINDERS[high] * (max(cylinders) - min(cylinders)))
