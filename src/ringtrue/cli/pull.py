"""``ringtrue pull``: the guided test at the terminal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.compression import Gauge
    from ringtrue.engine import BuildSheet
    from ringtrue.records import Book
    from ringtrue.shop.pulling import Session
    from ringtrue.shop.workplace import Workplace
    from ringtrue.units import Unit


def pull(
    *,
    sheet: options.Sheet = None,
    test: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    order: Annotated[str, Parameter(name="--order", help='Order of the cylinders, for example "1 3 2 4".')] = "",
    go_on: Annotated[str, Parameter(name="--go-on", help="Go on with an open test: its id, or last.")] = "",
    new: Annotated[bool, Parameter(name="--new", help="Begin a new test even if one is open.", negative=())] = False,
    by: options.Person = "",
    book: options.BookPlace = "",
) -> None:
    """
    Take a test at the engine: one cylinder after another, each reading in the book before the next is asked for.

    The answers may be piped in, a line each. Whatever stops it, it goes on where it was.
    """
    from ringtrue.cli.ask import NoMoreAnswers
    from ringtrue.cli.pull_talk import Talk
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    person = (this_person(place.settings, by), this_device())
    with place.open_book() as opened:
        session: Session | None = None
        try:
            session, face = _session(
                place, opened, person, sheet=sheet, test=test, gauge=gauge, unit=unit, order=order, go_on=go_on, new=new
            )
            Talk(session, face).run()
        except NoMoreAnswers:
            from ringtrue.cli import show

            show.line()
            if session is None:
                show.remark("The answers ended before the test began; nothing was recorded.")
            else:
                show.remark(
                    f"Stopped. What was acknowledged is in the book. Go on with: ringtrue pull --go-on {session.test_id}"
                )


def _session(
    place: Workplace,
    book: Book,
    person: tuple[str, str],
    *,
    sheet: str | None,
    test: str | None,
    gauge: str | None,
    unit: str | None,
    order: str,
    go_on: str,
    new: bool,
) -> tuple[Session, Unit]:
    from ringtrue.cli.ask import ask_yes
    from ringtrue.intake import Day, parse_sheet, read_day, read_sheet
    from ringtrue.shop.pulling import Session, header_for, open_test
    from ringtrue.shop.typed import order_of

    engine, text = read_sheet(Path(sheet)) if sheet else (None, "")
    day = read_day(Path(test)) if test else Day()
    named = book.gauge(gauge) if gauge else day.gauge
    if go_on or not new:
        found = open_test(book, go_on, engine.key if engine else "")
        if found is not None and (
            go_on or ask_yes(f"Test {found.test_id} is open with {found.readings} readings. Go on with it, yes or no?")
        ):
            recorded = book.test(found.test_id)
            kept = parse_sheet(recorded.sheet_text) if recorded.sheet_text else engine
            session = Session(book, found.test_id, kept, *person, place.settings.limits)
            return session, _unit(unit or recorded.test.unit, recorded.header.gauge or named, place)
    name, cylinders = (engine.key, engine.pull_order) if engine else _ask_engine()
    face = _unit(unit or "", named, place)
    header = header_for(engine, name, order_of(order, cylinders), day, gauge=named, by=person[0])
    return _begin(book, header, engine, text, person, place), face


def _begin(
    book: Book, header: object, engine: BuildSheet | None, text: str, person: tuple[str, str], place: Workplace
) -> Session:
    from ringtrue.cli.pull_talk import checklists
    from ringtrue.shop.pulling import Session

    note = checklists(engine)
    return Session.begin(book, header, engine, text, note=note, person=person, limits=place.settings.limits)  # type: ignore[arg-type]


def _ask_engine() -> tuple[str, tuple[str, ...]]:
    from ringtrue.cli.ask import ask_until
    from ringtrue.errors import InputRefused
    from ringtrue.shop.typed import cylinders_typed

    def name(text: str) -> str:
        if not text:
            raise InputRefused.of("", "the book files a test under its engine", "type a name or your reference")
        return text

    return ask_until("Which engine is this? Its reference or name:", name), ask_until(
        "How many cylinders? Or their names, parted by blanks:", cylinders_typed
    )


def _unit(said: str, gauge: Gauge | None, place: Workplace) -> Unit:
    from ringtrue.cli.ask import ask_until
    from ringtrue.shop.judging import usual_unit
    from ringtrue.units import Dimension, find_unit

    if said:
        return find_unit(said, Dimension.PRESSURE)
    usual = usual_unit(gauge, place.settings.pressure)
    return usual or ask_until(
        "Which unit does the gauge show: psi, kPa, bar, kg/cm2?", lambda text: find_unit(text, Dimension.PRESSURE)
    )
