"""
Where the files of photographs are: a folder beside a book's file, a table on a server.

A file is named by the hash of what is in it, so it never changes, and books, backups and earlier editions in one folder
share one folder of photographs. One is removed only where somebody asks for that one (`ringtrue.records._erasing`).
See ``docs/decisions/photographs-beside-the-book.md``.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from ringtrue.errors import BookDamaged
from ringtrue.records import _asked, _chain
from ringtrue.records._bodies import (
    ENDINGS,
    ChainBroken,
    Content,
    Photographed,
    PhotographErased,
    PhotographTakenBack,
)
from ringtrue.records._door import Door
from ringtrue.records._place import DATABASE_ERRORS, trouble
from ringtrue.records._sqlite import beside, sync_folder
from ringtrue.records._tables import entries, pictures
from ringtrue.records.erased import Erased
from ringtrue.records.facts import Entry, EntryKind, Picture
from ringtrue.records.outcomes import Finding

if TYPE_CHECKING:
    from sqlalchemy import Connection

FOLDER = "ringtrue-photographs"
"""Beside a book or a backup."""

OF_AN_EXPORT = ".photographs"
"""What the name of the folder that goes with an export ends in: it holds what the export names and nothing else."""

_KINDS = (EntryKind.PHOTOGRAPH, EntryKind.PHOTOGRAPH_TAKEN_BACK, EntryKind.PHOTOGRAPH_ERASED)


@dataclass(frozen=True, slots=True)
class Named:
    """
    A photograph that an entry names.

    Parameters
    ----------
    chain : str
        The test.
    seq : int
        The entry.
    picture : Picture
        The file.
    stands : bool
        It was neither taken back nor erased.
    sealed : str
        Hash of the entry.
    erased : Erased or None
        Who erased its file, when and why; None where nobody did.
    """

    chain: str
    seq: int
    picture: Picture
    stands: bool
    sealed: str = ""
    erased: Erased | None = None


def folder_of(path: Path) -> Path:
    """Return the folder with the photographs of a book, or of a backup."""
    return path.with_name(FOLDER)


def folder_with(path: Path) -> Path:
    """Return the folder with the photographs of an export."""
    return path.with_name(path.name + OF_AN_EXPORT)


def folders_beside(path: Path) -> tuple[Path, ...]:
    """Return the folders in which the photographs of an export or a backup may be."""
    path = path.expanduser().absolute()
    return folder_with(path), folder_of(path)


def name_of(picture: Picture) -> str:
    """Return the name of a photograph's file."""
    return f"{picture.sha256}.{ENDINGS[picture.media_type]}"


# ---------------------------------------------------------------------------------------------- which there are


def named_by(name: str, said: Iterable[tuple[Entry, Content]]) -> list[Named]:
    """
    Find the photographs that the entries of a test name.

    Parameters
    ----------
    name : str
        The test.
    said : iterable of (Entry, Content)
        Each entry, and what it says.

    Returns
    -------
    list of Named
        In the order of the entries.
    """
    kept: dict[int, tuple[Picture, str]] = {}
    back: set[int] = set()
    erased: dict[int, Erased] = {}
    for entry, content in said:
        if isinstance(content, Photographed):
            kept[entry.seq] = content.picture, entry.hash
        elif isinstance(content, PhotographTakenBack):
            back.add(content.photograph)
        elif isinstance(content, PhotographErased):
            erased[content.photograph] = Erased(entry.seq, content.why, entry.who, entry.device, entry.at)
    gone = back | set(erased)
    return [
        Named(name, seq, picture, seq not in gone, sealed, erased.get(seq)) for seq, (picture, sealed) in kept.items()
    ]


