"""One table of every way in, and who may use it."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from msgspec import Struct
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.service import Service

Handler = Callable[["Service", "Request"], Awaitable["Response"]]


class Who(IntEnum):
    """Who may come in; each may do what those before may."""

    ANYBODY = 0
    LOOKS_ON = 1
    ENTERS = 2
    OWNER = 3


ROLES = {Who.LOOKS_ON: "looks on", Who.ENTERS: "enters readings", Who.OWNER: "owner"}
"""What each role is called."""


@dataclass(frozen=True, slots=True)
class Route:
    """
    One way in.

    Parameters
    ----------
    method : str
        GET or POST.
    path : str
        As starlette writes it, for example ``/api/tests/{test}``.
    who : Who
        Who may use it.
    handler : callable
        Takes the service and the request.
    summary : str
        What it does, for the description of the interface; empty for a page.
    takes, gives : type or None
        Types of `ringtrue.web.wire`; None where there is no JSON.
    status : int
        Of success.
    stream : bool
        It stays open; only a page of this server may follow it, or a program.
    query : type or None
        What is said in the address, as a type of the interface.
    files : tuple of str
        Media types of the file that is its body; empty where that is JSON, or nothing.
    """

    method: str
    path: str
    who: Who
    handler: Handler
    summary: str = ""
    takes: type[Struct] | None = None
    gives: type[Struct] | None = None
    status: int = 200
    stream: bool = False
    query: type[Struct] | None = None
    files: tuple[str, ...] = ()
