"""The page that explains how a phone is told to trust this server's own certificate authority."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.responses import Response

from ringtrue.web.page import FIRST, Frame, page
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request

    from ringtrue.web.service import Service

FILE = "/trust/ringtrue-authority.crt"


async def trust_page(service: Service, request: Request) -> Response:
    """Explain it, phone by phone."""
    return page(
        request,
        "trust.html.j2",
        Frame("Trust this server", FIRST),
        authority=service.authority,
        file=FILE,
    )


async def authority_file(service: Service, request: Request) -> Response:
    """Give out the authority's certificate, which is no secret."""
    del request
    if service.authority is None:
        raise HTTPException(404)
    headers = {"content-disposition": 'attachment; filename="ringtrue-authority.crt"'}
    return Response(service.authority.certificate, headers=headers, media_type="application/x-x509-ca-cert")


ROUTES = (Route("GET", "/trust", Who.ANYBODY, trust_page), Route("GET", FILE, Who.ANYBODY, authority_file))