def named_in(connection: Connection, test_id: str | None, sha256: str | None = None) -> list[Named]:
    """
    Find the photographs that a book names, damaged entries left out.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    test_id : str or None
        Of one test; None for all of them.
    sha256 : str or None
        Only those whose file has this hash; None for all of them.

    Returns
    -------
    list of Named
        Test by test.
    """
    of_photographs = entries.c.kind.in_([str(kind) for kind in _KINDS])
    wanted = select(*_asked.STORED).where(of_photographs)
    if test_id is not None:
        wanted = wanted.where(entries.c.chain == test_id)
    if sha256 is not None:
        hashed = entries.c.body.contains(f'"sha256":"{sha256}"', autoescape=True)
        wanted = wanted.where(entries.c.chain.in_(select(entries.c.chain).where(of_photographs, hashed)))
    found: dict[str, list[tuple[Entry, Content]]] = {}
    for row in connection.execute(wanted.order_by(entries.c.chain, entries.c.seq)):
        with contextlib.suppress(ChainBroken):
            entry, content = _chain.entry_of(row)
            found.setdefault(entry.chain, []).append((entry, content))
    named = [each for name, said in found.items() for each in named_by(name, said)]
    return [each for each in named if sha256 in {None, each.picture.sha256}]


# ---------------------------------------------------------------------------------------------- in and out


def keep(door: Door, picture: Picture, data: bytes) -> None:
    """
    Put a photograph's file where the book has its files; it is on disk when this returns.

    Parameters
    ----------
    door : Door
        The book.
    picture : Picture
        What it is.
    data : bytes
        The file, whose hash is that of `picture`.

    Raises
    ------
    BookUnusable
        There is no room, or it may not be written there.
    """
    if door.place.path is None:
        door.write(lambda c: keep_on_server(c, picture, data))
        return
    try:
        put(folder_of(door.place.path), picture, data)
    except OSError as error:
        raise trouble(error, door.place) from error


def put(folder: Path, picture: Picture, data: bytes) -> None:
    """
    Put a photograph's file in a folder; one that is there and good stays, one that was damaged is mended.

    Parameters
    ----------
    folder : Path
        Made where it is not there.
    picture : Picture
        What it is.
    data : bytes
        The file.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = folder / name_of(picture)
    if _read(path, picture) is None:
        with beside(path) as fresh:
            flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0)
            with os.fdopen(os.open(fresh, flags, 0o600), "wb") as out:
                out.write(data)
                out.flush()
                _to_disk(out.fileno())
            fresh.replace(path)
    # Whoever put it there may have been stopped before its name was on disk.
    sync_folder(folder)
    sync_folder(folder.parent)


def _to_disk(handle: int) -> None:
    if sys.platform == "darwin":  # there fsync leaves it in the drive's own cache
        import fcntl

        fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
    else:
        os.fsync(handle)


def keep_on_server(connection: Connection, picture: Picture, data: bytes) -> None:
    """Put a photograph's file into the table of a server, or find that it is there."""
    if _on_server(connection, picture) == data:
        return
    connection.execute(delete(pictures).where(pictures.c.sha256 == picture.sha256))
    connection.execute(insert(pictures).values(sha256=picture.sha256, media_type=picture.media_type, bytes=data))


def _on_server(connection: Connection, picture: Picture) -> bytes | None:
    found = connection.execute(select(pictures.c.bytes).where(pictures.c.sha256 == picture.sha256)).scalar_one_or_none()
    return None if found is None else bytes(found)


def fetch(door: Door, picture: Picture) -> bytes | None:
    """
    Return a photograph's file, its hash looked at.

    Parameters
    ----------
    door : Door
        The book.
    picture : Picture
        Which.

    Returns
    -------
    bytes or None
        None when it is not there, or not what was kept.
    """
    if door.place.path is not None:
        return _read(folder_of(door.place.path) / name_of(picture), picture)
    data = door.read(lambda c: _on_server(c, picture))
    return data if data is not None and _is_that(data, picture) else None


def _read(path: Path, picture: Picture) -> bytes | None:
    try:
        with path.open("rb") as stream:
            data = stream.read(picture.size + 1)
    except OSError:
        return None
    return data if _is_that(data, picture) else None


def _is_that(data: bytes, picture: Picture) -> bool:
    return len(data) == picture.size and hashlib.sha256(data).hexdigest() == picture.sha256


