"""What the headings of a notebook seem to mean: a mapping that is proposed, in words, for the person to put right."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from ringtrue.errors import InputRefused, ReadingsRefused
from ringtrue.intake.dates import Ambiguous, Order, read_date
from ringtrue.intake.notebook_map import A_DATE, A_TEST, AS_ABOVE, FROM_TAB, KEEP, NotebookMap, Role
from ringtrue.intake.worksheets import Line, Worksheet
from ringtrue.units import Dimension, Unit, find_unit

HEADER_WITHIN = 20
_WORDS: Mapping[str, Role] = MappingProxyType(
    {
        word: Role(what)
        for what, words in {
            "engine": "engine|engine name|engine no|engine number|engine ref|engine reference|reference|ref|job|name",
            "date": "date|day|tested|test date|date tested|date of test",
            "run": "run|run since build|since build|hours|hrs|h|miles|mileage|mi|km|kilometres|kilometers|odometer|"
            "hours run|miles run|km run|hours since build|miles since build|km since build|running hours|engine hours",
            "by": "by|who|initials|tester|tested by|read by|taken by|builder",
            "gauge": "gauge|gage|instrument|gauge name",
            "cylinder": "cylinder|cyl|cyl no|cylinder no|cylinder number|no|number",
            "final": "final|compression|pressure|reading|dry|dry final|final pressure|result|value",
            "first": "first|first stroke|1st|1st stroke|first pressure",
            "wet": "wet|wet final|oil|with oil",
            "kind": "kind|type|dry or wet|dry/wet",
            "repeat": "repeat|pull|try",
            "strokes": "strokes|compression strokes",
            "note": "note|notes|remark|remarks|comment|comments",
        }.items()
        for word in words.split("|")
    }
)
_RUN_UNITS = MappingProxyType(
    {"hours": "h", "hrs": "h", "h": "h", "miles": "mile", "mileage": "mile", "mi": "mile", "odometer": "", "km": "km"}
    | dict.fromkeys(("kilometres", "kilometers"), "km")
)
_WITH_UNIT = re.compile(r"(.*?)\s*[\[(]\s*([^\[\]()]{1,30}?)\s*[\])]")
_OF_CYLINDER = re.compile(
    r"(?:(?:cylinder|cyl|no|nr)\.?\s*)?#?\s*([0-9]{1,2}[a-z]?|[lr][0-9]{1,2})(?:\s+(first|1st|final|dry|wet))?"
)
_FIRST_OF = re.compile(
    r"(first|1st|final|dry|wet)\s+(?:of\s+)?(?:(?:cylinder|cyl|no|nr)\.?\s*)?#?\s*([0-9]{1,2}[a-z]?|[lr][0-9]{1,2})"
)
_KINDS = {"first": "first", "1st": "first", "wet": "wet"}
_RECOGNISED = 2
"""A row with so many headings that are known is a header."""


@dataclass(frozen=True, slots=True)
class Heading:
    """
    One column of one worksheet.

    Parameters
    ----------
    column : int
        From 0.
    written : str
        As it stands there, with single blanks.
    key : str
        As a mapping names it: `A_DATE` for a date.
    unit : str
        What it names in brackets or by itself; empty where it names none.
    """

    column: int
    written: str
    key: str
    unit: str


@dataclass(frozen=True, slots=True)
class Header:
    """
    Where a worksheet's table begins.

    Parameters
    ----------
    line : Line
        The row with the headings.
    headings : tuple of Heading
        Its columns.
    """

    line: Line
    headings: tuple[Heading, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """
    A mapping, and why it is so.

    Parameters
    ----------
    map : NotebookMap
        The mapping.
    told : tuple of str
        What speaks for it, and what it leaves open.
    """

    map: NotebookMap
    told: tuple[str, ...]


def header_of(sheet: Worksheet) -> Header | None:
    """
    Find the row of a worksheet in which the headings stand.

    Parameters
    ----------
    sheet : Worksheet
        The worksheet.

    Returns
    -------
    Header or None
        The row, of the first twenty, with most headings that are known; None where no row has two.
    """
    best: tuple[int, Line, tuple[Heading, ...]] | None = None
    for line in sheet.lines[:HEADER_WITHIN]:
        headings = tuple(_headings(line))
        known = sum(1 for each in headings if each.key == A_DATE or role_of(each.written) is not None)
        # A row of figures looks like a row of cylinder numbers; a header has words, or dates, in it.
        worded = any(each.key == A_DATE or any(map(str.isalpha, each.written)) for each in headings)
        if known >= _RECOGNISED and worded and (best is None or known > best[0]):
            best = known, line, headings
    return None if best is None else Header(best[1], best[2])


def _headings(line: Line) -> Iterator[Heading]:
    for column, cell in enumerate(line.cells):
        if cell is None:
            continue
        written = " ".join(cell.text.split())
        dated = _is_date(written)
        yield Heading(column, written, A_DATE if dated else written, "" if dated else unit_of(written))


def _is_date(text: str) -> bool:
    try:
        read_date(text)
    except Ambiguous:
        return True
    except InputRefused:
        return False
    return True


def _parted(heading: str) -> tuple[str, str]:
    """Return a heading without its unit, in plain small letters, and the unit as written."""
    match = _WITH_UNIT.fullmatch(heading)
    base, unit = (match[1], match[2]) if match else (heading, "")
    plain = " ".join(base.casefold().replace("_", " ").replace(".", " ").split()).strip(" :")
    if not unit:
        words = plain.split()
        if words and _pressure(words[-1]) is not None:
            return " ".join(words[:-1]), words[-1]
    return plain, unit


def _pressure(text: str) -> Unit | None:
    try:
        return find_unit(text, Dimension.PRESSURE)
    except InputRefused:
        return None


def unit_of(heading: str) -> str:
    """
    Return the unit that a heading names.

    Parameters
    ----------
    heading : str
        As written.

    Returns
    -------
    str
        A unit of pressure, or of what an engine has run; empty where it names none.
    """
    plain, unit = _parted(heading)
    if unit:
        found = _pressure(unit)
        return found.name if found else _RUN_UNITS.get(unit.casefold(), unit)
    role = _WORDS.get(plain)
    words = plain.split() if role is not None and role.what == "run" else []
    return next((_RUN_UNITS[word] for word in words if word in _RUN_UNITS), "")


def role_of(heading: str) -> Role | None:
    """
    Return what a heading seems to mean.

    Parameters
    ----------
    heading : str
        As written.

    Returns
    -------
    Role or None
        None for one that is not known.
    """
    plain, unit = _parted(heading)
    if plain in _WORDS:
        return _WORDS[plain]
    if not plain and unit:
        return Role("final")
    if (match := _OF_CYLINDER.fullmatch(plain)) is not None:
        return Role(_KINDS.get(match[2] or "", "final"), match[1].upper())
    if (match := _FIRST_OF.fullmatch(plain)) is not None:
        return Role(_KINDS.get(match[1], "final"), match[2].upper())
    return None


def propose(worksheets: Sequence[Worksheet]) -> Proposal:
    """
    Propose a mapping from what a file shows.

    Parameters
    ----------
    worksheets : sequence of Worksheet
        The file.

    Returns
    -------
    Proposal
        The mapping and what speaks for it.

    Raises
    ------
    ReadingsRefused
        No worksheet has headings that are known.
    """
    columns: dict[str, Role] = {}
    told: list[str] = []
    used: list[tuple[Worksheet, Header]] = []
    for sheet in worksheets:
        header = header_of(sheet)
        if header is None:
            told.append(
                f"worksheet {sheet.name or 'of the file'}: no row has two headings that are known; it is left out"
            )
            continue
        used.append((sheet, header))
        for each in header.headings:
            role = Role(A_TEST) if each.key == A_DATE else role_of(each.written)
            columns.setdefault(each.key, role or Role(KEEP))
    if not used:
        why = "no row of it has two headings that are known"
        instead = "write headings such as: engine, date, cylinder, final [psi]"
        raise ReadingsRefused.of("", why, instead)
    columns = _once(columns, told)
    made = NotebookMap(columns=columns, blank=_blank(used, columns))
    if not any(role.what == "engine" for role in columns.values()):
        tabs = all(sheet.name for sheet, _ in used)
        made = replace(made, engine=FROM_TAB if tabs else "")
        told.append(
            "no column names the engine: the worksheet's tab is taken for it"
            if tabs
            else 'no column names the engine: say it, engine = "..."'
        )
    order, reasons = _order(used, columns)
    told += reasons
    return Proposal(replace(made, dates=order), tuple(told))


def _once(columns: dict[str, Role], told: list[str]) -> dict[str, Role]:
    """Let no two headings mean the same: the first has it, the others are kept as they were written."""
    taken: set[Role] = set()
    made: dict[str, Role] = {}
    for heading, role in columns.items():
        again = role in taken and role.what not in {A_TEST, KEEP}
        if again:
            told.append(f"“{heading}” seems to be the {role} too: it is kept as written and used for nothing")
        made[heading] = Role(KEEP) if again else role
        taken.add(role)
    if any(role.cylinder for role in made.values()):
        # With a column a cylinder, what is said of a row is said of the test.
        made = {heading: Role("test note") if role.what == "note" else role for heading, role in made.items()}
    return made


def _cells(
    used: Sequence[tuple[Worksheet, Header]], columns: Mapping[str, Role], what: str
) -> Iterator[tuple[str, str]]:
    """Yield where each cell of a kind stands, and its text; nothing for a blank one."""
    for sheet, header in used:
        places = [each.column for each in header.headings if columns[each.key].what == what]
        for line in sheet.lines:
            if line.number <= header.line.number:
                continue
            for column in places:
                cell = line.at(column)
                yield sheet.where(line.number), cell.text if cell else ""


def _blank(used: Sequence[tuple[Worksheet, Header]], columns: Mapping[str, Role]) -> str:
    of_tests = [text for what in ("engine", "date") for _, text in _cells(used, columns, what)]
    return AS_ABOVE if "" in of_tests else ""


def _order(used: Sequence[tuple[Worksheet, Header]], columns: Mapping[str, Role]) -> tuple[Order | None, list[str]]:
    """Find what comes first in the dates: where some can be read one way alone, so are the others."""
    seen = list(_cells(used, columns, "date"))
    seen += [
        (sheet.where(header.line.number), each.written)
        for sheet, header in used
        for each in header.headings
        if each.key == A_DATE
    ]
    only: dict[Order, tuple[str, str]] = {}
    open_: tuple[str, str] | None = None
    for where, text in seen:
        readable = []
        for order in Order:
            try:
                readable.append((order, read_date(text, order)))
            except InputRefused:
                continue
        if len(readable) == 1:
            only.setdefault(readable[0][0], (where, text))
        elif len({day for _, day in readable}) > 1:
            open_ = open_ or (where, text)
    if open_ is None:
        return None, []
    where, text = open_
    if len(only) == 1:
        ((order, (sure_in, sure)),) = only.items()
        return order, [f"dates are taken {order.value}: {sure} in {sure_in} can be nothing else"]
    return None, [f'{text} in {where} can be two days: say dates = "day first" or dates = "month first"']
