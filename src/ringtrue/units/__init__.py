"""
The trade's spellings, read into SI and written back.

Figures arrive as text (or as the typed cells of a spreadsheet) and leave as text; between the two everything is SI.
Every number of the program comes through the one strict parser of this package, and every unit through its table.
"""

from __future__ import annotations

from ringtrue.units.figures import (
    from_si,
    gauge_unit,
    parse_gauge_pressure,
    parse_measured,
    to_si,
    written,
)
from ringtrue.units.numbers import DecimalMark, has_decimal_comma, number_from_cell, parse_number
from ringtrue.units.table import Dimension, Unit, find_unit, units_of
from ringtrue.units.timing import ValveEvent, parse_valve_timing

__all__ = [
    "DecimalMark",
    "Dimension",
    "Unit",
    "ValveEvent",
    "find_unit",
    "from_si",
    "gauge_unit",
    "has_decimal_comma",
    "number_from_cell",
    "parse_gauge_pressure",
    "parse_measured",
    "parse_number",
    "parse_valve_timing",
    "to_si",
    "units_of",
    "written",
]
