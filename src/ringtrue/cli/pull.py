"""``ringtrue pull``: the guided test at the terminal."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.compression import Gauge
    from ringtrue.engine import BuildSheet
    from ringtrue.intake import Day
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
    from ringtrue.cli import show
    from ringtrue.cli.ask import NoMoreAnswers
    from ringtrue.cli.pull_talk import Talk
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    with place.open_book() as opened:
        session: Session | None = None
        try:
            opening = _Opening.of(place, opened, by, sheet=sheet, test=test, gauge=gauge, unit=unit)
            found = None if new and not go_on else opening.open_test(go_on)
            session = opening.begin(order) if found is None else opening.go_on(found)
            Talk(session, opening.unit_of(session)).run()
        except NoMoreAnswers:
            show.line()
            if session is None:
                show.remark("The answers ended before the test began; nothing was recorded.")
            else:
                again = f"ringtrue pull --go-on {session.test_id}"
                show.remark(f"Stopped. What was acknowledged is in the book. Go on with: {again}")


@dataclass(frozen=True, slots=True)
class _Opening:
    """What is known before the first pull."""

    place: Workplace
    book: Book
    person: tuple[str, str]
    by: str
    sheet: BuildSheet | None
    sheet_text: str
    day: Day
    gauge: Gauge | None
    unit: Unit | None

    @classmethod
    def of(
        cls,
        place: Workplace,
        book: Book,
        by: str,
        *,
        sheet: str | None,
        test: str | None,
        gauge: str | None,
        unit: str | None,
    ) -> _Opening:
        from ringtrue.intake import Day, read_day, read_sheet
        from ringtrue.shop.workplace import this_device, this_person
        from ringtrue.units import Dimension, find_unit

        engine, text = read_sheet(Path(sheet)) if sheet else (None, "")
        day = read_day(Path(test)) if test else Day()
        named = book.gauge(gauge) if gauge else day.gauge
        face = find_unit(unit, Dimension.PRESSURE) if unit else None
        person = (this_person(place.settings, by), this_device())
        # The book notes whose login it was; a sheet carries a name only where somebody gave one.
        return cls(place, book, person, by or place.settings.builder, engine, text, day, named, face)

    def open_test(self, named: str) -> str | None:
        """Return the open test to go on with; asks where nobody named it."""
        from ringtrue.cli.ask import ask_yes
        from ringtrue.shop.pulling import open_test

        found = open_test(self.book, named, self.sheet.key if self.sheet else "")
        if found is None or named:
            return None if found is None else found.test_id
        asked = f"Test {found.test_id} is open with {found.readings} readings. Go on with it, yes or no?"
        return found.test_id if ask_yes(asked) else None

    def go_on(self, test_id: str) -> Session:
        from ringtrue.intake import parse_sheet
        from ringtrue.shop.pulling import Session

        text = self.book.test(test_id).sheet_text
        return Session(
            self.book, test_id, parse_sheet(text) if text else self.sheet, *self.person, self.place.settings.limits
        )

    def begin(self, order: str) -> Session:
        from ringtrue.cli.ask import ask_until
        from ringtrue.cli.pull_talk import checklists
        from ringtrue.shop.pulling import Session, header_for
        from ringtrue.shop.typed import cylinders_typed, engine_typed, order_of

        if self.sheet is None:
            name = ask_until("Which engine is this? Its reference or name:", engine_typed)
            cylinders = ask_until("How many cylinders? Or their names, parted by blanks:", cylinders_typed)
        else:
            name, cylinders = self.sheet.key, self.sheet.pull_order
        pulled = order_of(order, cylinders)
        header = header_for(self.sheet, name, pulled, self.day, gauge=self.gauge, by=self.by)
        note = checklists(self.sheet)
        limits = self.place.settings.limits
        return Session.begin(
            self.book, header, self.sheet, self.sheet_text, note=note, person=self.person, limits=limits
        )

    def unit_of(self, session: Session) -> Unit:
        """Return the unit of the gauge: said, of the readings so far, of the gauge, the shop's; else ask."""
        from ringtrue.cli.ask import ask_until
        from ringtrue.shop.judging import usual_unit
        from ringtrue.units import Dimension, find_unit

        if self.unit is not None:
            return self.unit
        read = session.recorded.test.unit
        if read:
            return find_unit(read, Dimension.PRESSURE)
        usual = usual_unit(session.recorded.header.gauge or self.gauge, self.place.settings.pressure)
        asked = "Which unit does the gauge show: psi, kPa, bar, kg/cm2?"
        return usual or ask_until(asked, lambda text: find_unit(text, Dimension.PRESSURE))
