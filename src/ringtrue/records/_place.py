"""Where a book is, and what a database's complaint means to a person."""

from __future__ import annotations

import errno
import shutil
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, MultipleResultsFound, NoResultFound, OperationalError

from ringtrue.errors import (
    BookDamaged,
    BookFull,
    BookLocked,
    BookReadOnly,
    BookUnusable,
    InputRefused,
)

WAIT_S = 4.0
"""How long a lock or a lost server is waited for before the person is told. [s]"""

DATABASE_ERRORS = (DBAPIError, NoResultFound, MultipleResultsFound, sqlite3.Error, UnicodeError)
"""What a database raises. The last comes of bytes that are no text, in a row or in a message."""

_READONLY_MOVED = 8 | 4 << 8
_IOERR_WRITE = 10 | 3 << 8
_ALMOST_FULL = 1 << 20

Said = tuple[type[BookUnusable], str, str]
"""What to raise, why the book cannot be used, and what to do."""

_LOCKED: Said = (
    BookLocked,
    f"another program holds the book and did not let go within {WAIT_S:g} seconds",
    "close the other program, or do the same again in a moment; nothing was written",
)
_FULL: Said = (
    BookFull,
    "there is no room left; nothing was written",
    "make room, then do the same again; what was in the book is still there",
)
_READ_ONLY: Said = (
    BookReadOnly,
    "the book, or the folder it is in, may not be written",
    "let your user write there, or name another book with --book",
)
_NOT_ALLOWED: Said = (
    BookReadOnly,
    "this user may not write there",
    "ask who runs the server to let this user write in the book's database",
)
_DAMAGED: Said = (
    BookDamaged,
    "the book is damaged",
    "put back a backup with `ringtrue book restore`, which keeps the damaged book aside",
)
_NO_BOOK: Said = (BookDamaged, "this is no record book, or its first page is damaged", _DAMAGED[2])
_GONE: Said = (BookUnusable, "there is no book any more", "see where it went, or name another with --book")
_DISK: Said = (
    BookUnusable,
    "the disk did not do what it was told: full, over a quota, pulled out or failing; nothing was written",
    "see to the disk, then do the same again",
)
_NO_ANSWER: Said = (
    BookUnusable,
    "the server does not answer",
    "see that it runs and can be reached, then do the same again; nothing acknowledged is lost",
)

_SQLITE: dict[int, Said] = {
    3: _READ_ONLY,  # PERM
    5: _LOCKED,  # BUSY
    6: _LOCKED,  # LOCKED
    8: _READ_ONLY,  # READONLY
    10: _DISK,  # IOERR
    11: _DAMAGED,  # CORRUPT
    13: _FULL,  # FULL
    14: _READ_ONLY,  # CANTOPEN
    23: _READ_ONLY,  # AUTH
    26: _NO_BOOK,  # NOTADB
    10 | 33 << 8: _DAMAGED,  # IOERR_CORRUPTFS
}
"""SQLite's result codes, primary and extended: https://sqlite.org/rescode.html."""

_POSTGRES: dict[str, Said] = {
    "55P03": _LOCKED,  # lock_not_available
    "57014": _LOCKED,  # query_canceled
    "53100": _FULL,  # disk_full
    "53400": _FULL,  # configuration_limit_exceeded
    "25006": _NOT_ALLOWED,  # read_only_sql_transaction
    "42501": _NOT_ALLOWED,  # insufficient_privilege
    "3D000": (BookUnusable, "the server has no such database", "make it first, with createdb"),
    "28": (BookUnusable, "the server does not let this user in", "look at user and password in --book"),
    "XX": _DAMAGED,  # internal_error, data_corrupted, index_corrupted
    "08": _NO_ANSWER,  # connection_exception
    "53": _NO_ANSWER,  # insufficient_resources
    "57": _NO_ANSWER,  # operator_intervention
}
"""PostgreSQL's codes, or their first two letters: its manual, appendix A."""


@dataclass(frozen=True, slots=True)
class Place:
    """
    Where a book is.

    Parameters
    ----------
    path : Path or None
        The file of an SQLite book.
    url : URL or None
        The address of a PostgreSQL book.
    """

    path: Path | None
    url: URL | None

    def __str__(self) -> str:
        """Return the place as it may be shown: without user or password."""
        if self.url is not None:
            port = f":{self.url.port}" if self.url.port else ""
            return f"postgresql://{self.url.host or ''}{port}/{self.url.database or ''}"
        return str(self.path)


