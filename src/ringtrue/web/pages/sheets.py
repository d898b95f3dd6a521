"""The build sheet as a form: a new engine, or a new revision of one that the book knows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from starlette.responses import HTMLResponse

from ringtrue.engine import doubts
from ringtrue.errors import Fault, InputRefused
from ringtrue.intake import parse_sheet
from ringtrue.shop.filing import file_sheet
from ringtrue.shop.sheet_fields import FIELDS, GROUPS
from ringtrue.shop.sheet_form import CHAMBERS, NAMES, Carried, Filled, fields_of, fill_in, what_follows
from ringtrue.shop.sheets import CC, facts, missing
from ringtrue.web.forms import Form, filled, new_key, read_form
from ringtrue.web.page import FIRST, Frame, as_page, page, rendered, see
from ringtrue.web.pages.drawn import Shown, sheet_drawing
from ringtrue.web.pages.where import engine_asked, engine_frame, engine_path, find_engine
from ringtrue.web.routes import Route, Who
from ringtrue.wording import capital

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.engine import BuildSheet
    from ringtrue.web.service import Service

LARGEST_FORM = 300_000
"""A build sheet as text, and what a form makes of it. [byte]"""
PASTED = "sheet_text"
CUBIC_INCH = 0.0254**3
IN_GROUPS = {table: [each for each in FIELDS.values() if each.question.table == table] for table in GROUPS}


@dataclass(frozen=True, slots=True)
class About:
    """
    Whose build sheet this is.

    Parameters
    ----------
    key : str
        The engine's key; empty for a new one.
    frame : Frame
        Round the page.
    here : str
        Address of the form.
    revision : int
        The last one; 0 for none.
    text : str
        The last one, to the letter.
    said : dict of str to str
        What it fills in.
    carried : mapping
        Its lines that the form has no field for.
    """

    key: str
    frame: Frame
    here: str
    revision: int
    text: str
    said: dict[str, str]
    carried: Carried


def _about(service: Service, request: Request) -> About:
    if "engine" not in request.path_params:
        return About("", Frame("New build sheet", FIRST), "/sheets/new", 0, "", {}, {})
    engine = find_engine(service.book, engine_asked(request))
    here = engine_path(engine.key, "sheet")
    frame = engine_frame(engine, "Build sheet")
    revisions = service.book.sheets(engine.key)
    if not revisions:
        same = {"name": engine.name or engine.key}
        if engine.name and engine.key != engine.name:
            same["reference"] = engine.key
        return About(engine.key, frame, here, 0, "", same, {})
    said, carried = fields_of(revisions[-1].text)
    return About(engine.key, frame, here, revisions[-1].revision, revisions[-1].text, said, carried)


@dataclass(frozen=True, slots=True)
class Follows:
    """
    What follows from a sheet, in words.

    Parameters
    ----------
    drawing : Shown or None
        The engine.
    told : tuple of (str, str)
        Names and figures.
    head, rows : tuple
        Cylinder by cylinder; columns in which nothing stands are left out.
    lacks : tuple of str
        What is not said, and what that costs.
    faults : tuple of (str, Fault)
        What cannot be used, each with the label of its field.
    left_out : tuple of str
        Labels of fields that are not in these figures.
    """

    drawing: Shown | None
    told: tuple[tuple[str, str], ...]
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lacks: tuple[str, ...]
    faults: tuple[tuple[str, Fault], ...]
    left_out: tuple[str, ...]


def follows(made: Filled) -> Follows:
    """
    Say what follows from a sheet.

    Parameters
    ----------
    made : Filled
        The sheet, or as much of it as holds together.

    Returns
    -------
    Follows
        In words.
    """
    faults = tuple((_label(each.where), each) for each in made.faults)
    left_out = tuple(_label(name) for name in made.left_out)
    sheet = made.sheet
    if sheet is None:
        return Follows(None, (), (), (), (), faults, left_out)
    head = ("cylinder", "compression ratio", "clearance [cc]", "swept [cc]", "at top [deg]", "companion", "neighbours")
    rows = [
        (
            row.cylinder,
            "" if row.compression_ratio is None else f"{row.compression_ratio:.2f}",
            "" if row.clearance is None else f"{row.clearance / CC:.1f}",
            "" if row.swept is None else f"{row.swept / CC:.1f}",
            "" if row.top_dead_centre is None else f"{row.top_dead_centre:g}",
            ", ".join(row.companions),
            ", ".join(row.neighbours),
        )
        for row in facts(sheet)
    ]
    kept = [at for at in range(len(head)) if any(row[at] for row in rows)]
    # What was refused, or cannot be read yet, was given: nobody is told that it is not.
    lacks = (*doubts(sheet), *(() if faults or left_out else missing(sheet)))
    return Follows(
        sheet_drawing(sheet),
        tuple(_told(sheet)),
        tuple(head[at] for at in kept),
        tuple(tuple(row[at] for at in kept) for row in rows),
        tuple(f"{capital(each)}." for each in lacks),
        faults,
        left_out,
    )


def _label(name: str) -> str:
    if name == CHAMBERS:
        return "Measured chambers"
    return FIELDS[name].label if name in FIELDS else ""


def _told(sheet: BuildSheet) -> list[tuple[str, str]]:
    told = []
    swept = sheet.displacement
    if swept is not None:
        told.append(("displacement", f"{swept / CC:.0f} cc ({swept / CUBIC_INCH:.1f} in3)"))
    if sheet.firing_order and len(sheet.cylinders) > 1:
        steps = sheet.firing_intervals
        even = max(steps) - min(steps) < 0.5  # noqa: PLR2004 - half a degree
        how = f"evenly, every {steps[0]:g} deg" if even else f"unevenly: {' '.join(f'{step:g}' for step in steps)} deg"
        told.append(("fires", f"{' '.join(sheet.firing_order)}, {how}"))
    told.append(("order of the test", ", ".join(sheet.pull_order)))
    return told


async def _shown(
    service: Service,
    request: Request,
    about: About,
    form: Form,
    *,
    status: int = 200,
    show: bool = False,
    refused_text: bool = False,
) -> Response:
    said = {name: form.text(name) for name in NAMES}
    begun = any(said.values())
    made = await service.do(lambda: follows(what_follows(said, about.carried))) if show or begun else None
    return page(
        request,
        "sheet_form.html.j2",
        about.frame,
        status,
        form=form,
        about=about,
        groups=GROUPS,
        in_groups=IN_GROUPS,
        chambers=CHAMBERS,
        pasted=PASTED,
        made=made,
        told_above=bool(form.faults),
        names=(*NAMES, PASTED),
        labels={**{name: _label(name) for name in NAMES}, PASTED: "Build sheet as text"},
        refused_text=refused_text,
        text_key=new_key(),
        also_kept=_also(about.carried),
    )


def _also(carried: Carried) -> tuple[str, ...]:
    return tuple(
        f"{table}.{key}" if table != "measured" else f"cylinder {key}, measured: {', '.join(_keys(value))}"
        for table, values in carried.items()
        for key, value in values.items()
    )


def _keys(value: object) -> list[str]:
    return [str(key) for key in value] if isinstance(value, dict) else []


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the form."""
    about = await service.do(_about, service, request)
    return await _shown(service, request, about, filled(about.said))


