"""An explanation in the form that other programs read: odds unrounded, pressures in one unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.diagnosis.explanation import Item
from ringtrue.units import Dimension, find_unit, from_si
from ringtrue.wording import (
    because_sentence,
    check_cautions,
    contradiction_sentences,
    deferral,
    result_text,
    why_sentence,
    without_sheet,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ringtrue.compression import Band
    from ringtrue.diagnosis.causes import Practice
    from ringtrue.diagnosis.explanation import (
        BankOdds,
        Because,
        Contradiction,
        CylinderExplanation,
        EngineOdds,
        NextCheck,
        Odds,
    )
    from ringtrue.shop.explaining import ExplainedTest
    from ringtrue.units import Unit

Json = dict[str, object]


def explained(made: ExplainedTest, only: str = "") -> Json:
    """
    Put an explanation into the form of ``ringtrue explain --json``.

    Parameters
    ----------
    made : ExplainedTest
        The explanation.
    only : str
        One cylinder alone; empty for all.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    found, unit = made.found, made.unit
    partners = {each.cylinder: each.partner for each in found.cylinders}
    return {
        "test": made.test_id or None,
        "unit": unit.name,
        "with_sheet": found.with_sheet,
        "without_sheet": [] if found.with_sheet else list(without_sheet(made.sheet, made.not_used)),
        "says": list(made.words(only).summary()),
        "nothing_to_do": found.nothing_to_do,
        "level_over_expected": found.level,
        "cylinders": [_cylinder(each, unit) for each in found.cylinders if only in {"", each.cylinder}],
        "engine": _odds(found.engine),
        "banks": [{"bank": each.bank + 1, **_one(each)} for each in found.banks],
        "next": [
            _check(each, made, partners.get(each.cylinder, ""))
            for each in found.next
            if only in {"", each.cylinder} or not each.cylinder
        ],
        "contradictions": [_contradiction(each, unit) for each in found.contradictions if only in {"", each.cylinder}],
        "practice": _practice(made.practice),
        "earlier": list(made.earlier),
        "deferral": deferral(),
        "warnings": list(made.warnings),
    }


def _one(odd: Odds | EngineOdds | BankOdds) -> Json:
    return {"cause": odd.cause.value, "probability": odd.probability}


def _odds(odds: Iterable[Odds | EngineOdds]) -> list[Json]:
    return [_one(each) for each in odds]


def _cylinder(each: CylinderExplanation, unit: Unit) -> Json:
    return {
        "cylinder": each.cylinder,
        "read": each.read,
        "causes": _odds(each.causes),
        "also": _odds(each.also),
        "answer": {"says": each.answer.says.value, "probability": each.answer.probability},
        "leak_area_mm2": None if each.leak_area is None else _area(each.leak_area),
        "leak_loss": each.leak_loss,
        "partner": each.partner or None,
        "because": [_because(why, each, unit) for why in each.because],
        "steps": [{"item": step.item and step.item.value, "causes": _odds(step.causes)} for step in each.steps],
    }


def _area(area: Band) -> Json:
    return {key: 1e6 * getattr(area, key) for key in ("median", "low", "high")}


def _because(why: Because, each: CylinderExplanation, unit: Unit) -> Json:
    read, of = _read(why.item, why.read, unit)
    return {
        "item": why.item.value,
        "read": read,
        "unit": of,
        "words": list(why.words),
        "factor": why.factor if why.factor < float("inf") else None,
        "for": why.for_cause.value,
        "ruled_out": [cause.value for cause in why.ruled_out],
        "says": because_sentence(why, each.answer.says, unit, each.partner),
    }


def _read(item: Item, read: float | None, unit: Unit) -> tuple[float | None, str]:
    """Return what was read in the unit in which it is told, and that unit; empty for a fraction."""
    if item in {Item.FINAL, Item.LIFT}:
        of = unit if item is Item.FINAL else find_unit("mm", Dimension.LENGTH)
        return None if read is None else from_si(read, of), of.name
    return read, ""


def _check(check: NextCheck, made: ExplainedTest, partner: str) -> Json:
    return {
        "check": check.check.value,
        "cylinder": check.cylinder or None,
        "gain_bits": check.gain,
        "minutes": check.minutes,
        "why": why_sentence(check, partner),
        "results": [
            {
                "result": each.result,
                "text": result_text(check.check, each.result),
                "probability": each.probability,
                "says": each.says.value,
                "then": each.then,
            }
            for each in check.results
        ],
        "cautions": list(check_cautions(check.check, made.sheet)),
    }


def _contradiction(each: Contradiction, unit: Unit) -> Json:
    says, likeliest, again = contradiction_sentences(each, unit)
    read, of = _read(each.between[0], each.read, unit)
    return {
        "cylinder": each.cylinder,
        "between": [item.value for item in each.between],
        "read": read,
        "unit": of,
        "words": list(each.words),
        "slip": each.slip.value,
        "says": f"{says} {likeliest}",
        "again": again,
    }


def _practice(practice: Practice) -> Json:
    return {
        "causes": {cause.value: share for cause, share in practice.causes.items() if cause != "sound"},
        "engine_causes": {cause.value: share for cause, share in practice.engine.items() if cause != "none"},
        "bank_causes": {cause.value: share for cause, share in practice.banks.items()},
        "minutes": {check.value: cost.minutes for check, cost in practice.costs.items()},
    }
