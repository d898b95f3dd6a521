"""A notebook's tests, laid beside the book: which engine each is of, what is there already, and whether it fits."""

from __future__ import annotations

import datetime as dt
import hashlib
import shlex
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from ringtrue.compression import Gauge, LeakdownReading, Pull
from ringtrue.engine import BuildSheet
from ringtrue.errors import BookDamaged, Fault, InputRefused, NotInBook
from ringtrue.intake import parse_sheet
from ringtrue.intake.notebook_facts import NotebookTest
from ringtrue.intake.notebook_map import NotebookMap, quoted
from ringtrue.intake.test_file import parse_run
from ringtrue.records import BroughtIn, Header, Whole
from ringtrue.shop.gauge_on_day import GaugeOverTime, over_time
from ringtrue.shop.in_order import Known, cylinders_changed, known_of, not_come, runs_backwards
from ringtrue.shop.notebook_names import Name, nearly_one

if TYPE_CHECKING:
    from ringtrue.quantities import Measured
    from ringtrue.records import Book, Recorded

NEARLY = 0.5
"""Two tests of one day are nearly the same where so large a share of their readings is. [-]"""


@dataclass(frozen=True, slots=True)
class EngineMet:
    """
    An engine of the notebook.

    Parameters
    ----------
    key, name : str
        As the book has it, or will have it.
    new : bool
        The book does not know it yet.
    tests : int
        How many tests of it would come in.
    sheet : str
        Under which build sheet they stand, in words.
    """

    key: str
    name: str
    new: bool
    tests: int
    sheet: str


@dataclass(frozen=True, slots=True)
class _Engine:
    key: str
    name: str
    new: bool
    text: str | None
    sheet: BuildSheet | None
    said: str


class _Test(NamedTuple):
    """A test that is there: what is known of it; its id where the book has it; why it was put aside, where it was."""

    known: Known
    said: frozenset[object]
    note: str
    id: str = ""
    put_aside: str = ""


