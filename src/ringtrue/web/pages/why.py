"""Why the intervals of a test are as wide as they are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ringtrue import wording
from ringtrue.errors import InputRefused
from ringtrue.shop.entering import judge_recorded
from ringtrue.shop.why import why_so
from ringtrue.web.page import as_page, page
from ringtrue.web.pages.where import test_frame
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Recorded
    from ringtrue.web.service import Service


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the budget of every figure."""

    def look() -> tuple[Recorded, dict[str, Any]]:
        recorded = service.book.test(request.path_params["test"])
        judged = judge_recorded(recorded, service.place.settings.limits)
        try:
            made = why_so(judged)
        except InputRefused as error:
            return recorded, {"faults": error.faults, "budgets": (), "notes": ()}
        budgets = [wording.why_budget(each, made.unit) for each in made.budgets]
        return recorded, {"faults": (), "budgets": budgets, "notes": made.notes}

    recorded, facts = await service.do(look)
    return page(request, "why.html.j2", test_frame(recorded, "Why these intervals"), head=wording.WHY_HEAD, **facts)


ROUTES = (Route("GET", "/tests/{test}/why", Who.LOOKS_ON, show),)
