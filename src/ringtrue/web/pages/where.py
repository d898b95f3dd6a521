"""Where pages are: addresses of engines and tests, and the ways on from each."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import quote

from ringtrue.web.page import FIRST, Frame, Way
from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from starlette.requests import Request

    from ringtrue.records import Book, EngineInBook, Recorded

_HARD = re.compile(r"[~/\\]|^\.+$")
_SOFT = re.compile(r"~([0-9A-F]{2})")


def engine_path(key: str, page: str = "") -> str:
    """
    Return the address of a page about an engine.

    Parameters
    ----------
    key : str
        The engine's reference, else its name.
    page : str
        Which page; empty for the engine's own.

    Returns
    -------
    str
        A stroke or a dot in a name, which an address would take for a folder, is written as ~2F or ~2E.

    Examples
    --------
    >>> engine_path("12/4 left", "plan")
    '/engines/12~2F4%20left/plan'
    """
    return _path("engines", key, page)


def gauge_path(name: str, page: str = "") -> str:
    """
    Return the address of a page about a gauge.

    Parameters
    ----------
    name : str
        What the shop calls it.
    page : str
        Which page; empty for the gauge's own.

    Returns
    -------
    str
        Written as in `engine_path`.
    """
    return _path("gauges", name, page)


def _path(folder: str, name: str, page: str) -> str:
    written = _HARD.sub(lambda found: "".join(f"~{ord(each):02X}" for each in found[0]), name)
    return f"/{folder}/{quote(written, safe='~')}" + (f"/{page}" if page else "")


def gauge_asked(request: Request) -> str:
    """
    Return the gauge that a page is about.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    str
        What the shop calls it.
    """
    return _SOFT.sub(lambda found: chr(int(found[1], 16)), request.path_params["gauge"])


def engine_asked(request: Request) -> str:
    """
    Return the engine that a page is about.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    str
        Reference or name.
    """
    written: str = request.path_params["engine"]
    return _SOFT.sub(lambda found: chr(int(found[1], 16)), written)


def find_engine(book: Book, named: str) -> EngineInBook:
    """
    Find an engine of the book.

    Parameters
    ----------
    book : Book
        The record book.
    named : str
        Reference or name.

    Returns
    -------
    EngineInBook
        The engine.

    Raises
    ------
    NotInBook
        The book does not know it.
    """
    return book.engine(named)


def engine_frame(engine: EngineInBook, title: str) -> Frame:
    """
    Frame a page about an engine.

    Parameters
    ----------
    engine : EngineInBook
        The engine.
    title : str
        Which page.

    Returns
    -------
    Frame
        With the ways on.
    """
    name = engine.name or engine.key
    home = Way(engine_path(engine.key), name)
    ways = (
        Way(engine_path(engine.key), "The engine"),
        Way(engine_path(engine.key, "plan"), "Plan and begin a test", Who.ENTERS),
        Way(engine_path(engine.key, "sheet"), "Build sheet", Who.ENTERS),
        Way(engine_path(engine.key, "expect"), "What it should show"),
        Way(engine_path(engine.key, "history"), "History"),
        Way(engine_path(engine.key, "trend"), "Over time"),
        FIRST,
    )
    if not title:
        return Frame(name, FIRST, ways, f"Reference {engine.key}" if engine.key != name else "")
    return Frame(title, home, ways, name if engine.key == name else f"{name}, reference {engine.key}")


def test_frame(recorded: Recorded, title: str) -> Frame:
    """
    Frame a page about a test.

    Parameters
    ----------
    recorded : Recorded
        The test.
    title : str
        Which page.

    Returns
    -------
    Frame
        With the ways on.
    """
    header = recorded.header
    name = header.engine_name or header.engine
    here = f"/tests/{recorded.test_id}"
    ways = (
        Way(here, "Judgement"),
        Way(f"{here}/pull", "Pull", Who.ENTERS),
        Way(f"{here}/view", "Engine view"),
        Way(f"{here}/why", "Why these intervals"),
        Way(f"{here}/explain", "What it is likely to be"),
        Way(f"{here}/leakdown", "Leak-down"),
        Way(f"{here}/photos", "Photographs"),
        Way(f"{here}/corrections", "Record and corrections"),
        Way(f"{here}/sheet", "Hand-over sheet"),
        Way(engine_path(header.engine), "The engine"),
        FIRST,
    )
    about = ", ".join(filter(None, (name, header.date, f"test {recorded.test_id}")))
    return Frame(title, Way(engine_path(header.engine), name), ways, about)
