"""The gate: which host was asked for, from which page, by whom; and what every answer says to the browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.requests import Request

from ringtrue.errors import InputRefused, RingtrueError
from ringtrue.web.answers import answer, refusal
from ringtrue.web.routes import ROLES, Route, Who
from ringtrue.web.wire import Refused

if TYPE_CHECKING:
    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from ringtrue.web.service import Service
    from ringtrue.web.sessions import Session

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "font-src 'self'; manifest-src 'self'; worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=()",
}
"""On every answer, whatever it says."""
OWN_PAGE = "ringtrue-page"
"""A header that a page of this server sends with what it follows; one from elsewhere cannot, without asking first."""


class Gate:
    """
    Stands before everything.

    Parameters
    ----------
    app : ASGIApp
        What lies behind.
    service : Service
        Knows the hosts and the sessions.
    """

    def __init__(self, app: ASGIApp, service: Service) -> None:
        self.app = app
        self.service = service

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """
        Let a request pass, or say why not.

        Parameters
        ----------
        scope, receive, send
            As ASGI has them.
        """
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = {name.lower() for name, _ in message["headers"]}
                more = [(k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in given]
                message = {**message, "headers": [*message["headers"], *more]}
            await send(message)

        request = Request(scope, receive)
        if self._host(request) is None:
            await answer(Refused("This server does not go by that name.", []), 421)(scope, receive, with_headers)
            return
        try:
            await self.app(scope, receive, with_headers)
        except RingtrueError as error:
            await refusal(error)(scope, receive, with_headers)

    def _host(self, request: Request) -> str | None:
        host = request.headers.getlist("host")
        scheme = "https" if self.service.secure else "http"
        named = f"{scheme}://{host[0].lower()}" if len(host) == 1 else ""
        return named if named in self.service.origins else None


def admitted(service: Service, route: Route, request: Request) -> Response | None:
    """
    Find whether a way in is open to who asks, and note in the request who it is.

    Parameters
    ----------
    service : Service
        Knows the sessions.
    route : Route
        The way in.
    request : Request
        The request.

    Returns
    -------
    Response or None
        Why not; None where it is open.
    """
    bearer = request.headers.get("authorization", "")
    by_program = bearer.lower().startswith("bearer ")
    if not by_program and not _from_own_page(service, route, request):
        return answer(Refused("This did not come from a page of this server.", []), 403)
    if route.who is Who.ANYBODY:
        return None
    token = bearer[7:].strip() if by_program else request.cookies.get(cookie_name(service, request), "")
    session: Session | None = service.sessions.find(token) if token else None
    if session is None:
        return answer(Refused("This device is not let in. Pair it from the shop PC first.", []), 401)
    if session.role < route.who:
        may = f"This device {ROLES[session.role]} only; this takes one that is: {ROLES[route.who]}."
        return answer(Refused(may, []), 403)
    request.scope["ringtrue.session"] = session
    request.scope["ringtrue.token"] = token
    return None


def _from_own_page(service: Service, route: Route, request: Request) -> bool:
    origins = request.headers.getlist("origin")
    here = f"{'https' if service.secure else 'http'}://{request.headers['host'].lower()}"
    if origins:
        return origins == [here]
    if route.method == "POST":
        return False
    return not route.path.endswith("/events") or request.headers.get(OWN_PAGE) == "1"


def cookie_name(service: Service, request: Request) -> str:
    """
    Name the cookie of a session: one for each port, since browsers keep cookies of all ports of a host together.

    Parameters
    ----------
    service : Service
        Knows whether it is served over https.
    request : Request
        The request.

    Returns
    -------
    str
        Over https, a name that only https may set.
    """
    port = request.url.port or (443 if service.secure else 80)
    return f"__Host-ringtrue-{port}" if service.secure else f"ringtrue-{port}"


def no_such_page() -> InputRefused:
    """Return the error for a page that is not there."""
    return InputRefused.of("", "there is no such page", "go back to the first page")