def damaged(where: str, picture: Picture, chain: str, seq: int) -> BookDamaged:
    """Return the error for a photograph whose file is missing or is not what was kept."""
    return BookDamaged.of(
        f"{chain}, entry {seq}",
        f"the file of this photograph, {picture.sha256[:16]}, is missing or is not what was kept",
        "put it back from a backup's folder of photographs, keep the same picture once more, or take it off the sheet",
        where,
    )


# ---------------------------------------------------------------------------------------------- checked, carried


def findings(door: Door, test_id: str | None) -> Iterator[Finding]:
    """
    Look at the file of every photograph that is named.

    Parameters
    ----------
    door : Door
        The book. No transaction is held meanwhile, so that nobody waits for it.
    test_id : str or None
        Of one test; None for all of them.

    Yields
    ------
    Finding
        What stands and is missing, or is not what was kept. What was taken back may be gone; what was erased is told,
        and is no damage.
    """

    def look(connection: Connection) -> list[Named]:
        try:
            return named_in(connection, test_id)
        except DATABASE_ERRORS:
            return []  # whoever checks the entries tells of it

    good: dict[Picture, bool] = {}
    named = door.read(look)
    standing = {each.picture for each in named if each.stands}
    for each in named:
        if each.erased is not None:
            back = each.picture not in standing and fetch(door, each.picture) is not None
            yield Finding(each.chain, each.seq, _told_of(each, each.erased, back=back), damage=False)
        if each.stands and each.picture not in good:
            good[each.picture] = fetch(door, each.picture) is not None
        if each.stands and not good[each.picture]:
            says = f"the file of its photograph, {name_of(each.picture)}, is missing or is not what was kept"
            yield Finding(each.chain, each.seq, says)


def _told_of(each: Named, erased: Erased, *, back: bool) -> str:
    told = (
        f"the file of its photograph, {name_of(each.picture)}, was erased on {erased.at[:10]} (UTC) by {erased.who}, "
        f"why: {erased.why}; its hash stays in the chain"
    )
    again = "; the file is here again, perhaps from a backup: `ringtrue book erase-photograph` removes it anew"
    return told + again if back else told


def copy_out(door: Door, named: Iterable[Named], folder: Path) -> tuple[int, tuple[str, ...]]:
    """
    Put photographs of a book into a folder.

    Parameters
    ----------
    door : Door
        The book that has the files.
    named : iterable of Named
        Which.
    folder : Path
        Made when there is one to put there.

    Returns
    -------
    (int, tuple of str)
        How many are in the folder, and of which that stand the file could not be had, as sentences without full stop.
    """
    done: dict[Picture, bool] = {}
    missing = []
    for each in named:
        if each.erased is not None:
            continue
        if each.picture not in done:
            data = fetch(door, each.picture)
            done[each.picture] = data is not None
            if data is not None:
                put(folder, each.picture, data)
        if each.stands and not done[each.picture]:
            missing.append(_not_had(each))
    return sum(done.values()), tuple(missing)


def copy_in(door: Door, named: Iterable[Named], folders: tuple[Path, ...]) -> tuple[int, tuple[str, ...]]:
    """
    Take photographs out of folders into a book.

    Parameters
    ----------
    door : Door
        The book that is to have the files.
    named : iterable of Named
        Which; others in the folders are left alone.
    folders : tuple of Path
        Where they may be.

    Returns
    -------
    (int, tuple of str)
        How many the book has now, and which that stand it has not, as sentences without full stop.
    """
    done: dict[Picture, bool] = {}
    missing = []
    for each in named:
        if each.erased is not None:
            continue
        if each.picture not in done:
            found = (_read(folder / name_of(each.picture), each.picture) for folder in folders)
            data = next((data for data in found if data is not None), None)
            if data is not None:
                keep(door, each.picture, data)
            done[each.picture] = data is not None or fetch(door, each.picture) is not None
        if each.stands and not done[each.picture]:
            missing.append(_not_had(each))
    return sum(done.values()), tuple(missing)


def _not_had(each: Named) -> str:
    return f"the file of the photograph in entry {each.seq} of test {each.chain} is not there, or not what was kept"
