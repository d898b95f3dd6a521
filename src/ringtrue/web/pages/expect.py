"""What an engine should show on its starter: a page, and a part that the plan fetches."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.responses import HTMLResponse

from ringtrue.errors import CannotExpect, InputRefused
from ringtrue.intake import parse_sheet
from ringtrue.shop.expecting import expect_sheet
from ringtrue.web.page import as_page, page, rendered
from ringtrue.web.pages.where import engine_asked, engine_frame, find_engine
from ringtrue.web.routes import Route, Who
from ringtrue.wording import gauge_sentence

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import EngineInBook
    from ringtrue.web.service import Service


def _facts(service: Service, request: Request) -> tuple[EngineInBook, dict[str, Any]]:
    engine = find_engine(service.book, engine_asked(request))
    revisions = service.book.sheets(engine.key)
    if not revisions:
        raise InputRefused.of("", "the book has no build sheet of this engine", "fill in its build sheet first")
    sheet = parse_sheet(revisions[-1].text)
    try:
        made = expect_sheet(sheet, service.place.settings.pressure)
    except CannotExpect as error:
        return engine, {"refused": error.faults, "unit": ""}
    words = made.words
    return engine, {
        "refused": (),
        "unit": made.unit.name,
        "strokes": [(number, band.median, f"{band.low} to {band.high}") for number, band in words.strokes],
        "look_for": (*words.what_to_look_for(), gauge_sentence(made.gauge)),
        "trust": words.how_far_to_trust_it(),
        "narrow": words.narrow_it(),
    }


@as_page
async def expect(service: Service, request: Request) -> Response:
    """Show what the engine should show."""
    engine, facts = await service.do(_facts, service, request)
    if request.query_params.get("part") == "yes":
        return HTMLResponse(rendered(request, "expect_part.html.j2", **facts), headers={"cache-control": "no-store"})
    return page(request, "expect.html.j2", engine_frame(engine, "What it should show"), **facts)


ROUTES = (Route("GET", "/engines/{engine}/expect", Who.LOOKS_ON, expect),)
