"""What oil does, and what leaks away."""

from __future__ import annotations

import math

import pytest
from tests.pulled import measured, pulled, pulls, reading, si

from ringtrue.compression import CompressionTest, Conditions, Kind, LeakdownReading, Pull
from ringtrue.engine import BuildSheet, Geometry, Layout, Limits
from ringtrue.errors import ReadingImpossible
from ringtrue.measure import (
    OIL_SHARE_WARNING,
    LeakdownFigures,
    Outcome,
    WetOverDry,
    judge,
    leak_fraction,
    thresholds,
)
from ringtrue.measure.oil import oil_rise
from ringtrue.quantities import PaGauge
from ringtrue.units import Dimension

# By hand: 92 mm by 98 mm sweeps 651.5 cc; a ratio of 8.4 leaves 88.0 cc.
GEOMETRY = Geometry(bore=0.092, stroke=0.098, compression_ratio=8.4)


def engine(geometry: Geometry = GEOMETRY, *adopt: str) -> BuildSheet:
    """Return an engine of one cylinder."""
    return BuildSheet(
        name="invented", layout=Layout.SINGLE, cylinders=("1",), geometry=geometry, limits=Limits(adopt=adopt)
    )


def wet_test(dry: float, wet: float, oil: float | None = None, barometer: float | None = None) -> CompressionTest:
    """Return a dry and a wet pull of one cylinder, with so many cc of oil."""
    poured = None if oil is None else measured(oil, "cc", Dimension.VOLUME)
    return CompressionTest(
        (*pulls([dry]), Pull(cylinder="1", kind=Kind.WET, final=reading(wet, "psi"), oil=poured)),
        conditions=Conditions(barometer=None if barometer is None else measured(barometer, "hPa")),
    )


def compared(test: CompressionTest, sheet: BuildSheet | None = None) -> WetOverDry:
    """Return what oil did to the one cylinder."""
    (found,) = judge(test, sheet=sheet).wet_over_dry
    return found


def leaked(
    held: float | None,
    restrictor: float | None = 0.040,
    *,
    sheet: BuildSheet | None = None,
    equivalent: float | None = None,
    limit: float = 0.20,
) -> LeakdownFigures:
    """Return a leak-down reading at 80 psi, judged."""
    taken = LeakdownReading(
        cylinder="1",
        supply=reading(80, "psi"),
        held=reading(held, "psi"),
        restrictor=None if restrictor is None else measured(restrictor, "in", Dimension.LENGTH),
        heard=("crankcase",),
    )
    (found,) = judge(
        pulled(taken),
        sheet=sheet,
        thresholds=thresholds({"leakdown_suspect": limit}),
        equivalent_loss=None if equivalent is None else lambda *_: equivalent,
    ).leakdown
    return found


# If this failed, the raw ratio would not be what the two readings say.
def test_the_raw_ratio_is_wet_over_dry() -> None:
    found = compared(wet_test(120, 150))
    assert found.ratio == pytest.approx(1.25)
    assert (found.net_ratio, found.oil_share, found.reason) == (None, None, "how much oil was not said")


# If this failed, a sound cylinder would look mended by oil that only takes up room (derived by hand).
def test_the_oils_own_volume_is_taken_out() -> None:
    swept = math.pi / 4 * 9.2**2 * 9.8
    clearance = swept / 7.4
    rise = ((clearance + swept - 5) / (clearance - 5) * clearance / (clearance + swept)) ** 1.3
    wet = (150 + 14.6959) * rise - 14.6959
    found = compared(wet_test(150, wet, 5), engine())
    assert found.net_ratio == pytest.approx(1.0, abs=1e-6)
    assert found.oil_share == pytest.approx(5 / clearance)
    assert found.reason == "exponent 1.3; standard atmosphere; compression from bottom dead centre"


# If this failed, the air of a mountain would be taken for that of the sea.
def test_the_barometer_of_the_day_is_used() -> None:
    at_sea, on_a_mountain = (compared(wet_test(120, 150, 5, barometer), engine()) for barometer in (None, 800.0))
    assert at_sea.net_ratio is not None
    assert on_a_mountain.net_ratio is not None
    assert on_a_mountain.net_ratio > at_sea.net_ratio
    assert "barometer of the day" in on_a_mountain.reason


# If this failed, a rule of thumb of the trade would contradict the arithmetic: about 5 % from 5 cc in 0.9 litre, about
# 17 % from 15 cc (found by simulating such a cylinder; a check of the order, not of the digits).
@pytest.mark.parametrize(("oil", "rise"), [(5, 0.05), (15, 0.17)])
def test_the_rise_is_of_the_order_that_simulation_shows(oil: float, rise: float) -> None:
    clearance = 900 / 8
    gauge = (1 + 1 / 12.5) * oil_rise(clearance, 900 + clearance, oil) - 1 / 12.5
    assert gauge - 1 == pytest.approx(rise, rel=0.25)


