"""Bringing in the past: a notebook's table is looked at, its mapping put right, and all of it brought in or nothing."""

from __future__ import annotations

import base64
import binascii
import re
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.shop.notebook import Looked, NotebookWords, bring_in, look
from ringtrue.shop.notebook_told import brought_lines, look_lines
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import FIRST, Frame, as_page, page
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.web.service import Service

FIELDS = ("table", "name", "map")
LARGEST = 8 * 1024 * 1024
"""Of the form: a file of 2 MB, as a form carries it. [byte]"""
MOST_FAULTS = 30
"""A longer list is not read."""
HERE = "the mapping below"
_AS_IT_SAYS = ("", "as the file says")
ANSWERS = (
    (
        "unit",
        "Pressures without a unit are in",
        (_AS_IT_SAYS, *((each, each) for each in ("psi", "bar", "kPa", "kg/cm2"))),
    ),
    (
        "dates",
        "A date such as 03/04/2004 begins with",
        (_AS_IT_SAYS, ("day first", "the day"), ("month first", "the month")),
    ),
    (
        "run_unit",
        "Distance or running time without a unit is in",
        (_AS_IT_SAYS, ("mile", "miles"), ("km", "km"), ("h", "hours")),
    ),
    ("decimal", "The sign before decimals is", (_AS_IT_SAYS, ("point", "a point"), ("comma", "a comma"))),
)
"""What a mapping often leaves open, answered by a choice: its name there, the question, and the choices."""
LOOK_FIRST = "look at it first; then bring it in with the mapping that you have read"


def _page(
    request: Request,
    form: Form,
    status: int = 200,
    *,
    found: Looked | None = None,
    brought: list[str] | None = None,
) -> Response:
    return page(
        request,
        "notebook.html.j2",
        Frame("Bring in the past", FIRST, (FIRST,)),
        status,
        form=form,
        fields=FIELDS,
        answers=[each for each in ANSWERS if _open(each[0], form.text("map"))],
        told=list(look_lines(found)) if found else [],
        nothing_in_the_way=found is not None and not found.faults and bool(found.coming),
        nothing_to_bring=found is not None and not found.faults and not found.coming,
        brought=brought or [],
    )


@as_page
async def show(service: Service, request: Request) -> Response:  # noqa: ARG001 - every page has both
    """Show the form."""
    return _page(request, Form())


@as_page
async def send(service: Service, request: Request) -> Response:
    """Look at a notebook, or bring it in."""
    form = _answered(await read_form(request, largest=LARGEST))
    stamped, file = form.stamped(request), _name(form)
    try:
        words = _words(form, file)
        if form.text("do") == "bring":
            brought = partial(bring_in, service.book, service.place, words, who=stamped.who, device=stamped.device)
            done = await service.do(brought)
            return _page(request, Form(), brought=[*brought_lines(done), *map(_sentence, done.looked.warnings)])
        found = await service.do(look, service.book, service.place, words)
    except InputRefused as error:
        return _page(request, form.refused(_placed(error, file), FIELDS), 422)
    if found.whence != HERE:
        form = replace(form, said={**form.said, "map": (found.proposal().strip(),)})
    if not found.faults:
        return _page(request, form, found=found)
    return _page(request, form.refused(_placed(ReadingsRefused(*found.faults), file), FIELDS), 422, found=found)


def _open(name: str, mapping: str) -> re.Match[str] | None:
    """Find where a mapping leaves something open."""
    return re.search(rf'^{name} = ""', mapping, re.MULTILINE)


def _answered(form: Form) -> Form:
    """Write what was chosen into the mapping, where it leaves that open."""
    mapping = form.text("map")
    for name, _, choices in ANSWERS:
        chosen, at = form.text(name), _open(name, mapping)
        if at and chosen and chosen in dict(choices):
            mapping = f'{mapping[: at.start()]}{name} = "{chosen}"{mapping[at.end() :]}'
    kept = {name: said for name, said in form.said.items() if name not in {each for each, *_ in ANSWERS}}
    return replace(form, said={**kept, "map": (mapping,)} if mapping else kept)


def _name(form: Form) -> str:
    """Return the name that stands with every test, with the ending of what it is."""
    name, ending = form.text("name") or "notebook", ".xlsx" if form.text("workbook") else ".csv"
    return name if name.lower().endswith(ending) else name + ending


def _words(form: Form, file: str) -> NotebookWords:
    """
    Return the notebook that a form holds: the text of a table, or a workbook as its bytes.

    Raises
    ------
    ReadingsRefused
        There is none, or what should be a workbook is none.
    """
    table, workbook, text = form.text("table"), form.text("workbook"), form.text("map")
    if not table and not workbook:
        raise ReadingsRefused.of("", "the notebook is missing", "put its table in, or choose a file", "table")
    try:
        raw = base64.b64decode(workbook, validate=True) if workbook else table.encode("utf-8")
    except binascii.Error:
        raise ReadingsRefused.of("", "this is no file that can be read", "choose it again", "table") from None
    return NotebookWords(file, raw, text, HERE if text else "", look_first=LOOK_FIRST)


def _placed(error: InputRefused, file: str) -> InputRefused:
    """Put each fault beside the field that it stands in, its place within it before it; a long list is cut."""
    faults = []
    for each in error.faults:
        if each.where not in FIELDS:
            field = "map" if each.where.startswith(HERE) or "in the mapping" in each.instead else "table"
            within = each.where.removeprefix(HERE).removeprefix(file).removeprefix(", ")
            each = replace(each, given=": ".join(filter(None, (within, each.given))), where=field)  # noqa: PLW2901
        faults.append(each)
    if len(faults) > MOST_FAULTS:
        left = len(faults) - MOST_FAULTS
        more = Fault("", f"there are {left} more such faults", "put these right and look again", "table")
        faults = [*faults[:MOST_FAULTS], more]
    return type(error)(*faults)


def _sentence(text: str) -> str:
    return f"Note: {text}."


ROUTES = (
    Route("GET", "/notebook", Who.ENTERS, show),
    Route("POST", "/notebook", Who.ENTERS, send),
)
