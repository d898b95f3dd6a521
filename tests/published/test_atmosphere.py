"""
The standard atmosphere, from two libraries and from the formula of the standard.

AT-01: ISO 2533 and US Standard Atmosphere 1976 at geometric heights, printed by ambiance 1.3.1 and fluids 1.3.1 (they
agree within 0.02 Pa). AT-02: the formula of the troposphere at geopotential heights (from memory, worked by hand).
"""

from __future__ import annotations

import pytest
from ambiance import Atmosphere
from fluids.atmosphere import ATMOSPHERE_1976

from ringtrue.physics.atmosphere import standard_pressure, standard_temperature

EARTH = 6_356_766.0  # radius by which the standard turns one kind of height into the other [m]

# Height [m], pressure [Pa], temperature [K].
AT01 = [
    (0.0, 101325.00, 288.1500),
    (500.0, 95461.29, 284.9003),
    (1000.0, 89876.28, 281.6510),
    (1500.0, 84559.67, 278.4023),
    (2000.0, 79501.41, 275.1541),
    (3000.0, 70121.14, 268.6592),
]
AT02 = [
    (0.0, 101325.00, 288.15),
    (500.0, 95460.84, 284.90),
    (1000.0, 89874.56, 281.65),
    (1500.0, 84555.99, 278.40),
    (2000.0, 79495.20, 275.15),
    (3000.0, 70108.53, 268.65),
]


# If this failed, a reading in the mountains would be carried to the sea by the wrong pressure.
@pytest.mark.parametrize(("height", "pressure", "temperature"), AT01)
def test_at01_geometric_height(height: float, pressure: float, temperature: float) -> None:
    assert standard_pressure(height) == pytest.approx(pressure, abs=0.1)
    assert standard_temperature(height) == pytest.approx(temperature, abs=1e-4)


# If this failed, we would part from both libraries somewhere between the heights of the table, or below the sea.
@pytest.mark.parametrize("height", [-400.0, -50.0, 10.0, 123.0, 800.0, 1609.344, 2750.0, 4300.0, 5900.0])
def test_same_air_as_two_libraries(height: float) -> None:
    other, third = Atmosphere(height), ATMOSPHERE_1976(height)
    assert standard_pressure(height) == pytest.approx(float(other.pressure[0]), abs=0.1)
    assert standard_pressure(height) == pytest.approx(third.P, abs=0.1)
    assert standard_temperature(height) == pytest.approx(float(other.temperature[0]), abs=1e-4)
    assert standard_temperature(height) == pytest.approx(third.T, abs=1e-4)


# If this failed, heights would be taken for geopotential ones (12.6 Pa apart at 3000 m), or the formula be another.
@pytest.mark.parametrize(("geopotential", "pressure", "temperature"), AT02)
def test_at02_geopotential_height(geopotential: float, pressure: float, temperature: float) -> None:
    height = EARTH * geopotential / (EARTH - geopotential)
    assert standard_pressure(height) == pytest.approx(pressure, abs=0.1)
    assert standard_temperature(height) == pytest.approx(temperature, abs=1e-4)
