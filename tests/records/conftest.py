"""A book of each kind."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from ringtrue.records import Book

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture(params=["sqlite", "postgresql"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return where a book may be made: a file, then a database."""
    if request.param == "sqlite":
        return str(tmp_path / "a folder" / "bük ?#%41.ringtrue")
    url: str = request.getfixturevalue("postgres_url")
    return url


@pytest.fixture
def book(where: str) -> Iterator[Book]:
    """Yield an empty book."""
    with Book.open(where) as opened:
        yield opened


@pytest.fixture
def file_book(tmp_path: Path) -> Iterator[Book]:
    """Yield an empty book in a file."""
    with Book.open(tmp_path / "book.ringtrue") as opened:
        yield opened
