"""The part of a book that is about photographs."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused, NotInBook
from ringtrue.records import _album, _erasing, _pictures, _write
from ringtrue.records._bodies import Photographed
from ringtrue.records._chain import Stamp
from ringtrue.records._registers import Registers
from ringtrue.records.facts import Entry, Picture, Shows

if TYPE_CHECKING:
    from sqlalchemy import Connection


class Photographs(Registers):
    """
    A book, with its photographs.

    Parameters
    ----------
    door : Door
        From `Kept.open`; not made by hand.
    """

    def keep_photograph(  # noqa: PLR0913 - three of them say who, on what, and once only
        self,
        test_id: str,
        data: bytes,
        picture: Picture,
        *,
        cylinder: str,
        shows: Shows,
        key: str,
        who: str,
        device: str,
        note: str = "",
        for_sheet: bool = False,
    ) -> Entry:
        """
        Keep a photograph with a cylinder. Its file is on disk before the entry that names it is written.

        Parameters
        ----------
        test_id : str
            The test, finished or not.
        data : bytes
            The file, to the byte.
        picture : Picture
            What it is.
        cylinder : str
            Whose; empty for the whole engine.
        shows : Shows
            What it shows.
        key, who, device : str
            As in `Entry`.
        note : str
            Free text.
        for_sheet : bool
            It is to stand on the hand-over sheet.

        Returns
        -------
        Entry
            As it stands in the book; the same key, or the same picture of the same thing, gives the same entry.

        Raises
        ------
        InputRefused
            The file is not the one that `picture` names.
        """
        stamp = Stamp(key, who, device)
        if (hashlib.sha256(data).hexdigest(), len(data)) != (picture.sha256, picture.size):
            raise InputRefused.of(picture.sha256, "the picture is not the one that this names", "send it anew")
        content = Photographed(cylinder, shows, picture, note, for_sheet)
        # Looked for first, so that no file is left behind for a test that is not there.
        self._door.read(lambda c: _write.loaded(c, test_id, self.where))
        if self._door.read(lambda c: _album.was_erased(c, key, self.where)) is None:  # a phone that sends it once more
            _pictures.keep(self._door, picture, data)

        def enter(connection: Connection) -> Entry:
            entry = _album.keep(connection, test_id, content, stamp, self.where)
            if _album.was_erased(connection, key, self.where) is None:
                _erasing.keep_again(connection, self._door, picture, data)
            return entry

        return self._door.write(enter)

    def choose_photograph(self, test_id: str, seq: int, *, for_sheet: bool, key: str, who: str, device: str) -> Entry:
        """
        Say that a photograph is to stand on the hand-over sheet, or no more.

        Parameters
        ----------
        test_id : str
            The test.
        seq : int
            The entry that holds it, from ``Recorded.photographs``.
        for_sheet : bool
            Whether it is to stand there.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            The entry that says so.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _album.choose(c, test_id, seq, stamp, self.where, for_sheet=for_sheet))

    def take_back_photograph(self, test_id: str, seq: int, *, why: str, key: str, who: str, device: str) -> Entry:
        """
        Take a photograph back: its entry stays in the book and it stands no more.

        Parameters
        ----------
        test_id : str
            The test.
        seq : int
            The entry that holds it, from ``Recorded.photographs``.
        why : str
            The reason.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            The entry that says so.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _album.take_back(c, test_id, seq, why, stamp, self.where))

    def erase_photograph(
        self, test_id: str, seq: int, *, why: str, key: str, who: str, device: str
    ) -> tuple[Entry, tuple[Entry, ...], bool]:
        """
        Erase a photograph's file for ever; the chain keeps its hash, and says when, by whom and why it was erased.

        The same picture is erased wherever a test of this book names it. Backups, exports and sheets made earlier
        still have it.

        Parameters
        ----------
        test_id : str
            The test.
        seq : int
            The entry that holds it, from ``Recorded.photographs``; it may have been taken back before.
        why : str
            The reason.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        (Entry, tuple of Entry, bool)
            The entry that says so, an earlier one where it was erased before; those that say so of the same picture
            elsewhere; and whether there was a file.

        Raises
        ------
        InputRefused
            There is no reason.
        NotInBook
            There is no such photograph.
        BookUnusable
            The file may not be removed; what was written stays, and erasing it once more tries again.
        """
        stamp = Stamp(key, who, device)
        done = self._door.write(lambda c: _album.erase(c, test_id, seq, why, stamp, self.where))
        return done.entry, done.also, _erasing.erase(self._door, done.sha256)

    def photograph(self, sha256: str) -> tuple[Picture, bytes]:
        """
        Return the file of a photograph that stands in a test of this book, its hash looked at.

        Parameters
        ----------
        sha256 : str
            Its hash.

        Returns
        -------
        (Picture, bytes)
            What it is, and the file.

        Raises
        ------
        NotInBook
            No test of this book has it, or it was taken back.
        BookDamaged
            The file is missing, or is not what was kept.
        """

        def look(connection: Connection) -> _pictures.Named | None:
            named = _pictures.named_in(connection, None, sha256)
            return next((each for each in named if each.stands), None)

        found = self._door.read(look)
        if found is None:
            why = "no test of the book has this photograph"
            raise NotInBook.of(ascii(sha256[:16]), why, "`ringtrue book show` tells what a test has", self.where)
        data = _pictures.fetch(self._door, found.picture)
        if data is None:
            raise _pictures.damaged(self.where, found.picture, found.chain, found.seq)
        return found.picture, data

    def export_photographs(self, beside: Path, test_id: str | None = None) -> tuple[int, tuple[str, ...]]:
        """
        Put the photographs that an export names into a folder beside it, named like it with ``.photographs`` behind.

        Parameters
        ----------
        beside : Path
            The file of the export.
        test_id : str or None
            Of one test; None for everything. What was taken back does not go out.

        Returns
        -------
        (int, tuple of str)
            How many there are, and which could not be had, as sentences without their full stop.
        """
        name = None if test_id is None else _write.spelled(test_id)
        named = self._door.read(lambda c: _pictures.named_in(c, name))
        standing = [each for each in named if each.stands]
        return _pictures.copy_out(self._door, standing, _pictures.folder_with(beside.expanduser().absolute()))

    def count_photographs(self, test_id: str | None = None) -> int:
        """
        Tell how many photographs stand.

        Parameters
        ----------
        test_id : str or None
            In one test; None for the whole book.

        Returns
        -------
        int
            Different pictures.
        """
        name = None if test_id is None else _write.spelled(test_id)
        named = self._door.read(lambda c: _pictures.named_in(c, name))
        return len({each.picture.sha256 for each in named if each.stands})
