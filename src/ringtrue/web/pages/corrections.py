"""The record of a test: every entry and correction, what belongs to the whole of it, and the head of its chain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.shop.heading import HEADING, change_heading, heading_of
from ringtrue.shop.recorded import entry_lines, header_lines
from ringtrue.web.forms import Form, filled, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.day import DAY, with_unit
from ringtrue.web.pages.where import test_frame
from ringtrue.web.routes import Route, Who
from ringtrue.wording import short_head

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.compression import Gauge
    from ringtrue.records import Recorded
    from ringtrue.web.service import Service

FIELDS = (*HEADING, "why")


async def _page(
    service: Service, request: Request, recorded: Recorded, form: Form | None = None, status: int = 200
) -> Response:
    gauges: tuple[Gauge, ...] = await service.do(service.book.gauges)
    was = heading_of(recorded.header)
    names = dict.fromkeys([*([was["gauge"]] if was["gauge"] else []), *(each.name for each in gauges)])
    return page(
        request,
        "corrections.html.j2",
        test_frame(recorded, "Record and corrections"),
        status,
        form=form or filled(was),
        test=recorded.test_id,
        header=header_lines(recorded),
        entries=entry_lines(recorded),
        head=recorded.head,
        short=short_head(recorded.head),
        last_at=recorded.last_at,
        gauges=[("", "not said"), *((name, name) for name in names)],
        day=DAY,
        fields=FIELDS,
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the record."""
    return await _page(service, request, await service.do(service.book.test, request.path_params["test"]))


@as_page
async def send(service: Service, request: Request) -> Response:
    """Say anew what belongs to the whole test."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    form = await read_form(request)
    said = {name: with_unit(name, form.text(name)) for name in HEADING}
    stamped, meant = form.stamped(request), form.text("confirmed") == "yes"

    def work() -> None:
        change_heading(service.book, recorded.test_id, said, form.text("why"), stamped, confirmed=meant)

    try:
        await service.do(work)
    except InputRefused as error:
        return await _page(service, request, recorded, form.refused(error, FIELDS), 422)
    service.announcer.changed(recorded.test_id)
    return see(f"/tests/{recorded.test_id}/corrections")


ROUTES = (
    Route("GET", "/tests/{test}/corrections", Who.LOOKS_ON, show),
    Route("POST", "/tests/{test}/corrections", Who.ENTERS, send),
)
