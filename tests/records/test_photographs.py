"""A photograph is kept once, by its hash, before it is called kept; what is missing or changed is found."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import delete, select, update
from tests.records.making import SHEET, WHO, behind, header, key, photograph, picture, pull, take_pictures, tell

from ringtrue.errors import BookDamaged, BookFull, BookReadOnly, InputRefused, NotInBook
from ringtrue.records import Book, Picture, Shows, _album, _pictures
from ringtrue.records._tables import entries, pictures

if TYPE_CHECKING:
    from collections.abc import Iterator

SOOTY, FACE = b"a sooty plug", b"a gauge face"


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Book]:
    """Yield a second, empty book in a folder of its own."""
    with Book.open(tmp_path / "elsewhere" / "other.ringtrue") as opened:
        yield opened


def started(book: Book) -> str:
    """Begin a test."""
    return book.start(header(), sheet_text=SHEET, key=key(), **WHO)


def file_in(book: Book, data: bytes) -> Path:
    """Return where a book in a file has the file of a photograph."""
    path = book._door.place.path
    assert path is not None
    return _pictures.folder_of(path) / _pictures.name_of(picture(data))


def spoil(book: Book, data: bytes, instead: bytes | None) -> None:
    """Change the file of a photograph behind the book's back, or take it away."""
    if book._door.place.path is not None:
        path = file_in(book, data)
        path.unlink() if instead is None else path.write_bytes(instead)
        return
    where = pictures.c.sha256 == picture(data).sha256
    with behind(book, guards=True) as connection:
        gone = instead is None
        connection.execute(
            delete(pictures).where(where) if gone else update(pictures).where(where).values(bytes=instead)
        )


def of(book: Book, data: bytes) -> bytes:
    """Return what the book gives back of a photograph."""
    return book.photograph(picture(data).sha256)[1]


# If this failed, a photograph would not come back as it was kept, or not with its cylinder.
def test_a_photograph_comes_back(book: Book) -> None:
    test = started(book)
    entry = photograph(book, test, SOOTY, "3", note="sooty on one side")
    (kept,) = book.test(test).photographs
    assert (kept.seq, kept.cylinder, kept.shows, kept.note) == (entry.seq, "3", Shows.PLUG, "sooty on one side")
    assert (kept.picture, kept.for_sheet, kept.taken_back) == (picture(SOOTY), False, "")
    assert (kept.who, kept.device, kept.at) == ("a builder", "shop PC", entry.at)
    assert book.photograph(kept.picture.sha256) == (kept.picture, SOOTY)
    assert book.test(test).test.taken == ()
    assert book.verify() == ()


# If this failed, a photograph sent again after a lost line would stand in the test twice.
def test_the_same_picture_is_kept_once(book: Book) -> None:
    test, once = started(book), key()
    first = photograph(book, test, SOOTY, key=once)
    assert photograph(book, test, SOOTY, key=once) == first
    assert photograph(book, test, SOOTY) == first
    assert len(book.test(test).photographs) == 1
    with pytest.raises(InputRefused, match="says something else"):
        photograph(book, test, FACE, key=once)
    assert len(book.test(test).entries) == 2


# If this failed, one picture of two plugs side by side could be kept with one cylinder only, or would take room twice.
def test_one_picture_of_two_cylinders_is_one_file(book: Book) -> None:
    test = started(book)
    photograph(book, test, SOOTY, "3")
    photograph(book, test, SOOTY, "4")
    assert [each.cylinder for each in book.test(test).photographs] == ["3", "4"]
    assert book.count_photographs() == 1
    if book._door.place.path is not None:
        assert [each.name for each in file_in(book, SOOTY).parent.iterdir()] == [file_in(book, SOOTY).name]


