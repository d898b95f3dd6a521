"""Photographs in and out: sent as they are, kept with a cylinder, shown to whoever may look on."""

from __future__ import annotations

import re
import threading
from collections import OrderedDict
from typing import TYPE_CHECKING, Annotated, Literal

import msgspec
from msgspec import Meta, Struct
from starlette.responses import Response

from ringtrue.errors import InputRefused, NotInBook
from ringtrue.intake.photographs import LARGEST, smaller
from ringtrue.shop.photographs import PhotographSaid, erase, keep
from ringtrue.shop.pull_said import Stamped
from ringtrue.web.answers import answer
from ringtrue.web.bodies import body_of, read_json
from ringtrue.web.routes import Route, Who
from ringtrue.web.service import session_of
from ringtrue.web.wire import In, Key, Text

if TYPE_CHECKING:
    from starlette.requests import Request

    from ringtrue.records import Photograph, Recorded
    from ringtrue.web.service import Service

SMALL = 480
"""Longer edge of a photograph in a list. [pixel]"""
KINDS = ("image/jpeg", "image/png", "image/webp")
_SHA256 = re.compile(r"[0-9a-f]{64}\Z")
_ALONE = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox"
"""Under this a picture is shown; were it ever taken for a page, nothing in it would run."""
_MOST_SMALL = 200


class PhotographIn(In, frozen=True):
    """What is said of a photograph, in the address; the photograph itself is the body, as it is."""

    key: Key
    cylinder: Annotated[str, Meta(max_length=200, description="Whose; empty for the whole engine.")] = ""
    shows: Literal["plug", "gauge", "other"] = "plug"
    note: Text = ""
    sheet: Annotated[bool, Meta(description="It is to stand on the hand-over sheet.")] = False


class ForSheetIn(In, frozen=True):
    """A photograph is chosen for the hand-over sheet, or taken off it."""

    key: Key
    chosen: bool


class BackIn(In, frozen=True):
    """A photograph is taken back: its entry stays in the record, and it is shown no more."""

    key: Key
    why: Text


class EraseIn(In, frozen=True):
    """The file of a photograph is erased for ever: its hash stays in the record, with the reason."""

    key: Key
    why: Text


class PhotographOut(Struct, frozen=True):
    """A photograph that stands; `file` and `small` are addresses on this server."""

    entry: int
    cylinder: str
    shows: str
    note: str
    for_sheet: bool
    sha256: str
    media_type: str
    size: int
    width: int
    height: int
    file: str
    small: str
    who: str
    device: str
    at: str


class PhotographList(Struct, frozen=True):
    """The photographs of a test, in the order in which they were kept."""

    test: str
    photographs: list[PhotographOut]


class PhotographKept(Struct, frozen=True):
    """A photograph is in the book. `before`: the same picture of the same thing was kept already, and is kept once."""

    test: str
    entry: int
    key: str
    before: bool
    photograph: PhotographOut


def told(photograph: Photograph) -> PhotographOut:
    """
    Tell a photograph.

    Parameters
    ----------
    photograph : Photograph
        From the book.

    Returns
    -------
    PhotographOut
        With the addresses of its file.
    """
    picture = photograph.picture
    return PhotographOut(
        entry=photograph.seq,
        cylinder=photograph.cylinder,
        shows=photograph.shows.value,
        note=photograph.note,
        for_sheet=photograph.for_sheet,
        sha256=picture.sha256,
        media_type=picture.media_type,
        size=picture.size,
        width=picture.width,
        height=picture.height,
        file=f"/photographs/{picture.sha256}",
        small=f"/photographs/{picture.sha256}/small",
        who=photograph.who,
        device=photograph.device,
        at=photograph.at,
    )


def standing(recorded: Recorded) -> list[PhotographOut]:
    """
    Tell the photographs of a test that stand.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    list of PhotographOut
        In the order in which they were kept.
    """
    return [told(each) for each in recorded.photographs if not each.taken_back]


def _query(request: Request) -> PhotographIn:
    pairs = request.query_params.multi_items()
    twice = next((name for at, (name, _) in enumerate(pairs) if name in {other for other, _ in pairs[:at]}), None)
    if twice is not None:
        raise InputRefused.of(f"“{twice}”", "it stands there twice", "only one of them can be meant", twice)
    try:
        return msgspec.convert(dict(pairs), PhotographIn, strict=False)
    except msgspec.ValidationError as error:
        said, _, where = str(error).partition(" - at ")
        field = where.strip("`").removeprefix("$.").removeprefix("$")
        raise InputRefused.of("", said, "see the description of the interface, /api/openapi.json", field) from None


async def keep_photograph(service: Service, request: Request) -> Response:
    """Keep a photograph."""
    said = _query(request)
    session = session_of(request)
    raw = await body_of(request, LARGEST)
    stamped = Stamped(said.key, session.person, session.device)
    what = PhotographSaid(said.cylinder, said.shows, said.note, said.sheet)
    test = request.path_params["test"]
    entry = await service.do(keep, service.book, test, raw, what, stamped)
    recorded = await service.do(service.book.test, entry.chain)
    service.announcer.changed(entry.chain)
    kept = next(each for each in recorded.photographs if each.seq == entry.seq)
    before = entry.key != said.key
    return answer(PhotographKept(entry.chain, entry.seq, said.key, before, told(kept)), 201)