# If this failed, too much oil would go unnoticed, or more oil than room would give a figure.
def test_too_much_oil() -> None:
    spoonful = compared(wet_test(120, 150, 15), engine())
    assert spoonful.oil_share is not None
    assert spoonful.oil_share > OIL_SHARE_WARNING
    full = compared(wet_test(120, 150, 100), engine())
    assert (full.net_ratio, full.reason) == (None, "the oil is more than the clearance volume")


# If this failed, a dead cylinder would divide by its nothing.
def test_a_dead_cylinder_has_no_ratio() -> None:
    found = compared(wet_test(0, 50, 5), engine())
    assert (found.ratio, found.net_ratio, found.reason) == (None, None, "the dry final is zero")


# If this failed, a net ratio would be made of volumes that nobody knows.
@pytest.mark.parametrize(
    ("sheet", "reason"),
    [
        (None, "the clearance volume is not known"),
        (engine(Geometry(bore=0.092)), "the clearance volume is not known"),
    ],
)
def test_without_volumes_there_is_no_net_ratio(sheet: BuildSheet | None, reason: str) -> None:
    found = compared(wet_test(120, 150, 5), sheet)
    assert (found.net_ratio, found.reason) == (None, reason)


# If this failed, cylinders that were not tried both ways would be compared.
def test_only_cylinders_read_both_ways_are_compared() -> None:
    test = pulled(*pulls([150, 120, None]), *pulls({"2": 150, "3": 140}, kind=Kind.WET))
    assert [each.cylinder for each in judge(test).wet_over_dry] == ["2"]


# If this failed, common practice would be held at another loss, or held against a loss that is exactly a fifth.
@pytest.mark.parametrize(
    ("held", "outcome"), [(76, Outcome.MET), (64, Outcome.MET), (63.9, Outcome.NOT_MET), (0, Outcome.NOT_MET)]
)
def test_more_than_a_fifth_is_suspect(held: float, outcome: Outcome) -> None:
    found = leaked(held)
    assert (found.rule, found.limit, found.source) == ("leakdown_suspect", 0.20, "common practice")
    assert (found.outcome, found.heard) == (outcome, ("crankcase",))
    assert "gauge not known" in found.reason


# If this failed, a loss through an unknown hole would be judged as if it were known.
def test_without_a_restrictor_it_is_not_judged() -> None:
    found = leaked(40, None)
    assert (found.outcome, found.reason) == (Outcome.NOT_JUDGED, "restrictor not known")
    assert found.loss == pytest.approx(0.5)


# If this failed, a loss through another restrictor would be judged by the wrong rule, or never.
def test_another_restrictor_is_converted_or_not_judged() -> None:
    assert leaked(60, 0.060).outcome is Outcome.NOT_JUDGED
    small, large = leaked(60, 0.060, equivalent=0.15), leaked(60, 0.060, equivalent=0.45)
    assert (small.outcome, large.outcome) == (Outcome.MET, Outcome.NOT_MET)
    assert small.loss == pytest.approx(0.25)
    assert "15.00 %" in small.reason


# If this failed, a reading that nobody took would be a loss of everything.
def test_a_blank_is_not_a_loss() -> None:
    found = leaked(None)
    assert (found.loss, found.outcome, found.reason) == (None, Outcome.NOT_JUDGED, "supply or held not read")


# If this failed, the aircraft rule would be held through the restrictor of another bore.
@pytest.mark.parametrize(
    ("bore", "restrictor", "outcome"),
    [
        (4.99, 0.040, Outcome.MET),
        (5.00, 0.060, Outcome.MET),
        (5.00, 0.040, Outcome.NOT_JUDGED),
        (4.375, 0.060, Outcome.NOT_JUDGED),
        (None, 0.060, Outcome.MET),
        (None, 0.050, Outcome.NOT_JUDGED),
    ],
)
def test_the_aircraft_rule_and_the_restrictor_of_the_bore(
    bore: float | None, restrictor: float, outcome: Outcome
) -> None:
    geometry = Geometry(bore=None if bore is None else si(bore, "in", Dimension.LENGTH))
    found = leaked(60, restrictor, sheet=engine(geometry, "DT-03"))
    assert (found.rule, found.source, found.outcome) == ("DT-03", "DT-03", outcome)


# If this failed, the shop's own limit would not be used.
def test_a_shops_own_leakdown_limit() -> None:
    assert leaked(66, limit=0.15).outcome is Outcome.NOT_MET
    assert leaked(66, limit=0.15).source == "shop settings"


# If this failed, swapped gauges would make a loss of less than nothing.
@pytest.mark.parametrize(
    ("supply", "held", "says"), [(60, 80, "swapped"), (0, 0, "regulated pressure"), (80, -1, "between nothing and all")]
)
def test_impossible_leakdown_readings_are_refused(supply: float, held: float, says: str) -> None:
    with pytest.raises(ReadingImpossible, match=says):
        leak_fraction(PaGauge(supply), PaGauge(held))
