"""What a test is likely to be: causes, evidence, the next check."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from ringtrue.compression import Kind
from ringtrue.errors import InputRefused
from ringtrue.measure.figures import two_claim_to_be_one
from ringtrue.shop.explaining import ExplainedTest, explain_recorded
from ringtrue.web.page import as_page, page
from ringtrue.web.pages.drawn import svg
from ringtrue.web.pages.where import test_frame
from ringtrue.web.routes import Route, Who
from ringtrue.wording import without_sheet

if TYPE_CHECKING:
    from markupsafe import Markup
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Recorded
    from ringtrue.web.service import Service

IN_FULL = 3
"""How many checks are told with all their results; the others get a line each."""
MOST_DRAWN = 4
"""Cylinders of which it is drawn how each reading moved their odds."""
MOST_KEPT = 16
"""Explanations kept in memory, so that a page that is loaded again comes at once."""

_kept: WeakKeyDictionary[Service, dict[object, dict[str, Any]]] = WeakKeyDictionary()
_one_at_a_time = threading.Lock()


@as_page
async def explain(service: Service, request: Request) -> Response:
    """Show the causes; the first time it takes a second or two."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    facts = await service.do(_facts, service, recorded)
    frame = test_frame(recorded, "What it is likely to be")
    return page(request, "explain.html.j2", frame, test=recorded.test_id, **facts)


def _facts(service: Service, recorded: Recorded) -> dict[str, Any]:
    heads = tuple(each.head for each in service.book.tests(recorded.header.engine))
    key = (recorded.test_id, recorded.head, heads, repr(service.place.settings.practice))
    with _one_at_a_time:
        kept = _kept.setdefault(service, {})
        if key not in kept:
            made = _made(service, recorded)
            while len(kept) >= MOST_KEPT:
                kept.pop(next(iter(kept)))
            kept[key] = made
        return kept[key]


def _made(service: Service, recorded: Recorded) -> dict[str, Any]:
    try:
        made = explain_recorded(service.book, recorded.test_id, service.place.practice())
    except InputRefused as error:
        return {"refused": error.faults}
    told = made.words()
    checks = told.next_checks()
    return {
        "refused": (),
        "conflicts": [
            name
            for name in dict.fromkeys(row.cylinder for row in recorded.test.taken)
            if any(two_claim_to_be_one(recorded.test, name, kind) for kind in (Kind.DRY, Kind.WET))
        ],
        "summary": [*told.summary(), *made.beside_odds()],
        "contradictions": told.contradictions(),
        "odd": [told.cylinder(each) for each in told.odd],
        "engine": told.engine(),
        "checks": checks[:IN_FULL],
        "leak_on": next((each.cylinder for each in made.found.next if each.cylinder), ""),
        "more_checks": [check.title for check in checks[IN_FULL:]],
        "cautions": list(dict.fromkeys(caution for check in checks[:IN_FULL] for caution in check.cautions)),
        "sheet_lines": [] if made.found.with_sheet else without_sheet(made.sheet, made.not_used),
        "earlier": made.earlier,
        "warnings": made.warnings,
        **_drawings(made, recorded),
    }


def _drawings(made: ExplainedTest, recorded: Recorded) -> dict[str, Any]:
    from ringtrue.report.causes_figure import causes_svg, causes_view
    from ringtrue.report.moved_figure import moved_svg, moved_view

    name = recorded.header.engine_name or recorded.header.engine
    whole = causes_view(made.found, made.sheet, name)
    moved: list[tuple[str, Markup, str]] = []
    for number, each in enumerate(made.words().odd[:MOST_DRAWN]):
        view = moved_view(each, made.unit, name)
        drawing = svg(lambda view=view, number=number: moved_svg(view, f"moved{number}"))  # type: ignore[misc]
        moved.append((each.cylinder, drawing, view.says))
    return {"causes": svg(lambda: causes_svg(whole, "causes")), "causes_says": whole.says, "moved": moved}


ROUTES = (Route("GET", "/tests/{test}/explain", Who.LOOKS_ON, explain),)
