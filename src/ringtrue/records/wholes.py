"""A whole test, as it is handed to the book in one go."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.records.facts import Header


@dataclass(frozen=True, slots=True)
class Whole:
    """
    A test that is written in one go: opened, read and finished.

    Parameters
    ----------
    header : Header
        The engine, the day, the gauge.
    rows : tuple of Pull or LeakdownReading
        In the order taken.
    sheet_text : str or None
        The build sheet, to the letter.
    key : str
        As in `Entry`; row n gets the key ``key/n``, the last entry ``key/finished``.
    """

    header: Header
    rows: tuple[Pull | LeakdownReading, ...]
    sheet_text: str | None
    key: str
