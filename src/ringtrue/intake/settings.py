"""The shop's settings, a TOML file: names, units, paper, thresholds, and where the record book is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from ringtrue.errors import Fault, InputRefused, SettingsRefused
from ringtrue.intake.fields import LARGEST_FILE, Fields, only_tables, parse_toml, shown
from ringtrue.intake.files import decode, named, read_bytes
from ringtrue.intake.practice import PRACTICE, read_practice, usual_practice
from ringtrue.units import Dimension, find_unit, number_from_cell, parse_number

PAPERS = ("A4", "Letter")

FIELDS = {
    "shop.name": "the shop's name, on every sheet",
    "shop.builder": "the builder's name, under every sheet",
    "units.pressure": "the unit in which pressures are typed where nothing else says so: psi, kPa, bar, kg/cm2",
    "sheet.paper": "A4 or Letter",
    "book.where": "the record book: a file, or a PostgreSQL address",
}
"""What can be set, besides the thresholds of the general rules under ``limits``."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, slots=True)
class Settings:
    """
    What a shop has settled once.

    Parameters
    ----------
    shop, builder : str
        Names on the sheets; empty when not said.
    pressure : str
        Unit of pressures where nothing else says so; empty when not said.
    paper : str
        "A4" or "Letter".
    book : str
        File or address of the record book; empty for the usual place.
    limits : mapping of str to float
        Thresholds of general rules that the shop has changed, by rule key, in the rule's own unit.
    practice : mapping of str to (mapping of str to float)
        How often causes are met, and the minutes of checks, where the shop has changed them: by table of `PRACTICE`,
        then by key. [- or min]
    """

    shop: str = ""
    builder: str = ""
    pressure: str = ""
    paper: str = "A4"
    book: str = ""
    limits: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    practice: Mapping[str, Mapping[str, float]] = field(default_factory=lambda: MappingProxyType({}))


def read_settings(path: Path) -> Settings:
    """
    Read the settings; a file that is not there means that nothing was settled.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Settings
        What it says.

    Raises
    ------
    SettingsRefused
        It cannot be used; every fault is told at once.
    """
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return Settings()
    except (OSError, ValueError):
        pass  # what is the matter is told when it is read
    raw = read_bytes(path, SettingsRefused, largest=LARGEST_FILE)
    with named(str(path), SettingsRefused):
        return parse_settings(decode(raw, SettingsRefused))


def parse_settings(text: str) -> Settings:
    """
    Read the settings from their text.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    Settings
        What it says.

    Raises
    ------
    SettingsRefused
        It cannot be used; every fault is told at once.
    """
    document = parse_toml(text, SettingsRefused)
    found: list[Fault] = []
    only_tables(document, ("shop", "units", "sheet", "book", "limits", *PRACTICE), found)
    shop = Fields(document.get("shop", {}), "[shop]", found)
    units = Fields(document.get("units", {}), "[units]", found)
    sheet = Fields(document.get("sheet", {}), "[sheet]", found)
    book = Fields(document.get("book", {}), "[book]", found)
    settings = Settings(
        shop=shop.text("name", example="Harbour Lane Engines"),
        builder=shop.text("builder", example="initials or a name"),
        pressure=_unit(units),
        paper=_paper(sheet),
        book=book.text("where", example="shop-book.db"),
        limits=_limits(document.get("limits", {}), found),
        practice=read_practice({name: document[name] for name in PRACTICE if name in document}, found),
    )
    for table in (shop, units, sheet, book):
        table.nothing_else()
    if found:
        raise SettingsRefused(*found)
    return settings


def _unit(table: Fields) -> str:
    text = table.text("pressure", example="psi")
    if not text:
        return ""
    try:
        return find_unit(text, Dimension.PRESSURE).name
    except InputRefused as error:
        table.keep("pressure", error)
        return ""


def _paper(table: Fields) -> str:
    text = table.text("paper", example="A4")
    for paper in PAPERS:
        if text.casefold() == paper.casefold():
            return paper
    if text:
        table.fault("paper", shown(text), "sheets are printed on A4 or Letter", 'write "A4" or "Letter"')
    return PAPERS[0]


