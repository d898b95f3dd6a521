"""A server of the pages for tests: in this process, on a free port of loopback, with a book and settings of its own."""

from __future__ import annotations

import contextlib
import http.client
import json
import secrets
import socket
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

import uvicorn

from ringtrue.intake import parse_sheet, read_settings
from ringtrue.records import Book, Header
from ringtrue.shop.workplace import Workplace
from ringtrue.web.app import application
from ringtrue.web.certificates import certified
from ringtrue.web.routes import Who
from ringtrue.web.service import Service
from ringtrue.web.sessions import Sessions

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import TracebackType

    from ringtrue.engine import BuildSheet

STORY = Path(__file__).parents[1] / "src" / "ringtrue" / "cli" / "story"
LAN_NAME = "shop-pc.test"
"""A name of the workshop's network; .test is nobody's (RFC 6761, 6.2)."""
NAMES = ("127.0.0.1", "localhost", LAN_NAME)
UP = 10.0
"""A server that has not come up in so long does not run. [s]"""
ANSWERED = 120.0
"""No answer takes longer, not even the first, which compiles the physics; without it a test would hang. [s]"""

SIX = (STORY / "launch-six.toml").read_text(encoding="utf-8")
EIGHT = """\
[engine]
name = "Saloon eight"
reference = "8801"
layout = "V"
cycle = 4
ignition = "spark"
cylinders = ["1", "2", "3", "4", "5", "6", "7", "8"]
banks = [["1", "3", "5", "7"], ["2", "4", "6", "8"]]
firing_order = ["1", "8", "4", "3", "6", "5", "7", "2"]
"""
"""An invented engine of eight cylinders."""


def free_port() -> int:
    """Return a port of loopback on which nobody listens."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


def key() -> str:
    """Return a key that no entry has yet."""
    return secrets.token_urlsafe(18)


@dataclass(frozen=True, slots=True)
class Answer:
    """What the server answered."""

    status: int
    body: bytes
    headers: dict[str, str]

    @property
    def json(self) -> Any:  # noqa: ANN401 - whatever JSON holds
        """Its body, read."""
        return json.loads(self.body)


@dataclass(slots=True)
class Phone:
    """A device that may come in: a line to the server that stays open, as a browser keeps one."""

    port: int
    token: str
    host: str = "127.0.0.1"
    _line: http.client.HTTPConnection | None = field(default=None, repr=False)

    @property
    def origin(self) -> str:
        """The address of the pages it looks at."""
        return f"http://{self.host}:{self.port}"

    def headers(self) -> dict[str, str]:
        """Return what a browser sends along from a page of the server."""
        return {
            "host": f"{self.host}:{self.port}",
            "origin": self.origin,
            "cookie": f"ringtrue-{self.port}={self.token}",
            "ringtrue-page": "1",
        }

    def ask(self, method: str, path: str, body: bytes | None = None, **more: str) -> Answer:
        """Ask once; whatever goes wrong with the line is raised."""
        if self._line is None:
            self._line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=ANSWERED)
        headers = self.headers() | {name.replace("_", "-"): value for name, value in more.items()}
        try:
            self._line.request(method, path, body, headers)
            answer = self._line.getresponse()
            read = Answer(answer.status, answer.read(), {k.lower(): v for k, v in answer.getheaders()})
            to = read.headers.get("location", "") if read.status == 303 else ""
            # As a browser goes on to the page of a form that was refused.
            return self.get(to) if "?answered=" in to else read
        except (OSError, http.client.HTTPException):
            self.hang_up()
            raise

    def get(self, path: str) -> Answer:
        """Look at something."""
        return self.ask("GET", path)

    def post(self, path: str, said: object) -> Answer:
        """Send JSON; bytes are sent as they are."""
        body = said if isinstance(said, bytes) else json.dumps(said).encode()
        return self.ask("POST", path, body, content_type="application/json")

    def pull(self, test: str, cylinder: str, final: str | float, **more: Any) -> Answer:  # noqa: ANN401 - fields of JSON
        """Send one pull."""
        said = {"key": key(), "cylinder": cylinder, "unit": "psi", "final": final, **more}
        return self.post(f"/api/tests/{test}/readings", said)

    def state(self, test: str) -> Any:  # noqa: ANN401 - a LiveTest, as JSON
        """Return a test as every page shows it."""
        answer = self.get(f"/api/tests/{test}")
        assert answer.status == 200, answer.body
        return answer.json

    @contextlib.contextmanager
    def stream(self, test: str) -> Iterator[Iterator[Any]]:
        """Follow a test: its states, as they come."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=ANSWERED)
        try:
            line.request("GET", f"/api/tests/{test}/events", headers=self.headers())
            answer = line.getresponse()
            assert answer.status == 200, answer.read()
            with answer:
                yield states(answer)
        finally:
            line.close()

    def hang_up(self) -> None:
        """Drop the line; the next question opens another."""
        if self._line is not None:
            self._line.close()
        self._line = None


