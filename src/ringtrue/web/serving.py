"""Opens the book, makes the owner's first secret, says where it is reached, and listens."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import gc
import json
import os
import socket
import sys
import threading
import webbrowser
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import uvicorn

from ringtrue.errors import CannotWrite, InputRefused
from ringtrue.web.addresses import LAST_PORT, LOOPBACK, origins, own_names, read_name
from ringtrue.web.alone import alone
from ringtrue.web.app import application
from ringtrue.web.certificates import certified
from ringtrue.web.renewing import Renewal
from ringtrue.web.routes import Who
from ringtrue.web.service import Service
from ringtrue.web.sessions import MINUTES_OF_A_SECRET, Sessions

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from ringtrue.shop.workplace import Workplace

LAST_WORDS = 1
"""When the server stops, who still follows something gets so long to let go. [s]"""
TAKEN = {errno.EADDRINUSE, 10048}
"""Something else listens there; the second is what Windows says."""
FORBIDDEN = {errno.EACCES, errno.EPERM, 10013}
NOW_AND_THEN = 20_000
"""New objects between two looks for such as only hold one another; a page makes more than Python's 700 by far."""
LISTENS = "Caution: over plain http anybody on this network can read along and pass himself off. Start it with --https."
FORBIDS = (
    "Over plain http a phone's browser keeps no page for when the Wi-Fi is gone, opens no camera within a page, and "
    "lets the screen go dark."
)


@dataclass(frozen=True, slots=True)
class Asked:
    """
    What was asked for.

    Parameters
    ----------
    port : int
        To listen on; 0 takes a free one, and remembers no device beyond this run.
    lan : bool
        The workshop's network is served too.
    https : bool
        Over https, with a certificate of its own.
    names : sequence of str
        More names under which this machine is reached.
    browser : bool
        Open the owner's page in a browser.
    json : bool
        Say where it is reached as one line of JSON.
    """

    port: int
    lan: bool = False
    https: bool = False
    names: Sequence[str] = ()
    browser: bool = True
    json: bool = False


class _Server(uvicorn.Server):
    """Says where it is once it is there, renews its certificate, and lets who follows something know that it stops."""

    def __init__(
        self,
        config: uvicorn.Config,
        started: Callable[[], None],
        stopping: Callable[[], None],
        renewal: Renewal | None,
    ) -> None:
        super().__init__(config)
        self._started, self._stopping, self._renewal = started, stopping, renewal
        self._renewing: asyncio.Task[None] | None = None

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self._renewal is not None and self.config.ssl is not None:
            self._renewing = asyncio.create_task(self._renewal.keep_looking(self.config.ssl))
        self._started()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        if self._renewing is not None:
            self._renewing.cancel()
        self._stopping()
        await super().shutdown(sockets)


def run(place: Workplace, asked: Asked) -> None:
    """
    Serve the pages until told to stop.

    Parameters
    ----------
    place : Workplace
        The shop.
    asked : Asked
        Where, for whom and how.

    Raises
    ------
    InputRefused
        The port or a name cannot be used.
    BookUnusable
        The record book cannot be used.
    CannotWrite
        What has to be kept beside the settings cannot be written.
    """
    names = [read_name(each) for each in asked.names]
    with contextlib.ExitStack() as open_things:
        doors = listen(asked.port, lan=asked.lan)
        for door in doors:
            open_things.enter_context(door)
        port = int(doors[0].getsockname()[1])
        book = open_things.enter_context(place.open_book())
        folder = _folder(place)
        if asked.port:
            open_things.enter_context(alone(folder / f"sessions-{port}.lock", port))
        sessions = Sessions(folder / f"sessions-{port}.json" if asked.port else None)
        sessions.keep()
        far = [*(own_names() if asked.lan else ()), *names]
        certificates = folder / "certificates"
        authority = certified(certificates, [*LOOPBACK, *far]) if asked.https else None
        service = Service(
            place,
            book,
            sessions,
            frozenset(origins([*LOOPBACK, *far], port, secure=asked.https)),
            secure=asked.https,
            addresses=origins(far, port, secure=asked.https),
            authority=authority,
        )
        renewal = Renewal(service, certificates, [*LOOPBACK, *far], _remark) if asked.https else None
        here = origins(["localhost" if asked.https else "127.0.0.1"], port, secure=asked.https)[0]
        first = f"{here}/pair#{sessions.secret(Who.OWNER)}"
        config = uvicorn.Config(
            application(service),
            log_level="error",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            ws="none",
            lifespan="off",
            timeout_graceful_shutdown=LAST_WORDS,
            ssl_certfile=authority.chain if authority else None,
            ssl_keyfile=authority.key if authority else None,
        )

        def started() -> None:
            _say(asked, service, here, first)
            if asked.browser and sys.stdout.isatty():
                threading.Thread(target=_open, args=(first,), daemon=True).start()

        def stopping() -> None:
            service.stopping = True

        gc.freeze()
        gc.set_threshold(NOW_AND_THEN, 10, 10)
        with contextlib.suppress(KeyboardInterrupt):
            _Server(config, started, stopping, renewal).run(doors)
        with contextlib.suppress(CannotWrite):  # nobody is left who could make room
            sessions.keep()


