"""
What goes together: whether a thing that was measured on each build rises and falls with how even its finals are.

Ranks are compared, not figures: no law between the two is supposed, and one odd engine counts no more than its place.
What goes together need not cause one another, and the more is looked at the more will go together by chance:
probabilities are corrected for how many were looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ringtrue.measure.statistics import mean
from ringtrue.measure.student import t_beyond

FEWEST_PAIRS = 10
"""Builds, or cylinders beyond one for each engine, without which nothing is said of what goes together. [-]"""

FEWEST_OF_A_KIND = 3
"""Builds of a kind without which it is not set beside another kind. [-]"""

CHANCE = 0.05
"""What goes together by chance more seldom than this, all that was looked at taken into account, is told. [-]"""

_SIDE_95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Together:
    """
    How two things rise and fall together.

    Parameters
    ----------
    count : int
        Builds; or cylinders, where they are compared within their engines.
    rank : float
        Rank correlation: 1 where the two rise together without exception, -1 where one falls as the other rises. [-]
    low, high : float
        95 % interval of it. [-]
    chance : float
        Probability of one as far from 0 where they have nothing to do with one another. [-]
    engines : int
        Engines within which cylinders were compared; 0 where builds were.
    """

    count: int
    rank: float
    low: float
    high: float
    chance: float
    engines: int = 0


def ranks(values: Sequence[float]) -> list[float]:
    """
    Put figures in their order.

    Parameters
    ----------
    values : sequence of float
        In any one unit.

    Returns
    -------
    list of float
        From 1; those that are alike share the mean of their ranks. [-]

    Examples
    --------
    >>> ranks([30.0, 10.0, 20.0, 20.0])
    [4.0, 1.0, 2.5, 2.5]
    """
    order = sorted(range(len(values)), key=lambda at: values[at])
    found = [0.0] * len(values)
    first = 0
    while first < len(order):
        last = first
        while last + 1 < len(order) and values[order[last + 1]] == values[order[first]]:
            last += 1
        for at in order[first : last + 1]:
            found[at] = (first + last) / 2 + 1
        first = last + 1
    return found


def together(pairs: Sequence[tuple[float, float]]) -> Together | None:
    r"""
    Compare two things over all builds that have both, by Spearman's rank correlation.

    Parameters
    ----------
    pairs : sequence of (float, float)
        The two figures of each build.

    Returns
    -------
    Together or None
        None with fewer than `FEWEST_PAIRS`, or where one of the two is the same everywhere.

    Notes
    -----
    Interval by Fisher's z with the standard error :math:`\sqrt{(1 + r^2/2)/(n - 3)}`; probability by
    :math:`t = r \sqrt{(n-2)/(1-r^2)}`.

    References
    ----------
    .. [1] Bonett, D. G. and Wright, T. A., Sample size requirements for estimating Pearson, Kendall and Spearman
       correlations, Psychometrika 65 (2000) 23-28 (from memory).
    """
    count = len(pairs)
    if count < FEWEST_PAIRS:
        return None
    sums = _products(pairs)
    if sums is None:
        return None
    product, one, other = sums
    rank = _within(product / math.sqrt(one * other))
    return Together(count, rank, *_interval(rank, count - 3), _chance(rank, count - 2))


def together_within(engines: Iterable[Sequence[tuple[float, float]]]) -> Together | None:
    """
    Compare two things from cylinder to cylinder, each within its own engine, over all engines.

    Parameters
    ----------
    engines : iterable of sequence of (float, float)
        The two figures of each cylinder, engine by engine.

    Returns
    -------
    Together or None
        None with fewer than `FEWEST_PAIRS` cylinders beyond one for each engine, or where one of the two is the same in
        every engine.

    Notes
    -----
    Ranks are taken within each engine, so that what differs from engine to engine does not count; their products and
    squares are summed over the engines. The mean takes one degree of freedom from each engine.
    """
    product = one = other = 0.0
    cylinders = used = 0
    for pairs in engines:
        sums = _products(pairs)
        if sums is None:
            continue
        product, one, other = product + sums[0], one + sums[1], other + sums[2]
        cylinders += len(pairs)
        used += 1
    free = cylinders - used
    if free < FEWEST_PAIRS or used == 0:
        return None
    rank = _within(product / math.sqrt(one * other))
    return Together(cylinders, rank, *_interval(rank, free - 2), _chance(rank, free - 1), used)


def _products(pairs: Sequence[tuple[float, float]]) -> tuple[float, float, float] | None:
    """Return the sums of products and of squares of centred ranks; None where one of the two does not vary."""
    if len(pairs) < 2:  # noqa: PLR2004 - one has no order
        return None
    left, right = ranks([one for one, _ in pairs]), ranks([other for _, other in pairs])
    middle = (len(pairs) + 1) / 2
    one, other = math.fsum((each - middle) ** 2 for each in left), math.fsum((each - middle) ** 2 for each in right)
    if one == 0 or other == 0:
        return None
    return math.fsum((a - middle) * (b - middle) for a, b in zip(left, right, strict=True)), one, other


def _within(rank: float) -> float:
    return min(max(rank, -1.0), 1.0)


def _interval(rank: float, free: int) -> tuple[float, float]:
    if abs(rank) > 1 - 1e-12:
        return rank, rank
    z, half = math.atanh(rank), _SIDE_95 * math.sqrt((1 + rank * rank / 2) / free)
    return math.tanh(z - half), math.tanh(z + half)


def _chance(rank: float, free: int) -> float:
    if abs(rank) > 1 - 1e-12:
        return 0.0
    return t_beyond(rank * math.sqrt(free / (1 - rank * rank)), free)


@dataclass(frozen=True, slots=True)
class KindsCompared:
    """
    Whether builds of several kinds are equally even.

    Parameters
    ----------
    kinds : mapping of str to float
        Mean rank of the builds of each kind: the lower, the more even.
    statistic : float
        H of Kruskal and Wallis. [-]
    chance : float
        Probability of one as large where the kinds do not differ. [-]
    """

    kinds: Mapping[str, float]
    statistic: float
    chance: float


def compare_kinds(found: Mapping[str, Sequence[float]]) -> KindsCompared | None:
    r"""
    Compare kinds of builds by the ranks of how even they are, after Kruskal and Wallis.

    .. math:: H = \frac{n - 1}{\sum (r - \bar r)^2} \sum_k n_k (\bar r_k - \bar r)^2

    Parameters
    ----------
    found : mapping of str to sequence of float
        Mean deviations of the builds of each kind. [%]

    Returns
    -------
    KindsCompared or None
        None unless two kinds have `FEWEST_OF_A_KIND` builds each, and all have `FEWEST_PAIRS` together; kinds with
        fewer are left out. H is held against chi-squared.

    References
    ----------
    .. [1] Kruskal, W. H. and Wallis, W. A., Use of ranks in one-criterion variance analysis, Journal of the American
       Statistical Association 47 (1952) 583-621 (from memory).
    """
    enough = {kind: figures for kind, figures in found.items() if len(figures) >= FEWEST_OF_A_KIND}
    every = [each for figures in enough.values() for each in figures]
    if len(enough) < 2 or len(every) < FEWEST_PAIRS:  # noqa: PLR2004 - one kind has none beside it
        return None
    ranked, middle = ranks(every), (len(every) + 1) / 2
    squares = math.fsum((each - middle) ** 2 for each in ranked)
    if squares == 0:
        return None
    means, between, at = {}, 0.0, 0
    for kind, figures in enough.items():
        means[kind] = mean(ranked[at : at + len(figures)])
        between += len(figures) * (means[kind] - middle) ** 2
        at += len(figures)
    statistic = (len(every) - 1) / squares * between
    return KindsCompared(means, statistic, _chi_squared_beyond(statistic, len(enough) - 1))


def _chi_squared_beyond(value: float, freedom: int) -> float:
    import mpmath

    return float(mpmath.MPContext().gammainc(freedom / 2, value / 2, regularized=True))


def for_all_looked_at(chances: Sequence[float]) -> tuple[float, ...]:
    """
    Correct probabilities for how many were looked at, after Holm.

    Parameters
    ----------
    chances : sequence of float
        Of all that was looked at, whether it turned out to be anything or not. [-]

    Returns
    -------
    tuple of float
        In the same order; each at most 1. Below `CHANCE`, one of them is wrong at most so often, however many there
        are.

    References
    ----------
    .. [1] Holm, S., A simple sequentially rejective multiple test procedure, Scandinavian Journal of Statistics 6
       (1979) 65-70 (from memory).

    Examples
    --------
    >>> for_all_looked_at([0.01, 0.5, 0.02])
    (0.03, 0.5, 0.04)
    """
    found, highest = [0.0] * len(chances), 0.0
    order = sorted(range(len(chances)), key=lambda at: chances[at])
    for place, at in enumerate(order):
        highest = max(highest, min((len(chances) - place) * chances[at], 1.0))
        found[at] = highest
    return tuple(found)
