"""The texts of a sheet: made fit to be shown, and gone through."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import StrEnum
from typing import Any, TypeVar, cast

T = TypeVar("T")

_KEPT = {"\u200c", "\u200d"}  # joiners: without them names in some scripts are spelled wrongly
_DROPPED = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
REPLACEMENT = "\ufffd"
"""Stands where a character cannot be shown."""


def shown(text: str) -> str:
    r"""
    Make a text fit to be shown on a line.

    Parameters
    ----------
    text : str
        As somebody wrote it.

    Returns
    -------
    str
        Blanks, tabs and line ends are one blank; what has no shape, or turns the order of letters around, is a
        replacement character, so that nothing on a signed sheet reads otherwise than it is.

    Examples
    --------
    >>> shown("left  bank\nnew")
    'left bank new'
    """
    line = " ".join(text.split())
    return "".join(
        REPLACEMENT if unicodedata.category(each) in _DROPPED and each not in _KEPT else each for each in line
    )


_HOW_SHOWN = {"align", "style", "span", "date"}  # fields that say how something is shown, and stand nowhere


def texts(thing: object) -> Iterator[str]:
    """
    Go through every text of a sheet.

    Parameters
    ----------
    thing : SheetContent or a part of one
        The sheet.

    Yields
    ------
    str
        Each text that is not empty, in the order in which it stands there.
    """
    if isinstance(thing, str):
        if thing and not isinstance(thing, StrEnum):
            yield thing
    elif isinstance(thing, tuple):
        for each in thing:
            yield from texts(each)
    elif is_dataclass(thing):
        for part in fields(thing):
            if part.name not in _HOW_SHOWN:
                yield from texts(getattr(thing, part.name))


def cleaned(content: T) -> T:
    """
    Make every text of a sheet fit to be shown.

    Parameters
    ----------
    content : SheetContent or a part of one
        As it was put together.

    Returns
    -------
    SheetContent or a part of one
        The same with every text as `shown` leaves it.
    """
    return cast("T", _cleaned(content))


def _cleaned(thing: Any) -> Any:  # noqa: ANN401 - any part of a sheet
    if isinstance(thing, StrEnum):
        return thing
    if isinstance(thing, str):
        return shown(thing)
    if isinstance(thing, tuple):
        return tuple(_cleaned(each) for each in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(thing, **{each.name: _cleaned(getattr(thing, each.name)) for each in fields(thing)})
    return thing
