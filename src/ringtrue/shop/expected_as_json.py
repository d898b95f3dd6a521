"""What an engine should show, in the form that other programs read: pressures in one unit, unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.units import from_si
from ringtrue.wording import change_amount, explained_percent, input_ends, input_title

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringtrue.compression import Band, ChangeEffect, InputEffect
    from ringtrue.shop.expecting import ExpectedEngine
    from ringtrue.units import Unit

Json = dict[str, object]


def expected(made: ExpectedEngine) -> Json:
    """
    Put an expectation into the form of ``ringtrue expect --json``.

    Parameters
    ----------
    made : ExpectedEngine
        The expectation.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    found, unit = made.found, made.unit
    narrowing = found.narrowing
    return {
        "engine": made.sheet.key,
        "gauge": None if made.gauge is None else made.gauge.name,
        "unit": unit.name,
        "strokes": [{"stroke": number, **_level(band, unit)} for number, band in enumerate(found.strokes, start=1)],
        "final": _level(found.final, unit),
        "first_over_final": _ratio(found.first_over_final),
        "inputs": [_input(effect, unit, made.units) for effect in found.inputs],
        "changes": [_change(change) for change in found.changes],
        "measured": found.measured,
        "explained_percent": explained_percent(found),
        "cylinders": [
            {
                "cylinder": each.cylinder,
                "compression_ratio": each.compression_ratio,
                "final": _level(each.final, unit),
                "ratio": _ratio(each.ratio),
            }
            for each in found.cylinders
        ],
        "narrow_it": made.words.narrow_it(),
        "narrowing": None if narrowing is None else {"name": narrowing.key, "final": _level(narrowing.final, unit)},
        "warnings": list(made.warnings),
    }


def _level(band: Band, unit: Unit) -> Json:
    return {key: from_si(getattr(band, key), unit) for key in ("median", "low", "high")}


def _ratio(band: Band) -> Json:
    return {"median": band.median, "low": band.low, "high": band.high}


def _input(effect: InputEffect, unit: Unit, units: Mapping[str, Unit]) -> Json:
    at_low, at_high, at_unit = input_ends(effect, units) or (None, None, "")
    return {
        "name": effect.key,
        "says": input_title(effect.key),
        "known": effect.known,
        "low": from_si(effect.low, unit),
        "high": from_si(effect.high, unit),
        "at_low": at_low,
        "at_high": at_high,
        "at_unit": at_unit,
        "share": effect.share,
        "source": effect.source,
    }


def _change(change: ChangeEffect) -> Json:
    amount, unit = change_amount(change)
    return {"name": change.key, "amount": amount, "unit": unit, "ratio": _ratio(change.ratio)}
