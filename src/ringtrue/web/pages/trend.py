"""An engine over time: every test on one course, what changed since the baseline, and where that leads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ringtrue.errors import InputRefused
from ringtrue.shop.trend_courses import level_course, siblings_course
from ringtrue.shop.trend_told import told
from ringtrue.shop.trend_why import RESTS_ON, budgets_told, forecasts_why
from ringtrue.shop.trending import follow
from ringtrue.web.page import as_page, page
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who
from ringtrue.wording import WHY_HEAD

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import EngineInBook
    from ringtrue.web.service import Service


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show an engine over time."""
    wanted = request.query_params.get("baseline", "")

    def look() -> tuple[EngineInBook, dict[str, Any]]:
        engine = find_engine(service.book, engine_asked(request))
        if not any(each.counts for each in service.book.tests(engine.key)):
            return engine, {"words": None}
        try:
            found = follow(service.book, engine.key, service.place.settings.limits, baseline=wanted)
        except InputRefused as error:
            if wanted:
                raise
            return engine, {"words": None, "faults": error.faults}
        courses = [level_course(found), siblings_course(found)]
        return engine, {
            "words": told(found),
            "courses": [each for each in courses if each is not None],
            "warnings": found.warnings,
            "forecasts": found.outlook is not None and any(each.in_sight for each in found.outlook.forecasts),
            "tests": [(each.test_id, each.date, place == found.baseline) for place, each in enumerate(found.course)],
        }

    engine, facts = await service.do(look)
    here = engine_path(engine.key, "trend")
    facts = {"faults": (), "chosen": wanted, **facts}
    return page(request, "trend.html.j2", engine_frame(engine, "Over time"), here=here, **facts)


@as_page
async def why(service: Service, request: Request) -> Response:
    """Show why it is not known better when limits will be met."""
    wanted = request.query_params.get("baseline", "")

    def look() -> tuple[EngineInBook, dict[str, Any]]:
        engine = find_engine(service.book, engine_asked(request))
        try:
            found = follow(service.book, engine.key, service.place.settings.limits, baseline=wanted)
        except InputRefused as error:
            return engine, {"faults": error.faults, "budgets": (), "notes": ()}
        budgets, without = budgets_told(found, forecasts_why(found))
        return engine, {"faults": without, "budgets": budgets, "notes": RESTS_ON if budgets else ()}

    engine, facts = await service.do(look)
    return page(request, "why.html.j2", engine_frame(engine, "Why these forecasts"), head=WHY_HEAD, **facts)


ROUTES = (
    Route("GET", "/engines/{engine}/trend", Who.LOOKS_ON, show),
    Route("GET", "/engines/{engine}/trend/why", Who.LOOKS_ON, why),
)
