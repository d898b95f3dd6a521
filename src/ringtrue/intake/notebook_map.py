"""How a notebook's columns are to be understood: a mapping, written as TOML, put right by hand, remembered."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.intake.dates import Order
from ringtrue.intake.fields import Fields, only_tables, parse_toml, shown
from ringtrue.intake.test_file import parse_run
from ringtrue.units import DecimalMark, Dimension, find_unit

A_DATE = "(a date)"
"""Stands in a mapping for every heading that is a date."""
OF_A_TEST = ("engine", "date", "run", "by", "gauge", "test note")
OF_A_READING = ("cylinder", "final", "first", "wet", "kind", "repeat", "strokes", "note")
OF_A_CYLINDER = ("final", "first", "wet")
"""What a column of one cylinder may hold, written as in "final of 3"."""
A_TEST, KEEP, LEAVE_OUT = "test", "keep", "leave out"
ROLES = (*OF_A_TEST, *OF_A_READING, A_TEST, KEEP, LEAVE_OUT)
FROM_TAB = "(worksheet)"
"""Stands for the engine whose name is on the worksheet's tab."""
AS_ABOVE = "as above"
ACCEPTED = MappingProxyType(
    {
        "run": "an engine's miles or hours run backwards",
        "cylinders": "an engine's cylinders changed from one test to another",
        "unit": "figures that no engine shows in that unit",
    }
)
"""What may be meant as it stands, once somebody has said so."""
_CAN_STAND = "the words that can stand there are " + ", ".join(f'"{each}"' for each in ACCEPTED)
_UNQUOTED = re.compile(r"""“([\w-]+|"[^"]*")\s*=\s*(?=[^#]*[A-Za-z])([^\s"'#\[\]{}=][^"'#\[\]{}=]*?)\s*(?:#.*)?”?""")
"""A line of a mapping, as a fault shows it, whose text has no quotes."""
_OPTIONS = {
    "--decimal comma or --decimal point": 'decimal = "comma" or decimal = "point" in the mapping',
    "--decimal comma": 'decimal = "comma" in the mapping',
    "--decimal point": 'decimal = "point" in the mapping',
    "--unit, or the header": "in the mapping, or in the heading",
    "--confirm-unit": 'accept = ["unit"] in the mapping',
}
"""What is said to other commands by an option, and here by a line."""


@dataclass(frozen=True, slots=True)
class Role:
    """
    What a column holds.

    Parameters
    ----------
    what : str
        One of `ROLES`.
    cylinder : str
        Whose figures they are; empty where the row, or nobody, says that.
    """

    what: str
    cylinder: str = ""

    def __str__(self) -> str:
        """Return it as a mapping writes it."""
        return f"{self.what} of {self.cylinder}" if self.cylinder else self.what


@dataclass(frozen=True, slots=True)
class NotebookMap:
    """
    How a notebook is read.

    Parameters
    ----------
    columns : mapping of str to Role
        By heading, with single blanks.
    dates : Order or None
        What comes first where the year stands last; None when no date leaves that open, or nobody has said.
    unit : str
        Of pressures where heading and cell name none.
    run_unit : str
        Of what the engine has run, where heading and cell name none.
    decimal : DecimalMark
        The decimal mark.
    engine : str
        The engine of every row, or `FROM_TAB`; empty where a column says it.
    by, gauge : str
        Of every row where no column says it.
    blank : str
        "as above" where a blank engine or date is that of the row above; empty where it is a fault.
    same_day : str
        "another test" or "repeats", of a cylinder that comes twice on one day; empty where that is asked.
    nearly_same : str
        "bring in" or "leave out", of a test that differs little from one that is there; empty where that is asked.
    sheets : str
        "latest": tests stand under the build sheet that the book has of their engine; "none": under no sheet.
    accept : tuple of str
        Which of `ACCEPTED` is meant as it stands.
    worksheets : tuple of str
        Those that are read; empty for all that have these headings.
    leave_rows : tuple of str
        Rows so named are left out: what stands in the column of the cylinder, the engine or the date.
    engines : mapping of str to str
        Names in the notebook that mean an engine of another name.
    """

    columns: Mapping[str, Role]
    dates: Order | None = None
    unit: str = ""
    run_unit: str = ""
    decimal: DecimalMark = DecimalMark.ASK
    engine: str = ""
    by: str = ""
    gauge: str = ""
    blank: str = ""
    same_day: str = ""
    nearly_same: str = ""
    sheets: str = "latest"
    accept: tuple[str, ...] = ()
    worksheets: tuple[str, ...] = ()
    leave_rows: tuple[str, ...] = ()
    engines: Mapping[str, str] = field(default_factory=dict)

    @property
    def form(self) -> str:
        """What a row of it is: "a reading", "a cylinder" with a test a column, or "a test" with a column a cylinder."""
        if any(role.cylinder for role in self.columns.values()):
            return "a test"
        return "a cylinder" if any(role.what == A_TEST for role in self.columns.values()) else "a reading"


