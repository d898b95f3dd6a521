"""
Whether a test fits into what is known of its engine: its day has come, the engine ran on, its cylinders are the same.

One place for all ways in, so that the same mistake gets the same words. A day that has not come is refused; the others
may be true, a new counter or a rebuilt engine, and are asked about or warned of.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.errors import BookDamaged, Fault, InputRefused, NotInBook
from ringtrue.units import Dimension, find_unit

if TYPE_CHECKING:
    from ringtrue.quantities import Measured
    from ringtrue.records import Book, Recorded

_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Known:
    """
    What is known of a test, as far as the order of tests goes.

    Parameters
    ----------
    date : str
        ISO date; empty when not said.
    run : Measured or None
        Distance [m] or running time [s] since the build.
    cylinders : frozenset of str
        Those it read.
    named : str
        How a message names it.
    """

    date: str
    run: Measured | None
    cylinders: frozenset[str]
    named: str


def today() -> dt.date:
    """Return the day by the clock of this machine, where it stands."""
    return dt.datetime.now().astimezone().date()


def not_come(date: str, where: str = "date", day: dt.date | None = None) -> Fault | None:
    """
    Find a date in the future.

    Parameters
    ----------
    date : str
        ISO date; empty when not said.
    where : str
        Where it stands.
    day : date or None
        Today; None for the clock's.

    Returns
    -------
    Fault or None
        None for a day that has come.
    """
    now = (day or today()).isoformat()
    if date <= now:
        return None
    why = "that day has not come yet"
    return Fault(date, why, f"check the year; by the clock of this machine it is {now}", where)


def refuse_not_come(date: str, where: str = "date") -> str:
    """
    Return a date that has come.

    Parameters
    ----------
    date : str
        ISO date; empty when not said.
    where : str
        Where it stands.

    Returns
    -------
    str
        The same date.

    Raises
    ------
    InputRefused
        It lies in the future.
    """
    fault = not_come(date, where)
    if fault is not None:
        raise InputRefused(fault)
    return date


def runs_backwards(test: Known, others: Iterable[Known]) -> Fault | None:
    """
    Find a counter that ran backwards: a later test with less run than an earlier one.

    Parameters
    ----------
    test : Known
        The test that is looked at.
    others : iterable of Known
        The engine's other tests.

    Returns
    -------
    Fault or None
        The first that contradicts it; None where none does, or where dates or runs are not said.
    """
    if test.run is None or not test.date:
        return None
    for other in sorted(others, key=lambda each: each.date):
        if other.run is None or not other.date or _is_distance(other.run) != _is_distance(test.run):
            continue
        slack = _SLACK * max(abs(test.run.value), abs(other.run.value))
        back = other.run.value - test.run.value
        if (other.date < test.date and back > slack) or (other.date > test.date and back < -slack):
            side = "earlier" if other.date < test.date else "later"
            why = f"the {side} test of {other.date} ({other.named}) has {other.run}, and no engine runs backwards"
            return Fault(f"{test.run} on {test.date}", why, "check both figures and both dates")
    return None


def _is_distance(run: Measured) -> bool:
    try:
        find_unit(run.unit, Dimension.DISTANCE)
    except InputRefused:
        return False
    return True


def cylinders_changed(test: Known, sheet: Sequence[str], others: Sequence[Known]) -> Fault | None:
    """
    Find cylinders that an engine did not have before.

    Parameters
    ----------
    test : Known
        The test that is looked at.
    sheet : sequence of str
        The cylinders of its build sheet; empty where there is none.
    others : sequence of Known
        The engine's tests before it, where there is no sheet.

    Returns
    -------
    Fault or None
        None where the cylinders are those that are known.
    """
    known = list(sheet) or sorted({name for other in others for name in other.cylinders}, key=_in_order)
    odd = sorted(test.cylinders - set(known), key=_in_order) if known else []
    if not odd or (not sheet and _all_between(odd, known)):
        return None
    by = "the build sheet" if sheet else f"the tests before it ({others[0].named})"
    plural = "s" if len(odd) > 1 else ""
    only = f"{by} know{'s' if sheet else ''} cylinders {', '.join(known)} alone"
    why = f"{only}: its layout changed, or it is another engine"
    return Fault(f"cylinder{plural} {', '.join(odd)}", why, "check the engine's name and the names of its cylinders")


def known_of(recorded: Recorded) -> Known:
    """
    Return what is known of a test of the book.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    Known
        As far as the order of tests goes.
    """
    header = recorded.header
    cylinders = frozenset(row.cylinder for row in recorded.test.taken)
    return Known(header.date, header.run_since_build, cylinders, f"test {recorded.test_id} of the book")


def doubts(book: Book, engine: str, said: Known, sheet: Sequence[str] = ()) -> tuple[str, ...]:
    """
    Find what does not fit into what the book knows of an engine, for whoever enters it to look at once more.

    Parameters
    ----------
    book : Book
        The record book.
    engine : str
        The engine's key.
    said : Known
        A test, or a line of the log, that is entered.
    sheet : sequence of str
        The cylinders of the build sheet it stands under; empty for a line of the log.

    Returns
    -------
    tuple of str
        A sentence each, without its full stop; empty when all fits, or the book does not know the engine.
    """
    try:
        ids = [each.test_id for each in book.tests(engine) if not each.put_aside]
    except NotInBook:
        ids = []
    others = [known_of(each) for each in book.tests_read(ids) if not isinstance(each, BookDamaged)]
    faults = [runs_backwards(said, others)]
    before = sorted({name for other in others for name in other.cylinders} - set(sheet), key=_in_order)
    if sheet and before:
        given = f"cylinder{'s' if len(before) > 1 else ''} {', '.join(before)}"
        why = "earlier tests of this engine have them, and this build sheet has not: its layout changed"
        faults.append(Fault(given, why, "check that it is the same engine"))
    return tuple(f"{each.given}: {each.why}; {each.instead}" for each in faults if each is not None)


def _in_order(name: str) -> tuple[int, str]:
    return (int(name), "") if name.isascii() and name.isdecimal() else (0, name)


def _all_between(odd: Sequence[str], known: Sequence[str]) -> bool:
    """Tell whether cylinders were merely not read before: their numbers stand between those that were."""
    numbers = [int(name) for name in known if name.isascii() and name.isdecimal()]
    if len(numbers) < len(known):
        return False
    return all(name.isascii() and name.isdecimal() and min(numbers) < int(name) < max(numbers) for name in odd)
