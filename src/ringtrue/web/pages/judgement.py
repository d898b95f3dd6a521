"""The judgement of a test, as it stands: the same content as the hand-over sheet."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from ringtrue.errors import InputRefused
from ringtrue.intake import parse_sheet
from ringtrue.report.views import Mark
from ringtrue.shop.reporting import hand_over_recorded
from ringtrue.web.forms import Form, read_form
from ringtrue.web.live import live
from ringtrue.web.page import Frame, as_page, page, see
from ringtrue.web.pages.drawn import sections
from ringtrue.web.pages.where import engine_path, test_frame
from ringtrue.web.routes import Route, Who
from ringtrue.wording import putting_back

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Recorded
    from ringtrue.web.service import Service

NOT_HERE = ("What is likeliest, and what would tell most", "The record", "Cautions", "Corrections")
"""Sections of the hand-over sheet that have a page of their own."""


FIRST_READ = ("What it means, and what to check next", "The engine")
"""Sections that stand open, in this order; the others follow folded, each with what it comes to."""
FIELDS = ("why",)


@as_page
async def judgement(service: Service, request: Request) -> Response:
    """Show what became of a test so far."""
    return await _page(service, request, Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Put a test aside that was begun by mistake or is wrong as a whole."""
    form = await read_form(request)
    stamped = form.stamped(request)
    test = request.path_params["test"]

    def work() -> str:
        said = {"why": form.text("why"), "key": stamped.key, "who": stamped.who, "device": stamped.device}
        service.book.put_aside(test, **said)
        return engine_path(service.book.test(test).header.engine)

    try:
        engine = await service.do(work)
    except InputRefused as error:
        return await _page(service, request, form.refused(error, FIELDS), 422)
    service.announcer.changed(test)
    return see(engine)


async def _page(service: Service, request: Request, form: Form, status: int = 200) -> Response:
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
                "empty": not recorded.test.taken and not recorded.finished,
                "put_back": putting_back(parse_sheet(recorded.sheet_text) if recorded.sheet_text else None),
            },
        )

    recorded, found, state = await service.do(look)
    told = {title: blocks for title, blocks in found.items() if title and title not in NOT_HERE}
    return page(
        request,
        "judgement.html.j2",
        _frame(recorded),
        status,
        form=form,
        fields=FIELDS,
        test=recorded.test_id,
        finished=recorded.finished,
        put_aside=recorded.put_aside,
        by=recorded.header.by,
        run=str(recorded.header.run_since_build or ""),
        in_short=found.get("", []),
        told=[(title, told[title]) for title in FIRST_READ if title in told],
        folded=[(title, _comes_to(blocks), blocks) for title, blocks in told.items() if title not in FIRST_READ],
        **state,
    )


def _comes_to(blocks: list[dict[str, Any]]) -> str:
    """Say how often each outcome stands in a table of outcomes: the worst first."""
    marks = Counter(cell.mark for block in blocks if block["name"] == "Table" for row in block["rows"] for cell in row)
    return ", ".join(f"{marks[each]} {each}" for each in OUTCOMES if marks[each])


OUTCOMES = (Mark.NOT_MET, Mark.TOO_CLOSE, Mark.NOT_JUDGED, Mark.MET)


def _frame(recorded: Recorded) -> Frame:
    if recorded.put_aside:
        return test_frame(recorded, "Put aside")
    return test_frame(recorded, "Judgement" if recorded.finished else "Judgement so far")


ROUTES = (
    Route("GET", "/tests/{test}", Who.LOOKS_ON, judgement),
    Route("POST", "/tests/{test}", Who.ENTERS, send),
)
