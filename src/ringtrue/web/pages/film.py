"""A first stroke that nobody saw, filled in from the builder's own film of the pull."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.compression import Pull
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.shop.at_engine import correct_pull
from ringtrue.shop.pull_said import Doubtful, PullSaid
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.where import test_frame
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Book, Recorded
    from ringtrue.shop.pull_said import Stamped
    from ringtrue.web.service import Service

FIELDS = ("entry", "first", "why")
USUAL_WHY = "read later off my own film of the pull"


def without_first(recorded: Recorded) -> list[tuple[int, Pull]]:
    """
    Find the pulls that have a final and no first stroke that anybody saw.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    list of (int, Pull)
        With the entry in which each stands. A spoiled one is not among them: a film shows the same spoiled stroke.
    """
    rows = zip(recorded.standing, recorded.test.taken, strict=True)
    return [
        (seq, row)
        for seq, row in rows
        if isinstance(row, Pull) and row.final is not None and row.first is None and not row.first_spoiled
    ]


def _named(row: Pull) -> str:
    more = (row.kind.value, "again at the end" if row.drift else "", f"repeat {row.repeat}" if row.repeat else "")
    return f"Cylinder {row.cylinder}, {', '.join(filter(None, more))}, final {row.final}"


def _page(request: Request, recorded: Recorded, form: Form, status: int = 200, *, doubtful: bool = False) -> Response:
    return page(
        request,
        "film.html.j2",
        test_frame(recorded, "First strokes from film"),
        status,
        test=recorded.test_id,
        pulls=[(str(seq), _named(row)) for seq, row in without_first(recorded)],
        unit=recorded.test.unit,
        form=form,
        fields=FIELDS,
        usual_why=USUAL_WHY,
        doubtful=doubtful,
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Ask for a first stroke."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    return _page(request, recorded, Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Fill in a first stroke."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    form = await read_form(request)

    try:
        await service.do(_fill_in, service.book, recorded, form, form.stamped(request))
    except InputRefused as error:
        return _page(request, recorded, form.refused(error, FIELDS), 422, doubtful=isinstance(error, Doubtful))
    service.announcer.changed(recorded.test_id)
    return see(f"/tests/{recorded.test_id}/film")


def _fill_in(book: Book, recorded: Recorded, form: Form, stamped: Stamped) -> None:
    if book.made_with(form.key) is not None:
        return  # sent twice, and written once
    pulls = {str(seq): (seq, row) for seq, row in without_first(recorded)}
    if form.text("entry") not in pulls:
        raise NotInBook.of("", "this pull has a first stroke by now, or was taken back", "choose again", "entry")
    if not form.text("first"):
        raise InputRefused.of("", "no figure is said", "write what the film shows", "first")
    seq, row = pulls[form.text("entry")]
    final = row.final
    said = PullSaid(
        cylinder="",
        first=form.text("first"),
        final=final.written if final else "",
        unit=final.unit if final else "",
        confirmed=form.text("confirmed") == "yes",
        first_from_film=True,
    )
    correct_pull(book, recorded.test_id, seq, said, form.text("why"), stamped)


ROUTES = (
    Route("GET", "/tests/{test}/film", Who.ENTERS, show),
    Route("POST", "/tests/{test}/film", Who.ENTERS, send),
)
