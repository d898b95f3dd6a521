"""Whether somebody has written into a test, seen without reading it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.records.making import WHO, header, key, pull

from ringtrue.records import Book

if TYPE_CHECKING:
    from pathlib import Path


# If this failed, a screen would not notice what another program has written, or would be told of tests that are none.
def test_heads_move_with_every_entry(book: Book, where: str | Path) -> None:
    one, two = (book.start(header(), sheet_text=None, key=key(), **WHO) for _ in range(2))
    before = book.heads([one, two, "2222-2222"])
    assert before == {one: book.test(one).head, two: book.test(two).head}
    with Book.open(where) as other:
        entry = other.add(one, pull("1", 150), key=key(), **WHO)
    assert book.heads({one, two}) == {one: entry.hash, two: before[two]}
    assert book.heads([]) == {}
