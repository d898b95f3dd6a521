"""What a notebook comes to: plain facts, nothing of the book in them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.errors import Fault
from ringtrue.quantities import Measured


@dataclass(slots=True)
class NotebookTest:
    """
    One test of a notebook.

    Parameters
    ----------
    engine : str
        As the notebook, or its mapping, names it.
    date : date
        The day.
    run : Measured or None
        What the engine had run. [m] or [s]
    by, gauge, note : str
        As written; empty when not said.
    sheet : str
        The worksheet; empty where there is one.
    lines : list of int
        Rows in which it stands.
    rows : list of Pull or LeakdownReading
        Its readings.
    """

    engine: str
    date: dt.date
    run: Measured | None
    by: str
    gauge: str
    note: str
    sheet: str
    lines: list[int] = field(default_factory=list)
    rows: list[Pull | LeakdownReading] = field(default_factory=list)

    @property
    def where(self) -> str:
        """Where it stands."""
        first, last = min(self.lines), max(self.lines)
        rows = f"row {first}" if first == last else f"rows {first} to {last}"
        return f"sheet {self.sheet}, {rows}" if self.sheet else rows

    def has(self, row: Pull | LeakdownReading) -> bool:
        """
        Tell whether there is a reading of the same cylinder, kind and repeat.

        Parameters
        ----------
        row : Pull or LeakdownReading
            A reading.

        Returns
        -------
        bool
            True where there is.
        """
        key = (row.cylinder, row.kind, row.repeat or 1)
        return any((other.cylinder, other.kind, other.repeat or 1) == key for other in self.rows)

    def repeated(self, row: Pull | LeakdownReading) -> Pull | LeakdownReading:
        """
        Make a reading a declared repeat of those that are there.

        Parameters
        ----------
        row : Pull or LeakdownReading
            A reading.

        Returns
        -------
        Pull or LeakdownReading
            With the number of its repeat; as it is where it is the first.
        """
        like = [at for at, other in enumerate(self.rows) if (other.cylinder, other.kind) == (row.cylinder, row.kind)]
        for at in like:
            if self.rows[at].repeat is None:
                self.rows[at] = replace(self.rows[at], repeat=1)
        return replace(row, repeat=len(like) + 1) if like else row


@dataclass(frozen=True, slots=True)
class Notebook:
    """
    What a notebook comes to.

    Parameters
    ----------
    tests : tuple of NotebookTest
        In the order of the file.
    faults : tuple of Fault
        Everything that cannot be used; nothing may be brought in while there is one.
    warnings : tuple of str
        What the person should know.
    """

    tests: tuple[NotebookTest, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[str, ...]
