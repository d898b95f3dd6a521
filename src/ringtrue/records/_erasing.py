"""A photograph's file is erased for ever, and what that asks of keeping one. See `ringtrue.records._pictures`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import delete

from ringtrue.records._door import Door
from ringtrue.records._pictures import folder_of, keep_on_server, name_of, named_in, put
from ringtrue.records._place import trouble
from ringtrue.records._sqlite import sync_folder
from ringtrue.records._tables import pictures
from ringtrue.records.facts import Picture

if TYPE_CHECKING:
    from sqlalchemy import Connection


def keep_again(connection: Connection, door: Door, picture: Picture, data: bytes) -> None:
    """
    Put a photograph's file back if somebody erased it since it was put there.

    Parameters
    ----------
    connection : Connection
        Inside the transaction that writes the entry: nobody erases anything meanwhile.
    door, picture, data
        As in `keep`.
    """
    if door.place.path is None:
        keep_on_server(connection, picture, data)
        return
    folder = folder_of(door.place.path)
    if not (folder / name_of(picture)).exists():
        try:
            put(folder, picture, data)
        except OSError as error:
            raise trouble(error, door.place) from error


def erase(door: Door, sha256: str) -> bool:
    """
    Remove the file of a photograph that stands nowhere in the book, and give its room back.

    Parameters
    ----------
    door : Door
        The book.
    sha256 : str
        Its hash.

    Returns
    -------
    bool
        Whether there was a file. One of a photograph that stands is left alone.

    Raises
    ------
    BookUnusable
        It may not be removed.
    """
    path = door.place.path

    def work(connection: Connection) -> bool:
        named = named_in(connection, None, sha256)
        if not named or any(each.stands for each in named):
            return False
        if path is not None:
            return _remove(folder_of(path) / name_of(named[0].picture))
        return connection.execute(delete(pictures).where(pictures.c.sha256 == sha256)).rowcount > 0

    try:
        had = door.write(work)
    except OSError as error:
        raise trouble(error, door.place) from error
    if had and path is None:
        door.sweep(pictures.name)
    return had


def _remove(path: Path) -> bool:
    try:
        path.unlink()
    except FileNotFoundError:
        return False
    sync_folder(path.parent)
    return True
