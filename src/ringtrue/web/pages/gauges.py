"""The register of gauges: read it, add to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.shop.gauges import add_gauge, gauges_told
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import FIRST, Frame, as_page, page, see
from ringtrue.web.pages.day import CHECK_VALVE, GAUGE
from ringtrue.web.pages.where import gauge_path
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.service import Service

FIELDS = (*(name for name, *_ in GAUGE), "check_valve")
_LABELS = {name: label.lower() for name, label, *_ in GAUGE} | {
    "check_valve": "check valve",
    "calibrated": "calibrated",
    "due": "next calibration due",
    "studied": "studied",
}


async def _page(service: Service, request: Request, form: Form, status: int = 200) -> Response:
    gauges = await service.do(gauges_told, service.book)
    told = [
        (
            each["name"],
            gauge_path(each["name"]),
            [(_LABELS[key], text) for key, text in each.items() if text and key != "name"],
        )
        for each in gauges
    ]
    return page(
        request,
        "gauges.html.j2",
        Frame("Gauges", FIRST, (FIRST,)),
        status,
        form=form,
        gauges=told,
        gauge_fields=GAUGE,
        check_valve=CHECK_VALVE,
        fields=FIELDS,
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the register."""
    return await _page(service, request, Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Describe a gauge."""
    form = await read_form(request)
    stamped = form.stamped(request)

    def work() -> None:
        said = {name: form.text(name) for name in FIELDS}
        add_gauge(service.book, said, who=stamped.who, device=stamped.device, key=stamped.key)

    try:
        await service.do(work)
    except InputRefused as error:
        return await _page(service, request, form.refused(error, FIELDS), 422)
    return see("/gauges")


ROUTES = (
    Route("GET", "/gauges", Who.LOOKS_ON, show),
    Route("POST", "/gauges", Who.ENTERS, send),
)
