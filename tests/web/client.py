"""A browser for tests that need none: asks the application itself, with every header in the test's own hands."""

from __future__ import annotations

import asyncio
import json
import queue
import threading
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from typing import TYPE_CHECKING, Any, Self
from urllib.parse import unquote, urlencode, urlsplit

if TYPE_CHECKING:
    from collections.abc import Coroutine, Iterable, Iterator, MutableMapping

    from starlette.types import ASGIApp

ANSWERED = 120.0
"""No answer takes longer, not even the first, which compiles the physics; without it a test would hang. [s]"""
Headers = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the application answered."""

    status: int
    headers: Headers
    body: bytes

    def header(self, name: str) -> str:
        """Return a header, empty where it is not there; one that stands twice is joined, so that a test sees it."""
        return ", ".join(value for key, value in self.headers if key == name.lower())

    @property
    def text(self) -> str:
        """Its body, as text."""
        return self.body.decode("utf-8")

    @property
    def json(self) -> Any:  # noqa: ANN401 - whatever JSON holds
        """Its body, read."""
        return json.loads(self.body)


@dataclass(slots=True)
class Line:
    """One request on its way: what comes back, as it comes."""

    messages: queue.Queue[MutableMapping[str, Any] | BaseException | None] = field(default_factory=queue.Queue)
    hung_up: asyncio.Event = field(default_factory=asyncio.Event)

    def next(self, wait: float = ANSWERED) -> MutableMapping[str, Any] | None:
        """Return the next message, None at the end; what the application raised is raised here."""
        got = self.messages.get(timeout=wait)
        if isinstance(got, BaseException):
            raise got
        return got


class Client:
    """
    One device that talks to an application.

    Parameters
    ----------
    app : ASGIApp
        The application.
    address : str
        Scheme, name and port under which it is reached; what a page of it sends as Origin.
    """

    def __init__(self, app: ASGIApp, address: str = "http://127.0.0.1:8417") -> None:
        self.app = app
        self.address = address
        self.cookies: dict[str, str] = {}
        self.set_cookies: list[str] = []
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, name="asks", daemon=True)
        self._thread.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Hang up."""
        self._run(self._end())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(ANSWERED)
        self._loop.close()

    async def _end(self) -> None:
        rest = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
        for task in rest:
            task.cancel()
        await asyncio.gather(*rest, return_exceptions=True)

    def _run(self, work: Coroutine[Any, Any, Any]) -> Any:  # noqa: ANN401 - whatever it returns
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(ANSWERED)

    # ------------------------------------------------------------------------------------------ asking

    def get(self, path: str, **headers: str) -> Answer:
        """Look at something, as a page of the application does; ``accept_language=...`` is a header more."""
        return self.ask("GET", path, headers={**self._as_page("GET"), **_named(headers)}.items())

    def post(self, path: str, said: object = None, **headers: str) -> Answer:
        """Send JSON, as a page of the application does; bytes are sent as they are."""
        body = said if isinstance(said, bytes) else json.dumps(said).encode()
        more = {**self._as_page("POST"), "content-type": "application/json", **_named(headers)}
        return self.ask("POST", path, body, more.items())

    def send(self, path: str, fields: dict[str, str], **headers: str) -> Answer:
        """Send a form, as a browser does from a page of the application."""
        more = {**self._as_form(), **_named(headers)}
        return self.on(self.ask("POST", path, urlencode(fields).encode(), more.items()))

    def _as_form(self) -> dict[str, str]:
        return {**self._as_page("POST"), "content-type": "application/x-www-form-urlencoded", "accept": "text/html"}

    def on(self, answer: Answer) -> Answer:
        """Go on to the page that answers a form, as a browser does; any other answer stays as it is."""
        to = answer.header("location") if answer.status == 303 else ""
        return self.get(to, accept="text/html") if "?answered=" in to else answer

    def ask(self, method: str, path: str, body: bytes = b"", headers: Iterable[tuple[str, str]] = ()) -> Answer:
        """Ask with these headers and no others; cookies that the application set are kept."""
        with self.line(method, path, body, headers) as line:
            start = line.next()
            assert start is not None, "the application answered nothing"
            parts = []
            while (part := line.next()) is not None:
                parts.append(part.get("body", b""))
                if not part.get("more_body"):
                    break
        sent = tuple((key.decode("latin-1"), value.decode("latin-1")) for key, value in start["headers"])
        answer = Answer(start["status"], sent, b"".join(parts))
        for key, value in sent:
            if key == "set-cookie":
                self._keep(value)
        return answer

    def line(
        self, method: str, path: str, body: bytes = b"", headers: Iterable[tuple[str, str]] = (), kind: str = "http"
    ) -> _Open:
        """Open a line that stays open until it is left; for streams, and for what is no HTTP."""
        parts = urlsplit(path)
        scope = {
            "type": kind,
            "asgi": {"version": "3.0", "spec_version": "2.3"},
            "http_version": "1.1",
            "method": method,
            "scheme": urlsplit(self.address).scheme,
            "path": unquote(parts.path),
            "raw_path": parts.path.encode(),
            "root_path": "",
            "query_string": parts.query.encode(),
            "headers": [(key.lower().encode("latin-1"), value.encode("latin-1")) for key, value in headers],
            "client": ("127.0.0.1", 50000),
            "server": ("127.0.0.1", urlsplit(self.address).port or 80),
            "subprotocols": [],
        }
        return _Open(self, scope, body)

    def _as_page(self, method: str) -> dict[str, str]:
        parts = urlsplit(self.address)
        headers = {"host": parts.netloc, "ringtrue-page": "1"}
        if method != "GET":
            headers["origin"] = self.address
        if self.cookies:
            headers["cookie"] = "; ".join(f"{key}={value}" for key, value in self.cookies.items())
        return headers

    def _keep(self, line: str) -> None:
        self.set_cookies.append(line)
        for key, morsel in SimpleCookie(line).items():
            if morsel["max-age"] == "0" or not morsel.value:
                self.cookies.pop(key, None)
            else:
                self.cookies[key] = morsel.value


