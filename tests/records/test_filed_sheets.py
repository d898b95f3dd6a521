"""A build sheet that is filed before the first test of its engine."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringtrue.errors import InputRefused
from ringtrue.records import Book, Header

STAMP = {"who": "a builder", "device": "shop PC"}
FIRST, SECOND = "[engine]\n", "[engine]\n# again\n"


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return Book.open(tmp_path / "book.ringtrue")


# An engine could not be planned before it was tested.
def test_a_sheet_is_there_before_the_first_test(book: Book) -> None:
    with book:
        filed = book.file_sheet("0417", "Launch six", FIRST, key="a", **STAMP)
        assert (filed.revision, filed.text, filed.tests) == (1, FIRST, ())
        assert [(each.key, each.name, each.tests) for each in book.engines()] == [("0417", "Launch six", 0)]
        test = book.start(Header("0417", "Launch six"), sheet_text=FIRST, key="b", **STAMP)
        assert book.test(test).sheet_revision == 1
        assert book.sheets("0417")[0].tests == (test,)
        assert not list(book.verify())


# A form that was sent twice would make two revisions; a sheet would be in the book and nobody know by whom.
def test_the_same_key_files_once_and_the_log_says_who(book: Book) -> None:
    with book:
        for _ in range(3):
            assert book.file_sheet("0417", "Launch six", FIRST, key="a", **STAMP).revision == 1
        assert book.file_sheet("0417", "Launch six", FIRST, key="b", **STAMP).revision == 1
        assert book.file_sheet("0417", "Launch six", SECOND, key="c", **STAMP).revision == 2
        assert book.file_sheet("0417", "Launch six", FIRST, key="a", **STAMP).revision == 1
        assert [(each.text, each.who) for each in book.events("0417")] == [
            ("build sheet, revision 1", "a builder"),
            ("build sheet, revision 2", "a builder"),
        ]


# A key that stands on one thing would be taken for another; a sheet that no longer holds would be taken for the last.
def test_what_would_be_misunderstood_is_refused(book: Book) -> None:
    with book:
        book.file_sheet("0417", "Launch six", FIRST, key="a", **STAMP)
        book.file_sheet("0417", "Launch six", SECOND, key="b", **STAMP)
        with pytest.raises(InputRefused, match="key"):
            book.file_sheet("0417", "Launch six", "other\n", key="a", **STAMP)
        with pytest.raises(InputRefused, match="revision 1 to the letter, and revision 2 holds"):
            book.file_sheet("0417", "Launch six", FIRST, key="c", **STAMP)
        with pytest.raises(InputRefused, match="NUL"):
            book.file_sheet("0417", "Launch six", "\0", key="d", **STAMP)
        with pytest.raises(InputRefused, match="another engine by that name"):
            book.file_sheet("0999", "Launch six", "x\n", key="e", **STAMP)
        assert [each.revision for each in book.sheets("0417")] == [1, 2]
        assert [each.key for each in book.engines()] == ["0417"]
        assert len(book.events("0417")) == 2
