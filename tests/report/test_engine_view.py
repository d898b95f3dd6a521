"""Every cylinder stands in the engine view, in its place, clear of its neighbours, and can be read."""

from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.report.examples import SHEETS, numbered, sheet_of, sound, weak_six
from tests.report.reading import pictures

from ringtrue.engine import BuildSheet, Layout, seen_from_above
from ringtrue.report import as_pdf, content, engine_figure
from ringtrue.report.engine_figure import NARROW_WIDTH, WIDE_WIDTH, engine_svg, placed
from ringtrue.report.engine_part import view_of
from ringtrue.report.figures import picture
from ringtrue.report.glyphs import fitted, printable, width_of
from ringtrue.report.palette import SMALLEST
from ringtrue.report.views import EngineView, Mark, PullShown, RunningView, StationShown

_MARKS = [Mark.IN_LINE, Mark.LOW, Mark.HIGH, Mark.CANNOT_TELL, Mark.NOT_READ]


def filled(sheet: BuildSheet) -> EngineView:
    """Return a view with every kind of place in it."""
    shown = {}
    for number, name in enumerate(sheet.cylinders):
        mark = _MARKS[number % len(_MARKS)]
        read = mark is not Mark.NOT_READ
        shown[name] = StationShown(name, 0, 0, "151.5 psi" if read else "", "\u221212.3 %" if read else "", mark)
    return view_of(sheet, sheet.cylinders, shown)


@st.composite
def engines(draw: st.DrawFn) -> BuildSheet:
    """Return an engine of 1 to 24 cylinders in any layout."""
    layout = draw(st.sampled_from(list(Layout)))
    most = {Layout.SINGLE: 1, Layout.INLINE: 1, Layout.FLAT: 2, Layout.RADIAL: 3, Layout.V: 4}[layout]
    banks = draw(st.integers(1, most))
    longest = 1 if layout is Layout.SINGLE else 24 // banks
    sizes = draw(st.lists(st.integers(1, longest), min_size=banks, max_size=banks))
    return sheet_of(layout, *(numbered(size, "ABCD"[number]) for number, size in enumerate(sizes)))


def check(sheet: BuildSheet) -> None:
    """Check that every cylinder is there once, inside the drawing, and clear of the others."""
    drawing = placed(filled(sheet))
    assert sorted(box.station.name for box in drawing.boxes) == sorted(sheet.cylinders)
    assert not [(a, b) for a, b in combinations(drawing.boxes, 2) if a.overlaps(b)]
    for box in drawing.boxes:
        assert box.left > 0
        assert box.top > 0
        assert box.left + box.width < drawing.width
        assert box.top + box.height < drawing.height
    # No engine is drawn wider than what it stands in, and none too tall for a page of Letter (279 mm) with its heading.
    assert drawing.width <= (NARROW_WIDTH if filled(sheet).is_narrow else WIDE_WIDTH) + 0.1
    assert drawing.height <= 190


# If this failed, a cylinder would be missing from the picture the owner looks at first, or hide another.
@pytest.mark.parametrize("name", list(SHEETS))
def test_every_cylinder_has_a_field_of_its_own(name: str) -> None:
    check(SHEETS[name])


# If this failed, some engine that nobody thought of would be drawn with cylinders on top of each other.
@given(engines())
def test_any_engine_can_be_laid_out(sheet: BuildSheet) -> None:
    check(sheet)


# If this failed, the sheet would show a cylinder elsewhere than page and terminal do: all draw from one layout.
@pytest.mark.parametrize("name", list(SHEETS))
def test_fields_stand_as_the_layout_has_them(name: str) -> None:
    sheet = SHEETS[name]
    boxes = {box.station.name: box for box in placed(filled(sheet)).boxes}
    for one, other in combinations(seen_from_above(sheet), 2):
        for apart, drawn in (
            (other.across - one.across, boxes[other.cylinder].left - boxes[one.cylinder].left),
            (other.along - one.along, boxes[other.cylinder].top - boxes[one.cylinder].top),
        ):
            assert (apart > 1e-9) == (drawn > 1e-6)
            assert (apart < -1e-9) == (drawn < -1e-6)


