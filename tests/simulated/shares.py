"""Shares, means, and how far they may be off."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from statistics import fmean, stdev

from scipy.stats import beta


def share(those: Iterable[bool]) -> float:
    """Return how many of them hold, which is not a number where there are none. [-]."""
    held = list(map(float, those))
    return fmean(held) if held else math.nan


def bounds(right: int, count: int) -> tuple[float, float]:
    """Return the 95 % confidence interval of a share (Clopper and Pearson). [-]."""
    low = float(beta.ppf(0.025, right, count - right + 1)) if right else 0.0
    high = float(beta.ppf(0.975, right + 1, count - right)) if right < count else 1.0
    return low, high


def mean_and_error(values: Sequence[float]) -> tuple[float, float]:
    """Return a mean and its standard error."""
    return fmean(values), stdev(values) / math.sqrt(len(values)) if len(values) > 1 else math.inf
