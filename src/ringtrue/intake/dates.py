"""Dates as people type them. What can be read as two days is asked about, never guessed."""

from __future__ import annotations

import datetime as dt
import re
from enum import StrEnum

from ringtrue.errors import InputRefused
from ringtrue.units.numbers import told

_NUMBERS = re.compile(r"(\d{1,4})[./\- ]+(\d{1,2})[./\- ]+(\d{1,4})\.?")
_DAY_FIRST = re.compile(r"(?:[a-z]{2,9},?\s+)?(\d{1,2})(?:st|nd|rd|th)?[.\s\-/]*([a-z]{3,9})\.?[,\s\-/]*(\d{2}|\d{4})")
_MONTH_FIRST = re.compile(r"(?:[a-z]{2,9},\s+)?([a-z]{3,9})\.?[\s\-/]*(\d{1,2})(?:st|nd|rd|th)?[,\s\-/]+(\d{2}|\d{4})")
_TIME = re.compile(r"[T ]\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?$")
_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_LONG_YEAR = 4
EARLIEST = dt.date(1900, 1, 1)
"""No cranking test in a notebook is older."""


class Order(StrEnum):
    """Which comes first in a date of three numbers whose year stands last."""

    DAY = "day first"
    MONTH = "month first"


class Ambiguous(InputRefused):
    """A date can be read as two different days."""


def read_date(text: str, order: Order | None = None, *, today: dt.date | None = None) -> dt.date:
    """
    Read a date.

    Parameters
    ----------
    text : str
        Such as 2004-03-12, 12.3.2004, 12/3/04, 12 Mar 2004 or March 12, 2004; a time of day behind it is passed over.
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
    plain = _TIME.sub("", text.strip()).strip().casefold()
    today = today or dt.datetime.now().astimezone().date()
    if (found := _NUMBERS.fullmatch(plain)) is not None:
        return _of_numbers(text, (found[1], found[2], found[3]), order, today)
    for pattern, day, month in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        if (found := pattern.fullmatch(plain)) is not None and (number := _month(found[month])):
            return _day(text, _year(found[3], today), number, int(found[day]))
    raise InputRefused.of(told(text), "this is no date", "write year, month, day, for example 2004-03-12")


def _month(word: str) -> int:
    named = [number for number, name in enumerate(_MONTHS, 1) if name.startswith(word) or word == f"{name[:3]}t"]
    return named[0] if len(named) == 1 else 0


def _year(figures: str, today: dt.date) -> int:
    if len(figures) == _LONG_YEAR:
        return int(figures)
    century = today.year // 100 * 100
    year = century + int(figures)
    return year if year <= today.year else year - 100


def _of_numbers(text: str, parts: tuple[str, str, str], order: Order | None, today: dt.date) -> dt.date:
    if len(parts[0]) == _LONG_YEAR:
        return _day(text, int(parts[0]), int(parts[1]), int(parts[2]))
    if len(parts[0]) > 2 or len(parts[2]) not in {2, _LONG_YEAR}:  # noqa: PLR2004 - figures of a day
        raise InputRefused.of(told(text), "this is no date", "write year, month, day, for example 2004-03-12")
    year, first, second = _year(parts[2], today), int(parts[0]), int(parts[1])
    if order is not None:
        day, month = (first, second) if order is Order.DAY else (second, first)
        return _day(text, year, month, day, f" with the {order.value.replace(' first', '')} first")
    if first == second or not (_is_day(year, second, first) and _is_day(year, first, second)):
        return _day(text, year, *((second, first) if _is_day(year, second, first) else (first, second)))
    ways = f"{dt.date(year, second, first).isoformat()} or {dt.date(year, first, second).isoformat()}"
    raise Ambiguous.of(told(text), f"this can be {ways}", 'say which: dates = "day first", or dates = "month first"')


def _is_day(year: int, month: int, day: int) -> bool:
    try:
        dt.date(year, month, day)
    except ValueError:
        return False
    return True


def _day(text: str, year: int, month: int, day: int, how: str = "") -> dt.date:
    try:
        made = dt.date(year, month, day)
    except ValueError:
        why = f"the calendar has no such day{how}"
        raise InputRefused.of(told(text), why, "write year, month, day, for example 2004-03-12") from None
    if made < EARLIEST:
        raise InputRefused.of(told(text), "that is before any cranking test in a notebook", "check the year")
    return made