def place_of(where: str | Path) -> Place:
    """
    Tell a file from the address of a server.

    Parameters
    ----------
    where : str or Path
        A path, ``sqlite:///`` and a path, or ``postgresql://`` and an address.

    Returns
    -------
    Place
        Where the book is.

    Raises
    ------
    InputRefused
        It is neither.
    """
    if isinstance(where, str) and "://" in where:
        scheme, rest = where.split("://", 1)
        base = scheme.split("+")[0].lower()
        if base == "sqlite" and len(rest) > 1 and rest.startswith("/"):
            return place_of(Path(rest[1:]))
        if base in {"postgresql", "postgres"}:
            try:
                return Place(None, make_url(f"postgresql+psycopg://{rest}"))
            except (ArgumentError, ValueError) as error:
                raise InputRefused.of(
                    f"{scheme}://...", "this is not the address of a book", _address_example(), "--book"
                ) from error
        raise InputRefused.of(
            f"{scheme}://...", "a book is a file, or on a PostgreSQL server", _address_example(), "--book"
        )
    if not str(where).strip() or "\0" in str(where):
        raise InputRefused.of(ascii(str(where)), "this is not the name of a file", _address_example(), "--book")
    return Place(Path(where).expanduser().absolute(), None)


def _address_example() -> str:
    return "name a file, such as book.ringtrue, or postgresql://user@host/database"


def trouble(error: BaseException, place: Place) -> BookUnusable:
    """
    Return the error that tells a person what happened to the book, and what to do.

    Parameters
    ----------
    error : BaseException
        What SQLAlchemy, sqlite3, psycopg or the system raised.
    place : Place
        Where the book is.

    Returns
    -------
    BookUnusable
        Locked, full, read-only, damaged, or out of reach.
    """
    cause = error.orig if isinstance(error, DBAPIError) and error.orig is not None else error
    first = (str(cause).strip().splitlines() or [type(cause).__name__])[0]
    found: Said | None
    if isinstance(cause, sqlite3.Error):
        found = _sqlite_says(cause, place)
    elif isinstance(cause, UnicodeError | NoResultFound | MultipleResultsFound):
        found = _DAMAGED
    elif isinstance(cause, PermissionError):
        found = _READ_ONLY
    elif isinstance(cause, OSError) and cause.errno in {errno.ENOSPC, errno.EDQUOT}:
        found = _FULL
    elif isinstance(cause, OSError):
        said = f"the system says: {cause.strerror or first}"
        found = BookUnusable, said, "see to that, or name another book with --book"
    else:
        state = getattr(cause, "sqlstate", None) or ""
        lost = not state and isinstance(error, OperationalError)
        no_way_in = BookUnusable, f"the server does not answer, or does not let this user in ({first})", _NO_ANSWER[2]
        found = no_way_in if lost else _POSTGRES.get(state) or _POSTGRES.get(state[:2])
    kind, why, do = found or (BookUnusable, f"the database could not do it ({first})", "run `ringtrue book verify`")
    return kind.of("", why, do, str(place))


def _sqlite_says(error: sqlite3.Error, place: Place) -> Said | None:
    extended = getattr(error, "sqlite_errorcode", None)
    if extended is None:
        return None
    found = _SQLITE.get(extended) or _SQLITE.get(extended & 0xFF)
    if found is _DISK and extended == _IOERR_WRITE and _no_room(place):
        return _FULL
    if found is _READ_ONLY and place.path is not None and not place.path.exists():
        return _GONE
    return found


def _no_room(place: Place) -> bool:
    try:
        return place.path is not None and shutil.disk_usage(place.path.parent).free < _ALMOST_FULL
    except OSError:
        return False


def passes(error: Exception) -> bool:
    """
    Tell whether the whole transaction may simply be tried again.

    Every entry carries a key, so that a commit whose answer was lost is found, not doubled.

    Parameters
    ----------
    error : Exception
        What stopped it.

    Returns
    -------
    bool
        True for a conflict between transactions, a lost connection, or a book that was put back meanwhile.
    """
    if not isinstance(error, DBAPIError):
        return False
    cause = error.orig
    if isinstance(cause, sqlite3.Error):
        return getattr(cause, "sqlite_errorcode", None) == _READONLY_MOVED
    state = getattr(cause, "sqlstate", None) or ""
    if error.connection_invalidated or state in {"40001", "40P01"} or state[:3] in {"080", "57P"}:
        return True
    return not state and isinstance(error, OperationalError)
