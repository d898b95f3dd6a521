"""The server's certificate made anew while the server runs, so that one that is never stopped does not outlive it."""

from __future__ import annotations

import asyncio
import datetime as dt
import ssl
from typing import TYPE_CHECKING

from ringtrue.errors import RingtrueError
from ringtrue.web.certificates import RENEWED_BEFORE, certified

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from ringtrue.web.service import Service

LOOKED_AT_EVERY = 3600.0
"""So often it is looked at how long the certificate lasts. [s]"""


class Renewal:
    """
    The certificate of a running server, and what makes it anew.

    Parameters
    ----------
    service : Service
        The server, whose authority the pages tell of.
    folder : Path
        Where keys and certificates are kept.
    names : iterable of str
        Names and addresses that it is for.
    tell : callable
        Takes a sentence for who sits at the terminal.
    """

    def __init__(self, service: Service, folder: Path, names: Iterable[str], tell: Callable[[str], None]) -> None:
        self._service = service
        self._folder = folder
        self._names = tuple(names)
        self._tell = tell
        self._told = ""

    def look(self, context: ssl.SSLContext, now: dt.datetime | None = None) -> bool:
        """
        Make the certificate anew if it is about to run out, and show the new one from the next connection on.

        Parameters
        ----------
        context : SSLContext
            What the server answers with. Connections that are open stay as they are.
        now : datetime or None
            The time; None asks the clock.

        Returns
        -------
        bool
            True where a new one is shown. What stops it is told once, and tried again at the next look.
        """
        now = now or dt.datetime.now(dt.UTC)
        before = self._service.authority
        # Files that another server on this PC has made anew are left alone until this one's own are about to run out.
        if before is None or before.until - now >= RENEWED_BEFORE:
            return False
        try:
            made = certified(self._folder, self._names, now)
            # First where nobody asks: a key that does not fit its certificate would leave the server with neither.
            ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(made.chain, made.key)
            context.load_cert_chain(made.chain, made.key)
        except (RingtrueError, OSError) as error:  # SSLError is one of the latter
            self._tell_once(f"The certificate runs out on {before.until:%Y-%m-%d} and could not be made anew: {error}")
            return False
        self._service.authority = made
        self._told = ""
        if made.fingerprint != before.fingerprint:
            self._tell("The certificate authority was made anew. Every phone has to be told to trust it: see /trust.")
        return True

    def _tell_once(self, said: str) -> None:
        if said != self._told:
            self._told = said
            self._tell(said)

    async def keep_looking(self, context: ssl.SSLContext) -> None:
        """
        Look every now and then, until the server stops.

        Parameters
        ----------
        context : SSLContext
            What the server answers with.
        """
        while True:
            await asyncio.sleep(LOOKED_AT_EVERY)
            self.look(context)  # between two connections: whoever is shaking hands has taken his copy
