"""The crank turned by hand: which cylinder comes up next, and how far that is."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtrue.engine import BuildSheet, Layout, turning
from ringtrue.wording import turn_text, turning_line, turning_rows, turning_sentences

SIX = BuildSheet(name="six", layout=Layout.INLINE, cylinders=tuple("123456"), firing_order=tuple("153624"))


# If this failed, the builder would turn to the wrong cylinder, or too far. By hand: 720/6 is 120 deg; 1 and 6, 5 and 2,
# 3 and 4 stand at the top together, a whole turn apart in the cycle.
def test_a_six_from_its_third_cylinder() -> None:
    stops = turning(SIX, "3")
    assert [stop.cylinder for stop in stops] == list("362415")
    assert [stop.turn for stop in stops] == [0.0, *(120.0,) * 5]
    assert [stop.companions for stop in stops] == [("4",), ("1",), ("5",), ("3",), ("6",), ("2",)]


# If this failed, an engine that fires unevenly would be turned as if it fired evenly.
def test_an_uneven_engine_has_its_own_intervals() -> None:
    uneven = replace(SIX, layout=Layout.V, firing_intervals=(150.0, 90.0) * 3)
    assert [stop.turn for stop in turning(uneven)] == [0.0, 150.0, 90.0, 150.0, 90.0, 150.0]
    assert [stop.turn for stop in turning(uneven, "5")] == [0.0, 90.0, 150.0, 90.0, 150.0, 90.0]
    assert turning_sentences(uneven, turning(uneven))[3].startswith("After cylinder 4, 90 deg (1/4 turn) more bring")


# If this failed, two pistons that come up at once would be told as one after the other with nothing between.
def test_two_cylinders_that_fire_together() -> None:
    four = BuildSheet(name="four", layout=Layout.V, cylinders=tuple("1234"), firing_order=tuple("1234"))
    rows = turning_rows(turning(replace(four, firing_intervals=(0.0, 360.0, 0.0, 360.0))))
    assert [row[1] for row in rows][:3] == ["begin here", "none: with the one before", "360 deg (1 turn)"]


# If this failed, a single, or a two-stroke, would be turned twice as far or half as far as its cycle is long.
def test_singles_and_two_strokes() -> None:
    single = BuildSheet(name="single", layout=Layout.SINGLE, cylinders=("1",))
    assert [stop.cylinder for stop in turning(single)] == ["1"]
    assert "after 720 deg (2 turns)" in " ".join(turning_sentences(single, turning(single)))
    two = replace(single, cycle=2)
    assert "after 360 deg (1 turn)" in " ".join(turning_sentences(two, turning(two)))
    assert turning_line(single) == ""
    twin = BuildSheet(name="twin", layout=Layout.INLINE, cylinders=("1", "2"), firing_order=("1", "2"), cycle=2)
    assert [(stop.turn, stop.companions) for stop in turning(twin)] == [(0.0, ()), (180.0, ())]


# If this failed, an order would be made up where nobody knows it, or the builder not told what it takes.
def test_without_a_firing_order() -> None:
    unknown = replace(SIX, firing_order=(), firing_intervals=())
    assert turning(unknown) == turning(SIX, "7") == ()
    (said,) = turning_sentences(unknown, ())
    assert "gives no firing order: with firing_order on it" in said


# If this failed, the crank would be stopped where slack keeps the piston off the top. DT-05, DT-06: FAA AC 43.13-1B
# (read): turn in the running direction up to top dead centre; gone past it, back at least half a turn.
def test_how_to_come_to_the_top() -> None:
    said = turning_sentences(SIX, turning(SIX))
    assert said[0] == (
        "Turn in the running direction up to top dead centre (FAA AC 43.13-1B, chapter 8, 8-14b, cautions)."
    )
    assert said[1].startswith("Gone past it: back at least half a turn, and up again (FAA AC 43.13-1B")
    assert "comes 360 deg later" in said[-1]


# If this failed, a builder who turns by shares of a turn would turn another angle than the one that is told.
@given(st.integers(1, 720))
def test_degrees_and_shares_are_the_same_angle(degrees: int) -> None:
    said = turn_text(float(degrees))
    assert said.startswith(f"{degrees} deg")
    if share := re.search(r"\((?:(\d+) )??(?:(\d+)/(\d+)|(\d+)) turns?\)", said):
        whole = int(share[1] or 0) + int(share[4] or 0)
        part = int(share[2]) / int(share[3]) if share[2] else 0.0
        assert 360 * (whole + part) == pytest.approx(degrees)


# If this failed, a cylinder would be left out on the way round, or come up twice.
@given(st.permutations(list("123456")), st.sampled_from("123456"))
def test_every_cylinder_comes_up_once_and_the_circle_closes(order: list[str], first: str) -> None:
    stops = turning(replace(SIX, firing_order=tuple(order), firing_intervals=(120.0,) * 6), first)
    assert stops[0].cylinder == first
    assert sorted(stop.cylinder for stop in stops) == list("123456")
    assert stops[-1].angle + 120 == SIX.cycle_angle
    for stop in stops:
        assert all(abs(other.angle - stop.angle) == 360 for other in stops if other.cylinder in stop.companions)
