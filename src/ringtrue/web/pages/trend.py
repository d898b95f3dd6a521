"""An engine over time: every test on one course, what changed since the baseline, and where that leads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ringtrue.errors import InputRefused
from ringtrue.shop.trend_courses import level_course, siblings_course
from ringtrue.shop.trend_told import told
from ringtrue.shop.trending import follow
from ringtrue.web.page import as_page, page
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who

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
            "tests": [(each.test_id, each.date, place == found.baseline) for place, each in enumerate(found.course)],
        }

    engine, facts = await service.do(look)
    here = engine_path(engine.key, "trend")
    return page(request, "trend.html.j2", engine_frame(engine, "Over time"), here=here, **{"faults": (), **facts})


ROUTES = (Route("GET", "/engines/{engine}/trend", Who.LOOKS_ON, show),)
