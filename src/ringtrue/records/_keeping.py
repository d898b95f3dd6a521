"""Backups that were read back, and the way a book is put in place again."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from ringtrue.errors import BookDamaged, BookLocked, BookUnusable, CannotWrite, Fault, InputRefused
from ringtrue.records import _check, _document, _pictures, _postgres, _sqlite
from ringtrue.records._door import Door
from ringtrue.records._pictures import Named
from ringtrue.records._place import DATABASE_ERRORS, Place, trouble
from ringtrue.records.outcomes import BackedUp, Restored

_SQLITE_MAGIC = b"SQLite format 3\0"


def backup(door: Door, path: Path) -> BackedUp:
    """
    Write a backup and read it back; it gets its name only when it is good.

    Parameters
    ----------
    door : Door
        The book.
    path : Path
        A file that is not there yet.

    Returns
    -------
    BackedUp
        What is in it.

    Raises
    ------
    CannotWrite
        The file is there already, or cannot be written.
    """
    path = path.expanduser().absolute()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with _sqlite.beside(path) as fresh:
            held, named = _written(door, fresh)
            photographs, missing = _pictures.copy_out(door, named, _pictures.folder_of(path))
            _sqlite.put_in_place(fresh, path)
    except FileExistsError as error:
        why = "a file of that name is there already"
        raise CannotWrite.of(str(path), why, "give the backup another name, such as one with the date in it") from error
    except OSError as error:
        raise CannotWrite.of(str(path), f"the system says: {error.strerror or error}", "name another folder") from error
    return BackedUp(path, *held, photographs, missing)


def _written(door: Door, fresh: Path) -> tuple[tuple[int, int], list[Named]]:
    if door.place.path is not None:
        try:
            _sqlite.copy(door.place.path, fresh)
        except DATABASE_ERRORS as error:
            raise trouble(error, door.place) from error
        with _opened(fresh) as copied:
            return _held_by(copied, f"{door}: no backup was written, for the book is not whole"), _named_in(copied)
    document = door.read(lambda c: _document.export(c, None, str(door), owners=True))
    flags = os.O_CREAT | os.O_EXCL | os.O_RDWR | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(fresh, flags, 0o600), "wb") as out:
        out.write(document)
        out.flush()
        os.fsync(out.fileno())
    with _sqlite.beside(fresh) as trial:
        _fill(trial, fresh.read_bytes())
        with _opened(trial) as filled:
            if filled.read(lambda c: _document.export(c, None, str(door), owners=True)) != document:
                raise BookDamaged.of("", "the backup did not read back as it was written", "do it again", str(door))
            return _held_by(filled, f"{door}: no backup was written, for the book is not whole"), _named_in(filled)


def _named_in(door: Door) -> list[Named]:
    return door.read(lambda c: _pictures.named_in(c, None))


_AS_IT_WAS = "the book is as it was"


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[Door]:
    door = _sqlite.open_file(Place(path, None), create=False)
    try:
        yield door
    finally:
        door.close()


def _checked(document: bytes) -> _document.Checked:
    """Check an export that is to be a book again; what is wrong with it is told of a restore."""
    try:
        return _document.checked(document)
    except InputRefused as error:
        if not document.lstrip().startswith(b"{"):
            why = "this is no backup of a record book"
            raise InputRefused.of(
                "", why, f"name a file that ringtrue book backup or ringtrue book export wrote; {_AS_IT_WAS}", "restore"
            ) from error
        told = (Fault(fault.given, fault.why, f"name another one; {_AS_IT_WAS}", "restore") for fault in error.faults)
        raise InputRefused(*told) from error


def _fill(path: Path, document: bytes) -> None:
    checked = _checked(document)
    _sqlite.new_file(path)
    with _opened(path) as door:
        door.write(lambda c: _document.take_in(c, checked, str(path)))


def _held_by(door: Door, what: str) -> tuple[int, int]:
    damage = [finding for finding in door.read(lambda c: tuple(_check.check_book(c))) if finding.damage]
    if damage:
        why = f"it is not whole: {damage[0]}"
        raise BookDamaged.of("", why, "put back an earlier backup with `ringtrue book restore`", what)
    return door.read(_check.counts)


# ---------------------------------------------------------------------------------------------- and back


def restore(backup: Path, place: Place) -> Restored:
    """
    Put a backup in a book's place.

    Parameters
    ----------
    backup : Path
        From `backup`, or an export.
    place : Place
        The book: a file, or an empty database on a server.

    Returns
    -------
    Restored
        What it holds, and what is lost.

    Raises
    ------
    InputRefused
        There is no such backup, or it is the book itself.
    CannotWrite
        The book's folder cannot be written.
    """
    backup = backup.expanduser().absolute()
    if not backup.is_file():
        raise InputRefused.of(str(backup), "there is no such file", "name a backup", "backup")
    if place.path is not None and place.path.exists() and place.path.samefile(backup):
        raise InputRefused.of(str(backup), "this is the book itself", "name a backup of it", "backup")
    if place.path is None:
        return _restore_server(backup, place)
    try:
        place.path.parent.mkdir(parents=True, exist_ok=True)
        with _sqlite.beside(place.path) as fresh:
            held, lengths, named = _made_from(backup, fresh)
            lost = _lost(place, lengths) if place.path.exists() else ()
            # In its folder before the book that names them is in its place.
            mine = Door(_sqlite.engine_of(fresh), place)
            photographs, missing = _pictures.copy_in(mine, named, _pictures.folders_beside(backup))
            kept = _exchange(fresh, place)
    except DATABASE_ERRORS as error:
        raise trouble(error, place) from error
    except OSError as error:
        raise CannotWrite.of(
            str(place), f"the system says: {error.strerror or error}", "name another folder"
        ) from error
    return Restored(str(place), kept, *held, (*lost, *missing), photographs)


def _made_from(backup: Path, fresh: Path) -> tuple[tuple[int, int], dict[str, int], list[Named]]:
    with backup.open("rb") as start:
        is_file = start.read(len(_SQLITE_MAGIC)) == _SQLITE_MAGIC
    if is_file:
        shutil.copyfile(backup, fresh)
        fresh.chmod(0o600)
    else:
        _fill(fresh, backup.read_bytes())
    with _opened(fresh) as door:
        held = _held_by(door, f"backup {backup}")
        lengths, named = door.read(_check.lengths), _named_in(door)
    for copied in list(fresh.parent.iterdir()):
        if copied.name.startswith(f"{fresh.name}.before-"):  # of an older backup; it is itself the copy
            copied.unlink()
    return held, lengths, named


def _lost(place: Place, restored: dict[str, int]) -> tuple[str, ...]:
    """Compare with the file that stood there, as far as it can be read."""
    beyond = "what was entered after the backup was made is lost, unless it stands in the earlier file or on paper"
    assert place.path is not None  # noqa: S101 - whoever calls has asked
    try:
        with _opened(place.path) as door:
            damage = [str(each) for each in door.read(lambda c: tuple(_check.check_book(c))) if each.damage]
            had = door.read(_check.lengths)
    except BookLocked:
        raise
    except BookUnusable as error:
        return (f"the earlier file cannot be read ({error.faults[0].why}): {beyond}",)
    lost = [
        f"{name}: the backup lacks {count - restored.get(name, 0)} of its {count} entries"
        for name, count in sorted(had.items(), key=str)
        if count > restored.get(name, 0)
    ]
    if damage:
        lost.append(f"the earlier file is not whole ({damage[0].rstrip('.')}): {beyond}")
    return tuple(lost)


def _exchange(fresh: Path, place: Place) -> Path | None:
    """Keep the earlier file under another name, and give its name to the new one; at no time is there no book."""
    path = place.path
    assert path is not None  # noqa: S101 - whoever calls has asked
    if not path.exists():
        _sqlite.put_in_place(fresh, path)
        return None
    kept = _sqlite.free_name(path, "before-restore")
    with _sqlite.held_alone(path) as holder:
        if os.name == "nt":
            holder.close()  # an open file cannot be renamed there
        journal = path.with_name(f"{path.name}-journal")
        if journal.exists():  # it belongs to the earlier file and would ruin the new one
            journal.rename(kept.with_name(f"{kept.name}-journal"))
        try:
            os.link(path, kept)
        except OSError:  # a file system without links
            path.rename(kept)
        fresh.replace(path)
        _sqlite.sync_folder(path.parent)
    return kept


def _restore_server(backup: Path, place: Place) -> Restored:
    with backup.open("rb") as start:
        is_file = start.read(len(_SQLITE_MAGIC)) == _SQLITE_MAGIC
    raw = _document_of(backup) if is_file else backup.read_bytes()
    checked = _checked(raw)
    door = _postgres.open_server(place, create=True)
    try:
        if door.read(_check.counts) != (0, 0):
            why = "there is a book in this database already, and a backup goes into an empty one"
            raise InputRefused.of(str(place), why, "make a new database with createdb, and name that", "--book")
        named = _document.photographs_of(checked)
        photographs, missing = _pictures.copy_in(door, named, _pictures.folders_beside(backup))
        door.write(lambda c: _document.take_in(c, checked, str(door)))
        held = _held_by(door, str(door))
    finally:
        door.close()
    return Restored(str(place), None, *held, missing, photographs)


def _document_of(backup: Path) -> bytes:
    with _sqlite.beside(backup) as copied:
        _made_from(backup, copied)
        with _opened(copied) as door:
            return door.read(lambda c: _document.export(c, None, str(backup), owners=True))