class Beside:
    """
    Lays a notebook's tests beside the book.

    Parameters
    ----------
    book : Book
        The record book.
    how : NotebookMap
        The mapping.
    sheets : mapping of str to (str, BuildSheet)
        Build sheets of a folder, by name and reference in small letters.
    today : date
        The day.
    """

    def __init__(
        self, book: Book, how: NotebookMap, sheets: Mapping[str, tuple[str, BuildSheet]], today: dt.date
    ) -> None:
        self.book = book
        self.how = how
        self.sheets = sheets
        self.today = today
        self.known = {each.key: each for each in book.engines()}
        self.gauges = {gauge.name for gauge in book.gauges()}
        self.over_time: dict[str, GaugeOverTime] = {}
        self.as_they_were: dict[str, list[str]] = defaultdict(list)
        self.coming: list[Whole] = []
        self.left_out: list[str] = []
        self.faults: list[Fault] = []
        self.warnings: list[str] = []
        self.met: dict[str, _Engine] = {}
        self.counts: dict[str, int] = defaultdict(int)

    def lay(self, tests: Sequence[NotebookTest], source: BroughtIn) -> None:
        """
        Match engines, leave out what is there already, and look whether what comes fits.

        Parameters
        ----------
        tests : sequence of NotebookTest
            The notebook's.
        source : BroughtIn
            The file; where in it, each test says.
        """
        by_engine: dict[str, list[NotebookTest]] = defaultdict(list)
        for test in tests:
            engine = self._engine(test.engine)
            by_engine[engine.key].append(test)
        self._alike_names({key: len(own) for key, own in by_engine.items()})
        self._unknown_gauges(tests)
        for key, own in by_engine.items():
            engine = next(each for each in self.met.values() if each.key == key)
            there = self._there(engine)
            for test in sorted(own, key=lambda each: (each.date, min(each.lines))):
                self._one(engine, test, there, source)
        self.warnings += [_of_tests(says, where) for says, where in self.as_they_were.items()]

    # -------------------------------------------------------------------------------------- engines

    def _engine(self, named: str) -> _Engine:
        folded = named.casefold()
        if folded not in self.met:
            self.met[folded] = self._found(named)
        return self.met[folded]

    def _found(self, named: str) -> _Engine:
        try:
            there = self.book.engine(named)
        except NotInBook:
            text, sheet = self.sheets.get(named.casefold(), (None, None))
            if sheet is not None:
                return _Engine(
                    sheet.key,
                    sheet.name,
                    new=sheet.key not in self.known,
                    text=text,
                    sheet=sheet,
                    said="as in the folder",
                )
            return _Engine(named, named, new=True, text=None, sheet=None, said="no build sheet")
        revisions = self.book.sheets(there.key) if self.how.sheets == "latest" else ()
        if revisions:
            said = f"revision {revisions[-1].revision}, the latest"
            text = revisions[-1].text
            return _Engine(there.key, there.name, new=False, text=text, sheet=parse_sheet(text), said=said)
        text, sheet = self.sheets.get(there.key.casefold(), (None, None))
        if sheet is not None and self.how.sheets == "latest":
            return _Engine(there.key, sheet.name, new=False, text=text, sheet=sheet, said="as in the folder")
        return _Engine(there.key, there.name, new=False, text=None, sheet=None, said="no build sheet")

    def engines(self) -> list[EngineMet]:
        """Return the engines of the notebook."""
        return [
            EngineMet(each.key, each.name, each.new, self.counts[each.key], each.said)
            for each in {one.key: one for one in self.met.values()}.values()
        ]

    def _alike_names(self, tests: Mapping[str, int]) -> None:
        """Warn of names that are nearly one, by how many tests each has."""
        names = [Name(each.name or each.key, new=False) for each in self.known.values()]
        names += [
            Name(each.name, new=True, sheet=each.sheet is not None, tests=tests[each.key])
            for each in {one.key: one for one in self.met.values() if one.new}.values()
        ]
        for name, meant in nearly_one(names):
            say = f"{quoted(name)} = {quoted(meant)}"
            self.warnings.append(
                f"engine {name} would be new, and there is {meant}: if they are one, say so under "
                f"[engines] in the mapping, {say}"
            )

    def _unknown_gauges(self, tests: Sequence[NotebookTest]) -> None:
        unknown = sorted({test.gauge for test in tests if test.gauge and test.gauge not in self.gauges})
        self.warnings += [
            f"gauge {name} is not in the register: its name is kept, and nothing is known of how it errs"
            for name in unknown
        ]

    # -------------------------------------------------------------------------------------- tests

    def _there(self, engine: _Engine) -> list[_Test]:
        """Return what the book has of an engine."""
        if engine.key not in self.known:
            return []
        read = self.book.tests_read(each.test_id for each in self.book.tests(engine.key))
        return [_of_book(each) for each in read if not isinstance(each, BookDamaged)]

    def _one(self, engine: _Engine, test: NotebookTest, there: list[_Test], source: BroughtIn) -> None:
        where = test.where
        date = test.date.isoformat()
        cylinders = frozenset(row.cylinder for row in test.rows)
        known = Known(date, test.run, cylinders, where)
        same = _said(test.rows)
        on_day = [other for other in there if other.known.date == date]
        for other in on_day:
            if other.said == same:
                aside = f", put aside: {other.put_aside}" if other.put_aside else ""
                more = "" if aside else "".join(f"; {each}" for each in _more(test, other))
                self.left_out.append(
                    f"{where}: {engine.name} on {date} is there already, {other.known.named}{aside}{more}"
                )
                return
        if not self._wanted(known, same, [other for other in on_day if not other.put_aside], engine):
            return
        faults = [not_come(date, where, self.today)]
        others = [other.known for other in there if not other.put_aside]
        if "run" not in self.how.accept:
            fault = runs_backwards(known, others)
            faults.append(fault and replace(fault, where=where, instead=_or_accept(fault.instead, "run")))
        if "cylinders" not in self.how.accept:
            fault = cylinders_changed(known, engine.sheet.cylinders if engine.sheet else (), others)
            faults.append(fault and replace(fault, where=where, instead=_or_accept(fault.instead, "cylinders")))
        elif engine.sheet is not None and cylinders - set(engine.sheet.cylinders):
            engine = replace(engine, text=None, sheet=None)
        self.faults += [fault for fault in faults if fault is not None]
        there.append(_Test(known, same, test.note))
        self.counts[engine.key] += 1
        self.coming.append(self._whole(engine, test, replace(source, rows=where)))

    def _wanted(self, known: Known, same: frozenset[object], on_day: Sequence[_Test], engine: _Engine) -> bool:
        """Ask about a test of a day on which there is another with many of the same readings."""
        near = [other.known for other in on_day if len(same & other.said) >= NEARLY * min(len(same), len(other.said))]
        if not near or self.how.nearly_same == "bring in":
            return True
        if self.how.nearly_same == "leave out":
            self.left_out.append(
                f"{known.named}: {engine.name} on {known.date} is nearly as it is there, {near[0].named}"
            )
            return False
        why = f"{near[0].named} is a test of the same engine and day, and most of its readings are the same"
        instead = 'say nearly_same = "leave out" or nearly_same = "bring in" in the mapping, or put the row right'
        self.faults.append(Fault(f"{engine.name} on {known.date}", why, instead, known.named))
        return False

    def _whole(self, engine: _Engine, test: NotebookTest, source: BroughtIn) -> Whole:
        header = Header(
            engine.key,
            engine.name,
            date=test.date.isoformat(),
            by=test.by,
            run_since_build=test.run,
            gauge=self._gauge(test),
            plan_order=engine.sheet.pull_order if engine.sheet else (),
            note=test.note,
            brought_in=source,
        )
        said = repr((engine.key, header.date, test.run, sorted(map(repr, _said(test.rows)))))
        digest = hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()
        return Whole(header, tuple(test.rows), engine.text, f"notebook-{digest[:32]}")

    def _gauge(self, test: NotebookTest) -> Gauge | None:
        """Return the gauge of a test as it was that day."""
        if test.gauge not in self.gauges:
            return Gauge(test.gauge) if test.gauge else None
        if test.gauge not in self.over_time:
            self.over_time[test.gauge] = over_time(self.book, test.gauge)
        found = self.over_time[test.gauge].on(test.date.isoformat())
        if found.says:
            self.as_they_were[found.says].append(test.where)
        return found.gauge


