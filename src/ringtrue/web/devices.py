"""The owner's page of devices: let one in, see who is in, shut one out, make a token for a program."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import segno
from msgspec import Meta, Struct

from ringtrue.errors import InputRefused, NotInBook
from ringtrue.web.addresses import is_loopback
from ringtrue.web.answers import answer
from ringtrue.web.bodies import body_of, read_json
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import FIRST, Frame, Way, page, see
from ringtrue.web.pairing import Label, Role, label
from ringtrue.web.routes import ROLES, Route, Who
from ringtrue.web.service import session_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.door import Invitation
    from ringtrue.web.service import Service

Id = Annotated[str, Meta(min_length=1, max_length=40, pattern="^[0-9a-f]+$")]
NONE_WAITS = "nobody of that name waits any longer"
MINUTE, HOUR, DAY = 60, 3600, 86400


class DeviceOut(Struct, frozen=True):
    """One device or program that may come in. `used` is how long ago it was last used [s]."""

    name: str
    person: str
    device: str
    role: Role
    program: bool
    used: int
    this: bool


class KnockOut(Struct, frozen=True):
    """A device that waits to be let in; it shows the same `number`."""

    name: str
    person: str
    device: str
    number: str


class DevicesOut(Struct, frozen=True):
    """Who is in, who waits, and whether an invitation is open, with the seconds it still lasts."""

    devices: list[DeviceOut]
    waiting: list[KnockOut]
    invited: bool
    seconds: int
    code_is_void: bool


class InvitationOut(Struct, frozen=True):
    """What one device needs to knock: the address to open on it, or the code to type at `/pair`."""

    address: str
    code: str
    seconds: int


class AnswerIn(Struct, frozen=True, forbid_unknown_fields=True):
    """The owner's answer to who knocks; null refuses it."""

    name: Id
    role: Role | None


class RevokeIn(Struct, frozen=True, forbid_unknown_fields=True):
    """Which session is over."""

    name: Id


class ProgramIn(Struct, frozen=True, forbid_unknown_fields=True):
    """A program of the shop's own, and what it may do."""

    program: Label
    role: Role


class ProgramOut(Struct, frozen=True):
    """Its token, told this once: it is sent as `Authorization: Bearer`."""

    name: str
    token: str


class Done(Struct, frozen=True):
    """It is done."""

    name: str


def _devices(service: Service, request: Request) -> DevicesOut:
    mine, now = session_of(request), service.sessions.now()
    invitation = service.door.invitation
    return DevicesOut(
        devices=[
            DeviceOut(
                each.name,
                each.person,
                each.device,
                Role(ROLES[each.role]),
                each.program,
                round(now - each.seen),
                each.name == mine.name,
            )
            for each in service.sessions.all()
        ],
        waiting=[KnockOut(each.name, each.person, each.device, each.number) for each in service.door.waiting()],
        invited=invitation is not None,
        seconds=invitation.seconds if invitation else 0,
        code_is_void=invitation.code_is_void if invitation else False,
    )


def _reached(service: Service, request: Request) -> list[str]:
    """Return where a device may be sent to: first the address that the owner uses, unless only this PC can use it."""
    here: str = request.scope["ringtrue.here"]
    mine = [] if is_loopback(here) and service.addresses else [here]
    return list(dict.fromkeys([*mine, *service.addresses]))


def _invitation(made: Invitation, address: str) -> InvitationOut:
    return InvitationOut(f"{address}/pair#{made.secret}", made.code, made.seconds)


# ---------------------------------------------------------------------------------------------- the interface


async def devices(service: Service, request: Request) -> Response:
    """Tell who is in and who waits."""
    return answer(_devices(service, request))


async def invite(service: Service, request: Request) -> Response:
    """Make an invitation."""
    return answer(_invitation(service.door.invite(), _reached(service, request)[0]), 201)


async def answer_knock(service: Service, request: Request) -> Response:
    """Let a device in, or refuse it."""
    said = read_json(await body_of(request), AnswerIn)
    return answer(Done(_answered(service, said.name, said.role)))


def _answered(service: Service, name: str, role: Role | None) -> str:
    knock = service.door.answer(name, role.who if role else None)
    if knock is None:
        raise NotInBook.of("", NONE_WAITS, "let it knock again, with a new code")
    return knock.name


async def revoke(service: Service, request: Request) -> Response:
    """
    Shut a device or a program out.

    Raises
    ------
    NotInBook
        There is none of that name.
    """
    said = read_json(await body_of(request), RevokeIn)
    if not await service.do(service.sessions.revoke, said.name):
        raise NotInBook.of(f"“{said.name}”", "no device of that name is in", "load the page of devices again")
    return answer(Done(said.name))


async def program(service: Service, request: Request) -> Response:
    """Make a token for a program."""
    said = read_json(await body_of(request), ProgramIn)
    name = label(said.program, "program")
    return answer(ProgramOut(name, await _token(service, request, name, said.role)), 201)


async def _token(service: Service, request: Request, name: str, role: Role) -> str:
    def work() -> str:
        return service.sessions.admit(session_of(request).person, name, role.who, program=True)

    return await service.do(work)


# ---------------------------------------------------------------------------------------------- the page


