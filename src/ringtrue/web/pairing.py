"""How a device is let in: a secret from the shop PC, spent once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from ringtrue.web.access import cookie_name
from ringtrue.web.answers import answer
from ringtrue.web.bodies import body_of, read_json
from ringtrue.web.routes import Route, Who
from ringtrue.web.wire import Name, Refused

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.service import Service


class PairIn(Struct, frozen=True, forbid_unknown_fields=True):
    """A secret from the shop PC, and what this device is called."""

    secret: Name
    device: Name
    person: Name


class Paired(Struct, frozen=True):
    """The device is let in; its token is in a cookie that no script can read."""

    device: str


async def pair(service: Service, request: Request) -> Response:
    """Let a device in."""
    said = read_json(await body_of(request), PairIn)
    token = await service.do(service.sessions.open, said.secret, said.person, said.device)
    if token is None:
        return answer(Refused("This code is spent or too old. Make a new one on the shop PC.", []), 403)
    made = answer(Paired(said.device))
    made.set_cookie(
        cookie_name(service, request),
        token,
        max_age=180 * 24 * 3600,
        path="/",
        secure=service.secure,
        httponly=True,
        samesite="strict",
    )
    return made


ROUTES = (Route("POST", "/api/pair", Who.ANYBODY, pair, "Let a device in with a secret.", takes=PairIn, gives=Paired),)