def _folder(place: Workplace) -> Path:
    """Return the folder beside the settings, for what only this server needs; it is made if it is not there."""
    folder = Path(place.settings_path).parent / "server"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise CannotWrite.of(
            f"“{folder}”", f"the folder cannot be made ({error.strerror})", "let the folder be written"
        ) from None
    return folder


def _remark(said: str) -> None:
    print(said, file=sys.stderr, flush=True)  # noqa: T201 - what a command says, it prints


def _open(address: str) -> None:
    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(address)


def read_port(text: str) -> int:
    """
    Read a port.

    Parameters
    ----------
    text : str
        As typed.

    Returns
    -------
    int
        0 to 65535; 0 for a free one.

    Raises
    ------
    InputRefused
        It is none.
    """
    if text.isascii() and text.isdecimal() and len(text) < 6 and int(text) <= LAST_PORT:  # noqa: PLR2004 - digits
        return int(text)
    raise InputRefused.of(
        f"--port “{text}”", f"a port is a whole number from 1 to {LAST_PORT}", "take another: --port 8417"
    )


def listen(port: int, *, lan: bool) -> list[socket.socket]:
    """
    Listen on this machine alone, or on every network that it is in.

    Parameters
    ----------
    port : int
        0 takes a free one.
    lan : bool
        On every network.

    Returns
    -------
    list of socket
        For IPv4, and for IPv6 where there is such a thing.

    Raises
    ------
    InputRefused
        The port cannot be had.
    """
    doors = [_door(socket.AF_INET, "0.0.0.0" if lan else "127.0.0.1", port)]  # noqa: S104 - asked for
    if socket.has_ipv6:
        with contextlib.suppress(OSError, InputRefused):  # a machine without it, or a port that is taken there alone
            doors.append(_door(socket.AF_INET6, "::" if lan else "::1", int(doors[0].getsockname()[1])))
    return doors


def _door(family: socket.AddressFamily, address: str, port: int) -> socket.socket:
    # Where the protocol is not named, asyncio lets small pieces wait for the other side: 40 ms a page.
    door = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name == "nt":  # there, reuse would let two programs have one port
            door.setsockopt(socket.SOL_SOCKET, getattr(socket, "SO_EXCLUSIVEADDRUSE", 0), 1)
        else:
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family is socket.AF_INET6:
            door.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        door.bind((address, port))
        door.listen(2048)
    except OSError as error:
        door.close()
        if error.errno in TAKEN:
            why = "another program listens there already; perhaps ringtrue runs in another window"
        elif error.errno in FORBIDDEN:
            why = "this machine keeps that port for its administrator"
        else:
            why = f"it cannot be listened on ({error.strerror})"
        raise InputRefused.of(f"--port {port}", why, "take another, such as --port 8418") from None
    return door


def _say(asked: Asked, service: Service, here: str, first: str) -> None:
    far, authority = service.addresses, service.authority
    if asked.json:
        told = {
            "here": here,
            "addresses": list(far),
            "owner": first,
            "fingerprint": authority.fingerprint if authority else None,
            "book": service.place.book,
        }
        print(json.dumps(told), flush=True)  # noqa: T201 - what a command says, it prints
        return
    lines = [f"ringtrue serves the record book {service.place.book}"]
    if asked.lan:
        lines += ["to this PC and to its network, under:", *(f"  {each}" for each in far)]
    else:
        lines += ["to this PC alone. For phones start it with --lan.", *(f"  {each}" for each in far)]
    if service.sessions.set_aside is not None:
        lines += ["", f"Who may come in could not be read, and was set aside as {service.sessions.set_aside}."]
        lines += ["Every device has to be paired anew."]
    if authority is not None:
        lines += [
            "",
            f"How a phone is told to trust it: {(far or (here,))[0]}/trust. SHA-256 fingerprint of its authority:",
        ]
        lines += [f"  {authority.fingerprint}"]
    elif asked.lan:
        lines += ["", LISTENS, FORBIDS]
    lines += ["", f"Open this as the owner; it is good once, within {MINUTES_OF_A_SECRET} minutes:", f"  {first}", ""]
    lines += ["Ctrl-C stops it."]
    print("\n".join(lines), flush=True)  # noqa: T201 - what a command says, it prints
