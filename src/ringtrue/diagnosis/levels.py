"""What the level of all cylinders says of the whole engine, its day and its gauge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis.causes import Cause, EngineCause
from ringtrue.diagnosis.likelihood import normal
from ringtrue.diagnosis.predicted import Predicted, Variant
from ringtrue.diagnosis.problem import Problem
from ringtrue.physics.responses import CHARGES, CLEARANCES, DELAYS, SPEEDS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MODEL = 0.05
"""Standard deviation of the level about what the model says of a drawn engine: assumed. [-]"""
GAUGE_OFF = 0.10
"""Standard deviation of the level where the gauge is off: assumed. [-]"""
SLOW_SPEED, SLOW_SPREAD, USUAL_SPEED, USUAL_SPREAD = 11.5, 0.25, 21.0, 0.15
"""Cranking speeds of a slow and a usual starter [rad/s], and the standard deviations of their logarithms: assumed."""
MISTOLD, MISTOLD_SPREAD, MISTOLD_RANGE = 0.005, 0.35, 3.0
"""
How often the cranking speed that is stated is not that of the pulls, how far the level may then stand from the model's
(standard deviation), and the range of logarithms in which such a speed may lie: assumed. [-]
"""
SHARED: tuple[tuple[EngineCause, Variant, float], ...] = (
    (EngineCause.GENERAL_WEAR, Variant(0.8), 0.5),
    (EngineCause.GENERAL_WEAR, Variant(2.0), 0.5),
    (EngineCause.FUEL_WASHED, Variant(1.3, sealed=0.9), 1.0),
    (EngineCause.DECOMPRESSION, Variant(5.0, Cause.EXHAUST_VALVE), 1.0),
)
"""Causes of the whole engine that leak, and how often each has that size (assumed). [-]"""


def levels(problem: Problem, shared: EngineCause | None, variant: Variant, share: float) -> dict[EngineCause, Floats]:
    """
    Return what the level of all cylinders says of each cause of the engine.

    Parameters
    ----------
    problem : Problem
        What was read.
    shared : EngineCause or None
        The cause by which all leak; None for the others.
    variant : Variant
        What all then share.
    share : float
        How often that cause has this size. [-]

    Returns
    -------
    dict of EngineCause to ndarray, shape (D, S)
        Logarithms of prior and likelihood.
    """
    r = problem.responses
    priors = problem.practice.engine
    last = max(problem.last(read) for read in problem.reads)
    spread = math.hypot(MODEL, problem.shift)
    level = r.level[:, last]
    flat = not r.of_this_engine

    def at(shifts: Floats, weights: Sequence[float], wide: float = 0.0) -> Floats:
        if flat:
            return np.zeros((len(level), len(problem.scale)))
        off = problem.scale[None, :, None] - level[:, None, None] - shifts[:, None, :]
        return np.asarray(np.log(np.exp(normal(off, math.hypot(spread, wide))) @ np.array(weights) + 1e-12))

    def told(found: Floats, shifts: Floats, weights: Sequence[float], by_speed: float) -> Floats:
        """Weigh in the speed that was stated, which may be that of no pull: a slow starter shows in the level too."""
        if problem.speed is None or flat:
            return found + by_speed
        other = at(shifts, weights, MISTOLD_SPREAD) + math.log(MISTOLD / MISTOLD_RANGE)
        return np.asarray(np.logaddexp(found + by_speed + math.log(1 - MISTOLD), other))

    none = np.zeros((len(level), 1))
    speed = _speeds(problem)
    if shared is not None:
        shift = Predicted(problem.cells, r, variant).shift(last)
        found_shared = told(at(shift, [1.0]), shift, [1.0], speed[0])
        return {shared: found_shared + math.log(priors[shared] * share)}
    none_prior = max(1.0 - sum(priors.values()) + priors.get(EngineCause.NONE, 0.0), 1e-6)
    found = {EngineCause.NONE: told(at(none, [1.0]), none, [1.0], speed[0]) + math.log(none_prior)}
    rows: dict[EngineCause, tuple[Floats, float]] = {
        EngineCause.CAM_TIMING: (r.delay[:, [d not in {0.0, 42.0} for d in DELAYS], last], 0.0),
        EngineCause.THROTTLE: (r.charge[:, 1 : len(CHARGES) - 2, last], 0.0),
        EngineCause.CHAMBER_VOLUME: (r.clearance[:, [c != 1.0 for c in CLEARANCES], last], 0.0),
        EngineCause.SLOW_OR_COLD_CRANKING: (
            none if problem.speed_known else r.speed[:, 1 : len(SPEEDS) - 1, last],
            0.0,
        ),
        EngineCause.GAUGE: (none, GAUGE_OFF),
    }
    for cause, (shifts, wide) in rows.items():
        if priors.get(cause, 0.0) > 0:
            weights = [1 / shifts.shape[1]] * shifts.shape[1]
            one = at(shifts, weights, wide)
            slow = cause is EngineCause.SLOW_OR_COLD_CRANKING
            weighed = one + speed[1] if slow else told(one, shifts, weights, speed[0])
            found[cause] = weighed + math.log(priors[cause])
    return found


def _speeds(problem: Problem) -> tuple[float, float]:
    """Logarithm of how likely the cranking speed is, of a usual starter and of a slow one."""
    speed = problem.speed
    if speed is None:
        return 0.0, 0.0
    usual = float(normal(np.array(math.log(speed / USUAL_SPEED)), USUAL_SPREAD))
    slow = float(normal(np.array(math.log(speed / SLOW_SPEED)), SLOW_SPREAD))
    # Faster than usual is no fault.
    return (max(usual, -3.0) if speed > USUAL_SPEED else usual), slow
