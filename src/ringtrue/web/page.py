"""Pages written by the server: one frame round every one of them, every text escaped."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from functools import cache, wraps
from typing import TYPE_CHECKING

from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse

from ringtrue.errors import RingtrueError
from ringtrue.report.course import GLYPHS
from ringtrue.web.answers import status_of
from ringtrue.web.page_words import on_a_page
from ringtrue.web.routes import ROLES, Who
from ringtrue.wording import capital, deferral, to_the_minute

if TYPE_CHECKING:
    from jinja2 import Environment
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.errors import Fault
    from ringtrue.report.course import Course
    from ringtrue.web.routes import Handler
    from ringtrue.web.service import Service
    from ringtrue.web.sessions import Session


@dataclass(frozen=True, slots=True)
class Way:
    """
    A way on from a page.

    Parameters
    ----------
    href : str
        Where it leads.
    text : str
        What is there.
    who : Who
        Who may go there; others are not shown it.
    """

    href: str
    text: str
    who: Who = Who.LOOKS_ON


@dataclass(frozen=True, slots=True)
class Frame:
    """
    What stands round a page.

    Parameters
    ----------
    title : str
        Where this is.
    back : Way or None
        One step up; None on the first page.
    ways : tuple of Way
        The ways on; the one that leads here is marked.
    about : str
        What is told beside the title, smaller: the engine, the test.
    """

    title: str
    back: Way | None = None
    ways: tuple[Way, ...] = ()
    about: str = ""


FIRST = Way("/", "First page")
"""The way back to the first page."""


def page(request: Request, template: str, frame: Frame, status: int = 200, **facts: object) -> Response:
    """
    Answer with a page.

    Parameters
    ----------
    request : Request
        Who asks is looked up in it; nobody has to be let in yet.
    template : str
        A file of ``web/templates`` that extends ``page.html.j2``.
    frame : Frame
        What stands round it.
    status : int
        HTTP status.
    **facts
        What the template shows. Every text is escaped by it.

    Returns
    -------
    Response
        Never kept by a browser.
    """
    return HTMLResponse(rendered(request, template, frame=frame, **facts), status, {"cache-control": "no-store"})


def rendered(request: Request, template: str, **facts: object) -> str:
    """
    Write a template, or a part of a page that is fetched by itself.

    Parameters
    ----------
    request : Request
        Who asks.
    template : str
        A file of ``web/templates``.
    **facts
        What it shows.

    Returns
    -------
    str
        HTML.
    """
    me: Session | None = request.scope.get("ringtrue.session")
    role = Who.ANYBODY if me is None else me.role
    return (
        environment()
        .get_template(template)
        .render(
            me=me,
            role=role,
            role_name=ROLES.get(role, ""),
            enters=role >= Who.ENTERS,
            owner=role >= Who.OWNER,
            path=request.url.path,
            plain=request.scope.get("ringtrue.plain", False),
            deferral=deferral(),
            **facts,
        )
    )


@cache
def environment() -> Environment:
    """
    Return the one environment of all templates: whatever a template shows is escaped.

    Returns
    -------
    Environment
        A name that nobody gave is an error, not an empty text.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=PackageLoader("ringtrue.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters["here"] = _here
    made.filters["moment"] = to_the_minute
    made.filters["field_name"] = _field_name
    made.filters["glyph"] = GLYPHS.__getitem__
    made.filters["course_data"] = course_data
    return made


def course_data(course: Course) -> Markup:
    """
    Write what a course shows for `course.js`.

    Parameters
    ----------
    course : Course
        What it shows.

    Returns
    -------
    Markup
        JSON that stands inside a script element: nothing in it can end the element, or begin another.
    """
    text = json.dumps(course.plain(), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for each in "<>&\u2028\u2029":
        text = text.replace(each, f"\\u{ord(each):04x}")
    return Markup(text)  # noqa: S704 - escaped a line ago, in the only way that a script element understands


def _here(fault: Fault) -> str:
    """Tell a fault beside its field, without naming the field again."""
    return str(replace(fault, where=""))


def _field_name(where: str) -> str:
    """Write the name of a field as its label has it, or nearly so."""
    words = where.rpartition(".")[2].removeprefix("owner_").removeprefix("gauge_").replace("_", " ").strip()
    return capital(words)


def see(href: str) -> Response:
    """
    Send a browser on after something was written, so that a reload writes nothing again.

    Parameters
    ----------
    href : str
        A page of this server.

    Returns
    -------
    Response
        303.
    """
    return RedirectResponse(href, 303, {"cache-control": "no-store"})


def as_page(handler: Handler) -> Handler:
    """
    Make what goes wrong on a page a page too.

    Parameters
    ----------
    handler : callable
        Of a page.

    Returns
    -------
    callable
        The same, which shows a refusal that reaches it with the way back.
    """

    @wraps(handler)
    async def shown(service: Service, request: Request) -> Response:
        try:
            return await handler(service, request)
        except RingtrueError as error:
            return refusal_page(request, error)

    return shown


def refusal_page(request: Request, error: RingtrueError, status: int | None = None) -> Response:
    """
    Answer with a page that says why something was not done.

    Parameters
    ----------
    request : Request
        The request.
    error : RingtrueError
        Why.
    status : int or None
        HTTP status; None for the one that belongs to the error.

    Returns
    -------
    Response
        With every fault on it.
    """
    return page(
        request,
        "refused.html.j2",
        Frame("This cannot be shown", FIRST),
        status_of(error) if status is None else status,
        faults=tuple(map(on_a_page, error.faults)),
    )
