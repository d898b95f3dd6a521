"""Leak-down: cautions first, then the reading, then what it comes to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from urllib.parse import quote

from ringtrue import wording
from ringtrue.compression import Kind, LeakdownReading
from ringtrue.engine import turning
from ringtrue.errors import InputRefused
from ringtrue.intake.rows import PLACES_HEARD
from ringtrue.measure import Outcome, Place
from ringtrue.shop.judging import judge_so_far
from ringtrue.shop.leakdown import Asked, Weighed, coefficient_of, read_asked, weigh
from ringtrue.shop.leakdown_kept import engine_of_test, keep
from ringtrue.units import DecimalMark, Dimension, find_unit
from ringtrue.web.forms import Form, filled, read_form
from ringtrue.web.page import as_page, page, see
from ringtrue.web.pages.where import test_frame
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.records import Recorded
    from ringtrue.shop.leakdown import Engine
    from ringtrue.web.service import Service

FIELDS = ("cylinder", "supply", "held", "restrictor", "heard", "coefficient")


def _options(engine: Engine) -> list[tuple[str, str]]:
    words = {
        "crankcase": "oil filler or dipstick (crankcase)",
        "coolant": "bubbles in the coolant",
        "nothing": "nothing heard",
    }
    places = [each for each in PLACES_HEARD if each != "nothing"]
    others = [f"cylinder {name}" for name in engine.cylinders] if len(engine.cylinders) > 1 else []
    return [(each, words.get(each, each)) for each in (*places, *others, "nothing")]


def _weighed(service: Service, engine: Engine, reading: LeakdownReading, coefficient: float) -> Weighed:
    from ringtrue.physics import cranking_loss

    return weigh(reading, engine, service.place.settings.limits, coefficient, cranking_loss)


def told(weighed: Weighed) -> tuple[str, ...]:
    """
    Tell a leak-down reading as ``ringtrue leakdown`` does.

    Parameters
    ----------
    weighed : Weighed
        What was found.

    Returns
    -------
    tuple of str
        Sentences.
    """
    found, leak, reading, sheet = weighed.figures, weighed.leak, weighed.reading, weighed.judged.sheet
    restrictor = f"through a restrictor of {reading.restrictor}" if reading.restrictor else "restrictor not known"
    lines = (
        f"Read: {reading.held} held of {reading.supply}, {restrictor}.",
        wording.leakdown_sentence(found, weighed.unit),
        wording.area_sentence(leak.area, leak.ratio, found.restrictor, leak.coefficient),
        wording.elsewhere_sentence(leak.through),
        wording.cost_sentence(weighed.cost, weighed.why_no_cost, weighed.unit) if leak.ratio else "",
        wording.path_sentence(found.heard, sheet),
        wording.again_sentence(found),
    )
    return tuple(filter(None, lines))


def _rows(recorded: Recorded) -> list[tuple[int, LeakdownReading]]:
    pairs = zip(recorded.standing, recorded.test.taken, strict=True)
    return [(seq, row) for seq, row in pairs if isinstance(row, LeakdownReading)]


async def _page(
    service: Service, request: Request, recorded: Recorded, form: Form, status: int = 200, told_now: object = None
) -> Response:
    def look() -> tuple[Engine, list[dict[str, object]]]:
        engine = engine_of_test(service.book, recorded.test_id)
        rows = [_line(service, engine, seq, row) for seq, row in _rows(recorded)]
        return engine, rows

    engine, rows = await service.do(look)
    return page(
        request,
        "leakdown.html.j2",
        test_frame(recorded, "Leak-down"),
        status,
        form=form,
        test=recorded.test_id,
        cautions=wording.leakdown_cautions(engine.sheet),
        steps=wording.leakdown(engine.sheet),
        cylinders=engine.cylinders,
        heard=_options(engine),
        rows=rows,
        told=told_now,
        fields=FIELDS,
        unit=service.place.settings.pressure or "psi",
        turning=_turning(engine),
    )


def _turning(engine: Engine) -> dict[str, object] | None:
    """Tell how far the crank is turned, cylinder by cylinder; None where the firing order is not known."""
    sheet = engine.sheet
    if sheet is None or not (stops := turning(sheet)):
        return None
    said = wording.turning_sentences(sheet, stops)
    return {"head": wording.TURNING_HEAD, "rows": wording.turning_rows(stops), "says": said}


def _first_choice(service: Service, recorded: Recorded, asked: str) -> Form:
    """Choose the cylinder that a check has named, else the one that is low and has no leak-down reading yet."""
    engine = engine_of_test(service.book, recorded.test_id)
    done = {row.cylinder for _, row in _rows(recorded)}
    low: list[str] = []
    if recorded.test.series(Kind.DRY) is not None:
        dry = judge_so_far(recorded.test, engine.sheet, service.place.settings.limits).dry
        low = [each.cylinder for each in dry.cylinders if each.place is Place.LOW] if dry else []
    left = [name for name in low if name not in done]
    chosen = asked if asked in engine.cylinders else left[0] if len(left) == 1 else ""
    return filled({"cylinder": chosen})


def _line(service: Service, engine: Engine, seq: int, row: LeakdownReading) -> dict[str, object]:
    weighed = weigh(row, engine, service.place.settings.limits)
    found = weighed.figures
    return {
        "seq": seq,
        "cylinder": row.cylinder,
        "repeat": row.repeat,
        "read": f"{row.held} of {row.supply}",
        "restrictor": str(row.restrictor or "not known"),
        "loss": wording.loss_text(found) if found.loss is not None else "",
        "heard": wording.heard_text(row.heard) if row.heard else "",
        "outcome": found.outcome.value,
        "slug": _slug(found.outcome),
    }


def _slug(outcome: Outcome) -> str:
    return outcome.value.replace(" ", "-")


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the form, the readings so far, and what the last one comes to."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    wanted = request.query_params.get("entry", "")
    row = next((row for seq, row in _rows(recorded) if str(seq) == wanted), None)
    told_now = None
    if row is not None:
        engine = await service.do(engine_of_test, service.book, recorded.test_id)
        said = request.query_params.get("cd", "")
        weighed = await service.do(_weighed, service, engine, row, coefficient_of(said))
        found = weighed.figures
        told_now = {
            "cylinder": row.cylinder,
            "lines": told(weighed),
            "outcome": found.outcome.value,
            "slug": _slug(found.outcome),
        }
    form = await service.do(_first_choice, service, recorded, request.query_params.get("cylinder", ""))
    return await _page(service, request, recorded, form, told_now=told_now)


@as_page
async def send(service: Service, request: Request) -> Response:
    """Keep a leak-down reading."""
    recorded = await service.do(service.book.test, request.path_params["test"])
    form = await read_form(request, many=("heard",))

    def work() -> tuple[int, str]:
        engine = engine_of_test(service.book, recorded.test_id)
        settled = service.place.settings.pressure
        usual = find_unit(settled, Dimension.PRESSURE) if settled else None
        supply, held = form.text("supply"), form.text("held")
        asked = Asked(
            supply,
            _same_unit(held, supply),
            form.text("restrictor"),
            form.text("cylinder"),
            form.every("heard"),
            form.text("coefficient"),
        )
        _all_there(asked)
        reading = read_asked(asked, engine, usual, DecimalMark.ASK)
        _coefficient(asked.coefficient)
        reading = replace(reading, note=form.text("note"))
        stamped = form.stamped(request)
        kept = keep(service.book, recorded.test_id, reading, who=stamped.who, device=stamped.device, key=stamped.key)
        return kept.seq, asked.coefficient

    try:
        seq, said = await service.do(work)
    except InputRefused as error:
        form = form.refused(error, FIELDS)
        return await _page(service, request, recorded, form.anew(), 422)
    service.announcer.changed(recorded.test_id)
    more = f"&cd={quote(said)}" if said else ""
    return see(f"/tests/{recorded.test_id}/leakdown?entry={seq}{more}#told")


def _coefficient(text: str) -> None:
    """Refuse a coefficient before the reading is kept, in the words of a field."""
    try:
        coefficient_of(text)
    except InputRefused as error:
        faults = (replace(each, given=text, where="coefficient") for each in error.faults)
        raise InputRefused(*faults) from None


def _same_unit(held: str, supply: str) -> str:
    """Read what is held in the unit that was typed with the supply, where it has none of its own."""
    letters = any(each.isalpha() for each in held)
    unit = supply.lstrip("0123456789.,+- ")
    return held if letters or not held or not unit else f"{held} {unit}"


def _all_there(asked: Asked) -> None:
    missing = [
        InputRefused.of("", why, instead, name)
        for name, given, why, instead in (
            ("cylinder", asked.cylinder, "the book needs to know which cylinder this is", "choose one"),
            ("supply", asked.supply, "the supply is missing", "type what the first gauge shows, such as 80 psi"),
            ("held", asked.held, "what the cylinder holds is missing", "type what the second gauge shows"),
        )
        if not given
    ]
    if missing:
        raise InputRefused(*(fault for each in missing for fault in each.faults))


ROUTES = (
    Route("GET", "/tests/{test}/leakdown", Who.LOOKS_ON, show),
    Route("POST", "/tests/{test}/leakdown", Who.ENTERS, send),
)
