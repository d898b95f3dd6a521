"""A notebook, read by its mapping: its tests as they would come into the book, and every fault with its place."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.errors import Fault, InputRefused
from ringtrue.intake.cell_reader import CellReader, Findings, Manner
from ringtrue.intake.cells import Cell, Row, Sort, cannot_be_shown
from ringtrue.intake.columns import Columns
from ringtrue.intake.dates import Ambiguous, read_date
from ringtrue.intake.notebook_facts import Notebook, NotebookTest
from ringtrue.intake.notebook_map import A_DATE, A_TEST, AS_ABOVE, FROM_TAB, KEEP, OF_A_READING, NotebookMap, Role
from ringtrue.intake.notebook_proposal import Heading, header_of, unit_of
from ringtrue.intake.plausible import implausible_median
from ringtrue.intake.rows import reading_of
from ringtrue.intake.test_file import parse_run
from ringtrue.intake.worksheets import Line, Worksheet
from ringtrue.quantities import Measured
from ringtrue.units import DecimalMark, Dimension, Unit, find_unit, has_decimal_comma
from ringtrue.units.numbers import told

NOTHING = frozenset({"-", "\u2013", "\u2014", "n/a", "na", "nil", "none", "?"})
"""What people write where nothing was read."""
_CYLINDER, _KIND, _REPEAT = "(cylinder)", "(kind)", "(repeat)"
"""Columns that no notebook has: what a heading says of its cells."""
_NAMED = re.compile(r"(?:cylinder|cyl|no|nr)\.?\s*#?\s*(\w{1,4})", re.IGNORECASE)


def read_notebook(worksheets: Sequence[Worksheet], how: NotebookMap, *, today: dt.date | None = None) -> Notebook:
    """
    Read a notebook.

    Parameters
    ----------
    worksheets : sequence of Worksheet
        The file.
    how : NotebookMap
        The mapping.
    today : date or None
        The day on which it is read; None for the clock's.

    Returns
    -------
    Notebook
        Its tests and its faults.
    """
    reader = _Reader(how, today or dt.datetime.now().astimezone().date())
    reader.mapping()
    for sheet in worksheets:
        if not how.worksheets or sheet.name in how.worksheets:
            reader.sheet(sheet)
    for name in how.worksheets:
        if name not in {sheet.name for sheet in worksheets}:
            has = ", ".join(sheet.name for sheet in worksheets) or "none"
            reader.faults.append(Fault(f"worksheet “{name}”", "the file has none of that name", f"it has {has}"))
    return reader.done()


class _Reader:
    """Goes through the worksheets, and keeps what it finds."""

    def __init__(self, how: NotebookMap, today: dt.date) -> None:
        self.how = how
        self.today = today
        self.faults: list[Fault] = []
        self.warnings: list[str] = []
        self.tests: list[NotebookTest] = []
        self.found = Findings()
        self.open_dates: list[str] = []
        self.usual = find_unit(how.unit, Dimension.PRESSURE) if how.unit else None
        self.last: dict[object, NotebookTest] = {}

    def mapping(self) -> None:
        """Look whether the mapping says all that it takes."""
        whats = Counter(role for role in self.how.columns.values() if role.what not in {A_TEST, KEEP, "leave out"})
        for role, times in whats.items():
            if times > 1:
                names = " and ".join(f"“{each}”" for each, said in self.how.columns.items() if said == role)
                self.faults.append(Fault(names, f"both are the {role}", "keep one of them", "[columns]"))
        have = {role.what for role in self.how.columns.values()}
        form = self.how.form
        if "engine" not in have and not self.how.engine:
            self._lacks("engine", 'name the column of the engine, or write engine = "Launch six"')
        if "date" not in have and form != "a cylinder":
            self._lacks("date", "name the column of the date")
        if form != "a test" and "cylinder" not in have:
            self._lacks("cylinder", "name the column of the cylinder, or the columns of single cylinders: final of 1")
        if form == "a reading" and "final" not in have:
            self._lacks("final", "name the column of the finals")

    def _lacks(self, what: str, instead: str) -> None:
        self.faults.append(Fault("", f"no column of it holds the {what}", instead, "[columns]"))

    def sheet(self, sheet: Worksheet) -> None:
        """Read one worksheet."""
        header = header_of(sheet)
        known = () if header is None else [each for each in header.headings if each.key in self.how.columns]
        if header is None or not known:
            self.warnings.append(
                f"worksheet {sheet.name or 'of the file'} has none of the headings that are mapped: left out"
            )
            return
        for each in header.headings:
            if each.key not in self.how.columns:
                where = f"{sheet.where(header.line.number)}, column {_printable(each.written)}"
                instead = f'add a line to [columns]: what it holds, "{KEEP}" or "leave out"'
                self.faults.append(Fault("", "the mapping does not say what this column holds", instead, where))
        page = _Page(sheet, header.line.number, tuple((each, self.how.columns[each.key]) for each in known))
        above: dict[str, Cell | None] = {}
        for line in sheet.lines:
            if line.number > page.header:
                self._line(page, line, above)

    def _line(self, page: _Page, line: Line, above: dict[str, Cell | None]) -> None:
        said = {role.what: line.at(each.column) for each, role in page.columns if not role.cylinder}
        self._as_above(said, above)
        if not any(line.at(each.column) for each, role in page.columns if role.what not in {KEEP, "leave out"}):
            return
        for each, role in page.columns:
            self._printable(page, line, each, role)
        where = page.sheet.where(line.number)
        about = _About(
            where,
            self._engine(page, said, where),
            self._run(page, said, where),
            self._by(said),
            self._gauge(said),
            self._note(said),
        )
        form = self.how.form
        if form == "a reading":
            day = self._date(said.get("date"), f"{where}, column {page.named('date')}")
            self._keep(page, line, about, day, list(self._row(page, line, said)))
        elif form == "a test":
            day = self._date(said.get("date"), f"{where}, column {page.named('date')}")
            self._keep(page, line, about, day, list(self._cylinders(page, line)))
        else:
            for each, role in page.columns:
                if role.what == A_TEST and line.at(each.column) is not None:
                    place = f"{page.sheet.where(page.header)}, column {each.written}"
                    day = self._date(Cell(each.written), place) if each.key == A_DATE else None
                    self._keep(page, line, about, day, list(self._of_heading(page, line, said, each)))

    def _as_above(self, said: dict[str, Cell | None], above: dict[str, Cell | None]) -> None:
        """Fill a blank engine or date from the row above, and with it what belongs to the same test."""
        if self.how.blank != AS_ABOVE:
            return
        goes_on = any(what in said and said[what] is None for what in ("engine", "date"))
        for what in ("engine", "date", "run", "by", "gauge"):
            if what in said and goes_on:
                said[what] = said[what] or above.get(what)
            above[what] = said.get(what)

    def _printable(self, page: _Page, line: Line, each: Heading, role: Role) -> None:
        cell = line.at(each.column)
        if cell is not None and role.what != "leave out" and cannot_be_shown(cell.text):
            place = f"{page.sheet.where(line.number)}, column {_printable(each.written)}"
            self.faults.append(
                Fault(told(cell.text), "it holds characters that no table shows", "type it again", place)
            )

    # -------------------------------------------------------------------------------------- what belongs to a test

    def _engine(self, page: _Page, said: Mapping[str, Cell | None], where: str) -> str:
        if "engine" not in said:
            return page.sheet.name if self.how.engine == FROM_TAB else self.how.engine
        cell = said["engine"]
        if cell is None:
            if self.how.blank != AS_ABOVE or "engine" in said:
                instead = 'name it, or say blank = "as above" in the mapping'
                self.faults.append(
                    Fault("", "the engine is missing", instead, f"{where}, column {page.named('engine')}")
                )
            return ""
        name = " ".join(cell.text.split())
        if cell.sort is Sort.NUMBER:
            name = name.removesuffix(".0")
        return self.how.engines.get(name, name)

    def _date(self, cell: Cell | None, where: str) -> dt.date | None:
        if cell is None:
            self.faults.append(
                Fault("", "the date is missing", 'write it, or say blank = "as above" in the mapping', where)
            )
            return None
        try:
            day = read_date(cell.text, self.how.dates, today=self.today)
        except Ambiguous:
            self.open_dates.append(f"{cell.text} in {where}")
            return None
        except InputRefused as error:
            self.faults.extend(replace(fault, where=where) for fault in error.faults)
            return None
        return day

    def _run(self, page: _Page, said: Mapping[str, Cell | None], where: str) -> Measured | None:
        cell = said.get("run")
        if cell is None or cell.text.casefold() in NOTHING:
            return None
        unit = page.unit("run") or self.how.run_unit
        text = cell.text if any(map(str.isalpha, cell.text)) or not unit else f"{cell.text} {unit}"
        try:
            return parse_run(text)
        except InputRefused as error:
            place = f"{where}, column {page.named('run')}"
            instead = 'write its unit in the heading or cell, or say run_unit = "mile" in the mapping'
            given = error.faults[0].given or told(cell.text)
            self.faults.append(Fault(given, "this is no distance or running time with its unit", instead, place))
            return None

    def _by(self, said: Mapping[str, Cell | None]) -> str:
        cell = said.get("by")
        return cell.text if cell else self.how.by

    def _gauge(self, said: Mapping[str, Cell | None]) -> str:
        cell = said.get("gauge")
        return cell.text if cell else self.how.gauge

    @staticmethod
    def _note(said: Mapping[str, Cell | None]) -> str:
        cell = said.get("test note")
        return cell.text if cell else ""

    def _keep(
        self, page: _Page, line: Line, about: _About, day: dt.date | None, rows: Sequence[Pull | LeakdownReading]
    ) -> None:
        """Put readings under their test: that of the row above, unless a cylinder would be in it twice."""
        if day is None or not about.engine or not rows:
            return
        key = (page.sheet.name, about.engine, day)
        test = self.last.get(key)
        again = test is not None and any(_same(row, other) for row in rows for other in test.rows)
        if test is not None and again and self.how.same_day == "repeats":
            rows = [_next_repeat(row, test.rows) for row in rows]
            again = False
        if test is None or again or self.how.form == "a test":
            test = NotebookTest(about.engine, day, about.run, about.by, about.gauge, about.note, page.sheet.name)
            self.last[key] = test
            self.tests.append(test)
        elif about.run is not None and test.run is not None and about.run.value != test.run.value:
            given, why = f"{about.run} after {test.run}", "one test has been run one distance or time"
            self.faults.append(Fault(given, why, "put one of them right", about.where))
        test.run = test.run or about.run
        test.lines.append(line.number)
        test.rows.extend(rows)

    # -------------------------------------------------------------------------------------- readings

    def _read(
        self,
        where: str,
        names: dict[str, str],
        units: Mapping[str, str],
        cells: dict[str, Cell],
        extra: tuple[str, ...] = (),
    ) -> Pull | LeakdownReading | None:
        kept = {name: cell for name, cell in cells.items() if cell.text.casefold() not in NOTHING}
        known: dict[str, Unit] = {}
        for name, unit in units.items():
            if unit:
                try:
                    known[name] = find_unit(unit, Dimension.PRESSURE)
                except InputRefused as error:
                    self.faults.extend(fault.at(f"column {names[name]}") for fault in error.faults)
        columns = Columns(names, known, extra)
        seen = any(has_decimal_comma(cell.text) for cell in kept.values())
        manner = Manner(None, self.usual, self.how.decimal or DecimalMark.ASK, seen, None, "unit" in self.how.accept)
        return reading_of(CellReader(Row(where, kept), columns, manner, self.found))

    def _row(self, page: _Page, line: Line, said: Mapping[str, Cell | None]) -> Iterator[Pull | LeakdownReading]:
        names = {
            role.what: each.written for each, role in page.columns if role.what in OF_A_READING and role.what != "wet"
        }
        units: dict[str, str] = {what: page.unit(what) for what in ("final", "first") if what in names}
        extra = tuple(each.written for each, role in page.columns if role.what == KEEP)
        cells = {each.written: cell for each, _ in page.columns if (cell := line.at(each.column)) is not None}
        self._plain_name(names, cells)
        wet = said.get("wet")
        if said.get("final") is not None or wet is None:
            made = self._read(page.sheet.where(line.number), names, units, cells, extra)
            if made is not None:
                yield made
        if wet is not None:
            again = {"cylinder": names["cylinder"], "final": page.named("wet"), "kind": _KIND}
            made = self._read(
                page.sheet.where(line.number), again, {"final": page.unit("wet")}, {**cells, _KIND: Cell("wet")}
            )
            if made is not None:
                yield made

    @staticmethod
    def _plain_name(names: Mapping[str, str], cells: dict[str, Cell]) -> None:
        cell = cells.get(names.get("cylinder", ""))
        if cell is not None and (match := _NAMED.fullmatch(cell.text)) is not None:
            cells[names["cylinder"]] = Cell(match[1])

    def _cylinders(self, page: _Page, line: Line) -> Iterator[Pull | LeakdownReading]:
        by_cylinder: dict[tuple[str, str], dict[str, Heading]] = {}
        for each, role in page.columns:
            if role.cylinder and line.at(each.column) is not None:
                of = Kind.WET if role.what == "wet" else Kind.DRY
                by_cylinder.setdefault((of.value, role.cylinder), {})["first" if role.what == "first" else "final"] = (
                    each
                )
        extra = tuple(each.written for each, role in page.columns if role.what == KEEP)
        for (kind, cylinder), columns in by_cylinder.items():
            names: dict[str, str] = {
                "cylinder": _CYLINDER,
                "kind": _KIND,
                **{what: each.written for what, each in columns.items()},
            }
            cells = {each.written: cell for each in columns.values() if (cell := line.at(each.column)) is not None}
            cells |= {_CYLINDER: Cell(cylinder), _KIND: Cell(kind)}
            cells |= {
                each.written: cell
                for each, role in page.columns
                if role.what == KEEP and (cell := line.at(each.column))
            }
            units = {what: unit_of(each.written) for what, each in columns.items()}
            made = self._read(page.sheet.where(line.number), names, units, cells, extra)
            extra = ()
            if made is not None:
                yield made

    def _of_heading(
        self, page: _Page, line: Line, said: Mapping[str, Cell | None], each: Heading
    ) -> Iterator[Pull | LeakdownReading]:
        cell, cylinder = line.at(each.column), said.get("cylinder")
        if cell is None or cell.text.casefold() in NOTHING:
            return
        names = {"cylinder": page.named("cylinder"), "final": each.written}
        cells = {each.written: cell} | ({names["cylinder"]: cylinder} if cylinder else {})
        self._plain_name(names, cells)
        made = self._read(page.sheet.where(line.number), names, {}, cells)
        if made is not None:
            yield made

    # -------------------------------------------------------------------------------------- the whole

    def done(self) -> Notebook:
        """Return what was found."""
        if self.open_dates:
            many = len(self.open_dates)
            given = self.open_dates[0] if many == 1 else f"{many} dates, the first {self.open_dates[0]}"
            instead = 'say dates = "day first" or dates = "month first" in the mapping'
            self.faults.append(Fault(given, "these can be two different days", instead, "dates"))
        for name, count in self.found.without_unit.items():
            given = "1 figure without a unit" if count == 1 else f"{count} figures without a unit"
            instead = 'write it in the heading, for example final [psi], or say unit = "psi" in the mapping'
            self.faults.append(Fault(given, "a pressure needs its unit", instead, name))
        self.faults.extend(self.found.faults)
        taken = [row for test in self.tests for row in test.rows]
        if "unit" not in self.how.accept and not self.found.without_unit:
            fault = implausible_median(taken, None)
            if fault is not None:
                instead = f'{fault.instead}; if they are meant, say accept = ["unit"] in the mapping'
                self.faults.append(replace(fault, instead=instead, where="finals"))
        if not taken and not self.faults:
            self.faults.append(
                Fault("", "there is no reading in it", "look whether the mapping names the right columns")
            )
        return Notebook(tuple(self.tests), tuple(self.faults), tuple(self.warnings))


@dataclass(frozen=True, slots=True)
class _Page:
    sheet: Worksheet
    header: int
    columns: tuple[tuple[Heading, Role], ...]

    def named(self, what: str) -> str:
        return next((each.written for each, role in self.columns if role.what == what and not role.cylinder), what)

    def unit(self, what: str) -> str:
        return next((each.unit for each, role in self.columns if role.what == what and not role.cylinder), "")


@dataclass(frozen=True, slots=True)
class _About:
    where: str
    engine: str
    run: Measured | None
    by: str
    gauge: str
    note: str


def _printable(text: str) -> str:
    return "".join(each if each.isprintable() else "?" for each in text)


def _same(row: Pull | LeakdownReading, other: Pull | LeakdownReading) -> bool:
    return (row.cylinder, row.kind, row.repeat or 1) == (other.cylinder, other.kind, other.repeat or 1)


def _next_repeat(row: Pull | LeakdownReading, there: list[Pull | LeakdownReading]) -> Pull | LeakdownReading:
    """Make a reading a declared repeat of those that are there."""
    for at, other in enumerate(there):
        if (other.cylinder, other.kind) == (row.cylinder, row.kind) and other.repeat is None:
            there[at] = replace(other, repeat=1)
    times = sum((other.cylinder, other.kind) == (row.cylinder, row.kind) for other in there)
    return replace(row, repeat=times + 1) if times else row
