"""Displacement, clearance and compression ratio of each cylinder, the cam's closing point, what is trapped there."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtrue.engine import BuildSheet, Camshaft, Geometry, Layout, volume
from ringtrue.quantities import Radians

# Bore 100 mm, stroke 80 mm: the piston's face is 25 pi cm2, and it sweeps 200 pi cm3 (worked by hand).
BORE, STROKE = 0.1, 0.08
SWEPT = 200 * math.pi
NOMINAL = Geometry(bore=BORE, stroke=STROKE)
# Chamber 60, deck 0.5 mm x 25 pi cm2 = 1.25 pi, gasket 1 mm x 26.01 pi cm2 = 2.601 pi, a dome of 4: worked by hand.
PARTS = Geometry(
    bore=BORE,
    stroke=STROKE,
    chamber=60e-6,
    deck_clearance=0.5e-3,
    gasket_thickness=1e-3,
    gasket_bore=0.102,
    piston_dish=-4e-6,
)
CLEARANCE = 56 + 3.851 * math.pi


def engine(geometry: Geometry = NOMINAL, cylinders: int = 3, **measured: Geometry) -> BuildSheet:
    """Return an engine in line; a measured cylinder is named c1, c2 and on."""
    return BuildSheet(
        name="invented",
        layout=Layout.INLINE,
        cylinders=tuple(str(number + 1) for number in range(cylinders)),
        geometry=geometry,
        measured={name.removeprefix("c"): own for name, own in measured.items()},
    )


def cc(value: float | None) -> float:
    """Return a volume in cubic centimetres."""
    assert value is not None
    return value * 1e6


# If this failed, an engine would be as large as one of its cylinders, or a rebored one as large as before.
def test_displacement_is_the_sum_of_what_each_piston_sweeps() -> None:
    assert cc(engine().displacement) == pytest.approx(3 * SWEPT, rel=1e-12)
    # One cylinder bored to 101 mm sweeps 204.02 pi cm3 (worked by hand).
    assert cc(engine(c2=Geometry(bore=0.101)).displacement) == pytest.approx(604.02 * math.pi, rel=1e-12)


# If this failed, a displacement would be made up where the sheet does not hold it.
@pytest.mark.parametrize("geometry", [Geometry(), Geometry(bore=BORE), Geometry(stroke=STROKE)])
def test_what_is_not_known_is_not_made_up(geometry: Geometry) -> None:
    sheet = engine(geometry)
    assert sheet.displacement is None
    assert sheet.swept_volume("1") is None
    assert sheet.clearance_volume("1") is None
    assert sheet.compression_ratio("1") is None
    assert sheet.volume_at_intake_closing("1") is None


# If this failed, a ratio that the sheet states would be forgotten for want of a bore.
def test_a_stated_ratio_stands_without_volumes() -> None:
    assert engine(Geometry(compression_ratio=8.4)).compression_ratio("1") == 8.4


# If this failed, a ratio would be something else than volume at bottom over volume at top.
def test_clearance_from_a_ratio() -> None:
    sheet = engine(Geometry(bore=BORE, stroke=STROKE, compression_ratio=11.0))
    assert cc(sheet.clearance_volume("1")) == pytest.approx(20 * math.pi, rel=1e-12)
    assert sheet.compression_ratio("3") == pytest.approx(11.0, rel=1e-12)


# If this failed, a part of the clearance would count twice, not at all, or with the wrong sign.
def test_clearance_from_volumes() -> None:
    sheet = engine(PARTS)
    assert cc(sheet.clearance_volume("1")) == pytest.approx(CLEARANCE, rel=1e-12)
    assert sheet.compression_ratio("1") == pytest.approx(1 + SWEPT / CLEARANCE, rel=1e-12)
    assert sheet.compression_ratio("1") == pytest.approx(10.2266, abs=5e-5)


# If this failed, a flat piston and a gasket of the bore's own size would have to be written down to count.
def test_a_flat_piston_and_a_gasket_as_wide_as_the_bore_go_without_saying() -> None:
    sheet = engine(Geometry(bore=BORE, stroke=STROKE, chamber=60e-6, deck_clearance=0.0, gasket_thickness=1e-3))
    assert cc(sheet.clearance_volume("1")) == pytest.approx(60 + 2.5 * math.pi, rel=1e-12)


# If this failed, a chamber that was measured on one cylinder would change its siblings, or nothing.
def test_a_measured_cylinder_among_volumes() -> None:
    sheet = engine(PARTS, c2=Geometry(chamber=58e-6))
    assert cc(sheet.clearance_volume("2")) == pytest.approx(CLEARANCE - 2, rel=1e-12)
    assert cc(sheet.clearance_volume("1")) == pytest.approx(CLEARANCE, rel=1e-12)


# If this failed, volumes would be overruled by the ratio that they are to make.
def test_volumes_win_over_the_ratio_beside_them() -> None:
    both = Geometry(**{name: getattr(PARTS, name) for name in PARTS.__slots__ if name != "compression_ratio"})
    sheet = engine(both.over(Geometry(compression_ratio=10.3)))
    assert sheet.compression_ratio("1") == pytest.approx(1 + SWEPT / CLEARANCE, rel=1e-12)


# If this failed, measured chambers would move the whole engine off its ratio instead of parting its cylinders: with a
# ratio alone, the mean of the measured ones makes it. 20 pi cm3 at 11:1; chambers 60, 62, 64 are 2 off their mean.
def test_with_a_ratio_alone_differences_count() -> None:
    ratio = Geometry(bore=BORE, stroke=STROKE, compression_ratio=11.0)
    chambers = {f"c{number}": Geometry(chamber=size * 1e-6) for number, size in ((1, 60), (2, 62), (3, 64))}
    sheet = engine(ratio, 4, **chambers)
    found = [cc(sheet.clearance_volume(name)) - 20 * math.pi for name in sheet.cylinders]
    assert found == pytest.approx([-2, 0, 2, 0], abs=1e-9)


# If this failed, a deck or a gasket that was measured would count as a length, or without its area. By hand: decks of
# 0.4 and 0.6 mm are 0.1 mm off their mean, 0.25 pi cm3 of the piston's face; gaskets likewise on their own bore.
@pytest.mark.parametrize(("part", "area"), [("deck_clearance", 25.0), ("gasket_thickness", 26.01)])
def test_measured_heights_count_by_their_area(part: str, area: float) -> None:
    ratio = Geometry(bore=BORE, stroke=STROKE, compression_ratio=11.0, gasket_bore=0.102)
    sheet = engine(ratio, 2, c1=Geometry(**{part: 0.4e-3}), c2=Geometry(**{part: 0.6e-3}))
    found = [cc(sheet.clearance_volume(name)) - 20 * math.pi for name in sheet.cylinders]
    assert found == pytest.approx([-area * math.pi / 100, area * math.pi / 100], rel=1e-9)


# If this failed, measuring every volume of every cylinder would put the engine on two levels: with a ratio alone, the
# measured ones still make it on the mean.
def test_with_a_ratio_alone_even_whole_measurements_are_differences() -> None:
    ratio = Geometry(bore=BORE, stroke=STROKE, compression_ratio=11.0)
    whole = {
        f"c{number}": Geometry(chamber=size * 1e-6, deck_clearance=0.0, gasket_thickness=1e-3)
        for number, size in ((1, 50), (2, 54))
    }
    sheet = engine(ratio, 2, **whole)
    found = [cc(sheet.clearance_volume(name)) for name in sheet.cylinders]
    assert found == pytest.approx([20 * math.pi - 2, 20 * math.pi + 2], rel=1e-9)


# If this failed, the chamber that the ratio was made with would be forgotten where the sheet has it.
def test_the_sheets_own_chamber_is_what_the_ratio_was_made_with() -> None:
    ratio = Geometry(bore=BORE, stroke=STROKE, compression_ratio=11.0, chamber=50e-6)
    assert cc(engine(ratio, c1=Geometry(chamber=51e-6)).clearance_volume("1")) == pytest.approx(20 * math.pi + 1)


# If this failed, a ratio measured on one cylinder would not be that cylinder's.
def test_a_ratio_of_its_own() -> None:
    sheet = engine(Geometry(bore=BORE, stroke=STROKE, compression_ratio=11.0), c2=Geometry(compression_ratio=9.0))
    assert sheet.compression_ratio("2") == pytest.approx(9.0, rel=1e-12)
    assert sheet.compression_ratio("1") == pytest.approx(11.0, rel=1e-12)


# If this failed, the measured cylinders would not make the stated ratio on the mean, whatever was measured.
@given(
    st.floats(6.0, 14.0),
    st.lists(st.floats(30.0, 80.0), min_size=1, max_size=24),
)
def test_the_mean_of_the_measured_makes_the_ratio(ratio: float, chambers: list[float]) -> None:
    nominal = Geometry(bore=BORE, stroke=STROKE, compression_ratio=ratio)
    measured = {f"c{number}": Geometry(chamber=size * 1e-6) for number, size in enumerate(chambers, start=1)}
    sheet = engine(nominal, len(chambers), **measured)
    mean = sum(cc(sheet.clearance_volume(name)) for name in sheet.cylinders) / len(chambers)
    assert mean == pytest.approx(SWEPT / (ratio - 1), rel=1e-9)


# ---------------------------------------------------------------------------------------------- camshaft


def degrees(**angles: float) -> Camshaft:
    """Return a cam of these crank (or cam) degrees."""
    turned: dict[str, Any] = {name: Radians(math.radians(value)) for name, value in angles.items()}
    return Camshaft(**turned)


# If this failed, the intake valve would close elsewhere than the cam card says. Worked by hand: opening 18 before top
# and open for 248 leaves 248 - 18 - 180 = 50 after bottom; lobes 110 apart, advanced 4, put the centre at 106 after
# top, and half of 248 later is 106 + 124 - 180 = 50 after bottom; without advance 54.
@pytest.mark.parametrize(
    ("cam", "after_bottom"),
    [
        (degrees(intake_closes=44), 44),
        (degrees(intake_closes=-5), -5),
        (degrees(intake_opens=18, intake_duration=248), 50),
        (degrees(intake_opens=-2, intake_duration=230), 52),
        (degrees(intake_duration=248, lobe_separation=110, advance=4), 50),
        (degrees(intake_duration=248, lobe_separation=110), 54),
        (degrees(intake_duration=248, lobe_separation=110, advance=-4), 58),
        # What the card says outright wins over what follows from the rest of it.
        (degrees(intake_closes=44, intake_opens=18, intake_duration=248), 44),
        (degrees(intake_opens=18, intake_duration=248, lobe_separation=114), 50),
    ],
)
def test_intake_closing(cam: Camshaft, after_bottom: float) -> None:
    assert cam.intake_closing is not None
    assert math.degrees(cam.intake_closing) == pytest.approx(after_bottom, abs=1e-9)


# If this failed, a closing point would be made up out of half a cam card.
@pytest.mark.parametrize(
    "cam", [Camshaft(), degrees(intake_duration=248), degrees(lobe_separation=110), degrees(intake_opens=18)]
)
def test_no_intake_closing_from_half_a_card(cam: Camshaft) -> None:
    assert cam.intake_closing is None


# If this failed, what is trapped would be counted from the wrong dead centre. By hand: closing 60 after bottom is 240
# after top; by symmetry the piston is where it is at 120.
def test_volume_at_intake_closing() -> None:
    geometry = Geometry(bore=BORE, stroke=STROKE, rod=0.15, compression_ratio=11.0)
    sheet = BuildSheet(
        name="invented",
        layout=Layout.SINGLE,
        cylinders=("1",),
        geometry=geometry,
        camshaft=degrees(intake_closes=60),
    )
    at_120 = volume(20e-6 * math.pi, BORE, STROKE, 0.15, Radians(math.radians(120)))
    assert sheet.volume_at_intake_closing("1") == pytest.approx(at_120, rel=1e-12)
    # l + a - s with a = 40 mm, l = 150 mm: 190 + 20 - sqrt(22500 - 1200) = 64.0548 mm of travel, worked by hand.
    assert cc(sheet.volume_at_intake_closing("1")) == pytest.approx(20 * math.pi + 2.5 * math.pi * 64.0548, rel=1e-6)
