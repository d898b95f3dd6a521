"""The part of a book that is about the book as a whole: opening, giving out, taking in, keeping, checking."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Self

from ringtrue.records import _check, _document, _keeping, _pictures, _place, _postgres, _sqlite
from ringtrue.records._door import Door
from ringtrue.records.outcomes import BackedUp, Finding, Imported, Restored


class Kept:
    """
    A book, as something to keep safe.

    Parameters
    ----------
    door : Door
        From `Kept.open`; not made by hand.
    """

    def __init__(self, door: Door) -> None:
        self._door = door

    @classmethod
    def open(cls, where: str | Path, *, create: bool = True) -> Self:
        """
        Open a book.

        One that is not there is made, its folder too. One of an earlier edition is brought up to date, after a copy was
        put beside it. One of a later edition is left as it is.

        Parameters
        ----------
        where : str or Path
            A file, or ``postgresql://user@host/database``.
        create : bool
            Make it when it is not there.

        Returns
        -------
        Book
            To be closed, or used in a ``with`` statement.
        """
        place = _place.place_of(where)
        opened = _postgres.open_server if place.path is None else _sqlite.open_file
        return cls(opened(place, create=create))

    @property
    def where(self) -> str:
        """Where the book is, without user and password."""
        return str(self._door)

    def close(self) -> None:
        """Let go of the book."""
        self._door.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def export(self, test_id: str | None = None, *, owners: bool = False) -> bytes:
        """
        Return a test, or the whole book, as a JSON document; the same book gives the same bytes.

        Parameters
        ----------
        test_id : str or None
            None for everything.
        owners : bool
            With the owners' personal data.

        Returns
        -------
        bytes
            As ``docs/schemas/book-export.schema.json`` describes it.
        """
        return self._door.read(lambda c: _document.export(c, test_id, self.where, owners=owners))

    def import_(self, document: bytes, beside: Path | None = None) -> Imported:
        """
        Take in what another book gave out: all of it that is not here yet, or nothing.

        Parameters
        ----------
        document : bytes
            From `export`. Its chains are checked before anything is written.
        beside : Path or None
            The file it came from: photographs are looked for in the folders beside it.

        Returns
        -------
        Imported
            What was added.
        """
        checked = _document.checked(document)
        folders = () if beside is None else _pictures.folders_beside(beside)
        photographs, missing = _pictures.copy_in(self._door, _document.photographs_of(checked), folders)
        done = self._door.write(lambda c: _document.take_in(c, checked, self.where))
        return replace(done, photographs=photographs, missing=missing)

    def backup(self, path: Path) -> BackedUp:
        """
        Write a backup, and read it back: a copy of the file, or of a server's book its whole export, owners included.

        Photographs go into a folder beside it, which all backups there share.

        Parameters
        ----------
        path : Path
            A file that is not there yet.

        Returns
        -------
        BackedUp
            What is in it.
        """
        return _keeping.backup(self._door, path)

    @staticmethod
    def restore(backup: Path, where: str | Path) -> Restored:
        """
        Put a backup in a book's place, once it has been found whole. The file that stood there is kept beside it.

        Photographs are taken out of the folders beside the backup.

        Parameters
        ----------
        backup : Path
            From `backup`, or from `export`.
        where : str or Path
            The book.

        Returns
        -------
        Restored
            What it holds, where the earlier file is, and what is lost.
        """
        return _keeping.restore(Path(backup), _place.place_of(where))

    def verify(self, test_id: str | None = None, head: str | None = None) -> tuple[Finding, ...]:
        """
        Compute every hash anew from what is stored, photographs too; compare a test with the head on its sheet.

        Parameters
        ----------
        test_id : str or None
            One test; None for the whole book.
        head : str or None
            Long or short, as it stands on paper; needs a test.

        Returns
        -------
        tuple of Finding
            Empty when all is as it was written.
        """
        return _check.verify(self._door, test_id, head)
