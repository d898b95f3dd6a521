"""A notebook, read by its mapping: its tests as they would come into the book, and every fault with its place."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.errors import Fault, InputRefused
from ringtrue.intake.cell_reader import CellReader, Findings, Manner
from ringtrue.intake.cells import Cell, Row, Sort, cannot_be_shown
from ringtrue.intake.columns import Columns
from ringtrue.intake.dates import Ambiguous, read_date
from ringtrue.intake.notebook_facts import Notebook, NotebookTest
from ringtrue.intake.notebook_map import (
    A_DATE,
    A_TEST,
    AS_ABOVE,
    FROM_TAB,
    KEEP,
    OF_A_READING,
    NotebookMap,
    Role,
    in_mapping,
    quoted,
)
from ringtrue.intake.notebook_page import About, Page
from ringtrue.intake.notebook_proposal import Heading, header_of, unit_of
from ringtrue.intake.notebook_rows import is_no_cylinder, is_run, no_cylinders, plain_name, read_run
from ringtrue.intake.plausible import implausible_median, odd_among
from ringtrue.intake.rows import reading_of
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
        self.made: dict[object, list[NotebookTest]] = {}
        self.no_cylinders: list[tuple[str, str]] = []
        self.left = {plain_name(each) for each in how.leave_rows}
        self.engines = {name.casefold(): meant for name, meant in how.engines.items()}

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
            self._lacks("engine", 'name the column of the engine, or write engine = "Launch six" in the mapping')
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
                instead = f'add a line to [columns]: {quoted(each.key)} = "{KEEP}", or what it holds'
                self.faults.append(Fault("", "the mapping does not say what this column holds", instead, where))
            elif self.how.columns[each.key].what == A_TEST and each.key != A_DATE:
                where = f"{sheet.where(header.line.number)}, column {_printable(each.written)}"
                instead = f'write its date there, or say {quoted(each.key)} = "{KEEP}" under [columns]'
                self.faults.append(Fault("", "a column that is a test has a date for its heading", instead, where))
        page = Page(sheet, header.line.number, tuple((each, self.how.columns[each.key]) for each in known))
        above: dict[str, Cell | None] = {}
        for line in page.below:
            self._line(page, line, above)
        self._give_runs(page)

    def _line(self, page: Page, line: Line, above: dict[str, Cell | None]) -> None:
        said = {role.what: line.at(each.column) for each, role in page.columns if not role.cylinder}
        if self._is_left(page, line, said):
            return
        self._as_above(said, above)
        if not any(line.at(each.column) for each, role in page.columns if role.what not in {KEEP, "leave out"}):
            return
        for each, role in page.columns:
            self._printable(page, line, each, role)
        where = page.sheet.where(line.number)
        name = said.get("cylinder")
        if self._is_run(page, name):
            self._ran(page, line, self._engine(page, said, where), unit_of(name.text if name else ""))
            return
        about = About(
            where,
            self._engine(page, said, where),
            self._run(page, line, said),
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
                    readings = list(self._of_heading(page, line, said, each))
                    self._keep(page, line, replace(about, column=each.column), day, readings)

    def _is_run(self, page: Page, name: Cell | None) -> bool:
        return self.how.form == "a cylinder" and is_run(name, page.cells("cylinder"))

    def _is_left(self, page: Page, line: Line, said: Mapping[str, Cell | None]) -> bool:
        """Tell whether a row is left out: it was said to be, or it names no cylinder, which is kept for a fault."""
        if any(cell and plain_name(cell.text) in self.left for cell in map(said.get, ("cylinder", "engine", "date"))):
            return True
        name = said.get("cylinder")
        if name is None or self._is_run(page, name) or not is_no_cylinder(name):
            return False
        place = f"{page.sheet.where(line.number)}, column {page.named('cylinder')}"
        self.no_cylinders.append((name.text, place))
        return True

    def _as_above(self, said: dict[str, Cell | None], above: dict[str, Cell | None]) -> None:
        """Fill a blank engine or date from the row above, and with it what belongs to the same test."""
        if self.how.blank != AS_ABOVE:
            return
        goes_on = any(what in said and said[what] is None for what in ("engine", "date"))
        for what in ("engine", "date", "run", "by", "gauge"):
            if what in said and goes_on:
                said[what] = said[what] or above.get(what)
            above[what] = said.get(what)

    def _printable(self, page: Page, line: Line, each: Heading, role: Role) -> None:
        cell = line.at(each.column)
        if cell is not None and role.what != "leave out" and cannot_be_shown(cell.text):
            place = f"{page.sheet.where(line.number)}, column {_printable(each.written)}"
            self.faults.append(
                Fault(told(cell.text), "it holds characters that no table shows", "type it again", place)
            )

    # -------------------------------------------------------------------------------------- what belongs to a test

    def _engine(self, page: Page, said: Mapping[str, Cell | None], where: str) -> str:
        if "engine" not in said:
            return self._meant(page.sheet.name if self.how.engine == FROM_TAB else self.how.engine)
        cell = said["engine"]
        if cell is None:
            if self.how.blank != AS_ABOVE or "engine" in said:
                instead = 'name it, or say blank = "as above" in the mapping'
                self.faults.append(
                    Fault("", "the engine is missing", instead, f"{where}, column {page.named('engine')}")
                )
            return ""
        return self._meant(cell.text.removesuffix(".0") if cell.sort is Sort.NUMBER else cell.text)

    def _meant(self, named: str) -> str:
        """Return the name of an engine, or that which [engines] says for it."""
        name = " ".join(named.split())
        return self.engines.get(name.casefold(), name)

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

    def _run(self, page: Page, line: Line, said: Mapping[str, Cell | None]) -> Measured | None:
        cell = said.get("run")
        place = f"{page.sheet.where(line.number)}, column {page.named('run')}"
        return self._figure_of_run(line, cell, page.unit("run"), place) if cell else None

    def _figure_of_run(self, line: Line, cell: Cell, unit: str, place: str) -> Measured | None:
        if cell.text.casefold() in NOTHING:
            return None
        seen = any(each and has_decimal_comma(each.text) for each in line.cells)
        try:
            return read_run(cell, unit or self.how.run_unit, self.how.decimal or DecimalMark.ASK, comma_seen=seen)
        except InputRefused as error:
            self.faults.extend(replace(fault, where=place) for fault in error.faults)
            return None

    def _ran(self, page: Page, line: Line, engine: str, unit: str) -> None:
        """Keep a row that says what the engine had run at each test."""
        for each, role in page.columns:
            cell = line.at(each.column)
            if role.what == A_TEST and cell is not None:
                place = f"{page.sheet.where(line.number)}, column {each.written}"
                run = self._figure_of_run(line, cell, unit, place)
                if run is not None and engine:
                    page.ran.append((line, place, (page.sheet.name, engine, each.column), run))

    def _give_runs(self, page: Page) -> None:
        for line, place, key, run in page.ran:
            for test in self.made.get(key, ()):
                self._has_run(test, run, place)
                test.lines.append(line.number)
            if key not in self.made:
                self.warnings.append(f"{place}: {run} is left out, for no cylinder was read at that test")

    def _has_run(self, test: NotebookTest, run: Measured | None, place: str) -> None:
        if run is not None and test.run is not None and run.value != test.run.value:
            given, why = f"{run} after {test.run}", "one test has been run one distance or time"
            self.faults.append(Fault(given, why, "put one of them right", place))
        test.run = test.run or run

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
        self, page: Page, line: Line, about: About, day: dt.date | None, rows: Sequence[Pull | LeakdownReading]
    ) -> None:
        """Put readings under their test: that of the row above, unless a cylinder would be in it twice."""
        if day is None or not about.engine or not rows:
            return
        key = (page.sheet.name, about.engine, day if about.column is None else about.column)
        tests = self.made.setdefault(key, [])
        test = tests[-1] if tests else None
        again = test is not None and any(map(test.has, rows))
        if test is not None and again and self.how.same_day == "repeats":
            rows = [test.repeated(row) for row in rows]
            again = False
        if test is None or again or self.how.form == "a test":
            test = NotebookTest(about.engine, day, about.run, about.by, about.gauge, about.note, page.sheet.name)
            tests.append(test)
            self.tests.append(test)
        self._has_run(test, about.run, about.where)
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

    def _row(self, page: Page, line: Line, said: Mapping[str, Cell | None]) -> Iterator[Pull | LeakdownReading]:
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

    def _cylinders(self, page: Page, line: Line) -> Iterator[Pull | LeakdownReading]:
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
        self, page: Page, line: Line, said: Mapping[str, Cell | None], each: Heading
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
        self.faults.extend(map(in_mapping, self.found.faults))
        a_test_each = self.how.form == "a cylinder"
        self.faults.extend(no_cylinders(self.no_cylinders, self.how.leave_rows, a_test_each=a_test_each))
        taken = [row for test in self.tests for row in test.rows]
        if "unit" not in self.how.accept and not self.found.without_unit:
            fault = implausible_median(taken, None)
            if fault is not None:
                self.faults.append(replace(in_mapping(fault), where="finals"))
        # What has no unit yet is held against nothing.
        for test in [] if self.found.without_unit else self.tests:
            for row, odd in odd_among(test.rows):
                told = f"{odd.given} where {odd.why}: look into the notebook again"
                self.warnings.append(f"{test.where}: cylinder {row.cylinder} has {told}")
        if not taken and not self.faults:
            self.faults.append(
                Fault("", "there is no reading in it", "look whether the mapping names the right columns")
            )
        return Notebook(tuple(self.tests), tuple(self.faults), tuple(self.warnings))


def _printable(text: str) -> str:
    return "".join(each if each.isprintable() else "?" for each in text)
