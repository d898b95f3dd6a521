"""When a limit will be met, if the engine goes on as it has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.history.trend import Lines, weights
from ringtrue.measure.drawn import FIGURES
from ringtrue.measure.limits import Figure, Rule

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

AS_FAR_AGAIN = 1.0
"""A line is carried on as far again as it was watched, and no farther. [-]"""
HARDLY = 0.05
"""A limit that is met less often than this within that reach is not in sight. [-]"""
_DRAWS, _SEED, _STEPS = 2000, 21, 50


@dataclass(frozen=True, slots=True)
class Forecast:
    """
    When one limit will be met.

    Parameters
    ----------
    rule : Rule
        The limit.
    probability : float
        Of its being met within the reach. [-]
    already : float
        Of its being met at the last test already, all uncertainty counted. [-]
    cylinder : str
        Which cylinder most likely meets it; empty for a figure of all.
    low, median, high : float or None
        Where: 5 %, half and 95 % of what is possible lie before it; None beyond the reach. [m or s]
    """

    rule: Rule
    probability: float
    already: float
    cylinder: str
    low: float | None
    median: float | None
    high: float | None

    @property
    def in_sight(self) -> bool:
        """It may well be met within the reach."""
        return self.probability >= HARDLY


@dataclass(frozen=True, slots=True)
class Outlook:
    """
    What may be met.

    Parameters
    ----------
    until : float
        How far the lines are carried on. [m or s]
    forecasts : tuple of Forecast
        One for each limit, the soonest first.
    """

    until: float
    forecasts: tuple[Forecast, ...]


def outlook(lines: Lines, rules: Sequence[Rule], scatter: float = 1.0) -> Outlook | None:
    """
    Carry the course of every cylinder on, until it meets a limit.

    Parameters
    ----------
    lines : Lines
        The course so far, levels carried to the conditions at which the limits hold.
    rules : sequence of Rule
        Limits about finals; others are passed over.
    scatter : float
        By how much the cylinders' own uncertainty is widened (`ringtrue.history.trend`). [-]

    Returns
    -------
    Outlook or None
        None without a limit about finals.

    Notes
    -----
    Monte Carlo (JCGM 101:2008, from memory): the course is drawn again with what is not known of it, what a test's
    cylinders share for all of them alike, and straight lines are laid through each draw; the limit is met where the
    figure of all lines first meets it. The lines go on as far again as the engine was watched and no farther. That wear
    goes on steadily is an assumption: rings bed in, valves burn all at once, and no line tells of either.
    """
    import numpy as np

    asked = [rule for rule in rules if rule.level == "limit" and rule.figure in FIGURES]
    if not asked:
        return None
    first, last = min(lines.at), max(lines.at)
    until = last + AS_FAR_AGAIN * (last - first)
    places = np.linspace(last, until, _STEPS + 1)
    finals = _drawn(lines, places, scatter)
    found = [_forecast(rule, finals, places, lines.cylinders) for rule in asked]
    return Outlook(until, tuple(sorted(found, key=lambda each: (-each.probability, each.median or until))))


def _drawn(lines: Lines, places: Floats, scatter: float) -> Floats:
    """Return finals on drawn lines, shape (draws, places, cylinders). [Pa gauge]."""
    import numpy as np

    tests, count = lines.levels.shape
    draw = np.random.default_rng(_SEED)
    # Factors and shifts are known by their covariance; the tests are too few for its root to be anything but exact.
    values, vectors = np.linalg.eigh(lines.shared)
    shared = draw.standard_normal((_DRAWS, tests)) @ (vectors * np.sqrt(np.maximum(values, 0.0))).T
    middle = sum(lines.at) / tests
    found = np.empty((_DRAWS, len(places), count))
    for at in range(count):
        own = np.maximum(lines.own[:, at] * scatter, 1e-9)
        makes, _ = weights(lines.at, lines.shared + np.diag(own**2))
        course = lines.levels[:, at] + shared + draw.standard_normal((_DRAWS, tests)) * own
        level, slope = makes @ course.T
        found[:, :, at] = np.exp(level[:, None] + slope[:, None] * (places - middle))
    return found


def _forecast(rule: Rule, finals: Floats, places: Floats, cylinders: tuple[str, ...]) -> Forecast:
    import numpy as np

    figures = FIGURES[rule.figure](finals)
    edge = rule.side.edge(rule.limit)
    broken = figures >= edge if rule.side.small_is_good else figures < edge
    met = broken.any(axis=1)
    when = np.where(met, places[np.argmax(broken, axis=1)], np.inf)
    low, median, high = (_where(float(np.quantile(when, part, method="higher"))) for part in (0.05, 0.5, 0.95))
    worst = finals[:, -1].argmin(axis=1) if rule.figure in _OF_THE_LOWEST else None
    name = "" if worst is None else cylinders[int(np.bincount(worst).argmax())]
    return Forecast(rule, float(met.mean()), float(broken[:, 0].mean()), name, low, median, high)


def _where(place: float) -> float | None:
    return None if place == float("inf") else place


_OF_THE_LOWEST = {Figure.BELOW_MEAN, Figure.LOWEST_OVER_HIGHEST, Figure.SPREAD, Figure.LOWEST}
