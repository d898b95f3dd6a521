"""Under which names a server is reached: the machine's own, each with scheme and port, and how a name is compared."""

from __future__ import annotations

import contextlib
import ipaddress
import re
import socket
from collections.abc import Iterable

from ringtrue.errors import InputRefused

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
"""This machine, from itself: RFC 6761, 6.3 and RFC 4291, 2.5.3."""
USUAL_PORTS = {"http": 80, "https": 443}
"""The port that an address need not name: RFC 9110, 4.2.1 and 4.2.2."""
FAR_AWAY = (
    # Nobody is asked: a datagram socket that is "connected" only looks up which own address would be used. One for
    # each kind of network that a workshop has (RFC 1918), one for the way out (RFC 5737), and the same for IPv6.
    (socket.AF_INET, "10.255.255.255"),
    (socket.AF_INET, "172.31.255.255"),
    (socket.AF_INET, "192.168.255.255"),
    (socket.AF_INET, "203.0.113.1"),
    (socket.AF_INET6, "fd00::ffff"),
    (socket.AF_INET6, "2001:db8::1"),
)
_LABEL = re.compile(r"(?!-)[a-z0-9_-]{1,63}(?<!-)\Z")
_HOST = re.compile(r"(?P<name>\[[0-9a-f:.]{2,45}\]|[a-z0-9._-]{1,253})(?::(?P<port>[0-9]{1,5}))?\Z")
LAST_PORT = 65535


def own_names() -> tuple[str, ...]:
    """
    Find the names and addresses under which other machines reach this one.

    Returns
    -------
    tuple of str
        Addresses first, the one that a phone in the same network most likely reaches before the others; then the
        machine's name, and its name in the local network (RFC 6762). IPv6 addresses are in brackets.

    Notes
    -----
    Python's own library cannot list the addresses of a machine. One that is not found here is still let in where it
    is the very address on which a request arrived (`ringtrue.web.access`).
    """
    found = [address for family, far in FAR_AWAY if (address := _own_towards(family, far))]
    name = socket.gethostname().lower()
    with contextlib.suppress(OSError):  # a machine that does not know itself by name
        found += [str(each[4][0]) for each in socket.getaddrinfo(name, None, type=socket.SOCK_DGRAM)]
    addresses = [ipaddress.ip_address(each) for each in dict.fromkeys(found) if "%" not in each]
    reached = [each for each in addresses if not (each.is_loopback or each.is_link_local or each.is_unspecified)]
    reached.sort(key=lambda each: (each.version, not each.is_private))
    first = name.partition(".")[0]
    names = [each for each in (name, f"{first}.local") if _is_name(each) and each != "localhost"]
    return tuple(dict.fromkeys([*map(_bracketed, reached), *names]))


def _own_towards(family: socket.AddressFamily, far: str) -> str:
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as line:
            line.connect((far, 9))
            return str(line.getsockname()[0])
    except OSError:  # no such network here
        return ""


def _bracketed(address: ipaddress.IPv4Address | ipaddress.IPv6Address) -> str:
    return f"[{address}]" if address.version == 6 else str(address)  # noqa: PLR2004 - version 6 has brackets, RFC 3986


def _is_name(text: str) -> bool:
    return len(text) <= 253 and all(_LABEL.match(label) for label in text.split("."))  # noqa: PLR2004 - RFC 1035, 2.3.4


def read_name(text: str) -> str:
    """
    Read a name or an address under which the server is to be reached.

    Parameters
    ----------
    text : str
        As typed: ``shop-pc.lan``, ``192.168.4.20``, ``fd00::20``.

    Returns
    -------
    str
        In small letters; an IPv6 address in brackets.

    Raises
    ------
    InputRefused
        It is none.
    """
    small = text.strip().lower()
    try:
        return _bracketed(ipaddress.ip_address(small.removeprefix("[").removesuffix("]")))
    except ValueError:
        pass
    last = small.rpartition(".")[2]
    if not _is_name(small) or last.isdecimal():
        raise InputRefused.of(
            f"--name “{text}”", "that is no name of a machine", "write one as in --name shop-pc.lan, without port"
        )
    return small


def origin(host: str, *, secure: bool) -> str | None:
    """
    Bring what stands in a ``Host`` header into the one form that is compared.

    Parameters
    ----------
    host : str
        Name, and port if there is one.
    secure : bool
        It is https.

    Returns
    -------
    str or None
        Scheme, name in small letters, and port unless it is the usual one, as a browser writes an ``Origin``
        (RFC 6454, 6.2); None for what is no host.

    Examples
    --------
    >>> origin("Shop-PC.local:8417", secure=False)
    'http://shop-pc.local:8417'
    >>> origin("[0:0:0:0:0:0:0:1]:443", secure=True)
    'https://[::1]'
    >>> origin("evil.test/..", secure=False)
    """
    found = _HOST.match(host.lower())
    if found is None:
        return None
    scheme = "https" if secure else "http"
    name, port = found["name"], int(found["port"] or USUAL_PORTS[scheme])
    if name.startswith("["):
        try:
            name = f"[{ipaddress.IPv6Address(name[1:-1])}]"
        except ValueError:
            return None
    if not 0 < port <= LAST_PORT:
        return None
    return f"{scheme}://{name}" + ("" if port == USUAL_PORTS[scheme] else f":{port}")


def origins(names: Iterable[str], port: int, *, secure: bool) -> tuple[str, ...]:
    """
    Put names and port together to addresses.

    Parameters
    ----------
    names : iterable of str
        As `own_names` and `read_name` write them.
    port : int
        On which the server listens.
    secure : bool
        It is https.

    Returns
    -------
    tuple of str
        As a browser writes them, each once.
    """
    made = (origin(f"{name}:{port}", secure=secure) for name in names)
    return tuple(dict.fromkeys(each for each in made if each is not None))


def is_loopback(address: str) -> bool:
    """
    Tell whether an address is this machine's own for itself alone, which browsers trust without https.

    Parameters
    ----------
    address : str
        With scheme and port.

    Returns
    -------
    bool
        True for ``localhost`` and for loopback addresses.
    """
    name = address.partition("://")[2]
    name = name[: name.index("]") + 1] if name.startswith("[") else name.partition(":")[0]
    try:
        return ipaddress.ip_address(name.strip("[]")).is_loopback
    except ValueError:
        return name == "localhost"
