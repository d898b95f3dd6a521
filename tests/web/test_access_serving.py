"""The server as a builder starts it: in a process of its own, found, used, stopped, and what it says of itself."""

from __future__ import annotations

import asyncio
import http.client
import json
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
import webbrowser
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self
from urllib.parse import urlsplit

import pytest
from tests.web.shop import key

from ringtrue.cli import run
from ringtrue.errors import InputRefused
from ringtrue.web import serving
from ringtrue.web.addresses import is_loopback, origins, own_names, read_name

WAIT = 30.0
"""A server that has neither started nor stopped in so long hangs. [s]"""
DEVICE = {"person": "Alder", "device": "shop PC"}


@dataclass(slots=True)
class Running:
    """``ringtrue serve`` in a process of its own."""

    folder: Path
    arguments: tuple[str, ...]
    process: subprocess.Popen[str] = field(init=False)
    said: list[str] = field(default_factory=list)
    line: http.client.HTTPConnection | None = None
    cookie: str = ""

    def __enter__(self) -> Self:
        with (self.folder / "stderr.txt").open("w") as errors:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "ringtrue", "serve", *self.arguments],
                env=environment(self.folder),
                stdout=subprocess.PIPE,
                stderr=errors,
                text=True,
            )
        return self

    def __exit__(self, *_: object) -> None:
        if self.line is not None:
            self.line.close()
        self.process.kill()
        self.process.wait(WAIT)
        assert self.process.stdout is not None
        self.process.stdout.close()

    def told(self) -> Any:  # noqa: ANN401 - JSON
        """Wait until it says where it is reached."""
        assert self.process.stdout is not None
        return json.loads(self.process.stdout.readline())

    def until(self, words: str) -> str:
        """Read what it says until some words have come."""
        assert self.process.stdout is not None
        while words not in (line := self.process.stdout.readline()):
            assert line, "".join(self.said)
            self.said.append(line)
        self.said.append(line)
        return "".join(self.said)

    def stopped(self) -> tuple[int, str]:
        """Stop it as Ctrl-C does; how it left, and what it said on standard error."""
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(WAIT)
        return code, (self.folder / "stderr.txt").read_text("utf-8")

    def ask(self, here: str, method: str, path: str, said: object = None) -> http.client.HTTPResponse:
        """Ask it over the wire."""
        parts = urlsplit(here)
        if self.line is None:
            self.line = http.client.HTTPConnection("127.0.0.1", parts.port, timeout=WAIT)
        headers = {"host": parts.netloc, "origin": here, "cookie": self.cookie, "ringtrue-page": "1"}
        self.line.request(method, path, json.dumps(said).encode(), headers)
        return self.line.getresponse()

    def pair(self, told: Any) -> None:  # noqa: ANN401 - JSON
        """Come in as the owner."""
        secret = told["owner"].partition("#")[2]
        answer = self.ask(told["here"], "POST", "/api/pair", {"secret": secret, **DEVICE})
        assert json.loads(answer.read())["state"] == "let in"
        self.cookie = (answer.getheader("set-cookie") or "").partition(";")[0]


def environment(folder: Path) -> dict[str, str]:
    """Return an environment with a book and settings of its own."""
    own = {"RINGTRUE_BOOK": str(folder / "book.db"), "RINGTRUE_SETTINGS": str(folder / "settings.toml")}
    return {**os.environ, **own, "PYTHONWARNINGS": "error"}


@pytest.fixture
def typed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:  # noqa: ANN401 - a function
    """Return a way to type ``ringtrue serve``, for what is refused at once."""
    for name, value in environment(tmp_path).items():
        monkeypatch.setenv(name, value)

    def served(*_: object) -> None:
        raise AssertionError("it was not refused, and serves")

    monkeypatch.setattr(serving._Server, "run", served)

    def type_(*arguments: str) -> tuple[int, str, str]:
        code = run(["serve", *arguments])
        said = capsys.readouterr()
        return code, said.out, said.err

    return type_


# If this failed, a builder could not start the pages, come in, and stop them without seeing a fault.
def test_started_used_and_stopped(tmp_path: Path) -> None:
    with Running(tmp_path, ("--port", "0", "--json")) as server:
        told = server.told()
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+", told["here"])
        assert told["addresses"] == []
        assert told["fingerprint"] is None
        assert told["book"] == str(tmp_path / "book.db")
        server.pair(told)
        assert json.loads(server.ask(told["here"], "GET", "/api/me").read())["role"] == "owner"
        # It listens on this machine alone, under IPv6 too where there is such a thing.
        port = urlsplit(told["here"]).port
        for name in own_names():
            if name[0].isdigit():
                with pytest.raises(OSError, match=r"."):
                    socket.create_connection((name, port), timeout=2).close()
        assert server.stopped() == (0, "")


