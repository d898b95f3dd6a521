"""A course says the same on a page and on paper, and shows all that it is given."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from tests.courses import HOSTILE, builds, drift, years

from ringtrue.errors import InputRefused
from ringtrue.report.course import GLYPHS, Course, Limit, Line, Shape, Spot, told_apart
from ringtrue.report.course_figure import course_svg
from ringtrue.report.glyphs import printable
from ringtrue.report.palette import TINTS
from ringtrue.web.page import course_data, environment

EVERY = pytest.mark.parametrize("course", [builds(), years(), drift()], ids=["builds", "years", "drift"])


# If this failed, a point, an end of an interval or a band would lie outside the drawing, where nobody sees it.
@EVERY
def test_all_of_it_is_shown(course: Course) -> None:
    shown = course.window
    spots = [spot for line in course.lines for spot in line.spots]
    assert all(shown.left < spot.x < shown.right for spot in spots)
    ends = [end for spot in spots for end in (spot.y, spot.low, spot.high) if end is not None]
    ends += [end for band in course.bands for edge in band.edges for end in edge[1:]]
    assert all(shown.foot <= end <= shown.top for end in ends)


# If this failed, a limit that is far off would press everything else flat, or would not be told of at all.
def test_a_limit_far_off_is_told_in_words() -> None:
    course = builds()
    assert [each.y for each in course.limits_shown] == [2.4, 0.98]
    assert [each.y for each in course.limits_beyond] == [10.0]
    assert course.window.top < 5
    page = environment().from_string('{% import "course.html.j2" as c %}{{ c.course(it) }}').render(it=course)
    assert "Beyond what is drawn: <bdi>trouble from 10 % (common practice)</bdi>" in page


# If this failed, one test alone, or tests that agree to the last digit, would have no drawing, or one of no height.
def test_one_point_has_room_round_it() -> None:
    alone = replace(builds(), lines=(Line("one", (Spot(1.0, 0.0),)),), bands=(), limits=())
    shown = alone.window
    assert shown.left < 1 < shown.right
    assert shown.top - shown.foot > 0.1
    assert "<svg" in course_svg(alone, "c")


# If this failed, a drawing would be asked for where there is nothing, or a browser would stop at a figure that is none.
def test_nothing_and_no_number_are_refused() -> None:
    with pytest.raises(InputRefused, match="There is nothing to draw"):
        replace(builds(), lines=())
    with pytest.raises(InputRefused, match="A figure of it is no number"):
        replace(builds(), limits=(Limit(math.nan, "x"),))
    with pytest.raises(InputRefused, match="A figure of it is no number"):
        replace(builds(), lines=(Line("x", (Spot(1, 1, 0.5, math.inf),)),))


# If this failed, a name could end the block of figures in a page and bring in script of its own.
@pytest.mark.parametrize("name", [HOSTILE, "<!--<script>", "]]>", "&lt;/script&gt;", "\u2028\u2029", "'\"\\"])
def test_no_name_ends_the_block(name: str) -> None:
    data = str(course_data(builds(name)))
    assert not set("<>&\u2028\u2029") & set(data)
    assert json.loads(data)["lines"][0]["spots"][10]["name"] == name


# If this failed, page and paper would show different figures.
@EVERY
def test_the_page_gets_what_the_paper_draws(course: Course) -> None:
    data = json.loads(str(course_data(course)))
    given = [[(spot["x"], spot["y"], spot.get("low")) for spot in line["spots"]] for line in data["lines"]]
    assert given == [[(spot.x, spot.y, spot.low) for spot in line.spots] for line in course.lines]
    assert (data["y"]["low"], data["y"]["high"]) == (course.window.foot, course.window.top)
    assert {line["ink"] for line in data["lines"]} <= {tint.name for tint in TINTS}


# If this failed, paper would lack a point: each is a marker of its own in the drawing.
@EVERY
def test_paper_has_every_point(course: Course) -> None:
    root = ET.fromstring(course_svg(course, "c"))  # noqa: S314 - drawn just now
    markers = [each for each in root.iter("{http://www.w3.org/2000/svg}use") if re.search(r"-m", each.get("href", ""))]
    assert len(markers) >= sum(len(line.spots) for line in course.lines)


# If this failed, the drawing would be another one at every run, so that nobody could compare two sheets.
def test_the_same_drawing_every_time() -> None:
    assert course_svg(years(), "c") == course_svg(years(), "c")


# If this failed, two cylinders of a big engine would look alike, but for what a colour-blind eye cannot see.
def test_many_lines_are_told_apart() -> None:
    looks = [(line.ink.name, line.shape) for line in told_apart(tuple(Line(f"{at}", ()) for at in range(42)))]
    assert len(set(looks)) == 42
    for one, other in pairwise(looks):
        assert one[1] != other[1]


# If this failed, a key or a table could not show the shape of a point, or paper would print a box for it.
def test_every_shape_can_be_written() -> None:
    assert set(GLYPHS) == set(Shape)
    shapes = [glyph for shape, glyph in GLYPHS.items() if shape is not Shape.NONE]
    assert len(set(shapes)) == len(shapes)
    assert all(printable(glyph) == glyph and len(glyph) == 1 for glyph in shapes)
