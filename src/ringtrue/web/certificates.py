"""Certificates made on the spot: an authority of this shop PC alone, and what it certifies for the PC's own names."""

from __future__ import annotations

import contextlib
import datetime as dt
import ipaddress
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from ringtrue.errors import CannotWrite, InputRefused
from ringtrue.web.sessions import write_private

AUTHORITY_LASTS = dt.timedelta(days=3650)
SERVER_LASTS = dt.timedelta(days=365)
"""Below the 825 days beyond which some phones refuse a certificate of an authority that its user has added."""
RENEWED_BEFORE = dt.timedelta(days=90)
"""What is left of a certificate when a new one is made."""
SLOW_CLOCKS = dt.timedelta(days=2)
"""A phone whose clock is late by so much still takes it."""
PRIVATE = (
    "127.0.0.0/8",  # RFC 1122, 3.2.1.3
    "10.0.0.0/8",  # RFC 1918, 3
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",  # RFC 3927
    "::1/128",  # RFC 4291, 2.5.3
    "fc00::/7",  # RFC 4193
    "fe80::/10",  # RFC 4291, 2.5.6
)
"""Addresses that are nobody's on the open net: an authority for these can certify nothing there."""
LOCAL_NAMES = ("localhost", "local")
"""Names of which the same is true: RFC 6761, 6.3 and RFC 6762, 3."""

Name = str | ipaddress.IPv4Network | ipaddress.IPv6Network


@dataclass(frozen=True, slots=True)
class Authority:
    """
    The authority of this shop PC.

    Parameters
    ----------
    certificate : bytes
        Its own certificate, PEM: what a phone is told to trust.
    fingerprint : str
        SHA-256 of it, in pairs of digits.
    may : tuple of str
        Names and networks that it can certify, and no others.
    chain, key : Path
        Of the server: its certificate, and the key to it.
    until : datetime
        When the server's certificate runs out.
    """

    certificate: bytes
    fingerprint: str
    may: tuple[str, ...]
    chain: Path
    key: Path
    until: dt.datetime


def certified(folder: Path, names: Iterable[str], now: dt.datetime | None = None) -> Authority:
    """
    Find or make the authority, and a certificate of the server for all its names.

    Parameters
    ----------
    folder : Path
        Where keys and certificates are kept, readable by their owner alone.
    names : iterable of str
        Names and addresses of this machine, IPv6 in brackets.
    now : datetime or None
        The time; None asks the clock.

    Returns
    -------
    Authority
        With the paths of what is served.

    Raises
    ------
    InputRefused
        The clock is outside the life of the authority.
    CannotWrite
        The folder cannot be written.

    Notes
    -----
    The authority is made anew, and every phone has to trust it anew, only when it is damaged, within `RENEWED_BEFORE`
    of its end, or when a name is asked for that it may not certify (RFC 5280, 4.2.1.10). An address that changes within
    the private networks takes a new certificate of the server, which phones do not notice.
    """
    now = now or dt.datetime.now(dt.UTC)
    wanted = [_general(each) for each in dict.fromkeys(names)]
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        found = _read(folder / "authority.pem", folder / "authority.key")
        if found is not None and now < found[0].not_valid_before_utc:
            raise InputRefused.of(
                f"the clock of this PC ({now:%Y-%m-%d})",
                f"it is before {found[0].not_valid_before_utc:%Y-%m-%d}, when its own certificates were made",
                "set the clock, and start again",
            )
        if found is None or found[0].not_valid_after_utc - now < RENEWED_BEFORE or not _may_all(found[0], wanted):
            found = _new_authority(folder, wanted, now)
        server = _read(folder / "server.pem", folder / "server.key")
        if server is None or not _still_good(server[0], found[0], wanted, now):
            server = _new_server(folder, found, wanted, now)
    except OSError as error:
        raise CannotWrite.of(
            f"“{folder}”", f"certificates cannot be kept there ({error.strerror})", "let the folder be written"
        ) from None
    mark = found[0].fingerprint(hashes.SHA256()).hex().upper()
    return Authority(
        found[0].public_bytes(serialization.Encoding.PEM),
        " ".join(mark[at : at + 2] for at in range(0, len(mark), 2)),
        tuple(str(each) for each in _permitted(found[0])),
        folder / "server.pem",
        folder / "server.key",
        server[0].not_valid_after_utc,
    )


