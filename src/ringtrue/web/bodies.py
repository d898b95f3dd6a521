"""What comes in, read strictly: JSON without doubles, numbers as they were written, no field that nobody knows."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, TypeVar

import msgspec

from ringtrue.errors import InputRefused
from ringtrue.units import number_from_cell

if TYPE_CHECKING:
    from starlette.requests import Request

LARGEST = 64 * 1024
"""No request but a file is longer. [byte]"""

T = TypeVar("T")


async def body_of(request: Request, largest: int = LARGEST) -> bytes:
    """
    Read a request's body, and stop where it becomes too long.

    Parameters
    ----------
    request : Request
        The request.
    largest : int
        [byte]

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    InputRefused
        It is longer.
    """
    parts, length = [], 0
    async for part in request.stream():
        length += len(part)
        if length > largest:
            raise InputRefused.of("", f"this is longer than {largest} bytes", "send less at a time")
        parts.append(part)
    return b"".join(parts)


def read_json(raw: bytes, kind: type[T]) -> T:
    """
    Read JSON into one of the types of `ringtrue.web.wire`.

    Parameters
    ----------
    raw : bytes
        What came.
    kind : type
        What it should be.

    Returns
    -------
    object
        Of that type.

    Raises
    ------
    InputRefused
        It is not JSON, has a name twice, an unknown field, or something that is not what it should be; the fault names
        the field.
    """
    try:
        # Python's reader hands every pair over, so that a name that stands twice is seen.
        plain = json.loads(raw.decode("utf-8"), object_pairs_hook=_once, parse_constant=_no_number)
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError, ValueError) as error:
        said = getattr(error, "msg", "") or "it cannot be read"
        raise InputRefused.of("", f"this is no JSON ({said})", "send a JSON object") from None
    try:
        return msgspec.convert(plain, kind, strict=True)
    except msgspec.ValidationError as error:
        said, _, where = str(error).partition(" - at ")
        field = where.strip("`").removeprefix("$.").removeprefix("$")
        raise InputRefused.of("", said, "see the description of the interface, /api/openapi.json", field) from None


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for name, value in pairs:
        if name in found:
            raise InputRefused.of(f"“{name}”", "it stands there twice", "only one of them can be meant", name)
        found[name] = value
    return found


def _no_number(text: str) -> object:
    raise InputRefused.of(f"“{text}”", "that is no figure", "leave it empty where nothing was seen")


def written(figure: str | float) -> str:
    """
    Return a figure as it is read by the one parser of numbers.

    Parameters
    ----------
    figure : str, int or float
        As it came.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    InputRefused
        It is no figure that can be written.
    """
    return figure if isinstance(figure, str) else number_from_cell(figure)[1]