# If this failed, a test that somebody follows would keep the server from stopping.
def test_open_streams_end_when_it_is_stopped(tmp_path: Path) -> None:
    sheet = Path(serving.__file__).parents[1] / "cli" / "story" / "launch-six.toml"
    readings = tmp_path / "readings.csv"
    readings.write_text("cylinder,final [psi]\n1,150\n2,149\n3,148\n4,151\n5,150\n6,149\n")
    entered = subprocess.run(
        [sys.executable, "-m", "ringtrue", "enter", str(readings), "--sheet", str(sheet), "--json"],
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        check=True,
    )
    test = json.loads(entered.stdout)["test"]
    with Running(tmp_path, ("--port", "0", "--json")) as server:
        told = server.told()
        server.pair(told)
        stream = server.ask(told["here"], "GET", f"/api/tests/{test}/events")
        assert stream.status == 200
        while not stream.readline().startswith(b"event: state"):
            pass
        before = time.monotonic()
        assert server.stopped() == (0, "")
        # No speed is tested here: a server that waits for the stream never ends at all.
        assert time.monotonic() - before < WAIT


# If this failed, phones would have to be paired anew each time the PC is switched on.
def test_who_is_in_stays_in(tmp_path: Path) -> None:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = str(door.getsockname()[1])
    with Running(tmp_path, ("--port", port, "--json")) as server:
        server.pair(server.told())
        cookie = server.cookie
        assert server.stopped()[0] == 0
    with Running(tmp_path, ("--port", port, "--json")) as server:
        told = server.told()
        server.cookie = cookie
        assert server.ask(told["here"], "GET", "/api/me").status == 200
        assert server.stopped() == (0, "")
    (tmp_path / "server" / f"sessions-{port}.json").write_bytes(b"\x00")
    with Running(tmp_path, ("--port", port)) as server:
        said = server.until("Ctrl-C stops it.")
        assert "Every device has to be paired anew." in said
        assert server.stopped() == (0, "")


# If this failed, a token could be read by whoever sees the terminal or its log, or would stand in an address.
def test_no_token_is_told(tmp_path: Path) -> None:
    with Running(tmp_path, ("--port", "0", "--lan")) as server:
        said = server.until("Ctrl-C stops it.")
        (first,) = re.findall(r"(http://\S+)/pair#(\S+)", said)
        told = {"here": first[0], "owner": f"{first[0]}/pair#{first[1]}"}
        server.pair(told)
        token = server.cookie.partition("=")[2]
        made = json.loads(server.ask(told["here"], "POST", "/api/devices/invite").read())
        program = json.loads(
            server.ask(told["here"], "POST", "/api/devices/program", {"program": "scales", "role": "owner"}).read()
        )
        pages = [made, program]
        for path in ("/nowhere", "/devices", f"/api/tests/{key()}", "/static/none", "/trust", "/pair"):
            answer = server.ask(told["here"], "GET", path)
            assert token not in answer.read().decode()
        for body in ("not JSON", {"secret": made["address"].partition("#")[2], "x": 1}):
            assert made["code"] not in server.ask(told["here"], "POST", "/api/pair", body).read().decode()
        code, err = server.stopped()
        assert (code, err) == (0, "")
        assert server.process.stdout is not None
        whole = said + server.process.stdout.read() + err
    assert pages
    for secret in (token, program["token"], made["address"].partition("#")[2], made["code"]):
        assert secret not in whole
    # The owner's own secret is told once, behind the sign that browsers never send (RFC 3986, 3.5).
    assert whole.count(first[1]) == 1
    for kept in (tmp_path / "server").iterdir():
        assert token not in kept.read_text("utf-8")


