"""What other programs do to a book while a test looks on; run in processes of their own."""

from __future__ import annotations

import multiprocessing
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.records.making import WHO, header, pull

from ringtrue.records import Book, _versions

if TYPE_CHECKING:
    from collections.abc import Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.context import ForkServerProcess

PROCESSES = multiprocessing.get_context("forkserver")
"""Processes are forked off one that has the libraries loaded already: a kill hits the book, not their loading."""
PROCESSES.set_forkserver_preload(["tests.records.appender", "ringtrue.records.book", "alembic.command", "psycopg"])


def append_for_ever(where: str, test_id: str, first: int, told: Connection) -> None:
    """Write one reading after the other, and tell the number of each once it is acknowledged."""
    with Book.open(where, create=False) as book:
        number = first
        while True:
            book.add(test_id, pull(str(number), 100 + number % 90), key=f"{test_id} reading {number}", **WHO)
            told.send(number)
            number += 1


def append_some(where: str, test_id: str, keys: Sequence[str], told: Connection) -> None:
    """Write a reading a key, and tell the numbers that the book gave them."""
    with Book.open(where, create=False) as book:
        told.send([book.add(test_id, pull(key, 150), key=key, **WHO).seq for key in keys])


def open_and_start(where: str, key: str, told: Connection) -> None:
    """Make a book, or find that somebody made it, and open a test in it."""
    with Book.open(where) as book:
        told.send(book.start(header(), sheet_text="the same sheet\n", key=key, **WHO))


def open_with_later_edition(where: str, scripts: str, told: Connection) -> None:
    """Be a later ringtrue that opens an earlier book."""
    _versions.KNOWN, _versions.SCRIPTS = ("0001", "0002", "0003", "0004"), Path(scripts)
    told.send("ready")
    Book.open(where, create=False).close()
    told.send("done")


def start(work: Any, *given: Any) -> tuple[ForkServerProcess, Connection]:  # noqa: ANN401 - any of the functions above
    """Start one of the functions above in a process of its own; what it tells comes out of the connection."""
    listen, told = PROCESSES.Pipe(duplex=False)
    process = PROCESSES.Process(target=work, args=(*given, told), daemon=True)
    process.start()
    told.close()
    return process, listen


def heard(listen: Connection) -> list[Any]:
    """Return all that was told and not heard yet, to the end."""
    found = []
    try:
        while listen.poll(0):
            found.append(listen.recv())
    except (EOFError, OSError):
        pass
    return found
