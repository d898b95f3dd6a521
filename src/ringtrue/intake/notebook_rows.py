"""What people write below the cylinders of a notebook's table: what the engine had run, a mean, a spread."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from dataclasses import replace

from ringtrue.errors import Fault, InputRefused
from ringtrue.intake.cells import Cell, Sort
from ringtrue.intake.notebook_map import quoted
from ringtrue.intake.notebook_proposal import role_of
from ringtrue.intake.test_file import parse_run
from ringtrue.quantities import Measured
from ringtrue.units import DecimalMark
from ringtrue.units.numbers import told

_OF_THE_OTHERS = frozenset(
    word
    for words in (
        "mean|means|average|averages|avg|ave|aver|median|total|totals|sum|count|overall|result|results",
        "spread|range|deviation|deviations|dev|std|stdev|stddev|sd|standard|variance|variation|var|ratio|balance",
        "min|max|minimum|maximum|lowest|highest|best|worst|difference|differences|diff|delta|%|±|percent|percentage|pct",
        "limit|spec|specification|temperature|temp|weather|rpm|battery|barometer",
        "hours|hour|hrs|miles|mile|mileage|km|kilometres|kilometers|odometer",
    )
    for word in words.split("|")
)
"""Words that name a row of figures which are no cylinder's."""
_WORD = re.compile(r"[^\W\d_]+|[%±]")
_SLIPS_FROM = 6
"""Words of so many letters are known with one of them wrong."""
_SAME_WORD = 0.85
_ONE_LETTER = re.compile(r"[A-Za-z]")


def plain_name(text: str) -> str:
    """
    Return how the name of a row is compared.

    Parameters
    ----------
    text : str
        As written.

    Returns
    -------
    str
        In small letters, with single blanks, without a colon or full stop at its end.
    """
    return " ".join(text.casefold().split()).strip(" :.")


def is_run(name: Cell | None, others: Iterable[Cell]) -> bool:
    """
    Tell whether a row holds what an engine had run, where it should name a cylinder.

    Parameters
    ----------
    name : Cell or None
        What stands in the column of the cylinders.
    others : iterable of Cell
        What else stands in that column.

    Returns
    -------
    bool
        True for hours, miles, km and the like; not for one letter where other cylinders are letters.
    """
    if name is None or (role := role_of(name.text)) is None or role.what != "run":
        return False
    lettered = any(_ONE_LETTER.fullmatch(each.text) and each.text != name.text for each in others)
    return not (lettered and _ONE_LETTER.fullmatch(name.text))


def is_no_cylinder(name: Cell | None) -> bool:
    """
    Tell whether the name of a row is none that a cylinder has, and a word for something else.

    Parameters
    ----------
    name : Cell or None
        What stands in the column of the cylinders.

    Returns
    -------
    bool
        True for mean, spread, % and the like, and for what heads a column; not for an odd name such as front.
    """
    if name is None or name.sort is not Sort.TEXT:
        return False
    plain = plain_name(name.text)
    role = role_of(plain)
    if role is not None and not role.cylinder and role.what != "first" and not _ONE_LETTER.fullmatch(plain):
        return True
    return any(_is_known(word) for word in _WORD.findall(plain))


def _is_known(word: str) -> bool:
    if len(word) < _SLIPS_FROM:
        return word in _OF_THE_OTHERS
    return bool(difflib.get_close_matches(word, _OF_THE_OTHERS, n=1, cutoff=_SAME_WORD))


def no_cylinders(rows: Iterable[tuple[str, str]], left: Iterable[str], *, a_test_each: bool) -> list[Fault]:
    """
    Refuse the rows that name no cylinder: one fault for each name, however often it comes.

    Parameters
    ----------
    rows : iterable of (str, str)
        The name as written, and where it stands.
    left : iterable of str
        Names of rows that are left out already.
    a_test_each : bool
        Each dated column is a test, so that a row can hold what the engine had run.

    Returns
    -------
    list of Fault
        With the whole line to write into the mapping.
    """
    places: dict[str, list[str]] = {}
    written: dict[str, str] = {}
    for name, where in rows:
        places.setdefault(plain_name(name), []).append(where)
        written.setdefault(plain_name(name), " ".join(name.split()))
    names = ", ".join(map(quoted, (*left, *written.values())))
    faults = []
    for plain, name in written.items():
        first, *more = places[plain]
        again = f", and {len(more)} more such row{'' if len(more) == 1 else 's'}" if more else ""
        role = role_of(name)
        own = ""
        if role is not None and role.what == "run" and not a_test_each:
            own = f"; what the engine had run stands in a column of its own, with the heading {name}"
        instead = f"say leave_rows = [{names}] in the mapping and it is left out, or write the cylinder's name{own}"
        faults.append(Fault(f"{told(name)}{again}", "no cylinder is named so", instead, first))
    return faults


def read_run(cell: Cell, unit: str, mark: DecimalMark, *, comma_seen: bool) -> Measured:
    """
    Read what an engine had run, out of a cell.

    Parameters
    ----------
    cell : Cell
        The cell.
    unit : str
        Of a figure that names none; empty where nobody said it.
    mark : DecimalMark
        The decimal mark.
    comma_seen : bool
        Another figure of the row has a decimal comma.

    Returns
    -------
    Measured
        Metres or seconds, beside the text.

    Raises
    ------
    InputRefused
        It is none, it has no unit, or it can be two figures; each is told.
    """
    named = any(map(str.isalpha, cell.text))
    # Without a unit, one stands in, so that the other fault is found as well.
    text = cell.text if named else f"{cell.text} {unit or 'mile'}"
    found: Measured | None = None
    faults: list[Fault] = []
    try:
        found = parse_run(
            text,
            mark if cell.sort is Sort.TEXT else DecimalMark.POINT,
            comma_seen=comma_seen and mark is DecimalMark.ASK,
        )
    except InputRefused as error:
        faults.append(_in_doubt(cell.text, text) or _no_run(error.faults[0], mark))
    if not named and not unit:
        why = "what an engine had run needs its unit"
        instead = 'write it in the heading or cell, or say run_unit = "mile", "km" or "h" in the mapping'
        faults.insert(0, Fault(told(cell.text), why, instead))
    if faults or found is None:
        raise InputRefused(*faults)
    return found


def _in_doubt(given: str, text: str) -> Fault | None:
    """Return what is said of a figure that is one with a decimal point, and another with a decimal comma."""
    read = []
    for mark in (DecimalMark.POINT, DecimalMark.COMMA):
        try:
            read.append(parse_run(text, mark))
        except InputRefused:
            return None
    sign = "comma" if "," in given else "point"
    why = f"the {sign} can be a thousand's or a decimal one"
    instead = f'say decimal = "point" or decimal = "comma" in the mapping, or take the {sign} out'
    return Fault(told(given), why, instead)


def _no_run(fault: Fault, mark: DecimalMark) -> Fault:
    example = "39,5 km" if mark is DecimalMark.COMMA else "39.5 km"
    instead = f"type a figure and its unit, for example 500 mile, {example} or 25 h"
    return replace(fault, why="this is no distance or running time", instead=instead)
