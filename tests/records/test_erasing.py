"""A photograph's file can be erased for ever: the picture is gone, and the record says when, by whom and why."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select
from tests.records.making import SHEET, WHO, behind, header, key, photograph, picture
from tests.records.test_photographs import FACE, SOOTY, file_in, of, spoil, started

from ringtrue.errors import BookReadOnly, InputRefused, NotInBook
from ringtrue.records import Book, _erasing, _pictures
from ringtrue.records._tables import pictures
from ringtrue.records.facts import EntryKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ringtrue.records import Entry, Picture
    from ringtrue.records._door import Door

WHY = "the owner asked for it"


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Book]:
    """Yield a second, empty book in a folder of its own."""
    with Book.open(tmp_path / "elsewhere" / "other.ringtrue") as opened:
        yield opened


def erase(book: Book, test: str, seq: int, **more: str) -> tuple[Entry, tuple[Entry, ...], bool]:
    """Erase a photograph."""
    said: dict[str, Any] = {"why": WHY, "key": key(), **WHO, **more}
    return book.erase_photograph(test, seq, **said)


def is_there(book: Book, data: bytes) -> bool:
    """Tell, behind the book's back, whether it has the file of a photograph."""
    if book._door.place.path is not None:
        return file_in(book, data).exists()
    with behind(book, guards=True) as connection:
        wanted = select(pictures.c.sha256).where(pictures.c.sha256 == picture(data).sha256)
        return connection.execute(wanted).first() is not None


# If this failed, a person on a picture could not be forgotten; or the record would not say who made it forget; or a
# book from which somebody rightly erased a picture would be called damaged.
def test_the_picture_goes_and_the_record_stays(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY, for_sheet=True).seq
    photograph(book, test, FACE)
    before = book.test(test).entries
    made, also, had = erase(book, test, seq, why=f" {WHY} ")
    assert (made.kind, also, had) == (EntryKind.PHOTOGRAPH_ERASED, (), True)
    assert not is_there(book, SOOTY)
    recorded = book.test(test)
    assert recorded.entries == (*before, made)
    gone, face = recorded.photographs
    assert gone.picture == picture(SOOTY)
    assert gone.erased is not None
    assert (gone.erased.seq, gone.erased.why, gone.erased.who, gone.erased.at) == (
        made.seq,
        WHY,
        "a builder",
        made.at,
    )
    assert (gone.for_sheet, gone.taken_back, face.erased) == (False, WHY, None)
    with pytest.raises(NotInBook, match="o test of the book has this photograph"):
        of(book, SOOTY)
    assert of(book, FACE) == FACE
    assert (book.count_photographs(), book.count_photographs(test)) == (1, 1)
    for found in (book.verify(), book.verify(test)):
        assert [(each.where, each.seq, each.damage) for each in found] == [(test, seq, False)]
        assert f"was erased on {made.at[:10]} (UTC) by a builder, why: {WHY}; its hash stays" in found[0].says
        assert "again" not in found[0].says