def for_the_next(made: NotebookMap) -> NotebookMap:
    """
    Return what is remembered for the next file of the same form.

    Parameters
    ----------
    made : NotebookMap
        By which a file was read.

    Returns
    -------
    NotebookMap
        Without what holds for one file: what was allowed once, its worksheets, and which engine it was.
    """
    engine = made.engine if made.engine == FROM_TAB else ""
    return replace(made, accept=(), nearly_same="", worksheets=(), engine=engine)


def pattern_of(headings: Iterable[str]) -> str:
    """
    Return the name under which a mapping is remembered: the same for every file with the same headings.

    Parameters
    ----------
    headings : iterable of str
        As `read_map` knows them; `A_DATE` in the place of every date.

    Returns
    -------
    str
        Sixteen hexadecimal digits.
    """
    plain = sorted({" ".join(each.split()).casefold() for each in headings})
    return hashlib.sha256("\n".join(plain).encode("utf-8", "replace")).hexdigest()[:16]


def in_mapping(fault: Fault) -> Fault:
    """
    Say by a line of the mapping what a fault says by an option of another command.

    Parameters
    ----------
    fault : Fault
        Of a cell.

    Returns
    -------
    Fault
        The same, for a notebook.
    """
    instead = fault.instead
    for option, line in _OPTIONS.items():
        instead = instead.replace(option, line)
    return replace(fault, instead=instead)


def write_map(made: NotebookMap, told: Iterable[str] = ()) -> str:
    """
    Write a mapping as TOML.

    Parameters
    ----------
    made : NotebookMap
        The mapping.
    told : iterable of str
        What the person should know; written above it.

    Returns
    -------
    str
        The file's text.
    """
    mark = "" if made.decimal is DecimalMark.ASK else made.decimal.value
    lines = [
        "# How this notebook is read. Put right what is wrong, and look again: ringtrue notebook look FILE --map THIS",
        *(f"# {each}" for each in told),
        "",
        "[notebook]",
        f"dates = {quoted(made.dates.value if made.dates else '')}  # day first, month first; blank: none is in doubt",
        f"unit = {quoted(made.unit)}  # of pressures, where heading and cell name none",
        f"run_unit = {quoted(made.run_unit)}  # mile, km or h, where heading and cell name none",
        f"decimal = {quoted(mark)}  # comma or point; blank: as the figures show",
        f"engine = {quoted(made.engine)}  # of every row, or {FROM_TAB}; blank where a column says it",
        f"by = {quoted(made.by)}",
        f"gauge = {quoted(made.gauge)}",
        f"blank = {quoted(made.blank)}  # as above: a blank engine or date is that of the row above",
        f"same_day = {quoted(made.same_day)}  # another test, or repeats: a cylinder that comes twice on one day",
        f"nearly_same = {quoted(made.nearly_same)}  # bring in, leave out: a test that is nearly one that is there",
        f"sheets = {quoted(made.sheets)}  # latest: under the build sheet that the book has of the engine; none",
        f"accept = {_listed(made.accept)}  # {', '.join(ACCEPTED)}: meant as they stand",
        f"worksheets = {_listed(made.worksheets)}  # those that are read; none named: all with these headings",
        f'leave_rows = {_listed(made.leave_rows)}  # rows that are left out, by what names them, as "mean"',
        "",
        f"# A column holds: {', '.join(ROLES)};",
        '# or one cylinder\'s figures: "final of 3", "first of 3", "wet of 3".',
        "# A column that is a test has a date for its heading, and a final of each cylinder below.",
        "[columns]",
        *(f"{quoted(heading)} = {quoted(str(role))}" for heading, role in made.columns.items()),
        "",
        '# Names in the notebook that mean an engine of another name: "launch 6" = "Launch six"',
        "[engines]",
        *(f"{quoted(name)} = {quoted(meant)}" for name, meant in made.engines.items()),
        "",
    ]
    return "\n".join(lines)


def quoted(text: str) -> str:
    """
    Return a text as a mapping writes it.

    Parameters
    ----------
    text : str
        The text.

    Returns
    -------
    str
        In straight quotes.
    """
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _listed(texts: Iterable[str]) -> str:
    return f"[{', '.join(map(quoted, texts))}]"


