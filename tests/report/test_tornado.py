"""The tornado as a drawing: all of it is there, nothing covers anything, grey and colour-blind eyes can read it."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from tests.expectations import INPUTS, V8

from ringtrue.compression import Conditions, Expectation
from ringtrue.report.glyphs import width_of
from ringtrue.report.palette import ACCENT, PAPER
from ringtrue.report.tornado_figure import WIDTH, tornado_svg, tornado_view
from ringtrue.report.views import TornadoView
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import Expected, input_units

SVG = "{http://www.w3.org/2000/svg}"


def view(found: Expectation = V8, unit: str = "psi", engine: str = "Launch eight") -> TornadoView:
    pressure = find_unit(unit, Dimension.PRESSURE)
    return tornado_view(Expected(found, pressure, input_units(None, Conditions(), pressure)), engine)


def parsed(svg: str) -> ET.Element:
    """Return the drawing's root."""
    return ET.fromstring(svg)  # noqa: S314 - drawn a line ago


def boxes(svg: str) -> list[tuple[str, float, float]]:
    """Return colour, left and right end of every bar. [pt]"""
    found = []
    for path in parsed(svg).iter(f"{SVG}path"):
        fill, line = path.get("fill", ""), path.get("stroke", "")
        numbers = [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", path.get("d", ""))]
        if line == ACCENT.light and len(numbers) == 8:
            found.append((fill, min(numbers[::2]), max(numbers[::2])))
    return found


# If this failed, an input would be left out of the drawing, or be drawn as known when it is assumed.
def test_a_bar_an_input_filled_where_it_is_given() -> None:
    shown = view()
    fills = [fill for fill, _, _ in boxes(tornado_svg(shown, "t"))]
    assert fills == [ACCENT.light if bar.known else PAPER.light for bar in shown.bars]
    assert {ACCENT.light, PAPER.light} == set(fills)


# If this failed, bars would be out of scale: 204 to 164 psi is ten times as long as 184 to 188 is short (40 to 4).
def test_bars_are_to_scale() -> None:
    found = replace(V8, inputs=(INPUTS[0], replace(INPUTS[1], low=V8.final.median, high=V8.final.median * 188 / 184)))
    first, second = (right - left for _, left, right in boxes(tornado_svg(view(found), "t")))
    assert first / second == pytest.approx(10, rel=0.01)


# If this failed, the drawing would be another one at every run, so that nobody could compare two.
def test_the_same_drawing_every_time() -> None:
    assert tornado_svg(view(), "t") == tornado_svg(view(), "t")


# If this failed, somebody who cannot see the drawing would get nothing of it.
def test_it_says_what_it_shows() -> None:
    root = parsed(tornado_svg(view(), "t"))
    assert root.get("role") == "img"
    told = root[0]
    assert told.tag == f"{SVG}title"
    assert "184 psi (157 to 205 psi)" in (told.text or "")
    assert "compression ratio (given), 8.70 to 9.30: 177 to 191 psi" in (told.text or "")


# If this failed, an engine's name could put markup, or mathematics, into a drawing, or break it.
@pytest.mark.parametrize(
    "engine", ["<script>alert(1)</script>", "5$ & 6$", "\u5c71 & co", "N" * 300, "a\\frac{1}{2}$x$"]
)
def test_any_name_of_an_engine(engine: str) -> None:
    root = parsed(tornado_svg(view(engine=engine), "t"))
    assert [each for each in root.iter() if each.tag == f"{SVG}script"] == []
    assert root.get("width") == f"{WIDTH / 25.4 * 72:.6f}pt".replace(".000000", "")


# If this failed, a bar would leave the drawing, or the words at its ends would reach into the names beside it, in some
# unit, with few bars or none, or with long words. [mm]
@pytest.mark.in_part(5)
@pytest.mark.parametrize("unit", ["psi", "kPa", "bar", "MPa"])
@pytest.mark.parametrize("count", [0, 1, 11])
@pytest.mark.parametrize("label", ["", "1,234.5 of something long"])
def test_nothing_leaves_the_drawing(unit: str, count: int, label: str) -> None:
    shown = view(replace(V8, inputs=INPUTS[:count]), unit)
    if label:
        shown = replace(shown, bars=tuple(replace(bar, at_low=label, at_high=label) for bar in shown.bars))
    left, right = 52.0, WIDTH - 17.0
    bars = boxes(tornado_svg(shown, "t"))
    assert len(bars) == len(shown.bars) == count
    for (_, start, end), bar in zip(bars, shown.bars, strict=True):
        assert left <= start / 72 * 25.4 - width_of(bar.at_low, 6.4)
        assert end / 72 * 25.4 + width_of(bar.at_high, 6.4) <= right
