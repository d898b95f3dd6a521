"""Where each cylinder stands among its siblings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from ringtrue.measure.figures import CylinderReadings
from ringtrue.measure.judgement import Place, TwoGroups
from ringtrue.measure.limits import LEAST_SCALE, OFF_IN_SCALES, OFF_THE_MEDIAN, SLACK
from ringtrue.measure.statistics import TO_SIGMA, mean, median, median_deviation

_MORE = 1 + SLACK


def _middle(finals: Sequence[float]) -> tuple[float, float] | None:
    """Return the two middle values where an even number of finals parts there by more than a tenth of the median."""
    ordered = sorted(finals)
    if not ordered or len(ordered) % 2:
        return None
    below, above = ordered[len(ordered) // 2 - 1], ordered[len(ordered) // 2]
    return (below, above) if above - below > OFF_THE_MEDIAN * median(ordered) * _MORE else None


def two_groups(read: Sequence[CylinderReadings]) -> TwoGroups | None:
    """
    Return the two halves of an engine that differ from one another.

    Parameters
    ----------
    read : sequence of CylinderReadings
        Those with a final, in the order of the engine.

    Returns
    -------
    TwoGroups or None
        Where an even number of cylinders falls into equal halves, the gap between the halves is more than 10 % of the
        median, and no other gap between neighbours in size is larger. Nothing says which half is right.

    Notes
    -----
    The limit of 10 % is common practice.
    """
    values = {each.cylinder: each.final for each in read if each.final is not None}
    middle = _middle(list(values.values()))
    if middle is None:
        return None
    ordered = sorted(values.values())
    gap = middle[1] - middle[0]
    if gap * _MORE < max(high - low for low, high in pairwise(ordered)):
        return None
    return TwoGroups(
        lower=tuple(name for name, value in values.items() if value <= middle[0] * _MORE),
        higher=tuple(name for name, value in values.items() if value * _MORE >= middle[1]),
        gap_fraction=gap / median(ordered),
    )


def repeats_conflict(readings: CylinderReadings) -> bool:
    """
    Tell whether the readings of one cylinder contradict each other.

    Parameters
    ----------
    readings : CylinderReadings
        All its pulls.

    Returns
    -------
    bool
        Two pulls claim to be the same one, or declared repeats differ by more than 10 % of their mean.
    """
    if len(readings.finals) < 2:  # noqa: PLR2004 - one reading contradicts nothing
        return False
    apart = max(readings.finals) - min(readings.finals)
    return readings.undeclared or apart > OFF_THE_MEDIAN * mean(readings.finals) * _MORE


def places(read: Sequence[CylinderReadings], uncertainty: Callable[[CylinderReadings], float]) -> dict[str, Place]:
    """
    Place every cylinder that has a final.

    A cylinder is out of line when it is off the median by more than 10 %, or by more than 3.5 times the largest of
    1.4826 x the median absolute deviation, its uncertainty, and 1 % of the median.

    Parameters
    ----------
    read : sequence of CylinderReadings
        Those with a final, in the order of the engine.
    uncertainty : callable
        Standard uncertainty of a cylinder against its siblings; what all share is not in it. [Pa]

    Returns
    -------
    dict of str to Place
        By name.

    Notes
    -----
    The median and the median absolute deviation stand while fewer than half of the cylinders are wrong. Where equal
    halves part by more than 10 % they do not, and no cylinder is placed. Where the two middle cylinders part by as much
    but the engine does not fall into two groups (some of the lower half are lower still), each cylinder is placed
    against either of the two, and only where both agree. Where the median is zero, half of the engine is dead and there
    is no level to compare with.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17 (3.5); 10 % and 1 % are common practice.
    """
    finals = [each.final for each in read if each.final is not None]
    if not finals:
        return {}
    if median(finals) == 0 or two_groups(read) is not None:
        return {each.cylinder: Place.CANNOT_TELL for each in read}
    spread = TO_SIGMA * median_deviation(finals)
    centres = _middle(finals) or (median(finals),)
    found = {}
    for each in read:
        seen = {_against(each, centre, max(spread, uncertainty(each))) for centre in centres}
        agreed = len(seen) == 1 and not repeats_conflict(each)
        found[each.cylinder] = seen.pop() if agreed else Place.CANNOT_TELL
    return found


def _against(readings: CylinderReadings, centre: float, scale: float) -> Place:
    if readings.final is None:
        return Place.NOT_READ
    off = readings.final - centre
    if abs(off) > min(OFF_THE_MEDIAN * centre, OFF_IN_SCALES * max(scale, LEAST_SCALE * centre)) * _MORE:
        return Place.LOW if off < 0 else Place.HIGH
    return Place.IN_LINE
