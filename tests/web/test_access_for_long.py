"""A server that nobody stops: its certificate is made anew in time, and no second one keeps its port's sessions."""

from __future__ import annotations

import contextlib
import datetime as dt
import http.client
import socket
import ssl
import subprocess
import sys
import threading
import time
from typing import TYPE_CHECKING

import pytest
import uvicorn
from cryptography import x509
from tests.served import free_port
from tests.web.shop import Shop
from tests.web.test_access_certificates import NAMES, shaken_hands
from tests.web.test_access_serving import WAIT, Running, environment

from ringtrue.errors import CannotWrite, InputRefused
from ringtrue.web import renewing, serving
from ringtrue.web.alone import alone
from ringtrue.web.certificates import AUTHORITY_LASTS, RENEWED_BEFORE, SERVER_LASTS, Authority, certified
from ringtrue.web.renewing import Renewal

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

DAY = dt.timedelta(days=1)
NOW = dt.datetime.now(dt.UTC)
"""Clients look at the clock of the machine, so that certificates of any other day are refused by them."""


def began(folder: Path, before: dt.timedelta) -> Authority:
    """Return what a server has that was started some time ago."""
    return certified(folder / "certificates", NAMES, NOW - before)


@pytest.fixture
def old(tmp_path: Path) -> Iterator[tuple[Shop, Authority]]:
    """Yield a shop whose server was started so long ago that its certificate is about to run out."""
    made = began(tmp_path, SERVER_LASTS - RENEWED_BEFORE + DAY)
    with Shop(tmp_path, secure=True, authority=made) as shop:
        yield shop, made


def shown(context: ssl.SSLContext, trusted: bytes) -> x509.Certificate:
    """Shake hands with a server in memory, by OpenSSL, and return the certificate that a client is shown."""
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.load_verify_locations(cadata=trusted.decode())
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(to_client, to_server, server_hostname="localhost")
    there = context.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(10):
        for side in (here, there):
            with contextlib.suppress(ssl.SSLWantReadError):
                side.do_handshake()
    found = here.getpeercert(binary_form=True)
    assert found is not None
    return x509.load_der_x509_certificate(found)


