"""Before a test: the smallest change or difference that a gauge, a hand and a number of repeats can see."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.compression import Band, Kind
from ringtrue.engine import Ignition
from ringtrue.errors import GaugeRefused, NotInBook
from ringtrue.history import carry, pulls_to_see, sight, sight_of_one
from ringtrue.measure.gauges import gauge_error
from ringtrue.shop.course_tests import after_new_baseline, baseline_among, course_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringtrue.compression import Gauge
    from ringtrue.engine import BuildSheet
    from ringtrue.history import Sight
    from ringtrue.measure.gauges import GaugeError
    from ringtrue.records import Book
    from ringtrue.shop.course_tests import OnCourse

REPEATS = (1, 2, 3)
"""Pulls of every cylinder for which it is told what they see."""

ASKED = (0.03, 0.01)
"""Losses of which it is told how many pulls see them. [-]"""

_AS_READ = Band(1.0, 1.0, 1.0)
_USUAL = {None: 1.0e6, Ignition.SPARK: 1.0e6, Ignition.COMPRESSION: 2.7e6}
"""About what finals are where nothing was read and no minimum is on the sheet: common practice. [Pa gauge]"""


@dataclass(frozen=True, slots=True)
class Before:
    """
    What is known of an engine before a test of it.

    Parameters
    ----------
    cylinders : int
        How many it has.
    pressure : float
        About what the finals will be. [Pa gauge]
    pressure_from : str
        Where that is taken from, as a clause; empty for the baseline.
    baseline : str
        What a person knows the baseline by; empty where there is none that the next test can be held against.
    no_baseline : str
        Why there is none, as a clause; empty where there is one.
    error : GaugeError or None
        How the gauge of the baseline errs; None without one.
    pulls : int
        Pulls of every cylinder at the baseline; 0 without one.
    gauge : Gauge or None
        The one with which the engine was read last, else the only one of the register; None where neither is known.
    """

    cylinders: int
    pressure: float
    pressure_from: str = ""
    baseline: str = ""
    no_baseline: str = ""
    error: GaugeError | None = None
    pulls: int = 0
    gauge: Gauge | None = None


def before_test(book: Book | None, sheet: BuildSheet) -> Before:
    """
    Gather what is known of an engine before a test of it.

    Parameters
    ----------
    book : Book or None
        The record book; None where there is none.
    sheet : BuildSheet
        The engine as it is built.

    Returns
    -------
    Before
        Its baseline, where it has one that the next test will be held against.

    Raises
    ------
    BookUnusable
        The book cannot be used, or a test of the engine is not what was written.
    """
    try:
        course = () if book is None else course_of(book, sheet.key)[0]
        events = () if book is None else book.events(sheet.key)
    except NotInBook:
        course, events = (), ()
    gauge = next((each.test.gauge for each in reversed(course) if each.test.gauge), None) or _only_one(book)
    first, work = after_new_baseline(course, events)
    if first < len(course):
        return _since(course[baseline_among(course, first)], sheet, gauge)
    why = (
        "the engine has no finished test"
        if work is None
        else f"“{work.text}” made a new one, and no test was taken since"
    )
    return _without(sheet, why, gauge, course[-1] if course else None)


def _only_one(book: Book | None) -> Gauge | None:
    known = () if book is None else book.gauges()
    return known[0] if len(known) == 1 else None


def _since(baseline: OnCourse, sheet: BuildSheet, gauge: Gauge | None) -> Before:
    if set(baseline.cylinders) != set(sheet.cylinders):
        return _without(sheet, f"its cylinders are others than those of {baseline.label}", gauge, None)
    carried, series = carry(baseline.test, sheet.cylinders, _AS_READ), baseline.test.series(Kind.DRY)
    if carried is None or series is None or carried.error is None or carried.middle_read <= 0:
        why = f"how the gauge of {baseline.label} errs is not known"
        return _without(sheet, why, gauge, baseline)
    read = Counter(pull.cylinder for pull in series.pulls if pull.final is not None)
    fewest = min(read.values(), default=1)
    return Before(
        len(read), carried.middle_read, baseline=baseline.label, error=carried.error, pulls=fewest, gauge=gauge
    )


def _without(sheet: BuildSheet, why: str, gauge: Gauge | None, last: OnCourse | None) -> Before:
    pressure, told = _about(sheet, last)
    return Before(len(sheet.cylinders), pressure, told, no_baseline=why, gauge=gauge)


def _about(sheet: BuildSheet, last: OnCourse | None) -> tuple[float, str]:
    """Return about what finals will be, and where that is taken from."""
    if last is not None:
        carried = carry(last.test, sheet.cylinders, _AS_READ)
        if carried is not None and carried.middle_read > 0:
            return carried.middle_read, f"as in {last.label}"
    if sheet.limits.minimum:
        return float(sheet.limits.minimum), "the minimum of the build sheet"
    return _USUAL[sheet.ignition], "assumed"


def foresee(before: Before, gauge: Gauge | None, pressures: str = "") -> tuple[str, ...]:
    """
    Tell what a test will see with a gauge.

    Parameters
    ----------
    before : Before
        What is known of the engine.
    gauge : Gauge or None
        The gauge; None for the one with which the engine was read last, or the only one there is.
    pressures : str
        Unit in which pressures are told; empty for that of the gauge.

    Returns
    -------
    tuple of str
        The smallest change since the baseline, or difference between a cylinder and its siblings, that is found; how
        many pulls find smaller ones; what was assumed. One that says why where nothing can be said.

    Raises
    ------
    UnitRefused
        The unit is no unit of pressure.
    """
    gauge = gauge or before.gauge
    if gauge is None:
        return (wording.NO_GAUGE_TO_SEE,)
    try:
        error = gauge_error(gauge, datetime.now(UTC).astimezone().date().isoformat())
    except GaugeRefused:
        error = None
    if error is None:
        return (wording.gauge_not_known_to_see(gauge.name),)
    if before.cylinders < 2:  # noqa: PLR2004 - alone it has no siblings
        return (wording.ALONE_TO_SEE,)
    sees = _sees(before, error)
    shown = wording.Foreseen(
        gauge,
        before.cylinders,
        tuple(found for pulls in REPEATS if (found := sees(pulls)) is not None),
        tuple((share, pulls_to_see(share, sees)) for share in ASKED),
        before.baseline,
        before.pulls,
        before.no_baseline,
        before.pressure,
        before.pressure_from,
        error.resolution > 0,
    )
    return wording.foreseen_sentences(shown, pressures)


def _sees(before: Before, error: GaugeError) -> Callable[[int], Sight | None]:
    at, count = before.pressure, before.cylinders
    if before.baseline:
        return lambda pulls: sight(error, pulls, before.error, before.pulls, pressure=at, cylinders=count)
    return lambda pulls: sight_of_one(error, pulls, pressure=at, cylinders=count)