def states(answer: http.client.HTTPResponse) -> Iterator[Any]:
    """Yield every state of a stream until it ends."""
    event = ""
    while line := answer.readline():
        if line.startswith(b"event: "):
            event = line[7:].strip().decode()
        elif line.startswith(b"data: ") and event == "state":
            yield json.loads(line[6:])


class Served:
    """
    A server, which may be stopped and started again at the same address.

    Parameters
    ----------
    folder : Path
        Book, settings and sessions are kept there.
    secure : bool
        Over https, with a certificate made on the spot.
    """

    def __init__(self, folder: Path, *, secure: bool = False) -> None:
        self.folder = folder
        folder.mkdir(exist_ok=True)
        self.authority = certified(folder / "certificates", NAMES) if secure else None
        self.port = free_port()
        self.book_path = folder / "book.ringtrue"
        self.settings = folder / "settings.toml"
        self.sessions = Sessions(folder / "sessions.json")
        self._phones: list[Phone] = []
        self._running: tuple[uvicorn.Server, threading.Thread, Book] | None = None
        self.service: Service
        with Book.open(self.book_path):
            pass

    def address(self, name: str = "127.0.0.1") -> str:
        """Return where the pages are, under one of the server's names."""
        return f"{'https' if self.authority else 'http'}://{name}:{self.port}"

    def start(self) -> None:
        """Open the book and listen."""
        place = Workplace(read_settings(self.settings), self.settings, str(self.book_path))
        book = place.open_book(create=False)
        self.service = Service(
            place,
            book,
            self.sessions,
            frozenset(self.address(name) for name in NAMES),
            secure=self.authority is not None,
            authority=self.authority,
        )
        config = uvicorn.Config(
            application(self.service),
            host="127.0.0.1",
            port=self.port,
            log_level="error",
            server_header=False,
            lifespan="off",
            timeout_graceful_shutdown=1,
            ssl_certfile=self.authority.chain if self.authority else None,
            ssl_keyfile=self.authority.key if self.authority else None,
        )
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, name="the pages", daemon=True)
        thread.start()
        until = time.monotonic() + UP
        while not server.started:
            assert thread.is_alive(), "the server for the tests did not start"
            assert time.monotonic() < until, "the server for the tests did not start"
            time.sleep(0.01)
        self._running = (server, thread, book)

    def stop(self) -> None:
        """Close every line at once, and the book."""
        if self._running is None:
            return
        for phone in self._phones:
            phone.hang_up()
        server, thread, book = self._running
        self._running = None
        self.service.stopping = True
        server.should_exit = True
        thread.join(UP)
        assert not thread.is_alive()
        book.close()

    def __enter__(self) -> Self:
        """Start."""
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop."""
        self.stop()

    @property
    def book(self) -> Book:
        """The book that is being served."""
        return self.service.book

    def phone(self, person: str = "a builder", device: str = "phone", role: Who = Who.OWNER) -> Phone:
        """Let a device in."""
        token = self.sessions.open(self.sessions.secret(role), person, device)
        assert token is not None
        self._phones.append(Phone(self.port, token))
        return self._phones[-1]

    def test(self, sheet_text: str = SIX) -> str:
        """Begin a test of an engine; its name."""
        sheet: BuildSheet = parse_sheet(sheet_text)
        engine = sheet.reference or sheet.name
        header = Header(engine, sheet.name, by="a builder", plan_order=sheet.pull_order)
        return self.book.start(header, sheet_text=sheet_text, key=key(), who="a builder", device="shop PC")