Pair = tuple[x509.Certificate, ec.EllipticCurvePrivateKey]


def _read(certificate: Path, key: Path) -> Pair | None:
    try:
        read = x509.load_pem_x509_certificate(certificate.read_bytes())
        private = serialization.load_pem_private_key(key.read_bytes(), None)
    except (FileNotFoundError, ValueError, TypeError):
        return None
    if not isinstance(private, ec.EllipticCurvePrivateKey) or private.public_key() != read.public_key():
        return None
    return read, private


def _write(certificate: Path, key: Path, made: Pair) -> None:
    for path, data in (
        (
            key,
            made[1].private_bytes(
                serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
            ),
        ),
        (certificate, made[0].public_bytes(serialization.Encoding.PEM)),
    ):
        part = path.with_name(f"{path.name}.{secrets.token_hex(4)}.part")  # another server may start at this moment
        write_private(part, data)
        part.replace(path)


def _general(name: str) -> x509.GeneralName:
    with contextlib.suppress(ValueError):
        return x509.IPAddress(ipaddress.ip_address(name.strip("[]")))
    return x509.DNSName(name)


def _permitted(authority: x509.Certificate) -> list[Name]:
    try:
        found = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    except x509.ExtensionNotFound:
        return []
    return [each.value for each in found if isinstance(each.value, Name)]


def _may_all(authority: x509.Certificate, wanted: list[x509.GeneralName]) -> bool:
    return all(_may(_permitted(authority), each) for each in wanted)


def _may(permitted: list[Name], wanted: x509.GeneralName) -> bool:
    if isinstance(wanted, x509.IPAddress):
        return any(not isinstance(each, str) and wanted.value in each for each in permitted)
    return any(isinstance(each, str) and f".{wanted.value}".endswith(f".{each}") for each in permitted)


def _new_authority(folder: Path, wanted: list[x509.GeneralName], now: dt.datetime) -> Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    serial = x509.random_serial_number()
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"ringtrue on this shop PC, {serial % 10**6:06d}")])
    usual: list[Name] = [*LOCAL_NAMES, *(ipaddress.ip_network(each) for each in PRIVATE)]
    more = [each.value for each in wanted if not _may(usual, each)]
    permitted = [
        x509.DNSName(each) if isinstance(each, str) else x509.IPAddress(ipaddress.ip_network(each))
        for each in [*usual, *more]
    ]
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(serial)
        .not_valid_before(now - SLOW_CLOCKS)
        .not_valid_after(now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(folder / "authority.pem", folder / "authority.key", (made, key))
    return made, key


def _new_server(folder: Path, authority: Pair, wanted: list[x509.GeneralName], now: dt.datetime) -> Pair:
    issuer, issuer_key = authority
    key = ec.generate_private_key(ec.SECP256R1())
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "ringtrue")]))
        .issuer_name(issuer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(max(now - SLOW_CLOCKS, issuer.not_valid_before_utc))
        .not_valid_after(min(now + SERVER_LASTS, issuer.not_valid_after_utc))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(wanted), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key()), critical=False)
        .sign(issuer_key, hashes.SHA256())
    )
    _write(folder / "server.pem", folder / "server.key", (made, key))
    return made, key


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
    )


def _still_good(
    server: x509.Certificate, authority: x509.Certificate, wanted: list[x509.GeneralName], now: dt.datetime
) -> bool:
    try:
        server.verify_directly_issued_by(authority)
        names = set(server.extensions.get_extension_for_class(x509.SubjectAlternativeName).value)
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):  # of another authority
        return False
    lives = server.not_valid_before_utc <= now and server.not_valid_after_utc - now >= RENEWED_BEFORE
    return lives and set(wanted) <= names
