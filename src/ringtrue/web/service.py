"""What every way in needs: the shop's place, its open record book, who may come in, and whom to tell."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, TypeVar

from anyio import CapacityLimiter, move_on_after, to_thread

from ringtrue.web.announcer import Announcer
from ringtrue.web.answered_forms import AnsweredForms
from ringtrue.web.door import Door
from ringtrue.web.live import live
from ringtrue.web.wire import encode

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.requests import Request

    from ringtrue.intake import Settings
    from ringtrue.records import Book, Entry
    from ringtrue.shop.workplace import Workplace
    from ringtrue.web.certificates import Authority
    from ringtrue.web.routes import Route
    from ringtrue.web.sessions import Session, Sessions

T = TypeVar("T")

AT_ONCE = 4
"""
So many readings, and so many pages, are worked on at once; others wait. Python does one thing at a time: where forty
take turns, most of the time goes to the turns, and screens that are told of readings get the fewest.
"""
PATIENCE_S = 0.3
"""So long a reading waits for a place: of a book that is held nobody is told much later than the first. [s]"""
MOST_KEPT = 64
"""So many tests as they stand are kept in memory; nobody looks at more at once."""


class Service:
    """
    One running server.

    Parameters
    ----------
    place : Workplace
        Settings and book.
    book : Book
        The record book, open.
    sessions : Sessions
        Who may come in.
    origins : frozenset of str
        The addresses under which this server is reached, each with its scheme and port: ``http://127.0.0.1:8417``.
    secure : bool
        It is served over https.
    addresses : tuple of str
        Those of the origins that a device in the network is sent to, the likeliest first; none when only this machine
        is served.
    authority : Authority or None
        Whose certificate is served, over https.

    Attributes
    ----------
    door : Door
        Lets devices in.
    routes : tuple of Route
        Every way in; set where the server is put together.
    answered_forms : AnsweredForms
        What forms were answered with, to go back to; set where the server is put together.
    stopping : bool
        The server is being stopped; open streams end.
    """

    def __init__(
        self,
        place: Workplace,
        book: Book,
        sessions: Sessions,
        origins: frozenset[str],
        *,
        secure: bool = False,
        addresses: tuple[str, ...] = (),
        authority: Authority | None = None,
    ) -> None:
        self.place = place
        self.book = book
        self.sessions = sessions
        self.origins = origins
        self.secure = secure
        self.addresses = addresses
        self.authority = authority
        self.routes: tuple[Route, ...] = ()
        self.answered_forms = AnsweredForms(())
        self.stopping = False
        self.door = Door(sessions)
        self.announcer = Announcer(self.state, book.heads)
        self._states: dict[str, tuple[str, Settings, bytes]] = {}
        self._keeping = threading.Lock()
        self._pages = CapacityLimiter(AT_ONCE)
        self._readings = CapacityLimiter(AT_ONCE)

    def state(self, test_id: str, having: Entry | None = None) -> tuple[str, bytes]:
        """
        Work out a test as it stands.

        Parameters
        ----------
        test_id : str
            The test.
        having : Entry or None
            An entry that this server wrote just now, as in `Book.latest`.

        Returns
        -------
        (str, bytes)
            The last hash of its chain, and a `ringtrue.web.wire.LiveTest` as JSON.
        """
        settings = self.place.settings
        recorded = self.book.latest(test_id, having)
        # Nothing but the entries and the settings goes into it: it is worked out once for each head.
        kept = self._states.get(recorded.test_id)
        if kept is not None and kept[:2] == (recorded.head, settings):
            return recorded.head, kept[2]
        made = encode(live(recorded, settings.limits, settings.pressure))
        with self._keeping:
            self._states.pop(recorded.test_id, None)
            self._states[recorded.test_id] = (recorded.head, settings, made)
            if len(self._states) > MOST_KEPT:
                del self._states[next(iter(self._states))]
        return recorded.head, made

    async def do(self, work: Callable[..., T], *arguments: object) -> T:
        """
        Do what waits for a disk, without stopping anybody else.

        Parameters
        ----------
        work : callable
            What.
        *arguments
            What it takes.

        Returns
        -------
        object
            What it returns.
        """
        return await to_thread.run_sync(work, *arguments, limiter=self._pages)

    async def do_at_engine(self, work: Callable[..., T], *arguments: object) -> T:
        """
        Do what somebody waits for at an engine: readings have places of their own, so that no page is before them.

        Parameters
        ----------
        work : callable
            What; it is short.
        *arguments
            What it takes.

        Returns
        -------
        object
            What it returns.
        """
        mine, waited_for = object(), False
        with move_on_after(PATIENCE_S):
            await self._readings.acquire_on_behalf_of(mine)
            waited_for = True
        try:
            return await to_thread.run_sync(work, *arguments)
        finally:
            if waited_for:
                self._readings.release_on_behalf_of(mine)


def session_of(request: Request) -> Session:
    """
    Return who asks; the way in has been found open to him.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Session
        Person, device and role.
    """
    session: Session = request.scope["ringtrue.session"]
    return session