# If this failed, over the network nobody would say that others can listen, or where a phone finds the server.
def test_the_network_is_served_when_asked(tmp_path: Path) -> None:
    with Running(tmp_path, ("--port", "0", "--lan", "--name", "Shop-PC.lan")) as server:
        said = server.until("Ctrl-C stops it.")
        assert "anybody on this network can read along" in said
        assert "no camera" in said
        assert "http://shop-pc.lan:" in said
        (here,) = re.findall(r"(http://127\S+)/pair#", said)
        port = urlsplit(here).port
        for name in own_names():
            if name[0].isdigit():
                assert f"http://{name}:{port}" in said
                with socket.create_connection((name, port), timeout=WAIT) as line:
                    line.sendall(f"GET /pair HTTP/1.1\r\nHost: {name}:{port}\r\nConnection: close\r\n\r\n".encode())
                    assert line.recv(15) == b"HTTP/1.1 200 OK"
        assert server.stopped() == (0, "")


# If this failed, https would be served with a certificate that no phone takes.
def test_https(tmp_path: Path) -> None:
    with Running(tmp_path, ("--port", "0", "--https", "--json", "--name", "shop-pc.lan")) as server:
        told = server.told()
        port = urlsplit(told["here"]).port
        assert re.fullmatch(r"([0-9A-F]{2} ){31}[0-9A-F]{2}", told["fingerprint"])
        trusting = ssl.create_default_context(cafile=str(tmp_path / "server" / "certificates" / "authority.pem"))
        with (
            socket.create_connection(("127.0.0.1", port), timeout=WAIT) as line,
            trusting.wrap_socket(line, server_hostname="shop-pc.lan") as safe,
        ):
            safe.sendall(f"GET /trust HTTP/1.1\r\nHost: shop-pc.lan:{port}\r\nConnection: close\r\n\r\n".encode())
            whole = b"".join(iter(lambda: safe.recv(65536), b""))
        assert whole.startswith(b"HTTP/1.1 200 OK")
        assert told["fingerprint"].encode() in whole
        assert server.stopped() == (0, "")


# If this failed, a web socket could be opened on the real server, whatever the gate says of it.
def test_a_web_socket_on_the_wire(tmp_path: Path) -> None:
    with Running(tmp_path, ("--port", "0", "--json")) as server:
        told = server.told()
        server.pair(told)
        parts = urlsplit(told["here"])
        for origin in (told["here"], "http://evil.test"):
            with socket.create_connection(("127.0.0.1", parts.port), timeout=WAIT) as line:
                line.sendall(
                    f"GET /api/tests/x/events HTTP/1.1\r\nHost: {parts.netloc}\r\nOrigin: {origin}\r\n"
                    f"Cookie: {server.cookie}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"
                    "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n".encode()
                )
                assert line.recv(12) == b"HTTP/1.1 403"
        assert server.stopped() == (0, "")


# If this failed, a port that cannot be had would end in lines that no builder reads.
@pytest.mark.parametrize(
    "port",
    ["70000", "-1", "eighty", "8417.5", "8_417", "0x50", "\u0668\u0664\u0661\u0667", "9" * 5000],
    ids=range(8),
)
def test_a_port_that_there_is_not(typed: Any, port: str) -> None:  # noqa: ANN401 - a function
    code, out, err = typed("--port", port)
    assert (code, out) == (2, "")
    assert "A port is a whole number from 1 to 65535." in err
    assert err.count("\n") == 1


# If this failed, a server that runs already would be taken over, or its port fought for.
@pytest.mark.parametrize("more", [(), ("--lan",)])
def test_a_port_that_is_taken(typed: Any, more: tuple[str, ...]) -> None:  # noqa: ANN401 - a function
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        code, out, err = typed("--port", str(door.getsockname()[1]), *more)
    assert (code, out) == (2, "")
    assert "nother program listens there already" in err
    assert "--port 8418" in err
    assert err.count("\n") == 1


# If this failed, a port of the administrator's would be refused without a word of why.
def test_a_port_of_the_administrator(monkeypatch: pytest.MonkeyPatch) -> None:
    class Kept(socket.socket):
        def bind(self, address: Any) -> None:  # noqa: ANN401 - as a socket has it
            raise PermissionError(13, f"Permission denied: {address}")

    monkeypatch.setattr(socket, "socket", Kept)
    with pytest.raises(InputRefused, match="keeps that port for its administrator"):
        serving.listen(80, lan=False)


