"""One row of a readings file: a pull, or a leak-down reading."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.errors import Fault
from ringtrue.intake.cell_reader import CellReader
from ringtrue.intake.cells import Row
from ringtrue.intake.columns import PRESSURES
from ringtrue.intake.plausible import implausible_of_day
from ringtrue.quantities import Measured
from ringtrue.units.numbers import told

MOST_REPEATS = 50
MOST_STROKES = 200
SMALLEST_RESTRICTOR, LARGEST_RESTRICTOR = 0.2e-3, 6e-3
"""Bores of restrictors that a tester can have; another one is mostly a unit mistaken for another. [m]"""

_ALSO_CALLED = {
    "oil filler": "crankcase",
    "dipstick": "crankcase",
    "breather": "crankcase",
    "carburettor": "intake",
    "carburetor": "intake",
    "throttle": "intake",
    "tailpipe": "exhaust",
    "radiator": "coolant",
}
"""What a builder says for where he listens."""
PLACES_HEARD = ("crankcase", "intake", "exhaust", "coolant", "nothing")

_OTHER_CYLINDER = re.compile(r"cylinder\s+(.{1,20})", re.IGNORECASE)
NEVER_BELOW_THE_FIRST = "the needle holds the highest, so the final is never below the first"
MISREAD_OR_SWAPPED = "check whether the two were swapped, or one was misread"
"""Of a first above its final: why it cannot be, and what to do."""
_OF_A_PULL = "this belongs to a pull, not to a leak-down reading"


@dataclass(frozen=True, slots=True)
class Made:
    """
    What one row came to.

    Parameters
    ----------
    row : Row
        The row.
    reading : Pull or LeakdownReading
        What it says; without what could not be read.
    whole : bool
        No cell of it is at fault.
    """

    row: Row
    reading: Pull | LeakdownReading
    whole: bool


def reading_of(cells: CellReader) -> Pull | LeakdownReading | None:
    """
    Make a pull or a leak-down reading of one row, and keep its faults.

    Parameters
    ----------
    cells : CellReader
        The row.

    Returns
    -------
    Pull or LeakdownReading or None
        Without what could not be read; None when it is not known which cylinder or which kind it is of.
    """
    common: Mapping[str, Any] = {
        "cylinder": cells.name(),
        "repeat": cells.count("repeat", MOST_REPEATS),
        "plug": cells.text("plug"),
        "note": cells.text("note"),
        "read_by": cells.text("read_by"),
        "at": cells.text("at"),
        "rpm": _asked(cells, "rpm", "cranking_speed"),
        "battery": _asked(cells, "battery", "battery"),
        "lift_loss": cells.measure("lift_loss"),
        "extra": cells.extra,
    }
    word = cells.text("kind").casefold().replace("-", "").replace(" ", "") or Kind.DRY.value
    if word not in set(Kind):
        cells.fault("kind", told(cells.text("kind")), "a reading is dry, wet or leakdown", "type one of these words")
        _look_at_the_rest(cells)
        return None
    kind = Kind(word)
    made = _leakdown(cells, common) if kind is Kind.LEAKDOWN else _pull(cells, kind, common)
    return made if made.cylinder else None


def _asked(cells: CellReader, name: str, key: str) -> Measured | None:
    """Read a figure of the day that stands in a row, and ask about one that is hard to believe."""
    figure = cells.measure(name)
    doubt = None if cells.any_size else implausible_of_day(key, figure)
    if doubt is not None:
        cells.fault(name, doubt.given, doubt.why, doubt.instead)
    return figure


_FLAGS = ("drift", "first_spoiled", "first_from_film")


def _look_at_the_rest(cells: CellReader) -> None:
    for name in PRESSURES:
        cells.pressure(name)
    for name in ("oil", "restrictor"):
        cells.measure(name)
    for name in _FLAGS:
        cells.flag(name)
    cells.count("strokes", MOST_STROKES)


def _pull(cells: CellReader, kind: Kind, common: Mapping[str, Any]) -> Pull:
    for name in ("supply", "held", "restrictor", "heard"):
        if cells.text(name):
            instead = "write kind leakdown, or clear the cell"
            cells.fault(name, told(cells.text(name)), "this belongs to a leak-down reading", instead)
    if kind is Kind.DRY and cells.text("oil"):
        cells.fault("oil", told(cells.text("oil")), "oil belongs to a wet pull", "write kind wet, or clear the cell")
    pull = Pull(
        kind=kind,
        first=cells.pressure("first"),
        final=cells.pressure("final"),
        first_spoiled=cells.flag("first_spoiled"),
        first_from_film=cells.flag("first_from_film"),
        drift=cells.flag("drift"),
        strokes=cells.count("strokes", MOST_STROKES),
        oil=cells.measure("oil") if kind is Kind.WET else None,
        **common,
    )
    fault = first_above_final(pull)
    if fault is not None:
        cells.fault("first", fault.given, fault.why, fault.instead)
    if pull.first_from_film and (pull.first is None or pull.first_spoiled):
        why = "no first stroke that counts was read off a film here"
        cells.fault("first_from_film", told(cells.text("first_from_film")), why, "write the first, or clear the cell")
    return pull


def first_above_final(pull: Pull) -> Fault | None:
    """
    Find a first stroke that reads more than the final one: the needle holds the highest, so it cannot.

    Parameters
    ----------
    pull : Pull
        The pull.

    Returns
    -------
    Fault or None
        None when it can be.
    """
    if pull.first is None or pull.final is None or pull.first.pressure <= pull.final.pressure * (1 + 1e-9):
        return None
    return Fault(
        f"first {pull.first} above final {pull.final}",
        NEVER_BELOW_THE_FIRST,
        MISREAD_OR_SWAPPED,
    )


def _leakdown(cells: CellReader, common: Mapping[str, Any]) -> LeakdownReading:
    for name in ("first", "final", "oil", "strokes"):
        if cells.text(name):
            cells.fault(name, told(cells.text(name)), _OF_A_PULL, "clear the cell")
    for name in _FLAGS:
        if cells.flag(name):
            cells.fault(name, told(cells.text(name)), _OF_A_PULL, "clear the cell")
    heard, unheard = places_heard(cells.text("heard"))
    reading = LeakdownReading(
        supply=cells.pressure("supply"),
        held=cells.pressure("held"),
        restrictor=cells.measure("restrictor"),
        heard=heard,
        **common,
    )
    for name, fault in (*leakdown_faults(reading), *(("heard", fault) for fault in unheard)):
        cells.fault(name, fault.given, fault.why, fault.instead)
    return reading


def leakdown_faults(reading: LeakdownReading) -> tuple[tuple[str, Fault], ...]:
    """
    Find what cannot be in a leak-down reading.

    Parameters
    ----------
    reading : LeakdownReading
        The reading.

    Returns
    -------
    tuple of (str, Fault)
        The field at fault, and what is wrong with it.
    """
    supply, held, restrictor = reading.supply, reading.held, reading.restrictor
    found = []
    if supply is not None and supply.pressure <= 0:
        why = "a cylinder cannot be tested without pressure"
        found.append(("supply", Fault(str(supply), why, "write the regulated supply, often 80 psi")))
    elif supply is not None and held is not None and held.pressure > supply.pressure * (1 + 1e-9):
        why = "a cylinder cannot hold more than it is given"
        found.append(("held", Fault(f"{held} of {supply}", why, "check whether the two were swapped")))
    known = restrictor is not None and restrictor.unit != ""
    if restrictor is not None and known and not SMALLEST_RESTRICTOR <= restrictor.value <= LARGEST_RESTRICTOR:
        why = "the restrictor of a leak-down tester is between 0.2 and 6 mm wide"
        found.append(
            ("restrictor", Fault(str(restrictor), why, "check figure and unit; often it is 0.040 in (1.02 mm)"))
        )
    return tuple(found)


def places_heard(text: str) -> tuple[tuple[str, ...], tuple[Fault, ...]]:
    """
    Read where the air of a leak-down test was heard.

    Parameters
    ----------
    text : str
        Places parted by semicolons; empty where nobody listened.

    Returns
    -------
    tuple of (tuple of str, tuple of Fault)
        The places in one spelling, and what is wrong with the text.
    """
    heard, found = [], []
    for place in filter(None, (part.strip() for part in text.split(";"))):
        other = _OTHER_CYLINDER.fullmatch(place)
        word = _ALSO_CALLED.get(place.casefold(), place.casefold())
        if word in PLACES_HEARD:
            heard.append(word)
        elif other:
            heard.append(f"cylinder {other[1]}")
        else:
            why = f"air is heard at {', '.join(PLACES_HEARD)} or cylinder N"
            found.append(Fault(told(place), why, "type these, parted by “;”"))
    if "nothing" in heard and len(heard) > 1:
        found.append(Fault(told(text), "nothing and something cannot both be heard", "keep one of them"))
    return tuple(dict.fromkeys(heard)), tuple(found)
