"""
A day as people write it, in a field or in a column: what means one day is taken, what can be two is asked about.

`parse_date` reads what a person types into one field and can put right at once; `read_date` a column of a notebook,
whose years may have two figures and for which it can be said once what stands first.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from enum import StrEnum

from ringtrue.errors import InputRefused
from ringtrue.units.numbers import told

_FIGURES = re.compile(r"(\d{1,4})[./\- ]+(\d{1,2})[./\- ]+(\d{1,4})\.?", re.ASCII)
_WEEKDAY = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]{0,6}[.,]*\s+)?"
_DAY_FIRST = re.compile(_WEEKDAY + r"(\d{1,2})(?:st|nd|rd|th)?[.,\s\-/]*([a-z]{3,9})[.,\s\-/]*(\d{2}|\d{4})", re.ASCII)
_MONTH_FIRST = re.compile(_WEEKDAY + r"([a-z]{3,9})[.\s\-/]*(\d{1,2})(?:st|nd|rd|th)?[.,\s\-/]+(\d{2}|\d{4})", re.ASCII)
_TIME = re.compile(r"[t ]\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?$", re.ASCII)
_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_LONG_YEAR = 4
_SHORT = 2
"""Figures of a day, a month, or a year without its century."""
EARLIEST = dt.date(1900, 1, 1)
"""No cranking test in a notebook is older."""
EXAMPLE = "2026-05-14 or 14 May 2026"
TWO_DAYS = "this can be two days"


class Order(StrEnum):
    """Which comes first in a date of three numbers whose year stands last."""

    DAY = "day first"
    MONTH = "month first"


class Ambiguous(InputRefused):
    """A date can be read as two different days."""


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to read a date; `order` where another way would be another order of the same figures."""

    year: str
    month: int
    day: int
    order: Order | None = None

    def of(self, today: dt.date | None) -> dt.date | None:
        """Return the day; None where the calendar has none."""
        year = int(self.year)
        if len(self.year) < _LONG_YEAR and today is not None:
            year += today.year // 100 * 100
            year -= 100 if year > today.year else 0
        try:
            return dt.date(year, self.month, self.day)
        except ValueError:
            return None


def parse_date(text: str) -> dt.date:
    """
    Read a day that a person typed into a field.

    Parameters
    ----------
    text : str
        ``2026-05-14``, ``14 May 2026``, ``May 14, 2026``, ``14.5.2026``, ``5/14/2026``: year with four figures, day and
        month in either order where only one of them can be meant; a time of day behind it is passed over.

    Returns
    -------
    date
        The day.

    Raises
    ------
    Ambiguous
        It can be two days.
    InputRefused
        It is no date, or no day of the calendar.

    Examples
    --------
    >>> parse_date("14/05/2026").isoformat()
    '2026-05-14'
    """
    days = _days(text, None, None)
    if len(days) == 1:
        return days[0]
    either = " or ".join(f"{day.isoformat()} for {day.day} {_MONTHS[day.month - 1].capitalize()}" for day in days)
    raise Ambiguous.of(told(text), TWO_DAYS, f"write {either}")


def read_date(text: str, order: Order | None = None, *, today: dt.date | None = None) -> dt.date:
    """
    Read a date of a column.

    Parameters
    ----------
    text : str
        As `parse_date` takes it; the year may have two figures.
    order : Order or None
        What stands first where the year stands last; None when nobody has said.
    today : date or None
        Two figures of a year are the latest such year that is not after it; None for the day on which this runs.

    Returns
    -------
    date
        The day.

    Raises
    ------
    Ambiguous
        It can be read as two days, and nobody has said which.
    InputRefused
        It is no date, or no day of the calendar.

    Examples
    --------
    >>> read_date("12 Mar 2004"), read_date("25/12/2004")
    (datetime.date(2004, 3, 12), datetime.date(2004, 12, 25))
    >>> read_date("03/04/2004", Order.DAY)
    datetime.date(2004, 4, 3)
    """
    days = _days(text, order, today or dt.datetime.now().astimezone().date())
    if len(days) == 1:
        return days[0]
    why = f"{TWO_DAYS}, {' or '.join(day.isoformat() for day in days)}"
    raise Ambiguous.of(told(text), why, 'say which: dates = "day first", or dates = "month first"')


def _days(text: str, order: Order | None, today: dt.date | None) -> list[dt.date]:
    """Return the one day, or the two, that a text can mean; two figures are a year where it is said what day it is."""
    ways = _ways(_TIME.sub("", text.strip().casefold()).strip())
    if not ways or (today is None and len(ways[0].year) < _LONG_YEAR):
        year = "a year" if today is not None else "a year of four figures"
        raise InputRefused.of(told(text), f"this is no day with its month and {year}", f"write for example {EXAMPLE}")
    meant = [way for way in ways if order is None or way.order in {None, order}]
    days = sorted({day for way in meant if (day := way.of(today)) is not None})
    if not days:
        how = f" with the {order.value.removesuffix(' first')} first" if order and meant[0].order else ""
        raise InputRefused.of(told(text), f"there is no such day{how}", f"write for example {EXAMPLE}")
    if days[0] < EARLIEST:
        raise InputRefused.of(told(text), "that is before any cranking test in a notebook", "check the year")
    return days


def _ways(plain: str) -> list[_Way]:
    """Return the ways to read a text; none where it is not written as a date."""
    if (found := _FIGURES.fullmatch(plain)) is not None:
        first, second, last = found[1], int(found[2]), found[3]
        if len(first) == _LONG_YEAR:
            return [_Way(first, second, int(last))]
        if len(first) > _SHORT or len(last) not in {_SHORT, _LONG_YEAR}:
            return []
        return [_Way(last, second, int(first), Order.DAY), _Way(last, int(first), second, Order.MONTH)]
    for pattern, day, month in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        if (found := pattern.fullmatch(plain)) is not None:
            named = [number for number, name in enumerate(_MONTHS, 1) if name.startswith(found[month])]
            return [_Way(found[3], named[0], int(found[day]))] if len(named) == 1 else []
    return []