@as_page
async def send(service: Service, request: Request) -> Response:
    """Show what follows, or file the sheet."""
    about = await service.do(_about, service, request)
    form = await read_form(request, largest=LARGEST_FORM)
    what = form.text("do")
    if what == "text":
        return await _file(service, request, about, form, form.text(PASTED) + "\n")
    said = {name: form.text(name) for name in NAMES}
    if what == "show":
        return await _shown(service, request, about, form, show=True)
    made = await service.do(fill_in, said, about.carried)
    if made.faults:
        form = replace(form, faults=made.faults)
        return await _shown(service, request, about, form, status=422)
    return await _file(service, request, about, form, made.text)


async def _file(service: Service, request: Request, about: About, form: Form, text: str) -> Response:
    as_text = form.text("do") == "text"
    try:
        filed = await service.do(file_sheet, service.book, text, form.stamped(request), about.key)
    except InputRefused as error:
        form = form.refused(error, (), {}) if as_text else form.refused(error, NAMES, {"engine": "name"})
        if as_text:
            faults = tuple(replace(each, where=PASTED, given=_in_file(each)) for each in form.faults)
            form = replace(form, faults=faults)
        return await _shown(service, request, about, form, status=422, refused_text=as_text)
    return see(engine_path(filed.engine))


def _in_file(fault: Fault) -> str:
    return ": ".join(filter(None, (fault.where, fault.given)))


async def preview(service: Service, request: Request) -> Response:
    """Show what follows from what is typed so far: a part of the page, for its script."""
    about = await service.do(_about, service, request)
    form = await read_form(request, largest=LARGEST_FORM)
    said = {name: form.text(name) for name in NAMES}
    made = await service.do(lambda: follows(what_follows(said, about.carried)))
    part = rendered(request, "sheet_follows.html.j2", made=made, told_above=False)
    return HTMLResponse(part, headers={"cache-control": "no-store"})


async def as_text(service: Service, request: Request) -> Response:
    """Hand out the last revision as the file that the command line reads."""

    def look() -> str:
        return service.book.sheets(find_engine(service.book, engine_asked(request)).key)[-1].text

    from starlette.responses import Response as Plain

    text = await service.do(look)
    parse_sheet(text)
    return Plain(
        text,
        headers={"cache-control": "no-store", "content-disposition": 'attachment; filename="build-sheet.toml"'},
        media_type="application/toml",
    )


ROUTES = (
    Route("GET", "/sheets/new", Who.ENTERS, show),
    Route("POST", "/sheets/new", Who.ENTERS, send),
    Route("POST", "/sheets/new/preview", Who.ENTERS, as_page(preview)),
    Route("GET", "/engines/{engine}/sheet", Who.ENTERS, show),
    Route("POST", "/engines/{engine}/sheet", Who.ENTERS, send),
    Route("POST", "/engines/{engine}/sheet/preview", Who.ENTERS, as_page(preview)),
    Route("GET", "/engines/{engine}/sheet.toml", Who.LOOKS_ON, as_page(as_text)),
)