# If this failed, choosing for the sheet could not be undone, or would not say who did it.
def test_choosing_and_taking_back_are_entries(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    chosen = book.choose_photograph(test, seq, for_sheet=True, key=key(), **WHO)
    assert book.test(test).photographs[0].for_sheet
    book.choose_photograph(test, seq, for_sheet=True, key=key(), **WHO)
    assert book.test(test).entries[-1] == chosen
    book.choose_photograph(test, seq, for_sheet=False, key=key(), **WHO)
    assert not book.test(test).photographs[0].for_sheet
    once = key()
    back = book.take_back_photograph(test, seq, why=" shows cylinder 6 ", key=once, **WHO)
    assert book.take_back_photograph(test, seq, why="shows cylinder 6", key=once, **WHO) == back
    (kept,) = book.test(test).photographs
    assert (kept.taken_back, kept.for_sheet) == ("shows cylinder 6", False)
    with pytest.raises(InputRefused, match="was taken back"):
        book.take_back_photograph(test, seq, why="again", key=key(), **WHO)
    with pytest.raises(InputRefused, match="was taken back"):
        book.choose_photograph(test, seq, for_sheet=True, key=key(), **WHO)
    with pytest.raises(NotInBook, match="o test of the book has this photograph"):
        of(book, SOOTY)
    assert photograph(book, test, SOOTY).seq == len(book.test(test).entries)
    assert of(book, SOOTY) == SOOTY
    assert book.verify() == ()


# If this failed, somebody could make a photograph vanish without a word, or take back what was never there.
def test_taking_back_has_a_reason_and_a_target(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    reading = book.add(test, pull("1", 150), key=key(), **WHO).seq
    with pytest.raises(InputRefused, match="has a reason"):
        book.take_back_photograph(test, seq, why=" ", key=key(), **WHO)
    for wrong in (reading, 1, 99):
        with pytest.raises(NotInBook, match="no photograph in it"):
            book.take_back_photograph(test, wrong, why="wrong", key=key(), **WHO)
        with pytest.raises(NotInBook, match="no photograph in it"):
            book.choose_photograph(test, wrong, for_sheet=True, key=key(), **WHO)
    with pytest.raises(NotInBook):
        book.withdraw(test, seq, why="a photograph is no reading", key=key(), **WHO)


# If this failed, what is called kept could be lost with the power: the entry would name a file that was never on disk.
def test_the_file_is_on_disk_before_its_entry(file_book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    test = started(file_book)
    folder = file_in(file_book, SOOTY).parent
    done: list[str] = []
    fsync, replace, keep = os.fsync, Path.replace, _album.keep

    def synced(handle: int) -> None:
        is_folder = stat.S_ISDIR(os.fstat(handle).st_mode)
        inside = os.fstat(handle).st_ino == folder.stat().st_ino if is_folder else False
        done.append(("folder" if inside else "folder above") if is_folder else "file")
        fsync(handle)

    def named(path: Path, target: Path) -> Path:
        done.append("name")
        return replace(path, target)

    def entered(*given: Any, **more: Any) -> object:  # noqa: ANN401 - whatever it takes
        done.append("entry")
        return keep(*given, **more)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(Path, "replace", named)
    monkeypatch.setattr(_album, "keep", entered)
    photograph(file_book, test, SOOTY)
    assert done == ["file", "name", "folder", "folder above", "entry"]
    done.clear()
    photograph(file_book, test, SOOTY)
    assert done == ["folder", "folder above", "entry"]


# If this failed, a full or locked disk would be told as something else, or half a file would stand for a whole one.
@pytest.mark.parametrize(("number", "kind"), [("ENOSPC", BookFull), ("EACCES", BookReadOnly), ("EIO", Exception)])
def test_no_entry_without_its_file(
    file_book: Book, monkeypatch: pytest.MonkeyPatch, number: str, kind: type[Exception]
) -> None:
    import errno

    test = started(file_book)

    def fails(_: int) -> None:
        code = getattr(errno, number)
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(_pictures, "_to_disk", fails)
    with pytest.raises(kind):
        photograph(file_book, test, SOOTY)
    monkeypatch.undo()
    assert book_is_empty_of_photographs(file_book, test)
    assert photograph(file_book, test, SOOTY).seq == 2


def book_is_empty_of_photographs(book: Book, test: str) -> bool:
    """Tell whether nothing of a photograph is left."""
    return not book.test(test).photographs and not list(file_in(book, SOOTY).parent.iterdir())


# If this failed, a test that is not there would leave files behind that nothing names.
def test_nothing_is_left_of_a_photograph_of_no_test(file_book: Book) -> None:
    with pytest.raises(NotInBook):
        photograph(file_book, "k3v9-t2mq", SOOTY)
    assert not file_in(file_book, SOOTY).parent.exists()


# If this failed, a rotten disk would change a plug's picture and nobody would know; or a lost file would go unseen.
@pytest.mark.parametrize("instead", [None, b"", b"a sooty pluG", b"a sooty plug and more", b"an oily plug"])
def test_a_file_that_is_missing_or_changed_is_found(book: Book, instead: bytes | None) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    photograph(book, test, FACE)
    spoil(book, SOOTY, instead)
    for found in (book.verify(), book.verify(test)):
        assert [(each.where, each.seq, each.damage) for each in found] == [(test, seq, True)]
        assert "missing or is not what was kept" in found[0].says
    with pytest.raises(BookDamaged, match="missing or is not what was kept"):
        of(book, SOOTY)
    assert of(book, FACE) == FACE
    photograph(book, test, SOOTY)
    assert (of(book, SOOTY), book.verify()) == (SOOTY, ())


# If this failed, a person on a picture could never be forgotten, however rightly he asked.
def test_a_file_that_was_taken_back_may_be_removed(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    book.take_back_photograph(test, seq, why="a customer is on it", key=key(), **WHO)
    spoil(book, SOOTY, None)
    assert book.verify() == ()


# If this failed, the entry could be made to speak of another picture.
def test_an_entry_that_names_another_picture_is_found(book: Book) -> None:
    test = started(book)
    seq = photograph(book, test, SOOTY).seq
    mine = (entries.c.chain == test) & (entries.c.seq == seq)
    with behind(book) as connection:
        body = connection.execute(select(entries.c.body).where(mine)).scalar_one()
        changed = body.replace(picture(SOOTY).sha256, picture(FACE).sha256)
        connection.execute(update(entries).where(mine).values(body=changed))
    assert any("not what was written" in each.says for each in book.verify())
    with pytest.raises(BookDamaged):
        book.test(test)


# If this failed, an entry from elsewhere could name a file outside the folder of photographs.
@pytest.mark.parametrize(
    "odd",
    [
        Picture("../../../../etc/passwd", "image/jpeg", 1, 1, 1),
        Picture("a" * 64, "image/svg+xml", 1, 1, 1),
        Picture("A" * 64, "image/jpeg", 1, 1, 1),
        Picture("", "image/jpeg", 1, 1, 1),
    ],
)
def test_only_a_hash_names_a_file(file_book: Book, odd: Picture) -> None:
    test = started(file_book)
    with pytest.raises(InputRefused):
        file_book.keep_photograph(test, b"x", odd, cylinder="1", shows=Shows.PLUG, key=key(), **WHO)
    document = exported(file_book, test)
    body = document["chains"][0]["entries"][-1]
    body["body"] = body["body"].replace(picture(SOOTY).sha256, odd.sha256).replace("image/jpeg", odd.media_type)
    with pytest.raises(InputRefused, match="nothing was taken in"):
        file_book.import_(json.dumps(document).encode())


def exported(book: Book, test: str) -> Any:  # noqa: ANN401 - JSON
    """Keep a photograph, and return the test's export."""
    photograph(book, test, SOOTY)
    return json.loads(book.export(test))


# If this failed, a picture sent under another one's hash would be kept as that one.
def test_a_picture_has_the_hash_that_it_is_said_to_have(book: Book) -> None:
    test = started(book)
    with pytest.raises(InputRefused, match="not the one"):
        book.keep_photograph(test, FACE, picture(SOOTY), cylinder="1", shows=Shows.PLUG, key=key(), **WHO)
    assert book.test(test).photographs == ()


# If this failed, a test handed on would lose its photographs, or take along those of other people's engines.
def test_an_export_takes_its_photographs_along(book: Book, other: Book, tmp_path: Path) -> None:
    story = tell(book)
    take_pictures(book, story.test_id)
    stranger = book.start(header("0500", "Green four"), sheet_text=None, key=key(), **WHO)
    photograph(book, stranger, b"another owner's engine", "")
    file = tmp_path / "out" / "test.json"
    file.parent.mkdir()
    file.write_bytes(book.export(story.test_id))
    assert book.export_photographs(file, story.test_id) == (1, ())
    folder = tmp_path / "out" / "test.json.photographs"
    assert [each.name for each in folder.iterdir()] == [_pictures.name_of(picture(SOOTY))]
    done = other.import_(file.read_bytes(), file)
    assert (done.added, done.photographs, done.missing) == ((story.test_id,), 1, ())
    assert (of(other, SOOTY), other.verify()) == (SOOTY, ())
    assert other.test(story.test_id) == book.test(story.test_id)
    assert other.export(story.test_id) == book.export(story.test_id)
    assert other.count_photographs() == 1


# If this failed, an import without its photographs would look complete, or could not be completed later.
def test_an_import_says_which_photographs_are_missing(book: Book, other: Book, tmp_path: Path) -> None:
    test = started(book)
    photograph(book, test, SOOTY)
    file = tmp_path / "test.json"
    file.write_bytes(book.export())
    done = other.import_(file.read_bytes(), file)
    assert (done.added, done.photographs) == ((test,), 0)
    assert done.missing == (f"the file of the photograph in entry 2 of test {test} is not there, or not what was kept",)
    assert [each.damage for each in other.verify()] == [True]
    book.export_photographs(file)
    again = other.import_(file.read_bytes(), file)
    assert (again.added, again.photographs, again.missing) == ((), 1, ())
    assert other.verify() == ()


# If this failed, a file that was changed on its way would be taken in as the photograph.
def test_a_changed_file_is_not_taken_in(book: Book, other: Book, tmp_path: Path) -> None:
    test = started(book)
    photograph(book, test, SOOTY)
    file = tmp_path / "test.json"
    file.write_bytes(book.export())
    book.export_photographs(file)
    (_pictures.folder_with(file) / _pictures.name_of(picture(SOOTY))).write_bytes(b"an oily plug")
    assert len(other.import_(file.read_bytes(), file).missing) == 1
    assert [each.damage for each in other.verify()] == [True]


# If this failed, a backup would be one without the photographs, or would cost the room of all of them every day.
def test_backups_have_the_photographs_and_share_them(book: Book, tmp_path: Path) -> None:
    test = started(book)
    photograph(book, test, SOOTY)
    stick = tmp_path / "stick"
    first = book.backup(stick / "monday.db")
    photograph(book, test, FACE, "")
    second = book.backup(stick / "tuesday.db")
    assert [(each.photographs, each.missing) for each in (first, second)] == [(1, ()), (2, ())]
    assert {each.name for each in stick.iterdir()} == {"monday.db", "tuesday.db", _pictures.FOLDER}
    assert len(list((stick / _pictures.FOLDER).iterdir())) == 2
    new = tmp_path / "new" / "book.ringtrue"
    restored = Book.restore(stick / "tuesday.db", new)
    assert (restored.photographs, restored.lost) == (2, ())
    with Book.open(new, create=False) as back:
        assert (of(back, SOOTY), of(back, FACE), back.verify()) == (SOOTY, FACE, ())


# If this failed, one lost picture would keep a builder from ever backing up his readings again.
def test_a_backup_says_what_it_lacks(book: Book, tmp_path: Path) -> None:
    test = started(book)
    photograph(book, test, SOOTY)
    photograph(book, test, FACE, "")
    spoil(book, SOOTY, None)
    done = book.backup(tmp_path / "stick" / "monday.db")
    assert (done.photographs, len(done.missing)) == (1, 1)
    restored = Book.restore(tmp_path / "stick" / "monday.db", tmp_path / "new" / "book.ringtrue")
    assert restored.photographs == 1
    assert [f"entry 2 of test {test}" in each for each in restored.lost] == [True]


# If this failed, moving from a file to a shared book would leave the photographs behind.
def test_photographs_go_onto_a_server(file_book: Book, postgres_url: str, tmp_path: Path) -> None:
    test = started(file_book)
    photograph(file_book, test, SOOTY)
    file_book.backup(tmp_path / "stick" / "monday.db")
    assert Book.restore(tmp_path / "stick" / "monday.db", postgres_url).photographs == 1
    with Book.open(postgres_url, create=False) as shared:
        assert (of(shared, SOOTY), shared.verify()) == (SOOTY, ())


# If this failed, an earlier ringtrue would read past photographs, and print a sheet that lacks what was chosen for it.
def test_an_export_says_that_it_takes_a_later_edition(file_book: Book) -> None:
    test = started(file_book)
    assert json.loads(file_book.export(test))["edition"] == 1
    photograph(file_book, test, SOOTY)
    assert json.loads(file_book.export(test))["edition"] == 2


# If this failed, a first stroke off a film would not be told from one that was seen at the engine.
def test_a_first_off_a_film_is_marked_and_takes_a_later_edition(book: Book, other: Book) -> None:
    test = started(book)
    seen = pull("1", 150)
    seq = book.add(test, seen, key=key(), **WHO).seq
    body = json.loads(book.test(test).entries[1].body)
    assert "first_from_film" not in body
    assert json.loads(book.export(test))["edition"] == 1
    filmed = pull("1", 150, first_from_film=True)
    book.correct(test, seq, filmed, why="read off my film", key=key(), **WHO)
    assert book.test(test).test.taken == (filmed,)
    assert [(each.name, each.before, each.after) for each in book.test(test).corrections[0].changes] == [
        ("first_from_film", "", "yes")
    ]
    assert json.loads(book.export(test))["edition"] == 2
    other.import_(book.export(test))
    assert other.test(test) == book.test(test)


# If this failed, other people on the shop PC could look at the photographs of every customer's engine.
@pytest.mark.skipif(os.name == "nt", reason="Windows has other rights")
def test_photographs_are_for_their_owner_alone(file_book: Book) -> None:
    photograph(file_book, started(file_book), SOOTY)
    path = file_in(file_book, SOOTY)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


# If this failed, a kill in the middle would leave half a photograph under the name of a whole one.
def test_half_a_file_never_has_its_name(file_book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    test = started(file_book)

    def killed(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(_pictures, "_to_disk", killed)
    with pytest.raises(KeyboardInterrupt):
        photograph(file_book, test, SOOTY)
    assert not file_in(file_book, SOOTY).exists()
