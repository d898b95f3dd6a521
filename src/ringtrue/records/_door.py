"""
The door of a book: transactions, done whole or not at all.

Writers come in one transaction at a time on both kinds of book: ``BEGIN IMMEDIATE`` on SQLite, a table lock taken
before the first look on PostgreSQL; those of one program that stand in line share one. What is read in one transaction
is one state of the book.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy.exc import SQLAlchemyError

from ringtrue.errors import BookUnusable, RingtrueError
from ringtrue.records import _place
from ringtrue.records._place import Place, passes, trouble
from ringtrue.records._sharing import Line, Passage
from ringtrue.records._tables import LOOK_AT_VERSION, VERSION_TABLE
from ringtrue.records._versions import judge_version

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

T = TypeVar("T")

_BEGIN = {
    ("sqlite", False): "BEGIN",
    ("sqlite", True): "BEGIN IMMEDIATE",
    ("postgresql", False): "SET TRANSACTION READ ONLY",
    ("postgresql", True): f"LOCK TABLE {VERSION_TABLE} IN EXCLUSIVE MODE",
}


class Door:
    """
    The way in.

    Parameters
    ----------
    engine : Engine
        Makes connections that are set up and checked.
    place : Place
        Where the book is.
    """

    def __init__(self, engine: Engine, place: Place) -> None:
        self.engine = engine
        self.place = place
        self._passage = Passage()
        self._line = Line(lambda work, until: self._whole(work, until, writing=True))

    def __str__(self) -> str:
        """Return where the book is."""
        return str(self.place)

    def read(self, work: Callable[[Connection], T]) -> T:
        """Do what only looks, in one transaction."""
        until = time.monotonic() + _place.WAIT_S
        with self._passage.looking(until):
            return self._whole(work, until, writing=False)

    def write(self, work: Callable[[Connection], T]) -> T:
        """Do what writes, whole or not at all; what it returns is on disk. Writers that wait share one commit."""
        return self._line.write(work, _place.WAIT_S)

    def sweep(self, table: str) -> None:
        """
        Give the room of erased rows back, so that nothing of them is left in the book's file.

        Parameters
        ----------
        table : str
            From which they were erased.
        """
        words = "VACUUM" if self.place.path is not None else f"VACUUM (FULL) {table}"
        try:
            with self.engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
                connection.exec_driver_sql(words)
        except _place.DATABASE_ERRORS as error:
            raise trouble(error, self.place) from error

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()

    def _whole(self, work: Callable[[Connection], T], until: float, *, writing: bool) -> T:
        while True:
            try:
                with self._transaction(until, writing=writing) as connection:
                    return work(connection)
            except _place.DATABASE_ERRORS as error:
                if not passes(error) or time.monotonic() > until:
                    raise trouble(error, self.place) from error
                time.sleep(random.uniform(0.005, 0.1))  # noqa: S311 - parts two writers, keeps no secret
            except SQLAlchemyError as error:
                said = f"the database could not be used ({error})"
                raise BookUnusable.of("", said, "run `ringtrue book verify`", str(self)) from error

    @contextmanager
    def _transaction(self, until: float, *, writing: bool) -> Iterator[Connection]:
        kind = self.engine.dialect.name
        with self.engine.connect() as connection:
            try:
                self._wait_no_longer(connection, until)
                connection.exec_driver_sql(_BEGIN[kind, writing])
                found = connection.exec_driver_sql(LOOK_AT_VERSION).scalars().all()
                judge_version(found, self.place)
                yield connection
                with self._passage.committing(until) if writing and self.place.path is not None else nullcontext():
                    self._wait_no_longer(connection, until)
                    connection.commit()
            except RingtrueError:
                connection.rollback()
                raise
            except BaseException:
                # Whatever state the connection is in after a fault, nobody gets it again.
                connection.invalidate()
                raise

    def _wait_no_longer(self, connection: Connection, until: float) -> None:
        if self.place.path is not None:
            left = max(int((until - time.monotonic()) * 1000), 1)
            connection.exec_driver_sql(f"PRAGMA busy_timeout = {left}")
