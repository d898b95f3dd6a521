"""What goes back: JSON, refusals, and the status that each kind of refusal has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.responses import Response

from ringtrue.errors import (
    BookFull,
    BookUnusable,
    CannotWrite,
    NotInBook,
    RingtrueError,
)
from ringtrue.shop.pull_said import Doubtful
from ringtrue.web.page_words import on_a_page
from ringtrue.web.wire import Fault, Refused, encode

if TYPE_CHECKING:
    from msgspec import Struct

JSON = "application/json"

GONE, REFUSED, FULL, UNUSABLE = 404, 422, 507, 503


def answer(body: Struct | dict[str, object] | list[object], status: int = 200) -> Response:
    """
    Answer with JSON.

    Parameters
    ----------
    body : Struct, dict or list
        What is said.
    status : int
        HTTP status.

    Returns
    -------
    Response
        Never kept by a browser.
    """
    return Response(encode(body), status, {"cache-control": "no-store"}, JSON)


def status_of(error: RingtrueError) -> int:
    """
    Return the HTTP status of a refusal.

    Parameters
    ----------
    error : RingtrueError
        Why something was not done.

    Returns
    -------
    int
        404 not in the book, 422 cannot be used, 507 no room, 503 the book cannot be used now.
    """
    if isinstance(error, NotInBook):
        return GONE
    if isinstance(error, BookFull | CannotWrite):
        return FULL
    return UNUSABLE if isinstance(error, BookUnusable) else REFUSED


def refusal(error: RingtrueError) -> Response:
    """
    Answer with why something was not done.

    Parameters
    ----------
    error : RingtrueError
        Why.

    Returns
    -------
    Response
        Every fault with its field.
    """
    told = [on_a_page(each) for each in error.faults]
    faults = [Fault(each.given, each.why, each.instead, each.where) for each in told]
    return answer(Refused("\n".join(map(str, told)), faults, isinstance(error, Doubtful)), status_of(error))
