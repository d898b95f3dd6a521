"""The plan of a test: checklists, the day, the gauge; from here a test begins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused, NotInBook
from ringtrue.intake import parse_sheet
from ringtrue.shop.beginning import Beginning, begin, look_at
from ringtrue.shop.foreseeing import before_test, foresee
from ringtrue.shop.gauges import add_gauge
from ringtrue.shop.heading import CONDITIONS
from ringtrue.shop.opening import open_test
from ringtrue.shop.workplace import this_person
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.day import CHECK_VALVE, DAY, GAUGE, with_unit
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who
from ringtrue.web.service import session_of
from ringtrue.wording import SEE_HEAD, Caution, Item, cautions, preparation, pulling, safety, source_text

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.compression import Gauge
    from ringtrue.engine import BuildSheet
    from ringtrue.records import EngineInBook, Summary
    from ringtrue.shop.foreseeing import Before
    from ringtrue.shop.pull_said import Stamped
    from ringtrue.web.service import Service

GAUGE_FIELDS = (*(f"gauge_{name}" for name, *_ in GAUGE), "gauge_check_valve")
FIELDS = ("by", "gauge", "run_since_build", "order", "note", "done", *CONDITIONS, *GAUGE_FIELDS)


EVERY_ENGINE = "rotating"
"""The first caution that holds for every engine; before it stand those that a build sheet calls for."""


@dataclass(frozen=True, slots=True)
class Planned:
    """
    What a plan is made of.

    Parameters
    ----------
    engine : EngineInBook
        The engine.
    sheet : BuildSheet
        Its last build sheet.
    gauges : tuple of Gauge
        Of the register.
    still_open : Summary or None
        A test of it that is not finished.
    before : Before
        What is known of it before this test.
    """

    engine: EngineInBook
    sheet: BuildSheet
    gauges: tuple[Gauge, ...]
    still_open: Summary | None
    before: Before

    def sees(self, chosen: str, pressures: str) -> list[tuple[str, ...]]:
        """Return what the test can see with each gauge of the register, the one that is chosen or was used first."""
        first = chosen or (self.before.gauge.name if self.before.gauge else "")
        gauges = sorted(self.gauges, key=lambda each: each.name != first)
        return [foresee(self.before, each, pressures) for each in gauges] or [foresee(self.before, None, pressures)]

    @property
    def lists(self) -> tuple[tuple[str, str, tuple[Item, ...]], ...]:
        """The checklists that are ticked before a test."""
        return (
            ("safety", "Make it safe", safety(self.sheet)),
            ("preparation", "Make the readings comparable", preparation(self.sheet)),
        )

    def unticked(self, done: tuple[str, ...]) -> tuple[str, ...]:
        """Return what was not ticked, as it stands on the lists."""
        return tuple(item.text for key, _, items in self.lists for item in items if f"{key}.{item.key}" not in done)

    @property
    def dangers(self) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
        """The cautions that this build sheet calls for, which are told in full, and those of every engine."""
        all_of_them = cautions(self.sheet)
        every = next(at for at, each in enumerate(all_of_them) if each.key == EVERY_ENGINE)
        return all_of_them[:every], all_of_them[every:]


def _planned(service: Service, request: Request) -> Planned:
    engine = find_engine(service.book, engine_asked(request))
    revisions = service.book.sheets(engine.key)
    if not revisions:
        raise NotInBook.of(
            engine.name or engine.key, "the book has no build sheet of it", "fill in its build sheet first"
        )
    book = service.book
    sheet = parse_sheet(revisions[-1].text)
    return Planned(engine, sheet, book.gauges(), open_test(book, "", engine.key), before_test(book, sheet))


def _page(
    service: Service,
    request: Request,
    planned: Planned,
    form: Form,
    status: int = 200,
    *,
    unticked: tuple[str, ...] = (),
    added: str = "",
) -> Response:
    key = planned.engine.key
    who = this_person(service.place.settings, session_of(request).person)
    return page(
        request,
        "plan.html.j2",
        engine_frame(planned.engine, "Plan and begin a test"),
        status,
        form=form,
        planned=planned,
        here=engine_path(key, "plan"),
        expect_at=engine_path(key, "expect"),
        worksheet_at=engine_path(key, "worksheet.pdf"),
        order=", ".join(planned.sheet.pull_order),
        pulling=pulling(planned.sheet),
        day=DAY,
        gauge_fields=[(f"gauge_{name}", *rest) for name, *rest in GAUGE],
        check_valve=CHECK_VALVE,
        gauges=[("", "not said"), *((each.name, each.name) for each in planned.gauges)],
        see_head=SEE_HEAD,
        sees=planned.sees(form.text("gauge"), service.place.settings.pressure),
        gauge_open=bool(added or any(form.text(name) or form.faults_of(name) for name in GAUGE_FIELDS)),
        by=who,
        unticked=unticked,
        added=added,
        fields=FIELDS,
        source_text=source_text,
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the plan; of an engine without a build sheet the engine, where one is filled in."""
    engine = find_engine(service.book, engine_asked(request))
    if not await service.do(service.book.sheets, engine.key):
        return see(engine_path(engine.key))
    return _page(service, request, await service.do(_planned, service, request), Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Begin the test, or put a gauge into the register; a gauge that is described is never dropped."""
    planned = await service.do(_planned, service, request)
    form = await read_form(request, many=("done",))
    stamped = form.stamped(request)
    alone = form.text("do") == "gauge"
    added = ""
    if alone or any(form.text(name) for name in GAUGE_FIELDS):
        try:
            if not alone:
                _one_gauge(form)
            name, lacks = await service.do(_add, service, form, stamped)
        except InputRefused as error:
            names = {each.removeprefix("gauge_"): each for each in GAUGE_FIELDS}
            return _page(service, request, planned, form.refused(error, ("gauge", *GAUGE_FIELDS), names), 422)
        planned = await service.do(_planned, service, request)
        # The key of the form has written the gauge: what is sent from here on has one of its own.
        form = Form({each: said for each, said in form.said.items() if each not in GAUGE_FIELDS} | {"gauge": (name,)})
        added = "; ".join([f"The gauge {name} is in the register, and chosen below", *lacks]) + "."
        if alone:
            return _page(service, request, planned, form, added=added)
    return await _begin(service, request, planned, form, stamped, added)


async def _begin(
    service: Service, request: Request, planned: Planned, form: Form, stamped: Stamped, added: str
) -> Response:
    unticked = planned.unticked(form.every("done"))
    note = form.text("note")
    if unticked:
        note = "; ".join(filter(None, [note, f"not ticked before the test: {' '.join(unticked)}"]))
    said = Beginning(
        planned.engine.key,
        form.text("order"),
        form.text("by"),
        form.text("gauge"),
        note,
        {name: with_unit(name, form.text(name)) for name in CONDITIONS},
        form.text("run_since_build"),
        form.text("confirmed") == "yes",
    )
    try:
        if unticked and form.text("do") != "anyway":
            # What is not ticked and what cannot be used are told together, so that nobody is sent back twice.
            await service.do(look_at, service.book, service.place, said, stamped.who)
            return _page(service, request, planned, form, 422, unticked=unticked, added=added)
        test = await service.do(begin, service.book, service.place, said, stamped)
    except InputRefused as error:
        return _page(service, request, planned, form.refused(error, FIELDS), 422, unticked=unticked, added=added)
    return see(f"/tests/{test}/pull")


def _one_gauge(form: Form) -> None:
    if name := form.text("gauge"):
        why = "a test is taken with one gauge, and another is described below"
        raise InputRefused.of(f"“{name}”", why, "choose “not said” to use the other, or empty its fields", "gauge")


def _add(service: Service, form: Form, stamped: Stamped) -> tuple[str, tuple[str, ...]]:
    said = {name.removeprefix("gauge_"): form.text(name) for name in GAUGE_FIELDS}
    key = f"{stamped.key[:60]}-gauge"
    gauge, lacks = add_gauge(service.book, said, who=stamped.who, device=stamped.device, key=key)
    return gauge.name, lacks


ROUTES = (
    Route("GET", "/engines/{engine}/plan", Who.ENTERS, show),
    Route("POST", "/engines/{engine}/plan", Who.ENTERS, send),
)
