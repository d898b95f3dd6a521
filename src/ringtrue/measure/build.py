"""How much of a spread the build itself explains, and how much is left for sealing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ringtrue.measure.figures import spread_of

FEWEST = 2
"""Cylinders from which there is a spread."""


@dataclass(frozen=True, slots=True)
class BuildSpread:
    """
    A mean deviation, parted into what the volumes make and the rest.

    Parameters
    ----------
    read : float
        Mean deviation of the finals, over their mean. [%]
    explained : float
        Mean deviation that cylinders of these volumes would show if all sealed alike. [%]
    left : float
        Mean deviation of the finals once each is divided by what its volume makes of it. [%]
    """

    read: float
    explained: float
    left: float


def build_spread(finals: Mapping[str, float], ratios: Mapping[str, float]) -> BuildSpread | None:
    """
    Part a spread into what the build explains and what is left for sealing.

    Parameters
    ----------
    finals : mapping of str to float
        Final of each cylinder read. [Pa gauge]
    ratios : mapping of str to float
        What its volume makes of its final, over the mean of all cylinders. [-]

    Returns
    -------
    BuildSpread or None
        None with fewer than two cylinders that have both, or where all finals are zero.

    Examples
    --------
    Two cylinders that differ just as their chambers make them differ:

    >>> found = build_spread({"1": 102.0, "2": 98.0}, {"1": 1.02, "2": 0.98})
    >>> round(found.read, 6), round(found.explained, 6), round(found.left, 6)
    (2.0, 2.0, 0.0)
    """
    both = [name for name in finals if ratios.get(name, 0.0) > 0.0]
    if len(both) < FEWEST or max(finals[name] for name in both) <= 0:
        return None
    read, explained, left = (
        spread_of(figures).mean_deviation_percent
        for figures in (
            [finals[name] for name in both],
            [ratios[name] for name in both],
            [finals[name] / ratios[name] for name in both],
        )
    )
    return BuildSpread(read, explained, left)
