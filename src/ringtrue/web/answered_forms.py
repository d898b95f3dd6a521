"""What forms were answered with, kept for a while: the way back to it asks nobody to send the form again."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from dataclasses import dataclass
from http import HTTPStatus
from typing import TYPE_CHECKING
from urllib.parse import quote

from starlette.responses import HTMLResponse, Response

from ringtrue.web.answers import REFUSED

if TYPE_CHECKING:
    from collections.abc import Collection

    from starlette.requests import Request

ASKED = "answered"
"""Under this name an address tells which answer it shows."""
MOST_KEPT = 64
"""So many are kept in memory; the oldest goes first, and its address then shows the form empty. [-]"""
MOST_BYTES = 64 * 1024 * 1024
"""So much they may weigh together, for a form may hold a whole notebook. [byte]"""


@dataclass(frozen=True, slots=True)
class _Kept:
    whose: str
    path: str
    status: int
    body: bytes


class AnsweredForms:
    """
    The pages with which forms were refused, or looked at, each for the device that sent it.

    Parameters
    ----------
    shown_at : collection of str
        Ways in, as their routes are written, that show a page; what is sent to others is answered at once.
    """

    def __init__(self, shown_at: Collection[str]) -> None:
        self._shown_at = frozenset(shown_at)
        self._kept: OrderedDict[str, _Kept] = OrderedDict()
        self._weight = 0
        self._keeping = threading.Lock()

    def keep(self, request: Request, route: str, answer: Response) -> Response:
        """
        Keep the page that answers a form, and send the browser on to it.

        Parameters
        ----------
        request : Request
            What was sent.
        route : str
            The way in, as its route is written.
        answer : Response
            What it was answered with.

        Returns
        -------
        Response
            303 to an address that shows the page; the answer itself where it is no page.
        """
        whose = request.scope.get("ringtrue.token", "")
        by_browser = "text/html" in request.headers.get("accept", "")
        page = answer.status_code in {HTTPStatus.OK, REFUSED} and answer.media_type == HTMLResponse.media_type
        if not whose or not page or not by_browser or route not in self._shown_at:
            return answer
        name = secrets.token_urlsafe(16)
        with self._keeping:
            self._kept[name] = _Kept(whose, request.scope["path"], answer.status_code, bytes(answer.body))
            self._weight += len(answer.body)
            while len(self._kept) > MOST_KEPT or (self._weight > MOST_BYTES and len(self._kept) > 1):
                self._weight -= len(self._kept.popitem(last=False)[1].body)
        at = f"{quote(request.scope['path'], safe='/~')}?{ASKED}={name}"
        return Response(None, 303, {"location": at, "cache-control": "no-store"})

    def shown(self, request: Request) -> Response | None:
        """
        Show an answer again.

        Parameters
        ----------
        request : Request
            Who asks for what.

        Returns
        -------
        Response or None
            None where the address asks for none, where it is kept no more, or was sent by another device.
        """
        kept = self._kept.get(request.query_params.get(ASKED, ""))
        if kept is None or (kept.whose, kept.path) != (request.scope.get("ringtrue.token"), request.scope["path"]):
            return None
        return HTMLResponse(kept.body, kept.status, {"cache-control": "no-store"})