def context_of(made: Authority) -> ssl.SSLContext:
    """Return what a server answers with."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(made.chain, made.key)
    return context


# If this failed, a server that runs for a year would one morning be refused by every phone in the shop.
def test_it_is_made_anew_in_time(old: tuple[Shop, Authority], tmp_path: Path) -> None:
    shop, made = old
    told: list[str] = []
    renewal = Renewal(shop.service, tmp_path / "certificates", NAMES, told.append)
    context = context_of(made)
    before = shown(context, made.certificate)
    assert renewal.look(context, NOW - 2 * DAY) is False
    assert shown(context, made.certificate) == before
    assert renewal.look(context, NOW) is True
    after = shown(context, made.certificate)
    assert after.serial_number != before.serial_number
    assert after.not_valid_after_utc - NOW > RENEWED_BEFORE
    assert shop.service.authority is not None
    assert (shop.service.authority.until, shop.service.authority.fingerprint) == (
        after.not_valid_after_utc,
        made.fingerprint,
    )
    assert renewal.look(context, NOW) is False
    assert told == []


# If this failed, a phone would be told to trust an authority that is no longer used, and nobody would know why.
def test_an_authority_that_ends_is_told(tmp_path: Path) -> None:
    made = began(tmp_path, AUTHORITY_LASTS - RENEWED_BEFORE + DAY)
    told: list[str] = []
    with Shop(tmp_path, secure=True, authority=made) as shop:
        context = context_of(made)
        assert Renewal(shop.service, tmp_path / "certificates", NAMES, told.append).look(context, NOW)
        new = shop.service.authority
        assert new is not None
        assert new.fingerprint != made.fingerprint
        assert new.fingerprint in shop.client().get("/trust", accept="text/html").text
        shown(context, new.certificate)
    assert told == ["The certificate authority was made anew. Every phone has to be told to trust it: see /trust."]


# If this failed, a full disk on one day would end the server, fill its terminal, or be the end of renewing.
def test_what_stops_it_is_told_once_and_tried_again(
    old: tuple[Shop, Authority], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop, made = old
    told: list[str] = []
    renewal = Renewal(shop.service, tmp_path / "certificates", NAMES, told.append)
    context = context_of(made)
    before = shown(context, made.certificate)

    def full(*_: object) -> Authority:
        raise CannotWrite.of("“certificates”", "there is no room", "make room")

    with monkeypatch.context() as broken:
        broken.setattr(renewing, "certified", full)
        assert not renewal.look(context, NOW)
        assert not renewal.look(context, NOW)
    assert len(told) == 1
    assert f"runs out on {made.until:%Y-%m-%d} and could not be made anew" in told[0]
    assert "there is no room" in told[0].lower()
    assert shown(context, made.certificate) == before
    assert renewal.look(context, NOW)


# If this failed, another server that writes its key at this very moment would leave this one with no certificate.
def test_a_key_that_does_not_fit_changes_nothing(
    old: tuple[Shop, Authority], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop, made = old
    context = context_of(made)
    other = certified(tmp_path / "other", NAMES)
    before = shown(context, made.certificate)
    crossed = Authority(made.certificate, made.fingerprint, made.may, other.chain, made.key, other.until)
    monkeypatch.setattr(renewing, "certified", lambda *_: crossed)
    told: list[str] = []
    assert not Renewal(shop.service, tmp_path / "certificates", NAMES, told.append).look(context, NOW)
    assert len(told) == 1
    assert shown(context, made.certificate) == before
    assert shaken_hands(made, "localhost")


def serial_on(line: ssl.SSLSocket) -> int:
    """Return the number of the certificate that a server showed."""
    found = line.getpeercert(binary_form=True)
    assert found is not None
    return x509.load_der_x509_certificate(found).serial_number


# If this failed, the server that listens would not do what its parts can: look by itself, show the new certificate to
# who comes next, and keep whoever is connected.
def test_the_server_does_it_while_it_runs(
    old: tuple[Shop, Authority], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop, made = old
    go = threading.Event()
    monkeypatch.setattr(renewing, "LOOKED_AT_EVERY", 0.02)
    look = Renewal.look
    monkeypatch.setattr(Renewal, "look", lambda self, context: go.is_set() and look(self, context))
    door = socket.create_server(("127.0.0.1", 0))
    config = uvicorn.Config(
        shop.app, log_level="error", lifespan="off", ssl_certfile=made.chain, ssl_keyfile=made.key, ws="none"
    )
    told: list[str] = []
    renewal = Renewal(shop.service, tmp_path / "certificates", NAMES, told.append)
    ready = threading.Event()
    server = serving._Server(config, ready.set, lambda: None, renewal)
    running = threading.Thread(target=server.run, args=([door],))
    running.start()
    trusting = ssl.create_default_context(cadata=made.certificate.decode())
    port = door.getsockname()[1]
    try:
        assert ready.wait(WAIT)
        open_since = http.client.HTTPSConnection("localhost", port, timeout=WAIT, context=trusting)
        open_since.connect()
        assert isinstance(open_since.sock, ssl.SSLSocket)
        first = serial_on(open_since.sock)
        go.set()
        until, later = time.monotonic() + WAIT, first
        while later == first and time.monotonic() < until:
            with (
                socket.create_connection(("localhost", port), timeout=WAIT) as line,
                trusting.wrap_socket(line, server_hostname="localhost") as safe,
            ):
                later = serial_on(safe)
        assert later != first
        open_since.request("GET", "/trust", headers={"host": "localhost:8417"})
        assert open_since.getresponse().status == 200
        open_since.close()
    finally:
        server.should_exit = True
        running.join(WAIT)
    assert not running.is_alive()
    assert told == []


# If this failed, two servers would each write over whom the other had let in or shut out.
def test_a_second_server_of_a_port_is_refused(tmp_path: Path) -> None:
    port = free_port()
    (tmp_path / "server").mkdir()
    lock = tmp_path / "server" / f"sessions-{port}.lock"
    command = [sys.executable, "-m", "ringtrue", "serve", "--port", str(port), "--json", "--no-browser"]
    with alone(lock, port):
        refused = subprocess.run(
            command, env=environment(tmp_path), capture_output=True, text=True, check=False, timeout=WAIT
        )
    assert (refused.returncode, refused.stdout) == (2, "")
    assert f"--port {port}: another ringtrue that is running keeps who may come in" in refused.stderr.lower()
    assert "--port 8418" in refused.stderr
    assert refused.stderr.count("\n") == 1
    assert not (tmp_path / "server" / f"sessions-{port}.json").exists()


# If this failed, a server that was killed would leave its port locked for good, or one that runs would lock nothing.
def test_the_lock_is_held_while_it_runs_and_ends_with_it(tmp_path: Path) -> None:
    port = free_port()
    lock = tmp_path / "server" / f"sessions-{port}.lock"
    with Running(tmp_path, ("--port", str(port), "--json")) as server:
        assert server.told()["here"].endswith(f":{port}")
        with pytest.raises(InputRefused, match="top that one first"), alone(lock, port):
            pass
        # Another port has a list of its own.
        with alone(tmp_path / "server" / f"sessions-{port + 1}.lock", port + 1):
            pass
        server.process.kill()
        server.process.wait(WAIT)
        with alone(lock, port):
            pass
    assert lock.read_bytes() == b""


# If this failed, a folder in the way would end in a traceback, or in two servers that think they are alone.
def test_what_cannot_be_locked_is_said(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="cannot be locked"), alone(tmp_path / "none" / "a.lock", 8417):
        pass
    (tmp_path / "a.lock").write_bytes(b"this is no lock" * 100)
    with pytest.raises(CannotWrite, match="remove that file"), alone(tmp_path / "a.lock", 8417):
        pass
