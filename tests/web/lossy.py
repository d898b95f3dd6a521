"""A line that breaks: a proxy on loopback that does to each request what a script says."""

from __future__ import annotations

import contextlib
import socket
import threading
from enum import StrEnum
from typing import TYPE_CHECKING, Self

from tests.served import ANSWERED

if TYPE_CHECKING:
    from collections.abc import Iterable


class Fault(StrEnum):
    """What becomes of a request and its answer."""

    NONE = "both arrive"
    BEFORE = "cut before it is sent on"
    IN_THE_BODY = "cut in the middle of its body"
    AFTER = "cut after the server has done it"
    IN_THE_ANSWER = "cut in the middle of the answer"
    TWICE = "it arrives twice"
    LATE = "cut here, and it arrives after the next one"


class Lossy:
    """
    The proxy.

    Parameters
    ----------
    port : int
        Of the server behind it.
    script : iterable of Fault
        One for each request; what comes later goes through.
    """

    def __init__(self, port: int, script: Iterable[Fault]) -> None:
        self._server = port
        self._script = iter(script)
        self._held: list[bytes] = []
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._door.getsockname()[1]
        self._thread = threading.Thread(target=self._serve, name="a line that breaks", daemon=True)

    def __enter__(self) -> Self:
        """Let phones in."""
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Close; what was held back arrives now."""
        # Closing alone would not wake who waits in accept.
        with contextlib.suppress(OSError):
            self._door.shutdown(socket.SHUT_RDWR)
        self._door.close()
        self._thread.join(ANSWERED)
        self._let_go()

    def _serve(self) -> None:
        while True:
            try:
                line, _ = self._door.accept()
            except OSError:
                return
            with line:
                line.settimeout(ANSWERED)
                while self._one(line):
                    pass

    def _one(self, line: socket.socket) -> bool:
        """Take one request; False when the line is cut, or the phone has hung up."""
        request = whole(line)
        if not request:
            return False
        fault = next(self._script, Fault.NONE)
        if fault is Fault.IN_THE_BODY:
            self._send(request[: len(request) - request_body(request) // 2], answered=False)
        elif fault is Fault.LATE:
            self._held.append(request)
        elif fault is not Fault.BEFORE:
            answer = self._send(request)
            if fault is Fault.TWICE:
                answer = self._send(request)
            if fault is not Fault.AFTER:
                line.sendall(answer[: len(answer) // 2] if fault is Fault.IN_THE_ANSWER else answer)
        if fault not in {Fault.NONE, Fault.TWICE}:
            return False
        self._let_go()
        return True

    def _let_go(self) -> None:
        held, self._held = self._held, []
        for request in held:
            self._send(request)

    def _send(self, request: bytes, *, answered: bool = True) -> bytes:
        with socket.create_connection(("127.0.0.1", self._server), timeout=ANSWERED) as server:
            server.sendall(request)
            if answered:
                return whole(server)
            server.shutdown(socket.SHUT_WR)
            # Wait until the server has seen that no more comes.
            with contextlib.suppress(OSError):
                while server.recv(65_536):
                    pass
            return b""


def whole(line: socket.socket) -> bytes:
    """Read one message of HTTP with its body; empty when the other side has hung up."""
    raw = b""
    while b"\r\n\r\n" not in raw or len(raw) < len(raw.partition(b"\r\n\r\n")[0]) + 4 + request_body(raw):
        try:
            more = line.recv(65_536)
        except OSError:
            return b""
        if not more:
            return b""
        raw += more
    return raw


def request_body(raw: bytes) -> int:
    """Return how long the body of a message is, as its head says."""
    for row in raw.partition(b"\r\n\r\n")[0].split(b"\r\n")[1:]:
        name, _, value = row.partition(b":")
        if name.strip().lower() == b"content-length":
            return int(value)
    return 0