async def devices_page(service: Service, request: Request) -> Response:
    """Show the page of devices."""
    return _page(service, request, Form())


def _page(service: Service, request: Request, form: Form, token: str = "") -> Response:
    invitation = service.door.invitation
    addresses = _reached(service, request)
    asked = request.query_params.get("at", "0")
    at = int(asked) if asked.isascii() and asked.isdecimal() and int(asked[:4]) < len(addresses) else 0
    shown = _invitation(invitation, addresses[at]) if invitation else None
    return page(
        request,
        "devices.html.j2",
        Frame("Devices", FIRST, (FIRST, Way("/devices", "Devices", Who.OWNER))),
        form=form,
        token=token,
        found=_devices(service, request),
        ago=ago,
        roles=[(role.value, WHAT[role]) for role in Role],
        invitation=shown,
        code_is_void=invitation.code_is_void if invitation else False,
        picture=picture(shown.address) if shown else "",
        addresses=addresses,
        at=at,
        alone=not service.addresses,
        secure=service.secure,
    )


WHAT = {
    Role.LOOKS_ON: "looks on: sees everything, writes nothing",
    Role.ENTERS: "enters readings: takes tests, corrects, chooses",
    Role.OWNER: "owner: all that, and lets devices in",
}
"""What each role may do, in words."""


def picture(address: str) -> str:
    """
    Draw an address for a phone's camera.

    Parameters
    ----------
    address : str
        To be opened.

    Returns
    -------
    str
        SVG without style: dark on light in both themes, since some cameras read no other.
    """
    return segno.make_qr(address, error="m").svg_inline(
        border=4, dark="#000000", light="#ffffff", omitsize=True, svgclass="qr", lineclass=None
    )


def ago(seconds: int) -> str:
    """
    Tell how long ago something was.

    Parameters
    ----------
    seconds : int
        [s]

    Returns
    -------
    str
        In words, roughly.

    Examples
    --------
    >>> ago(5), ago(90 * 60), ago(3 * 86400)
    ('within the last minutes', '1 hour ago', '3 days ago')
    """
    # That a session was used is written down every ten minutes, no finer.
    if seconds < 15 * MINUTE:
        return "within the last minutes"
    for length, word in ((DAY, "day"), (HOUR, "hour"), (MINUTE, "minute")):
        if seconds >= length:
            count = seconds // length
            return f"{count} {word}{'' if count == 1 else 's'} ago"
    return ""


async def invite_form(service: Service, request: Request) -> Response:
    """Make an invitation, and show it."""
    await read_form(request)
    service.door.invite()
    return see("/devices#invitation")


async def take_back_form(service: Service, request: Request) -> Response:
    """Make the invitation void."""
    await read_form(request)
    service.door.take_back()
    return see("/devices")


async def answer_form(service: Service, request: Request) -> Response:
    """Let a device in, or refuse it."""
    form = await read_form(request)
    _answered(service, form.text("name"), _role(form) if form.text("do") == "let in" else None)
    return see("/devices")


async def revoke_form(service: Service, request: Request) -> Response:
    """Shut a device or a program out."""
    form = await read_form(request)
    await service.do(service.sessions.revoke, form.text("name"))
    return see("/devices")


async def program_form(service: Service, request: Request) -> Response:
    """Make a token for a program, and show it this once."""
    form = await read_form(request)
    try:
        name = label(form.text("program")[:60], "program")
        token = await _token(service, request, name, _role(form))
    except InputRefused as error:
        return _page(service, request, form.refused(error, ("program", "role")))
    return _page(service, request, Form(), token)


def _role(form: Form) -> Role:
    role = form.text("role")
    try:
        return Role(role)
    except ValueError:
        raise InputRefused.of(f"“{role}”", "that is no role", f"choose one of: {', '.join(Role)}", "role") from None


ROUTES = (
    Route("GET", "/devices", Who.OWNER, devices_page),
    Route("POST", "/devices/invite", Who.OWNER, invite_form),
    Route("POST", "/devices/take-back", Who.OWNER, take_back_form),
    Route("POST", "/devices/answer", Who.OWNER, answer_form),
    Route("POST", "/devices/revoke", Who.OWNER, revoke_form),
    Route("POST", "/devices/program", Who.OWNER, program_form),
    Route("GET", "/api/devices", Who.OWNER, devices, "Who is in, and who waits to be let in.", gives=DevicesOut),
    Route(
        "POST",
        "/api/devices/invite",
        Who.OWNER,
        invite,
        "Make an invitation for one device, good for five minutes; an earlier one is void.",
        gives=InvitationOut,
        status=201,
    ),
    Route(
        "POST",
        "/api/devices/answer",
        Who.OWNER,
        answer_knock,
        "Let a device in that waits, or refuse it.",
        takes=AnswerIn,
        gives=Done,
    ),
    Route(
        "POST",
        "/api/devices/revoke",
        Who.OWNER,
        revoke,
        "Shut a device or a program out; what it follows ends within a second.",
        takes=RevokeIn,
        gives=Done,
    ),
    Route(
        "POST",
        "/api/devices/program",
        Who.OWNER,
        program,
        "Make a token for a program of the shop's own; it is told this once.",
        takes=ProgramIn,
        gives=ProgramOut,
        status=201,
    ),
)
