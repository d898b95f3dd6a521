"""Why the place where a limit will be met is known no better: what each test, and what all share, adds to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringtrue.history.trend import Lines, weights
from ringtrue.measure.drawn import FIGURES
from ringtrue.measure.propagation import Propagated, Quantity, propagate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from ringtrue.measure.limits import Rule

    Floats = NDArray[np.float64]

SHARED = "day, height, starter and gauge of the tests"
"""Name of what the cylinders of a test share."""
FAR = 4.0
"""How far lines are carried on to look for a limit, as a share of how far they were watched. [-]"""
_DRAWS, _STEPS, _AT_ONCE, _LEVEL = 4000, 80, 500, 0.9
_LEAST = 1e-9


def meeting_budget(lines: Lines, rule: Rule, names: Sequence[str], scatter: float = 1.0) -> Propagated | None:
    """
    Tell why the place where a limit will be met is known no better.

    Parameters
    ----------
    lines : Lines
        The course so far.
    rule : Rule
        The limit.
    names : sequence of str
        What a person knows each test by.
    scatter : float
        As in `ringtrue.history.outlook`. [-]

    Returns
    -------
    Propagated or None
        The place, first order and by drawing. Parts are the readings of each test, by its name, and `SHARED`. None
        where the lines stand beyond the limit already, or do not come to it within `FAR`. [m or s]

    Notes
    -----
    Inputs are standard normal: one for each reading, and the principal parts of the covariance of what the cylinders of
    a test share (JCGM 101:2008, 6.4.8, from memory). They are scaled by the uncertainties of the course and laid
    through the same lines as a forecast. A draw that is beyond the limit at the last test counts as there, one that
    never comes to it as at the end: the first order knows neither, which is why it is seldom good enough here.
    """
    import numpy as np

    first, last = min(lines.at), max(lines.at)
    places = np.linspace(last, last + FAR * (last - first), _STEPS + 1)
    values, vectors = np.linalg.eigh(lines.shared)
    roots = (vectors * np.sqrt(np.maximum(values, 0.0))).T
    own = np.maximum(lines.own * scatter, _LEAST)
    tests, count = lines.levels.shape

    def where(x: Floats) -> Floats:
        """Return where each row of inputs meets the limit; a part at a time, for memory's sake."""
        parts = np.array_split(x, max(len(x) // _AT_ONCE, 1))
        return np.concatenate([_meets(_carried(each), rule, places) for each in parts])

    def _carried(x: Floats) -> Floats:
        shared = x[:, :tests] @ roots
        courses = lines.levels + shared[:, :, None] + x[:, tests:].reshape(len(x), tests, count) * own
        ahead = places - sum(lines.at) / tests
        found = np.empty((len(x), len(places), count))
        for at in range(count):
            makes, _ = weights(lines.at, lines.shared + np.diag(own[:, at] ** 2))
            level, slope = makes @ courses[:, :, at].T
            found[:, :, at] = np.exp(level[:, None] + slope[:, None] * ahead)
        return found

    best = float(where(np.zeros((1, tests + tests * count)))[0])
    if not places[0] < best < places[-1]:
        return None
    inputs = [Quantity(SHARED, 0.0, 1.0) for _ in range(tests)]
    inputs += [Quantity(name, 0.0, 1.0) for name in names for _ in range(count)]
    return propagate(where, inputs, level=_LEVEL, draws=_DRAWS)


def _meets(finals: Floats, rule: Rule, places: Floats) -> Floats:
    """Return where a figure of drawn finals, shape (draws, places, cylinders), first is beyond its limit."""
    import numpy as np

    over = FIGURES[rule.figure](finals) - rule.side.edge(rule.limit)
    if not rule.side.small_is_good:
        over = -over
    beyond = over >= 0
    at = np.argmax(beyond, axis=1)
    row = np.arange(len(over))
    before = np.maximum(at - 1, 0)
    low, high = over[row, before], over[row, at]
    # Between two places the figure goes straight, as near as the eye can tell.
    part = np.where(at > 0, -low / np.where(high > low, high - low, 1.0), 0.0)
    found = places[before] + part * (places[at] - places[before])
    return np.asarray(np.where(beyond.any(axis=1), found, places[-1]))
