"""What a database complains of is told as what it is."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import psycopg
import pytest

from ringtrue.errors import BookDamaged, BookFull, BookLocked, BookReadOnly, BookUnusable
from ringtrue.records._place import place_of, trouble

if TYPE_CHECKING:
    from pathlib import Path


class Said(psycopg.Error):
    """A complaint of the server, by its code."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.sqlstate = code


# If this failed, a full or damaged server would be told as something else. (PostgreSQL manual, appendix A; from memory)
@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("53100", BookFull),
        ("25006", BookReadOnly),
        ("42501", BookReadOnly),
        ("55P03", BookLocked),
        ("XX001", BookDamaged),
        ("XX002", BookDamaged),
        ("57P01", BookUnusable),
        ("08006", BookUnusable),
        ("42601", BookUnusable),
    ],
)
def test_the_server_s_codes(code: str, kind: type[BookUnusable]) -> None:
    told = trouble(Said(code), place_of("postgresql://host/book"))
    assert type(told) is kind
    assert told.exit_code == 3
    assert str(told).startswith("postgresql://host/book: ")


# If this failed, a complaint of SQLite would be told as something else. (codes: Python's sqlite3 module)
@pytest.mark.parametrize(
    ("code", "kind"),
    [
        (sqlite3.SQLITE_FULL, BookFull),
        (sqlite3.SQLITE_BUSY, BookLocked),
        (sqlite3.SQLITE_BUSY_RECOVERY, BookLocked),
        (sqlite3.SQLITE_LOCKED, BookLocked),
        (sqlite3.SQLITE_READONLY, BookReadOnly),
        (sqlite3.SQLITE_READONLY_ROLLBACK, BookReadOnly),
        (sqlite3.SQLITE_CORRUPT, BookDamaged),
        (sqlite3.SQLITE_CORRUPT_INDEX, BookDamaged),
        (sqlite3.SQLITE_NOTADB, BookDamaged),
        (sqlite3.SQLITE_IOERR_CORRUPTFS, BookDamaged),
        (sqlite3.SQLITE_IOERR_FSYNC, BookUnusable),
        (sqlite3.SQLITE_IOERR_READ, BookUnusable),
        (sqlite3.SQLITE_ERROR, BookUnusable),
    ],
)
def test_sqlite_s_codes(code: int, kind: type[BookUnusable], tmp_path: Path) -> None:
    path = tmp_path / "book"
    path.touch()
    error = sqlite3.OperationalError("words")
    error.sqlite_errorcode = code
    told = trouble(error, place_of(path))
    assert type(told) is kind
    assert told.exit_code == 3
    assert str(told).startswith(f"{path}: ")
