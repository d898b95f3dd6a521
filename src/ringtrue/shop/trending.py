"""An engine over time: all its tests on one course, what changed since the baseline, and where that leads."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringtrue.compression import Kind
from ringtrue.errors import InputRefused, RingtrueError
from ringtrue.history import Axis, Outlook, Says, Sight, Trend, outlook, sight, trend
from ringtrue.measure.limits import Figure, rules_for, thresholds
from ringtrue.quantities import Measured
from ringtrue.shop.carried import STANDARD, OneTest, Together, as_read, carry_together, draws_for
from ringtrue.shop.course_tests import (
    LeftOut,
    OnCourse,
    Placed,
    after_new_baseline,
    backwards,
    baseline_among,
    course_of,
    first_after,
    places,
)
from ringtrue.shop.foreseeing import REPEATS
from ringtrue.units import Dimension as Of
from ringtrue.units import Unit, find_unit, gauge_unit

if TYPE_CHECKING:
    from ringtrue.compression import Conditions, Gauge
    from ringtrue.history import Carried, Change
    from ringtrue.measure.limits import Rule
    from ringtrue.records import Book, Event

AGREED = replace(STANDARD, oil=Measured(353.15, "80", "C"))
"""What tests are carried to: what `ringtrue normalise` takes, and a warm engine."""

_LEVELS = {Figure.LOWEST, Figure.SPREAD}
"""Figures that move with day and height: they mean something only where tests are carried."""


@dataclass(frozen=True, slots=True)
class Between:
    """
    What was done between two tests, and what changed.

    Parameters
    ----------
    events : tuple of Event
        In the order in which they were written.
    before, after : int
        Places of the two tests.
    change : Change
        What became of the engine.
    """

    events: tuple[Event, ...]
    before: int
    after: int
    change: Change


@dataclass(frozen=True, slots=True)
class Followed:
    """
    An engine over time.

    Parameters
    ----------
    engine, name : str
        Its key and its name.
    unit : Unit
        In which pressures are told: that of the latest test.
    to : Conditions
        What the tests are carried to.
    to_gauge : Gauge or None
        The gauge of the baseline, to which they are carried.
    course : tuple of OnCourse
        The tests, in their order.
    tests : tuple of Carried
        The same, carried.
    baseline : int
        Place of the one that others are compared with.
    baseline_why : str
        Why it is that one, as a clause.
    changes : mapping of int to Change
        By place: every later one beside the baseline.
    placed : Placed or None
        Where the tests stand from the baseline on; None where no axis has them all.
    trend : Trend
        Lines through the course from the baseline on.
    outlook : Outlook or None
        When limits will be met; None without lines or limits.
    between : tuple of Between
        What was done, and tests before and after it.
    events : tuple of Event
        The whole log.
    sights : tuple of Sight
        What a next test would see with the latest gauge, by its repeats; empty where the gauge is not known.
    left_out : tuple of LeftOut
        Tests that are not on the course.
    not_carried : str
        Why finals are told as they were read and the engine as a whole is not compared; empty where they are carried.
    warnings : tuple of str
        What the person should know.
    """

    engine: str
    name: str
    unit: Unit
    to: Conditions
    to_gauge: Gauge | None
    course: tuple[OnCourse, ...]
    tests: tuple[Carried, ...]
    baseline: int
    baseline_why: str
    changes: Mapping[int, Change]
    placed: Placed | None
    trend: Trend
    outlook: Outlook | None
    between: tuple[Between, ...]
    events: tuple[Event, ...]
    sights: tuple[Sight, ...]
    left_out: tuple[LeftOut, ...]
    not_carried: str
    warnings: tuple[str, ...] = ()

    @property
    def since(self) -> tuple[Carried, ...]:
        """Tests from the baseline on."""
        return self.tests[self.baseline :]

    @property
    def latest(self) -> Change | None:
        """The latest test beside the baseline; None where the baseline is the latest."""
        return self.changes.get(len(self.tests) - 1)


def follow(
    book: Book,
    engine: str,
    limits: Mapping[str, float],
    *,
    baseline: str = "",
    axis: Axis | None = None,
    until: str = "",
) -> Followed:
    """
    Follow an engine over time.

    Parameters
    ----------
    book : Book
        The record book.
    engine : str
        Its reference, or its name.
    limits : mapping of str to float
        Thresholds that the shop has changed.
    baseline : str
        Id of the test that others are compared with; empty for the first whole one after the last work that made a new
        baseline.
    axis : Axis or None
        Along what rates are told; None for the first that all tests have.
    until : str
        Id of the last test that counts, which may be open; empty for all.

    Returns
    -------
    Followed
        Its course.

    Raises
    ------
    NotInBook
        The book does not know the engine.
    InputRefused
        It has no test that can be followed, the baseline is none of them, or the axis does not have them all.
    BookUnusable
        The book cannot be used.
    """
    known = book.engine(engine)
    course, left_out = course_of(book, known.key, until)
    events = book.events(known.key)
    course = tuple(_up_to(course, until))
    if not course:
        raise InputRefused.of(
            known.name or known.key,
            "no finished test of it has a dry final"
            + "".join(f"; test {each.test_id}: {each.why}" for each in left_out),
            "take one: ringtrue pull, or ringtrue enter",
        )
    at, why = _baseline(course, events, baseline)
    course, at, other = _same_cylinders(course, at)
    to_gauge = course[at].test.gauge or next((each.test.gauge for each in course if each.test.gauge), None)
    together, not_carried = _together(course, to_gauge)
    made = {place: together.change(at, place) for place in range(at + 1, len(course))}
    changes = {place: _whole_engine_aside(each) if not_carried else each for place, each in made.items()}
    placed = places(course[at:], axis)
    lines = trend(together.tests[at:], together.logs[:, at:], placed.at if placed else ())
    if not_carried:
        lines = replace(lines, engine=None)
    sheet = course[-1].sheet
    rules = [
        rule
        for rule in rules_for(thresholds(limits), sheet.limits if sheet else None)
        if not (not_carried and rule.figure in _LEVELS)
    ]
    return Followed(
        known.key,
        known.name,
        gauge_unit(find_unit(course[-1].test.unit or "psi", Of.PRESSURE)),
        AGREED,
        to_gauge,
        course,
        together.tests,
        at,
        why,
        changes,
        placed,
        lines,
        _outlook(lines, rules),
        tuple(_between(course, events, together, not_carried=bool(not_carried))),
        events,
        _sights(course, together.tests, at),
        (*left_out, *other),
        not_carried,
        tuple(backwards(course[at:])),
    )


def _up_to(course: Sequence[OnCourse], until: str) -> Iterator[OnCourse]:
    for each in course:
        yield each
        if each.test_id == until:
            return


def _baseline(course: Sequence[OnCourse], events: Sequence[Event], wanted: str) -> tuple[int, str]:
    if wanted:
        for place, each in enumerate(course):
            if each.test_id == wanted:
                return place, "it was named"
        known = ", ".join(each.test_id for each in course)
        raise InputRefused.of(
            f"--baseline {wanted}",
            "no finished test of this engine with a dry final has that id",
            f"name one of {known}",
        )
    first, work = after_new_baseline(course, events)
    if first == len(course):
        return len(course) - 1, "the latest one; work since then made a new baseline, and no test was taken after it"
    at = baseline_among(course, first)
    whole = "the first in which every cylinder was read" if course[at].whole else "the first"
    if any(each.whole for each in course[first:at]):
        whole += " with a gauge of which is known how it errs"
    if work is None:
        return at, whole
    return at, f"{whole} after “{work.text}”"


def _same_cylinders(course: tuple[OnCourse, ...], at: int) -> tuple[tuple[OnCourse, ...], int, tuple[LeftOut, ...]]:
    """Leave out tests of an engine that had other cylinders."""
    wanted = course[at]

    def same(each: OnCourse) -> bool:
        if each.sheet is None or wanted.sheet is None:
            return set(each.cylinders) <= set(wanted.cylinders) or set(each.cylinders) >= set(wanted.cylinders)
        return each.sheet.cylinders == wanted.sheet.cylinders and each.sheet.layout == wanted.sheet.layout

    kept = tuple(each for each in course if same(each))
    why = (
        f"its engine has other cylinders than that of the baseline, {wanted.label}: name another baseline to follow it"
    )
    out = tuple(LeftOut(each.test_id, each.date, why) for each in course if not same(each))
    return kept, kept.index(wanted), out


def _together(course: Sequence[OnCourse], to_gauge: Gauge | None) -> tuple[Together, str]:
    """Carry the tests, or say why they cannot be carried and take them as they were read."""
    missing = [each.label for each in course if each.sheet is None]
    if not missing:
        tests = [
            OneTest(each.test_id, each.test, each.sheet, each.sheet_text, each.test_id) for each in course if each.sheet
        ]
        try:
            return carry_together(tests, to_gauge, AGREED, draws=draws_for(len(tests))), ""
        except RingtrueError as error:
            why = "; ".join(fault.why for fault in error.faults)
    else:
        why = f"there is no build sheet for {', '.join(missing)}"
    return as_read([(each.test, each.cylinders) for each in course]), why


def _whole_engine_aside(change: Change) -> Change:
    return replace(change, engine=None, says=Says.CANNOT_TELL)


def _outlook(lines: Trend, rules: Sequence[Rule]) -> Outlook | None:
    return None if lines.lines is None else outlook(lines.lines, rules, lines.scatter)


def _between(
    course: Sequence[OnCourse], events: Sequence[Event], together: Together, *, not_carried: bool
) -> Iterator[Between]:
    """Put what was done into the gaps between tests."""
    gaps: dict[int, list[Event]] = {}
    for event in events:
        place = first_after(course, event)
        if 0 < place < len(course):
            gaps.setdefault(place, []).append(event)
    for place, done in sorted(gaps.items()):
        change = together.change(place - 1, place)
        yield Between(tuple(done), place - 1, place, _whole_engine_aside(change) if not_carried else change)


def _sights(course: Sequence[OnCourse], tests: Sequence[Carried], at: int) -> tuple[Sight, ...]:
    """Tell what a next test would see beside the baseline, read with the latest gauge."""
    then, now = tests[at], tests[-1]
    if now.error is None or then.error is None:
        return ()
    series = course[at].test.series(Kind.DRY)
    pulls = Counter(pull.cylinder for pull in series.pulls if pull.final is not None) if series else Counter[str]()
    fewest, count = min(pulls.values(), default=1), len(pulls)
    seen = [
        sight(now.error, repeats, then.error, fewest, pressure=now.middle_read, cylinders=count) for repeats in REPEATS
    ]
    return tuple(each for each in seen if each is not None)
