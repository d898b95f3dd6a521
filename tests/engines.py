"""Invented engines for the reference models: the same draws on every machine."""

from __future__ import annotations

import math

import numpy as np
from tests.cranked import ANNAND, DEGREE, HOHENBERG, WOSCHNI, Cranked


def draw(generator: np.random.Generator, largest_leak: float, throttled: float) -> Cranked:
    """
    Return an engine that a builder might have on the stand, with its gauge and its day.

    One leak is drawn up to `largest_leak` [m2], evenly in its logarithm from 0.02 mm2; the path is drawn too. The
    manifold stands between `throttled` and 1 of the barometer. No check valve is wider than a third of a square
    millimetre for each cubic centimetre of hose: wider ones fill it in one stroke either way.
    """
    between = generator.uniform
    bore = between(0.068, 0.108)
    stroke = bore * between(0.8, 1.15)
    swept = math.pi / 4 * bore**2 * stroke
    path = ("leak_rings", "leak_intake", "leak_exhaust", "leak_gasket")[int(generator.integers(4))]
    leaks = {"leak_rings": 0.1e-6, path: float(np.exp(between(math.log(0.02e-6), math.log(largest_leak))))}
    ambient = between(75e3, 103e3)
    hose = between(5e-6, 40e-6)
    check_area = min(1.8e-6 * float(np.exp(generator.normal(0.0, 0.6))), hose / 3)
    return Cranked(
        bore=bore,
        stroke=stroke,
        rod=stroke * between(1.6, 2.1),
        clearance=swept / (between(7.0, 12.0) - 1),
        adapter=between(0.5e-6, 10e-6),
        hose=hose,
        opening=between(1e3, 15e3),
        check_area=check_area,
        hose_conductance=between(0.0, 0.05),
        ambient=ambient,
        manifold=ambient * between(throttled, 1.0),
        inlet_air=between(270.0, 310.0),
        wall=between(290.0, 370.0),
        speed=between(120.0, 300.0) * 2 * math.pi / 60,
        run_up=between(0.3, 4.0),
        start=between(2.6, 12.0),
        heat_model=(ANNAND, WOSCHNI, HOHENBERG)[int(generator.integers(3))],
        heat_factor=between(0.6, 1.6),
        intake_opens=-2 * math.pi - between(0.0, 30.0) * DEGREE,
        intake_closes=-math.pi + between(30.0, 75.0) * DEGREE,
        exhaust_opens=math.pi - between(35.0, 70.0) * DEGREE,
        exhaust_closes=2 * math.pi + between(0.0, 30.0) * DEGREE,
        intake_lift=bore * between(0.09, 0.125),
        intake_diameter=bore * between(0.42, 0.5),
        intake_cd=between(0.5, 0.7),
        exhaust_lift=bore * between(0.085, 0.12),
        exhaust_diameter=bore * between(0.35, 0.42),
        exhaust_cd=between(0.5, 0.7),
        **leaks,
    )


def draws(count: int, largest_leak: float, *, seed: int, throttled: float = 1.0) -> list[Cranked]:
    """Return several engines; wide open if nothing else is said."""
    generator = np.random.default_rng(seed)
    return [draw(generator, largest_leak, throttled) for _ in range(count)]
