"""A backup is good when it was read back; a book is put back without losing what stood there before."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import threading
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import OperationalError
from tests.records.making import WHO, behind, file_of, header, key, pull, six_pulls, tell

from ringtrue.errors import BookDamaged, BookLocked, BookUnusable, CannotWrite, InputRefused
from ringtrue.records import Book, Owner, _keeping, _place, _sqlite
from ringtrue.records._place import passes

if TYPE_CHECKING:
    from pathlib import Path


# If this failed, a backup would not be the book.
def test_a_backup_is_put_back(book: Book, tmp_path: Path) -> None:
    story = tell(book)
    book.set_owner("0417", Owner("An Owner"))
    done = book.backup(tmp_path / "kept" / "backup")
    everything = book.export(owners=True)
    assert (done.path, done.tests) == (tmp_path / "kept" / "backup", 2)
    restored = Book.restore(done.path, tmp_path / "new" / "book.ringtrue")
    assert (restored.kept, restored.tests, restored.entries, restored.lost) == (None, 2, done.entries, ())
    with Book.open(restored.where, create=False) as again:
        assert again.export(owners=True) == everything
        assert again.test(story.test_id) == book.test(story.test_id)
        assert again.verify() == ()
    assert {path.name for path in (tmp_path / "new").iterdir()} == {"book.ringtrue"}
    assert {path.name for path in (tmp_path / "kept").iterdir()} == {"backup"}


# If this failed, a shop that moves from a file to a server, or back, would leave its history behind.
def test_a_backup_goes_onto_a_server(file_book: Book, postgres_url: str, tmp_path: Path) -> None:
    tell(file_book)
    file_book.set_owner("0417", Owner("An Owner"))
    everything = file_book.export(owners=True)
    restored = Book.restore(file_book.backup(tmp_path / "backup").path, postgres_url)
    assert (restored.tests, restored.kept) == (2, None)
    with Book.open(postgres_url) as moved:
        assert moved.export(owners=True) == everything
        back = moved.backup(tmp_path / "from the server")
    with pytest.raises(InputRefused, match="a backup goes into an empty one"):
        Book.restore(back.path, postgres_url)
    Book.restore(back.path, tmp_path / "new.ringtrue")
    with Book.open(tmp_path / "new.ringtrue", create=False) as again:
        assert again.export(owners=True) == everything


# If this failed, a backup would take the place of another one, or of something else.
def test_a_backup_never_overwrites(book: Book, tmp_path: Path) -> None:
    (tmp_path / "there").write_text("precious")
    with pytest.raises(CannotWrite, match="file of that name is there already"):
        book.backup(tmp_path / "there")
    assert (tmp_path / "there").read_text() == "precious"
    (tmp_path / "file").touch()
    with pytest.raises(CannotWrite):
        book.backup(tmp_path / "file" / "backup")
    assert sorted(path.name for path in tmp_path.iterdir() if path.name.startswith(".")) == []


# If this failed, damage would be carried from backup to backup until no good one is left.
def test_a_damaged_book_is_not_backed_up(book: Book, tmp_path: Path) -> None:
    story = tell(book)
    with behind(book) as connection:
        connection.exec_driver_sql(f"UPDATE entries SET who = 'another' WHERE chain = '{story.test_id}' AND seq = 3")  # noqa: S608 - our own id
    with pytest.raises(BookDamaged, match="entry 3"):
        book.backup(tmp_path / "backup")
    assert not (tmp_path / "backup").exists()


# If this failed, a reading acknowledged before the backup began would not be in it.
def test_backups_while_others_write(file_book: Book, tmp_path: Path, soaking: bool) -> None:
    test_id = file_book.start(header(), sheet_text=None, key=key(), **WHO)
    acknowledged = [1]
    stop = threading.Event()

    def write() -> None:
        while not stop.is_set():
            acknowledged.append(file_book.add(test_id, pull("1", 150), key=key(), **WHO).seq)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(200 if soaking else 6):
            before = acknowledged[-1]
            done = file_book.backup(tmp_path / f"backup {number}")
            Book.restore(done.path, tmp_path / "restored")
            with Book.open(tmp_path / "restored", create=False) as restored:
                assert len(restored.test(test_id).entries) >= before
                assert restored.verify() == ()
            for left in tmp_path.glob("restored*"):
                left.unlink()
    finally:
        stop.set()
        writer.join()
    assert file_book.verify() == ()


# If this failed, the backup would be no better than a copy of the file: here is a moment at which the copy is spoilt.
def test_a_copy_of_the_file_is_no_backup(file_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_place, "WAIT_S", 0.2)
    test_id = file_book.start(header(), sheet_text=None, key=key(), **WHO)
    file_book.add_all(test_id, six_pulls() * 20, key=key(), **WHO)
    with contextlib.closing(sqlite3.connect(file_of(file_book), isolation_level=None)) as other:
        other.execute("PRAGMA cache_size = 1")  # so that half of a long transaction is in the file already
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE chains SET length = length + 1")
        other.execute("CREATE TABLE filler AS SELECT * FROM entries, (SELECT 1 UNION SELECT 2)")
        shutil.copyfile(file_of(file_book), tmp_path / "copy")
        with pytest.raises(BookLocked):
            file_book.backup(tmp_path / "backup")
        other.execute("ROLLBACK")
    with pytest.raises(BookDamaged), Book.open(tmp_path / "copy", create=False) as copied:  # control
        copied.test(test_id)
    file_book.backup(tmp_path / "backup")
    assert file_book.verify() == ()


# If this failed, putting a backup back would throw away the only file that still has the last readings.
def test_the_earlier_file_is_kept_and_the_loss_is_told(file_book: Book, tmp_path: Path) -> None:
    first = file_book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    backup = file_book.backup(tmp_path / "backup").path
    file_book.correct(first, 2, pull("1", 155), why="misread", key=key(), **WHO)
    second = file_book.enter(header(), six_pulls()[:3], sheet_text=None, key=key(), **WHO)
    path = file_of(file_book)
    everything = file_book.export()
    restored = Book.restore(backup, path)
    assert restored.kept == path.with_name("book.ringtrue.before-restore")
    assert sorted(restored.lost) == sorted(
        [f"{first}: the backup lacks 1 of its 9 entries", f"{second}: the backup lacks 5 of its 5 entries"]
    )
    assert [each.test_id for each in file_book.tests()] == [first]
    with Book.open(restored.kept, create=False) as earlier:
        assert earlier.export() == everything
        assert file_book.import_(earlier.export()).entries == 6
    assert file_book.export() == everything
    assert Book.restore(backup, path).kept == path.with_name("book.ringtrue.before-restore-2")


# If this failed, a ruined book would have to be removed by hand before the backup could take its place.
@pytest.mark.parametrize("ruin", ["page", "start", "emptied", "other file", "gone", "entry"])
def test_a_ruined_book_is_put_back(file_book: Book, tmp_path: Path, ruin: str) -> None:
    story = tell(file_book)
    everything = file_book.export()
    backup = file_book.backup(tmp_path / "backup").path
    path = file_of(file_book)
    raw = bytearray(path.read_bytes())
    match ruin:
        case "page":
            page = raw.index(b'"final":{"pressure":') // 4096 * 4096
            raw[page : page + 4096] = bytes(4096)
        case "start":
            raw[:100] = bytes(100)
        case "emptied":
            raw.clear()
        case "other file":
            raw[:] = b"something else"
        case "entry":
            place = raw.index(b'"final":{"pressure":')
            raw[place + 21] ^= 1
    path.write_bytes(raw)
    if ruin == "gone":
        path.unlink()
    else:
        with pytest.raises(BookUnusable), Book.open(path) as ruined:
            ruined.test(story.test_id)
    restored = Book.restore(backup, path)
    assert file_book.export() == everything
    assert file_book.verify() == ()
    if ruin == "gone":
        assert (restored.kept, restored.lost) == (None, ())
    else:
        assert restored.kept is not None
        assert restored.kept.read_bytes() == raw
        assert "what was entered after the backup was made is lost" in " ".join(restored.lost)


# If this failed, a bad backup would take the place of a book that is better than it.
@pytest.mark.parametrize("raw", [b"", b"something else", b'{"format": "ringtrue record book"}', bytes(4096)])
def test_what_is_no_backup_changes_nothing(file_book: Book, tmp_path: Path, raw: bytes) -> None:
    tell(file_book)
    before = file_of(file_book).read_bytes()
    (tmp_path / "backup").write_bytes(raw)
    with pytest.raises(InputRefused, match=r"no (backup|export) of a record book"):
        Book.restore(tmp_path / "backup", file_of(file_book))
    with pytest.raises(InputRefused, match="There is no such file"):
        Book.restore(tmp_path / "none", file_of(file_book))
    with pytest.raises(InputRefused, match="This is the book itself"):
        Book.restore(file_of(file_book), file_of(file_book))
    assert file_of(file_book).read_bytes() == before
    assert {path.name for path in tmp_path.iterdir()} == {"backup", "book.ringtrue"}


# If this failed, a backup that went bad in the drawer would be put back unseen.
def test_a_damaged_backup_changes_nothing(file_book: Book, tmp_path: Path) -> None:
    tell(file_book)
    backup = file_book.backup(tmp_path / "backup").path
    raw = bytearray(backup.read_bytes())
    place = raw.index(b'"final":{"pressure":')
    raw[place + 21] ^= 1
    backup.write_bytes(raw)
    before = file_of(file_book).read_bytes()
    with pytest.raises(BookDamaged, match=r"It is not whole.*an earlier backup"):
        Book.restore(backup, file_of(file_book))
    assert file_of(file_book).read_bytes() == before
    assert {path.name for path in tmp_path.iterdir()} == {"backup", "book.ringtrue"}


# If this failed, a program that runs on while a backup is put back would write into the file that was put aside.
def test_a_running_program_goes_on_with_the_restored_book(file_book: Book, tmp_path: Path) -> None:
    test_id = file_book.start(header(), sheet_text=None, key=key(), **WHO)
    backup = file_book.backup(tmp_path / "backup").path
    path = file_of(file_book)
    opened = _sqlite.connect(path)
    with contextlib.closing(opened):
        kept = Book.restore(backup, path).kept
        assert kept is not None
        opened.execute("BEGIN IMMEDIATE")
        with pytest.raises(sqlite3.OperationalError) as caught:
            opened.execute("UPDATE chains SET length = length + 1")
        assert passes(OperationalError("", None, caught.value))  # so that the whole transaction is done again
    before = kept.read_bytes()
    assert file_book.add(test_id, pull("1", 150), key=key(), **WHO).seq == 2
    assert kept.read_bytes() == before


# If this failed, a program in mid-transaction would lose it to the restoring.
def test_a_book_in_use_is_not_exchanged(file_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_place, "WAIT_S", 0.2)
    tell(file_book)
    backup = file_book.backup(tmp_path / "backup").path
    with contextlib.closing(sqlite3.connect(file_of(file_book), isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookLocked):
            Book.restore(backup, file_of(file_book))
    assert not list(tmp_path.glob("*before-restore*"))


# If this failed, a journal left by a crash would be played into the restored book, and spoil it.
def test_a_journal_goes_with_its_file(file_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tell(file_book)
    everything = file_book.export()
    backup = file_book.backup(tmp_path / "backup").path
    path = file_of(file_book)
    raw = bytearray(path.read_bytes())
    raw[:16] = bytes(16)
    path.write_bytes(raw)
    path.with_name("book.ringtrue-journal").write_bytes(b"journal of the earlier file")
    # SQLite plays a journal when it looks at a file; here it does not come to that.
    monkeypatch.setattr(_keeping, "_lost", lambda *_: ())
    monkeypatch.setattr(_sqlite, "held_alone", lambda _: contextlib.nullcontext())
    kept = Book.restore(backup, path).kept
    assert kept is not None
    assert kept.with_name(f"{kept.name}-journal").read_bytes() == b"journal of the earlier file"
    assert file_book.export() == everything


# If this failed, a stick without hard links would take no book.
def test_a_file_system_without_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(_source: object, _target: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    with Book.open(tmp_path / "book.ringtrue") as book:
        test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
        backup = book.backup(tmp_path / "backup").path
        with pytest.raises(CannotWrite, match="there already"):
            book.backup(tmp_path / "backup")
        restored = Book.restore(backup, tmp_path / "book.ringtrue")
        assert restored.kept == tmp_path / "book.ringtrue.before-restore"
        assert book.test(test_id).test.taken == ()


# If this failed, a backup on a server's disk that is at its end would be called good.
def test_a_backup_that_cannot_be_written(book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tell(book)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(_sqlite, "put_in_place", full)
    with pytest.raises(CannotWrite, match="No space left on device"):
        book.backup(tmp_path / "backup")
    assert not (tmp_path / "backup").exists()