def read_map(text: str) -> NotebookMap:
    """
    Read a mapping.

    Parameters
    ----------
    text : str
        TOML, as `write_map` writes it.

    Returns
    -------
    NotebookMap
        The mapping.

    Raises
    ------
    ReadingsRefused
        It cannot be used; every fault is told at once.
    """
    try:
        document = parse_toml(text, ReadingsRefused)
    except ReadingsRefused as error:
        raise ReadingsRefused(*map(_in_quotes, error.faults)) from None
    faults: list[Fault] = []
    only_tables(document, ("notebook", "columns", "engines"), faults)
    said = Fields(document.get("notebook", {}), "[notebook]", faults)

    def word(key: str, options: tuple[str, ...]) -> str:
        found = said.text(key, example=options[0]).casefold()
        if found and found not in options:
            instead = f"write {' or '.join(map(quoted, options))}, or leave it blank"
            faults.append(
                Fault(shown(found), "that is none of the words that can stand here", instead, f"[notebook] {key}")
            )
        return found if found in options else ""

    engine = said.text("engine", example="Launch six")
    made = NotebookMap(
        columns=_columns(document.get("columns", {}), faults),
        dates=Order(dates) if (dates := word("dates", tuple(Order))) else None,
        unit=_unit(said, faults),
        run_unit=_run_unit(said, faults),
        decimal=DecimalMark(mark) if (mark := word("decimal", ("comma", "point"))) else DecimalMark.ASK,
        engine=FROM_TAB if engine.casefold() == FROM_TAB else engine,
        by=said.text("by", example="AB"),
        gauge=said.text("gauge", example="shop gauge"),
        blank=word("blank", (AS_ABOVE,)),
        same_day=word("same_day", ("another test", "repeats")),
        nearly_same=word("nearly_same", ("bring in", "leave out")),
        sheets=word("sheets", ("latest", "none")) or "latest",
        accept=tuple(each.casefold() for each in _names(said, "accept", "run")),
        worksheets=_names(said, "worksheets", "Launch six"),
        leave_rows=_names(said, "leave_rows", "mean"),
        engines=_texts(document.get("engines", {}), "[engines]", faults),
    )
    faults += [
        Fault(shown(each), "this cannot be accepted", _CAN_STAND, "[notebook] accept")
        for each in made.accept
        if each not in ACCEPTED
    ]
    said.nothing_else()
    if faults:
        raise ReadingsRefused(*faults)
    return made


def _in_quotes(fault: Fault) -> Fault:
    """Show a line whose text has no quotes as it should be."""
    bare = _UNQUOTED.fullmatch(fault.given)
    if bare is None or bare[2].endswith("..."):
        return fault
    return replace(fault, why="text stands in quotes", instead=f'write {bare[1]} = "{bare[2]}"')


def _names(said: Fields, key: str, example: str) -> tuple[str, ...]:
    """Read a list of words; where it is none, show the line as it should be."""
    value = said.raw(key)
    if value is None or (isinstance(value, list) and all(type(each) in {str, int} for each in value)):
        return said.names(key)
    only = ACCEPTED if key == "accept" else ()
    meant = value if isinstance(value, str) and (not only or value in only) else example
    instead = f"write {key} = {_listed([meant])}" + (f"; {_CAN_STAND}" if only else "")
    said.fault(key, shown(value), "this is a list, in square brackets with each word in quotes", instead)
    return ()


def _texts(table: object, where: str, faults: list[Fault]) -> dict[str, str]:
    if not isinstance(table, dict):
        faults.append(Fault(shown(table), "this is a table", f"write {where} on a line of its own", where))
        return {}
    for key, value in table.items():
        if not isinstance(value, str):
            faults.append(Fault(shown(value), "this is text in quotes", f'write {json.dumps(key)} = "..."', where))
    return {" ".join(key.split()): value.strip() for key, value in table.items() if isinstance(value, str)}


def _columns(table: object, faults: list[Fault]) -> dict[str, Role]:
    found: dict[str, Role] = {}
    for heading, said in _texts(table, "[columns]", faults).items():
        what, of, cylinder = (part.strip() for part in said.partition(" of "))
        what = what.casefold()
        if (of and what in OF_A_CYLINDER and cylinder) or (not of and what in ROLES):
            found[heading] = Role(what, cylinder)
            continue
        instead = f"write one of {', '.join(ROLES)}, or final of 3, first of 3, wet of 3"
        faults.append(Fault(shown(said), "no column holds that", instead, f"[columns] {shown(heading)}"))
    return found


def _unit(said: Fields, faults: list[Fault]) -> str:
    text = said.text("unit")
    try:
        return find_unit(text, Dimension.PRESSURE).name if text else ""
    except InputRefused as error:
        faults.extend(fault.at("[notebook] unit") for fault in error.faults)
        return ""


def _run_unit(said: Fields, faults: list[Fault]) -> str:
    text = said.text("run_unit")
    try:
        if text:
            parse_run(f"1 {text}")
    except InputRefused:
        faults.append(
            Fault(shown(text), "this is no unit of distance or time", "write mile, km or h", "[notebook] run_unit")
        )
        return ""
    return text
