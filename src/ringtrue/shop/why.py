"""Why the intervals of a test are as wide as they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.errors import InputRefused
from ringtrue.measure.correcting import corrected
from ringtrue.measure.why import whys
from ringtrue.shop.leak_budget import LEAKS_REST_ON, leak_whys
from ringtrue.units import from_si

if TYPE_CHECKING:
    from ringtrue.measure.propagation import Propagated
    from ringtrue.measure.why import Why
    from ringtrue.shop.judging import Judged
    from ringtrue.units import Unit

Json = dict[str, object]


@dataclass(frozen=True, slots=True)
class WhySo:
    """
    Budgets of a test.

    Parameters
    ----------
    unit : Unit
        Unit of pressures.
    budgets : tuple of Why
        One a figure.
    notes : tuple of str
        What they rest on, and what was assumed.
    """

    unit: Unit
    budgets: tuple[Why, ...]
    notes: tuple[str, ...]


def why_so(judged: Judged, only: str = "") -> WhySo:
    """
    Tell why the intervals of a test are as wide as they are.

    Parameters
    ----------
    judged : Judged
        The test, judged.
    only : str
        The short name of one figure (`ringtrue.wording.why_anchor`), or the name of a cylinder for its final; empty for
        all figures.

    Returns
    -------
    WhySo
        Budgets of the dry series, or of the only one; and of the leaks that have a size.

    Raises
    ------
    InputRefused
        How the gauge errs is not known, nothing was read, or no figure has that name.
    """
    cylinders = judged.sheet.cylinders if judged.sheet else ()
    leaks = leak_whys(judged)
    readings = whys(corrected(judged.test), judged.top, cylinders)
    found = (*readings, *leaks)
    if not found:
        known = judged.top.gauge_known
        why = "no final was read" if known else "how the gauge errs is not known, and so there is no interval"
        instead = "take a reading first" if known else "describe the gauge, and name it with the test"
        raise InputRefused.of("this test", why, instead)
    if only:
        wanted = only.strip().lower().replace(" ", "-").replace("_", "-")
        named = {wording.why_anchor(each).lower(): each for each in found}
        chosen = named.get(wanted) or named.get(f"final-{wanted}")
        if chosen is None:
            raise InputRefused.of(f"“{only}”", "no figure has that name", f"name one of {', '.join(named)}")
        found = (chosen,)
    notes = judged.top.uncertainty_notes if any(each in readings for each in found) else ()
    return WhySo(judged.unit, found, (*notes, *(LEAKS_REST_ON if any(each in leaks for each in found) else ())))


def as_json(made: WhySo) -> Json:
    """
    Put budgets into the form of ``ringtrue why --json``.

    Parameters
    ----------
    made : WhySo
        The budgets.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    budgets = [_one(each, made.unit) for each in made.budgets]
    return {"unit": made.unit.name, "budgets": budgets, "notes": list(made.notes)}


def _one(why: Why, unit: Unit) -> Json:
    def told(value: float) -> float:
        return from_si(value, unit) if why.dimension == "pressure" else value

    found: Propagated = why.budget
    return {
        "figure": wording.why_anchor(why),
        "cylinder": why.cylinder or None,
        "value": told(why.value),
        "unit": {"pressure": unit.name, "percent": "%", "area": "mm2"}.get(why.dimension, ""),
        "interval": None if why.shown is None else {"low": told(why.shown.low), "high": told(why.shown.high)},
        "first_order": {
            "standard": told(found.standard),
            "factor": found.factor,
            "low": told(why.first_order.low),
            "high": told(why.first_order.high),
        },
        "drawn": {"low": told(found.drawn_low), "high": told(found.drawn_high)},
        "good_enough": found.good_enough,
        "parts": [
            {
                "name": str(part.name),
                "readings": part.count,
                "standard": told(part.adds),
                "share": part.share,
                "spread": part.spread.value,
            }
            for part in found.parts
        ],
    }
