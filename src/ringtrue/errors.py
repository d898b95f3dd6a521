"""
One family of errors.

Every message says what was given, why it cannot be used, and what to type instead; it names the file, row and column
(or the field). An error may carry several faults, because every fault of a file is told at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Self


@dataclass(frozen=True, slots=True)
class Fault:
    """
    One thing that cannot be used.

    Parameters
    ----------
    given : str
        What was read, in the person's own spelling.
    why : str
        Why it cannot be used, as a sentence without its full stop.
    instead : str
        What to type or do instead, as a sentence without its full stop.
    where : str
        File, row and column, or the field; empty when there is only one place it can be.
    """

    given: str
    why: str
    instead: str
    where: str = ""

    def __str__(self) -> str:
        """Return the fault as one line of plain sentences."""
        place = f"{self.where}: " if self.where else ""
        given = f"{self.given}: " if self.given else ""
        return f"{place}{given}{_sentence(self.why)} {_sentence(self.instead)}".strip()

    def at(self, where: str) -> Fault:
        """
        Return the same fault with its place set in front of the place it already names.

        Parameters
        ----------
        where : str
            The file, row or field that encloses the present place.

        Returns
        -------
        Fault
            The fault with both places.
        """
        return replace(self, where=f"{where}, {self.where}" if self.where else where)


def _sentence(text: str) -> str:
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


class RingtrueError(Exception):
    """
    What ringtrue raises, and nothing else.

    Parameters
    ----------
    *faults : Fault
        At least one fault; all of them are told to the person.
    """

    exit_code: ClassVar[int] = 2

    def __init__(self, *faults: Fault) -> None:
        super().__init__(*faults)
        self.faults = faults

    def __str__(self) -> str:
        """Return every fault on a line of its own."""
        return "\n".join(str(fault) for fault in self.faults)

    @classmethod
    def of(cls, given: str, why: str, instead: str, where: str = "") -> Self:
        """
        Make an error of one fault.

        Parameters
        ----------
        given : str
            What was read.
        why : str
            Why it cannot be used.
        instead : str
            What to type or do instead.
        where : str
            File, row and column, or the field.

        Returns
        -------
        RingtrueError
            An error of this class.
        """
        return cls(Fault(given, why, instead, where))

    def at(self, where: str) -> Self:
        """
        Return the same error with a place set in front of every fault.

        Parameters
        ----------
        where : str
            The file, row or field that encloses what the faults name.

        Returns
        -------
        RingtrueError
            An error of the same class.
        """
        return type(self)(*(fault.at(where) for fault in self.faults))


class InputRefused(RingtrueError):
    """What a person typed or handed over cannot be used (exit 2)."""


class NumberRefused(InputRefused):
    """A text is not a number, or could be two different numbers."""


class UnitRefused(InputRefused):
    """A unit is missing, unknown, or of the wrong kind."""


class SheetRefused(InputRefused):
    """A build sheet contradicts itself or cannot be read."""


class ReadingsRefused(InputRefused):
    """A readings file has faults; nothing of it is judged."""


class ReadingImpossible(InputRefused):
    """A figure that no gauge on this engine can show."""


class GaugeRefused(InputRefused):
    """A gauge, a test file or its conditions cannot be used."""


class CannotExpect(InputRefused):
    """What an engine should show cannot be said: the model does not apply, or the sheet lacks what it takes."""


class CannotExplain(InputRefused):
    """The odds of the causes cannot be worked out from these readings, so that none are shown."""


class SettingsRefused(InputRefused):
    """The shop's settings cannot be used."""


class NotInBook(InputRefused):
    """The record book has no such engine, test, cylinder or gauge."""


class CannotWrite(InputRefused):
    """A file or folder that was asked for cannot be written."""


class BookUnusable(RingtrueError):
    """The record book cannot be used (exit 3)."""

    exit_code: ClassVar[int] = 3


class BookMissing(BookUnusable):
    """There is no book where one was looked for."""


class BookLocked(BookUnusable):
    """Another program holds the book and did not let go in time."""


class BookFull(BookUnusable):
    """There is no room left to write the book."""


class BookReadOnly(BookUnusable):
    """The book or its folder may not be written."""


class BookDamaged(BookUnusable):
    """The book, or a record in it, is not what was written."""


class BookTooNew(BookUnusable):
    """The book was written by a later edition of ringtrue."""
