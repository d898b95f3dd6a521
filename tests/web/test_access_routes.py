"""Who may come in, way by way: no way in is open that is not meant to be."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from starlette.applications import Starlette
from starlette.routing import Route as Path_
from tests.web.client import Answer, Client
from tests.web.shop import Shop

from ringtrue.web.app import ROUTES, application
from ringtrue.web.routes import Route, Who
from ringtrue.web.sessions import DAY, DAYS_UNUSED, hashed

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

# The whole list of what anybody may see. One more is one more decision.
PUBLIC = {
    ("GET", "/static/{name:path}"),  # front-end files, the same in every copy of the program
    ("GET", "/sw.js"),
    ("GET", "/manifest.webmanifest"),
    ("GET", "/pair"),  # where a device asks to be let in
    ("POST", "/api/pair"),
    ("POST", "/api/pair/wait"),
    ("GET", "/trust"),  # how the certificate is trusted, and the certificate itself
    ("GET", "/trust/ringtrue-authority.crt"),
    ("GET", "/api/openapi.json"),  # the description of the interface, the same in every copy
}
SHUT = [each for each in ROUTES if each.who is not Who.ANYBODY]
FILLED = {"test": "no-such-test", "entry": "1", "name": "pair.js"}


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield an application."""
    with Shop(tmp_path) as opened:
        yield opened


def named(route: Route) -> str:
    """Return what a route is called in a list of tests."""
    return f"{route.method} {route.path}"


def behind_the_gate(shop: Shop) -> Starlette:
    """Return the application that the gate stands before."""
    app = application(shop.service).app
    assert isinstance(app, Starlette)
    return app


def asked(client: Client, route: Route, **headers: str) -> Answer:
    """Ask for a way in, with something in each of its places."""
    path = re.sub(r"\{(\w+)(?::\w+)?\}", lambda found: FILLED.get(found[1], "1"), route.path)
    return client.get(path, **headers) if route.method == "GET" else client.post(path, {}, **headers)


# If this failed, somebody could have opened a way in to everybody by forgetting to say who may use it.
def test_what_anybody_may_see_is_listed() -> None:
    assert {(each.method, each.path) for each in ROUTES if each.who is Who.ANYBODY} == PUBLIC


# If this failed, the application would have a way in that stands in no table, with no word of who may use it.
def test_there_is_no_other_way_in(shop: Shop) -> None:
    there = set()
    for each in behind_the_gate(shop).routes:
        assert type(each) is Path_, f"{each} is no plain path"
        assert each.methods is not None
        there |= {(method, each.path) for method in each.methods - {"HEAD"}}
    assert there == {(each.method, each.path) for each in ROUTES}


# If this failed, the test above would not notice a way in that was put beside the table.
def test_a_way_in_beside_the_table_is_noticed(shop: Shop) -> None:
    app = behind_the_gate(shop)
    app.routes.append(Path_("/behind", lambda _: None))
    assert {getattr(each, "path", "") for each in app.routes} - {each.path for each in ROUTES} == {"/behind"}


# If this failed, somebody who was never let in, was shut out, or has stayed away for half a year could read or write.
@pytest.mark.parametrize("route", SHUT, ids=named)
def test_a_token_that_opens_nothing(shop: Shop, route: Route) -> None:
    shut_out, gone = shop.token(Who.OWNER), shop.token(Who.OWNER)
    for each in shop.sessions.all():
        if each.hashed == hashed(shut_out):
            shop.sessions.revoke(each.name)
        else:
            long_ago = shop.sessions.now() - DAYS_UNUSED * DAY - 1
            shop.sessions._known[each.hashed] = replace(each, seen=long_ago)
    for token in ("", "ringtrue." + "A" * 43, shut_out, gone, hashed(gone), "\x7f", "ä"):
        browser = shop.client()
        if token:
            browser.cookies[shop.cookie] = token
        assert asked(browser, route).status == 401, token
        assert asked(shop.client(), route, authorization=f"Bearer {token}").status == 401, token


# If this failed, who only looks on could write, or who enters readings could let others in.
@pytest.mark.parametrize("route", SHUT, ids=named)
def test_a_role_that_is_not_enough(shop: Shop, route: Route) -> None:
    for role in (Who.LOOKS_ON, Who.ENTERS):
        if role < route.who:
            assert asked(shop.device(role), route).status == 403
            assert asked(shop.client(), route, authorization=f"Bearer {shop.token(role)}").status == 403


# If this failed, the tests above would pass because nobody at all is let in.
@pytest.mark.parametrize("route", [each for each in SHUT if not each.stream], ids=named)
def test_a_role_that_is_enough(shop: Shop, route: Route) -> None:
    for role in (Who.LOOKS_ON, Who.ENTERS, Who.OWNER):
        if role >= route.who:
            assert asked(shop.device(role), route).status not in {401, 403, 405, 500}
            token = shop.token(role)
            assert asked(shop.client(), route, authorization=f"Bearer {token}").status not in {401, 403, 405, 500}


# If this failed, a cookie of one server could be used at another on the same machine, or a plain one over https.
def test_the_cookie_is_the_ports_own(shop: Shop) -> None:
    client = shop.client()
    client.cookies["ringtrue-8418"] = client.cookies["__Host-ringtrue-8417"] = shop.token(Who.OWNER)
    assert client.get("/api/me").status == 401


# If this failed, a person would be shown JSON, or a program a page.
def test_refusals_are_pages_for_people_and_json_for_programs(shop: Shop) -> None:
    client = shop.client()
    shown = client.get("/devices", accept="text/html,*/*;q=0.8")
    assert shown.status == 401
    assert shown.header("content-type").startswith("text/html")
    assert "This device is not let in." in shown.text
    assert 'href="/pair"' in shown.text
    assert "frame-ancestors 'none'" in shown.header("content-security-policy")
    assert client.get("/devices").json["says"].startswith("This device is not let in.")
    assert client.get("/api/tests", accept="text/html").json["says"].startswith("This device is not let in.")
    assert client.get("/api/tests").header("www-authenticate") == 'Bearer realm="ringtrue"'
    low = shop.device(Who.LOOKS_ON).get("/devices", accept="text/html")
    assert low.status == 403
    assert "looks on" in low.text


# If this failed, asking for the head of a stream would hold a place open for ever.
def test_a_stream_has_no_head(shop: Shop) -> None:
    client = shop.device(Who.OWNER)
    headers = client._as_page("GET").items()
    answer = client.ask("HEAD", f"/api/tests/{shop.test()}/events", headers=headers)
    assert answer.status == 405
    assert answer.header("allow") == "GET"
