"""One gauge: its calibration and its study, shown, worked out anew, kept; and its history."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.errors import InputRefused
from ringtrue.intake import Typed
from ringtrue.report.gauge_course import calibration_course
from ringtrue.report.study_course import study_course
from ringtrue.shop.calibrating import Calibrated, Said, calibrate_bytes, keep, the_gauge
from ringtrue.shop.gauge_history import Known, know
from ringtrue.shop.judging import usual_unit
from ringtrue.shop.studying import Studied, study_bytes
from ringtrue.shop.typed import decimal_mark
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import Frame, Way, as_page, page, see
from ringtrue.web.pages.day import CHECK_VALVE, GAUGE
from ringtrue.web.pages.where import gauge_asked, gauge_path
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.compression import Gauge
    from ringtrue.web.service import Service

CALIBRATION = ("points", "date", "months", "against", "reference_uncertainty", "temperature", "columns_right")
STUDY = ("readings", "study_date", "names_right")
LARGEST = 256 * 1024
"""A table that is put into a form. [byte]"""

_LABELS = {name: label.lower() for name, label, *_ in GAUGE} | {"check_valve": "check valve"}


async def _page(
    service: Service,
    request: Request,
    form: Form,
    status: int = 200,
    *,
    calibrated: Calibrated | None = None,
    studied: Studied | None = None,
) -> Response:
    name = gauge_asked(request)
    known = await service.do(know, service.book, name)
    tried = "calibration" if calibrated else "study" if studied else ""
    shown = replace(known, calibrated=calibrated or known.calibrated, studied=studied or known.studied)
    return page(
        request,
        "gauge.html.j2",
        Frame(f"Gauge {name}", Way("/gauges", "Gauges"), (Way("/gauges", "Gauges"),)),
        status,
        form=form,
        own=gauge_path(name),
        facts=_facts(known.gauge),
        due=known.due,
        history=known.history,
        tried=tried,
        fields=(*CALIBRATION, *STUDY),
        **_calibration(shown),
        **_study(shown),
    )


def _facts(gauge: Gauge) -> list[tuple[str, str]]:
    valves = dict(CHECK_VALVE)
    told = [(name, getattr(gauge, name)) for name in _LABELS if name not in {"name", "repeatability"}]
    facts = [(_LABELS[name], valves.get(str(value), str(value))) for name, value in told if value]
    if gauge.repeatability is not None:
        facts.append(("repeatability", f"{wording.share_text(gauge.repeatability)} of the reading"))
    if gauge.calibration is not None:
        facts += [("calibrated", gauge.calibration.date), ("next calibration due", gauge.calibration.due)]
    return facts


def _calibration(known: Known) -> dict[str, object]:
    made = known.calibrated
    if made is None:
        return {"course": None, "calibration": (), "budget": None, "calibration_notes": ()}
    head, rows = wording.budget_rows(made.curve, made.unit)
    return {
        "course": calibration_course(made.gauge, made.curve, made.grade, made.unit),
        "calibration": (
            *wording.calibration_sentences(made.gauge, made.curve, made.unit),
            *wording.grade_sentences(made.grade, made.gauge, made.unit),
        ),
        "budget": (head, rows),
        "calibration_notes": made.warnings,
    }


def _study(known: Known) -> dict[str, object]:
    made = known.studied
    if made is None:
        return {"study": (), "components": None, "study_about": "", "study_notes": (), "study_drawn": None}
    found = made.found
    people = "one person" if found.people == 1 else f"{found.people} people"
    return {
        "study": wording.study_sentences(found),
        "components": wording.component_rows(found),
        "study_about": f"{made.date}: {found.cylinders} cylinders, {people}, {found.repeats} repeats.",
        "study_notes": made.warnings,
        "study_drawn": study_course(made.file.readings, wording.study_sentences(found)[0]),
    }


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show what is known of a gauge."""
    return await _page(service, request, Form())


@as_page
async def calibrate(service: Service, request: Request) -> Response:
    """Work a calibration out, and keep it where that is asked for."""
    form = await read_form(request, largest=LARGEST)
    name, stamped = gauge_asked(request), form.stamped(request)
    said = Said(
        **{each: form.text(each) for each in CALIBRATION if each not in {"points", "columns_right"}},
        by=stamped.who,
        columns_right=bool(form.text("columns_right")),
    )

    def work() -> Calibrated:
        raw = _table(form.text("points"), "points")
        made = calibrate_bytes("points" + _ending(raw), raw, the_gauge(service.book, name), Typed(), said)
        if form.text("do") == "keep":
            keep(service.book, made.gauge, who=stamped.who, device=stamped.device, key=stamped.key)
        return made

    try:
        made = await service.do(work)
    except InputRefused as error:
        return await _page(service, request, form.refused(_beside(error, "points"), CALIBRATION), 422)
    return see(gauge_path(name)) if form.text("do") == "keep" else await _page(service, request, form, calibrated=made)


@as_page
async def study(service: Service, request: Request) -> Response:
    """Work a study out, and keep its repeatability where that is asked for."""
    form = await read_form(request, largest=LARGEST)
    name, stamped = gauge_asked(request), form.stamped(request)

    def work() -> Studied:
        gauge = the_gauge(service.book, name)
        raw = _table(form.text("readings"), "readings")
        typed = Typed(usual_unit(gauge, service.place.settings.pressure), decimal_mark("ask"))
        right = bool(form.text("names_right"))
        made = study_bytes("readings" + _ending(raw), raw, typed, gauge, form.text("study_date"), names_right=right)
        if form.text("do") == "keep":
            keep(service.book, made.with_it(gauge), who=stamped.who, device=stamped.device, key=stamped.key)
        return made

    try:
        made = await service.do(work)
    except InputRefused as error:
        return await _page(
            service, request, form.refused(_beside(error, "readings"), STUDY, {"date": "study_date"}), 422
        )
    return see(gauge_path(name)) if form.text("do") == "keep" else await _page(service, request, form, studied=made)


def _beside(error: InputRefused, field: str) -> InputRefused:
    """Put what is wrong in a table beside the field that it stands in, its row and column before it."""
    faults = []
    for each in error.faults:
        file, _, inside = each.where.partition(", ")
        if file.rpartition(".")[0] == field:
            given = ": ".join(filter(None, (inside, each.given)))
            faults.append(replace(each, given=given, where=field))
        else:
            faults.append(each)
    return type(error)(*faults)


def _table(text: str, field: str) -> bytes:
    if not text:
        raise InputRefused.of("", "the table is missing", "put it in, its header first, or choose a file", field)
    return text.encode("utf-8")


def _ending(raw: bytes) -> str:
    return ".json" if raw.startswith(b"[") else ".csv"


ROUTES = (
    Route("GET", "/gauges/{gauge}", Who.LOOKS_ON, show),
    Route("POST", "/gauges/{gauge}/calibration", Who.ENTERS, calibrate),
    Route("POST", "/gauges/{gauge}/study", Who.ENTERS, study),
)
