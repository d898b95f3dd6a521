"""Readings in JSON: a list of objects with the names of the columns."""

from __future__ import annotations

import json
from pathlib import Path

from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.intake.cells import (
    MOST_ROWS,
    READINGS,
    Cell,
    Row,
    Sort,
    Table,
    Wanted,
    check_header,
    column_name,
    too_many_rows,
    trimmed,
)
from ringtrue.intake.files import decode
from ringtrue.units import number_from_cell
from ringtrue.units.numbers import told


class _Written(str):
    """A number, as JSON writes it."""

    __slots__ = ()


def recognises(path: Path, raw: bytes) -> bool:
    """
    Tell whether a file is of this format.

    Parameters
    ----------
    path : Path
        Its name.
    raw : bytes
        What it holds.

    Returns
    -------
    bool
        By its ending, or by a bracket as the first character.
    """
    return path.suffix.casefold() == ".json" or raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"[")


def read(raw: bytes, *, encoding: str = "", wanted: Wanted = READINGS) -> Table:
    """
    Read a JSON file.

    Parameters
    ----------
    raw : bytes
        What it holds.
    encoding : str
        Not used: JSON is UTF-8.
    wanted : Wanted
        What sort of table it is to hold.

    Returns
    -------
    Table
        Its rows; the header is every name that occurs.

    Raises
    ------
    ReadingsRefused
        It is not JSON, no list of objects, has a name twice in one object, or holds what is no cell: an object, or a
        list that is not one of texts under ``heard``.
    """
    del encoding
    text = decode(raw, ReadingsRefused)
    try:
        rows = json.loads(
            text, parse_int=_Written, parse_float=_Written, parse_constant=_no_such_number, object_pairs_hook=_once
        )
    except json.JSONDecodeError as error:
        why = f"it is not JSON ({error.msg}, column {error.colno})"
        raise ReadingsRefused.of("", why, wanted.objects, f"line {error.lineno}") from None
    except RecursionError:
        raise ReadingsRefused.of("", "it is not JSON of readings (brackets in brackets)", wanted.objects) from None
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise ReadingsRefused.of("", "this is no list of objects", wanted.objects)
    if not rows:
        raise ReadingsRefused.of("", "the list is empty", wanted.objects)
    if len(rows) > MOST_ROWS:
        raise too_many_rows()
    header = check_header(tuple(dict.fromkeys(name for row in rows for name in row)), wanted=wanted)
    faults: list[Fault] = []
    table = Table(header, tuple(_row(row, f"object {number}", faults) for number, row in enumerate(rows, start=1)))
    if faults:
        raise ReadingsRefused(*faults)
    return table


def _row(row: dict[str, object], where: str, faults: list[Fault]) -> Row:
    cells: dict[str, Cell] = {}
    for name, value in row.items():
        if isinstance(value, (dict, list)):
            if name.casefold() == "heard" and isinstance(value, list) and all(type(item) is str for item in value):
                cells[name] = Cell("; ".join(value))
                continue
            found = "this is an object" if isinstance(value, dict) else "this is a list"
            instead = "write text, a number, true, false or null"
            faults.append(Fault("", found, instead, f"{where}, column {name}"))
        elif isinstance(value, bool):
            cells[name] = Cell(str(value).lower(), Sort.TRUTH)
        elif isinstance(value, _Written):
            cells[name] = Cell(_without_exponent(value), Sort.NUMBER)
        elif isinstance(value, str):
            cells[name] = Cell(trimmed(value))
    return Row(where, {name: cell for name, cell in cells.items() if cell.text})


def _without_exponent(number: str) -> str:
    """Write 1.5e2, which programs write and people do not, as 150."""
    if "e" not in number.lower():
        return str(number)
    try:
        return number_from_cell(float(number))[1]
    except InputRefused:
        return str(number)


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for written, value in pairs:
        name = column_name(written)
        if name in found:
            raise ReadingsRefused.of(f"{told(name)} twice in one object", "only one of them can be meant", "remove one")
        found[name] = value
    return found


def _no_such_number(text: str) -> object:
    raise ReadingsRefused.of(f"“{text}”", "that is no reading", "leave it blank (null) where nothing was seen")
