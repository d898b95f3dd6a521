"""Order, companions, neighbours and dead centres of an engine, and how it looks from above."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtrue.engine import BuildSheet, Cooling, Heads, Layout, faults, in_a_row, seen_from_above

INLINE, V, FLAT, RADIAL, SINGLE = Layout.INLINE, Layout.V, Layout.FLAT, Layout.RADIAL, Layout.SINGLE


def engine(layout: Layout, order: str, intervals: tuple[float, ...] = (), **rest: Any) -> BuildSheet:  # noqa: ANN401 - any field
    """Return an engine whose cylinders are numbered 1 to n, and fire in this order."""
    firing = tuple(order.split())
    names = tuple(sorted(firing, key=int))
    return BuildSheet(
        name="invented", layout=layout, cylinders=names, firing_order=firing, firing_intervals=intervals, **rest
    )


# If this failed, leak-down would be done with the piston away from the top. Worked by hand: 720/n (360/n for a
# two-stroke) on an even-firing engine, the sum of the intervals before it on an uneven one.
@pytest.mark.parametrize(
    ("sheet", "angles"),
    [
        (engine(INLINE, "1 3 4 2"), {"1": 0, "3": 180, "4": 360, "2": 540}),
        (engine(INLINE, "1 5 3 6 2 4"), {"1": 0, "5": 120, "3": 240, "6": 360, "2": 480, "4": 600}),
        (engine(INLINE, "1 2 4 5 3"), {"1": 0, "2": 144, "4": 288, "5": 432, "3": 576}),
        (engine(SINGLE, "1"), {"1": 0}),
        # Two rods on one pin, 45 degrees between the banks.
        (engine(V, "1 2", (315, 405), banks=(("1",), ("2",))), {"1": 0, "2": 315}),
        # Six cylinders at 90 degrees on three pins.
        (
            engine(V, "1 6 5 4 3 2", (90, 150) * 3, banks=(("1", "3", "5"), ("2", "4", "6"))),
            {"1": 0, "6": 90, "5": 240, "4": 330, "3": 480, "2": 570},
        ),
        # Two-strokes.
        (engine(INLINE, "1 3 2", cycle=2), {"1": 0, "3": 120, "2": 240}),
        (engine(INLINE, "1 2", (200, 160), cycle=2), {"1": 0, "2": 200}),
        # A radial engine fires every other cylinder round the circle.
        (engine(RADIAL, "1 3 5 2 4"), {"1": 0, "3": 144, "5": 288, "2": 432, "4": 576}),
        (
            engine(RADIAL, "1 3 5 7 9 2 4 6 8"),
            {"1": 0, "3": 80, "5": 160, "7": 240, "9": 320, "2": 400, "4": 480, "6": 560, "8": 640},
        ),
    ],
)
def test_compression_top_dead_centres(sheet: BuildSheet, angles: dict[str, float]) -> None:
    assert sheet.compression_top_dead_centres == pytest.approx(angles, abs=1e-9)
    assert faults(sheet) == ()


# If this failed, a dead centre would be told where nobody said how the engine fires.
def test_no_dead_centres_without_a_firing_order() -> None:
    sheet = BuildSheet(name="invented", layout=INLINE, cylinders=("1", "2"))
    assert sheet.compression_top_dead_centres == {}
    assert sheet.companions("1") == ()


# If this failed, a cylinder would be named as companion whose piston is somewhere else. Companions stand 360 crank
# degrees apart: worked by hand from the firing order (that of the four and the six: common practice).
@pytest.mark.parametrize(
    ("sheet", "pairs"),
    [
        (engine(INLINE, "1 3 4 2"), {"1": "4", "4": "1", "3": "2", "2": "3"}),
        (engine(INLINE, "1 5 3 6 2 4"), {"1": "6", "5": "2", "3": "4", "6": "1", "2": "5", "4": "3"}),
        (engine(INLINE, "1 2", (360, 360)), {"1": "2", "2": "1"}),
        (engine(FLAT, "1 3 2 4", banks=(("1", "3"), ("2", "4"))), {"1": "2", "3": "4", "2": "1", "4": "3"}),
        # None: an odd number, a crank whose pistons part, a two-stroke.
        (engine(INLINE, "1 3 2"), {"1": "", "3": "", "2": ""}),
        (engine(INLINE, "1 2", (180, 540)), {"1": "", "2": ""}),
        (engine(V, "1 2", (315, 405), banks=(("1",), ("2",))), {"1": "", "2": ""}),
        (engine(INLINE, "1 2", cycle=2), {"1": "", "2": ""}),
        (engine(RADIAL, "1 3 5 2 4"), {"1": "", "3": ""}),
        # Two at a time: each has two companions.
        (engine(INLINE, "1 2 3 4", (0, 360, 0, 360)), {"1": "3 4", "2": "3 4", "3": "1 2", "4": "1 2"}),
    ],
)
def test_companions(sheet: BuildSheet, pairs: dict[str, str]) -> None:
    assert {name: " ".join(sheet.companions(name)) for name in pairs} == pairs
    assert sheet.companions("no such") == ()


# If this failed, two low neighbours would not be seen as one gasket, or two cylinders would that share none.
@pytest.mark.parametrize(
    ("rest", "neighbours"),
    [
        ({}, {"1": "3", "3": "1 5", "5": "3", "2": "4", "4": "2 6", "6": "4"}),
        ({"heads": Heads.SHARED, "cooling": Cooling.AIR}, {"1": "3", "3": "1 5"}),
        ({"heads": Heads.SEPARATE}, dict.fromkeys("123456", "")),
        ({"cooling": Cooling.AIR}, dict.fromkeys("123456", "")),
        ({"cooling": Cooling.LIQUID}, {"3": "1 5"}),
    ],
)
def test_gasket_bridges(rest: dict[str, Any], neighbours: dict[str, str]) -> None:
    sheet = engine(V, "1 2 3 4 5 6", banks=(("1", "3", "5"), ("2", "4", "6")), **rest)
    assert {name: " ".join(sheet.bridge_neighbours(name)) for name in neighbours} == neighbours
    assert sheet.bridge_neighbours("no such") == ()


# If this failed, a radial engine or a single would be told to have a gasket between cylinders.
@pytest.mark.parametrize("sheet", [engine(RADIAL, "1 3 5 2 4"), engine(SINGLE, "1")])
def test_no_bridge_between_heads_of_their_own(sheet: BuildSheet) -> None:
    assert all(sheet.bridge_neighbours(name) == () for name in sheet.cylinders)


# If this failed, the gauge would be carried across the engine between pulls.
def test_pull_order_is_down_one_bank_then_the_other() -> None:
    v6 = engine(V, "1 2 3 4 5 6", banks=(("2", "4", "6"), ("1", "3", "5")))
    assert v6.pull_order == ("2", "4", "6", "1", "3", "5")
    assert engine(INLINE, "1 3 4 2").pull_order == ("1", "2", "3", "4")


# If this failed, a V engine would be drawn in one row without a word, or a single would be asked for its banks.
@pytest.mark.parametrize(
    ("sheet", "missing"),
    [
        (engine(V, "1 2 3 4"), True),
        (engine(FLAT, "1 2"), True),
        (engine(V, "1 2", banks=(("1",), ("2",))), False),
        (engine(FLAT, "1"), False),
        (engine(INLINE, "1 2"), False),
        (engine(RADIAL, "1 3 2"), False),
    ],
)
def test_banks_that_the_sheet_does_not_tell_apart(sheet: BuildSheet, missing: bool) -> None:
    assert sheet.banks_are_missing is missing


# If this failed, the book would know an engine by a name when the shop gave it a reference, or by nothing.
def test_how_the_book_knows_it() -> None:
    assert engine(SINGLE, "1").key == "invented"
    assert engine(SINGLE, "1", reference="0417").key == "0417"


# ---------------------------------------------------------------------------------------------- from above


NAMES = st.lists(
    st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=20).filter(
        lambda name: ";" not in name
    ),
    min_size=1,
    max_size=24,
    unique=True,
)


@st.composite
def engines(draw: st.DrawFn) -> BuildSheet:
    """Make engines of 1 to 24 cylinders, with any names, in every layout."""
    names = draw(NAMES)
    layouts = [INLINE, V, FLAT, RADIAL, *([SINGLE] if len(names) == 1 else [])]
    layout = draw(st.sampled_from(layouts))
    most = {INLINE: 1, SINGLE: 1, FLAT: 2, V: 4, RADIAL: 4}[layout]
    stands_in = draw(st.lists(st.integers(1, most), min_size=len(names), max_size=len(names)))
    banks = [tuple(n for n, b in zip(names, stands_in, strict=True) if b == bank) for bank in range(1, most + 1)]
    order = tuple(draw(st.permutations(names)))
    return BuildSheet(
        name="invented",
        layout=layout,
        cylinders=tuple(names),
        cycle=draw(st.sampled_from([2, 4])),
        banks=tuple(bank for bank in banks if bank),
        firing_order=order if draw(st.booleans()) else (),
    )


# If this failed, there would be an engine of 1 to 24 cylinders that could not be written down or tested.
@given(engines())
def test_any_engine(sheet: BuildSheet) -> None:
    assert faults(sheet) == ()
    assert sorted(sheet.pull_order) == sorted(sheet.cylinders)
    angles = sheet.compression_top_dead_centres
    assert set(angles) == set(sheet.firing_order)
    assert all(0 <= angle < sheet.cycle_angle for angle in angles.values())
    for name in sheet.cylinders:
        assert all(name in sheet.companions(other) for other in sheet.companions(name))
        assert all(name in sheet.bridge_neighbours(other) for other in sheet.bridge_neighbours(name))


# If this failed, one cylinder would be drawn on top of another, and its figures could not be read.
@given(engines())
def test_no_cylinder_hides_another(sheet: BuildSheet) -> None:
    stations = seen_from_above(sheet)
    assert [station.cylinder for station in stations] == list(sheet.pull_order)
    for one, other in itertools.combinations(stations, 2):
        assert math.hypot(one.across - other.across, one.along - other.along) >= 1.0 - 1e-9


# If this failed, the drawing would not be the engine on the stand: front at the top, first bank on the left.
def test_a_v6_from_above() -> None:
    v6 = engine(V, "1 2 3 4 5 6", banks=(("1", "3", "5"), ("2", "4", "6")))
    stations = {station.cylinder: station for station in seen_from_above(v6)}
    assert [stations[name].along for name in ("1", "3", "5")] == [0, 1, 2]
    assert stations["1"].across < stations["2"].across
    assert (stations["5"].bank, stations["6"].bank) == (0, 1)


# If this failed, a radial engine would be drawn with its first cylinder anywhere, or the wrong way round.
def test_a_radial_from_the_front() -> None:
    first, second, *_, last = seen_from_above(engine(RADIAL, "1 3 5 2 4"))
    assert first.across == pytest.approx(0)
    assert first.along < second.along
    assert second.across > 0 > last.across
    radii = {round(math.hypot(each.across, each.along), 9) for each in seen_from_above(engine(RADIAL, "1 3 5 2 4"))}
    assert len(radii) == 1


# If this failed, the second row of a radial engine would hide behind the first: it stands inside it, in its gaps.
def test_a_radial_of_two_rows() -> None:
    rows = (tuple("123456789"), tuple("abcdefghi"))
    stations = seen_from_above(BuildSheet(name="x", layout=RADIAL, cylinders=rows[0] + rows[1], banks=rows))
    turns = [math.degrees(math.atan2(each.across, -each.along)) % 360 for each in stations]
    assert turns == pytest.approx([40.0 * n for n in range(9)] + [20.0 + 40 * n for n in range(9)])
    radii = [math.hypot(each.across, each.along) for each in stations]
    assert min(radii[:9]) - max(radii[9:]) == pytest.approx(1.5)


# If this failed, readings without a build sheet could not be drawn.
def test_cylinders_of_an_unknown_engine_stand_in_a_row() -> None:
    stations = in_a_row(("a", "b", "c"))
    assert [(station.cylinder, station.across, station.along) for station in stations] == [
        ("a", 0, 0),
        ("b", 0, 1),
        ("c", 0, 2),
    ]
