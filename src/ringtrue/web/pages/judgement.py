"""The judgement of a test, as it stands: the same content as the hand-over sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ringtrue.intake import parse_sheet
from ringtrue.shop.reporting import hand_over_recorded
from ringtrue.web.live import live
from ringtrue.web.page import Frame, as_page, page
from ringtrue.web.pages.drawn import sections
from ringtrue.web.pages.where import test_frame
from ringtrue.web.routes import Route, Who
from ringtrue.wording import putting_back

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Recorded
    from ringtrue.web.service import Service

NOT_HERE = ("What is likeliest, and what would tell most", "The record", "Cautions", "Corrections")
"""Sections of the hand-over sheet that have a page of their own."""


FOLDED = ("In the order taken", "Beside the readings", "How sure this is", "Gauge and conditions")
"""Sections that stand folded until somebody asks for them."""


@as_page
async def judgement(service: Service, request: Request) -> Response:
    """Show what became of a test so far."""

    def look() -> tuple[Recorded, dict[str, list[dict[str, Any]]], dict[str, Any]]:
        recorded = service.book.test(request.path_params["test"])
        settings = service.place.settings
        facts = hand_over_recorded(service.book, recorded.test_id, settings, explained=False)
        state = live(recorded, settings.limits, settings.pressure)
        found = sections(facts)
        return (
            recorded,
            found,
            {
                "conflicts": [each for each in state.cylinders if each.conflict],
                "left_out": [each for each in state.cylinders if each.left_out],
                "to_do": state.next,
                "stop": state.stop,
                "put_back": putting_back(parse_sheet(recorded.sheet_text) if recorded.sheet_text else None),
            },
        )

    recorded, found, state = await service.do(look)
    told = {title: blocks for title, blocks in found.items() if title and title not in NOT_HERE}
    return page(
        request,
        "judgement.html.j2",
        _frame(recorded),
        test=recorded.test_id,
        finished=recorded.finished,
        by=recorded.header.by,
        run=str(recorded.header.run_since_build or ""),
        in_short=found.get("", []),
        told=told,
        folded=FOLDED,
        **state,
    )


def _frame(recorded: Recorded) -> Frame:
    return test_frame(recorded, "Judgement" if recorded.finished else "Judgement so far")


ROUTES = (Route("GET", "/tests/{test}", Who.LOOKS_ON, judgement),)
