"""Whatever is in a file, it is read or refused in a sentence: no other error, nothing endless, nothing half read."""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from tests.written import WRITERS, as_csv, as_json, as_xlsx, read

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.engine import BuildSheet, faults
from ringtrue.errors import GaugeRefused, InputRefused, ReadingsRefused, SettingsRefused, SheetRefused
from ringtrue.intake import Day, Readings, Settings, parse_day, parse_settings, parse_sheet
from ringtrue.intake.columns import KNOWN
from ringtrue.intake.files import decode

ROWS = [
    ("cylinder", "kind", "first [psi]", "final", "unit", "heard", "oil", "note"),
    ("1", "dry", 95, 150.5, "psi", None, None, "a “note”"),
    ("2", "wet", None, "10,4 bar", None, None, "5 cc", "=1+1"),
]
SAMPLES = {"csv": as_csv(ROWS), "json": as_json(ROWS), "xlsx": as_xlsx(ROWS)}
SHEET = """
[engine]
name = "Launch six"
layout = "inline"
cylinders = ["1", "2"]
firing_order = ["1", "2"]
firing_intervals = [360, 360.0]
[geometry]
bore = "92 mm"
compression_ratio = 8.4
[measured."2"]
chamber = "71 cc"
[camshaft]
intake_closes = "44 deg after BDC"
"""
DAY = """
[test]
date = 2026-05-14
run_since_build = "25 h"
[gauge]
range = "300 psi"
grade = "B"
repeatability = "0.6 %"
[conditions]
barometer = "1003 hPa"
"""
SETTINGS = """
[shop]
name = "x"
[units]
pressure = "bar"
[limits]
mean_deviation_target = 2.0
"""


def told_well(refusal: InputRefused) -> None:
    """Check that every fault says something on one line that a terminal only shows."""
    for fault in refusal.faults:
        assert fault.why
        assert fault.instead
        assert str(fault).isprintable(), ascii(str(fault))
        assert len(str(fault)) < 1_000


def sound(found: Readings) -> None:
    """Check that readings are what readings can be."""
    for taken in found.taken:
        assert taken.cylinder.strip()
        figures = (taken.first, taken.final) if isinstance(taken, Pull) else (taken.supply, taken.held)
        for figure in figures:
            assert figure is None or (0 <= figure.pressure < math.inf and figure.unit)
        if isinstance(taken, LeakdownReading):
            assert "nothing" not in taken.heard or taken.heard == ("nothing",)


def reads(name: str, raw: bytes, sheet: BuildSheet | None = None) -> None:
    """Read a file, or be refused."""
    try:
        found = read(raw, name, sheet)
    except ReadingsRefused as refusal:
        told_well(refusal)
    else:
        sound(found)


@st.composite
def damaged(draw: st.DrawFn, sample: bytes) -> bytes:
    """Make files that were nearly sound."""
    raw = bytearray(sample)
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(raw)))
        end = min(len(raw), place + draw(st.sampled_from([0, 1, 2, 7, 60])))
        raw[place:end] = draw(
            st.binary(max_size=4)
            | st.sampled_from(
                [b'"', b",", b";", b"\n", b"[", b"]", b"{", b"\x00", b"e9", b"-", b"\xff\xfe", b"NaN", b"=", b"'"]
            )
            | st.just(bytes(raw[place : place + 40]) * 3)
        )
    return bytes(raw)


