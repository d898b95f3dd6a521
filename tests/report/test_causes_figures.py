"""The drawings of causes: all of it is there, nothing leaves the paper, grey and colour-blind eyes can read it."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest
from tests.explained import ALL_SOUND, EIGHT, PSI, RINGS, SIX, named, unread
from tests.report.examples import SHEETS

from ringtrue.diagnosis.causes import Cause
from ringtrue.diagnosis.explanation import Because, Item, Odds, Step
from ringtrue.report.causes_figure import WIDTH, causes_svg, causes_view
from ringtrue.report.moved_figure import moved_svg, moved_view
from ringtrue.report.palette import CAUSE_LOOKS
from ringtrue.report.share_bars import keyed, shares_of
from ringtrue.report.views import CausesView, MovedView
from ringtrue.units import Dimension, find_unit

SVG = "{http://www.w3.org/2000/svg}"
UNIT = find_unit("psi", Dimension.PRESSURE)


def parsed(svg: str) -> ET.Element:
    """Return the drawing's root."""
    return ET.fromstring(svg)  # noqa: S314 - drawn a line ago


def plan(sheet: str = "inline 6", engine: str = "Launch six") -> CausesView:
    """Return the hand-made explanations on that engine."""
    names = SHEETS[sheet].cylinders
    found = SIX if sheet == "inline 6" else named(EIGHT, names)
    return causes_view(found, SHEETS[sheet], engine)


def moved(engine: str = "Launch six") -> MovedView:
    """Return how the readings moved the odds of the weak cylinder."""
    return moved_view(RINGS, UNIT, engine)


