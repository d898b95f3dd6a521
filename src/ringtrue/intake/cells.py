"""What every readings file comes to, whatever its format: a header, and rows of cells as they were written."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

from ringtrue.errors import ReadingsRefused
from ringtrue.units.numbers import BLANKS, told

MOST_ROWS = 5_000
"""A test of 24 cylinders, dry, wet and leak-down, ten times each, has 720."""

MOST_COLUMNS = 100

LONGEST_CELL = 2_000
"""No note is longer."""

_AROUND = BLANKS + "\t\r\n"

EXAMPLE_HEADER = "write a header, for example: cylinder,first [psi],final [psi]"


class Sort(Enum):
    """What the format itself says that a cell holds."""

    TEXT = auto()
    NUMBER = auto()
    TRUTH = auto()
    TIME = auto()
    FORMULA = auto()


@dataclass(frozen=True, slots=True)
class Cell:
    """
    One cell.

    Parameters
    ----------
    text : str
        As it was written, without surrounding blanks; never empty.
    sort : Sort
        What the format says that it is (spreadsheet, JSON): the decimal point of a number is then beyond doubt. All of
        a CSV file is text. A formula is one whose result the file does not hold.
    """

    text: str
    sort: Sort = Sort.TEXT


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


@dataclass(frozen=True, slots=True)
class Wanted:
    """
    What sort of table a file is to hold.

    Parameters
    ----------
    column : str
        A column that every such table has: by it the header is known.
    example : str
        What to write, where the table is not there.
    objects : str
        The same for JSON.
    """

    column: str = "cylinder"
    example: str = EXAMPLE_HEADER
    objects: str = 'write for example [{"cylinder": "1", "first [psi]": 95, "final [psi]": 150}]'


READINGS = Wanted()


def too_many_rows() -> ReadingsRefused:
    """
    Refuse a file that is longer than any test.

    Returns
    -------
    ReadingsRefused
        To be raised.
    """
    return ReadingsRefused.of("", f"it has more than {MOST_ROWS} rows", "check that it is the right file")


def trimmed(text: str) -> str:
    """
    Take the blanks off a cell that people and programs leave around a figure, and no others.

    Parameters
    ----------
    text : str
        The cell as it stands in the file.

    Returns
    -------
    str
        Empty for a cell of nothing but blanks, of whatever kind.
    """
    return text.strip(_AROUND) if text.strip() else ""


def column_name(text: str) -> str:
    """
    Bring the name of a column on one line: spreadsheets break long ones.

    Parameters
    ----------
    text : str
        As it stands in the header.

    Returns
    -------
    str
        With single blanks.
    """
    return " ".join(text.split())


def is_called(written: str, column: str) -> bool:
    """
    Tell whether a header is that of a column, with or without a unit in brackets.

    Parameters
    ----------
    written : str
        The header.
    column : str
        The column.

    Returns
    -------
    bool
        True when it is.
    """
    return written.partition("[")[0].strip().casefold().replace(" ", "_") == column


def cannot_be_shown(text: str) -> bool:
    """
    Tell whether a text holds what no table shows: control characters other than a new line, or half a character.

    Parameters
    ----------
    text : str
        A cell or a header.

    Returns
    -------
    bool
        True when it does. A terminal may obey such characters, and not every record book can keep them.
    """
    return any(unicodedata.category(each) in {"Cc", "Cs"} and each not in "\n\r\t" for each in text)


def check_header(header: Sequence[str], where: str = "", wanted: Wanted = READINGS) -> tuple[str, ...]:
    """
    Refuse a header that no such file has.

    Parameters
    ----------
    header : sequence of str
        Its columns, as `column_name` gives them; blank ones at the end do not count.
    where : str
        The row in which it stands, for the message.
    wanted : Wanted
        What sort of table it is.

    Returns
    -------
    tuple of str
        The columns.

    Raises
    ------
    ReadingsRefused
        Too many columns, one too long, one that cannot be shown, one twice, one without a name, or not the one by
        which the table is known.
    """
    columns = list(header)
    while columns and not columns[-1]:
        columns.pop()
    if len(columns) > MOST_COLUMNS or any(len(name) > LONGEST_CELL for name in columns):
        raise ReadingsRefused.of("", "this is no table of readings", wanted.example, where)
    for name in columns:
        if not name.isprintable():
            raise ReadingsRefused.of(told(name), "it holds characters that no table shows", "type it again", where)
    plain = [name.casefold() for name in columns]
    if not any(is_called(name, wanted.column) for name in columns):
        listed = ", ".join(columns)
        given = f"header “{listed if len(listed) <= 80 else listed[:77] + '...'}”"  # noqa: PLR2004 - a line on a screen
        raise ReadingsRefused.of(given, f"a column “{wanted.column}” is missing", wanted.example, where)
    for name in columns:
        if name and plain.count(name.casefold()) > 1:
            raise ReadingsRefused.of(f"column “{name}” twice", "each column has its own name", "rename one", where)
    if "" in plain:
        raise ReadingsRefused.of("a column without a name", "each column has a name", "name it, or remove it", where)
    return tuple(columns)
