"""The first page, and the page of one engine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ringtrue.intake import parse_sheet
from ringtrue.web.page import Frame, Way, as_page, page
from ringtrue.web.pages.drawn import sheet_drawing
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import EngineInBook, Summary
    from ringtrue.web.service import Service

NEW_SHEET = Way("/sheets/new", "New build sheet", Who.ENTERS)
WAYS = (
    NEW_SHEET,
    Way("/gauges", "Gauges"),
    Way("/settings", "Settings", Who.OWNER),
    Way("/devices", "Devices", Who.OWNER),
)


@as_page
async def first(service: Service, request: Request) -> Response:
    """Show the engines of the book, and the tests to go on with."""

    def look() -> tuple[tuple[EngineInBook, ...], tuple[Summary, ...]]:
        return service.book.engines(), service.book.open_tests()

    engines, still_open = await service.do(look)
    return page(
        request,
        "first.html.j2",
        Frame(service.place.settings.shop or "ringtrue", None, WAYS),
        engines=engines,
        still_open=tuple(reversed(still_open)),
        engine_path=engine_path,
    )


@as_page
async def engine(service: Service, request: Request) -> Response:
    """Show one engine: its tests, its sheet, the ways on."""

    def look() -> dict[str, Any]:
        found = find_engine(service.book, engine_asked(request))
        revisions = service.book.sheets(found.key)
        sheet = parse_sheet(revisions[-1].text) if revisions else None
        return {
            "frame": engine_frame(found, ""),
            "engine": found,
            "tests": tuple(reversed(service.book.tests(found.key))),
            "revisions": revisions,
            "sheet": sheet,
            "drawing": sheet_drawing(sheet) if sheet else None,
        }

    facts = await service.do(look)
    return page(request, "engine.html.j2", engine_path=engine_path, **facts)


ROUTES = (
    Route("GET", "/", Who.LOOKS_ON, first),
    Route("GET", "/engines/{engine}", Who.LOOKS_ON, engine),
)
