"""Dates as people type them."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ringtrue.errors import InputRefused
from ringtrue.intake.dates import Ambiguous, Order, read_date

TODAY = dt.date(2026, 11, 30)
DAYS = st.dates(dt.date(1927, 1, 1), TODAY)
MARKS = st.sampled_from([".", "/", "-", " "])


# If this failed, a day in an old notebook would be another day. ISO 8601 gives the first two; the others are common
# practice of people who write English.
@pytest.mark.parametrize(
    "typed",
    [
        "2004-03-12",
        "2004/3/12",
        "12 Mar 2004",
        "12th March 2004",
        "March 12, 2004",
        "Mar 12 04",
        "12-Mar-04",
        "Friday, 12 March 2004",
        "12. Mar. 2004",
        "2004-03-12T00:00:00",
        "2004-03-12 14:30",
    ],
)
def test_ways_to_write_the_twelfth_of_march(typed: str) -> None:
    assert read_date(typed, today=TODAY) == dt.date(2004, 3, 12)


# If this failed, a day would be guessed where two can be meant, or asked about where one alone can.
@given(DAYS, MARKS, st.booleans())
def test_in_doubt_just_where_two_days_can_be_meant(day: dt.date, mark: str, long: bool) -> None:
    year = f"{day.year}" if long else f"{day.year % 100:02d}"
    typed = f"{day.day}{mark}{day.month}{mark}{year}"
    assert read_date(typed, Order.DAY, today=TODAY) == day
    assert read_date(f"{day.month}{mark}{day.day}{mark}{year}", Order.MONTH, today=TODAY) == day
    if day.day <= 12 and day.day != day.month:
        with pytest.raises(Ambiguous, match="his can be"):
            read_date(typed, today=TODAY)
    else:
        assert read_date(typed, today=TODAY) == day


# If this failed, a notebook of 1998 would be one of 2098.
def test_two_figures_are_the_latest_such_year_that_has_begun() -> None:
    assert [read_date(f"25/12/{year}", today=TODAY).year for year in ("26", "27", "98", "00")] == [
        2026,
        1927,
        1998,
        2000,
    ]


# If this failed, what is no day would be brought in as one.
@pytest.mark.parametrize(
    "typed",
    ["", "soon", "31/2/2004", "2004-13-01", "2004", "12/2004", "1/2/3/4", "12 Foo 2004", "0/1/2004", "1-1-1804"],
)
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises(InputRefused):
        read_date(typed, Order.DAY, today=TODAY)


# If this failed, some text in a date column would end the program.
@given(st.text(max_size=30), st.sampled_from([None, *Order]))
def test_any_text_is_a_day_or_refused(typed: str, order: Order | None) -> None:
    try:
        made = read_date(typed, order, today=TODAY)
    except InputRefused:
        return
    assume(made.year >= 1900)
    assert isinstance(made, dt.date)
