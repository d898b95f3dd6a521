"""The door: who is invited, who knocks, and who is let in by the owner."""

from __future__ import annotations

import hmac
import re
import secrets
import threading
import time
from dataclasses import dataclass, field
from enum import StrEnum

from ringtrue.web.routes import Who
from ringtrue.web.sessions import MINUTES_OF_A_SECRET, PREFIX, Sessions, hashed

WRONG_CODES = 5
"""After so many wrong ones a code that is typed is void. [-]"""
LASTS = 60.0 * MINUTES_OF_A_SECRET
"""So long an invitation is good, and so long who knocks waits. [s]"""
CODE_DIGITS = 8
"""Five guesses at eight digits find one in twenty million codes. [-]"""
_BETWEEN = re.compile(r"[\s-]+")


class State(StrEnum):
    """How it stands with a device that asked to be let in."""

    WAITING = "waiting"
    LET_IN = "let in"
    REFUSED = "refused"
    TOO_LATE = "too late"


@dataclass(slots=True)
class Invitation:
    """
    What the owner shows to one device.

    Parameters
    ----------
    secret : str
        In the picture that a phone reads: 256 bits, spent once.
    code : str
        For who types it.
    until : float
        On the monotonic clock. [s]
    wrong : int
        Wrong codes so far.
    """

    secret: str
    code: str
    until: float
    wrong: int = 0

    @property
    def code_is_void(self) -> bool:
        """Too many wrong ones were typed."""
        return self.wrong >= WRONG_CODES

    @property
    def seconds(self) -> int:
        """How long it still lasts, in seconds."""
        return max(0, round(self.until - time.monotonic()))


@dataclass(slots=True)
class Knock:
    """
    A device that waits to be let in.

    Parameters
    ----------
    name : str
        To tell it by; no secret.
    person, device : str
        As it says.
    number : str
        Shown on both screens.
    hashed : str
        Of its ticket.
    until : float
        On the monotonic clock. [s]
    state : State
        How it stands.
    role : Who
        What it may do once it is let in.
    """

    name: str
    person: str
    device: str
    number: str
    hashed: str
    until: float
    state: State = State.WAITING
    role: Who = Who.ANYBODY


@dataclass(slots=True)
class Heard:
    """
    What a device that knocks is told.

    Parameters
    ----------
    state : State
        How it stands.
    ticket : str
        With which it asks again; told once.
    number : str
        Shown on both screens.
    token : str
        Of its session; told once, when it is let in.
    knock : Knock or None
        Who it is.
    """

    state: State
    ticket: str = ""
    number: str = ""
    token: str = ""
    knock: Knock | None = field(default=None, repr=False)


class Door:
    """
    Lets devices in, one at a time, each by the owner's own hand.

    Parameters
    ----------
    sessions : Sessions
        Where those are kept that are in.

    Notes
    -----
    Everything here lives in memory and on the monotonic clock: a new start, or a clock set otherwise, opens nothing.
    """

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions
        self._lock = threading.Lock()
        self._invitation: Invitation | None = None
        self._knocks: dict[str, Knock] = {}

    @property
    def invitation(self) -> Invitation | None:
        """The invitation that is still good."""
        made = self._invitation
        return made if made is not None and time.monotonic() < made.until else None

    def invite(self) -> Invitation:
        """
        Make an invitation; an earlier one is void.

        Returns
        -------
        Invitation
            To be shown to one device.
        """
        code = f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}d}"
        made = Invitation(PREFIX + secrets.token_urlsafe(32), code, time.monotonic() + LASTS)
        with self._lock:
            self._invitation = made
        return made

    def take_back(self) -> None:
        """Make the invitation void."""
        with self._lock:
            self._invitation = None

    def knock(self, secret: str, code: str, person: str, device: str) -> Heard | None:
        """
        Knock, with the secret of the picture or the code that was typed; either is spent by it.

        Parameters
        ----------
        secret, code : str
            One of them; the other is empty.
        person, device : str
            Who uses it, and what it is called.

        Returns
        -------
        Heard or None
            The ticket to ask with, and the number to show; None where it opens nothing.
        """
        with self._lock:
            made = self.invitation
            if made is None or not (_is(secret, made.secret) if secret else self._typed(made, code)):
                return None
            self._invitation = None
            ticket = PREFIX + secrets.token_urlsafe(32)
            taken = {each.number for each in self.waiting()}
            number = next(n for n in iter(_number, "") if n not in taken)
            knock = Knock(secrets.token_hex(6), person, device, number, hashed(ticket), time.monotonic() + LASTS)
            self._knocks[knock.name] = knock
        return Heard(State.WAITING, ticket, number, knock=knock)

    @staticmethod
    def _typed(made: Invitation, code: str) -> bool:
        if made.code_is_void:
            return False
        if _is(_BETWEEN.sub("", code), made.code):
            return True
        made.wrong += 1
        return False

    def hear(self, ticket: str) -> Heard:
        """
        Tell a device that knocked how it stands.

        Parameters
        ----------
        ticket : str
            Its ticket.

        Returns
        -------
        Heard
            Once it is let in, with the token of its session; the ticket is spent by that.
        """
        given = hashed(ticket)
        with self._lock:
            self._forget_old()
            knock = next((each for each in self._knocks.values() if hmac.compare_digest(each.hashed, given)), None)
            if knock is None:
                return Heard(State.TOO_LATE)
            if knock.state is State.WAITING:
                return Heard(State.WAITING, number=knock.number, knock=knock)
            del self._knocks[knock.name]
        if knock.state is State.REFUSED:
            return Heard(State.REFUSED)
        token = self._sessions.admit(knock.person, knock.device, knock.role)
        return Heard(State.LET_IN, token=token, knock=knock)

    def waiting(self) -> tuple[Knock, ...]:
        """
        Return who waits to be let in.

        Returns
        -------
        tuple of Knock
            In the order in which they knocked.
        """
        now = time.monotonic()
        return tuple(each for each in self._knocks.values() if each.state is State.WAITING and now < each.until)

    def answer(self, name: str, role: Who | None) -> Knock | None:
        """
        Let a device in, or refuse it.

        Parameters
        ----------
        name : str
            Of its knock.
        role : Who or None
            What it may do; None refuses it.

        Returns
        -------
        Knock or None
            Who it was; None where nobody of that name waits any longer.
        """
        with self._lock:
            knock = next((each for each in self.waiting() if each.name == name), None)
            if knock is None:
                return None
            knock.state = State.REFUSED if role is None else State.LET_IN
            knock.role = role or Who.ANYBODY
            knock.until = time.monotonic() + LASTS
        return knock

    def _forget_old(self) -> None:
        now = time.monotonic()
        self._knocks = {name: each for name, each in self._knocks.items() if now < each.until}


def _is(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "surrogatepass"), wanted.encode())


def _number() -> str:
    return str(secrets.randbelow(900) + 100)
