"""Photographs of a test: taken with the phone at the engine, chosen for the sheet, taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.intake.photographs import LARGEST
from ringtrue.shop.photographs import STILL_HAVE
from ringtrue.web.forms import Form, new_key, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.where import test_frame
from ringtrue.web.photographs import KINDS, erased, standing
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Book, Recorded
    from ringtrue.shop.pull_said import Stamped
    from ringtrue.web.service import Service

SHOWS = (("plug", "Plug"), ("gauge", "Gauge face"), ("other", "Other"))
WORDS = {"plug": "plug", "gauge": "gauge face", "other": ""}
FIELDS = ("why",)


def _page(request: Request, recorded: Recorded, form: Form, status: int = 200) -> Response:
    kept = standing(recorded)
    names = recorded.header.plan_order or tuple(dict.fromkeys(row.cylinder for row in recorded.test.taken))
    others = dict.fromkeys(each.cylinder for each in kept if each.cylinder and each.cylinder not in names)
    return page(
        request,
        "photos.html.j2",
        test_frame(recorded, "Photographs"),
        status,
        test=recorded.test_id,
        cylinders=[(name, [each for each in kept if each.cylinder == name]) for name in (*names, *others, "")],
        back=[each for each in recorded.photographs if each.taken_back],
        chosen=sum(each.for_sheet for each in kept),
        shows=SHOWS,
        words=WORDS,
        form=form,
        fields=FIELDS,
        new_key=new_key,
        largest=LARGEST,
        kinds=KINDS,
        still_have=STILL_HAVE,
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the photographs."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    return _page(request, recorded, Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Choose one for the sheet, or take one back."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    form = await read_form(request)
    try:
        await service.do(_change, service.book, recorded.test_id, form, form.stamped(request))
    except InputRefused as error:
        return _page(request, recorded, form.refused(error, FIELDS), 422)
    service.announcer.changed(recorded.test_id)
    return see(f"/tests/{recorded.test_id}/photos")


@as_page
async def erase(service: Service, request: Request) -> Response:
    """Erase the file of one for ever."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    form = await read_form(request)
    try:
        test, stamped = recorded.test_id, form.stamped(request)
        await service.do(erased, service, test, _entry(form), form.text("why"), stamped)
    except InputRefused as error:
        return _page(request, recorded, form.refused(error, FIELDS), 422)
    service.announcer.changed(recorded.test_id)
    return see(f"/tests/{recorded.test_id}/photos")


def _entry(form: Form) -> int:
    written = form.text("entry")
    return int(written) if written.isascii() and written.isdigit() and len(written) < 10 else 0  # noqa: PLR2004


def _change(book: Book, test: str, form: Form, stamped: Stamped) -> None:
    seq = _entry(form)
    key, who, device, do = stamped.key, stamped.who, stamped.device, form.text("do")
    if do == "back":
        book.take_back_photograph(test, seq, why=form.text("why"), key=key, who=who, device=device)
    elif do in {"on", "off"}:
        book.choose_photograph(test, seq, for_sheet=do == "on", key=key, who=who, device=device)
    else:
        raise InputRefused.of("", "this form does not say what to do", "load its page again", "do")


ROUTES = (
    Route("GET", "/tests/{test}/photos", Who.LOOKS_ON, show),
    Route("POST", "/tests/{test}/photos", Who.ENTERS, send),
    Route("POST", "/tests/{test}/photos/erase", Who.OWNER, erase),
)
