"""A book on a PostgreSQL server: the same tables, the same transactions, one writer at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, text

from ringtrue.errors import BookUnusable
from ringtrue.records import _place, _versions
from ringtrue.records._door import Door
from ringtrue.records._place import DATABASE_ERRORS, Place, trouble
from ringtrue.records._tables import TABLES

if TYPE_CHECKING:
    from psycopg import Connection as ServerConnection

_ONE_MAKER = 7_310_473_294_117
"""A lock's number: two programs that open an empty database make the book one after the other."""

_WANTED = {"fsync": "on", "synchronous_commit": "on", "server_encoding": "UTF8"}


def open_server(place: Place, *, create: bool) -> Door:
    """
    Open a book on a server; make it, or bring it up to date, where that is needed.

    Parameters
    ----------
    place : Place
        Where it is.
    create : bool
        Make it when the database is empty.

    Returns
    -------
    Door
        The way in.

    Raises
    ------
    BookUnusable
        It is not there and is not to be made, or it cannot be used.
    """
    assert place.url is not None  # noqa: S101 - whoever calls has asked
    engine = _engine(place.url, place)
    try:
        with engine.connect() as connection:
            found = _versions.version_of(connection, place)
        _versions.must_be_there(found is not None or create, place)
        if found != _versions.KNOWN[-1]:
            _bring_up_to_date(engine, place)
    except DATABASE_ERRORS as error:
        engine.dispose()
        raise trouble(error, place) from error
    except BaseException:
        engine.dispose()
        raise
    return Door(engine, place)


def _engine(url: URL, place: Place) -> Engine:
    try:
        engine = create_engine(
            url,
            isolation_level="SERIALIZABLE",
            pool_pre_ping=True,
            connect_args={"connect_timeout": int(_place.WAIT_S)},
        )
    except ModuleNotFoundError as error:
        raise BookUnusable.of(
            "",
            "a book on a server needs psycopg, which is not installed",
            'type: pip install "ringtrue[postgres]"',
            str(place),
        ) from error

    def set_up(connection: ServerConnection[Any], _record: object) -> None:
        connection.execute("SET synchronous_commit = on")
        connection.execute(f"SET lock_timeout = '{int(_place.WAIT_S * 1000)}ms'")
        for name, wanted in _WANTED.items():
            (found,) = connection.execute(f"SHOW {name}").fetchone() or ("nothing",)
            if found != wanted:
                raise BookUnusable.of(
                    "",
                    f"the server keeps {name} at {found} and the book needs {wanted}, or readings could be lost",
                    "ask who runs the server to change it",
                    str(place),
                )
        connection.commit()

    event.listen(engine, "connect", set_up)
    return engine


def _bring_up_to_date(engine: Engine, place: Place) -> None:
    # Not SERIALIZABLE: what somebody else made while we waited for the lock has to be seen.
    with engine.execution_options(isolation_level="READ COMMITTED").connect() as connection:
        connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _ONE_MAKER})
        found = _versions.version_of(connection, place)
        if found == _versions.KNOWN[-1]:
            return
        if found is not None:
            _keep_copy(connection)
        _versions.bring_up_to_date(connection, place)
        connection.commit()


def _keep_copy(connection: Connection) -> None:
    """Copy every table into a schema of its own, in the same transaction."""
    present = connection.exec_driver_sql("SELECT nspname FROM pg_namespace").scalars().all()
    name, number = f"before_{_versions.KNOWN[-1]}", 1
    while name in present:
        number += 1
        name = f"before_{_versions.KNOWN[-1]}_{number}"
    connection.exec_driver_sql(f'CREATE SCHEMA "{name}"')
    for table in TABLES:
        connection.exec_driver_sql(f'LOCK TABLE "{table}" IN EXCLUSIVE MODE')
        connection.exec_driver_sql(f'CREATE TABLE "{name}"."{table}" AS TABLE "{table}"')
