"""What checking, importing, backing up and putting back have to tell."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Finding:
    """
    Something that `Book.verify` found.

    Parameters
    ----------
    where : str
        The test's id, or the part of the book.
    seq : int or None
        The entry; None when it is not about one.
    says : str
        What is wrong, as a sentence without its full stop.
    damage : bool
        False for what a reader should know but is nobody's fault: entries made after the sheet was printed.
    """

    where: str
    seq: int | None
    says: str
    damage: bool = True

    def __str__(self) -> str:
        """Return the finding as one line."""
        place = self.where if self.seq is None else f"{self.where}, entry {self.seq}"
        return f"{place}: {self.says}."


@dataclass(frozen=True, slots=True)
class Imported:
    """
    What an import did.

    Parameters
    ----------
    added, extended, unchanged : tuple of str
        Ids of tests that are new here, that got further entries, and that were here already.
    entries : int
        How many entries were written, the registers included.
    owners : int
        How many owners were added; one that the book already has stays as it is here.
    photographs : int
        Of how many that the document names the book has the file now.
    missing : tuple of str
        Photographs whose file it has not, as sentences without their full stop.
    """

    added: tuple[str, ...]
    extended: tuple[str, ...]
    unchanged: tuple[str, ...]
    entries: int
    owners: int
    photographs: int = 0
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BackedUp:
    """
    A backup that was read back and found good.

    Parameters
    ----------
    path : Path
        The file.
    tests, entries : int
        What is in it.
    photographs : int
        How many are in the folder beside it.
    missing : tuple of str
        Photographs whose file the book had not, as sentences without their full stop.
    """

    path: Path
    tests: int
    entries: int
    photographs: int = 0
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Restored:
    """
    A book put back from a backup.

    Parameters
    ----------
    where : str
        The book.
    kept : Path or None
        Where the file that stood there before is now; None when there was none.
    tests, entries : int
        What the restored book holds.
    lost : tuple of str
        What the earlier file held, or may have held, and the backup does not, as sentences without their full stop.
    photographs : int
        Of how many the restored book has the file.
    """

    where: str
    kept: Path | None
    tests: int
    entries: int
    lost: tuple[str, ...]
    photographs: int = 0
