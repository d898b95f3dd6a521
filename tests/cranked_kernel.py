"""The project's own kernels, asked in the words of the reference models."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray
from tests.cranked import Cranked

from ringtrue.physics import _kernels, _stroke_map

Floats = NDArray[np.float64]


def vector(engine: Cranked) -> Floats:
    """Return the vector of the kernels, each figure at the place that bears its name."""
    q = np.full(_kernels.COUNT, np.nan)
    for field in fields(engine):
        q[getattr(_kernels, field.name.upper())] = getattr(engine, field.name)
    if np.isnan(q).any():
        message = f"no figure for places {np.flatnonzero(np.isnan(q)).tolist()} of the kernels' vector"
        raise ValueError(message)
    return q


def shut(engine: Cranked) -> Cranked:
    """Return the engine with valves that never lift."""
    return replace(engine, intake_lift=0.0, exhaust_lift=0.0)


def trace(
    engine: Cranked,
    angles: tuple[float, float],
    step_deg: float,
    cylinder: tuple[float, float],
    hose: tuple[float, float],
) -> Floats:
    """Return rows of angle, pressure, temperature, hose pressure and hose temperature by the full equations."""
    return _kernels.trace(vector(engine), *angles, step_deg, *cylinder, *hose)


def full(engine: Cranked, strokes: int, step_deg: float = 1.0) -> tuple[Floats, float]:
    """Return readings by the full equations [Pa absolute] and what is left of the energy balance over the work [-]."""
    return _kernels.full(vector(engine), strokes, step_deg)


def mapped(engine: Cranked, strokes: int) -> tuple[Floats, bool]:
    """Return readings by the stroke map [Pa absolute] and whether the map held."""
    return _stroke_map.readings(vector(engine), strokes)


def many(engines: Sequence[Cranked], strokes: int) -> tuple[Floats, NDArray[np.bool_]]:
    """Return readings of many cylinders by the working path, a row each, and for which of them the map held."""
    drawn = np.array([vector(engine) for engine in engines])
    return _stroke_map.many(drawn, strokes), _stroke_map.mapped(drawn, 1)[1]