# If this failed, a picture that was taken back would be beyond erasing, which is what most want to erase.
def test_one_that_was_taken_back_is_erased_too(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    book.take_back_photograph(test, seq, why="a customer is on it", key=key(), **WHO)
    assert erase(book, test, seq)[2]
    assert not is_there(book, SOOTY)
    (gone,) = book.test(test).photographs
    assert gone.erased is not None
    assert (gone.taken_back, gone.erased.why) == ("a customer is on it", WHY)


# If this failed, the same picture would stay in the book under another cylinder or engine, or be called damage there.
def test_it_goes_wherever_the_book_has_it(book: Book) -> None:
    test = started(book)
    second = book.start(header("0500", "Green four"), sheet_text=SHEET, key=key(), **WHO)
    seq = photograph(book, test, SOOTY, "3").seq
    photograph(book, test, SOOTY, "4")
    far = photograph(book, second, SOOTY, "1")
    photograph(book, second, FACE, "1")
    _, also, had = erase(book, test, seq)
    assert had
    assert {(each.chain, json.loads(each.body)["photograph"]) for each in also} == {(test, seq + 1), (second, far.seq)}
    assert [each.erased is None for each in book.test(test).photographs] == [False, False]
    assert [each.erased is None for each in book.test(second).photographs] == [False, True]
    assert [each.damage for each in book.verify()] == [False, False, False]
    assert of(book, FACE) == FACE


# If this failed, a picture could be made to vanish without a word, or a slip of the number would erase something else.
def test_erasing_has_a_reason_and_a_target(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    with pytest.raises(InputRefused, match="which stays"):
        erase(book, test, seq, why=" ")
    for wrong in (1, 99):
        with pytest.raises(NotInBook, match="no photograph in it"):
            erase(book, test, wrong)
    with pytest.raises(NotInBook, match="no such test"):
        erase(book, "k3v9-t2mq", seq)
    assert of(book, SOOTY) == SOOTY
    assert len(book.test(test).entries) == 2


# If this failed, what was sent again after a lost line would be written twice, or would erase what was kept since.
def test_erasing_twice_is_erasing_once(book: Book) -> None:
    test, once = started(book), key()
    seq = photograph(book, test, SOOTY).seq
    made, _, had = erase(book, test, seq, key=once)
    assert had
    assert erase(book, test, seq, key=once) == (made, (), False)
    assert erase(book, test, seq) == (made, (), False)
    with pytest.raises(InputRefused, match=f"was erased on {made.at[:10]}"):
        book.take_back_photograph(test, seq, why="again", key=key(), **WHO)
    with pytest.raises(InputRefused, match=f"was erased on {made.at[:10]}"):
        book.choose_photograph(test, seq, for_sheet=True, key=key(), **WHO)
    anew = photograph(book, test, SOOTY)
    assert anew.seq == made.seq + 1
    assert erase(book, test, seq, key=once) == (made, (), False)
    assert of(book, SOOTY) == SOOTY
    assert [each.damage for each in book.verify()] == [False]


# If this failed, a phone that had not heard that its photograph was kept would bring an erased one back by sending it.
def test_a_photograph_sent_once_more_does_not_come_back(book: Book) -> None:
    test, once = started(book), key()
    first = photograph(book, test, SOOTY, key=once)
    erase(book, test, first.seq)
    assert photograph(book, test, SOOTY, key=once) == first
    assert not is_there(book, SOOTY)


# If this failed, a photograph kept at the moment in which another erases the same picture would stand without a file.
def test_kept_while_it_is_erased(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    test = started(book)
    first = photograph(book, test, SOOTY, "3")
    keep = _pictures.keep

    def erased_just_now(door: Door, kept: Picture, data: bytes) -> None:
        keep(door, kept, data)
        spoil(book, SOOTY, None)

    erase(book, test, first.seq)
    monkeypatch.setattr(_pictures, "keep", erased_just_now)
    photograph(book, test, SOOTY, "4")
    assert of(book, SOOTY) == SOOTY
    assert not any(each.damage for each in book.verify())


# If this failed, the power going off in the middle would leave a picture that everybody takes for erased.
def test_a_file_that_is_still_there_is_told_and_goes_at_the_next_try(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq

    def off(*_: object) -> bool:
        raise KeyboardInterrupt

    with monkeypatch.context() as stopped:
        stopped.setattr(_erasing, "erase", off)
        with pytest.raises(KeyboardInterrupt):
            erase(book, test, seq)
    assert is_there(book, SOOTY)
    (found,) = book.verify()
    assert (found.damage, "the file is here again" in found.says) == (False, True)
    assert "book erase-photograph" in found.says
    with pytest.raises(NotInBook):
        of(book, SOOTY)
    assert erase(book, test, seq)[1:] == ((), True)
    assert not is_there(book, SOOTY)
    assert "again" not in book.verify()[0].says


# If this failed, a folder that may not be written would end in a traceback, or in a picture that is only called gone.
def test_a_folder_that_may_not_be_written(file_book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    test = started(file_book)
    seq = photograph(file_book, test, SOOTY).seq

    def locked(_: Path) -> None:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as shut:
        shut.setattr(Path, "unlink", locked)
        with pytest.raises(BookReadOnly):
            erase(file_book, test, seq)
    assert is_there(file_book, SOOTY)
    assert erase(file_book, test, seq)[2]
    assert not is_there(file_book, SOOTY)


# If this failed, an erased picture would go out with an export or a backup, come back with an import, or be missed.
def test_exports_and_backups_after_it_are_without(book: Book, other: Book, tmp_path: Path) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    photograph(book, test, FACE)
    early = tmp_path / "early.json"
    early.write_bytes(book.export(test))
    assert book.export_photographs(early, test) == (2, ())
    erase(book, test, seq)
    late = tmp_path / "late.json"
    late.write_bytes(book.export(test))
    assert json.loads(late.read_bytes())["edition"] == 3
    assert book.export_photographs(late, test) == (1, ())
    done = book.backup(tmp_path / "stick" / "monday.db")
    assert (done.photographs, done.missing) == (1, ())
    # Beside the later export lies the folder of the earlier one, in which the picture still is.
    _pictures.folder_with(early).rename(_pictures.folder_of(late))
    taken = other.import_(late.read_bytes(), late)
    assert (taken.added, taken.photographs, taken.missing) == ((test,), 1, ())
    assert not is_there(other, SOOTY)
    assert [each.damage for each in other.verify()] == [False]
    assert other.export(test) == book.export(test)


# If this failed, a book that already had the test would not learn of the erasing with the next export, or would call it
# damage; what it says is that the file it has is here still, and how it goes.
def test_another_book_learns_of_it(book: Book, other: Book, tmp_path: Path) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    file = tmp_path / "test.json"
    file.write_bytes(book.export(test))
    book.export_photographs(file, test)
    other.import_(file.read_bytes(), file)
    erase(book, test, seq)
    assert other.import_(book.export(test), None).extended == (test,)
    (found,) = other.verify()
    assert (found.damage, "the file is here again" in found.says) == (False, True)
    with pytest.raises(NotInBook):
        of(other, SOOTY)
    assert erase(other, test, seq)[1:] == ((), True)
    assert not is_there(other, SOOTY)


# If this failed, a backup made earlier would not bring back what it holds, and we say that it does.
def test_a_backup_made_earlier_brings_it_back(file_book: Book, tmp_path: Path) -> None:
    test = started(file_book)
    seq = photograph(file_book, test, SOOTY).seq
    backup = tmp_path / "stick" / "monday.db"
    file_book.backup(backup)
    erase(file_book, test, seq)
    where = str(file_book._door.place.path)
    file_book.close()
    Book.restore(backup, where)
    with Book.open(where) as again:
        assert (of(again, SOOTY), again.verify()) == (SOOTY, ())
        assert erase(again, test, seq)[2]
        assert not is_there(again, SOOTY)
