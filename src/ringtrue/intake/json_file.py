"""Readings in JSON: a list of objects with the names of the columns."""

from __future__ import annotations

import json
from pathlib import Path

from ringtrue.errors import ReadingsRefused
from ringtrue.intake.cells import MOST_ROWS, Cell, Row, Table
from ringtrue.intake.csv_file import check_header
from ringtrue.intake.fields import decode


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


def read(path: Path, raw: bytes, *, encoding: str) -> Table:
    """
    Read a JSON file.

    Parameters
    ----------
    path : Path
        Its name, for messages.
    raw : bytes
        What it holds.
    encoding : str
        Not used: JSON is UTF-8.

    Returns
    -------
    Table
        Its rows; the header is every name that occurs.

    Raises
    ------
    ReadingsRefused
        It is not JSON, no list of objects, has a name twice in one object, or a value that is neither text, number,
        true, false nor null.
    """
    del encoding
    text = decode(raw, path, ReadingsRefused)
    try:
        rows = json.loads(
            text, parse_int=_Written, parse_float=_Written, parse_constant=_no_such_number, object_pairs_hook=_once
        )
    except (json.JSONDecodeError, RecursionError) as error:
        why = f"it is not JSON: {error}"
        raise ReadingsRefused.of("", why, 'write a list of objects: [{"cylinder": "1", "final [psi]": 150}]') from None
    example = 'write for example [{"cylinder": "1", "first [psi]": 95, "final [psi]": 150}]'
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise ReadingsRefused.of("", "this is no list of objects", example)
    if not rows:
        raise ReadingsRefused.of("", "the list is empty", example)
    if len(rows) > MOST_ROWS:
        raise ReadingsRefused.of("", f"it has more than {MOST_ROWS} rows", "check that it is the right file")
    header = tuple(dict.fromkeys(str(name).strip() for row in rows for name in row))
    check_header(header)
    return Table(header, tuple(_row(row, f"object {number}") for number, row in enumerate(rows, start=1)))


def _row(row: dict[str, object], where: str) -> Row:
    cells: dict[str, Cell] = {}
    for name, value in row.items():
        if isinstance(value, list):
            # `heard` may be a list of places.
            value = ";".join(str(item) for item in value if isinstance(item, str)) or None  # noqa: PLW2901
        if value is None or (isinstance(value, str) and not value.strip()):
            continue
        if isinstance(value, dict):
            raise ReadingsRefused.of(
                f"“{name}”", "this is an object", "write text, a number, true, false or null", where
            )
        if isinstance(value, bool):
            cells[name.strip()] = Cell("true" if value else "false")
        else:
            cells[name.strip()] = Cell(str(value).strip(), typed=isinstance(value, _Written))
    return Row(where, cells)


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for name, value in pairs:
        if name.strip() in {key.strip() for key in found}:
            raise ReadingsRefused.of(f"“{name}” twice in one object", "only one of them can be meant", "remove one")
        found[name] = value
    return found


def _no_such_number(text: str) -> object:
    raise ReadingsRefused.of(f"“{text}”", "that is no reading", "leave it blank (null) where nothing was seen")