class _Open:
    def __init__(self, client: Client, scope: dict[str, Any], body: bytes) -> None:
        self._client = client
        self._scope = scope
        self._body = body
        self._task: asyncio.Task[None] | None = None
        self._line = Line()

    def __enter__(self) -> Line:
        self._client._run(self._begin())
        return self._line

    def __exit__(self, *_: object) -> None:
        self._client._run(self._leave())

    async def _begin(self) -> None:
        self._task = asyncio.get_running_loop().create_task(self._speak())

    async def _leave(self) -> None:
        self._line.hung_up.set()
        if self._task is None:
            return
        done, _ = await asyncio.wait({self._task}, timeout=5)
        if not done:
            self._task.cancel()
            await asyncio.gather(self._task, return_exceptions=True)

    async def _speak(self) -> None:
        said = False
        if self._scope["type"] == "websocket":
            first: dict[str, Any] = {"type": "websocket.connect"}
        else:
            first = {"type": "http.request", "body": self._body, "more_body": False}

        async def receive() -> dict[str, Any]:
            nonlocal said
            if not said:
                said = True
                return first
            await self._line.hung_up.wait()
            return {"type": "http.disconnect"}

        async def send(message: MutableMapping[str, Any]) -> None:
            self._line.messages.put(message)

        try:
            await self._client.app(self._scope, receive, send)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test is told
            self._line.messages.put(error)
        else:
            self._line.messages.put(None)


def _named(headers: dict[str, str]) -> dict[str, str]:
    return {key.replace("_", "-"): value for key, value in headers.items()}


def events(line: Line, wait: float = ANSWERED) -> Iterator[tuple[str, str]]:
    """Yield what a stream of server-sent events says, as name and data, until it ends."""
    text = ""
    while (message := line.next(wait)) is not None:
        text += message.get("body", b"").decode()
        *whole, text = text.split("\n\n")
        for each in whole:
            said = dict(part.split(": ", 1) for part in each.split("\n") if ": " in part)
            if "event" in said:
                yield said["event"], said.get("data", "")
        if message["type"] == "http.response.body" and not message.get("more_body"):
            return