# If this failed, noise, or a file that was cut, flipped or doubled somewhere, would end in a traceback.
@pytest.mark.parametrize("name", sorted(SAMPLES))
@settings(suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_bytes(name: str, data: st.DataObject) -> None:
    raw = data.draw(st.binary(max_size=300) | damaged(SAMPLES[name]), label="file")
    reads(name, raw)


TEXTS = (
    st.text(max_size=12)
    | st.text("0123456789.,-+ eEpsibarkPmc/\"'%°[];\u00a0\u2212\u0661\x00\x1b", max_size=12)
    | st.sampled_from(
        ["150 psi", "10,4 bar", "1.034", "yes", "no", "dry", "wet", "leakdown", "cylinder 2", "nothing", "1", "5 cc"]
    )
)
CELLS = (
    st.none()
    | st.booleans()
    | st.integers(-5, 2_000)
    | st.integers()
    | st.floats(-10, 2_000)
    | st.floats()
    | TEXTS
    | st.lists(TEXTS, max_size=2)
    | st.dictionaries(TEXTS, st.integers(), max_size=1)
)
COLUMNS = (
    st.sampled_from(KNOWN)
    | st.sampled_from(
        ["final [psi]", "final [bar]", "first [psi]", "supply [kPa]", "held [kPa]", "oil [cc]", "final (psi)"]
    )
    | TEXTS
)
TABLES = st.lists(COLUMNS, max_size=6, unique_by=lambda name: name.strip()).flatmap(
    lambda columns: st.tuples(
        st.just(["cylinder", *(name for name in columns if name.strip() != "cylinder")]),
        st.lists(st.lists(CELLS, min_size=len(columns) + 1, max_size=len(columns) + 1), max_size=5),
    )
)
TWO = parse_sheet(SHEET)


# If this failed, some table of cells, in which everything may stand anywhere, would end in a traceback.
@given(TABLES, st.sampled_from([None, TWO]))
@example((["cylinder", "heard"], [["1", ["intake", "coolant"]], ["1", [""]]]), None)
@example((["cylinder", "final [psi]"], [["1", 10**400], ["2", math.inf]]), TWO)
def test_tables(made: tuple[list[str], list[list[object]]], sheet: BuildSheet | None) -> None:
    columns, rows = made
    reads("json", json.dumps([dict(zip(columns, row, strict=False)) for row in rows]).encode(), sheet)
    plain = [[None if isinstance(cell, (list, dict)) else cell for cell in row[: len(columns)]] for row in rows]
    try:
        text = as_csv([columns, *plain])
    except UnicodeEncodeError:  # half a character is for JSON alone
        return
    reads("csv", text, sheet)


# If this failed, a spreadsheet with any mixture of cells would end in a traceback.
@settings(suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.lists(
            st.none()
            | st.booleans()
            | st.integers(-5, 2_000)
            | st.floats(-10, 2_000)
            | st.text("0123456789.,psibar ='", max_size=9)
            | st.dates(dt.date(1901, 1, 1))
            | st.timedeltas(dt.timedelta(0), dt.timedelta(9)),
            min_size=3,
            max_size=4,
        ),
        max_size=4,
    )
)
def test_spreadsheets(rows: list[list[object]]) -> None:
    reads("xlsx", WRITERS["xlsx"]([["cylinder", "first [psi]", "final [psi]"], *rows]))


VALUES: st.SearchStrategy[object] = st.recursive(
    st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.integers(0, 200)
    | st.floats(allow_subnormal=False)
    | st.text(st.characters(codec="utf-8"), max_size=10)
    | st.sampled_from(
        ["92 mm", "150 psi", "1,234 mm", "44 deg after BDC", "5 psia", "80 C", "0.6 %", "spark", "V", "1", "2"]
    )
    | st.dates()
    | st.datetimes(),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text("abc", min_size=1, max_size=3), inner, max_size=2)
    ),
    max_leaves=6,
)


def toml(value: object) -> str:
    """Write a value as TOML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {toml(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(inner) for inner in value) + "]"
    if isinstance(value, (dt.datetime, dt.date)):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


@st.composite
def documents(draw: st.DrawFn, sample: str) -> str:
    """Make TOML files in which some fields hold something else, and some are new."""
    made = []
    for line in sample.strip().split("\n"):
        kept = draw(st.integers(0, 9))
        if kept == 0:
            continue
        if kept <= 2 and "=" in line:
            made.append(f"{line.partition('=')[0]}= {toml(draw(VALUES))}")
        elif kept == 3:
            made += [line, f"{json.dumps(draw(st.text(max_size=8)))} = {toml(draw(VALUES))}"]
        else:
            made.append(line)
    return "\n".join(made)


PARSERS: dict[str, tuple[str, Callable[[str], object], type, type[InputRefused]]] = {
    "sheet": (SHEET, parse_sheet, BuildSheet, SheetRefused),
    "day": (DAY, parse_day, Day, GaugeRefused),
    "settings": (SETTINGS, parse_settings, Settings, SettingsRefused),
}


# If this failed, some TOML file would end in a traceback, or a sheet would be taken that contradicts itself.
@pytest.mark.parametrize("name", sorted(PARSERS))
@given(data=st.data())
def test_toml(name: str, data: st.DataObject) -> None:
    sample, parse, kind, refused = PARSERS[name]
    text = data.draw(documents(sample) | st.text(st.characters(codec="utf-8"), max_size=200), label="file")
    try:
        found = parse(text)
    except refused as refusal:
        told_well(refusal)
    else:
        assert isinstance(found, kind)
        if isinstance(found, BuildSheet):
            assert faults(found) == ()


# If this failed, bytes that are no text would end in a traceback before the parser sees them.
@pytest.mark.parametrize("name", sorted(PARSERS))
@given(data=st.data())
def test_bytes_as_toml(name: str, data: st.DataObject) -> None:
    sample, parse, _, refused = PARSERS[name]
    raw = data.draw(st.binary(max_size=200) | damaged(sample.encode()), label="file")
    try:
        parse(decode(raw, refused))
    except refused as refusal:
        told_well(refusal)
