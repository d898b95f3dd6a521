"""
What print names, the odds name too.

CT-02: US Army TM 5-4210-230-14&P-1, addendum 2 (read): a clear rise with oil says rings, none says valves, none and two
neighbours low says head gasket. DT: FAA AC 43.13-1B, chapter 8, 8-14 (read): 60 held of 80 is on the limit, and where
the air comes out says what leaks. CT-07: US Army TM 5-3895-359-14&P, table 2 and its example (read): 445, 440, 405 and
435 psi with a limit of 25 psi; cylinder 3 is at fault. The engine about them is invented.
"""

from __future__ import annotations

import pytest
from tests.explaining import SIX, finals, leakdown, odds, of, taken, wet

from ringtrue.compression import CompressionTest
from ringtrue.diagnosis import Cause, Check, Explanation, Unsure, explain
from ringtrue.diagnosis.causes import LEAKS
from ringtrue.engine import BuildSheet, Geometry, Ignition, Layout

VALVES = (Cause.INTAKE_VALVE, Cause.EXHAUST_VALVE)


def said(test: CompressionTest) -> Explanation:
    return explain(test, SIX)


# If this failed, oil that clearly helps would not speak for the rings as the manual reads it, or would be forgotten.
def test_ct02_a_clear_rise_with_oil_is_rings() -> None:
    dry = finals(c3=112)
    before, after = odds(said(taken(dry)), "3"), odds(said(taken(dry, *wet(c3=150, c1=160))), "3")
    assert before[Cause.RINGS] < 0.5
    assert after[Cause.RINGS] > 0.75
    assert of(said(taken(dry, *wet(c3=150, c1=160))), "3").answer.says is Cause.RINGS


# If this failed, oil that changes nothing would leave the rings as likely as they were, or a valve no likelier.
def test_ct02_no_rise_is_a_valve() -> None:
    dry = finals(c3=112)
    before, after = odds(said(taken(dry)), "3"), odds(said(taken(dry, *wet(c3=118, c1=160))), "3")
    assert after[Cause.RINGS] < 0.1 < before[Cause.RINGS]
    assert sum(after[valve] for valve in VALVES) > sum(before[valve] for valve in VALVES)
    leak = {cause: after[cause] for cause in LEAKS}
    assert max(leak, key=lambda cause: leak[cause]) in VALVES


# If this failed, two low neighbours that oil does not change would not be their head gasket.
def test_ct02_two_low_neighbours_and_no_rise_are_the_gasket() -> None:
    explained = said(taken(finals(c3=110, c4=108), *wet(c3=116, c4=114, c1=160)))
    for name, other in (("3", "4"), ("4", "3")):
        assert of(explained, name).answer.says is Cause.GASKET_NEIGHBOUR
        assert of(explained, name).partner == other


# If this failed, air that is heard at its place would not name the path on a cylinder that holds 60 of 80.
@pytest.mark.parametrize(
    ("heard", "cause"),
    [
        ("crankcase", Cause.RINGS),
        ("intake", Cause.INTAKE_VALVE),
        ("exhaust", Cause.EXHAUST_VALVE),
        ("coolant", Cause.GASKET_COOLANT),
    ],
)
def test_dt_sixty_of_eighty_and_where_the_air_is_heard(heard: str, cause: Cause) -> None:
    explained = said(taken(finals(c2=138), leakdown("2", 60, heard)))
    assert of(explained, "2").answer.says is cause


# If this failed, air at the next plug hole would not name the gasket between the two.
def test_dt_air_at_the_next_plug_hole_is_the_gasket() -> None:
    test = taken(finals(c2=138, c3=139), leakdown("2", 60, "cylinder 3"), leakdown("3", 60, "cylinder 2"))
    explained = said(test)
    assert of(explained, "2").answer.says is of(explained, "3").answer.says is Cause.GASKET_NEIGHBOUR


# If this failed, the manual's own example would be waved through, or more be made of it than one final can carry.
def test_ct07_the_third_cylinder_is_the_odd_one() -> None:
    diesel = BuildSheet(
        name="invented four",
        layout=Layout.INLINE,
        cylinders=tuple("1234"),
        banks=(tuple("1234"),),
        ignition=Ignition.COMPRESSION,
        geometry=Geometry(bore=0.1, stroke=0.12, compression_ratio=17.5),
    )
    explained = explain(taken({"1": 445.0, "2": 440.0, "3": 405.0, "4": 435.0}, firsts=False), diesel)
    sound = {each.cylinder: odds(explained, each.cylinder)[Cause.SOUND] for each in explained.cylinders}
    assert min(sound, key=lambda name: sound[name]) == "3"
    assert sound["3"] < 0.6 < min(each for name, each in sound.items() if name != "3")
    assert of(explained, "3").answer.says in {Cause.SOUND, *Unsure}
    assert Check.WET_PULL not in {each.check for each in explained.next}
