"""The odds of causes: patterns of the trade, and what must hold whatever was read. Common practice where no source."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.explaining import FINE, SIX, finals, leakdown, odds, of, taken, wet
from tests.pulled import measured, pulled, pulls, si

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.diagnosis import Cause, Check, EngineCause, Explanation, Practice, Slip, Unsure, explain
from ringtrue.diagnosis.causes import LEAKS
from ringtrue.engine import BuildSheet, Cooling, Geometry, Layout
from ringtrue.errors import InputRefused
from ringtrue.units import Dimension


def sums(explained: Explanation) -> list[float]:
    """Return what each set of odds sums to."""
    each = [math.fsum(one.probability for one in cylinder.causes) for cylinder in explained.cylinders]
    return [*each, math.fsum(one.probability for one in explained.engine)]


# If this failed, a sound engine would send its builder looking for what is not there (common practice: under 1 %).
def test_a_sound_engine_is_left_alone() -> None:
    explained = explain(taken(finals()), SIX)
    assert explained.nothing_to_do
    assert {each.answer.says for each in explained.cylinders} == {Cause.SOUND}


# If this failed, a single low final would be said to be rings, or a valve: with all plugs out they cost the same.
@pytest.mark.parametrize("low", [140.0, 130.0, 118.0, 95.0, 60.0, 20.0])
@pytest.mark.parametrize("sheet", [SIX, None], ids=["sheet", "no sheet"])
def test_a_final_alone_never_names_the_path(low: float, sheet: BuildSheet | None) -> None:
    explained = explain(taken(finals(c5=low), firsts=False), sheet)
    assert all(odds(explained, "5")[path] < 0.5 for path in LEAKS)
    assert of(explained, "5").answer.says in {Cause.SOUND, *Unsure}


# If this failed, a cylinder that is low with a good leak-down would still be said to leak (common practice: it is not
# filling).
def test_low_with_a_good_leak_down_is_charge() -> None:
    explained = explain(taken(finals(c4=118), leakdown("4", 77, "nothing"), *wet(c4=124)), SIX)
    found = odds(explained, "4")
    assert sum(found[path] for path in LEAKS) < 0.1
    assert of(explained, "4").answer.says in {Unsure.CHARGE_OR_TIMING, Unsure.UNDECIDED, Cause.NOT_FILLING}
    assert Check.VALVE_LIFT in {each.check for each in explained.next}


# If this failed, a speed that was mistyped would be told as a slow starter, nearly certain, beside a level that no slow
# starter makes (physics: slower cranking lowers the final).
def test_a_stated_speed_that_the_level_contradicts_is_not_believed() -> None:
    def shared(rpm: float) -> tuple[EngineCause, float | None]:
        test = taken(finals())
        day = replace(test.conditions, cranking_speed=measured(rpm, "rpm", Dimension.ROTATION))
        explained = explain(replace(test, conditions=day), SIX)
        return explained.engine[0].cause, explained.level

    cause, level = shared(45.0)
    assert level is not None
    assert level > 1.25
    assert cause is not EngineCause.SLOW_OR_COLD_CRANKING
    assert shared(100.0)[0] is EngineCause.SLOW_OR_COLD_CRANKING
    with pytest.raises(InputRefused, match="good for 40 to 600 rpm"):
        shared(19.0)


# If this failed, lift that was measured to be missing would not settle that the cylinder does not fill.
def test_lost_lift_names_the_lobe() -> None:
    lost = Pull(
        cylinder="4", repeat=2, final=pulls({"4": 118.0})[0].final, lift_loss=measured(3, "mm", Dimension.LENGTH)
    )
    test = pulled(*pulls({**finals(), "4": None}), replace(lost, repeat=1), leakdown("4", 77, "nothing"))
    assert of(explain(test, SIX), "4").answer.says is Cause.NOT_FILLING


# If this failed, oil's own volume would be read as rings that seal: a twentieth of oil makes +5 % by itself.
def test_a_wet_rise_that_is_only_the_oil_changes_nothing() -> None:
    explained = explain(taken(finals(), *wet(c1=160, c2=162, c3=159, c4=160, c5=161, c6=162)), SIX)
    assert explained.nothing_to_do
    assert explained.engine[0].cause is EngineCause.NONE


# If this failed, one whole bank down would be put on its cylinders one by one (common practice: its cam or gasket).
def test_a_whole_bank_that_is_low_is_the_bank() -> None:
    eight = BuildSheet(
        name="invented eight",
        layout=Layout.V,
        cylinders=tuple("12345678"),
        banks=(tuple("1357"), tuple("2468")),
        geometry=Geometry(bore=0.1, stroke=0.09, compression_ratio=9.0),
    )
    low: dict[str, float | None] = {
        "1": 150.0,
        "3": 151.0,
        "5": 149.0,
        "7": 150.0,
        "2": 131.0,
        "4": 132.0,
        "6": 130.0,
        "8": 131.0,
    }
    explained = explain(taken(low, firsts=False), eight)
    assert sum(each.probability for each in explained.banks) > 0.5
    assert explained.banks[0].bank == 1
    assert {each.bank: each.probability for each in explained.banks}.get(0, 0.0) < 0.25
    assert not explained.nothing_to_do
    assert explained.next[0].check is Check.CAM_TIMING


# If this failed, a cylinder with no compression at all would be called a slip of the pen (common practice: a valve
# stuck open, a hole in the piston, no valve motion).
@pytest.mark.parametrize("final", [0.0, 2.0, 8.0])
@pytest.mark.parametrize("sheet", [SIX, None], ids=["sheet", "no sheet"])
def test_a_dead_cylinder_is_no_slip(final: float, sheet: BuildSheet | None) -> None:
    alone = odds(explain(taken(finals(c5=final), firsts=False), sheet), "5")
    assert alone[Cause.MISREAD] < 0.3
    heard = explain(taken(finals(c5=final), leakdown("5", 3, "exhaust", supply=100), firsts=False), sheet)
    assert of(heard, "5").answer.says is Cause.EXHAUST_VALVE


# If this failed, one cylinder with nothing to compare it with would be called sound, and its builder told to stop.
def test_one_cylinder_alone_is_not_waved_through() -> None:
    assert not explain(taken({"1": 45.0}, firsts=False), None).nothing_to_do


# If this failed, all low and alike would be blamed on cylinders, or on nothing (look at the day first).
def test_all_low_and_alike_is_the_engine_or_its_day() -> None:
    explained = explain(taken(finals(*(0.6 * each for each in FINE)), firsts=False), SIX)
    assert all(each.answer.says is Cause.SOUND for each in explained.cylinders)
    assert 1 - next(each.probability for each in explained.engine if each.cause is EngineCause.NONE) > 0.4
    assert explained.next[0].check in {Check.BATTERY_AND_THROTTLE, Check.ANOTHER_GAUGE}
    # One cylinder with oil stands for all: washed bores come back with it. Every other check is of the whole engine.
    assert {each.check for each in explained.next if each.cylinder} == {Check.WET_PULL}
    assert explained.level == pytest.approx(0.6, rel=0.15)


# If this failed, a leak-down that contradicts the ear would be averaged into a guess.
@pytest.mark.parametrize(
    ("reading", "slip"),
    [
        (leakdown("5", 80, "exhaust"), Slip.HEARD_ELSEWHERE),
        (leakdown("5", 50, "nothing"), Slip.FITTING_LEAKS),
        (leakdown("5", 60, "nothing", "intake"), Slip.NOT_LISTENED),
    ],
)
def test_contradictions_are_set_aside_and_told(reading: object, slip: Slip) -> None:
    assert not isinstance(reading, Pull)
    explained = explain(taken(finals(c5=125), reading), SIX)  # type: ignore[arg-type]
    assert [(each.cylinder, each.slip) for each in explained.contradictions] == [("5", slip)]
    assert odds(explained, "5") == odds(explain(taken(finals(c5=125)), SIX), "5")
    assert not explained.nothing_to_do


# If this failed, a leak-down taken beside top dead centre would condemn a cylinder whose final is as good as any.
def test_a_poor_leak_down_on_a_fine_cylinder_is_read_again() -> None:
    explained = explain(taken(finals(), leakdown("2", 35, "exhaust")), SIX)
    assert [(each.cylinder, each.slip) for each in explained.contradictions] == [("2", Slip.NOT_AT_TOP)]
    assert of(explained, "2").answer.says is Cause.SOUND


# If this failed, an engine without a common gasket or without coolant could have a leak into what it has not.
def test_causes_that_cannot_be_are_absent() -> None:
    air = replace(SIX, cooling=Cooling.AIR, heads=None)
    found = odds(explain(taken(finals(c3=110, c4=108)), air), "3")
    assert Cause.GASKET_COOLANT not in found
    assert Cause.GASKET_NEIGHBOUR not in found


# If this failed, a sheet that the model cannot use would stop the builder from being told anything.
def test_a_two_stroke_is_compared_with_its_siblings() -> None:
    explained = explain(taken(finals(c5=110)), replace(SIX, cycle=2))
    assert not explained.with_sheet
    assert of(explained, "5").answer.says is not Cause.SOUND
    assert of(explained, "5").leak_area is None


# If this failed, a test in which nothing dry was read would be explained from nothing.
def test_without_a_dry_final_nothing_is_said() -> None:
    assert explain(pulled(*pulls({"1": None, "2": None})), SIX).cylinders == ()
    assert explain(pulled(leakdown("1", 60, "exhaust")), SIX).cylinders == ()


# If this failed, a cylinder that is off by what it was off by when new would be called worn.
def test_an_earlier_test_of_the_engine_is_remembered() -> None:
    before = taken(finals(c4=146), firsts=False)
    alone, with_it = (explain(taken(finals(c4=145), firsts=False), SIX, earlier=earlier) for earlier in ((), (before,)))
    assert odds(with_it, "4")[Cause.SOUND] > odds(alone, "4")[Cause.SOUND]


# If this failed, a shop's own experience would change nothing.
def test_a_shops_own_practice_counts() -> None:
    usual = Practice()
    shop = replace(usual, causes={**usual.causes, Cause.EXHAUST_VALVE: 0.1})
    test = taken(finals(c5=118))
    assert (
        odds(explain(test, SIX, practice=shop), "5")[Cause.EXHAUST_VALVE]
        > (odds(explain(test, SIX), "5")[Cause.EXHAUST_VALVE])
    )


# If this failed, dead cylinders, one cylinder, two halves or wild figures would end in odds that are none.
@pytest.mark.parametrize(
    "dry",
    [
        {"1": 0.0},
        {"1": 150.0},
        {"1": 0.0, "2": 0.0},
        {"1": 0.0, "2": 150.0},
        finals(c1=0.0),
        finals(c1=1.0, c2=1400.0),
        finals(*(0.0,) * 6),
        finals(*(1450.0,) * 6),
        finals(150, 150, 150, 75, 75, 75),
        {str(number): 150.0 + number % 3 for number in range(1, 25)},
    ],
    ids=str,
)
@pytest.mark.parametrize("on_sheet", [True, False])
def test_odds_are_odds_whatever_was_read(dry: dict[str, float | None], *, on_sheet: bool) -> None:
    names = tuple(dry)
    layout = Layout.SINGLE if len(names) == 1 else Layout.INLINE
    sheet = replace(SIX, cylinders=names, banks=(names,), layout=layout) if on_sheet else None
    explained = explain(taken(dry, firsts=False), sheet)
    assert sums(explained) == pytest.approx([1.0] * (len(names) + 1), abs=1e-9)
    for each in explained.cylinders:
        assert all(0 <= one.probability <= 1 for one in each.causes)
        if each.leak_area is not None:
            assert (
                0 < each.leak_area.low <= each.leak_area.median <= each.leak_area.high < si(1, "in", Dimension.LENGTH)
            )


ROWS: tuple[Pull | LeakdownReading, ...] = (
    *pulls(finals(c3=112, c5=131), finals(*(0.7 * each for each in FINE))),
    *wet(c3=140, c5=139),
    leakdown("3", 52, "crankcase"),
    leakdown("5", 66, "exhaust", "crankcase"),
    replace(pulls({"3": 114.0})[0], repeat=2, plug="oily"),
    Pull(cylinder="1", kind=Kind.DRY, drift=True, final=pulls({"1": 150.0})[0].final),
)


# If this failed, what is said would hang on who was pulled first, or on the day it is asked.
@settings(max_examples=12, deadline=None)
@given(st.permutations(ROWS))
def test_the_order_in_which_readings_come_changes_nothing(rows: list[Pull | LeakdownReading]) -> None:
    assert explain(pulled(*rows), SIX) == explain(pulled(*ROWS), SIX)


# If this failed, two people who entered the same cylinder would get a cause for the mean of what neither has read.
def test_two_readings_that_claim_to_be_one_are_left_aside_until_one_is_chosen() -> None:
    explained = explain(taken(finals(), *pulls({"3": 0.7 * FINE[2]}), firsts=False), SIX)
    assert [(each.cylinder, each.slip) for each in explained.contradictions] == [("3", Slip.TWO_READINGS)]
    assert not next(each for each in explained.cylinders if each.cylinder == "3").read
    assert not explained.nothing_to_do


# If this failed, the only live cylinder of two would be called misread and the dead one sound, or somebody be sent to
# crank a cylinder with something loose in it. Common practice: look before cranking again.
@pytest.mark.parametrize("others", [(152.0,), (152.0, 151.0, 150.0)], ids=["two", "four"])
def test_a_dead_cylinder_is_not_the_measure_of_the_others(others: tuple[float, ...]) -> None:
    explained = explain(taken({"9": 0.0, **{str(n): final for n, final in enumerate(others)}}, firsts=False), None)
    assert odds(explained, "9")[Cause.SOUND] < 0.01
    assert all(of(explained, str(n)).answer.says is Cause.SOUND for n in range(len(others)))
    checks = {each.check for each in explained.next if each.cylinder == "9"}
    assert checks
    assert not checks & {Check.REPEAT_PULL, Check.WET_PULL, Check.LEAK_DOWN}


# If this failed, a dry pull would be proposed with oil still in the cylinder, which raises what it reads.
def test_no_dry_pull_with_oil_in_it() -> None:
    explained = explain(taken(finals(c5=118.0), *wet(c5=121.0), firsts=False), SIX)
    assert Check.REPEAT_PULL not in {each.check for each in explained.next if each.cylinder == "5"}
