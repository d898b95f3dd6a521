"""The hand-over sheet: looked at, printed, shared; and whose engine it is."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from starlette.responses import HTMLResponse, Response

from ringtrue.errors import InputRefused
from ringtrue.intake.settings import PAPERS
from ringtrue.records import Owner
from ringtrue.report import as_html, as_pdf, content, policy, worksheet
from ringtrue.shop.reporting import hand_over_recorded, work_plan
from ringtrue.web.forms import Form, filled, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.drawn import one_at_a_time
from ringtrue.web.pages.where import engine_asked, engine_path, find_engine, test_frame
from ringtrue.web.routes import Route, Who
from ringtrue.web.service import session_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from ringtrue.records import Recorded
    from ringtrue.web.service import Service

OWNER = ("name", "contact", "address", "note")
FIELDS = tuple(f"owner_{each}" for each in OWNER)
LONGEST_BUILDER = 80
"""A longer name does not fit its line. [-]"""


def _paper(request: Request) -> str:
    return request.query_params.get("paper", "")


def _builder(request: Request, service: Service) -> str:
    """Return who signs as the builder: who is said to, else who the settings name."""
    said = request.query_params.get("builder", "").strip()[:LONGEST_BUILDER]
    return said if said.isprintable() and said else service.place.settings.builder


def file_name(*parts: str) -> str:
    """
    Make the name of a file that is safe everywhere.

    Parameters
    ----------
    *parts : str
        What it is about.

    Returns
    -------
    str
        Small letters, figures and hyphens, without its ending.

    Examples
    --------
    >>> file_name("Launch six", "2026-05-14", "k3v9-t2mq")
    'launch-six-2026-05-14-k3v9-t2mq'
    """
    whole = re.sub(r"[^a-z0-9]+", "-", "-".join(filter(None, parts)).casefold()).strip("-")
    return whole[:80].strip("-") or "sheet"


async def _page(
    service: Service, request: Request, recorded: Recorded, form: Form | None, status: int = 200
) -> Response:
    owner = await service.do(service.book.owner, recorded.header.engine)
    said = {f"owner_{each}": getattr(owner, each) for each in OWNER} if owner else {}
    header = recorded.header
    asked = _paper(request) or service.place.settings.paper
    paper = next((each for each in PAPERS if each.casefold() == asked.casefold()), PAPERS[0])
    return page(
        request,
        "handover.html.j2",
        test_frame(recorded, "Hand-over sheet"),
        status,
        form=form or filled(said),
        test=recorded.test_id,
        finished=recorded.finished,
        put_aside=recorded.put_aside,
        owner_name=owner.name if owner else "",
        owned=owner is not None,
        paper=paper,
        papers=PAPERS,
        builder=_builder(request, service),
        tested_by=header.by,
        owner_at=engine_path(header.engine, "owner") + f"?test={recorded.test_id}",
        pdf_name=file_name(header.engine_name or header.engine, header.date, recorded.test_id) + ".pdf",
        fields=FIELDS,
        fresh=Form(),
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show what can be done with the sheet."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    return await _page(service, request, recorded, None)


@as_page
async def sheet_html(service: Service, request: Request) -> Response:
    """Show the sheet itself, as it is printed, under its own policy."""

    def work() -> tuple[str, str]:
        facts = hand_over_recorded(service.book, request.path_params["test"], service.place.settings, _paper(request))
        made = content(replace(facts, builder=_builder(request, service)))
        return str(one_at_a_time(lambda: as_html(made))), policy(made)

    text, own_policy = await service.do(work)
    headers = {"cache-control": "no-store", "content-security-policy": f"{own_policy}; frame-ancestors 'none'"}
    return HTMLResponse(text, headers=headers)


@as_page
async def sheet_pdf(service: Service, request: Request) -> Response:
    """Hand out the sheet as PDF."""

    def work() -> tuple[bytes, str]:
        facts = hand_over_recorded(service.book, request.path_params["test"], service.place.settings, _paper(request))
        made = content(replace(facts, builder=_builder(request, service)))
        raw = one_at_a_time(lambda: as_pdf(made))
        return bytes(raw) if isinstance(raw, bytes) else b"", file_name(facts.engine_name, made.date, facts.test_id)

    raw, name = await service.do(work)
    return pdf(raw, name)


@as_page
async def work_pdf(service: Service, request: Request) -> Response:
    """
    Hand out the worksheet for pencil as PDF.

    Raises
    ------
    InputRefused
        The engine has no build sheet.
    """
    asked = request.query_params

    def work() -> tuple[bytes, str]:
        from ringtrue.intake import parse_sheet

        book = service.book
        engine = find_engine(book, engine_asked(request))
        revisions = book.sheets(engine.key)
        if not revisions:
            raise InputRefused.of("", "the book has no build sheet of this engine", "fill in its build sheet first")
        gauge = book.gauge(asked["gauge"]) if asked.get("gauge") else None
        sheet = parse_sheet(revisions[-1].text)
        plan = work_plan(
            book,
            sheet,
            service.place.settings,
            order=asked.get("order", ""),
            unit="",
            gauge=gauge,
            paper=_paper(request),
        )
        raw = one_at_a_time(lambda: as_pdf(worksheet(plan)))
        return bytes(raw) if isinstance(raw, bytes) else b"", file_name("worksheet", sheet.name)

    raw, name = await service.do(work)
    return pdf(raw, name)


def pdf(raw: bytes, name: str) -> Response:
    """
    Answer with a PDF.

    Parameters
    ----------
    raw : bytes
        The document.
    name : str
        Its file's name, without the ending.

    Returns
    -------
    Response
        Opened in the browser, and saved under that name.
    """
    headers = {"cache-control": "no-store", "content-disposition": f'inline; filename="{name}.pdf"'}
    return Response(raw, headers=headers, media_type="application/pdf")


@as_page
async def set_owner(service: Service, request: Request) -> Response:
    """
    Keep whose engine it is, or forget it.

    Raises
    ------
    InputRefused
        No name is given; told beside its field.
    """
    form = await read_form(request)
    session_of(request)
    test = request.query_params.get("test", "")
    recorded = await service.do(service.book.test, test)

    def work() -> None:
        engine = find_engine(service.book, engine_asked(request))
        if form.text("do") == "forget":
            service.book.forget_owner(engine.key)
            return
        said = {each: form.text(f"owner_{each}") for each in OWNER}
        if not said["name"]:
            raise InputRefused.of("", "an owner has a name", "type it, or forget the owner", "owner_name")
        service.book.set_owner(engine.key, Owner(**said))

    try:
        await service.do(work)
    except InputRefused as error:
        return await _page(service, request, recorded, form.refused(error, FIELDS), 422)
    return see(f"/tests/{recorded.test_id}/sheet")


ROUTES = (
    Route("GET", "/tests/{test}/sheet", Who.LOOKS_ON, show),
    Route("GET", "/tests/{test}/sheet.html", Who.LOOKS_ON, sheet_html),
    Route("GET", "/tests/{test}/sheet.pdf", Who.LOOKS_ON, sheet_pdf),
    Route("GET", "/engines/{engine}/worksheet.pdf", Who.LOOKS_ON, work_pdf),
    Route("POST", "/engines/{engine}/owner", Who.OWNER, set_owner),
)
