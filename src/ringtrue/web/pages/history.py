"""An engine over time: its tests in order, each cylinder from test to test, and what was done in between."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.errors import BookDamaged, BookUnusable, InputRefused
from ringtrue.intake import parse_run
from ringtrue.shop.entering import figures_recorded
from ringtrue.shop.heading import read_date
from ringtrue.shop.judging import unit_of
from ringtrue.shop.normalising import Normalised, normalise_recorded
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.measure import CylinderFigures
    from ringtrue.records import EngineInBook, Event, Recorded
    from ringtrue.web.service import Service

FIELDS = ("text", "at", "date", "new_baseline", "entry", "why")
MOST_COMPARED = 12
"""So many tests are carried at once. [-]"""


@dataclass(frozen=True, slots=True)
class TestRow:
    """
    One test in the history.

    Parameters
    ----------
    test : str
        Its id.
    date, run, by : str
        As written; empty when not said.
    state : str
        Empty for a finished test that can be read.
    mean, deviation, unit : str
        In the test's own unit.
    finals : dict of str to (str, str)
        Final of each cylinder, and its place.
    corrected : bool
        The gauge's calibration has corrected them.
    """

    test: str
    date: str
    run: str
    by: str
    state: str
    mean: str
    deviation: str
    unit: str
    finals: dict[str, tuple[str, str]]
    corrected: bool = False


def _row(service: Service, test_id: str, recorded: Recorded | BookDamaged) -> TestRow:
    try:
        if isinstance(recorded, BookDamaged):
            raise recorded
        series = figures_recorded(recorded, service.place.settings.limits)
    except (BookUnusable, InputRefused):
        return TestRow(test_id, "", "", "", "damaged: see ringtrue book verify", "", "", "", {})
    header, unit = recorded.header, unit_of(recorded.test)
    said = (recorded.test_id, header.date, str(header.run_since_build or ""), header.by)
    state = "" if recorded.finished else "open"
    if series is None:
        return TestRow(*said, state, "", "", unit.name, {})
    shown = wording.Shown(unit, series.rules)
    percent = series.mean_deviation_percent
    return TestRow(
        *said,
        state,
        "" if series.mean is None else shown.final(series.mean),
        "" if percent is None or series.count < 2 else shown.mean_deviation_percent(percent),  # noqa: PLR2004 - alone none
        unit.name,
        {each.cylinder: _final(each, shown) for each in series.cylinders if each.cylinder},
        series.correction is not None,
    )


def _final(each: CylinderFigures, shown: wording.Shown) -> tuple[str, str]:
    return ("" if each.final is None else shown.final(each.final), each.place.value)


async def _page(service: Service, request: Request, form: Form, status: int = 200) -> Response:
    def look() -> tuple[EngineInBook, list[TestRow], tuple[Event, ...]]:
        engine = find_engine(service.book, engine_asked(request))
        tests = [each.test_id for each in service.book.tests(engine.key) if not each.put_aside]
        read = service.book.tests_read(tests)
        rows = [_row(service, *each) for each in zip(tests, read, strict=True)]
        return engine, rows, service.book.events(engine.key, taken_back=True)

    engine, rows, events = await service.do(look)
    cylinders = list(dict.fromkeys(name for row in rows for name in row.finals))
    return page(
        request,
        "history.html.j2",
        engine_frame(engine, "History"),
        status,
        form=form,
        here=engine_path(engine.key, "history"),
        rows=rows,
        cylinders=cylinders,
        events=[(each.date, str(each.at or ""), each.text, each.who, each.taken_back) for each in events],
        lines=[(str(e.seq), f"{e.text}, {e.at or e.date or 'no date'}") for e in events if not e.taken_back],
        fields=FIELDS,
        comparable=[row for row in rows if any(final for final, _ in row.finals.values())],
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show an engine's history."""
    return await _page(service, request, Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Write a line in an engine's log, or take one back."""
    form = await read_form(request)
    if form.text("do") == "take back":
        return await _take_back(service, request, form)

    def work() -> str:
        engine = find_engine(service.book, engine_asked(request))
        at, stamped = form.text("at"), form.stamped(request)
        try:
            run = parse_run(at) if at else None
        except InputRefused as error:
            raise error.at("at") from None
        service.book.add_event(
            engine.key,
            form.text("text"),
            at=run,
            date=read_date(form.text("date")),
            new_baseline=form.text("new_baseline") == "yes",
            key=stamped.key,
            who=stamped.who,
            device=stamped.device,
        )
        return engine.key

    try:
        key = await service.do(work)
    except InputRefused as error:
        if "text" not in form.said:
            raise
        return await _page(service, request, form.refused(error, FIELDS, {"event": "text"}), 422)
    return see(f"{engine_path(key, 'history')}#log")


async def _take_back(service: Service, request: Request, form: Form) -> Response:
    def work() -> str:
        engine = find_engine(service.book, engine_asked(request))
        said, stamped = form.text("entry"), form.stamped(request)
        if not (said.isascii() and said.isdecimal()):
            raise InputRefused.of(f"“{said}”", "no line is named", "choose one", "entry")
        who = {"key": stamped.key, "who": stamped.who, "device": stamped.device}
        service.book.take_back_event(engine.key, int(said[:12]), why=form.text("why"), **who)
        return engine.key

    try:
        key = await service.do(work)
    except InputRefused as error:
        return await _page(service, request, form.refused(error, FIELDS), 422)
    return see(f"{engine_path(key, 'history')}#log")


@as_page
async def carried(service: Service, request: Request) -> Response:
    """
    Compare tests, carried to the same conditions.

    Raises
    ------
    InputRefused
        No test of this engine is chosen.
    """
    wanted = request.query_params.getlist("test")[:MOST_COMPARED]

    def look() -> tuple[EngineInBook, Normalised]:
        engine = find_engine(service.book, engine_asked(request))
        if not wanted:
            raise InputRefused.of("", "no test is chosen", "go back and tick the tests to compare", "test")
        own = [each.test_id for each in service.book.tests(engine.key) if each.test_id in wanted]
        if not own:
            raise InputRefused.of(", ".join(wanted)[:80], "these are no tests of this engine", "go back and tick some")
        return engine, normalise_recorded(service.book, own, None, {})

    engine, made = await service.do(look)
    return page(
        request,
        "carried.html.j2",
        engine_frame(engine, "Carried to the same conditions"),
        back=engine_path(engine.key, "history"),
        to=wording.carried_to(made.to, made.to_gauge),
        unit=made.unit.name,
        warnings=made.warnings,
        tests=[_carried_test(made, at) for at in range(len(made.tests))],
        changes=[_change(made, at) for at in range(len(made.changes))],
    )


def _carried_test(made: Normalised, at: int) -> dict[str, object]:
    each = made.tests[at]
    test, found = each.of.test, each.carried
    assumed = test.gauge is None and made.to_gauge is not None
    read, middle = wording.pressure(found.middle_read, made.unit), wording.carried_text(found.middle, made.unit)
    return {
        "test": each.of.test_id,
        "date": test.date,
        "read": wording.as_read(test),
        "lines": [
            *wording.factor_sentences(test.conditions, made.to, found.factor, gauge_assumed=assumed),
            f"Middle of the finals: {read} {wording.as_read(test)}; carried {middle} {made.unit.name}.",
        ],
        "rows": [
            (
                row.cylinder,
                "not read" if row.read is None else wording.pressure(row.read, made.unit),
                "" if row.carried is None else wording.carried_text(row.carried, made.unit),
            )
            for row in found.cylinders
        ],
    }


def _change(made: Normalised, at: int) -> dict[str, object]:
    change, first, later = made.changes[at], made.tests[0], made.tests[at + 1]
    sides = [{row.cylinder: row for row in each.carried.cylinders} for each in (first, later)]
    lines = []
    for each in change.cylinders:
        cells = [each.cylinder]
        for side in sides:
            row = side.get(each.cylinder)
            cells.append("not read" if row is None or row.read is None else wording.pressure(row.read, made.unit))
            cells.append("" if row is None or row.carried is None else wording.carried_text(row.carried, made.unit))
        lines.append((*cells, wording.beside_text(each)))
    days = (first.of.test.conditions, later.of.test.conditions)
    # What the command line offers beside a sentence is no option of a page.
    told = wording.trust_sentences(change, *days, oil_agreed=made.to.oil is not None)
    trust = [each.replace(" Say --oil to carry it too.", "") for each in told]
    if first.of.sheet_text != later.of.sheet_text:
        trust.append("The tests stand under different build sheets: what was rebuilt is in the change.")
    return {
        "title": f"From {first.of.label} to {later.of.label}",
        "head": wording.CHANGE_HEAD,
        "rows": lines,
        "says": wording.change_sentences(change),
        "trust": trust,
    }


ROUTES = (
    Route("GET", "/engines/{engine}/history", Who.LOOKS_ON, show),
    Route("POST", "/engines/{engine}/history", Who.ENTERS, send),
    Route("GET", "/engines/{engine}/history/carried", Who.LOOKS_ON, carried),
)
