"""
The record book: what was read, by whom, in which order, and whether it is still what was written.

``Book`` is the face; the rest are the facts it takes and gives. The database library is loaded when `Book` is first
asked for, not when this package is imported.
"""

from typing import TYPE_CHECKING

from ringtrue.records._said import Ended, OfPhotograph, said_in
from ringtrue.records.brought import BroughtIn
from ringtrue.records.engine_tests import EngineTests
from ringtrue.records.event import Event
from ringtrue.records.facts import (
    Change,
    Correction,
    EngineInBook,
    Entry,
    EntryKind,
    GaugeRevision,
    Header,
    Owner,
    Photograph,
    Picture,
    Recorded,
    SheetRevision,
    Shows,
    Summary,
)
from ringtrue.records.outcomes import BackedUp, Finding, Imported, Restored
from ringtrue.records.wholes import Whole

if TYPE_CHECKING:
    from ringtrue.records.book import Book

__all__ = [
    "BackedUp",
    "Book",
    "BroughtIn",
    "Change",
    "Correction",
    "Ended",
    "EngineInBook",
    "EngineTests",
    "Entry",
    "EntryKind",
    "Event",
    "Finding",
    "GaugeRevision",
    "Header",
    "Imported",
    "OfPhotograph",
    "Owner",
    "Photograph",
    "Picture",
    "Recorded",
    "Restored",
    "SheetRevision",
    "Shows",
    "Summary",
    "Whole",
    "said_in",
]


def __getattr__(name: str) -> object:
    """Load the book itself when it is first asked for."""
    if name == "Book":
        from ringtrue.records.book import Book

        return Book
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
