"""A build sheet filled in on a page: every field explained, the same TOML as is made question by question, and back."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from ringtrue.engine import BuildSheet
from ringtrue.errors import Fault, InputRefused, SheetRefused
from ringtrue.intake import parse_sheet
from ringtrue.shop.sheet_fields import FIELDS, GROUPS, SheetField
from ringtrue.shop.sheets import spoken, toml_value
from ringtrue.shop.typed import cylinder_typed, cylinders_typed

CHAMBERS = "chambers"
"""The field in which measured chambers stand, a line for each cylinder."""
NAMES = (*FIELDS, CHAMBERS)
"""Every field of the form."""
_ROUNDS = 8
"""So often what cannot be used is taken out of a sheet, to show what follows from the rest."""
_STANDING_IN = {"name": "this engine", "layout": "inline", "cylinders": "1"}
"""What stands for a field that a sheet needs, while it is not filled in."""

Carried = Mapping[str, Mapping[str, object]]


@dataclass(frozen=True, slots=True)
class Filled:
    """
    A build sheet as it was filled in.

    Parameters
    ----------
    text : str
        The sheet as TOML.
    sheet : BuildSheet or None
        The engine; None where the sheet does not hold together.
    faults : tuple of Fault
        Everything that cannot be used; ``where`` is the field.
    left_out : tuple of str
        Fields that were left out so that the rest holds together.
    """

    text: str
    sheet: BuildSheet | None
    faults: tuple[Fault, ...] = ()
    left_out: tuple[str, ...] = ()


@dataclass(slots=True)
class _Making:
    said: dict[str, str]
    carried: Carried
    faults: list[Fault] = field(default_factory=list)

    def text(self) -> str:
        """Write the sheet, and keep what could not be read."""
        cylinders = self._cylinders()
        tables: dict[str, dict[str, str]] = {"engine": {}}
        for name, each in FIELDS.items():
            typed = self.said.get(name, "")
            if typed and (value := self._value(each, typed, cylinders)) is not None:
                tables.setdefault(each.question.table, {})[each.question.key] = value
        for table, values in self.carried.items():
            if table != "measured":
                tables.setdefault(table, {}).update({key: _plain(value) for key, value in values.items()})
        lines: list[str] = []
        for table in dict.fromkeys([*GROUPS, *tables]):
            if table in tables:
                lines += [f"[{table}]", *(f"{key} = {value}" for key, value in tables[table].items()), ""]
            if table == "geometry":
                lines += self._measured(cylinders)
        return "\n".join(lines)

    def _cylinders(self) -> tuple[str, ...]:
        try:
            return cylinders_typed(self.said.get("cylinders", ""))
        except InputRefused:
            return ()

    def _value(self, each: SheetField, typed: str, cylinders: tuple[str, ...]) -> str | None:
        try:
            return toml_value(each.question, typed, cylinders)
        except InputRefused as error:
            self.faults += [replace(spoken(fault, each.question.key), where=each.name) for fault in error.faults]
            return None

    def _measured(self, cylinders: tuple[str, ...]) -> list[str]:
        rows: dict[str, dict[str, object]] = {}
        for name, values in self.carried.get("measured", {}).items():
            if isinstance(values, dict):
                rows[name] = dict(values)
        for line in self.said.get(CHAMBERS, "").splitlines():
            if not line.strip():
                continue
            try:
                name, volume = cylinder_typed(line.replace(":", " ", 1), cylinders)
            except InputRefused as error:
                self.faults += [replace(fault, where=CHAMBERS) for fault in error.faults]
                continue
            if "chamber" in rows.get(name, {}):
                why = "its chamber stands there twice"
                self.faults.append(Fault(f"cylinder “{name}”", why, "write one line for it", CHAMBERS))
                continue
            rows.setdefault(name, {})["chamber"] = volume
        lines = []
        for name, values in rows.items():
            lines += [f"[measured.{_plain(name)}]", *(f"{key} = {_plain(value)}" for key, value in values.items()), ""]
        return lines


def _plain(value: object) -> str:
    """Write what another TOML file held as TOML again: text, numbers and lists of them."""
    return json.dumps(value, ensure_ascii=False)


def fill_in(said: Mapping[str, str], carried: Carried | None = None) -> Filled:
    """
    Make a build sheet of what was filled in.

    Parameters
    ----------
    said : mapping of str to str
        What was typed, by field of `NAMES`; empty ones are left out.
    carried : mapping or None
        Lines of the sheet before that the form has no field for, by table, which stay.

    Returns
    -------
    Filled
        With every fault of it.
    """
    making = _Making(dict(said), carried or {})
    text = making.text()
    faults = list(making.faults)
    sheet = None
    try:
        sheet = parse_sheet(text)
    except SheetRefused as error:
        told = {fault.where for fault in faults}
        faults += [fault for fault in map(_placed, error.faults) if fault.where not in told]
    return Filled(text, None if faults else sheet, tuple(faults))


def what_follows(said: Mapping[str, str], carried: Carried | None = None) -> Filled:
    """
    Make as much of a sheet as holds together, so that what follows from it can be shown while it is filled in.

    Parameters
    ----------
    said, carried
        As in `fill_in`.

    Returns
    -------
    Filled
        Without the fields that cannot be used; its faults say why. Fields that a sheet needs have something stand in.
    """
    whole = fill_in(said, carried)
    if whole.sheet is not None:
        return whole
    rest = dict(said)
    left_out: list[str] = []
    for name, usual in _STANDING_IN.items():
        rest[name] = rest.get(name, "") or usual
    for _ in range(_ROUNDS):
        tried = fill_in(rest, carried)
        if tried.sheet is not None:
            return Filled(whole.text, tried.sheet, whole.faults, tuple(left_out))
        wrong = {fault.where for fault in tried.faults} & {name for name, text in rest.items() if text}
        if not wrong:
            break
        for name in sorted(wrong):
            left_out += [name] if said.get(name) else []
            usual = _STANDING_IN.get(name, "")
            rest[name] = usual if rest[name] != usual else ""
    return Filled(whole.text, None, whole.faults, tuple(left_out))


def _placed(fault: Fault) -> Fault:
    """Find the field of the form that a fault of the file is about."""
    table, _, key = fault.where.partition("] ")
    if table.startswith("[measured"):
        return Fault(f"{table.removeprefix('[measured.')}: {fault.given}", fault.why, fault.instead, CHAMBERS)
    key = key.split(",")[0].strip()
    table = table.strip("[] ")
    for name, each in FIELDS.items():
        if (each.question.table, each.question.key) == (table, key):
            return replace(spoken(fault, each.question.key), where=name)
    return fault


def fields_of(text: str) -> tuple[dict[str, str], dict[str, dict[str, object]]]:
    """
    Take a build sheet apart into the fields of the form.

    Parameters
    ----------
    text : str
        A sheet that holds together.

    Returns
    -------
    (dict, dict)
        What stands in each field; and, by table, the lines that the form has no field for.
    """
    document = tomllib.loads(text)
    known = {(each.question.table, each.question.key): name for name, each in FIELDS.items()}
    said: dict[str, str] = {}
    carried: dict[str, dict[str, object]] = {}
    for table, values in document.items():
        if table == "measured":
            continue
        for key, value in values.items():
            if (name := known.get((table, key))) is not None:
                said[name] = _shown(FIELDS[name], value)
            else:
                carried.setdefault(table, {})[key] = value
    lines = []
    for cylinder, values in document.get("measured", {}).items():
        if "chamber" in values:
            lines.append(f"{cylinder}: {values['chamber']}")
        if more := {key: value for key, value in values.items() if key != "chamber"}:
            carried.setdefault("measured", {})[cylinder] = more
    if lines:
        said[CHAMBERS] = "\n".join(lines)
    return said, carried


def _shown(each: SheetField, value: object) -> str:
    if not isinstance(value, list):
        return f"{value:.15g}" if isinstance(value, float) else str(value)
    if each.question.form == "banks":
        return " / ".join(_in_a_row(bank) for bank in value)
    if each.question.form == "word list":
        return ", ".join(map(str, value))
    return _in_a_row(value)


def _in_a_row(names: Iterable[object]) -> str:
    texts = [f"{name:.15g}" if isinstance(name, float) else str(name) for name in names]
    return (", " if any(" " in text for text in texts) or len(texts) == 1 else " ").join(texts)