def _limits(table: object, found: list[Fault]) -> Mapping[str, float]:
    fields = Fields(table, "[limits]", found)
    if not isinstance(table, dict) or not table:
        return MappingProxyType({})
    from ringtrue.measure.limits import DEFAULT, thresholds

    values = {}
    for key in table:
        if key not in DEFAULT:
            why = "there is no such rule whose limit a shop may set"
            fields.fault("", shown(key), why, f"use one of: {', '.join(DEFAULT)}")
            continue
        value = fields.number(key)
        if value is None:
            continue
        values[key] = value
        try:
            thresholds({key: value})
        except SettingsRefused as error:
            fields.fault("", error.faults[0].given, error.faults[0].why, error.faults[0].instead)
    return MappingProxyType(values)


def with_setting(text: str, key: str, value: str) -> str:
    """
    Write one setting into the text of a settings file, and leave the rest of it as it is.

    Parameters
    ----------
    text : str
        The file as it is; may be empty.
    key : str
        Table and field, for example ``shop.name``.
    value : str
        What it becomes; empty removes the line.

    Returns
    -------
    str
        The file as it is to be.

    Raises
    ------
    SettingsRefused
        There is no such setting, or the value cannot be used.
    """
    table, _, name = key.partition(".")
    if key not in FIELDS and (table not in {"limits", *PRACTICE} or not _BARE.fullmatch(name)):
        known = ", ".join(
            (*FIELDS, "limits.RULE", "causes.CAUSE", "engine_causes.CAUSE", "bank_causes.CAUSE", "minutes.CHECK")
        )
        raise SettingsRefused.of(shown(key), "there is no such setting", f"set one of {known}")
    line = f"{name} = {_toml(key, value)}" if value else ""
    lines = text.split("\n")
    header = re.compile(rf"\s*\[\s*{table}\s*\]\s*(#.*)?")
    start = next((i for i, row in enumerate(lines) if header.fullmatch(row)), None)
    if start is None and not line:
        return text
    if start is None:
        while lines and not lines[-1].strip():
            lines.pop()
        lines += ([""] if lines else []) + [f"[{table}]", line, ""]
    else:
        end = next((i for i in range(start + 1, len(lines)) if lines[i].lstrip().startswith("[")), len(lines))
        at = next((i for i in range(start + 1, end) if re.match(rf"\s*{re.escape(name)}\s*=", lines[i])), None)
        if at is not None:
            lines[at : at + 1] = [line] if line else []
        elif line:
            lines.insert(start + 1, line)
    made = "\n".join(lines)
    parse_settings(made)
    return made


def _usual(key: str) -> float:
    """Return what a figure of the settings is where a shop has changed nothing; of any like it where there is none."""
    from ringtrue.measure.limits import DEFAULT

    table, _, name = key.partition(".")
    usual = DEFAULT if table == "limits" else usual_practice()[table]
    return usual.get(name, next(iter(usual.values())))


def _figure(key: str, value: str) -> float:
    """Read a figure; one with a per cent sign is turned into what the setting is written in, a share or per cent."""
    from ringtrue.measure.limits import PERCENTAGES

    table, _, name = key.partition(".")
    if table == "minutes" or not value.endswith("%"):
        return parse_number(value)
    percent = parse_number(value[:-1])
    return percent if name in PERCENTAGES else float(f"{percent / 100:.15g}")


def _toml(key: str, value: str) -> str:
    if key not in FIELDS:
        try:
            return number_from_cell(_figure(key, value.strip()))[1]
        except InputRefused as error:
            instead = f"type a number such as {_usual(key):g}"
            raise SettingsRefused(*(replace(each, instead=instead) for each in error.at(key).faults)) from None
    if not value.isprintable():
        raise SettingsRefused.of(shown(value), "this is a line of text", "leave out what cannot be printed", key)
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