def ink(svg: str) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of all that is drawn, but of hatching and letters. [mm]"""
    across: list[float] = []
    down: list[float] = []
    root = parsed(svg)
    patterns = {path for each in root.iter(f"{SVG}pattern") for path in each.iter(f"{SVG}path")}
    letters = {path for each in root.iter(f"{SVG}defs") for path in each.iter(f"{SVG}path")}
    for path in root.iter(f"{SVG}path"):
        if path in patterns or path in letters or path.get("d") is None or "clip" in (path.get("id") or ""):
            continue
        numbers = [float(each) * 25.4 / 72 for each in re.findall(r"-?\d+(?:\.\d+)?", path.get("d", ""))]
        across += numbers[::2]
        down += numbers[1::2]
    return min(across), min(down), max(across), max(down)


# If this failed, an answer, or its largest shares, would be missing from what a reader hears who cannot see it.
def test_the_plan_says_what_it_shows() -> None:
    root = parsed(causes_svg(plan(), "c"))
    assert root.get("role") == "img"
    assert root[0].tag == f"{SVG}title"
    told = root[0].text or ""
    assert told.startswith("What each cylinder of Launch six may have. cylinder 1: sound, about 49 in 50 (sound 97 %")
    assert "cylinder 5: rings, about 4 in 5 (rings 81 %, exhaust valve 10 %, gasket, neighbour 6 %)" in told


# If this failed, the drawing of how the odds moved would leave out a reading, or name it otherwise than the text does.
def test_how_the_odds_moved_says_what_it_shows() -> None:
    shown = moved()
    assert [row.title for row in shown.rows] == [
        "Before any reading",
        "Final of 121.0 psi",
        "Wet test (1.18 times the dry final)",
        "Leak-down of 24.0 %",
        "Air heard at the oil filler or dipstick",
    ]
    assert shown.answer == "Cylinder 5: most likely rings or bore, about 4 in 5"
    told = parsed(moved_svg(shown, "m"))[0].text or ""
    assert "Before any reading: sound 96 %, rings 2 %, exhaust valve 2 %" in told


# If this failed, the drawing would be another one at every run, so that nobody could compare two.
def test_the_same_drawing_every_time() -> None:
    assert causes_svg(plan(), "c") == causes_svg(plan(), "c")
    assert moved_svg(moved(), "m") == moved_svg(moved(), "m")


# If this failed, two cylinders could not be compared: their bars would put the causes in another order.
def test_causes_keep_their_order() -> None:
    for station in plan("V8").stations:
        keys = [each.key for each in station.shares]
        assert keys == [key for key in CAUSE_LOOKS if key in keys]
        if keys:
            assert sum(each.share for each in station.shares) == pytest.approx(1)


# If this failed, a cause could be drawn that nothing explains, or the key would explain what is not there.
def test_the_key_explains_what_is_drawn() -> None:
    shares = shares_of([Odds(Cause.RINGS, 0.997), Odds(Cause.MISREAD, 0.003), Odds(Cause.CARBON, 0.0)])
    assert [each.key for each in keyed([shares])] == ["rings"]
    assert list(CAUSE_LOOKS) == [cause.value for cause in Cause]


def grey(colour: str) -> float:
    """Return the luminance of a colour as a grey printer takes it (ITU-R BT.601, from memory). [0 to 255]"""
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return 0.299 * red + 0.587 * green + 0.114 * blue


# If this failed, two causes would look alike on a grey printer: same hatching, and lightness less than 40 of 255 apart.
@pytest.mark.parametrize(("one", "other"), list(combinations(CAUSE_LOOKS, 2)))
def test_no_two_causes_are_alike_in_grey(one: str, other: str) -> None:
    first, second = CAUSE_LOOKS[one], CAUSE_LOOKS[other]
    apart = abs(grey(first.fill.light) - grey(second.fill.light))
    assert first.hatch[:1] != second.hatch[:1] or apart >= 40


# If this failed, an engine's name could put markup, or mathematics, into a drawing, or break it.
@pytest.mark.parametrize("engine", ["<script>alert(1)</script>", "5$ & 6$", "\u5c71 & co", "N" * 300, "$\\frac{1}{2}$"])
def test_any_name_of_an_engine(engine: str) -> None:
    for svg in (causes_svg(plan(engine=engine), "c"), moved_svg(moved(engine), "m")):
        root = parsed(svg)
        assert [each for each in root.iter() if each.tag == f"{SVG}script"] == []
        assert float((root.get("width") or "0").removesuffix("pt")) == pytest.approx(WIDTH / 25.4 * 72)


# If this failed, a cylinder, a bar or the key would leave the paper on some engine. [mm]
@pytest.mark.in_part(3)
@pytest.mark.parametrize("sheet", list(SHEETS))
def test_nothing_leaves_the_plan(sheet: str) -> None:
    svg = causes_svg(plan(sheet), "c")
    tall = float((parsed(svg).get("height") or "0").removesuffix("pt")) * 25.4 / 72
    left, top, right, bottom = ink(svg)
    assert left >= -0.01
    assert top >= -0.01
    assert right <= WIDTH + 0.01
    assert bottom <= tall + 0.01


# If this failed, an engine of which nothing, one cylinder, or every cause is known could not be drawn.
def test_odd_engines() -> None:
    every = tuple(Odds(cause, 1 / len(Cause)) for cause in Cause)
    mixed = replace(RINGS, causes=every, steps=(Step(None, every),))
    for found in (
        replace(ALL_SOUND, cylinders=(unread("1"), unread("2"))),
        replace(SIX, cylinders=(mixed,)),
        replace(SIX, cylinders=()),
    ):
        if found.cylinders:
            assert "svg" in causes_svg(causes_view(found, None, "This engine"), "c")
    assert len(parsed(moved_svg(moved_view(mixed, UNIT, "x"), "m"))) > 1
    assert len(parsed(moved_svg(moved_view(unread("1"), UNIT, "x"), "m"))) > 1


# If this failed, a reading whose evidence is not told apart would have no name in the drawing.
def test_a_step_without_its_evidence_has_a_name() -> None:
    shown = moved_view(replace(RINGS, because=(Because(Item.FINAL, 100 * PSI, (), 1.0, Cause.RINGS, ()),)), UNIT, "x")
    assert [row.title for row in shown.rows][1:3] == ["Final of 100.0 psi", "Wet test"]
