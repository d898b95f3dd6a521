"""Editions of the tables: which this program knows, and how an older book is brought up to date."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Connection, inspect

from ringtrue.errors import BookDamaged, BookMissing, BookTooNew, BookUnusable
from ringtrue.records._place import Place
from ringtrue.records._tables import LOOK_AT_VERSION, VERSION_TABLE, version

KNOWN: tuple[str, ...] = ("0001", "0002", "0003")
"""Editions of the tables, oldest first. The last is the one this program reads and writes."""

SCRIPTS = Path(__file__).with_name("migrations")
"""Alembic's scripts, one an edition."""


def judge_version(found: Sequence[object], place: Place) -> None:
    """
    Refuse a book that is not of this edition.

    Parameters
    ----------
    found : sequence
        The rows of its version table.
    place : Place
        Where it is.

    Raises
    ------
    BookDamaged
        It does not say one edition.
    BookTooNew
        It is of a later edition.
    BookUnusable
        It is of an earlier one.
    """
    if len(found) != 1 or not isinstance(found[0], str):
        raise BookDamaged.of(
            "",
            "the book does not say of which edition it is",
            "put back a backup with `ringtrue book restore`",
            str(place),
        )
    if found[0] not in KNOWN:
        raise BookTooNew.of(
            "",
            f"the book was written by a later edition of ringtrue (its tables are of edition {found[0]!a}, "
            f"this program knows {KNOWN[-1]})",
            "use the newer ringtrue; the book was not touched",
            str(place),
        )
    if found[0] != KNOWN[-1]:
        raise BookUnusable.of(
            "", f"the book is of the earlier edition {found[0]}", "open it anew, which brings it up to date", str(place)
        )


def must_be_there(there: bool, place: Place) -> None:  # noqa: FBT001 - the fact that is looked at
    """
    Refuse to go on without a book.

    Parameters
    ----------
    there : bool
        It is there, or may be made.
    place : Place
        Where it should be.

    Raises
    ------
    BookMissing
        It is not.
    """
    if not there:
        raise BookMissing.of("", "there is no book here", "name another with --book", str(place))


def version_of(connection: Connection, place: Place) -> str | None:
    """
    Return the edition of a database's tables.

    Parameters
    ----------
    connection : Connection
        To the database.
    place : Place
        Where it is.

    Returns
    -------
    str or None
        One of `KNOWN`; None when the database is empty.

    Raises
    ------
    BookUnusable
        It holds something else than a book, or a book that cannot be used.
    """
    names = inspect(connection).get_table_names()
    if VERSION_TABLE in names:
        found = connection.exec_driver_sql(LOOK_AT_VERSION).scalars().all()
        if len(found) != 1 or found[0] not in KNOWN:
            judge_version(found, place)
        return str(found[0])
    if names:
        raise BookUnusable.of(
            "",
            f"this database holds something else (a table {names[0]!a})",
            "give the book one of its own",
            str(place),
        )
    return None


def bring_up_to_date(connection: Connection, place: Place) -> None:
    """
    Run Alembic's scripts inside the transaction that is open, from whatever edition the tables are to the last.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that nobody else can write through; the caller commits.
    place : Place
        The book.

    Raises
    ------
    BookDamaged
        The entries would not be the same afterwards; the caller must not commit.
    """
    from alembic import command
    from alembic.config import Config

    before = _entries_in(connection)
    version.create(connection, checkfirst=True)
    settings = Config()
    settings.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    settings.attributes["connection"] = connection
    command.upgrade(settings, KNOWN[-1])
    if before is not None and _entries_in(connection) != before:
        raise BookDamaged.of(
            "",
            "bringing the book up to date stopped, for its entries would not have stayed as they were written",
            "go on with the earlier ringtrue, and report this; the book is as it was",
            str(place),
        )


def _entries_in(connection: Connection) -> str | None:
    """Return a check sum over all that is hashed in the entries: these columns are the same in every edition."""
    if not inspect(connection).has_table("entries"):
        return None
    digest = hashlib.sha256()
    columns = "chain, seq, kind, key, who, device, at, body, previous, hash"
    for row in connection.exec_driver_sql(f"SELECT {columns} FROM entries ORDER BY key"):  # noqa: S608 - nothing of it comes from outside
        digest.update(ascii(tuple(row)).encode("ascii"))
    return digest.hexdigest()
