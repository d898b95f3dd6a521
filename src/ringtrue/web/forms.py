"""What a form sends: read strictly, kept as typed, and shown again beside what is wrong with it."""

from __future__ import annotations

import re
import secrets
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from ringtrue.errors import Fault, InputRefused, RingtrueError
from ringtrue.shop.pull_said import Doubtful, Stamped
from ringtrue.web.bodies import LARGEST, body_of
from ringtrue.web.page_words import on_a_page
from ringtrue.web.service import session_of

if TYPE_CHECKING:
    from starlette.requests import Request

MOST_FIELDS = 600
"""No form has more: an engine of 64 cylinders measured in every dimension. [-]"""
_KEY = re.compile(r"[A-Za-z0-9_-]{16,80}\Z")


def new_key() -> str:
    """
    Make the key of a form: however often the form is sent, what it says is written once.

    Returns
    -------
    str
        192 bits.
    """
    return secrets.token_urlsafe(24)


@dataclass(frozen=True, slots=True)
class Form:
    """
    A form as it was filled in.

    Parameters
    ----------
    said : mapping of str to tuple of str
        What was typed, by field.
    faults : tuple of Fault
        What is wrong with it; ``where`` is the field.
    key : str
        Of this form.
    doubtful : bool
        Nothing is wrong but figures that are hard to believe: they are taken once they are said to be meant.
    """

    said: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    key: str = field(default_factory=new_key)
    doubtful: bool = False

    @property
    def asks_whether_meant(self) -> bool:
        """It has a question of its own for figures that are hard to believe, or was answered it already."""
        return self.doubtful or self.text("confirmed") == "yes"

    def text(self, name: str, usual: str = "") -> str:
        """
        Return what stands in a field.

        Parameters
        ----------
        name : str
            The field.
        usual : str
            What stands there before anything was typed.

        Returns
        -------
        str
            As typed.
        """
        return self.said[name][0] if self.said.get(name) else usual

    def every(self, name: str) -> tuple[str, ...]:
        """
        Return what was ticked.

        Parameters
        ----------
        name : str
            The field.

        Returns
        -------
        tuple of str
            As sent.
        """
        return self.said.get(name, ())

    def faults_of(self, name: str) -> tuple[Fault, ...]:
        """
        Return what is wrong with a field.

        Parameters
        ----------
        name : str
            The field.

        Returns
        -------
        tuple of Fault
            Empty when nothing.
        """
        return tuple(each for each in self.faults if each.where == name)

    def refused(self, error: RingtrueError, fields: Collection[str], names: Mapping[str, str] | None = None) -> Form:
        """
        Return the same form with what is wrong beside its fields.

        Parameters
        ----------
        error : RingtrueError
            What is wrong.
        fields : collection of str
            The fields there are.
        names : mapping of str to str
            Fields by the names that faults may give them.

        Returns
        -------
        Form
            A fault whose field is not there stands above the form.
        """
        known = dict(names or {}) | {name: name for name in fields}
        told = tuple(_placed(on_a_page(fault), known) for fault in error.faults)
        return replace(self, faults=told, doubtful=isinstance(error, Doubtful))

    def anew(self) -> Form:
        """
        Return the same form with a new key, for what its old key has already written.

        Returns
        -------
        Form
            To be sent again only if it is meant to be written a second time.
        """
        return replace(self, key=new_key())

    def stamped(self, request: Request) -> Stamped:
        """
        Return who writes, on which device, under the key of this form.

        Parameters
        ----------
        request : Request
            The request that sent it.

        Returns
        -------
        Stamped
            For the record book.
        """
        me = session_of(request)
        return Stamped(self.key, me.person, me.device)


def _placed(fault: Fault, known: Mapping[str, str]) -> Fault:
    parts = [fault.where, *re.split(r"[,\s]+", fault.where), *re.split(r"[,\s.]+", fault.where)[::-1]]
    for part in parts:
        name = part.strip().removeprefix("--").replace("-", "_").strip(".:“”\"'")
        if part.strip() in known or name in known:
            return replace(fault, where=known.get(part.strip()) or known[name])
    return fault


async def read_form(request: Request, many: Collection[str] = (), largest: int = LARGEST) -> Form:
    """
    Read what a form has sent.

    Parameters
    ----------
    request : Request
        The request.
    many : collection of str
        Fields of which several may be ticked.
    largest : int
        [byte]

    Returns
    -------
    Form
        Line ends as a text file has them; blanks round a text taken off.

    Raises
    ------
    InputRefused
        It is no form, is too long, or has a field twice.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/x-www-form-urlencoded":
        raise InputRefused.of(f"“{kind[:60]}”", "this is no form of these pages", "fill in the form and send it")
    try:
        raw = (await body_of(request, largest)).decode("ascii")
        pairs = parse_qsl(raw, keep_blank_values=True, errors="strict", max_num_fields=MOST_FIELDS)
    except ValueError:
        raise InputRefused.of("", "this form cannot be read", "load its page again and fill it in") from None
    said: dict[str, list[str]] = {}
    for name, text in pairs:
        if name in said and name not in many:
            raise InputRefused.of(f"“{name}”", "it stands in this form twice", "only one of them can be meant", name)
        said.setdefault(name, []).append(text.replace("\r\n", "\n").replace("\r", "\n").strip())
    key = said.pop("key", [""])[0]
    if not _KEY.match(key):
        raise InputRefused.of("", "this form has no key of its own", "load its page again and fill it in", "key")
    return Form({name: tuple(texts) for name, texts in said.items()}, (), key)


def filled(values: Mapping[str, str] | Iterable[tuple[str, str]]) -> Form:
    """
    Make a form that is filled in already.

    Parameters
    ----------
    values : mapping or pairs of str
        What stands in each field.

    Returns
    -------
    Form
        With a key of its own.
    """
    return Form({name: (text,) for name, text in dict(values).items() if text})