async def photographs(service: Service, request: Request) -> Response:
    """List the photographs of a test."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    return answer(PhotographList(recorded.test_id, standing(recorded)))


async def choose_photograph(service: Service, request: Request) -> Response:
    """Choose a photograph for the sheet."""
    said = read_json(await body_of(request), ForSheetIn)
    session, test, seq = session_of(request), request.path_params["test"], request.path_params["entry"]

    def work() -> None:
        by, on = session.person, session.device
        service.book.choose_photograph(test, seq, for_sheet=said.chosen, key=said.key, who=by, device=on)

    await service.do(work)
    return await _list_after(service, test)


async def take_back_photograph(service: Service, request: Request) -> Response:
    """Take a photograph back."""
    said = read_json(await body_of(request), BackIn)
    session, test, seq = session_of(request), request.path_params["test"], request.path_params["entry"]

    def work() -> None:
        by, on = session.person, session.device
        service.book.take_back_photograph(test, seq, why=said.why, key=said.key, who=by, device=on)

    await service.do(work)
    return await _list_after(service, test)


def erased(service: Service, test: str, seq: int, why: str, stamped: Stamped) -> str:
    """
    Erase the file of a photograph, here and where a smaller one of it is kept in memory.

    Parameters
    ----------
    service : Service
        The server.
    test : str
        The test.
    seq : int
        The entry that holds the photograph.
    why : str
        The reason.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    str
        What was done, in sentences.
    """
    made, told = erase(service.book, test, seq, why, stamped)
    kept = next(each for each in service.book.test(made.chain).photographs if each.seq == seq)
    with _lock:
        _made.pop(kept.picture.sha256, None)
    return told


async def erase_photograph(service: Service, request: Request) -> Response:
    """Erase the file of a photograph."""
    said = read_json(await body_of(request), EraseIn)
    session, test, seq = session_of(request), request.path_params["test"], request.path_params["entry"]
    stamped = Stamped(said.key, session.person, session.device)
    await service.do(erased, service, test, seq, said.why, stamped)
    return await _list_after(service, test)


async def _list_after(service: Service, test: str) -> Response:
    recorded = await service.do(service.book.test, test)
    service.announcer.changed(recorded.test_id)
    return answer(PhotographList(recorded.test_id, standing(recorded)))


# ---------------------------------------------------------------------------------------------- the files


async def picture(service: Service, request: Request) -> Response:
    """Show a photograph as it is kept."""
    sha256 = _asked(request)
    kept, data = await service.do(service.book.photograph, sha256)
    return _shown(request, data, kept.media_type, sha256)


async def small_picture(service: Service, request: Request) -> Response:
    """Show a photograph as small as a list wants it."""
    sha256 = _asked(request)

    def work() -> bytes:
        # Looked at every time: what was taken back, or was changed on the disk, is not shown from memory.
        kept, data = service.book.photograph(sha256)
        with _lock:
            if sha256 in _made:
                _made.move_to_end(sha256)
                return _made[sha256]
        made = smaller(data, kept.media_type, SMALL).data
        with _lock:
            _made[sha256] = made
            while len(_made) > _MOST_SMALL:
                _made.popitem(last=False)
        return made

    return _shown(request, await service.do(work), "image/jpeg", f"{sha256}-small")


_made: OrderedDict[str, bytes] = OrderedDict()
_lock = threading.Lock()


def _asked(request: Request) -> str:
    sha256: str = request.path_params["sha256"]
    if not _SHA256.match(sha256):
        raise NotInBook.of(ascii(sha256[:16]), "this names no photograph", "look at the test's photographs", "sha256")
    return sha256


def _shown(request: Request, data: bytes, media_type: str, mark: str) -> Response:
    # Asked for anew each time, so that a device that was shut out sees nothing; sent once, since it never changes.
    headers = {"cache-control": "private, no-cache", "etag": f'"{mark}"', "content-security-policy": _ALONE}
    if request.headers.get("if-none-match") == headers["etag"]:
        return Response(status_code=304, headers=headers)
    return Response(data, headers=headers, media_type=media_type)


ROUTES = (
    Route(
        "GET",
        "/api/tests/{test}/photographs",
        Who.LOOKS_ON,
        photographs,
        "The photographs of a test that stand.",
        gives=PhotographList,
    ),
    Route(
        "POST",
        "/api/tests/{test}/photographs",
        Who.ENTERS,
        keep_photograph,
        "Keep a photograph: JPEG, PNG or WebP, told by what is in it. Place, time and camera are left behind.",
        gives=PhotographKept,
        status=201,
        query=PhotographIn,
        files=KINDS,
    ),
    Route(
        "POST",
        "/api/tests/{test}/photographs/{entry:int}/sheet",
        Who.ENTERS,
        choose_photograph,
        "Choose a photograph for the hand-over sheet, or take it off.",
        takes=ForSheetIn,
        gives=PhotographList,
    ),
    Route(
        "POST",
        "/api/tests/{test}/photographs/{entry:int}/take-back",
        Who.ENTERS,
        take_back_photograph,
        "Take a photograph back: its entry stays in the record, and it is shown no more.",
        takes=BackIn,
        gives=PhotographList,
    ),
    Route(
        "POST",
        "/api/tests/{test}/photographs/{entry:int}/erase",
        Who.OWNER,
        erase_photograph,
        "Erase the file of a photograph for ever, wherever the book has it; its hash stays in the record.",
        takes=EraseIn,
        gives=PhotographList,
    ),
    Route("GET", "/photographs/{sha256}", Who.LOOKS_ON, picture),
    Route("GET", "/photographs/{sha256}/small", Who.LOOKS_ON, small_picture),
)
