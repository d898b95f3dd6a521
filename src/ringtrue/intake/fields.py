"""Read a TOML table field by field, and keep every fault instead of stopping at the first."""

from __future__ import annotations

import difflib
import json
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from enum import StrEnum
from typing import TypeVar

from ringtrue.errors import Fault, InputRefused, UnitRefused
from ringtrue.quantities import Measured
from ringtrue.units import Dimension, number_from_cell, parse_gauge_pressure, parse_measured, units_of

LARGEST_FILE = 1_000_000
"""A build sheet, test file or settings file is never larger. [byte]"""

_LONGEST_SHOWN = 60
_LARGEST_NAME = 10**18
_PLACE_IN_TOML = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")

Choice = TypeVar("Choice", bound=StrEnum)


NO_FIELD, NO_TABLE = "there is no such field here", "there is no such table here"


class Fields:
    """
    One TOML table, read field by field.

    Parameters
    ----------
    table : object
        The table; None when the file has none and needs one.
    where : str
        How a message names it, for example ``[engine]``.
    faults : list of Fault
        Faults are added here.
    """

    def __init__(self, table: object, where: str, faults: list[Fault]) -> None:
        self._where = where
        self._faults = faults
        self._asked: set[str] = set()
        self._table: Mapping[str, object] = {}
        self.sound = isinstance(table, Mapping)
        """It is a table at all; when not, nothing more is said of what is missing in it."""
        if isinstance(table, Mapping):
            self._table = table
        elif table is None:
            self.fault("", "", "the table is missing", f"write a line {where} and its fields below it")
        else:
            self.fault("", shown(table), "this is a table of its own", f"write a line {where} and its fields below it")

    def home_of(self, key: str) -> str:
        """Return how this table is named where a field of that name belongs into it; else nothing."""
        return self._where if key in self._asked else ""

    def fault(self, key: str, given: str, why: str, instead: str) -> None:
        """
        Keep a fault of one field.

        Parameters
        ----------
        key : str
            The field; empty for the table itself.
        given, why, instead : str
            As in `Fault`.
        """
        self._faults.append(Fault(given, why, instead, f"{self._where} {key}".strip()))

    def keep(self, key: str, error: InputRefused) -> None:
        """
        Keep what was said of one field's text.

        Parameters
        ----------
        key : str
            The field.
        error : InputRefused
            What was said.
        """
        for each in error.faults:
            # A readings file can be told what its decimal mark is; a TOML file is written anew.
            self.fault(key, each.given, each.why, each.instead.partition(", or say --decimal")[0])

    def has(self, key: str) -> bool:
        """
        Tell whether the table has a field.

        Parameters
        ----------
        key : str
            The field.

        Returns
        -------
        bool
            True when it is there, whatever it holds.
        """
        self._asked.add(key)
        return key in self._table

    def raw(self, key: str) -> object:
        """
        Return a field as TOML has it.

        Parameters
        ----------
        key : str
            The field.

        Returns
        -------
        object
            None when it is missing.
        """
        self._asked.add(key)
        return self._table.get(key)

    def text(self, key: str, *, needed: bool = False, example: str = "") -> str:
        """
        Read a line of text.

        Parameters
        ----------
        key : str
            The field.
        needed : bool
            A missing or empty one is a fault.
        example : str
            What one could type.

        Returns
        -------
        str
            Without surrounding blanks; empty when missing.
        """
        value = self.raw(key)
        if isinstance(value, str) and (value.isprintable() or not value):
            value = value.strip()
        elif value is not None:
            self.fault(
                key, shown(value), "this is a line of text", f'write it in quotes, for example {key} = "{example}"'
            )
            return ""
        if needed and not value and self.sound:
            self.fault(key, "", f"{key} is missing", f'add a line {key} = "{example}"')
        return value or ""

    def names(self, key: str, value: object = None) -> tuple[str, ...]:
        """
        Read a list of names; whole numbers are taken as names.

        Parameters
        ----------
        key : str
            The field.
        value : object
            The list, where it is part of a field; else the field's own value.

        Returns
        -------
        tuple of str
            Empty when missing.
        """
        value = self.raw(key) if value is None else value
        if value is None:
            return ()
        if isinstance(value, list):
            texts = [str(x) for x in value if isinstance(x, str) or (type(x) is int and abs(x) < _LARGEST_NAME)]
            if len(texts) == len(value) and all(map(str.isprintable, texts)):
                return tuple(text.strip() for text in texts)
        self.fault(key, shown(value), "this is a list of names", f'write for example {key} = ["1", "2"]')
        return ()

    def choice(self, key: str, options: type[Choice], *, needed: bool = False) -> Choice | None:
        """
        Read one of several words.

        Parameters
        ----------
        key : str
            The field.
        options : type
            The words.
        needed : bool
            A missing one is a fault.

        Returns
        -------
        StrEnum or None
            None when missing or when it is no such word.
        """
        value = self.raw(key)
        words = [f'"{option}"' for option in options]
        if value is None:
            if needed and self.sound:
                instead = f"add a line {key} = {words[0]}, or another of {', '.join(words[1:])}"
                self.fault(key, "", f"{key} is missing", instead)
            return None
        for option in options:
            if isinstance(value, str) and value.strip().casefold() == option.value.casefold():
                return option
        near = difflib.get_close_matches(value, list(options), n=1) if isinstance(value, str) else []
        instead = f"did you mean {near[0]}?" if near else "write one of these words in quotes"
        self.fault(key, shown(value), f"{key.replace('_', ' ')} is one of {', '.join(words)}", instead)
        return None

    def measured(self, key: str, dimension: Dimension, usual: Sequence[str] = ()) -> Measured | None:
        """
        Read a figure with its unit.

        Parameters
        ----------
        key : str
            The field.
        dimension : Dimension
            What kind of figure.
        usual : sequence of str
            Units that are usual for this field, which are proposed where one is missing; empty for those of its kind.

        Returns
        -------
        Measured or None
            None when missing or when it cannot be used.
        """
        return self._figure(key, dimension, lambda text: _in_usual(text, dimension, usual))

    def gauge_pressure(self, key: str) -> Measured | None:
        """
        Read a pressure above the surrounding air.

        Parameters
        ----------
        key : str
            The field.

        Returns
        -------
        Measured or None
            None when missing or when it cannot be used; an absolute one cannot.
        """
        return self._figure(key, Dimension.PRESSURE, parse_gauge_pressure)

    def si(self, key: str, dimension: Dimension) -> float | None:
        """
        Read a figure with its unit, in SI alone.

        Parameters
        ----------
        key : str
            The field.
        dimension : Dimension
            What kind of figure.

        Returns
        -------
        float or None
            None when missing or when it cannot be used.
        """
        figure = self.measured(key, dimension)
        return None if figure is None else figure.value

    def number(self, key: str) -> float | None:
        """
        Read a plain number.

        Parameters
        ----------
        key : str
            The field.

        Returns
        -------
        float or None
            None when missing or when it cannot be used.
        """
        value = self.raw(key)
        if value is None:
            return None
        if not isinstance(value, (str, int, float)):
            self.fault(key, shown(value), "this is a number", f"write for example {key} = 8.4")
            return None
        try:
            return number_from_cell(value)[0]
        except InputRefused as error:
            self.keep(key, error)
            return None

    def day(self, key: str) -> str:
        """
        Read a date.

        Parameters
        ----------
        key : str
            The field.

        Returns
        -------
        str
            As ISO text; empty when missing or when it cannot be used.
        """
        value = self.raw(key)
        if value is None:
            return ""
        if isinstance(value, date) and not isinstance(value, datetime):
            return value.isoformat()
        try:
            if isinstance(value, str):
                return date.fromisoformat(value).isoformat()
        except ValueError:
            pass
        self.fault(key, shown(value), "this is a day", f"write year, month, day, for example {key} = 2026-05-14")
        return ""

    def nothing_else(self) -> None:
        """Keep a fault for every field that nobody asked for, with the nearest one that exists."""
        for key in self._table:
            if key in self._asked:
                continue
            near = difflib.get_close_matches(key, self._asked, n=1)
            instead = f"did you mean {near[0]}?" if near else f"the fields here are {', '.join(sorted(self._asked))}"
            self.fault("", shown(key), NO_FIELD, instead)

    def _figure(self, key: str, dimension: Dimension, parse: Callable[[str], Measured]) -> Measured | None:
        value = self.raw(key)
        if value is None:
            return None
        try:
            if isinstance(value, str):
                return parse(value)
            if isinstance(value, bool) or not isinstance(value, (int, float)):
                return parse("")  # which says what is wanted
            figures = number_from_cell(value)[1]
        except InputRefused as error:
            given = error.faults[0].given if isinstance(value, str) else shown(value)
            self.keep(key, type(error)(*(replace(fault, given=given) for fault in error.faults)))
            return None
        units = [f'{key} = "{figures} {unit.name}"' for unit in units_of(dimension) if not unit.absolute]
        why = f"{dimension.with_article} needs its unit"
        self.fault(key, figures, why, f"write it in quotes with its unit, {' or '.join(units[:2])}")
        return None


