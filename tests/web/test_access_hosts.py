"""Which host was asked for, and from which page; what every answer says to the browser."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

import pytest
from tests.web.client import Answer, Client, Line
from tests.web.shop import HERE, Shop, key

from ringtrue.web import access
from ringtrue.web.addresses import origin as origin_of
from ringtrue.web.app import ROUTES
from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from ringtrue.web.routes import Route

HOSTILE = (
    "evil.test",
    "evil.test:8417",
    "127.0.0.1.evil.test:8417",
    "shop-pc.test.evil.test:8417",
    "evil-shop-pc.test:8417",
    "shop-pc.test",  # without its port it is another server
    "shop-pc.test:80",
    "shop-pc.test:8418",
    "shop-pc.test:08418",
    "shop-pc.test:8417.evil.test",
    "shop-pc.test:8417@evil.test",
    "evil.test@shop-pc.test:8417",
    "shop-pc.test:8417/../",
    "shop-pc.test:8417#",
    "shop-pc.test:8417?",
    "shop-pc.test\\evil.test:8417",
    "shop-pc.test.:8417",  # a name with its last dot is another origin to a browser
    "shop-pc:8417",
    ".shop-pc.test:8417",
    "*.shop-pc.test:8417",
    "*",
    "",
    " ",
    "localhost",
    "localhost.:8417",
    "0.0.0.0:8417",
    "127.1:8417",  # other spellings of 127.0.0.1, which browsers never send
    "2130706433:8417",
    "0x7f000001:8417",
    "0177.0.0.1:8417",
    "127.0.0.2:8417",
    "192.0.2.21:8417",
    "[::]:8417",
    "[::1]",
    "[::1]:8418",
    "[::ffff:127.0.0.1]:8417",
    "[fd00::21]:8417",
    "[fe80::1%25eth0]:8417",
    "::1:8417",
    "http://shop-pc.test:8417",
    "shop-pc.test:8417, evil.test",
    "shop-pc.test:8417 evil.test",
    "shop-pc.test:84170",
    "shop-pc.test:-8417",
    "shop-pc.test:",
    "\u0455hop-pc.test:8417".encode().decode("latin-1"),  # a Cyrillic letter that looks like an s
    "xn--hop-pc-fde.test:8417",
    "a" * 5000,
)
LEGITIMATE = (
    "127.0.0.1:8417",
    "localhost:8417",
    "LOCALHOST:8417",
    "shop-pc.test:8417",
    "Shop-PC.Test:8417",
    "SHOP-PC.TEST:8417",
    "192.0.2.20:8417",
    "[::1]:8417",
    "[0:0:0:0:0:0:0:1]:8417",
    "[fd00::20]:8417",
    "[FD00::20]:8417",
    "[fd00:0::20]:8417",
)
# Origins are those of RFC 6454; the page on another port is the case in which a browser does send the Strict cookie.
ELSEWHERE = {
    "another site": "http://evil.test",
    "another site, this port": "http://evil.test:8417",
    "a page without an origin": "null",
    "another port": "http://127.0.0.1:8418",
    "no port": "http://127.0.0.1",
    "another scheme": "https://127.0.0.1:8417",
    "another name of this machine": "http://shop-pc.test:8417",
    "a longer name": "http://127.0.0.1:8417.evil.test",
    "with a path": "http://127.0.0.1:8417/",
    "empty": "",
}
TYPES = ("application/json", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "text/plain")
WRITES = [each for each in ROUTES if each.method == "POST"]
STREAMS = [each for each in ROUTES if each.stream]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield an application that is served to the workshop's network."""
    with Shop(tmp_path) as opened:
        yield opened


def named(route: Route) -> str:
    """Return what a route is called in a list of tests."""
    return f"{route.method} {route.path}"


def with_host(client: Client, *hosts: str) -> Answer:
    """Ask for something that anybody may see, under a host."""
    return client.ask("GET", "/api/openapi.json", headers=[("host", each) for each in hosts])


# If this failed, a page elsewhere whose name is bent to this machine's address could read the shop's records (A2).
@pytest.mark.parametrize("host", HOSTILE, ids=range(len(HOSTILE)))
def test_a_host_that_is_not_this_server(shop: Shop, host: str) -> None:
    assert with_host(shop.client(), host).status == 421


# If this failed, the list above would be shorter than the bar asks for.
def test_there_are_thirty_hosts_and_more() -> None:
    assert len(set(HOSTILE)) >= 30


# If this failed, a request could say two things about where it goes, or nothing.
def test_no_host_or_two(shop: Shop) -> None:
    client = shop.client()
    assert with_host(client).status == 421
    assert with_host(client, "127.0.0.1:8417", "evil.test").status == 421
    assert with_host(client, "127.0.0.1:8417", "127.0.0.1:8417").status == 421


# If this failed, a builder would be turned away under an address that the terminal told him.
@pytest.mark.parametrize("host", LEGITIMATE)
def test_every_name_of_this_server(shop: Shop, host: str) -> None:
    client = shop.device(Who.OWNER)
    headers = {**client._as_page("POST"), "host": host, "origin": origin_of(host, secure=False) or ""}
    assert with_host(client, host).status == 200
    written = client.ask("POST", "/api/devices/invite", b"", headers.items())
    assert written.status == 201