def _of_tests(says: str, where: list[str]) -> str:
    more = f" and {len(where) - 1} more" if len(where) > 1 else ""
    return f"{says} ({where[0]}{more})"


def _or_accept(instead: str, what: str) -> str:
    return f'{instead}; where it is so, say accept = ["{what}"] in the mapping'


def _of_book(recorded: Recorded) -> _Test:
    said = _said(recorded.test.taken)
    return _Test(known_of(recorded), said, recorded.header.note, recorded.test_id, recorded.put_aside)


def _more(test: NotebookTest, there: _Test) -> Iterator[str]:
    """Tell what a test that is left out says, and the one that is there does not."""
    place = "in the book" if there.id else f"in {there.known.named}"
    run, known = test.run, there.known.run
    if run is not None and (known is None or known.value != run.value):
        other = f", where {known} stands" if known else ""
        do = f": {_correct(there.id, run)}" if there.id else ": write it there too"
        yield f"what it had run, {run}, is not {place}{other}{do}"
    if test.note and test.note not in there.note:
        yield f"its note, “{test.note}”, is not {place}"


def _correct(test_id: str, run: Measured) -> str:
    """Return what to type for what an engine had run, in figures that can be read in one way alone."""
    told = str(run)
    for figures in (run.written, run.written.replace(",", ""), run.written.replace(".", "").replace(",", ".")):
        told = f"{figures} {run.unit}"
        try:
            if parse_run(told).value == run.value:
                break
        except InputRefused:
            continue
    why = shlex.quote("it stands in the notebook")
    return f"ringtrue book correct {test_id} --run {shlex.quote(told)} --why {why} puts it there"


def _said(rows: Sequence[Pull | LeakdownReading]) -> frozenset[object]:
    """Return what the readings of a test say, whatever was written beside them."""
    return frozenset(
        (
            row.cylinder,
            row.kind,
            row.repeat or 1,
            _pressure(row, "first"),
            _pressure(row, "final"),
            _pressure(row, "held"),
        )
        for row in rows
    )


def _pressure(row: Pull | LeakdownReading, name: str) -> int | None:
    figure = getattr(row, name, None)
    return None if figure is None else round(figure.pressure)
