"""A test begins: an engine that the book knows, under its last build sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

from ringtrue.compression import Conditions
from ringtrue.errors import Fault, InputRefused, NotInBook
from ringtrue.intake import Day, parse_conditions, parse_run, parse_sheet
from ringtrue.records import EntryKind, Header
from ringtrue.shop.heading import refusal_of
from ringtrue.shop.opening import header_for, known_as
from ringtrue.shop.typed import order_of
from ringtrue.shop.workplace import this_person

if TYPE_CHECKING:
    from ringtrue.records import Book
    from ringtrue.shop.pull_said import Stamped
    from ringtrue.shop.workplace import Workplace

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Beginning:
    """
    What is said when a test begins.

    Parameters
    ----------
    engine : str
        Reference or name, of an engine that the book knows.
    order : str
        Cylinders parted by commas; empty for the usual order.
    by, gauge, note : str
        Who takes the test, with which gauge of the register, and what is otherwise than the checklists say.
    conditions : mapping of str to str
        As in a test file, each with its unit.
    run_since_build : str
        "500 mile"; empty when not said.
    confirmed : bool
        The day's figures are meant as they are, plausible or not.
    """

    engine: str
    order: str = ""
    by: str = ""
    gauge: str = ""
    note: str = ""
    conditions: Mapping[str, str] = field(default_factory=dict)
    run_since_build: str = ""
    confirmed: bool = False


@dataclass(frozen=True, slots=True)
class Ready:
    """
    A test that can begin as it was said.

    Parameters
    ----------
    header : Header
        What belongs to the whole of it.
    sheet_text : str
        The engine's last build sheet, to the letter.
    """

    header: Header
    sheet_text: str


def look_at(book: Book, place: Workplace, said: Beginning, who: str) -> Ready:
    """
    See whether a test can begin as it was said; nothing is written.

    Parameters
    ----------
    book : Book
        The record book.
    place : Workplace
        The shop.
    said : Beginning
        The engine and the day.
    who : str
        Who sits at the device; he takes the test where nobody else is said to.

    Returns
    -------
    Ready
        What the book would be told.

    Raises
    ------
    NotInBook
        There is no such engine, or it has no build sheet.
    InputRefused
        Fields cannot be used; every fault is told at once, each at its field. `ringtrue.shop.pull_said.Doubtful` where
        nothing is wrong but that figures of the day are hard to believe.
    """
    key = known_as(book, said.engine)
    revisions = book.sheets(key)
    if not revisions:
        why = "the book has no build sheet of it"
        raise NotInBook.of(f"“{said.engine}”", why, "enter its build sheet first", "engine")
    sheet_text = revisions[-1].text
    sheet = parse_sheet(sheet_text)
    faults: list[Fault] = []

    def read(field: str, how: Callable[[], T], instead: T) -> T:
        try:
            return how()
        except InputRefused as error:
            # The faults of several fields name their own.
            faults.extend(replace(each, where=field or each.where) for each in error.faults)
            return instead

    day = Day(
        conditions=read("", lambda: parse_conditions(said.conditions, confirmed=said.confirmed), Conditions()),
        run_since_build=read("run_since_build", lambda: parse_run(said.run_since_build), None)
        if said.run_since_build.strip()
        else None,
    )
    header = header_for(
        sheet,
        key,
        read("order", lambda: order_of(said.order, sheet.pull_order), sheet.pull_order),
        day,
        gauge=read("gauge", lambda: book.gauge(said.gauge), None) if said.gauge else None,
        by=said.by or this_person(place.settings, who),
    )
    if faults:
        raise refusal_of(faults, said.conditions)
    return Ready(replace(header, note=said.note.strip()), sheet_text)


def begin(book: Book, place: Workplace, said: Beginning, stamped: Stamped) -> str:
    """
    Open a test of an engine that the book knows, under its last build sheet.

    Parameters
    ----------
    book : Book
        The record book.
    place : Workplace
        The shop.
    said : Beginning
        The engine and the day.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    str
        The test's id; the same key gives the same one.

    Raises
    ------
    NotInBook
        There is no such engine, or it has no build sheet.
    InputRefused
        Fields cannot be used; every fault is told at once, each at its field.
    """
    before = book.made_with(stamped.key)
    if before is not None and before[0].kind is EntryKind.OPENED:
        return before[0].chain
    ready = look_at(book, place, said, stamped.who)
    return book.start(
        ready.header, sheet_text=ready.sheet_text, key=stamped.key, who=stamped.who, device=stamped.device
    )
