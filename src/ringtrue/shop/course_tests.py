"""Which tests of an engine make its course: in their order, with those that cannot be laid beside the others told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.compression import Kind
from ringtrue.errors import BookDamaged, InputRefused, RingtrueError
from ringtrue.history import Axis
from ringtrue.measure.gauges import gauge_error
from ringtrue.units import Dimension, find_unit, units_of

if TYPE_CHECKING:
    from ringtrue.compression import CompressionTest
    from ringtrue.engine import BuildSheet
    from ringtrue.quantities import Measured
    from ringtrue.records import Book, Event, Recorded
    from ringtrue.units import Unit

_DAY = 86400.0
_TYPED = {Axis.DISTANCE: "distance", Axis.RUNNING_TIME: "time", Axis.DATE: "date"}


@dataclass(frozen=True, slots=True)
class OnCourse:
    """
    A test on the course of its engine.

    Parameters
    ----------
    recorded : Recorded
        As the book has it.
    test : CompressionTest
        Its readings, as the gauge showed them.
    sheet : BuildSheet or None
        The engine as it was built that day, else as its latest sheet tells; None where there is none.
    sheet_text : str
        That sheet, to the letter; empty without one.
    """

    recorded: Recorded
    test: CompressionTest
    sheet: BuildSheet | None
    sheet_text: str

    @property
    def test_id(self) -> str:
        """Its id."""
        return self.recorded.test_id

    @property
    def date(self) -> str:
        """ISO date; empty when not said."""
        return self.recorded.header.date

    @property
    def run(self) -> Measured | None:
        """Distance [m] or running time [s] since the build."""
        return self.recorded.header.run_since_build

    @property
    def cylinders(self) -> tuple[str, ...]:
        """Cylinders of the sheet, else those that were pulled dry."""
        if self.sheet is not None:
            return self.sheet.cylinders
        series = self.test.series(Kind.DRY)
        return () if series is None else series.cylinders

    @property
    def whole(self) -> bool:
        """Every cylinder has a dry final."""
        series = self.test.series(Kind.DRY)
        read = {pull.cylinder for pull in series.pulls if pull.final is not None} if series else set()
        return read >= set(self.cylinders)

    @property
    def gauge_known(self) -> bool:
        """How its gauge errs is known."""
        return gauge_error(self.test.gauge, self.test.date) is not None

    @property
    def label(self) -> str:
        """What a person knows it by."""
        return f"test {self.test_id}" + (f" of {self.date}" if self.date else "")


@dataclass(frozen=True, slots=True)
class LeftOut:
    """
    A test that is not on the course.

    Parameters
    ----------
    test_id : str
        Its id.
    date : str
        ISO date; empty when not said.
    why : str
        The reason, as a clause.
    """

    test_id: str
    date: str
    why: str


@dataclass(frozen=True, slots=True)
class Placed:
    """
    Tests along one axis.

    Parameters
    ----------
    axis : Axis
        Along what.
    unit : Unit or None
        Unit in which it is told; None for dates.
    at : tuple of float
        Where each test stands. [m or s]
    """

    axis: Axis
    unit: Unit | None
    at: tuple[float, ...]


def course_of(book: Book, engine: str, until: str = "") -> tuple[tuple[OnCourse, ...], tuple[LeftOut, ...]]:
    """
    Read the tests of an engine with their build sheets, and leave out those without a dry final.

    Parameters
    ----------
    book : Book
        The record book.
    engine : str
        Its key.
    until : str
        Id of a test that counts though it is open; empty for none.

    Returns
    -------
    tuple of OnCourse and tuple of LeftOut
        Finished tests in their order, and those that are not on the course.

    Raises
    ------
    BookUnusable
        The book cannot be used, or a test is not what was written.
    """
    from ringtrue.intake import parse_sheet

    counts = [each.test_id for each in book.tests(engine) if each.counts or each.test_id == until]
    recorded = [_whole(each) for each in book.tests_read(counts)]
    revisions = book.sheets(engine) if any(not each.sheet_text for each in recorded) else ()
    latest = revisions[-1].text if revisions else ""
    read: dict[str, BuildSheet | None] = {"": None}
    found, out = [], []
    for each in recorded:
        series = each.test.series(Kind.DRY)
        if series is None or all(pull.final is None for pull in series.pulls):
            out.append(LeftOut(each.test_id, each.header.date, "no dry final was read"))
            continue
        text = each.sheet_text or latest
        if text not in read:
            try:
                read[text] = parse_sheet(text)
            except RingtrueError:
                read[text] = None
        found.append(OnCourse(each, each.test, read[text], text))
    return in_order(found), tuple(out)


def _whole(read: Recorded | BookDamaged) -> Recorded:
    if isinstance(read, BookDamaged):
        raise read
    return read


def in_order(tests: Sequence[OnCourse]) -> tuple[OnCourse, ...]:
    """
    Put tests into the order in which they were taken.

    Parameters
    ----------
    tests : sequence of OnCourse
        In any order.

    Returns
    -------
    tuple of OnCourse
        By their dates; one without a date stands where the book wrote it.
    """
    return tuple(sorted(tests, key=lambda each: (each.date or each.recorded.opened_at[:10], each.recorded.opened_at)))


def after_new_baseline(tests: Sequence[OnCourse], events: Sequence[Event]) -> tuple[int, Event | None]:
    """
    Find from which test on the engine is the one that it is now.

    Parameters
    ----------
    tests : sequence of OnCourse
        In their order.
    events : sequence of Event
        The engine's log.

    Returns
    -------
    int and Event or None
        Place of the first test after the last work that made a new baseline, which may lie behind the last test; and
        that work.
    """
    last, why = 0, None
    for event in events:
        if event.new_baseline and (first := first_after(tests, event)) >= last:
            last, why = first, event
    return last, why


def first_after(tests: Sequence[OnCourse], event: Event) -> int:
    """
    Find the first test after something was done.

    Parameters
    ----------
    tests : sequence of OnCourse
        In their order.
    event : Event
        What was done.

    Returns
    -------
    int
        Its place; the number of tests where there is none yet. A test of the same day is taken to be after it. Without
        a date the figure of hours or miles tells, and without either when it was written down.
    """
    for place, test in enumerate(tests):
        if event.date and test.date:
            if test.date >= event.date:
                return place
        elif not event.date and event.at is not None and _comparable(event.at, test.run):
            if test.run is not None and test.run.value >= event.at.value:
                return place
        elif (test.date or test.recorded.opened_at) >= (event.date or event.recorded_at):
            return place
    return len(tests)


def baseline_among(tests: Sequence[OnCourse], first: int) -> int:
    """
    Choose the baseline.

    Parameters
    ----------
    tests : sequence of OnCourse
        In their order, those from `first` on not none.
    first : int
        From which test on it may be.

    Returns
    -------
    int
        The first test in which every cylinder was read; the first of those with a gauge of which is known how it errs
        where a later one was read so too, for only two of them can be held against each other with an interval; the
        very first where none is whole.
    """
    whole = [place for place in range(first, len(tests)) if tests[place].whole]
    known = [place for place in whole if tests[place].gauge_known]
    return known[0] if len(known) > 1 else next(iter(whole), first)


def places(tests: Sequence[OnCourse], wanted: Axis | None) -> Placed | None:
    """
    Lay tests along an axis.

    Parameters
    ----------
    tests : sequence of OnCourse
        From the baseline on.
    wanted : Axis or None
        Along what; None for the first of distance, running time and date that all of them have and that goes forward.

    Returns
    -------
    Placed or None
        None where no axis has them all.

    Raises
    ------
    InputRefused
        One was asked for that does not have them all, or runs backwards.
    """
    if wanted is not None:
        found = _along(tests, wanted)
        if found is None:
            noun = {"date": "a date"}.get(wanted.value, wanted.value)
            missing = [each.label for each in tests if _where(each, wanted) is None]
            raise InputRefused.of(
                f"--along {_TYPED[wanted]}",
                f"{', '.join(missing)} has no {noun}",
                "leave it out, or put the test right",
            )
        if back := next(iter(_backwards(tests, found.at)), None):
            raise InputRefused.of(f"--along {_TYPED[wanted]}", *backwards_told(*back, wanted))
        return found
    for axis in Axis:
        found = _along(tests, axis)
        if found is not None and len(set(found.at)) > 1 and not list(_backwards(tests, found.at)):
            return found
    return None


def backwards(tests: Sequence[OnCourse]) -> Iterator[str]:
    """
    Tell of miles and hours that run backwards, and of days that are still to come.

    Parameters
    ----------
    tests : sequence of OnCourse
        From the baseline on, in their order.

    Yields
    ------
    str
        A sentence without its full stop.
    """
    for axis in (Axis.DISTANCE, Axis.RUNNING_TIME):
        known = [each for each in tests if _where(each, axis) is not None]
        for pair in _backwards(known, [_where(each, axis) or 0.0 for each in known]):
            why, then = backwards_told(*pair, axis)
            yield f"{why[0].upper()}{why[1:]}: {then}"
    today = dt.datetime.now(tz=dt.UTC).astimezone().date().isoformat()
    for each in tests:
        if each.date > today:
            yield f"Test {each.test_id} is dated {each.date}, a day still to come: put it right"


def backwards_told(before: OnCourse, after: OnCourse, axis: Axis) -> tuple[str, str]:
    """
    Say that something runs backwards.

    Parameters
    ----------
    before, after : OnCourse
        Two tests in their order.
    axis : Axis
        Along what.

    Returns
    -------
    str and str
        Why that cannot be used, and what to do.
    """
    if axis is Axis.DATE:
        return f"{after.label} has the day of {before.label}", "follow the engine by distance or running time"
    why = f"the {axis.value} runs backwards, from {before.run} at {before.label} to {after.run} at {after.label}"
    begun = "where the count was begun anew after a build, write that work into the log as a new baseline"
    return why, f"put the wrong one right; or, {begun}"


def _backwards(tests: Sequence[OnCourse], at: Sequence[float]) -> Iterator[tuple[OnCourse, OnCourse]]:
    for place in range(1, len(tests)):
        if at[place] < at[place - 1]:
            yield tests[place - 1], tests[place]


def _along(tests: Sequence[OnCourse], axis: Axis) -> Placed | None:
    at = [_where(each, axis) for each in tests]
    known = tuple(each for each in at if each is not None)
    if len(known) < len(at):
        return None
    return Placed(axis, _unit(tests, axis), known)


def _where(test: OnCourse, axis: Axis) -> float | None:
    if axis is Axis.DATE:
        return _DAY * dt.date.fromisoformat(test.date).toordinal() if test.date else None
    if test.run is None or axis_of(test.run) is not axis:
        return None
    return test.run.value


def axis_of(run: Measured) -> Axis:
    """
    Tell whether an engine's run is a distance or a time.

    Parameters
    ----------
    run : Measured
        As somebody wrote it.

    Returns
    -------
    Axis
        Distance or running time.
    """
    distances = {unit.name for unit in units_of(Dimension.DISTANCE)}
    return Axis.DISTANCE if run.unit in distances else Axis.RUNNING_TIME


def _unit(tests: Sequence[OnCourse], axis: Axis) -> Unit | None:
    if axis is Axis.DATE:
        return None
    dimension = Dimension.DISTANCE if axis is Axis.DISTANCE else Dimension.DURATION
    return find_unit(next(each.run.unit for each in reversed(tests) if each.run is not None), dimension)


def _comparable(one: Measured, other: Measured | None) -> bool:
    return other is not None and axis_of(one) is axis_of(other)
