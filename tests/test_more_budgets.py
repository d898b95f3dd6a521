"""Budgets of a leak's area and of a forecast, beside reference libraries and by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import GTC
import numpy as np
import pytest
import uncertainties
from tests.pulled import measured, pulled, pulls, reading, si
from uncertainties import umath

from ringtrue.compression import LeakdownReading
from ringtrue.errors import InputRefused
from ringtrue.history import SHARED, Lines, meeting_budget
from ringtrue.measure.limits import Figure, Rule, Side
from ringtrue.measure.why import Not, Why
from ringtrue.shop.judging import Judged, judge_test
from ringtrue.shop.leak_budget import half_of_last_digit
from ringtrue.shop.why import as_json, why_so
from ringtrue.units import Dimension
from ringtrue.wording import why_anchor

HOUR = 3600.0
GAMMA = 1.4
PSI = si(1.0, "psi")


def leaking(held: float, restrictor: str = "0.040") -> Judged:
    """Return a test with one pull and a leak-down of 80 psi through a restrictor in inches."""
    bore = None
    if restrictor:
        bore = replace(measured(float(restrictor), "in", Dimension.LENGTH), written=restrictor)
    row = LeakdownReading(cylinder="3", supply=reading(80, "psi"), held=reading(held, "psi"), restrictor=bore)
    return judge_test(pulled(*pulls({"3": 121.0}), row), None, {})


def leak(held: float) -> Why:
    (found,) = why_so(leaking(held)).budgets
    return found


# If this failed, what makes the area of a leak uncertain would be told wrong. The flow of air through two nozzles in
# series is worked out anew with GTC, which carries uncertainties by its own derivatives: 61 of 80 psi through 0.040 in,
# gauges read to half a psi (3.4 kPa), 10 % for the coefficient, 0.0005 in over root 3 for the bore, 3 kPa for the air.
def test_the_area_of_a_leak() -> None:
    found = leak(61.0)
    supply, held = GTC.ureal(80 * PSI, 3.4e3), GTC.ureal(61 * PSI, 3.4e3)
    bore = GTC.ureal(0.040 * 0.0254, 0.0005 * 0.0254 / math.sqrt(3))
    coefficient, air = GTC.ureal(0.8, 0.08), GTC.ureal(101325.0, 3.0e3)
    given, inside = supply + air, held + air
    inflow = GTC.sqrt(
        2 * GAMMA / (GAMMA - 1) * (GTC.pow(inside / given, 2 / GAMMA) - GTC.pow(inside / given, (GAMMA + 1) / GAMMA))
    )
    outflow = math.sqrt(GAMMA) * (2 / (GAMMA + 1)) ** ((GAMMA + 1) / (2 * (GAMMA - 1)))  # choked: 14.7 of 75.7 psi
    area = 1e6 * coefficient * math.pi / 4 * bore**2 * given * inflow / (inside * outflow)
    assert found.value == pytest.approx(GTC.value(area), rel=1e-6)
    assert found.budget.standard == pytest.approx(GTC.uncertainty(area), rel=0.01)
    parts = {part.name: part.adds for part in found.budget.parts}
    inputs = {Not.SUPPLY: supply, Not.HELD: held, Not.BORE: bore, Not.FLOW: coefficient, Not.AIR: air}
    for name, each in inputs.items():
        assert parts[name] == pytest.approx(abs(GTC.component(area, each)), rel=0.02, abs=1e-5)


# If this failed, a sealed cylinder would have a leak of less than nothing, or a budget be made up for a leak that has
# no size, or a test without any be told to have one.
def test_where_a_leak_has_no_budget() -> None:
    sealed = leak(80.0)
    assert sealed.value == 0
    assert sealed.first_order.low == 0 <= sealed.budget.drawn_low
    for judged in (leaking(0.0), leaking(61.0, "")):
        with pytest.raises(InputRefused, match="How the gauge errs is not known"):
            why_so(judged)


# If this failed, the budget of a leak could not be asked for by its name, or would stand without what it rests on.
def test_a_leak_by_its_name() -> None:
    made = why_so(leaking(61.0), "leak area 3")
    assert [why_anchor(each) for each in made.budgets] == ["leak-area-3"]
    assert any("read to half a psi" in each for each in made.notes)
    told = as_json(made)["budgets"]
    assert isinstance(told, list)
    assert (told[0]["figure"], told[0]["unit"], told[0]["cylinder"]) == ("leak-area-3", "mm2", "3")


# If this failed, a figure would count as sharper, or blunter, than it was written. By hand.
@pytest.mark.parametrize(("written", "half"), [("0.040", 0.0005), ("1", 0.5), ("1,0", 0.05), ("20", 5.0), ("x", 0.0)])
def test_half_of_the_last_digit(written: str, half: float) -> None:
    value = 1.0 if written == "x" else float(written.replace(",", "."))
    figure = replace(measured(value, "mm", Dimension.LENGTH), value=value, written=written)
    assert half_of_last_digit(figure) == pytest.approx(half)


LEAST = Rule("least", "limit", Figure.LOWEST, Side.AT_LEAST, 120.0, "pressure", "practice")


def lines(shared: float = 0.0) -> Lines:
    """Return the course of one cylinder that loses 10 % in 100 h, each reading known to half of a per cent."""
    levels = np.log(np.array([[150.0], [135.0]]))
    return Lines(("1",), (0.0, 100 * HOUR), levels, np.full((2, 1), 0.005), shared**2 * np.eye(2))


# If this failed, a builder would be told the wrong reason for not knowing when his engine is worn. The place where a
# line through two readings meets a limit is T (y1 - ln L) / (y1 - y2), carried by the library `uncertainties`.
def test_a_forecast() -> None:
    found = meeting_budget(lines(), LEAST, ("readings of May", "readings of June"))
    assert found is not None
    first, last = (uncertainties.ufloat(math.log(each), 0.005) for each in (150, 135))
    place = 100 * HOUR * (first - umath.log(120)) / (first - last)
    assert found.value == pytest.approx(place.nominal_value, rel=1e-3)
    assert found.standard == pytest.approx(place.std_dev, rel=0.02)
    parts = {part.name: part.adds for part in found.parts}
    by_hand = {variable: abs(slope) * 0.005 for variable, slope in place.derivatives.items()}
    assert parts["readings of May"] == pytest.approx(by_hand[first], rel=0.03)
    assert parts["readings of June"] == pytest.approx(by_hand[last], rel=0.03)
    assert parts[SHARED] == 0


# If this failed, days and gauges that move all cylinders would be taken for readings that more pulls narrow. By hand:
# what a test shares acts on one cylinder as its own reading does, twice as much where it is twice as uncertain.
def test_what_tests_share() -> None:
    found = meeting_budget(lines(0.01), LEAST, ("readings of May", "readings of June"))
    assert found is not None
    parts = {part.name: part.share for part in found.parts}
    assert parts[SHARED] == pytest.approx(0.8, abs=0.03)
    assert sum(parts.values()) == pytest.approx(1.0)


# If this failed, a place would be told for a limit that lies behind, or that the line never comes to.
def test_no_budget_where_there_is_no_place() -> None:
    for limit in (140.0, 60.0):
        assert meeting_budget(lines(), replace(LEAST, limit=limit), ("a", "b")) is None