# If this failed, the picture would show a figure, a deviation or a place that the table does not.
def test_the_view_says_what_the_table_says() -> None:
    made = content(weak_six())
    view = next(each.shows for each in pictures(made) if isinstance(each.shows, EngineView))
    by_name = {each.name: each for each in view.stations}
    assert (by_name["5"].final, by_name["5"].mark) == ("113 psi", Mark.LOW)
    # By hand: the finals are 150, 152, 151, 149, 113, 148, their mean 863 / 6 = 143.83; 113 is 30.83 or 21.4 % below.
    assert by_name["5"].deviation == "\u221221.4 %"
    assert {each.mark for name, each in by_name.items() if name != "5"} == {Mark.IN_LINE}
    assert [each.name for each in view.stations] == ["1", "2", "3", "4", "5", "6"]


# If this failed, a name, a final, a deviation or a place would be cut short in the picture of an ordinary engine.
@pytest.mark.parametrize("name", list(SHEETS))
def test_nothing_is_cut_short(name: str) -> None:
    boxes = placed(filled(SHEETS[name])).boxes
    rows = engine_figure._rows(boxes)
    room = boxes[0].width - 2 * engine_figure._PADDING
    assert {item for row in rows for item in row} == {"name", "final", "deviation", "place"}
    assert max(engine_figure._width_of(box.station, row) for box in boxes for row in rows) <= room + 1e-9


# If this failed, one engine could give two pictures, and a sheet two files.
@settings(max_examples=10)
@given(engines())
def test_a_drawing_is_the_same_every_time(sheet: BuildSheet) -> None:
    assert engine_svg(filled(sheet), "p0") == engine_svg(filled(sheet), "p0")


# If this failed, a page that holds a drawing would be restyled by it, or would carry a date or an address of elsewhere.
def test_a_drawing_carries_nothing_but_ink() -> None:
    for shows in (
        filled(SHEETS["V8"]),
        RunningView((PullShown("1", 150, 150, 0, Mark.IN_LINE),) * 3, "psi", ((1, "target"),)),
    ):
        svg = picture(shows, "p0").svg
        root = ET.fromstring(svg)  # noqa: S314 - drawn by ourselves a line ago
        names = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert names <= {"svg", "g", "defs", "path", "use", "clipPath", "rect"}
        assert "<!--" not in svg
        assert not [key for element in root.iter() for key in element.attrib if key in {"style", "onload"}]
        assert re.findall(r"https?://[^\"]*", svg) == ["http://www.w3.org/2000/svg"]


# If this failed, letters would run out of their field, over the next cylinder's.
@given(st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=30), st.floats(4.0, 40.0))
def test_type_is_made_to_fit(name: str, room: float) -> None:
    text, size = fitted(printable(name), room, 9.0, SMALLEST)
    assert size >= SMALLEST
    assert width_of(text, size) <= room + 1e-6
    assert text == printable(name) or text.endswith("\u2026")


# If this failed, a sheet with names as long as a build sheet allows could not be printed.
def test_the_longest_names_can_be_printed() -> None:
    names = tuple(f"{number:02} " + "W" * 17 for number in range(8))
    sheet = sheet_of(Layout.V, names[:4], names[4:])
    check(sheet)
    assert as_pdf(content(sound(sheet))).startswith(b"%PDF")


# If this failed, two pulls with all but the same figures would stop the drawing, or a long series would be unreadable.
@pytest.mark.parametrize("count", [2, 24, 80])
@pytest.mark.parametrize("spread", [0.0, 1.0])
def test_any_series_can_be_drawn(count: int, spread: float) -> None:
    pulls = tuple(PullShown(str(n), 10 + spread * (n % 3), 10.0, spread, Mark.IN_LINE) for n in range(count))
    drawn = picture(RunningView(pulls, "bar", ((1.0, "target"), (10.0, "limit"))), "p0")
    assert drawn.svg.startswith("<svg")
    assert "NaN" not in drawn.svg