# If this failed, a machine that was given a new address while it served would be unreachable until it is started anew.
def test_the_address_on_which_a_request_came_in(shop: Shop) -> None:
    client = shop.client()
    line = client.line("GET", "/api/openapi.json", headers=[("host", "192.0.2.77:8417")])
    line._scope["server"] = ("192.0.2.77", 8417)
    with line as opened:
        assert started(opened)["status"] == 200
    other = client.line("GET", "/api/openapi.json", headers=[("host", "192.0.2.78:8417")])
    other._scope["server"] = ("192.0.2.77", 8417)
    with other as opened:
        assert started(opened)["status"] == 421


# If this failed, a server meant for this machine alone would answer to the network's names.
def test_alone_it_has_no_other_names(tmp_path: Path) -> None:
    with Shop(tmp_path, lan=False) as alone:
        assert with_host(alone.client(), "127.0.0.1:8417").status == 200
        assert with_host(alone.client(), "shop-pc.test:8417").status == 421


# If this failed, who types a name that the machine has elsewhere would not be told how to have it served.
def test_a_wrong_name_is_told(shop: Shop) -> None:
    headers = [("host", "Garage:8417"), ("accept", "text/html")]
    answer = shop.client().ask("GET", "/", headers=headers)
    assert answer.status == 421
    assert "--name garage" in answer.text
    hurt = shop.client().ask("GET", "/", headers=[("host", "<script>x</script>"), ("accept", "text/html")])
    assert "<script>x" not in hurt.text


def started(line: Line) -> dict[str, object]:
    """Return how an answer begins."""
    message = line.next()
    assert message is not None
    return dict(message)


# ---------------------------------------------------------------------------------------------- writes


def attack(client: Client, path: str, kind: str, origin: str | None) -> Answer:
    """Write from a page elsewhere: with the cookie, as a browser sends it, and without Sec-Fetch headers."""
    headers = [("host", "127.0.0.1:8417"), ("content-type", kind), ("accept", "*/*")]
    headers += [("cookie", "; ".join(f"{name}={value}" for name, value in client.cookies.items()))]
    if origin is not None:
        headers.append(("origin", origin))
    return client.ask("POST", path, b"{}", headers)


def filled(route: Route) -> str:
    """Return a path with something in each of its places."""
    return route.path.replace("{test}", "x").replace("{entry:int}", "1").replace("{engine}", "x")


# If this failed, any page that the builder has open could write into the record book in his name (A3).
@pytest.mark.parametrize("route", WRITES, ids=named)
def test_a_write_from_a_page_elsewhere(shop: Shop, route: Route) -> None:
    client = shop.device(Who.OWNER)
    for kind in TYPES:
        for origin in (*ELSEWHERE.values(), None):
            assert attack(client, filled(route), kind, origin).status == 403, (kind, origin)


# If this failed, two origins at once, the right one among them, would be taken for the right one.
def test_two_origins_are_none(shop: Shop) -> None:
    client = shop.device(Who.OWNER)
    headers = [*client._as_page("POST").items(), ("origin", "http://evil.test")]
    assert client.ask("POST", "/api/devices/invite", b"", headers).status == 403


# If this failed, the attacks above would be refused for some other reason than where they come from.
def test_the_same_write_from_a_page_of_this_server(shop: Shop) -> None:
    client = shop.device(Who.OWNER)
    assert attack(client, "/api/devices/invite", "application/json", HERE).status == 201


# If this failed, the attacks above would not hurt a server that trusts the cookie alone, and so would prove nothing.
def test_without_the_comparison_the_attack_goes_through(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "_from_own_page", lambda *_: True)
    client = shop.device(Who.OWNER)
    for origin in ELSEWHERE.values():
        assert attack(client, "/api/devices/invite", "text/plain", origin).status == 201


# If this failed, a program with a token of its own would have to pretend to be a browser.
def test_a_program_needs_no_origin(shop: Shop) -> None:
    token = shop.token(Who.OWNER)
    headers = [("host", "127.0.0.1:8417"), ("authorization", f"Bearer {token}")]
    assert shop.client().ask("POST", "/api/devices/invite", b"", headers).status == 201


# If this failed, whoever sends an empty token could pass the comparison and then use the cookie.
def test_a_token_and_a_cookie_are_not_mixed(shop: Shop) -> None:
    client = shop.device(Who.OWNER)
    headers = {**client._as_page("POST"), "origin": "http://evil.test", "authorization": "Bearer "}
    assert client.ask("POST", "/api/devices/invite", b"", headers.items()).status == 401


# ---------------------------------------------------------------------------------------------- streams, sockets


