"""
Piston travel, volumes and displacement, against figures from outside the project.

GE-01: the engine of an open set of measured motoring pressures (bore 86 mm, stroke 75 mm, rod 118 mm, compression ratio
21.2; read in the data set, which prints its displacement as 0.000435 m3). Travel and volumes of the standard
slider-crank, J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, chapter 2, equations 2.1 and 2.4 to 2.6
(numbers of the equations from memory), computed outside the project in both of the book's forms, which agree to 1e-4.

GE-02: displacement of six cylinders of 4.00 in by 3.50 in, worked by hand: pi/4 x 4.00^2 x 3.50 x 6 = 84 pi cubic
inches = 263.894 in3; one cubic inch is 16.387064 cm3 (NIST SP 811, appendix B, from memory), so 4324.44 cm3.
"""

from __future__ import annotations

import math

import pytest

from ringtrue.engine import BuildSheet, Geometry, Layout, piston_travel, swept_volume, volume
from ringtrue.quantities import Radians

BORE, STROKE, ROD, RATIO = 0.086, 0.075, 0.118, 21.2
# Degrees after top dead centre, travel [mm], volume [cm3]: derived outside the project, as said above.
GE_01 = [
    (0, 0.0, 21.5673),
    (30, 6.5232, 59.4596),
    (60, 23.3070, 156.9532),
    (90, 43.6172, 274.9314),
    (120, 60.8070, 374.7834),
    (150, 71.4751, 436.7525),
    (180, 75.0, 457.2277),
]


def ge_01() -> BuildSheet:
    """Return one cylinder of the engine of GE-01."""
    return BuildSheet(
        name="GE-01",
        layout=Layout.SINGLE,
        cylinders=("1",),
        geometry=Geometry(bore=BORE, stroke=STROKE, rod=ROD, compression_ratio=RATIO),
    )


# If this failed, the piston would stand elsewhere in the bore than the crank puts it.
@pytest.mark.parametrize(("degrees", "travel", "_"), GE_01)
def test_ge_01_travel(degrees: int, travel: float, _: float) -> None:
    assert piston_travel(STROKE, ROD, Radians(math.radians(degrees))) * 1e3 == pytest.approx(travel, rel=1e-4)


# If this failed, what is trapped above the piston would be another volume at some crank angle.
@pytest.mark.parametrize(("degrees", "_", "expected"), GE_01)
def test_ge_01_volume(degrees: int, _: float, expected: float) -> None:
    clearance = ge_01().clearance_volume("1")
    assert clearance is not None
    found = volume(clearance, BORE, STROKE, ROD, Radians(math.radians(degrees)))
    assert found * 1e6 == pytest.approx(expected, rel=1e-4)


# If this failed, an engine would be larger or smaller on the sheet than in the metal. 435.66: derived; 435: printed.
def test_ge_01_displacement() -> None:
    assert swept_volume(BORE, STROKE) * 1e6 == pytest.approx(435.66, rel=1e-4)
    displacement = ge_01().displacement
    assert displacement is not None
    assert math.floor(displacement * 1e6) == 435


# If this failed, a compression ratio and the volumes that make it would part company. 21.2: read in the data set.
def test_ge_01_ratio() -> None:
    assert ge_01().compression_ratio("1") == pytest.approx(RATIO, rel=1e-12)
    assert GE_01[-1][2] / GE_01[0][2] == pytest.approx(RATIO, rel=1e-5)


# If this failed, inch engines would come out in another size than every inch shop works out on paper.
def test_ge_02_displacement() -> None:
    six = BuildSheet(
        name="GE-02",
        layout=Layout.INLINE,
        cylinders=tuple("123456"),
        geometry=Geometry(bore=4.00 * 0.0254, stroke=3.50 * 0.0254),
    )
    assert six.displacement is not None
    assert six.displacement / 0.0254**3 == pytest.approx(263.894, rel=1e-5)
    assert six.displacement * 1e6 == pytest.approx(4324.44, rel=1e-5)
    assert 84 * math.pi == pytest.approx(263.894, rel=1e-5)
