"""What every readings file comes to, whatever its format: a header, and rows of cells as they were written."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cell:
    """
    One cell.

    Parameters
    ----------
    text : str
        As it was written, without surrounding blanks; never empty.
    typed : bool
        The format itself says that this is a number (spreadsheet, JSON), so its decimal point is beyond doubt.
    """

    text: str
    typed: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """
    One row.

    Parameters
    ----------
    where : str
        How a message names it, for example "row 4".
    cells : dict of str to Cell
        Its cells by header, as written; blank cells are left out.
    """

    where: str
    cells: dict[str, Cell]


@dataclass(frozen=True, slots=True)
class Table:
    """
    A readings file.

    Parameters
    ----------
    header : tuple of str
        The columns as written.
    rows : tuple of Row
        In the order of the file.
    """

    header: tuple[str, ...]
    rows: tuple[Row, ...]


MOST_ROWS = 5_000
"""A test of 24 cylinders, dry, wet and leak-down, ten times each, has 720."""

MOST_COLUMNS = 100

LONGEST_CELL = 2_000
"""No note is longer."""
