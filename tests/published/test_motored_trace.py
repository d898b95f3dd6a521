"""
DS-01: a measured, unfired compression, and what the model makes of it.

Sixty motored cycles of a small diesel, published with the heat-release code of a university (GPL-3.0); the file is not
copied, its means at some angles are quoted as facts. Bore 86 mm, stroke 75 mm, rod 118 mm, compression ratio 21.2,
intake valve shut 122 degrees before top dead centre (read). Scatter of the peak from cycle to cycle: 0.191 bar.

What is not known, and therefore assumed or fitted:

- the speed: about 1800 rev/min is that of the companion fired data; 1500 to 2100 is taken as its band;
- the charge at 330 K when the valve shuts, walls at 400 K, the crankcase at 1 bar: assumed;
- every cycle is pegged on one noisy sample, so the whole trace may stand a little high or low: an offset is fitted;
- top dead centre was not corrected thermodynamically: an offset of the angle is fitted;
- the volume at top dead centre: with the ratio of the data sheet the best fit peaks 2 bar too high and both flanks come
  out too thin, three times outside the band. An eighth more volume does. Crevices, which the model leaves out (some
  3 %, from memory), are part of it; the rest may be the sheet's.

This checks the model near 1800 rev/min. It says nothing about cranking speed.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import least_squares
from tests.cranked import ANNAND, DEGREE, HOHENBERG, WOSCHNI, Cranked, ratio_of, sealed
from tests.cranked_kernel import shut, trace

Floats = NDArray[np.float64]

BAR = 1e5
SHUTS = -122.0  # the intake valve [deg]
SCATTER = 0.1911  # standard deviation of the cycles' peaks [bar]
SPEED, SPEED_BAND = 1800.0, (1500.0, 2100.0)  # assumed [rev/min]
PEAK, PEAK_AT = 51.65, -2.6  # of the mean cycle [bar], [deg]

# Angle [deg] and mean pressure [bar] while both valves are shut; the exhaust valve's angle is not stated, 100 is early.
TRACE = np.array([
    (-120, 1.390), (-100, 1.799), (-80, 2.668), (-60, 4.671), (-55, 5.565), (-50, 6.756), (-45, 8.345), (-40, 10.491),
    (-35, 13.403), (-30, 17.372), (-25, 22.714), (-20, 29.613), (-15, 37.748), (-10, 45.721), (-5, 50.919), (0, 50.865),
    (5, 45.484), (10, 37.078), (15, 28.482), (20, 21.328), (25, 15.895), (30, 11.954), (35, 9.141), (40, 7.114),
    (45, 5.647), (50, 4.568), (55, 3.753), (60, 3.143), (80, 1.747), (100, 1.186),
])  # fmt: skip
ANGLES, MEASURED = TRACE[:, 0], TRACE[:, 1]

DIESEL = shut(
    Cranked(
        bore=0.086,
        stroke=0.075,
        rod=0.118,
        adapter=0.0,
        check_area=0.0,
        hose_conductance=0.0,
        ambient=1e5,
        manifold=1e5,
        inlet_air=300.0,
        wall=400.0,
        leak_rings=0.0,
    )
)


def motored(fitted: Floats, model: int, speed: float) -> CubicSpline:
    """
    Return pressure [bar] over angle [deg] of a motored compression.

    `fitted`: multiplier of the wall loss, leak [mm2], pressure when the valve shuts [bar], late top dead centre [deg],
    offset of the pressure [bar], volume at top dead centre over that of the data sheet.
    """
    heat, leak, begins, late, offset, dead = fitted
    engine = ratio_of(DIESEL, 21.2)
    engine = replace(
        engine,
        clearance=dead * engine.clearance,
        heat_model=model,
        heat_factor=heat,
        leak_rings=leak * 1e-6,
        speed=speed * 2 * math.pi / 60,
    )
    rows = trace(engine, (SHUTS * DEGREE, 105 * DEGREE), 0.5, (begins * BAR, 330.0), (1e5, 300.0))
    return CubicSpline(rows[:, 0] / DEGREE + late, rows[:, 1] / BAR + offset)


LOWEST = np.array([0.3, 0.0, 1.2, -2.5, -2 * SCATTER, 1.0])
HIGHEST = np.array([4.0, 1.0, 1.6, 2.5, 2 * SCATTER, 1.15])


@cache
def fit(model: int, most_dead: float = HIGHEST[-1]) -> tuple[float, ...]:
    """Return the fitted figures, each within what is sane for it."""

    def residuals(fitted: Floats) -> Floats:
        return np.asarray((motored(fitted, model, SPEED)(ANGLES) - MEASURED) / (SCATTER + 0.01 * MEASURED))

    found = least_squares(
        residuals,
        np.array([1.0, 0.3, 1.37, -0.5, 0.0, (1 + most_dead) / 2]),
        bounds=(LOWEST, np.array([*HIGHEST[:-1], most_dead])),
        x_scale=[1.0, 1.0, 0.1, 1.0, 0.05, 0.05],
    )
    return tuple(found.x)


def band(fitted: Floats, model: int) -> Floats:
    """Return what the scatter of the cycles and the unknown speed allow at each angle. [bar]"""
    slow, fast = (motored(fitted, model, speed)(ANGLES) for speed in SPEED_BAND)
    return np.asarray(SCATTER + np.abs(fast - slow) / 2)


# If this failed, the model could not be made to follow the one measured, unfired cylinder that is freely published.
@pytest.mark.parametrize("model", [ANNAND, WOSCHNI, HOHENBERG])
def test_ds01_fitted_model_follows_the_trace(model: int) -> None:
    fitted = np.array(fit(model))
    off = np.abs(motored(fitted, model, SPEED)(ANGLES) - MEASURED)
    assert np.all(off < band(fitted, model))
    heat, leak, begins, late, offset, dead = fitted
    assert 0.5 < heat < 3.5
    assert 0.0 <= leak <= 1.0
    assert 1.2 < begins + offset < 1.45
    assert -2.0 < late < -0.5
    assert abs(offset) < SCATTER
    assert 1.0 <= dead < 1.15


# If this failed, the fitted curve would pass between the points with its peak elsewhere: 51.65 bar at -2.6 deg (read).
@pytest.mark.parametrize("model", [ANNAND, WOSCHNI, HOHENBERG])
def test_ds01_peak(model: int) -> None:
    near = np.linspace(-8.0, 3.0, 1101)
    pressures = motored(np.array(fit(model)), model, SPEED)(near)
    assert pressures.max() == pytest.approx(PEAK, abs=2 * SCATTER)
    assert near[pressures.argmax()] == pytest.approx(PEAK_AT, abs=0.4)


# If this failed, the remark above on the dead volume would be untrue, and the ratio of the data sheet would do.
def test_ds01_ratio_of_the_sheet_does_not_fit() -> None:
    fitted = np.array(fit(ANNAND, most_dead=1.0 + 1e-9))
    off = np.abs(motored(fitted, ANNAND, SPEED)(ANGLES) - MEASURED)
    assert np.max(off / band(fitted, ANNAND)) > 1.5


# If this failed, the bound without any loss would have moved: 65.9 bar for the full ratio from 0.981 bar and 300 K, and
# the measured peak has to lie under it (computed with Cantera; the measured exponent on that ratio is 1.298).
def test_ds01_under_the_sealed_cylinder() -> None:
    rows = trace(sealed(ratio_of(DIESEL, 21.2)), (-math.pi, 0.0), 0.5, (0.981 * BAR, 300.0), (1e5, 300.0))
    assert rows[-1, 1] / BAR == pytest.approx(65.9, abs=0.1)
    assert math.log(PEAK / 0.981) / math.log(21.2) == pytest.approx(1.298, abs=5e-4)
    assert rows[-1, 1] / BAR > PEAK
