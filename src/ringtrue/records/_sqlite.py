"""
A book in a file.

Rollback journal, ``synchronous=EXTRA``: a commit is on the disk, the removal of its journal included, before it is
acknowledged. Every connection is told so, asked whether it is so, and refused otherwise; see
``docs/decisions/sqlite-settings.md``.

Nothing here may open the book's file but through SQLite: closing any other handle on it would, on POSIX, drop the
locks that SQLite holds in this process.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, Engine, NullPool, create_engine

from ringtrue.errors import BookDamaged, BookLocked, BookUnusable
from ringtrue.records import _place, _versions
from ringtrue.records._door import Door
from ringtrue.records._place import DATABASE_ERRORS, Place, trouble
from ringtrue.records._tables import LOOK_AT_VERSION

OLDEST_SQLITE = (3, 37, 0)
"""STRICT tables came with this one."""

WANTED: dict[str, str | int] = {
    "journal_mode": "delete",
    "synchronous": 3,  # EXTRA
    "foreign_keys": 1,
    "secure_delete": 1,  # what is erased is overwritten
    "fullfsync": 1,  # macOS: flush the drive's own cache
    "cell_size_check": 1,
    "trusted_schema": 0,
}
"""Set on every connection, and read back."""


def connect(path: Path, *, judged: bool = True) -> sqlite3.Connection:
    """
    Connect to a book's file, never making one.

    Parameters
    ----------
    path : Path
        The file.
    judged : bool
        Look first whether the book is of this edition; False while it is being made or brought up to date.

    Returns
    -------
    sqlite3.Connection
        In autocommit; transactions are begun by whoever asked.

    Raises
    ------
    BookUnusable
        A setting did not take.
    """
    connection = _bare(path)
    try:
        if judged:
            found = [row[0] for row in connection.execute(LOOK_AT_VERSION)]
            _versions.judge_version(found, Place(path, None))
        _set_up(connection, path)
    except BaseException:
        connection.close()
        raise
    return connection


def _bare(path: Path) -> sqlite3.Connection:
    address = path.as_uri()
    if not address.startswith("file:///"):
        address = "file:////" + address.removeprefix("file://")  # a Windows share
    connection = sqlite3.connect(f"{address}?mode=rw", uri=True, timeout=_place.WAIT_S, isolation_level=None)
    # Bytes that are no text are kept apart from every text, so that the entry they stand in can be named.
    connection.text_factory = lambda raw: raw.decode("utf-8", "surrogateescape")
    return connection


def _set_up(connection: sqlite3.Connection, path: Path) -> None:
    for name, value in WANTED.items():
        connection.execute(f"PRAGMA {name} = {value}")
        (found,) = connection.execute(f"PRAGMA {name}").fetchone()
        if found != value:
            raise BookUnusable.of(
                "",
                f"SQLite keeps {name} at {found} and the book needs {value}, or readings could be lost",
                "close other programs that have the book open, then do the same again",
                str(path),
            )


def engine_of(path: Path, *, judged: bool = True) -> Engine:
    """Return an engine that makes a new, checked connection for every transaction."""
    return create_engine("sqlite+pysqlite://", creator=lambda: connect(path, judged=judged), poolclass=NullPool)


def open_file(place: Place, *, create: bool) -> Door:
    """
    Open a book in a file; make it, or bring it up to date, where that is needed.

    Parameters
    ----------
    place : Place
        Where it is.
    create : bool
        Make it when it is not there.

    Returns
    -------
    Door
        The way in.

    Raises
    ------
    BookUnusable
        It is not there and is not to be made, or it cannot be used.
    BookDamaged
        The file was emptied.
    """
    path = _file(place)
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise BookUnusable.of(
            sqlite3.sqlite_version, "this Python brings too old an SQLite", "use a Python with SQLite 3.37 or later"
        )
    if path.is_dir():
        raise BookUnusable.of("", "this is a folder", "name a file in it, such as book.ringtrue", str(place))
    try:
        if not path.exists():
            _versions.must_be_there(create, place)
            new_file(path)
        if path.stat().st_size == 0:
            raise BookDamaged.of(
                "",
                "the file is empty: a book is never empty, so what was in it is lost",
                "put back a backup with `ringtrue book restore`, or remove the empty file to begin a new book",
                str(place),
            )
        if _version_in(path, place) != _versions.KNOWN[-1]:
            _bring_up_to_date(path, place)
    except (OSError, *DATABASE_ERRORS) as error:
        raise trouble(error, place) from error
    return Door(engine_of(path), place)


def _file(place: Place) -> Path:
    assert place.path is not None  # noqa: S101 - whoever calls has asked
    return place.path


@contextlib.contextmanager
def transaction(path: Path, begin: str) -> Iterator[Connection]:
    """
    Open a transaction that does not care for the book's edition.

    Parameters
    ----------
    path : Path
        The file.
    begin : str
        How to begin it.

    Yields
    ------
    Connection
        Committed when all went well.
    """
    engine = engine_of(path, judged=False)
    with engine.connect() as connection:
        connection.exec_driver_sql(begin)
        yield connection
        connection.commit()


def _version_in(path: Path, place: Place) -> str:
    # Nothing is set up on this connection: a book of a later edition is not written to, not even its settings.
    engine = create_engine("sqlite+pysqlite://", creator=lambda: _bare(path), poolclass=NullPool)
    with engine.connect() as connection:
        found = _versions.version_of(connection, place)
    if found is None:
        raise BookUnusable.of("", "this is no record book", "name another with --book", str(place))
    return found


def new_file(path: Path) -> None:
    """
    Make a book beside its place, and put it there when it is whole.

    Parameters
    ----------
    path : Path
        Where it will be. When somebody else makes one there meanwhile, his stays.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with beside(path) as fresh:
        os.close(os.open(fresh, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        with transaction(fresh, "BEGIN EXCLUSIVE") as connection:
            _versions.bring_up_to_date(connection, Place(path, None))
        with contextlib.suppress(FileExistsError):
            put_in_place(fresh, path)


@contextlib.contextmanager
def held_alone(path: Path) -> Iterator[sqlite3.Connection]:
    """
    Keep everybody else out of a file while it is exchanged; one so damaged that nobody can be in it needs no lock.

    Parameters
    ----------
    path : Path
        The file.

    Yields
    ------
    sqlite3.Connection
        Holds the lock until it is closed.
    """
    holder = _bare(path)
    try:
        try:
            holder.execute("BEGIN EXCLUSIVE")
        except (sqlite3.DatabaseError, UnicodeError) as error:
            if isinstance(trouble(error, Place(path, None)), BookLocked):
                raise
        yield holder
    finally:
        holder.close()


@contextlib.contextmanager
def beside(path: Path) -> Iterator[Path]:
    """
    Yield a name in the same folder that nobody uses; whatever is left there afterwards is removed.

    Parameters
    ----------
    path : Path
        The file it will become.

    Yields
    ------
    Path
        The name.
    """
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        yield fresh
    finally:
        for name in (fresh.name, f"{fresh.name}-journal"):
            with contextlib.suppress(OSError):
                fresh.with_name(name).unlink(missing_ok=True)


def put_in_place(fresh: Path, path: Path) -> None:
    """
    Give a finished file its name, which nobody has; on disk when this returns.

    Parameters
    ----------
    fresh : Path
        The file.
    path : Path
        Its name from here on.

    Raises
    ------
    FileExistsError
        Somebody has that name.
    """
    try:
        os.link(fresh, path)
    except FileExistsError:
        raise
    except OSError as error:  # a file system without links
        if path.exists():
            raise FileExistsError(path) from error
        fresh.rename(path)
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on disk, where the system can do that."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def copy(source: Path, target: Path) -> None:
    """
    Copy a book, in use or not, with SQLite's own backup; all that was committed before is in it.

    Parameters
    ----------
    source : Path
        The book.
    target : Path
        A name that nobody has.
    """
    os.close(os.open(target, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    with contextlib.closing(connect(source, judged=False)) as book:
        # One look, so that no writer comes between the first page and the last.
        book.execute("BEGIN")
        book.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        with contextlib.closing(sqlite3.connect(target, isolation_level=None)) as copied:
            copied.execute("PRAGMA synchronous = EXTRA")
            book.backup(copied)
        book.execute("ROLLBACK")


def _bring_up_to_date(path: Path, place: Place) -> None:
    with transaction(path, "BEGIN IMMEDIATE") as connection:
        if _versions.version_of(connection, place) == _versions.KNOWN[-1]:
            return
        before = free_name(path, f"before-{_versions.KNOWN[-1]}")
        with beside(before) as fresh:
            copy(path, fresh)
            put_in_place(fresh, before)
        _versions.bring_up_to_date(connection, place)


def free_name(path: Path, ending: str) -> Path:
    """
    Return a name beside a book that nobody has.

    Parameters
    ----------
    path : Path
        The book.
    ending : str
        What the name ends in; numbered from 2 when it is taken.

    Returns
    -------
    Path
        The name.
    """
    name, number = path.with_name(f"{path.name}.{ending}"), 1
    while name.exists():
        number += 1
        name = path.with_name(f"{path.name}.{ending}-{number}")
    return name
