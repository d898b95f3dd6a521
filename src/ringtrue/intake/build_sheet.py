"""The build sheet, a TOML file: read into the engine."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ringtrue.engine import (
    BuildSheet,
    Camshaft,
    Cooling,
    Geometry,
    Heads,
    Ignition,
    Layout,
    Limits,
    Rings,
    faults,
)
from ringtrue.errors import Fault, InputRefused, SheetRefused
from ringtrue.intake.fields import LARGEST_FILE, NO_FIELD, NO_TABLE, Fields, only_tables, parse_toml, shown
from ringtrue.intake.files import decode, named, read_bytes
from ringtrue.quantities import PaGauge, Radians
from ringtrue.units import Dimension, parse_valve_timing

LARGEST_ANGLE = 720.0
"""One cycle of a four-stroke. [deg]"""

TABLES = ("engine", "geometry", "measured", "camshaft", "rings", "gasket", "limits")

_LENGTHS = ("bore", "stroke", "rod", "deck_clearance", "gasket_thickness", "gasket_bore")
_VOLUMES = ("chamber", "piston_dish")
# The words in which a cam card gives an event, and the one in which the sheet counts it as positive.
_EVENTS = {
    "intake_opens": ("before TDC", "after TDC"),
    "intake_closes": ("after BDC", "before BDC"),
    "exhaust_opens": ("before BDC", "after BDC"),
    "exhaust_closes": ("after TDC", "before TDC"),
}


def read_sheet(path: Path) -> tuple[BuildSheet, str]:
    """
    Read a build sheet from a file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    tuple of BuildSheet and str
        The engine, and the text as it was written.

    Raises
    ------
    SheetRefused
        The file cannot be read, or the sheet cannot be used; every fault is told.
    """
    raw = read_bytes(path, SheetRefused, largest=LARGEST_FILE)
    with named(path.name, SheetRefused):
        text = decode(raw, SheetRefused)
        return parse_sheet(text), text


@lru_cache(maxsize=64)
def parse_sheet(text: str) -> BuildSheet:
    """
    Read a build sheet from its text.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    BuildSheet
        The engine.

    Raises
    ------
    SheetRefused
        It cannot be used; every fault is told at once.
    """
    document = parse_toml(text, SheetRefused)
    found: list[Fault] = []
    only_tables(document, TABLES, found)
    engine = Fields(document.get("engine"), "[engine]", found)
    name = engine.text("name", needed=True, example="Launch six")
    layout = engine.choice("layout", Layout, needed=True)
    cylinders = engine.names("cylinders")
    if not cylinders and engine.sound and engine.raw("cylinders") in (None, []):
        engine.fault("cylinders", "", "the cylinders are missing", 'add a line cylinders = ["1", "2", "3", "4"]')
    cycle = _cycle(engine)
    parts = {name: Fields(document.get(name, {}), f"[{name}]", found) for name in _PARTS}
    values: dict[str, Any] = {
        "reference": engine.text("reference", example="0417"),
        "ignition": engine.choice("ignition", Ignition),
        "heads": engine.choice("heads", Heads),
        "cooling": engine.choice("cooling", Cooling),
        "hazards": engine.names("hazards"),
        "family": engine.text("family", example="small diesels"),
        "banks": _banks(engine),
        "firing_order": engine.names("firing_order"),
        "firing_intervals": _intervals(engine),
        **{name: read(parts[name]) for name, read in _PARTS.items()},
    }
    values["measured"], values["measured_gaps"] = _measured(document.get("measured", {}), found)
    engine.nothing_else()
    _led_home(found, (engine, *parts.values()))
    if layout is None or not cylinders or any(fault.where.startswith("[engine]") for fault in found):
        raise SheetRefused(*found)
    sheet = BuildSheet(name=name, layout=layout, cylinders=cylinders, cycle=cycle, **values)
    found.extend(faults(sheet))
    if found:
        raise SheetRefused(*found)
    return sheet


def _led_home(found: list[Fault], tables: Sequence[Fields]) -> None:
    """Say of a field that stands in the wrong place where its place is."""
    for number, fault in enumerate(found):
        home = next(filter(None, (table.home_of(fault.given.strip("“”")) for table in tables)), "")
        if home and fault.why in {NO_FIELD, NO_TABLE}:
            found[number] = replace(fault, instead=f"its place is under {home}")


def _cycle(engine: Fields) -> int:
    value = engine.raw("cycle")
    if value is None:
        return 4
    if type(value) is int and value in {2, 4}:
        return value
    engine.fault("cycle", shown(value), "an engine here has 2 or 4 strokes a cycle", "write cycle = 4 or cycle = 2")
    return 4


def _banks(engine: Fields) -> tuple[tuple[str, ...], ...]:
    value = engine.raw("banks")
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(bank, list) for bank in value):
        engine.fault(
            "banks", shown(value), "this is a list of lists", 'write for example banks = [["1", "2"], ["3", "4"]]'
        )
        return ()
    return tuple(engine.names("banks", bank) for bank in value)


def _intervals(engine: Fields) -> tuple[float, ...]:
    value = engine.raw("firing_intervals")
    if value is None:
        return ()
    if isinstance(value, list) and all(type(x) in {int, float} and abs(x) <= LARGEST_ANGLE for x in value):
        return tuple(float(item) for item in value)
    engine.fault(
        "firing_intervals", shown(value), "this is a list of crank degrees", "write for example [90, 180, 90, 360]"
    )
    return ()


def _geometry(table: Fields) -> Geometry:
    values = {key: table.si(key, Dimension.LENGTH) for key in _LENGTHS}
    values |= {key: table.si(key, Dimension.VOLUME) for key in _VOLUMES}
    ratio = table.number("compression_ratio")
    table.nothing_else()
    return Geometry(compression_ratio=ratio, **values)


def _measured(
    tables: object, found: list[Fault]
) -> tuple[MappingProxyType[str, Geometry], MappingProxyType[str, float]]:
    if not isinstance(tables, dict):
        found.append(
            Fault(shown(tables), "this is a table for each cylinder", 'write a line [measured."3"]', "[measured]")
        )
        tables = {}
    sizes: dict[str, Geometry] = {}
    gaps: dict[str, float] = {}
    for name, table in tables.items():
        fields = Fields(table, f'[measured."{shown(name)[1:-1]}"]', found)
        gap = _top_gap(fields)
        if gap is not None:
            gaps[name] = gap
        size = _geometry(fields)
        if gap is None or size != Geometry():
            sizes[name] = size
    return MappingProxyType(sizes), MappingProxyType(gaps)


def _camshaft(table: Fields) -> Camshaft:
    quoted_at = table.text("quoted_at", example="tappet").casefold()
    if quoted_at not in {"", "tappet", "valve"}:
        table.fault(
            "quoted_at",
            shown(quoted_at),
            "the lift is quoted at the tappet or at the valve",
            'write "tappet" or "valve"',
        )
    values: dict[str, Any] = {
        key: table.si(key, Dimension.LENGTH)
        for key in ("quoted_at_lift", "lash", "intake_lift", "intake_valve_diameter")
    }
    values["rocker_ratio"] = table.number("rocker_ratio")
    for key in ("intake_duration", "exhaust_duration", "lobe_separation", "advance"):
        angle = table.measured(key, Dimension.ANGLE)
        values[key] = None if angle is None else angle.value
    for key, words in _EVENTS.items():
        values[key] = _event(table, key, words)
    for key in ("quoted_at_lift", "lash", "intake_lift", "intake_valve_diameter", "rocker_ratio", "intake_duration"):
        if (value := values[key]) is not None and value < 0:
            table.fault(
                key,
                "a negative figure",
                f"{key.replace('_', ' ')} is not below zero",
                "correct it, or leave the line out",
            )
    table.nothing_else()
    return Camshaft(quoted_at=quoted_at, **values)


def _event(table: Fields, key: str, words: tuple[str, str]) -> Radians | None:
    positive, negative = words
    value = table.raw(key)
    if value is None:
        return None
    instead = f'write for example {key} = "40 deg {positive}"'
    if not isinstance(value, str):
        table.fault(key, shown(value), "a valve opens or closes so many degrees before or after a dead centre", instead)
        return None
    try:
        degrees, event = parse_valve_timing(value)
    except InputRefused as error:
        table.keep(key, error)
        return None
    if str(event) not in words:
        table.fault(key, shown(value), f"{key.replace('_', ' ')} is counted {positive} (or {negative})", instead)
        return None
    return Radians(math.radians(degrees if str(event) == positive else -degrees))


def _rings(table: Fields) -> Rings:
    kind = table.text("kind", example="gapped").casefold()
    if kind not in {"", "gapped", "gapless"}:
        table.fault("kind", shown(kind), "rings are gapped or gapless", 'write "gapped" or "gapless"')
    gap = _top_gap(table)
    table.nothing_else()
    return Rings(kind, gap)


def _top_gap(table: Fields) -> float | None:
    gap = table.si("top_gap", Dimension.LENGTH)
    if gap is not None and gap < 0:
        table.fault("top_gap", "a negative gap", "a gap is not below zero", "correct it, or leave the line out")
    return gap


def _gasket(table: Fields) -> str:
    kind = table.text("kind", example="copper")
    table.nothing_else()
    return kind


def _limits(table: Fields) -> Limits:
    minimum, spread = table.gauge_pressure("minimum"), table.gauge_pressure("spread")
    limits = Limits(
        minimum=None if minimum is None else PaGauge(minimum.value),
        spread=None if spread is None else spread.value,
        lowest_over_highest=table.number("lowest_over_highest"),
        adopt=table.names("adopt"),
    )
    table.nothing_else()
    return limits


_PARTS: Mapping[str, Callable[[Fields], Any]] = {
    "geometry": _geometry,
    "gasket": _gasket,
    "camshaft": _camshaft,
    "rings": _rings,
    "limits": _limits,
}
"""Tables besides ``[engine]`` and ``[measured]``, and what reads each."""
