"""A worksheet of a notebook while it is read: its columns with what they hold, and what is said of one row's test."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ringtrue.intake.cells import Cell
from ringtrue.intake.notebook_map import Role
from ringtrue.intake.notebook_proposal import Heading
from ringtrue.intake.worksheets import Line, Worksheet
from ringtrue.quantities import Measured


@dataclass(frozen=True, slots=True)
class Page:
    """
    A worksheet with its columns.

    Parameters
    ----------
    sheet : Worksheet
        The worksheet.
    header : int
        The row of its headings.
    columns : tuple of (Heading, Role)
        Its columns, and what each holds.
    ran : list of (Line, str, object, Measured)
        What rows of their own say that an engine had run: the row, its place in words, which tests, the figure.
    """

    sheet: Worksheet
    header: int
    columns: tuple[tuple[Heading, Role], ...]
    ran: list[tuple[Line, str, object, Measured]] = field(default_factory=list)

    @property
    def below(self) -> Iterator[Line]:
        """The rows below the headings."""
        return (line for line in self.sheet.lines if line.number > self.header)

    def cells(self, what: str) -> Iterator[Cell]:
        """
        Return all that stands in a column.

        Parameters
        ----------
        what : str
            What the column holds.

        Returns
        -------
        iterator of Cell
            Its cells, blank ones left out.
        """
        places = [each.column for each, role in self.columns if role.what == what]
        return (cell for line in self.below for place in places if (cell := line.at(place)) is not None)

    def named(self, what: str) -> str:
        """
        Return the heading of a column.

        Parameters
        ----------
        what : str
            What the column holds, of the whole row.

        Returns
        -------
        str
            As written; `what` where there is no such column.
        """
        return next((each.written for each, role in self.columns if role.what == what and not role.cylinder), what)

    def unit(self, what: str) -> str:
        """
        Return the unit that a column's heading names.

        Parameters
        ----------
        what : str
            What the column holds, of the whole row.

        Returns
        -------
        str
            Empty where it names none.
        """
        return next((each.unit for each, role in self.columns if role.what == what and not role.cylinder), "")


@dataclass(frozen=True, slots=True)
class About:
    """
    What a row says of its test.

    Parameters
    ----------
    where : str
        The row.
    engine : str
        Its engine; empty where that cannot be told.
    run : Measured or None
        What the engine had run. [m] or [s]
    by, gauge, note : str
        As written; empty when not said.
    column : int or None
        The column of the test, where each column is one.
    """

    where: str
    engine: str
    run: Measured | None
    by: str
    gauge: str
    note: str
    column: int | None = None