# If this failed, a page elsewhere could follow a test as it is taken (A4).
@pytest.mark.parametrize("route", STREAMS, ids=named)
def test_a_stream_for_a_page_elsewhere(shop: Shop, route: Route) -> None:
    client = shop.device(Who.OWNER)
    path = route.path.replace("{test}", shop.test())
    for origin in ELSEWHERE.values():
        headers = {**client._as_page("GET"), "origin": origin}
        with client.line("GET", path, headers=headers.items()) as line:
            assert started(line)["status"] == 403, origin
    bare = {name: value for name, value in client._as_page("GET").items() if name != "ringtrue-page"}
    with client.line("GET", path, headers=bare.items()) as line:
        assert started(line)["status"] == 403
    with client.line("GET", path, headers=client._as_page("GET").items()) as line:
        assert started(line)["status"] == 200


# If this failed, the list above would be empty and nothing followed.
def test_there_is_a_stream() -> None:
    assert STREAMS


# If this failed, a page elsewhere could open a web socket, which no browser guards by origin (RFC 6455, 10.2).
@pytest.mark.parametrize("origin", [*ELSEWHERE.values(), HERE])
def test_a_web_socket_is_refused_before_it_is_accepted(shop: Shop, origin: str) -> None:
    client = shop.device(Who.OWNER)
    headers = {**client._as_page("GET"), "origin": origin}
    path = f"/api/tests/{shop.test()}/events"
    with client.line("GET", path, headers=headers.items(), kind="websocket") as line:
        assert started(line) == {"type": "websocket.close", "code": 1008}
    up = {**headers, "connection": "Upgrade", "upgrade": "WebSocket"}
    assert client.ask("GET", path, headers=up.items()).status == 403


# ---------------------------------------------------------------------------------------------- headers


def guarded(answer: Answer) -> None:
    """See that an answer says to the browser what every answer has to."""
    policy = dict(part.strip().split(" ", 1) for part in answer.header("content-security-policy").split(";"))
    assert policy["default-src"] == policy["object-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == "'self'"
    assert "unsafe" not in answer.header("content-security-policy")
    assert answer.header("x-content-type-options") == "nosniff"
    assert answer.header("referrer-policy") == "no-referrer"
    assert answer.header("cache-control") in {"no-store", "no-cache"}
    assert answer.header("server") == ""


# If this failed, a text that somebody typed could run as a script, or a page of this server could be framed by another.
def test_every_answer_guards_the_page(shop: Shop) -> None:
    client = shop.device(Who.OWNER)
    test = shop.test()
    for accept in ("text/html", "*/*"):
        answers = {
            200: client.get("/pair", accept=accept),
            401: shop.client().get("/devices", accept=accept),
            403: shop.device(Who.LOOKS_ON).get("/devices", accept=accept),
            404: client.get("/nowhere", accept=accept),
            405: client.ask("PUT", "/pair", headers={**client._as_page("GET"), "accept": accept}.items()),
            421: client.get("/", host="evil.test", accept=accept),
            422: client.post(f"/api/tests/{test}/readings", b"{", accept=accept),
            201: client.post("/api/devices/invite", accept=accept),
            303: client.send("/devices/invite", {"key": key()}, accept=accept),
        }
        assert {status: each.status for status, each in answers.items()} == {each: each for each in answers}
        for each in answers.values():
            guarded(each)
    for path in ("/static/pair.js", "/static/nowhere.js", "/static/../app.py", "/static/%2e%2e/app.py", "/trust"):
        guarded(client.get(path))


# If this failed, a fault of the program would show its insides to whoever caused it, or be told to nobody.
@pytest.mark.parametrize("accept", ["text/html", "application/json"])
def test_a_fault_is_told_on_the_terminal_alone(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, accept: str
) -> None:
    client = shop.device(Who.OWNER)
    token = client.cookies[shop.cookie]

    def broken(*_: object) -> None:
        raise ZeroDivisionError(f"secret {token} in a message")

    monkeypatch.setattr(shop.service.door, "invite", broken)
    with caplog.at_level(logging.ERROR):
        answer = (
            client.post("/api/devices/invite")
            if accept != "text/html"
            else client.send("/devices/invite", {"key": key()}, accept=accept)
        )
    assert answer.status == 500
    guarded(answer)
    assert "ZeroDivisionError" not in answer.text
    assert "Traceback" not in answer.text
    assert "fault of ringtrue" in answer.text
    assert "ZeroDivisionError" in caplog.text
    assert token not in caplog.text
    assert "secret (struck out) in a message" in caplog.text


# If this failed, a way in that has other methods would not say which (RFC 9110, 15.5.6).
def test_a_wrong_method_is_told_the_right_ones(shop: Shop) -> None:
    client = shop.device(Who.OWNER)
    headers = client._as_page("POST").items()
    assert client.ask("DELETE", "/api/tests", headers=headers).header("allow") == "GET, HEAD, POST"
    for method in ("OPTIONS", "TRACE", "PATCH", "CONNECT", "BREW"):
        assert client.ask(method, "/api/devices/invite", headers=headers).header("allow") == "POST"


# If this failed, a page over plain http from another machine would promise what browsers forbid there.
def test_plain_http_is_said(shop: Shop) -> None:
    assert "came over plain http" in shop.client("http://shop-pc.test:8417").get("/pair", accept="text/html").text
    assert "came over plain http" not in shop.client().get("/pair", accept="text/html").text
