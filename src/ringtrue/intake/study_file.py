"""A study file: the finals of a gauge study, by cylinder, person and repeat."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from ringtrue.compression import Gauge, StudyReading
from ringtrue.errors import Fault, ReadingsRefused
from ringtrue.intake.cells import Row, Table, Wanted
from ringtrue.intake.small_table import SmallTable, Typed, table_of
from ringtrue.units import Dimension, find_unit, from_si

WANTED = Wanted(
    "cylinder",
    "write a header, for example: cylinder,read_by,repeat,final [psi]",
    'write for example [{"cylinder": "1", "read_by": "JA", "repeat": 1, "final [psi]": 150}]',
)
KNOWN = {
    "pull": None,
    "cylinder": None,
    "read_by": None,
    "repeat": None,
    "final": Dimension.PRESSURE,
    "date": None,
    "note": None,
}
MOST_READINGS = 1_000
MOST_REPEATS = 50
FEWEST_CYLINDERS = FEWEST_REPEATS = 2
FAR_APART = 0.2
"""Repeats of one person on one cylinder that differ by more than this share are a misread, not scatter. [-]"""
_SHOWN = 6


@dataclass(frozen=True, slots=True)
class StudyFile:
    """
    What a study file says: as many repeats in every cell.

    Parameters
    ----------
    readings : tuple of StudyReading
        In the order taken.
    cylinders, people : tuple of str
        In the order in which they first stand; one person without a name is an empty text.
    repeats : int
        In every cell.
    date : str
        ISO date; empty when not said.
    warnings : tuple of str
        What the person should know.
    """

    readings: tuple[StudyReading, ...]
    cylinders: tuple[str, ...]
    people: tuple[str, ...]
    repeats: int
    date: str
    warnings: tuple[str, ...]


def read_study(
    path: Path, raw: bytes, typed: Typed, gauge: Gauge | None = None, *, names_right: bool = False
) -> StudyFile:
    """
    Read a study file.

    Parameters
    ----------
    path : Path
        Its name.
    raw : bytes
        What it holds: CSV, XLSX or JSON.
    typed : Typed
        How it is written.
    gauge : Gauge or None
        The gauge that was used: nothing is read above its range.
    names_right : bool
        People whose names look alike are different people.

    Returns
    -------
    StudyFile
        Whole and balanced.

    Raises
    ------
    ReadingsRefused
        It cannot be used; every fault is told at once.
    """
    try:
        return _study(table_of(path, raw, WANTED, typed.encoding), typed, gauge, names_right=names_right)
    except ReadingsRefused as error:
        raise error.at(path.name) from None


def _study(table: Table, typed: Typed, gauge: Gauge | None, *, names_right: bool) -> StudyFile:
    small = SmallTable(table, KNOWN, typed)
    if not small.has("final"):
        small.faults.append(
            Fault("", "a column “final” is missing", "add where the needle stopped: final [psi]", "header")
        )
    if len(table.rows) > MOST_READINGS:
        given = f"{len(table.rows)} readings"
        small.faults.append(Fault(given, f"a study has {MOST_READINGS} at most", "check that it is the right file"))
    seen = Counter[tuple[str, str]]()
    readings = []
    for row in table.rows:
        made = _reading(small, row, seen, gauge)
        if made is not None:
            readings.append((row, made))
    _the_whole_column(small, len(table.rows), len(readings))
    day = small.one("date", [(row, small.day(row, "date")) for row in table.rows])
    small.done()
    people = tuple(dict.fromkeys(made.person for _, made in readings))
    small.faults.extend(_names(people, right=names_right))
    small.done()
    cylinders = tuple(dict.fromkeys(made.cylinder for _, made in readings))
    repeats = _shape(small, readings, cylinders, people)
    small.done()
    warnings = list(small.unknown)
    if len(people) == 2:  # noqa: PLR2004 - a spread of two
        warnings.append("with two people the spread between people is hardly known: its interval is very wide")
    if (len(cylinders) - 1) * len(people) * (repeats - 1) < _FEW:
        warnings.append("few readings know a scatter badly: more cylinders or repeats make its interval narrower")
    return StudyFile(tuple(made for _, made in readings), cylinders, people, repeats, day, tuple(warnings))


_FEW = 8
_GOES_TO = "the gauge goes to"


def _the_whole_column(small: SmallTable, rows: int, read: int) -> None:
    """Say once what is wrong with all rows for one reason."""
    if read or not rows or not small.has("final"):
        return
    if not small.faults:
        instead = "pull in the order of the file, and write each final where the needle stopped into its row"
        small.faults.append(Fault("", "no final is filled in yet", instead, "column final"))
    elif rows > 1 and len(small.faults) == rows and all(each.why.startswith(_GOES_TO) for each in small.faults):
        first = small.faults[0]
        given = f"{first.given} and all others"
        instead = "check the unit in the heading of the column, and that no two columns have changed places"
        small.faults[:] = [Fault(given, first.why, instead, "column final")]


def _reading(small: SmallTable, row: Row, seen: Counter[tuple[str, str]], gauge: Gauge | None) -> StudyReading | None:
    cylinder, person = small.word(row, "cylinder"), small.word(row, "read_by")
    final = small.pressure(row, "final")
    said = small.count(row, "repeat", MOST_REPEATS)
    if not cylinder:
        small.fault(row, "cylinder", "", "the cylinder is missing", "write its name, or remove the row")
        return None
    if small.has("read_by") and not person:
        small.fault(row, "read_by", "", "who read it is missing", "write the name, or leave the whole column out")
        return None
    seen[(cylinder, person)] += 1
    if final is None:
        return None
    if final.pressure <= 0:
        small.fault(
            row, "final", str(final), "scatter is a share of the reading, and of 0 there is none", "leave it out"
        )
        return None
    if gauge is not None and gauge.range is not None and final.pressure > gauge.range.value * (1 + 1e-9):
        small.fault(row, "final", str(final), f"{_GOES_TO} {gauge.range}", "check figure and unit")
        return None
    return StudyReading(cylinder, person, said or seen[(cylinder, person)], final)


def _names(people: Sequence[str], *, right: bool) -> Iterator[Fault]:
    if right:
        return
    plain: dict[str, str] = {}
    for name in people:
        bare = re.sub(r"[\W_]", "", name.casefold())
        if bare in plain:
            why = f"that may be the same person as “{plain[bare]}”, and a study has to know"
            instead = "write one name in one spelling; or say --names-right if they are two"
            yield Fault(f"“{name}”", why, instead, "column read_by")
        plain.setdefault(bare, name)


def _shape(
    small: SmallTable, readings: Sequence[tuple[Row, StudyReading]], cylinders: Sequence[str], people: Sequence[str]
) -> int:
    """Return the repeats of every cell; keep a fault for what is missing, twice, or too little."""
    found: dict[tuple[str, str, int], str] = {}
    for row, made in readings:
        key = (made.cylinder, made.person, made.repeat)
        if key in found:
            given = _cell(*key)
            small.fault(
                row, "repeat", given, f"{found[key]} is the same reading", "number repeats 1, 2, 3, or remove one"
            )
        found.setdefault(key, row.where)
    repeats = max((repeat for _, _, repeat in found), default=0)
    missing = [
        _cell(cylinder, person, repeat)
        for cylinder in cylinders
        for person in people
        for repeat in range(1, repeats + 1)
        if (cylinder, person, repeat) not in found
    ]
    if repeats < FEWEST_REPEATS and _changed_places(readings):
        why = "the cylinders are numbers larger than their finals: the two columns may have changed places"
        instead = "put the cylinder's name under cylinder, and what the gauge showed under final"
        small.faults.append(Fault("", why, instead, "columns cylinder and final"))
    elif len(cylinders) < FEWEST_CYLINDERS:
        why = "with one cylinder nothing is known of the spread between cylinders"
        small.faults.append(Fault("one cylinder", why, "pull at least two, better all of an engine"))
    elif repeats < FEWEST_REPEATS:
        why = "scatter is how much the same pull differs from itself, and nothing was pulled twice"
        small.faults.append(Fault("one repeat", why, "pull every cylinder at least twice, better three times"))
    elif missing:
        listed = "; ".join(missing[:_SHOWN]) + (f"; and {len(missing) - _SHOWN} more" if len(missing) > _SHOWN else "")
        count = "1 reading is" if len(missing) == 1 else f"{len(missing)} readings are"
        why = f"{count} missing: {listed}"
        instead = "take them, or leave out that repeat (that cylinder, that person) everywhere"
        small.faults.append(Fault("", why, instead))
    return repeats


def _changed_places(readings: Sequence[tuple[Row, StudyReading]]) -> bool:
    """Tell whether cylinders are numbers larger than the figures that were read, as if the two were exchanged."""
    names = [made.cylinder for _, made in readings]
    return len(names) > 1 and all(
        name.isascii()
        and name.isdecimal()
        and int(name) > from_si(made.final.pressure, find_unit(made.final.unit, Dimension.PRESSURE))
        for name, (_, made) in zip(names, readings, strict=True)
    )


def _cell(cylinder: str, person: str, repeat: int) -> str:
    return f"cylinder {cylinder}{f', {person}' if person else ''}, repeat {repeat}"


def apart(study: StudyFile) -> tuple[str, ...]:
    """
    Find repeats that lie too far apart to be scatter.

    Parameters
    ----------
    study : StudyFile
        The study.

    Returns
    -------
    tuple of str
        The cells, in words.
    """
    cells: dict[tuple[str, str], list[float]] = {}
    for each in study.readings:
        cells.setdefault((each.cylinder, each.person), []).append(each.final.pressure)
    return tuple(
        f"cylinder {cylinder}{f', {person}' if person else ''}"
        for (cylinder, person), finals in cells.items()
        if max(finals) > (1 + FAR_APART) * min(finals)
    )
