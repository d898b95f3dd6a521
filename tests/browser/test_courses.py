"""Courses in a real browser, under the policy that every page has."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlparse

import pytest
from tests.browser.conftest import PC, PHONE
from tests.browser.test_every_page import violations
from tests.courses import HOSTILE, builds, drift, years

from ringtrue.web.access import POLICY
from ringtrue.web.page import environment
from ringtrue.web.static_files import TYPES, files

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    from playwright.sync_api import Browser, Page, Route

PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>courses</title>
{% for name in ("look", "blocks", "fields", "marks", "paper", "pages") %}
<link rel="stylesheet" href="/static/{{ name }}.css">
{% endfor %}
{% import "course.html.j2" as drawn %}{{ drawn.head() }}</head>
<body><main><h1>Courses</h1>{% for each in courses %}{{ drawn.course(each) }}{% endfor %}</main></body></html>"""
INKED = """(element) => {
    const canvas = element.querySelector("canvas");
    const {data} = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    const wanted = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
    const colours = ["--ink", "--low", "--accent"].map((name) => parseInt(wanted(name).slice(1), 16));
    const counted = colours.map(() => 0);
    for (let at = 0; at < data.length; at += 4) {
        const here = colours.indexOf(data[at] * 65536 + data[at + 1] * 256 + data[at + 2]);
        if (here >= 0 && data[at + 3] === 255) counted[here] += 1;
    }
    return counted;
}"""


@pytest.fixture(params=[PHONE, PC], ids=["phone", "PC"])
def page(chromium: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """Yield a page with three courses; anything that its console complains of fails the test."""
    kind: dict[str, Any] = request.param
    html = environment().from_string(PAGE).render(courses=[builds(HOSTILE), years(HOSTILE), drift()])

    def serve(route: Route) -> None:
        name = urlparse(route.request.url).path.removeprefix("/static/")
        if name in files():
            route.fulfill(body=files()[name].body, headers={"content-type": files()[name].kind})
        else:
            route.fulfill(body=html, headers={"content-type": TYPES[".html"], "content-security-policy": POLICY})

    with chromium.new_context(**kind) as context:
        opened = context.new_page()
        complaints: list[str] = []
        opened.on("console", lambda said: complaints.append(said.text))
        opened.on("pageerror", lambda error: complaints.append(str(error)))
        opened.route("**/*", serve)
        opened.goto("http://127.0.0.1:9/courses")
        opened.locator("figure.course[data-drawn=yes]").nth(2).wait_for()
        yield opened
        assert complaints == []


# If this failed, a page would have an empty field where its figures should be, or one of a colour of the other theme.
def test_courses_are_drawn_in_both_themes(page: Page) -> None:
    plots = page.locator(".course-plot")
    assert plots.count() == 3
    ink, low, _ = plots.nth(0).evaluate(INKED)
    assert ink > 100, "the line of builds"
    assert low > 20, "the limit, and the build beyond it"
    assert plots.nth(1).evaluate(INKED)[2] > 50
    page.emulate_media(color_scheme="dark")
    assert plots.nth(0).evaluate(INKED)[0] > 100


# If this failed, what somebody wrote would run in the page, or end the figures.
def test_names_stay_names(page: Page) -> None:
    assert page.title() == "courses"
    assert page.locator("script:not([src])").count() == 3
    assert page.get_by_text(HOSTILE).count() >= 1


# If this failed, a phone would have to be pushed sideways, or somebody who sees badly would be kept out.
def test_everybody_can_use_them(page: Page) -> None:
    assert page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    assert violations(page, {}) == []
    tables = page.locator("figure.course table")
    assert tables.count() == 3
    assert tables.nth(0).get_by_text("3.6 %").count() == 1


# If this failed, a point could be looked at and not read.
def test_a_point_that_is_touched_is_told(page: Page) -> None:
    over = page.locator(".course-plot").nth(0).locator(".u-over")
    box = over.bounding_box()
    assert box is not None
    shown = builds().window
    x = (11 - shown.left) / (shown.right - shown.left) * box["width"]
    y = (shown.top - 3.6) / (shown.top - shown.foot) * box["height"]
    over.hover(position={"x": x, "y": y})
    assert page.locator(".course-said").nth(0).inner_text() == f"build 11 (engine {HOSTILE}): 3.6 %"


# If this failed, paper would have a drawing and not its figures.
def test_the_table_stands_open_on_paper(page: Page) -> None:
    page.locator("summary").nth(0).click()
    assert not page.locator("details.course-figures").nth(0).evaluate("(each) => each.open")
    page.evaluate("() => dispatchEvent(new Event('beforeprint'))")
    assert page.locator("details.course-figures").nth(0).evaluate("(each) => each.open")
