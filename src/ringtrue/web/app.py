"""The server put together: the table of ways in, the gate before it, what each refusal becomes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.routing import Route as Path

from ringtrue.errors import RingtrueError
from ringtrue.web import live_pages, pairing, readings
from ringtrue.web.access import Gate, admitted
from ringtrue.web.answers import answer, refusal
from ringtrue.web.wire import Refused

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.types import ASGIApp

    from ringtrue.web.routes import Route
    from ringtrue.web.service import Service

ROUTES: tuple[Route, ...] = (*pairing.ROUTES, *readings.ROUTES, *live_pages.ROUTES)
"""Every way in."""


def application(service: Service) -> ASGIApp:
    """
    Put the server together.

    Parameters
    ----------
    service : Service
        What every way in needs.

    Returns
    -------
    ASGIApp
        To be served.
    """
    paths = [Path(each.path, _endpoint(service, each), methods=[each.method]) for each in ROUTES]
    return Gate(Starlette(routes=paths, exception_handlers={HTTPException: _no_page}), service)


def _endpoint(service: Service, route: Route) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        shut = admitted(service, route, request)
        if shut is not None:
            return shut
        try:
            return await route.handler(service, request)
        except RingtrueError as error:
            return refusal(error)

    return endpoint


async def _no_page(request: Request, error: Exception) -> Response:
    del request
    status = error.status_code if isinstance(error, HTTPException) else 500
    return answer(Refused("There is no such page here.", []), status)
