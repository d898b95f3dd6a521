"""The gate: which host was asked for, from which page, by whom; and what every answer says to the browser."""

from __future__ import annotations

import logging
import re
import traceback
from typing import TYPE_CHECKING

from starlette.requests import ClientDisconnect, Request

from ringtrue.errors import Fault
from ringtrue.web.addresses import is_loopback, origin
from ringtrue.web.answers import answer
from ringtrue.web.page import FIRST, Frame, Way, page
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
    "cache-control": "no-store",
}
"""On every answer, whatever it says; a way in may give one of them itself."""
SAFE_ONLY = b"cross-origin-opener-policy"
"""Over plain http from another machine browsers pass over this one, and complain of it in the console of every page."""
OWN_PAGE = "ringtrue-page"
"""A header that a page of this server sends with what it follows; one from elsewhere cannot, without asking first."""
_SECRET = re.compile(r"(?<![\w-])(?:ringtrue\.)?[\w-]{43}(?![\w-])")
"""A token or a secret, as `ringtrue.web.sessions` and `ringtrue.web.door` make them: 256 bits in 43 letters."""

log = logging.getLogger("ringtrue.web")


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
        if scope["type"] != "http":  # refused before it is accepted
            await send({"type": "websocket.close", "code": 1008})
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = {name.lower() for name, _ in message["headers"]}
                if scope.get("ringtrue.plain"):
                    given.add(SAFE_ONLY)
                more = [(k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in given]
                message = {**message, "headers": [*message["headers"], *more]}
            await send(message)

        request = Request(scope, receive)
        here = self._here(request)
        if here is None:
            await _wrong_host(request)(scope, receive, with_headers)
            return
        if "upgrade" in request.headers and request.headers["upgrade"].lower() == "websocket":
            await refused(request, "There are no web sockets here.", 403)(scope, receive, with_headers)
            return
        scope["ringtrue.here"] = here
        scope["ringtrue.plain"] = not self.service.secure and not is_loopback(here)
        try:
            await self.app(scope, receive, with_headers)
        except ClientDisconnect:  # nobody is left to be told
            return
        except Exception:  # noqa: BLE001 - whatever it is, the terminal is told, and the browser no more than that
            log.error("%s %s\n%s", request.method, request.url.path, without_secrets(traceback.format_exc(), request))  # noqa: TRY400 - its own traceback would be told with its secrets

    def _here(self, request: Request) -> str | None:
        """Return the address that was asked for, where it is one of this server's."""
        hosts = request.headers.getlist("host")
        asked = origin(hosts[0], secure=self.service.secure) if len(hosts) == 1 else None
        if asked is None or asked in self.service.origins:
            return asked
        # An address, no name, on which the request itself came in: a name could have been bent here by somebody else's
        # name server, the machine's own address cannot. It is found late where a network gave the machine a new one.
        server = request.scope.get("server")
        if not server or not self.service.addresses or server[1] is None:
            return None
        own = f"[{server[0]}]:{server[1]}" if ":" in server[0] else f"{server[0]}:{server[1]}"
        return asked if asked == origin(own, secure=self.service.secure) else None


def without_secrets(text: str, request: Request) -> str:
    """
    Strike out of a text what opens the door.

    Parameters
    ----------
    text : str
        For the log.
    request : Request
        What it is about.

    Returns
    -------
    str
        Without tokens, and without what the request sent as one.
    """
    sent = [*request.cookies.values(), request.headers.get("authorization", "").partition(" ")[2]]
    for each in sent:
        if len(each) > 7:  # noqa: PLR2004 - shorter ones are no secret, and striking them out would eat words
            text = text.replace(each, "(struck out)")
    return _SECRET.sub("(struck out)", text)


def wants_page(request: Request) -> bool:
    """
    Tell whether a person looks at what comes back.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    bool
        False for the interface under ``/api/``, and for programs.
    """
    return "text/html" in request.headers.get("accept", "") and not request.url.path.startswith("/api/")


def refused(request: Request, says: str, status: int, instead: str = "", way: Way = FIRST) -> Response:
    """
    Say why a request gets nothing: as a page to a person, as JSON to a program.

    Parameters
    ----------
    request : Request
        The request.
    says : str
        Why, as a sentence.
    status : int
        HTTP status.
    instead : str
        What to do instead, as a sentence; may be empty.
    way : Way
        The way on from the page.

    Returns
    -------
    Response
        Either.
    """
    whole = f"{says} {instead}".strip()
    if not wants_page(request):
        return answer(Refused(whole, []), status)
    fault = Fault("", says, instead)
    return page(request, "refused.html.j2", Frame("This page stays shut", way), status, faults=(fault,))


def _wrong_host(request: Request) -> Response:
    said = request.headers.get("host", "")
    name = said.rpartition(":")[0] or said
    instead = "Use an address that ringtrue told when it was started."
    if origin(said, secure=False) is not None and len(said) < 80:  # noqa: PLR2004 - what fits on a line
        instead = f"Use an address that ringtrue told when it was started, or start it with: --name {name.lower()}"
    return refused(request, "This server does not go by that name.", 421, instead)


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
    if not by_program and not _from_own_page(route, request):
        return refused(request, "This did not come from a page of this server.", 403, "Go to its first page.")
    token = bearer[7:].strip() if by_program else request.cookies.get(cookie_name(service, request), "")
    session: Session | None = service.sessions.find(token) if token else None
    if session is not None:
        request.scope["ringtrue.session"] = session
        request.scope["ringtrue.token"] = token
    if route.who is Who.ANYBODY:
        return None
    if session is None:
        shut = refused(
            request,
            "This device is not let in.",
            401,
            "Pair it from the shop PC first: Devices, Let a device in.",
            Way("/pair", "Pair this device"),
        )
        shut.headers["www-authenticate"] = 'Bearer realm="ringtrue"'  # RFC 9110, 15.5.2 asks for one
        return shut
    if session.role < route.who:
        role = ROLES[session.role]
        instead = f"Who sits at the shop PC can let it in as: {ROLES[route.who]}."
        return refused(request, f"This device was let in as: {role}. That is not enough here.", 403, instead)
    return None


def _from_own_page(route: Route, request: Request) -> bool:
    origins = request.headers.getlist("origin")
    if origins:
        return origins == [request.scope["ringtrue.here"]]
    if route.method == "POST":
        return False
    return not route.stream or request.headers.get(OWN_PAGE) == "1"


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
