"""What belongs to a whole test, put right: date, names, gauge, conditions."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import fields, replace
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from ringtrue.compression import Conditions
from ringtrue.errors import Fault, InputRefused
from ringtrue.intake import parse_conditions, parse_date, parse_run
from ringtrue.shop.gauge_on_day import over_time
from ringtrue.shop.in_order import refuse_not_come
from ringtrue.shop.pull_said import Doubtful, Stamped

if TYPE_CHECKING:
    from ringtrue.quantities import Measured
    from ringtrue.records import Book, Entry, Header

CONDITIONS = tuple(each.name for each in fields(Conditions))
"""Fields of the day, by the names they have in a test file."""
HEADING = ("date", "by", "gauge", "run_since_build", "note", *CONDITIONS)
"""What can be said anew."""

T = TypeVar("T")


def heading_of(header: Header) -> dict[str, str]:
    """
    Return what belongs to a test as it was written.

    Parameters
    ----------
    header : Header
        Of the test.

    Returns
    -------
    dict of str to str
        By the names of `HEADING`; empty where nothing was said.
    """
    day = {name: str(getattr(header.conditions, name) or "") for name in CONDITIONS}
    gauge = header.gauge.name if header.gauge else ""
    run = str(header.run_since_build or "")
    return {"date": header.date, "by": header.by, "gauge": gauge, "run_since_build": run, "note": header.note, **day}


def read_date(text: str) -> str:
    """
    Read a date.

    Parameters
    ----------
    text : str
        As `ringtrue.intake.parse_date` reads it; empty where it is not said.

    Returns
    -------
    str
        ISO date, or empty.

    Raises
    ------
    InputRefused
        There is no such day, it could be two, or it has not come yet.
    """
    try:
        day = parse_date(text).isoformat() if text.strip() else ""
    except InputRefused as error:
        raise error.at("date") from None
    return refuse_not_come(day)


def refusal_of(faults: Sequence[Fault], said: Mapping[str, str]) -> InputRefused:
    """
    Make the refusal of fields: a question, where nothing is wrong but that figures of the day are hard to believe.

    Parameters
    ----------
    faults : sequence of Fault
        What was found, each at its field.
    said : mapping of str to str
        The conditions as they were typed, by the names of `CONDITIONS`.

    Returns
    -------
    InputRefused
        `Doubtful` where they are taken once they are said to be meant.
    """
    if all(fault.where in CONDITIONS for fault in faults):
        with suppress(InputRefused):
            parse_conditions({name: said.get(name, "") for name in CONDITIONS}, confirmed=True)
            return Doubtful(*faults)
    return InputRefused(*faults)


def change_heading(
    book: Book, test_id: str, said: Mapping[str, str], why: str, stamped: Stamped, *, confirmed: bool = False
) -> Entry:
    """
    Put right what belongs to a whole test: a new entry, which leaves the earlier one where it stands.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    said : mapping of str to str
        The whole of it as it should be, by the names of `HEADING`.
    why : str
        The reason.
    stamped : Stamped
        Who, on which device, under which key.
    confirmed : bool
        The day's figures are meant as they are, plausible or not.

    Returns
    -------
    Entry
        The entry that says so; the earlier one where the key has come before with the same words.

    Raises
    ------
    InputRefused
        A field cannot be used, nothing would change, or there is no reason; every fault is told at once. `Doubtful`
        where nothing is wrong but that figures of the day are hard to believe.
    NotInBook
        There is no such test or gauge.
    """
    header = book.test(test_id).header
    faults: list[Fault] = []

    def read(name: str, how: Callable[[str], T], before: T) -> T:
        # What was left as it was keeps every bit of it.
        if said.get(name, "") == heading_of(header)[name]:
            return before
        try:
            return how(said.get(name, ""))
        except InputRefused as error:
            faults.extend(replace(fault, where=name) for fault in error.faults)
            return before

    day = read("date", read_date, header.date)
    made = replace(
        header,
        date=day,
        by=said.get("by", "").strip(),
        gauge=read("gauge", lambda text: over_time(book, text).on(day).gauge if text else None, header.gauge),
        run_since_build=read("run_since_build", lambda text: parse_run(text) if text else None, header.run_since_build),
        note=said.get("note", "").strip(),
        conditions=Conditions(
            **{name: read(name, partial(_one, name, confirmed=confirmed), _was(header, name)) for name in CONDITIONS}
        ),
    )
    if not why.strip():
        faults.append(Fault("", "a change has a reason, and stays in the record", "say why", "why"))
    if faults:
        raise refusal_of(faults, said)
    return book.change_header(test_id, made, why=why, key=stamped.key, who=stamped.who, device=stamped.device)


def correct_day(  # noqa: PLR0913 - two of them say who, on what
    book: Book,
    test_id: str,
    *,
    date: str | None,
    run: str | None,
    why: str,
    who: str,
    device: str,
    of_reading: bool = False,
) -> Entry:
    """
    Put the date of a test right, and what its engine had run, as they are typed at a terminal.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    date, run : str or None
        As typed; None for what stays as it is.
    why : str
        The reason.
    who, device : str
        Who, and on which machine.
    of_reading : bool
        A cylinder or a figure was typed with them.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    InputRefused
        A figure cannot be used, nothing would change, a reading was typed too, or there is no reason.
    NotInBook
        There is no such test.
    """
    if of_reading:
        reason = "the date and the run belong to the whole test, and a reading was typed with them"
        raise InputRefused.of("", reason, "put the one right first, and then the other", "--date, --run")
    said = heading_of(book.test(test_id).header)
    said |= {name: text for name, text in (("date", date), ("run_since_build", run)) if text is not None}
    options = {"date": "--date", "run_since_build": "--run", "why": "--why"}
    try:
        return change_heading(book, test_id, said, why, Stamped(f"heading-{secrets.token_hex(16)}", who, device))
    except InputRefused as error:
        raise type(error)(
            *(replace(fault, where=options.get(fault.where, fault.where)) for fault in error.faults)
        ) from None


def _was(header: Header, name: str) -> Measured | None:
    found: Measured | None = getattr(header.conditions, name)
    return found


def _one(name: str, text: str, *, confirmed: bool) -> Measured | None:
    found: Measured | None = getattr(parse_conditions({name: text}, confirmed=confirmed), name)
    return found