# If this failed, the end of every page would wait 40 ms for the phone to say that it has the beginning (delayed
# acknowledgement, RFC 1122, 4.2.3.2, and the Nagle algorithm, RFC 896; both from memory).
def test_answers_do_not_wait_for_one_another() -> None:
    async def at_once(door: socket.socket) -> int:
        seen: asyncio.Queue[int] = asyncio.Queue()

        async def look(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            line = writer.get_extra_info("socket")
            await seen.put(line.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        async with await asyncio.start_server(look, sock=door):
            _, writer = await asyncio.open_connection(*door.getsockname()[:2])
            found = await seen.get()
            writer.close()
        return found

    for door in serving.listen(0, lan=False):
        with door:
            assert asyncio.run(at_once(door)) != 0


# If this failed, a book that cannot be used would be served, or would end in a traceback.
def test_a_book_that_cannot_be_used(typed: Any, tmp_path: Path) -> None:  # noqa: ANN401 - a function
    (tmp_path / "book.db").write_bytes(b"this is no book" * 100)
    code, out, err = typed("--port", "0")
    assert (code, out) == (3, "")
    assert err
    assert "Traceback" not in err


# If this failed, a folder that may not be written would end in a traceback, or tokens would be kept elsewhere.
def test_settings_that_cannot_be_kept(typed: Any, tmp_path: Path) -> None:  # noqa: ANN401 - a function
    (tmp_path / "server").write_text("in the way")
    code, out, err = typed("--port", "0")
    assert (code, out) == (2, "")
    assert "the folder cannot be made" in err.lower()


# If this failed, a name that no browser can send would be let through, or one that is meant would be turned away.
@pytest.mark.parametrize(
    "name", ["", "a b", "http://shop-pc", "shop-pc:8417", "*.lan", "-x", "x-.lan", "1.2.3", "a" * 64]
)
def test_a_name_that_is_none(name: str) -> None:
    with pytest.raises(InputRefused, match="no name of a machine"):
        read_name(name)


# If this failed, addresses on the terminal would not be those that a browser writes.
def test_names_are_written_as_browsers_write_them() -> None:
    assert read_name(" Shop-PC.LAN ") == "shop-pc.lan"
    assert read_name("FD00:0:0::20") == read_name("[fd00::20]") == "[fd00::20]"
    # RFC 9110, 4.2.1 and 4.2.2: the usual port is left out.
    assert origins(["a", "a", "[::1]"], 80, secure=False) == ("http://a", "http://[::1]")
    assert origins(["a"], 443, secure=True) == ("https://a",)
    assert origins(["a"], 443, secure=False) == ("http://a:443",)
    assert [is_loopback(each) for each in ("http://localhost:1", "https://[::1]:1", "http://127.8.8.8")] == [True] * 3
    assert [is_loopback(each) for each in ("http://shop-pc", "https://[fd00::1]:1", "http://128.0.0.1")] == [False] * 3


# If this failed, the machine's names would be those of this machine alone, or would not be sent by browsers as told.
def test_the_machines_own_names() -> None:
    names = own_names()
    assert names
    assert all(read_name(each) == each for each in names)
    assert not any(is_loopback(f"http://{each}") for each in names)
    assert f"{socket.gethostname().lower().partition('.')[0]}.local" in names


# If this failed, `ringtrue --help` would wait for libraries that only the server needs.
def test_nothing_heavy_is_loaded_by_the_command_line() -> None:
    heavy = ("uvicorn", "starlette", "jinja2", "cryptography", "segno", "msgspec")
    asked = f"import sys, ringtrue.cli.app; print([each for each in {heavy} if each in sys.modules])"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# If this failed, an owner at the shop PC would have to copy the address by hand, or a script would open windows.
@pytest.mark.parametrize(("terminal", "browser", "opens"), [(True, True, 1), (False, True, 0), (True, False, 0)])
def test_the_browser_is_opened_for_who_sits_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, terminal: bool, browser: bool, opens: int
) -> None:
    from ringtrue.shop.workplace import workplace

    for name, value in environment(tmp_path).items():
        monkeypatch.setenv(name, value)
    opened: list[str] = []
    done = threading.Event()

    def noted(address: str) -> None:
        opened.append(address)
        done.set()

    class Quick(serving._Server):
        def run(self, sockets: list[socket.socket] | None = None) -> None:
            del sockets
            self._started()
            if opens:
                assert done.wait(WAIT)

    monkeypatch.setattr(webbrowser, "open", noted)
    monkeypatch.setattr(serving, "_Server", Quick)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: terminal)
    serving.run(workplace(), serving.Asked(0, browser=browser))
    assert len(opened) == opens
    assert all("/pair#" in each for each in opened)
