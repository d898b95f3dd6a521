"""Dates as people type them."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ringtrue.errors import InputRefused
from ringtrue.intake.dates import Ambiguous, Order, parse_date, read_date

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
        with pytest.raises(Ambiguous, match="his can be two days"):
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


# If this failed, a field of a page would not take a day that a column of a notebook takes, or would take it as another.
# The ways to write it are common practice.
@pytest.mark.parametrize(
    "typed",
    [
        "2026-05-14",
        "14 May 2026",
        "14th May, 2026",
        "May 14, 2026",
        "May 14th 2026",
        "14.5.2026",
        "14. 5. 2026",
        "5/14/2026",
        "14/05/2026",
        "Thursday, 14 May 2026",
        "2026-05-14T09:30",
    ],
)
def test_a_field_and_a_column_take_the_same_day(typed: str) -> None:
    assert parse_date(typed) == read_date(typed, today=TODAY) == dt.date(2026, 5, 14)


# If this failed, a person would be told something else by a field than what is wrong with the day that was typed.
@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("3/4/2026", "This can be two days. Write 2026-03-04 for 4 March or 2026-04-03 for 3 April."),
        ("3/4/26", "This is no day with its month and a year of four figures. Write for example 2026-05-14"),
        ("14 May 26", "This is no day with its month and a year of four figures."),
        ("soon", "This is no day with its month and a year of four figures."),
        ("Foo, 14 May 2026", "This is no day with its month and a year of four figures."),
        ("\u0661\u0664.5.2026", "This is no day with its month and a year of four figures."),
        ("2026-02-30", "There is no such day."),
        ("31/4/2026", "There is no such day."),
        ("14.5.1826", "That is before any cranking test"),
        ("", "nothing was written: This is no day"),
    ],
)
def test_a_field_says_what_is_wrong_with_a_day(typed: str, says: str) -> None:
    with pytest.raises(InputRefused) as refused:
        parse_date(typed)
    assert says in str(refused.value)


# If this failed, what a column says of a day would not name the order that it was told.
def test_a_column_says_which_order_finds_no_day() -> None:
    with pytest.raises(InputRefused, match=r"no such day with the month first\."):
        read_date("25/12/2004", Order.MONTH, today=TODAY)
    with pytest.raises(InputRefused, match=r"There is no such day\. "):
        read_date("31 Feb 2004", Order.MONTH, today=TODAY)
    with pytest.raises(Ambiguous, match=r"This can be two days, 2004-03-04 or 2004-04-03\. Say"):
        read_date("3/4/2004", today=TODAY)
