"""Who may come in: sessions, kept as hashes outside the record book, and the first secret that opens one."""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import os
import secrets
import threading
import time
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec
from msgspec import Struct

from ringtrue.errors import CannotWrite
from ringtrue.web.routes import Who

MINUTES_OF_A_SECRET = 5
"""So long a secret opens a session. [min]"""
DAYS_UNUSED = 180
"""A session that is not used for so long is over. [days]"""
DAY = 24 * 3600.0
"""[s]"""
LONGEST_REST = 30 * DAY
"""However far the wall clock has moved while the server was off, no more than this is counted as time gone by. [s]"""
SEEN_AGAIN = 600.0
"""That a session was used is written down at most so often. [s]"""
PREFIX = "ringtrue."
"""Every token begins with it, so that one that has strayed is found, and is struck out of what is logged."""


@dataclass(frozen=True, slots=True)
class Session:
    """
    One device or program that may come in.

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
    program : bool
        It is a program of the shop's own, which sends its token itself.
    made, seen : float
        When it was let in and last used, on the clock of `Sessions.now`. [s]
    """

    name: str
    person: str
    device: str
    role: Who
    hashed: str
    program: bool = False
    made: float = 0.0
    seen: float = 0.0


class Kept(Struct, frozen=True):
    """What the file holds: the sessions, and two clocks."""

    counted: float
    wall: float
    sessions: list[Session]


class Sessions:
    """
    The sessions of one server.

    Parameters
    ----------
    path : Path or None
        The file in which they are kept, readable by its owner alone; None keeps them in memory.

    Attributes
    ----------
    set_aside : Path or None
        Where a file went that could not be read; everybody then pairs anew.

    Notes
    -----
    Disuse is counted on a clock of its own (`now`): while the server runs it follows the monotonic clock; what the wall
    clock says has gone by while it was off is counted from 0 to at most `LONGEST_REST`. So a wall clock that jumps ten
    years ahead ends no session by itself, and one that jumps back keeps none alive for ever.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._lock = threading.RLock()
        self._known: dict[str, Session] = {}
        self._secrets: dict[str, tuple[float, Who]] = {}
        self._counted = 0.0
        self._since = time.monotonic()
        self.set_aside: Path | None = None
        if path is not None and path.exists():
            self._load(path)

    def _load(self, path: Path) -> None:
        try:
            kept = msgspec.json.decode(path.read_bytes(), type=Kept)
        except (OSError, ValueError):
            self.set_aside = path.with_name(f"{path.name}.damaged")
            with contextlib.suppress(OSError):  # it is written over then
                path.replace(self.set_aside)
            return
        self._counted = kept.counted + min(max(time.time() - kept.wall, 0.0), LONGEST_REST)
        self._known = {each.hashed: each for each in kept.sessions}

    def now(self) -> float:
        """
        Return the clock on which disuse is counted.

        Returns
        -------
        float
            Never goes back, never leaps. [s]
        """
        return self._counted + time.monotonic() - self._since

    # ------------------------------------------------------------------------------------------ opening

    def secret(self, role: Who) -> str:
        """
        Make a secret that opens one session at once, within `MINUTES_OF_A_SECRET`; for who sits at the shop PC.

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
            self._secrets[hashed(made)] = (time.monotonic() + 60 * MINUTES_OF_A_SECRET, role)
        return made

    def spend(self, secret: str) -> Who | None:
        """
        Spend a secret.

        Parameters
        ----------
        secret : str
            As it came.

        Returns
        -------
        Who or None
            The role it opens; None for one that is unknown, spent or too old.
        """
        given = hashed(secret)
        with self._lock:
            found = next((each for each in self._secrets if hmac.compare_digest(each, given)), None)
            if found is None:
                return None
            until, role = self._secrets.pop(found)
        return role if time.monotonic() <= until else None

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
        role = self.spend(secret)
        return None if role is None else self.admit(person, device, role)

    def admit(self, person: str, device: str, role: Who, *, program: bool = False) -> str:
        """
        Let somebody in.

        Parameters
        ----------
        person, device : str
            Who, and what it is called.
        role : Who
            What it may do.
        program : bool
            It is a program of the shop's own.

        Returns
        -------
        str
            Its token, 256 bits, which is kept nowhere.
        """
        token = PREFIX + secrets.token_urlsafe(32)
        now = self.now()
        made = Session(secrets.token_hex(6), person, device, role, hashed(token), program, now, now)
        with self._lock:
            self._known[made.hashed] = made
            with contextlib.suppress(CannotWrite):  # it is in until the server stops, and then pairs anew
                self.keep()
        return token

    # ------------------------------------------------------------------------------------------ asking

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
            None for a token that is unknown or revoked, or was not used for `DAYS_UNUSED`.
        """
        given = hashed(token)
        session = self._known.get(given)
        if session is None or not hmac.compare_digest(session.hashed, given) or self._over(session):
            return None
        now = self.now()
        if now - session.seen > SEEN_AGAIN:
            session = replace(session, seen=now)
            with self._lock, contextlib.suppress(CannotWrite):  # it may come in all the same
                if given not in self._known:
                    return None
                self._known[given] = session
                self.keep()
        return session

    def _over(self, session: Session) -> bool:
        return self.now() - session.seen > DAYS_UNUSED * DAY

    def all(self) -> tuple[Session, ...]:
        """
        Return every session that may come in.

        Returns
        -------
        tuple of Session
            The last let in comes first.
        """
        return tuple(reversed([each for each in self._known.values() if not self._over(each)]))

    def revoke(self, name: str) -> bool:
        """
        Shut a session out, from now on.

        Parameters
        ----------
        name : str
            Its name.

        Returns
        -------
        bool
            False where there is none of that name.
        """
        with self._lock:
            before = len(self._known)
            self._known = {key: each for key, each in self._known.items() if each.name != name}
            self.keep()
            return len(self._known) < before

    # ------------------------------------------------------------------------------------------ keeping

    def keep(self) -> None:
        """
        Write the file: whole, or not at all.

        Raises
        ------
        CannotWrite
            It cannot be written. What was changed counts until the server stops.
        """
        if self._path is None:
            return
        with self._lock:
            self._known = {key: each for key, each in self._known.items() if not self._over(each)}
            whole = msgspec.json.encode(Kept(self.now(), time.time(), list(self._known.values())))
            part = self._path.with_name(self._path.name + ".part")
            try:
                write_private(part, whole)
                part.replace(self._path)
            except OSError as error:
                raise CannotWrite.of(
                    f"“{self._path}”",
                    f"who may come in cannot be written down ({error.strerror})",
                    "make room, or let the folder be written; until then it counts until the server is stopped",
                ) from None


def write_private(path: Path, data: bytes) -> None:
    """
    Write a file that only its owner may read, and wait until it is on the disk.

    Parameters
    ----------
    path : Path
        The file; made anew.
    data : bytes
        All of it.
    """
    with contextlib.suppress(FileNotFoundError):
        path.unlink()
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags, 0o600), "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def hashed(secret: str) -> str:
    """
    Return the form in which a secret is kept and compared.

    Parameters
    ----------
    secret : str
        256 random bits; nothing that a person chose, for which one round would be too few.

    Returns
    -------
    str
        SHA-256.
    """
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
