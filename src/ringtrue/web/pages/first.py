"""The first page, and the page of one engine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from ringtrue.intake import parse_sheet
from ringtrue.web.page import Frame, Way, as_page, page
from ringtrue.web.pages.drawn import sheet_drawing
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import EngineInBook, Summary
    from ringtrue.web.service import Service

MOST_ENGINES = 60
"""So many engines stand on one page."""
MOST_OPEN = 24
"""So many tests to go on with; who has more of them goes by the engine."""
LONGEST_FIND = 200
LONGEST_NUMBER = 8
NEW_SHEET = Way("/sheets/new", "New build sheet", Who.ENTERS)
WAYS = (
    NEW_SHEET,
    Way("/gauges", "Gauges"),
    Way("/workmanship", "Workmanship"),
    Way("/settings", "Settings", Who.OWNER),
    Way("/devices", "Devices", Who.OWNER),
)


@dataclass(frozen=True, slots=True)
class Portion:
    """
    The engines that one page shows, of all that were looked for.

    Parameters
    ----------
    find : str
        The words that were looked for; empty for every engine.
    first : int
        So many stand on the pages before it.
    engines : tuple of EngineInBook
        Those it shows.
    total : int
        How many there are in all.
    """

    find: str
    first: int
    engines: tuple[EngineInBook, ...]
    total: int

    @property
    def searched(self) -> bool:
        """Whether there is anything to look through."""
        return bool(self.find) or self.total > len(self.engines)

    @property
    def before(self) -> str:
        """Address of the page before; empty on the first."""
        return self._address(max(self.first - MOST_ENGINES, 0)) if self.first else ""

    @property
    def after(self) -> str:
        """Address of the page after; empty on the last."""
        after = self.first + len(self.engines)
        return self._address(after) if after < self.total else ""

    def _address(self, first: int) -> str:
        said = {"find": self.find, "from": str(first) if first else ""}
        return f"/?{urlencode({name: value for name, value in said.items() if value})}#engines"


@as_page
async def first(service: Service, request: Request) -> Response:
    """Show the engines of the book, some at a time, and the tests to go on with."""
    find = " ".join(request.query_params.get("find", "").split())[:LONGEST_FIND]
    asked = request.query_params.get("from", "")
    at = int(asked) if asked.isascii() and asked.isdecimal() and len(asked) < LONGEST_NUMBER else 0

    def look() -> tuple[Portion, tuple[Summary, ...]]:
        engines, total = service.book.engines_found(find, first=at, most=MOST_ENGINES)
        return Portion(find, at, engines, total), service.book.open_tests(latest=MOST_OPEN + 1)

    portion, still_open = await service.do(look)
    return page(
        request,
        "first.html.j2",
        Frame(service.place.settings.shop or "ringtrue", None, WAYS),
        portion=portion,
        still_open=tuple(reversed(still_open))[:MOST_OPEN],
        more_open=len(still_open) > MOST_OPEN,
        engine_path=engine_path,
    )


@as_page
async def engine(service: Service, request: Request) -> Response:
    """Show one engine: its tests, its sheet, the ways on."""

    def look() -> dict[str, Any]:
        found = find_engine(service.book, engine_asked(request))
        revisions = service.book.sheets(found.key)
        sheet = parse_sheet(revisions[-1].text) if revisions else None
        return {
            "frame": engine_frame(found, ""),
            "engine": found,
            "tests": tuple(reversed(service.book.tests(found.key))),
            "revisions": revisions,
            "sheet": sheet,
            "drawing": sheet_drawing(sheet) if sheet else None,
        }

    facts = await service.do(look)
    return page(request, "engine.html.j2", engine_path=engine_path, **facts)


ROUTES = (
    Route("GET", "/", Who.LOOKS_ON, first),
    Route("GET", "/engines/{engine}", Who.LOOKS_ON, engine),
)