def _in_usual(text: str, dimension: Dimension, usual: Sequence[str]) -> Measured:
    """Read a figure; where its unit is missing, propose those that are usual for the field."""
    try:
        return parse_measured(text, dimension)
    except UnitRefused as error:
        if not usual or text.strip(" 0123456789.,+-"):
            raise
        instead = f"type {' or '.join(f'{text.strip()} {unit}' for unit in usual)}"
        raise UnitRefused(*(replace(each, instead=instead) for each in error.faults)) from None


def shown(value: object) -> str:
    """
    Show a value of a TOML file as the file writes it, shortened, with nothing in it that a terminal obeys.

    Parameters
    ----------
    value : object
        The value.

    Returns
    -------
    str
        One short line.
    """
    try:
        text = json.dumps(value, ensure_ascii=False, default=str)
    except ValueError:
        return "a number of too many figures"
    if isinstance(value, (str, date, time)):
        text = f"“{value}”" if isinstance(value, str) else value.isoformat()
    if len(text) > _LONGEST_SHOWN:
        text = text[: _LONGEST_SHOWN - 3] + "..."
    return "".join(each if each.isprintable() else ascii(each)[1:-1] for each in text)


def parse_toml(text: str, refused: type[InputRefused]) -> dict[str, object]:
    """
    Parse TOML.

    Parameters
    ----------
    text : str
        The file's text.
    refused : type
        The error to raise.

    Returns
    -------
    dict
        Its tables.

    Raises
    ------
    InputRefused
        It is not TOML; the message names the line and shows it.
    """
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # not TOMLDecodeError alone: a number may have too many figures
        said = str(error)
        given = where = ""
        if (place := _PLACE_IN_TOML.search(said)) is not None:
            said, where = said[: place.start()], f"line {place[1]}" if place[1] else "at its end"
            given = shown(text.split("\n")[int(place[1]) - 1].strip()) if place[1] else ""
        why = f"it is not written as TOML ({said[0].lower()}{said[1:]})"
        raise refused.of(given, why, 'text stands in quotes, a field is written as name = "value"', where) from None


def only_tables(document: Mapping[str, object], known: Iterable[str], faults: list[Fault]) -> None:
    """
    Keep a fault for every table that a file should not have.

    Parameters
    ----------
    document : mapping
        The file.
    known : iterable of str
        Tables that may be there.
    faults : list of Fault
        Faults are added here.
    """
    names = tuple(known)
    for key in document:
        if key not in names:
            near = difflib.get_close_matches(key, names, n=1)
            instead = (
                f"did you mean [{near[0]}]?" if near else f"the tables here are {', '.join(f'[{n}]' for n in names)}"
            )
            faults.append(Fault(shown(key), NO_TABLE, instead))
