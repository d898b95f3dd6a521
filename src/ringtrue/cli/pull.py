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
    decimal: options.Decimal = "ask",
    confirm_unit: options.ConfirmUnit = False,
    order: Annotated[str, Parameter(name="--order", help='Order of the cylinders, for example "1 3 2 4".')] = "",
    go_on: Annotated[str, Parameter(name="--go-on", help="Go on with an open test: its id, or last.")] = "",
    new: Annotated[bool, Parameter(name="--new", help="Begin a new test even if one is open.", negative=())] = False,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Take a test at the engine: one cylinder after another, each reading in the book before the next is asked for.

    The answers may be piped in, a line each. Whatever stops it, it goes on where it was. With --json the conversation
    goes to standard error, and the judgement comes out at the end.
    """
    from ringtrue.cli import show
    from ringtrue.cli.ask import NoMoreAnswers
    from ringtrue.cli.pull_talk import Talk
    from ringtrue.errors import BookUnusable
    from ringtrue.shop.typed import decimal_mark
    from ringtrue.shop.workplace import workplace

    place, mark = workplace(book), decimal_mark(decimal)
    with place.open_book() as opened:
        session: Session | None = None
        try:
            opening = _Opening.of(
                place, opened, by, sheet=sheet, test=test, gauge=gauge, unit=unit, confirmed=confirm_unit
            )
            with show.conversation(json=json):
                session = opening.session(order, go_on, new=new)
                Talk(session, opening.unit_of(session), mark).run()
        except (NoMoreAnswers, KeyboardInterrupt, BookUnusable) as stopped:
            if not json:
                show.line()
            if session is None:
                show.remark("It ended before the test began; nothing was recorded.")
            else:
                again = f"ringtrue pull --go-on {session.test_id}"
                show.remark(f"Stopped. What was acknowledged is in the book. Go on with: {again}")
            if not isinstance(stopped, NoMoreAnswers):
                raise
        if json and session is None:
            show.as_json({"test": None, "finished": False, "head": None})
        elif json and session is not None:
            from ringtrue.shop.as_json import judged

            state = {"test": session.test_id, "finished": session.recorded.finished, "head": session.recorded.head}
            show.as_json({**state, **judged(session.judged())})


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
        confirmed: bool,
    ) -> _Opening:
        from ringtrue.cli import show
        from ringtrue.intake import Day, read_day, read_sheet
        from ringtrue.shop.gauge_on_day import over_time
        from ringtrue.shop.workplace import this_device, this_person
        from ringtrue.units import Dimension, find_unit

        engine, text = read_sheet(Path(sheet)) if sheet else (None, "")
        day = read_day(Path(test), confirmed=confirmed) if test else Day()
        known = over_time(book, gauge).on(day.date) if gauge else None
        show.warnings([known.says] if known and known.says else [])
        named = known.gauge if known else day.gauge
        face = find_unit(unit, Dimension.PRESSURE) if unit else None
        person = (this_person(place.settings, by), this_device())
        # The book notes whose login it was; a sheet carries a name only where somebody gave one.
        return cls(place, book, person, by or place.settings.builder, engine, text, day, named, face)

    def session(self, order: str, named: str, *, new: bool) -> Session:
        """Go on with an open test, the one that was named or one that the builder says yes to; else begin one."""
        from ringtrue.cli.ask import ask_until, ask_yes
        from ringtrue.errors import InputRefused
        from ringtrue.shop.opening import known_as, open_test
        from ringtrue.shop.typed import engine_typed

        if new and named:
            why = "a test is begun anew or gone on with, not both"
            raise InputRefused.of(f"--new --go-on {named}", why, "leave one of them out")
        key = self.sheet.key if self.sheet else ""
        if not (key or named):
            key = known_as(self.book, ask_until("Which engine is this? Its reference or name:", engine_typed))
        found = None if new else open_test(self.book, named, key)
        if found is not None:
            readings = f"{found.readings} reading{'' if found.readings == 1 else 's'}"
            asked = f"Test {found.test_id} is open with {readings}. Go on with it, yes or no?"
            if named or ask_yes(asked):
                return self._go_on(found.test_id, order)
        return self._begin(key, order)

    def _go_on(self, test_id: str, order: str) -> Session:
        from ringtrue.cli import show
        from ringtrue.intake import Day, parse_sheet
        from ringtrue.shop.pulling import Session
        from ringtrue.shop.typed import order_of

        recorded = self.book.test(test_id)
        header = recorded.header
        begun = (header.plan_order, header.gauge, header.conditions)
        day = header.conditions if self.day.conditions == Day().conditions else self.day.conditions
        if (order_of(order, header.plan_order), self.gauge or header.gauge, day) != begun:
            show.warnings(["the test keeps the order, the day and the gauge with which it was begun"])
        if self.sheet is not None and self.sheet_text != recorded.sheet_text:
            begun_with = "the build sheet with which it was begun" if recorded.sheet_text else "no build sheet"
            show.warnings([f"the test was begun with another build sheet or none, and keeps {begun_with}"])
        sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
        return Session(self.book, test_id, sheet, *self.person, self.place.settings.limits)

    def _begin(self, engine: str, order: str) -> Session:
        from ringtrue.cli.ask import ask_until
        from ringtrue.cli.pull_talk import checklists
        from ringtrue.shop.opening import header_for
        from ringtrue.shop.pulling import Session
        from ringtrue.shop.typed import cylinders_typed, order_of

        if self.sheet is None:
            cylinders = ask_until("How many cylinders? Or their names, parted by blanks or commas:", cylinders_typed)
        else:
            cylinders = self.sheet.pull_order
        pulled = order_of(order, cylinders)
        header = header_for(self.sheet, engine, pulled, self.day, gauge=self.gauge, by=self.by)
        note = checklists(self.sheet, pulled)
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
