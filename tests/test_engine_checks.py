"""What a build sheet contradicts itself in: every fault, and every word of it. The words are ours (frozen)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ringtrue.engine import (
    MOST_CYLINDERS,
    BuildSheet,
    Geometry,
    Heads,
    Layout,
    Limits,
    faults,
    name_fault,
)
from ringtrue.quantities import PaGauge

# Bore 100 mm, stroke 80 mm sweep 200 pi = 628.3 cm3; a chamber of 69.8 cm3 makes a ratio of 10.0 (worked by hand).
SIZE = Geometry(bore=0.1, stroke=0.08)
ROOM = Geometry(bore=0.1, stroke=0.08, chamber=69.8e-6, deck_clearance=0.0, gasket_thickness=0.0)


def engine(cylinders: str = "1 2 3 4", layout: Layout = Layout.INLINE, **rest: Any) -> BuildSheet:  # noqa: ANN401 - any field
    """Return an engine of these cylinders."""
    return BuildSheet(name="invented", layout=layout, cylinders=tuple(cylinders.split()), **rest)


def told(sheet: BuildSheet) -> list[str]:
    """Return the faults as they are told."""
    return [str(fault) for fault in faults(sheet)]


TWO = (("1", "2"), ("3", "4"))
NAME = 'A cylinder\'s name is 1 to 20 printable characters without a semicolon. Type for example "1" or "L3".'


# If this failed, a builder would not be told that his sheet cannot be, or why, or what to write instead.
@pytest.mark.parametrize(
    ("sheet", "message"),
    [
        (engine(""), "[engine] cylinders: 0 cylinders: An engine here has 1 to 24. List each cylinder once."),
        (
            engine(" ".join(str(number) for number in range(25))),
            "[engine] cylinders: 25 cylinders: An engine here has 1 to 24. List each cylinder once.",
        ),
        (
            engine("1 2 2 2"),
            "[engine] cylinders: cylinder “2” 3 times: Each cylinder has its own name. Rename or remove one.",
        ),
        (engine("1 2;3"), f"[engine] cylinders: “2;3”: {NAME}"),
        (
            engine("1 2", Layout.SINGLE),
            (
                "[engine] cylinders: 2 cylinders: A single has one cylinder. "
                'Write layout = "inline", "V", "flat" or "radial".'
            ),
        ),
        (
            engine(measured={"7": Geometry(bore=0.1)}),
            '[measured."7"]: cylinder “7”: The sheet does not list it. Measure one of 1, 2, 3, 4.',
        ),
        (
            engine(layout=Layout.RADIAL, heads=Heads.SHARED),
            '[engine] heads: "shared": The cylinders of a radial engine have a head each. Write heads = "separate".',
        ),
        # Banks.
        (
            engine(layout=Layout.V, banks=(("1", "2"), ("3", "5", "2"))),
            (
                "[engine] banks: without 4; with unknown 5; more than once 2: Every cylinder stands in one bank, once. "
                "List each bank front to rear."
            ),
        ),
        (
            engine(layout=Layout.V, banks=(("1", "2", "3", "4"), ())),
            "[engine] banks: an empty bank: A bank has at least one cylinder. Remove it.",
        ),
        (
            engine(banks=TWO),
            '[engine] banks: 2 banks: A layout "inline" has one. Write layout = "V" or "flat", or one bank.',
        ),
        (
            engine(layout=Layout.FLAT, banks=(("1",), ("2", "3"), ("4",))),
            "[engine] banks: 3 banks: A flat engine has two. List the left and the right bank.",
        ),
        # Firing.
        (
            engine(cycle=3),
            "[engine] cycle: 3: An engine here has 2 or 4 strokes a cycle. Write cycle = 4 or cycle = 2.",
        ),
        (
            engine(firing_order=("1", "3", "3", "7")),
            (
                "[engine] firing_order: without 2, 4; with unknown 7; more than once 3: A firing order names every "
                "cylinder once. List 1, 2, 3, 4 in the order they fire, or leave the line out."
            ),
        ),
        (
            engine(firing_intervals=(180.0,) * 4),
            "[engine] firing_intervals: 4 intervals: There is no firing order they could follow. Add firing_order.",
        ),
        (
            engine(firing_order=("1", "3", "4", "2"), firing_intervals=(180.0,) * 3),
            (
                "[engine] firing_intervals: 3 intervals for 4 cylinders: "
                "There is one after each cylinder in firing order. "
                "Add or remove some, or leave the line out for even firing."
            ),
        ),
        (
            engine(firing_order=("1", "3", "4", "2"), firing_intervals=(180.0, 180.0, 180.0, 90.0)),
            (
                "[engine] firing_intervals: intervals that sum to 630 deg: "
                "A 4-stroke cycle is 720 deg, and no interval is "
                "negative. Correct them, or leave the line out for even firing."
            ),
        ),
        (
            engine("1 2", firing_order=("1", "2"), firing_intervals=(-90.0, 450.0), cycle=2),
            (
                "[engine] firing_intervals: intervals that sum to 360 deg: "
                "A 2-stroke cycle is 360 deg, and no interval is "
                "negative. Correct them, or leave the line out for even firing."
            ),
        ),
        # Dimensions.
        (
            engine(geometry=Geometry(bore=-0.092)),
            "[geometry] bore: bore -92 mm: It is more than nothing. Measure it again, or leave the line out.",
        ),
        (
            engine(geometry=Geometry(chamber=-71e-6)),
            "[geometry] chamber: chamber -71 cc: It is more than nothing. Measure it again, or leave the line out.",
        ),
        (
            engine(geometry=Geometry(stroke=2.5)),
            "[geometry] stroke: stroke 2500 mm: No engine here is that large. Check the unit.",
        ),
        (
            engine(geometry=Geometry(gasket_thickness=-0.0012)),
            (
                "[geometry] gasket_thickness: gasket_thickness -1.2 mm: A gasket has some thickness. "
                "Write it as it is when crushed."
            ),
        ),
        (
            engine(geometry=Geometry(stroke=0.08, rod=0.04)),
            (
                "[geometry] rod: rod 40 mm: A rod is longer than half the stroke, here 40 mm. "
                "Measure it between the centres of its eyes, or leave the line out."
            ),
        ),
        (
            engine(geometry=Geometry(compression_ratio=1.0)),
            (
                "[geometry] compression_ratio: compression ratio 1: A ratio is above 1, and of 40 at most. "
                "Write volume at bottom over volume at top dead centre, for example 9.2."
            ),
        ),
        (
            engine(geometry=Geometry(compression_ratio=84.0)),
            (
                "[geometry] compression_ratio: compression ratio 84: A ratio is above 1, and of 40 at most. "
                "Write volume at bottom over volume at top dead centre, for example 9.2."
            ),
        ),
        (
            engine(geometry=ROOM.over(Geometry(piston_dish=-70e-6))),
            (
                "[geometry]: a clearance of -0.2 cc: "
                "Chamber, deck, gasket and dish leave nothing above the piston. "
                "Check their signs: a dome is negative, a piston above deck is negative."
            ),
        ),
        (
            engine(geometry=ROOM.over(Geometry(compression_ratio=10.3))),
            (
                "[geometry] compression_ratio: compression ratio 10.3: The volumes on the sheet make 10.00. "
                "Correct the volumes, or leave the ratio out and let the volumes make it."
            ),
        ),
        # Measured on one cylinder.
        (
            engine(geometry=SIZE, measured={"3": Geometry(bore=-0.1)}),
            '[measured."3"] bore: bore -100 mm: It is more than nothing. Measure it again, or leave the line out.',
        ),
        (
            engine(measured={"3": Geometry(compression_ratio=0.5)}),
            (
                '[measured."3"] compression_ratio: compression ratio 0.5: A ratio is above 1, and of 40 at most. '
                "Write volume at bottom over volume at top dead centre, for example 9.2."
            ),
        ),
        (
            engine(geometry=ROOM, measured={"3": Geometry(deck_clearance=-0.01)}),
            (
                '[measured."3"]: a clearance of -8.7 cc: '
                "Chamber, deck, gasket and dish leave nothing above the piston. "
                "Check their signs: a dome is negative, a piston above deck is negative."
            ),
        ),
        (
            engine(geometry=ROOM, measured={"3": Geometry(chamber=66e-6, compression_ratio=10.0)}),
            (
                '[measured."3"] compression_ratio: compression ratio 10: The volumes on the sheet make 10.52. '
                "Correct the volumes, or leave the ratio out and let the volumes make it."
            ),
        ),
        (
            engine(
                geometry=SIZE.over(Geometry(compression_ratio=20.0)),
                measured={"1": Geometry(chamber=20e-6), "2": Geometry(chamber=100e-6)},
            ),
            (
                '[measured."1"]: a clearance of -6.9 cc: Nothing is left above the piston at top dead centre. '
                "Check the measured volumes."
            ),
        ),
        # Limits.
        (
            engine(limits=Limits(minimum=PaGauge(0.0))),
            "[limits] minimum: minimum of 0 Pa: A limit is above zero. Copy it from the service data, or leave it out.",
        ),
        (
            engine(limits=Limits(spread=-1000.0)),
            (
                "[limits] spread: spread of -1000 Pa: A limit is above zero. "
                "Copy it from the service data, or leave it out."
            ),
        ),
        (
            engine(limits=Limits(lowest_over_highest=75.0)),
            (
                "[limits] lowest_over_highest: 75: Lowest over highest is a fraction between 0 and 1. "
                "Write for example 0.80."
            ),
        ),
        (
            engine(limits=Limits(lowest_over_highest=0.0)),
            (
                "[limits] lowest_over_highest: 0: Lowest over highest is a fraction between 0 and 1. "
                "Write for example 0.80."
            ),
        ),
        (
            engine(geometry=Geometry(bore=0.0)),
            "[geometry] bore: bore 0 mm: It is more than nothing. Measure it again, or leave the line out.",
        ),
        (
            engine(limits=Limits(adopt=("CT-04", "CT-99"))),
            "[limits] adopt: “CT-99”: There is no such rule to adopt. Choose among CT-04, CT-05, CT-07, DT-03.",
        ),
    ],
    ids=lambda value: value.partition(":")[0] if isinstance(value, str) else "",
)
def test_every_fault(sheet: BuildSheet, message: str) -> None:
    assert told(sheet) == [message]


# If this failed, a sheet that is sound would be turned away.
@pytest.mark.parametrize(
    "sheet",
    [
        engine("1", Layout.SINGLE),
        engine(layout=Layout.V, banks=TWO),
        engine(layout=Layout.FLAT, banks=TWO),
        # Firing intervals as they are rounded in print: 51.4 x 14 is 719.6.
        engine(
            " ".join(map(str, range(14))),
            firing_order=tuple(map(str, range(14))),
            firing_intervals=(51.4,) * 14,
        ),
        # Two at a time.
        engine(firing_order=("1", "2", "3", "4"), firing_intervals=(0.0, 360.0, 0.0, 360.0)),
        # A ratio within 2 % of the 10.00 that its volumes make, a piston above the deck, a dome.
        engine(geometry=ROOM.over(Geometry(compression_ratio=10.19))),
        engine(geometry=Geometry(bore=0.1, stroke=0.08, chamber=80e-6, deck_clearance=-0.0002, gasket_thickness=0.0)),
        engine(geometry=ROOM.over(Geometry(piston_dish=-10e-6))),
        engine(limits=Limits(lowest_over_highest=1.0, adopt=("CT-04", "CT-05", "CT-07", "DT-03"))),
    ],
)
def test_what_holds_together(sheet: BuildSheet) -> None:
    assert told(sheet) == []


# If this failed, a builder who found one cylinder off its siblings could not write it down: that is why he measured it.
@pytest.mark.parametrize(
    "own",
    [
        Geometry(chamber=62e-6),
        Geometry(compression_ratio=8.5),
        Geometry(bore=0.101),
        Geometry(piston_dish=5e-6),
    ],
)
def test_a_measured_cylinder_may_differ_from_the_rest(own: Geometry) -> None:
    assert told(engine(geometry=ROOM.over(Geometry(compression_ratio=10.0)), measured={"3": own})) == []


# If this failed, one slip in the nominal dimensions would be told again for every cylinder that was measured.
def test_a_nominal_fault_is_told_once() -> None:
    nominal = Geometry(bore=-0.1, stroke=0.08, compression_ratio=1.0)
    sheet = engine(geometry=nominal, measured={name: Geometry(chamber=50e-6) for name in "1234"})
    assert [fault.where for fault in faults(sheet)] == ["[geometry] bore", "[geometry] compression_ratio"]


# If this failed, the builder would mend one fault only to be told the next.
def test_all_faults_are_told_at_once() -> None:
    sheet = engine(
        "1 2 2",
        cycle=4,
        firing_order=("1", "2", "2"),
        firing_intervals=(1.0,),
        geometry=Geometry(bore=0.0, stroke=0.08, rod=0.03),
        limits=Limits(minimum=PaGauge(-1.0), adopt=("none",)),
    )
    assert [fault.where for fault in faults(sheet)] == [
        "[engine] cylinders",
        "[engine] firing_intervals",
        "[geometry] bore",
        "[geometry] rod",
        "[limits] minimum",
        "[limits] adopt",
    ]


# If this failed, a name could not be written on one line of a sheet, or could not be told from two names.
@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("", "“”"),
        ("  ", "“  ”"),
        ("1;2", "“1;2”"),
        ("1\n2", r"“1\n2”"),
        ("\x1b[2J", r"“\x1b[2J”"),
        ("\ud800", r"“\ud800”"),
        ("a" * 21, f"“{'a' * 21}”"),
        ("a" * 1000, f"“{'a' * 40}...”"),
    ],
)
def test_names_that_are_none(name: str, shown: str) -> None:
    assert str(name_fault(name)) == f"{shown}: {NAME}"


# If this failed, a shop that names its cylinders in its own way could not use them.
@pytest.mark.parametrize("name", ["1", "L3", "vorne links", "前一", "№ 7", "A-1", "0", "01", "é" * 20])
def test_names_as_shops_give_them(name: str) -> None:
    assert name_fault(name) is None


NUMBER = st.none() | st.floats(-1.0, 3.0) | st.sampled_from([0.0, 1e-30, 1e30, -1e30])
SIZES = st.builds(
    Geometry,
    bore=NUMBER,
    stroke=NUMBER,
    rod=NUMBER,
    compression_ratio=NUMBER | st.floats(1.0, 50.0),
    chamber=NUMBER,
    deck_clearance=NUMBER,
    gasket_thickness=NUMBER,
    gasket_bore=NUMBER,
    piston_dish=NUMBER,
)


# If this failed, figures that cannot be would stop the program instead of being told, or a sheet without a fault would
# come to a ratio that no engine has.
@given(SIZES, SIZES, SIZES)
@example(Geometry(bore=1, stroke=1, compression_ratio=1.0), Geometry(chamber=1.0), Geometry())
def test_any_dimensions_are_sound_or_told(nominal: Geometry, one: Geometry, other: Geometry) -> None:
    sheet = engine("1 2 3", geometry=nominal, measured={"1": one, "2": other})
    if told(sheet):
        return
    for name in sheet.cylinders:
        ratio = sheet.compression_ratio(name)
        assert ratio is None or (math.isfinite(ratio) and ratio >= 1)


# If this failed, the list of names would have a limit that nobody wrote down.
def test_the_largest_engine() -> None:
    assert MOST_CYLINDERS == 24
    assert told(engine(" ".join(str(number) for number in range(24)))) == []
