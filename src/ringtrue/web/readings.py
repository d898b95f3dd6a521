"""Readings in, and tests as they stand out."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from starlette.responses import Response, StreamingResponse

from ringtrue.compression import Kind
from ringtrue.errors import InputRefused, RingtrueError
from ringtrue.shop.at_engine import add_pull, ask_oil, choose, correct_pull, withdraw
from ringtrue.shop.beginning import Beginning, begin
from ringtrue.shop.pull_said import PullSaid, Stamped
from ringtrue.web.answers import JSON, answer
from ringtrue.web.bodies import body_of, read_json, written
from ringtrue.web.live import readings
from ringtrue.web.routes import Route, Who
from ringtrue.web.service import session_of
from ringtrue.web.wire import (
    Begun,
    ChoiceIn,
    CorrectionIn,
    KeyIn,
    LiveTest,
    OilIn,
    OilOut,
    PullIn,
    Saved,
    TestIn,
    TestLine,
    TestList,
    WithdrawalIn,
)

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from starlette.requests import Request

    from ringtrue.records import Entry
    from ringtrue.web.service import Service

LOOK_AGAIN = 0.5
"""How often an open stream sees whether its session may still watch. [s]"""
STILL_HERE = 20
"""A stream without news says so after this many looks, so that a dead line is noticed."""


async def tests(service: Service, request: Request) -> Response:
    """List the tests of the book."""
    del request
    found = await service.do(service.book.tests)
    lines = [
        TestLine(
            each.test_id,
            each.header.engine if each.header else "",
            (each.header.engine_name or each.header.engine) if each.header else "damaged",
            each.header.date if each.header else "",
            each.header.by if each.header else "",
            each.readings,
            each.finished,
        )
        for each in reversed(found)
    ]
    return answer(TestList(lines))


async def begin_test(service: Service, request: Request) -> Response:
    """Open a test."""
    said = read_json(await body_of(request), TestIn)
    stamped = _stamped(request, said.key)

    test = Beginning(
        said.engine,
        said.order,
        said.by,
        said.gauge,
        said.note,
        said.conditions,
        said.run_since_build,
        said.confirmed,
    )
    return answer(Begun(await service.do_at_engine(begin, service.book, service.place, test, stamped)), 201)


async def one_test(service: Service, request: Request) -> Response:
    """Tell a test as it stands."""
    _, state = await service.do_at_engine(service.state, request.path_params["test"])
    return Response(state, headers={"cache-control": "no-store"}, media_type=JSON)


async def follow(service: Service, request: Request) -> Response:
    """Follow a test: every state of it, as it comes to stand."""
    test = (await service.do_at_engine(service.book.test, request.path_params["test"])).test_id
    token: str = request.scope["ringtrue.token"]

    async def lines() -> AsyncIterator[bytes]:
        quiet = 0
        yield b"retry: 1000\n\n"
        try:
            async for state in service.announcer.watch(test, LOOK_AGAIN):
                if service.stopping:
                    return
                if service.sessions.find(token) is None:
                    yield b"event: gone\ndata: {}\n\n"
                    return
                if state is not None:
                    yield b"event: state\ndata: " + state + b"\n\n"
                    quiet = 0
                    continue
                quiet += 1
                if quiet % STILL_HERE == 0:
                    yield b": still here\n\n"
        except (asyncio.CancelledError, RingtrueError):  # a book that cannot be read now: the page asks again
            return

    return StreamingResponse(lines(), headers={"cache-control": "no-store"}, media_type="text/event-stream")


async def add_reading(service: Service, request: Request) -> Response:
    """Put a pull into the book."""
    said = read_json(await body_of(request), PullIn)
    stamped = _stamped(request, said.key)
    pull = PullSaid(
        cylinder=said.cylinder,
        first=_written(said.first, "first"),
        final=_written(said.final, "final"),
        unit=said.unit,
        kind=said.kind,
        spoiled=said.spoiled,
        strokes=_written(said.strokes, "strokes"),
        oil=said.oil,
        drift=said.drift,
        repeat=said.repeat,
        note=said.note,
        confirmed=said.confirmed,
        oil_meant=said.oil_meant,
        at=said.at,
    )
    entry = await service.do_at_engine(add_pull, service.book, request.path_params["test"], pull, stamped)
    return await _saved(service, entry, said.key, said.cylinder, said.kind)


async def oil(service: Service, request: Request) -> Response:
    """Look at a dose of oil before anybody cranks on it."""
    said = read_json(await body_of(request), OilIn)
    await service.do_at_engine(ask_oil, service.book, request.path_params["test"], said.cylinder, said.oil)
    return answer(OilOut(said.cylinder, said.oil))


async def correct(service: Service, request: Request) -> Response:
    """Put a reading right."""
    said = read_json(await body_of(request), CorrectionIn)
    test, seq = request.path_params["test"], request.path_params["entry"]
    stamped = _stamped(request, said.key)
    pull = PullSaid(
        cylinder=said.cylinder,
        first=_written(said.first, "first"),
        final=_written(said.final, "final"),
        unit=said.unit,
        spoiled=said.spoiled,
        strokes=_written(said.strokes, "strokes"),
        confirmed=said.confirmed,
        first_from_film=said.first_from_film,
    )
    entry, row = await service.do_at_engine(correct_pull, service.book, test, seq, pull, said.why, stamped)
    return await _saved(service, entry, said.key, row.cylinder, row.kind.value)


async def take_back(service: Service, request: Request) -> Response:
    """Take a reading back."""
    said = read_json(await body_of(request), WithdrawalIn)
    test, seq = request.path_params["test"], request.path_params["entry"]
    await service.do_at_engine(withdraw, service.book, test, seq, said.why, _stamped(request, said.key))
    return await _state_after(service, test)


async def choose_reading(service: Service, request: Request) -> Response:
    """
    Settle which of several readings of a cylinder stands.

    Raises
    ------
    InputRefused
        The kind is none.
    """
    said = read_json(await body_of(request), ChoiceIn)
    test = request.path_params["test"]
    if said.kind not in {"dry", "wet"}:
        raise InputRefused.of(f"“{said.kind}”", "a pull is dry or wet", "write dry or wet", "kind")
    stamped = _stamped(request, said.key)
    await service.do_at_engine(choose, service.book, test, said.cylinder, Kind(said.kind), said.keep, stamped)
    return await _state_after(service, test)


async def finish(service: Service, request: Request) -> Response:
    """Say that a test is done."""
    said = read_json(await body_of(request), KeyIn)
    test, stamped = request.path_params["test"], _stamped(request, said.key)

    def work() -> None:
        service.book.finish(test, key=stamped.key, who=stamped.who, device=stamped.device)

    await service.do_at_engine(work)
    return await _state_after(service, test)


def _stamped(request: Request, key: str) -> Stamped:
    session = session_of(request)
    return Stamped(key, session.person, session.device)


def _written(figure: str | float, field: str) -> str:
    try:
        return written(figure)
    except InputRefused as error:
        raise error.at(field) from None


async def _saved(service: Service, entry: Entry, key: str, cylinder: str, kind: str) -> Response:
    service.announcer.changed(entry.chain, entry)
    recorded = await service.do_at_engine(service.book.latest, entry.chain, entry)
    mine = [row for row in readings(recorded) if row.cylinder == cylinder and row.kind == kind and not row.drift]
    numbers = [row.repeat or 1 for row in mine if row.final]
    return answer(Saved(entry.chain, entry.seq, key, len(set(numbers)) < len(numbers), mine), 201)


async def _state_after(service: Service, test: str) -> Response:
    recorded = await service.do_at_engine(service.book.test, test)
    service.announcer.changed(recorded.test_id)
    _, state = await service.do_at_engine(service.state, recorded.test_id)
    return Response(state, headers={"cache-control": "no-store"}, media_type=JSON)


ROUTES = (
    Route("GET", "/api/tests", Who.LOOKS_ON, tests, "The tests of the book, the latest first.", gives=TestList),
    Route("POST", "/api/tests", Who.ENTERS, begin_test, "Begin a test.", takes=TestIn, gives=Begun, status=201),
    Route("GET", "/api/tests/{test}", Who.LOOKS_ON, one_test, "A test as it stands.", gives=LiveTest),
    Route(
        "GET",
        "/api/tests/{test}/events",
        Who.LOOKS_ON,
        follow,
        "Follow a test: a stream of server-sent events `state`, each a LiveTest; `gone` when the session is revoked.",
        stream=True,
    ),
    Route(
        "POST",
        "/api/tests/{test}/readings",
        Who.ENTERS,
        add_reading,
        "Put a pull into the book. The same key with the same words is acknowledged again and written once.",
        takes=PullIn,
        gives=Saved,
        status=201,
    ),
    Route(
        "POST",
        "/api/tests/{test}/oil",
        Who.ENTERS,
        oil,
        "Look at a dose of oil before anybody cranks on it: refused as its wet pull would be. Nothing is written.",
        takes=OilIn,
        gives=OilOut,
    ),
    Route(
        "POST",
        "/api/tests/{test}/readings/{entry:int}/correct",
        Who.ENTERS,
        correct,
        "Put a reading right: a new entry that names the one it replaces.",
        takes=CorrectionIn,
        gives=Saved,
        status=201,
    ),
    Route(
        "POST",
        "/api/tests/{test}/readings/{entry:int}/take-back",
        Who.ENTERS,
        take_back,
        "Take a reading back: it stays in the record and stands no more.",
        takes=WithdrawalIn,
        gives=LiveTest,
    ),
    Route(
        "POST",
        "/api/tests/{test}/choose",
        Who.ENTERS,
        choose_reading,
        "Settle which of several readings of a cylinder stands.",
        takes=ChoiceIn,
        gives=LiveTest,
    ),
    Route(
        "POST",
        "/api/tests/{test}/finish",
        Who.ENTERS,
        finish,
        "Say that a test is done; a reading that comes late is still taken.",
        takes=KeyIn,
        gives=LiveTest,
    ),
)
