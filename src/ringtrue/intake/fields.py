"""Read a TOML table field by field, and keep every fault instead of stopping at the first."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ringtrue.errors import Fault, InputRefused
from ringtrue.units import number_from_cell, parse_gauge_pressure, parse_measured

if TYPE_CHECKING:
    from ringtrue.quantities import Measured
    from ringtrue.units import Dimension, Unit

LARGEST_FILE = 1_000_000
"""A build sheet, test file or settings file is never larger. [byte]"""

Choice = TypeVar("Choice", bound=StrEnum)


def read_text(path: Path, refused: type[InputRefused], *, largest: int = LARGEST_FILE) -> str:
    """
    Read a UTF-8 text file of reasonable size.

    Parameters
    ----------
    path : Path
        The file.
    refused : type
        The error to raise.
    largest : int
        Most bytes. [byte]

    Returns
    -------
    str
        Its text, without a byte order mark.

    Raises
    ------
    InputRefused
        There is no such file, it is too large, or it is not UTF-8.
    """
    return decode(read_bytes(path, refused, largest=largest), path, refused)


def read_bytes(path: Path, refused: type[InputRefused], *, largest: int) -> bytes:
    """
    Read a file of reasonable size.

    Parameters
    ----------
    path : Path
        The file.
    refused : type
        The error to raise.
    largest : int
        Most bytes. [byte]

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    InputRefused
        There is no such file, it cannot be opened, or it is too large.
    """
    try:
        if path.is_dir():
            raise refused.of(f"“{path}”", "that is a folder", "name a file in it")
        size = path.stat().st_size
        if size > largest:
            raise refused.of(
                f"“{path}” with {size / 1e6:.1f} MB",
                f"such a file has {largest / 1e6:g} MB at most",
                "check that it is the right file",
            )
        with path.open("rb") as stream:
            return stream.read(largest + 1)
    except FileNotFoundError:
        raise refused.of(f"“{path}”", "there is no such file", "check the name and the folder") from None
    except OSError as error:
        why = f"it cannot be read ({error.strerror})"
        raise refused.of(f"“{path}”", why, "check its name and who may read it") from None
    except ValueError:
        raise refused.of(repr(str(path)), "that is no file name", "check the name") from None


def decode(raw: bytes, path: Path, refused: type[InputRefused], encoding: str = "utf-8-sig") -> str:
    """
    Decode a file's bytes.

    Parameters
    ----------
    raw : bytes
        What the file holds.
    path : Path
        Its name, for the message.
    refused : type
        The error to raise.
    encoding : str
        How it is to be read.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    InputRefused
        The bytes are not text in that encoding.
    """
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    try:
        text = raw.decode(encoding)
    except (UnicodeDecodeError, LookupError):
        raise refused.of(
            f"“{path}”", f"it is not text in {encoding.removesuffix('-sig')}", "save it as text in UTF-8"
        ) from None
    if "\x00" in text:
        raise refused.of(f"“{path}”", "it holds bytes that no text has", "check that it is the right file")
    return text


class Fields:
    """
    One TOML table, read field by field.

    Parameters
    ----------
    table : mapping
        The table.
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
        if isinstance(table, Mapping):
            self._table = table
        else:
            self.fault("", _shown(table), "this is a table of its own", f"write a line {where} and its fields below it")

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
                key, _shown(value), "this is a line of text", f'write it in quotes, for example {key} = "{example}"'
            )
            return ""
        if needed and not value:
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
        if isinstance(value, list) and all(isinstance(x, str) or type(x) is int for x in value):
            return tuple(str(item).strip() for item in value)
        self.fault(key, _shown(value), "this is a list of names", f'write for example {key} = ["1", "2"]')
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
        words = ", ".join(f'"{option}"' for option in options)
        if value is None:
            if needed:
                self.fault(key, "", f"{key} is missing", f"add a line {key} = with one of {words}")
            return None
        for option in options:
            if isinstance(value, str) and value.strip().casefold() == option.value.casefold():
                return option
        self.fault(key, _shown(value), f"{key} is one of {words}", "write one of these words in quotes")
        return None

    def measured(self, key: str, dimension: Dimension, *, unit: Unit | None = None) -> Measured | None:
        """
        Read a figure with its unit.

        Parameters
        ----------
        key : str
            The field.
        dimension : Dimension
            What kind of figure.
        unit : Unit or None
            The unit of a bare number; without it a bare number is a fault.

        Returns
        -------
        Measured or None
            None when missing or when it cannot be used.
        """
        value = self.raw(key)
        if value is None:
            return None
        try:
            if isinstance(value, str):
                return parse_measured(value, dimension, unit=unit)
            if isinstance(value, bool) or not isinstance(value, (int, float)):
                raise InputRefused.of(
                    _shown(value), f"this is a {dimension} with its unit", 'write it in quotes, "92 mm" for example'
                )
            return parse_measured(number_from_cell(value)[1], dimension, unit=unit)
        except InputRefused as error:
            self._faults.extend(error.at(f"{self._where} {key}").faults)
            return None

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
        value = self.raw(key)
        if value is None:
            return None
        try:
            return parse_gauge_pressure(value if isinstance(value, str) else _shown(value))
        except InputRefused as error:
            self._faults.extend(error.at(f"{self._where} {key}").faults)
            return None

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
        try:
            if isinstance(value, (str, int, float)):
                return number_from_cell(value)[0]
            raise InputRefused.of(_shown(value), "this is a number", f"write for example {key} = 8.4")
        except InputRefused as error:
            self._faults.extend(error.at(f"{self._where} {key}").faults)
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
            return date.fromisoformat(str(value)).isoformat()
        except ValueError:
            self.fault(key, _shown(value), "this is a day", f"write year, month, day, for example {key} = 2026-05-14")
            return ""

    def nothing_else(self) -> None:
        """Keep a fault for every field that nobody asked for, with the nearest one that exists."""
        for key in self._table:
            if key in self._asked:
                continue
            near = difflib.get_close_matches(key, self._asked, n=1)
            instead = f"did you mean {near[0]}?" if near else f"the fields here are {', '.join(sorted(self._asked))}"
            self.fault(key, f"“{key}”", "there is no such field here", instead)


def _shown(value: object) -> str:
    text = repr(value) if not isinstance(value, str) else f"“{value}”"
    return text if len(text) <= 60 else text[:57] + "..."  # noqa: PLR2004 - one line on a screen


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
        It is not TOML; the message names line and column.
    """
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        why = f"it is not written as TOML: {error}"
        raise refused.of("", why, 'text stands in quotes, a field is written as name = "value"') from None


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
            faults.append(Fault(f"“{key}”", "there is no such table here", instead, f"[{key}]"))
