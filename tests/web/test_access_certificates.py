"""Certificates made on the spot: good for this machine's names, for nothing else, and kept from other eyes."""

from __future__ import annotations

import datetime as dt
import ipaddress
import re
import shutil
import ssl
import stat
import subprocess
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from tests.web.shop import Shop

from ringtrue.errors import CannotWrite, InputRefused
from ringtrue.web.certificates import (
    AUTHORITY_LASTS,
    RENEWED_BEFORE,
    SERVER_LASTS,
    Authority,
    _new_server,
    _read,
    certified,
)
from ringtrue.web.trust import FILE

if TYPE_CHECKING:
    from collections.abc import Sequence

NAMES = ("127.0.0.1", "localhost", "[::1]", "192.168.4.20", "[fd00::20]", "shop-pc", "shop-pc.local")
NOW = dt.datetime(2026, 5, 14, 9, 0, tzinfo=dt.UTC)


def server_of(made: Authority) -> x509.Certificate:
    """Return what the server shows."""
    return x509.load_pem_x509_certificate(made.chain.read_bytes())


def shaken_hands(made: Authority, name: str, *, trusted: bytes | None = None, chain: Path | None = None) -> bool:
    """Tell whether a client that trusts the authority takes the server under a name, in memory, by OpenSSL."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(chain or made.chain, made.key)
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.load_verify_locations(cadata=(trusted or made.certificate).decode())
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(to_client, to_server, server_hostname=name.strip("[]"))
    there = server.wrap_bio(to_server, to_client, server_side=True)
    done: set[ssl.SSLObject] = set()
    for _ in range(10):
        for side in (here, there):
            try:
                side.do_handshake()
                done.add(side)
            except ssl.SSLWantReadError:
                pass
            except ssl.SSLError:
                return False
        if len(done) == 2:
            return True
    return False


# If this failed, a phone that trusts the authority would still be warned under a name that the terminal told.
@pytest.mark.parametrize("name", NAMES)
def test_every_name_is_taken(tmp_path: Path, name: str) -> None:
    made = certified(tmp_path, NAMES)
    assert shaken_hands(made, name)
    assert not shaken_hands(made, "evil.test")


# If this failed, a phone that does not know the authority would take the server all the same, and nothing was tested.
def test_without_trust_it_is_not_taken(tmp_path: Path) -> None:
    made, other = certified(tmp_path / "a", NAMES), certified(tmp_path / "b", NAMES)
    assert not shaken_hands(made, "localhost", trusted=other.certificate)


# If this failed, whoever steals the authority's key could stand for any site to every phone that trusts it
# (name constraints, RFC 5280, 4.2.1.10).
@pytest.mark.parametrize("name", ["bank.test", "203.0.113.9", "shop-pc.evil.test", "2001:db8::9"])
def test_the_authority_can_certify_nothing_else(tmp_path: Path, name: str) -> None:
    made = certified(tmp_path, NAMES)
    pair = _read(tmp_path / "authority.pem", tmp_path / "authority.key")
    assert pair is not None
    try:
        wanted: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        wanted = x509.DNSName(name)
    _new_server(tmp_path, pair, [wanted], dt.datetime.now(dt.UTC))
    assert not shaken_hands(made, name)


# If this failed, certificates would have a weaker key than is said, or be good for signing others.
def test_what_is_in_them(tmp_path: Path) -> None:
    made = certified(tmp_path, NAMES, NOW)
    authority, server = x509.load_pem_x509_certificate(made.certificate), server_of(made)
    for each in (authority, server):
        assert each.public_key().curve.name == "secp256r1"  # type: ignore[union-attr] # it is asked whether it is that
    constraints = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert constraints.critical
    basic = authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    assert server.extensions.get_extension_for_class(x509.BasicConstraints).value.ca is False
    usage = server.extensions.get_extension_for_class(x509.KeyUsage).value
    assert (usage.digital_signature, usage.key_cert_sign) == (True, False)
    # 825 days: what common phones ask at most of a certificate whose authority was added by hand (from memory).
    assert server.not_valid_after_utc - server.not_valid_before_utc < dt.timedelta(days=825)
    server.verify_directly_issued_by(authority)
    assert made.fingerprint.replace(" ", "").lower() == authority.fingerprint(hashes.SHA256()).hex()
    assert {"10.0.0.0/8", "192.168.0.0/16", "local", "shop-pc"} <= set(made.may)


# If this failed, openssl, which nothing here is made with, would see another certificate than we say.
def test_openssl_agrees(tmp_path: Path) -> None:
    made = certified(tmp_path, NAMES)
    openssl = shutil.which("openssl")
    if openssl is None:  # its library has shaken hands above
        return
    pem = tmp_path / "authority.pem"
    verified = subprocess.run(
        [openssl, "verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", pem, made.chain],
        capture_output=True,
        text=True,
        check=False,
    )
    assert verified.returncode == 0, verified.stderr
    shown = subprocess.run(
        [openssl, "x509", "-in", pem, "-noout", "-fingerprint", "-sha256"], capture_output=True, text=True, check=True
    )
    assert made.fingerprint == shown.stdout.strip().partition("=")[2].replace(":", " ")


# If this failed, another user of the machine could stand for this server.
def test_keys_are_their_owners_alone(tmp_path: Path) -> None:
    certified(tmp_path / "new" / "certificates", NAMES)
    if sys.platform != "win32":
        for path in (tmp_path / "new" / "certificates").iterdir():
            assert stat.S_IMODE(path.stat().st_mode) == 0o600, path
        assert stat.S_IMODE((tmp_path / "new" / "certificates").stat().st_mode) == 0o700


def marks(folder: Path, names: Sequence[str], now: dt.datetime) -> tuple[str, bytes]:
    """Return which authority and which certificate there are."""
    made = certified(folder, names, now)
    return made.fingerprint, server_of(made).fingerprint(hashes.SHA256())


# If this failed, phones would have to trust a new authority each time the server is started or gets a new address.
def test_what_stays_and_what_is_made_anew(tmp_path: Path) -> None:
    authority, server = marks(tmp_path, NAMES, NOW)
    assert marks(tmp_path, NAMES, NOW + dt.timedelta(hours=1)) == (authority, server)
    assert marks(tmp_path, NAMES[:3], NOW) == (authority, server)
    # Another private address, or a name of the local network: a new certificate, the same authority.
    moved = marks(tmp_path, [*NAMES, "192.168.4.21", "other.local"], NOW)
    assert moved[0] == authority
    assert moved[1] != server
    # It is about to run out.
    late = NOW + SERVER_LASTS - RENEWED_BEFORE + dt.timedelta(days=1)
    renewed = marks(tmp_path, NAMES, late)
    assert renewed[0] == authority
    assert renewed[1] != moved[1]
    # A name that the authority may not certify, and an authority that is about to run out.
    other = marks(tmp_path, [*NAMES, "shop-pc.lan"], NOW)
    assert other[0] != authority
    assert marks(tmp_path, NAMES, NOW + AUTHORITY_LASTS - dt.timedelta(days=30))[0] != other[0]


# If this failed, a spoiled key would stop the server for good, with lines that no builder reads.
@pytest.mark.parametrize("name", ["authority.pem", "authority.key", "server.pem", "server.key"])
@pytest.mark.parametrize("damage", [b"", b"-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n", None])
def test_damaged_files_are_made_anew(tmp_path: Path, name: str, damage: bytes | None) -> None:
    certified(tmp_path, NAMES)
    if damage is None:
        (tmp_path / name).unlink()
    else:
        (tmp_path / name).write_bytes(damage)
    assert shaken_hands(certified(tmp_path, NAMES), "localhost")


# If this failed, a PC whose clock has gone back to its first day would make certificates that no phone takes, and every
# phone would have to be told anew.
def test_a_clock_before_the_authority_is_told(tmp_path: Path) -> None:
    authority, _ = marks(tmp_path, NAMES, NOW)
    with pytest.raises(InputRefused, match=r"clock of this PC \(2016-05-16\)"):
        certified(tmp_path, NAMES, NOW.replace(year=2016) + dt.timedelta(days=2))
    assert marks(tmp_path, NAMES, NOW)[0] == authority


# If this failed, a folder that cannot be written would end in a traceback.
def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(CannotWrite, match="ertificates cannot be kept there"):
        certified(tmp_path / "file" / "certificates", NAMES)


# If this failed, two servers that start at once could leave a key that does not fit its certificate for good.
def test_two_at_once(tmp_path: Path) -> None:
    several = [threading.Thread(target=certified, args=(tmp_path, NAMES)) for _ in range(2)]
    for each in several:
        each.start()
    for each in several:
        each.join()
    assert shaken_hands(certified(tmp_path, NAMES), "localhost")


# If this failed, a builder would not find out how to trust the server, or what to compare.
def test_the_page_that_explains_it(tmp_path: Path) -> None:
    made = certified(tmp_path / "certificates", NAMES)
    with Shop(tmp_path, secure=True, authority=made) as shop:
        client = shop.client()
        page = client.get("/trust", accept="text/html")
        assert page.status == 200
        assert made.fingerprint in page.text
        assert "10.0.0.0/8" in page.text
        for kind in ("Android", "iOS", "Windows", "macOS", "Linux"):
            assert kind in page.text
        (link,) = re.findall(r'href="([^"]+)" download', page.text)
        file = client.get(link)
        assert link == FILE
        assert file.body == made.certificate
        assert b"PRIVATE" not in file.body
        assert file.header("content-type") == "application/x-x509-ca-cert"
        assert "ringtrue-authority.crt" in file.header("content-disposition")
        assert client.get(FILE, accept="text/html").status == 200
    with Shop(tmp_path) as plain:
        assert "--https" in plain.client().get("/trust", accept="text/html").text
        assert plain.client().get(FILE).status == 404
