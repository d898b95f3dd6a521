"""How a device asks to be let in: with a secret or a code; it says who it is, and waits for the owner."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

from msgspec import Meta, Struct

from ringtrue.errors import InputRefused
from ringtrue.web.access import cookie_name
from ringtrue.web.answers import answer
from ringtrue.web.bodies import body_of, read_json
from ringtrue.web.door import State
from ringtrue.web.page import FIRST, Frame, page
from ringtrue.web.routes import ROLES, Route, Who
from ringtrue.web.service import session_of
from ringtrue.web.wire import Refused

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.door import Heard
    from ringtrue.web.service import Service

KEPT_BY_BROWSER = 400 * 24 * 3600
"""How long a browser is asked to keep its cookie; when it has to pair anew is decided here. [s]"""
Label = Annotated[
    str, Meta(min_length=1, max_length=60, description="A name that a person reads; no line breaks, not only blanks.")
]


class Role(StrEnum):
    """What each role is called on the wire; the words are those of `ringtrue.web.routes.ROLES`."""

    LOOKS_ON = ROLES[Who.LOOKS_ON]
    ENTERS = ROLES[Who.ENTERS]
    OWNER = ROLES[Who.OWNER]

    @property
    def who(self) -> Who:
        """Who may come in by it."""
        return next(who for who, words in ROLES.items() if words == self.value)


class PairIn(Struct, frozen=True, forbid_unknown_fields=True):
    """The secret of the picture or the code that was typed, and what this device is called."""

    device: Label
    person: Label
    secret: Annotated[str, Meta(max_length=200)] = ""
    code: Annotated[str, Meta(max_length=40, description="Eight digits; blanks between them do not count.")] = ""


class TicketIn(Struct, frozen=True, forbid_unknown_fields=True):
    """The ticket of a device that waits."""

    ticket: Annotated[str, Meta(min_length=1, max_length=200)]


class Paired(Struct, frozen=True):
    """
    How it stands with a device. Once it is let in, its token is in a cookie that no script can read.

    While it waits, `number` is shown on both screens, and `ticket` asks again; both are told once.
    """

    state: State
    device: str = ""
    role: str = ""
    ticket: str = ""
    number: str = ""


class Me(Struct, frozen=True):
    """Who asks, and what this device may do."""

    name: str
    person: str
    device: str
    role: Role
    program: bool


TYPED_WRONG = (
    "This code is wrong, spent or too old. If it was mistyped, type it once more as the shop PC shows it: it is good "
    "for five minutes, until it was typed wrongly five times. If it is gone there, make a new one there."
)
SPENT = "This picture is spent or too old. Make a new one on the shop PC."


def label(text: str, field: str) -> str:
    """
    Read a name that is shown to the owner.

    Parameters
    ----------
    text : str
        As it came.
    field : str
        Where.

    Returns
    -------
    str
        Without blanks round it.

    Raises
    ------
    InputRefused
        It is empty, or has signs that cannot be seen.
    """
    plain = text.strip()
    if not plain or not plain.isprintable():
        raise InputRefused.of(f"“{plain}”", "a name is wanted that can be read", "write one, such as: Alder", field)
    return plain


async def pair(service: Service, request: Request) -> Response:
    """
    Ask to be let in.

    Raises
    ------
    InputRefused
        What was said cannot be used.
    """
    said = read_json(await body_of(request), PairIn)
    person, device = label(said.person, "person"), label(said.device, "device")
    if bool(said.secret) is bool(said.code):
        raise InputRefused.of("", "one of secret and code is wanted", "send one of them", "secret")
    role = service.sessions.spend(said.secret) if said.secret else None
    if role is not None:
        old = request.scope.get("ringtrue.session")
        if old is not None and old.role >= role:  # it is in already; the secret is spent all the same
            return answer(Paired(State.LET_IN, old.device, ROLES[old.role]))
        token = await service.do(service.sessions.admit, person, device, role)
        return await _let_in(service, request, Paired(State.LET_IN, device, ROLES[role]), token)
    heard = service.door.knock(said.secret, said.code, person, device)
    if heard is None:
        return answer(Refused(TYPED_WRONG if said.code else SPENT, []), 403)
    return await _told(service, request, heard)


async def wait(service: Service, request: Request) -> Response:
    """Tell a device that waits how it stands."""
    said = read_json(await body_of(request), TicketIn)
    return await _told(service, request, await service.do(service.door.hear, said.ticket))


async def _told(service: Service, request: Request, heard: Heard) -> Response:
    device = heard.knock.device if heard.knock else ""
    role = ROLES.get(heard.knock.role, "") if heard.knock else ""
    said = Paired(heard.state, device, role, heard.ticket, heard.number)
    return await _let_in(service, request, said, heard.token) if heard.token else answer(said)


async def _let_in(service: Service, request: Request, said: Paired, token: str) -> Response:
    old = request.scope.get("ringtrue.session")
    if old is not None and not old.program:  # a browser has one cookie: what it was before, it is no longer
        await service.do(service.sessions.revoke, old.name)
    made = answer(said)
    made.set_cookie(
        cookie_name(service, request),
        token,
        max_age=KEPT_BY_BROWSER,
        path="/",
        secure=service.secure,
        httponly=True,
        samesite="strict",
    )
    return made


async def me(service: Service, request: Request) -> Response:
    """Tell who asks."""
    del service
    mine = session_of(request)
    return answer(Me(mine.name, mine.person, mine.device, Role(ROLES[mine.role]), mine.program))


async def pair_page(service: Service, request: Request) -> Response:
    """Show the page on which a device asks to be let in."""
    return page(request, "pair.html.j2", Frame("Pair this device", FIRST), secure=service.secure)


ROUTES = (
    Route("GET", "/pair", Who.ANYBODY, pair_page),
    Route(
        "POST",
        "/api/pair",
        Who.ANYBODY,
        pair,
        "Ask to be let in, with a secret or a code from the shop PC. The owner's first secret lets in at once.",
        takes=PairIn,
        gives=Paired,
    ),
    Route(
        "POST",
        "/api/pair/wait",
        Who.ANYBODY,
        wait,
        "How it stands with a device that asked to be let in.",
        takes=TicketIn,
        gives=Paired,
    ),
    Route("GET", "/api/me", Who.LOOKS_ON, me, "Who asks, and what this device may do.", gives=Me),
)
