"""Who may come in: sessions, kept as hashes outside the record book, and the secrets that open one."""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
import threading
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from ringtrue.web.routes import Who

MINUTES_OF_A_SECRET = 5
"""So long a secret opens a session. [min]"""


@dataclass(frozen=True, slots=True)
class Session:
    """
    One device that may come in.

    Parameters
    ----------
    name : str
        Of the session, to tell it by and to revoke it; no secret.
    person, device : str
        Who uses it, and what it is called.
    role : Who
        What it may do.
    hashed : str
        SHA-256 of its token.
    """

    name: str
    person: str
    device: str
    role: Who
    hashed: str


class Sessions:
    """
    The sessions of one server.

    Parameters
    ----------
    path : Path or None
        The file in which they are kept, readable by its owner alone; None keeps them in memory.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._lock = threading.Lock()
        self._known: dict[str, Session] = {}
        self._secrets: dict[str, tuple[float, Who]] = {}
        if path is not None and path.exists():
            for row in json.loads(path.read_text("utf-8")):
                session = Session(**{**row, "role": Who(row["role"])})
                self._known[session.hashed] = session

    def secret(self, role: Who) -> str:
        """
        Make a secret that opens one session, once, within `MINUTES_OF_A_SECRET`.

        Parameters
        ----------
        role : Who
            What the session may do.

        Returns
        -------
        str
            256 bits.
        """
        made = secrets.token_urlsafe(32)
        with self._lock:
            self._secrets[_hashed(made)] = (time.monotonic() + 60 * MINUTES_OF_A_SECRET, role)
        return made

    def open(self, secret: str, person: str, device: str) -> str | None:
        """
        Open a session with a secret, which is spent by it.

        Parameters
        ----------
        secret : str
            As it came.
        person, device : str
            Who, and what it is called.

        Returns
        -------
        str or None
            The session's token; None for a secret that is unknown, spent or too old.
        """
        with self._lock:
            until, role = self._secrets.pop(_hashed(secret), (0.0, Who.ANYBODY))
            if time.monotonic() > until:
                return None
            token = secrets.token_urlsafe(32)
            session = Session(secrets.token_hex(4), person, device, role, _hashed(token))
            self._known[session.hashed] = session
            self._keep()
        return token

    def find(self, token: str) -> Session | None:
        """
        Find the session of a token.

        Parameters
        ----------
        token : str
            As it came.

        Returns
        -------
        Session or None
            None for a token that is unknown or revoked.
        """
        hashed = _hashed(token)
        session = self._known.get(hashed)
        return session if session is not None and hmac.compare_digest(session.hashed, hashed) else None

    def all(self) -> tuple[Session, ...]:
        """Return every session that may come in."""
        return tuple(self._known.values())

    def revoke(self, name: str) -> None:
        """
        Shut a session out, from now on.

        Parameters
        ----------
        name : str
            Its name.
        """
        with self._lock:
            self._known = {hashed: each for hashed, each in self._known.items() if each.name != name}
            self._keep()

    def _keep(self) -> None:
        if self._path is None:
            return
        part = self._path.with_name(self._path.name + ".part")
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as file:
            json.dump([asdict(each) for each in self._known.values()], file)
        part.replace(self._path)


def _hashed(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
