"""The server put together: the table of ways in, the gate before it, what each refusal becomes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.routing import Match
from starlette.routing import Route as Path

from ringtrue.errors import RingtrueError
from ringtrue.web import devices, live_pages, openapi, pairing, photographs, readings, trust
from ringtrue.web.access import Gate, admitted, refused, wants_page
from ringtrue.web.answered_forms import AnsweredForms
from ringtrue.web.answers import refusal
from ringtrue.web.page import refusal_page
from ringtrue.web.pages import table as pages

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.routes import Route
    from ringtrue.web.service import Service

ROUTES: tuple[Route, ...] = (
    *pairing.ROUTES,
    *devices.ROUTES,
    *trust.ROUTES,
    *openapi.ROUTES,
    *readings.ROUTES,
    *live_pages.ROUTES,
    *photographs.ROUTES,
    *pages.ROUTES,
)
"""Every way in."""


def application(service: Service) -> Gate:
    """
    Put the server together.

    Parameters
    ----------
    service : Service
        What every way in needs.

    Returns
    -------
    Gate
        To be served.
    """
    service.routes = ROUTES
    service.answered_forms = AnsweredForms({each.path for each in ROUTES if each.method == "GET"})
    handlers = {HTTPException: _no_page, Exception: _fault}
    return Gate(Starlette(routes=[_path(service, each) for each in ROUTES], exception_handlers=handlers), service)


def _path(service: Service, route: Route) -> Path:
    made = Path(route.path, _endpoint(service, route), methods=[route.method])
    if route.stream and made.methods:  # it has no end that its headers could be asked for without
        made.methods.discard("HEAD")
    return made


def _endpoint(service: Service, route: Route) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        shut = admitted(service, route, request)
        if shut is not None:
            return shut
        if route.method == "GET" and (again := service.answered_forms.shown(request)) is not None:
            return again
        try:
            answer = await route.handler(service, request)
            # What a form is answered with has an address of its own: the way back leads there, and sends nothing again.
            return service.answered_forms.keep(request, route.path, answer) if route.method == "POST" else answer
        except RingtrueError as error:
            return refusal_page(request, error) if wants_page(request) else refusal(error)

    return endpoint


async def _no_page(request: Request, error: Exception) -> Response:
    """Say that there is nothing, or nothing to be done in that way."""
    status = error.status_code if isinstance(error, HTTPException) else 500
    if status != 405:  # noqa: PLR2004 - Method Not Allowed
        return refused(request, "There is no such page here.", status, "Go to the first page.")
    allowed: set[str] = set()
    for path in request.app.routes:
        if path.matches(request.scope)[0] is not Match.NONE:
            allowed |= path.methods
    said = refused(request, "That cannot be done here.", status, "See the description of the interface.")
    said.headers["allow"] = ", ".join(sorted(allowed))  # RFC 9110, 15.5.6
    return said


async def _fault(request: Request, error: Exception) -> Response:
    """Say that something went wrong that nobody foresaw, and nothing of what it was: the terminal is told."""
    del error
    return refused(
        request,
        "This is a fault of ringtrue, not of yours.",
        500,
        "What was called saved is in the book. What happened is told on the terminal of the shop PC.",
    )
