"""Flow through small holes, and leak-down, against tables, textbooks and a reference library."""

from __future__ import annotations

import math

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtrue.errors import ReadingImpossible
from ringtrue.physics import area_ratio, effective_area, equivalent_loss
from ringtrue.physics._gas import GAMMA, R_AIR, critical_ratio, flow_function, mass_flow
from ringtrue.quantities import STANDARD_AIR, PaAbs, PaGauge

PSI, INCH = 6894.757293168361, 0.0254
ATMOSPHERE = 14.7 * PSI
SEVENTY_F = (70 + 459.67) / 1.8
CUBIC_FOOT_PER_MINUTE = 0.3048**3 / 60


def free_air(diameter_in: float, gauge_psi: float) -> float:
    """Return the flow from a gauge pressure into the air at 70 F, coefficient 1, in ft3/min of free air."""
    area = math.pi / 4 * (diameter_in * INCH) ** 2
    flow = mass_flow(area, gauge_psi * PSI + ATMOSPHERE, ATMOSPHERE, SEVENTY_F, GAMMA, R_AIR)
    return flow * R_AIR * SEVENTY_F / ATMOSPHERE / CUBIC_FOOT_PER_MINUTE


# If this failed, the flow of a leak would not be that of the tables in the handbooks.
# Printed: handbook table "Discharge of air through an orifice", 100 % coefficient, 14.7 psia, 70 F, three figures,
# seen as a reprint. Above 15 psig the table rests on an empirical formula, so that is where it leaves the isentropic
# one, by up to 0.6 %.
@pytest.mark.parametrize(
    ("diameter", "gauge_psi", "printed"),
    [
        *((1 / 4, p, q) for p, q in [(1, 7.18), (3, 12.4), (5, 15.9), (7, 18.7), (9, 21.1), (12, 24.3)]),
        *((1 / 16, p, q) for p, q in [(20, 1.96), (40, 3.10), (60, 4.23), (80, 5.36), (100, 6.49), (120, 7.62)]),
        *((1 / 32, p, q) for p, q in [(20, 0.491), (40, 0.774), (60, 1.06), (80, 1.34), (100, 1.62), (120, 1.91)]),
    ],
)
def test_handbook_discharge_table(diameter: float, gauge_psi: float, printed: float) -> None:
    assert free_air(diameter, gauge_psi) == pytest.approx(printed, rel=0.006)


# If this failed, choked flow would not be that of the textbooks.
# Evaluated from a printed formula: textbook example 16.12, 0.0404 p A / sqrt T; 7 MPa, 2000 C, 20 mm: 1.863 kg/s.
def test_choked_nozzle_of_a_textbook() -> None:
    area = math.pi / 4 * 0.020**2
    assert mass_flow(area, 7e6, 1e5, 2273.15, 1.4, 286.0) == pytest.approx(1.863, rel=0.003)
    assert critical_ratio(1.4) == pytest.approx(0.528282, abs=1e-6)


# If this failed, flow through the restrictor of a leak-down tester would be another than a reference library gives.
# Library: fluids.safety_valve.API520_A_g, both regimes, the area that passes our flow is the area we gave.
@pytest.mark.parametrize("downstream_psi", [0.0, 35.0, 40.0, 60.0, 70.0, 75.0, 79.0])
def test_restrictor_against_a_reference_library(downstream_psi: float) -> None:
    area = math.pi / 4 * (0.040 * INCH) ** 2
    upstream, downstream = 80 * PSI + STANDARD_AIR, downstream_psi * PSI + STANDARD_AIR
    flow = mass_flow(area, upstream, downstream, 293.15, 1.4, 8.31446261815324 / 0.0289647)
    theirs = fluids.safety_valve.API520_A_g(m=flow, T=293.15, Z=1, MW=28.9647, k=1.4, P1=upstream, P2=downstream, Kd=1)
    assert theirs == pytest.approx(area, rel=6e-4)


# If this failed, a leak-down reading would be turned into a leak of the wrong size.
# Isentropic balance at 80 psig, 14.7 psia; computed with a public library, not seen in print.
@pytest.mark.parametrize(
    ("held", "ratio"),
    [
        (79, 0.21328),
        (75, 0.48665),
        (72, 0.62531),
        (70, 0.70667),
        (65, 0.89),
        (60, 1.05853),
        (55, 1.22128),
        (50, 1.38353),
        (40, 1.72196),
    ],
)
def test_leak_over_restrictor(held: float, ratio: float) -> None:
    assert area_ratio(PaGauge(80.0), PaGauge(held), PaAbs(14.7)) == pytest.approx(ratio, rel=1e-3)


# If this failed, the reading would be said to depend on flow where the restrictor is choked, or not where it is not.
# From the critical ratio: the restrictor is choked below 35.33 psig in the cylinder, the leak above 13.13 psig.
def test_where_restrictor_and_leak_choke() -> None:
    critical = critical_ratio(GAMMA)
    assert critical * (80 + 14.7) - 14.7 == pytest.approx(35.33, abs=0.05)
    assert 14.7 / critical - 14.7 == pytest.approx(13.13, abs=0.05)
    assert flow_function(0.1, GAMMA) == pytest.approx(flow_function(critical, GAMMA), rel=1e-14)
    assert flow_function(1.0, GAMMA) == 0.0


# If this failed, "a fifth lost through 0.040 in" would be another hole than 0.60 mm2. Derived by hand: the balance at
# 64 of 80 psi is 0.926 of the restrictor, whose effective area is 0.8 x 0.811 mm2.
def test_effective_area_of_a_fifth_lost() -> None:
    assert 1e6 * effective_area(PaGauge(80 * PSI), PaGauge(64 * PSI), 0.040 * INCH) == pytest.approx(0.60, abs=0.005)


# If this failed, the same leak would have two sizes, depending on the restrictor it was read through.
@given(held=st.floats(1.0, 79.9), used=st.floats(0.5, 3.0), wanted=st.floats(0.5, 3.0))
def test_a_leak_has_one_size(held: float, used: float, wanted: float) -> None:
    supply = PaGauge(80 * PSI)
    loss = equivalent_loss(supply, PaGauge(held * PSI), used * 1e-3, wanted * 1e-3)
    assert loss is not None
    again = effective_area(supply, PaGauge(supply * (1 - loss)), wanted * 1e-3)
    assert again == pytest.approx(effective_area(supply, PaGauge(held * PSI), used * 1e-3), rel=1e-5)


# If this failed, a sealed cylinder would leak, or a dead one would have a leak of some size.
def test_the_ends_of_the_scale() -> None:
    supply = PaGauge(80 * PSI)
    assert equivalent_loss(supply, supply, 1e-3, 2e-3) == 0.0
    assert equivalent_loss(supply, PaGauge(0.0), 1e-3, 2e-3) is None
    with pytest.raises(ReadingImpossible, match="holds nothing, or more than it is given"):
        area_ratio(supply, PaGauge(81 * PSI))
