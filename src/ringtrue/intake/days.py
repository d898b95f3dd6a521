"""A day as a person writes it: every way that means one day is taken, and what could be two is asked about."""

from __future__ import annotations

import datetime as dt
import re

from ringtrue.errors import InputRefused

MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_FIGURES = re.compile(r"(\d{1,4})\s*[-./ ]\s*(\d{1,2})\s*[-./ ]\s*(\d{1,4})\.?", re.ASCII)
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[\s.,-]*([a-z]{3,9})[\s.,-]*(\d{4})", re.ASCII)
_MONTH_FIRST = re.compile(r"([a-z]{3,9})[\s.]*(\d{1,2})(?:st|nd|rd|th)?[\s,.]+(\d{4})", re.ASCII)
_YEAR = 1000
"""A year has four figures."""
EXAMPLE = "2026-05-14 or 14 May 2026"


def parse_date(text: str) -> dt.date:
    """
    Read a day.

    Parameters
    ----------
    text : str
        ``2026-05-14``, ``14 May 2026``, ``May 14, 2026``, ``14.5.2026``, ``5/14/2026``: year with four figures, day and
        month in either order where only one of them can be meant.

    Returns
    -------
    date
        The day.

    Raises
    ------
    InputRefused
        There is no such day, or it could be two.

    Examples
    --------
    >>> parse_date("14/05/2026").isoformat()
    '2026-05-14'
    """
    said = text.strip().lower()
    given = f"“{text.strip()[:40]}”"
    days = _possible(said)
    if days is not None and len(days) == 1:
        return days.pop()
    if days:
        either = " or ".join(
            f"{day.isoformat()} for {day.day} {MONTHS[day.month - 1].capitalize()}" for day in sorted(days)
        )
        raise InputRefused.of(given, "this could be two days", f"write {either}")
    why = "there is no such day" if days is not None else "this is no day with its month and a year of four figures"
    raise InputRefused.of(given, why, f"write for example {EXAMPLE}")


def _possible(said: str) -> set[dt.date] | None:
    """Return every day that a text can mean; None where it is not written as one."""
    if found := _FIGURES.fullmatch(said):
        first, middle, last = (int(each) for each in found.groups())
        if first >= _YEAR:
            return _days((first, middle, last))
        return _days((last, middle, first), (last, first, middle)) if last >= _YEAR else None
    for pattern, day, month in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        if found := pattern.fullmatch(said):
            numbers = [at for at, name in enumerate(MONTHS, 1) if name.startswith(found[month])]
            return _days(*((int(found[3]), at, int(found[day])) for at in numbers)) if len(numbers) == 1 else None
    return None


def _days(*parts: tuple[int, int, int]) -> set[dt.date]:
    found = set()
    for year, month, day in parts:
        try:
            found.add(dt.date(year, month, day))
        except ValueError:
            continue
    return found
