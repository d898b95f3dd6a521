"""An engine over time in the form that other programs read: pressures in one unit, unrounded."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ringtrue.shop.normalised_as_json import cylinder_changes, levels
from ringtrue.units import from_si

if TYPE_CHECKING:
    from ringtrue.compression import Band
    from ringtrue.history import Change, Forecast, Rate
    from ringtrue.records import Event
    from ringtrue.shop.trending import Between, Followed

Json = dict[str, object]


def followed(found: Followed) -> Json:
    """
    Put an engine over time into the form of ``ringtrue trend --json``.

    Parameters
    ----------
    found : Followed
        The engine.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    return {
        "engine": found.engine,
        "name": found.name,
        "unit": found.unit.name,
        "baseline": found.course[found.baseline].test_id,
        "baseline_why": found.baseline_why,
        "not_carried": found.not_carried or None,
        "tests": [_test(found, place) for place in range(len(found.course))],
        "rates": _rates(found),
        "forecast": _forecast(found),
        "events": [_event(each) for each in found.events],
        "between": [_between(found, each) for each in found.between],
        "next_test_sees": [{"pulls": each.pulls, "looks": each.looks, "lower": each.lower} for each in found.sights],
        "left_out": [{"test": each.test_id, "date": each.date, "why": each.why} for each in found.left_out],
        "warnings": list(found.warnings),
    }


def _test(found: Followed, place: int) -> Json:
    test, carried, change = found.course[place], found.tests[place], found.changes.get(place)
    unit = found.unit
    return {
        "test": test.test_id,
        "date": test.date,
        "run": None if test.run is None else str(test.run),
        "gauge": None if test.test.gauge is None else test.test.gauge.name,
        "middle": {"read": from_si(carried.middle_read, unit), **levels(carried.middle, unit)},
        "cylinders": [
            {
                "cylinder": row.cylinder,
                "read": None if row.read is None else from_si(row.read, unit),
                **({"median": None, "low": None, "high": None} if row.carried is None else levels(row.carried, unit)),
            }
            for row in carried.cylinders
        ],
        "since_baseline": None if change is None else _change(change),
    }


def _change(change: Change) -> Json:
    return {
        "same_gauge": change.same_gauge,
        "gauges_known": change.gauges_known,
        "engine": None if change.engine is None else _band(change.engine),
        "says": change.says.value,
        "cylinders": cylinder_changes(change),
    }


def _rates(found: Followed) -> Json | None:
    if found.placed is None or found.trend.lines is None:
        return None
    unit = found.placed.unit
    per = 365.25 * 86400.0 if unit is None else unit.factor
    return {
        "by": found.placed.axis.value,
        "per": "year" if unit is None else unit.name,
        "engine": None if found.trend.engine is None else _rate(found.trend.engine, per),
        "cylinders": [{"cylinder": name, **_rate(rate, per)} for name, rate in found.trend.cylinders.items()],
        "scatter": found.trend.scatter,
        "widened": found.trend.widened,
    }


def _rate(rate: Rate, per: float) -> Json:
    shares = {key: math.expm1(getattr(rate.rate, key) * per) for key in ("median", "low", "high")}
    return {**shares, "says": rate.says.value}


def _forecast(found: Followed) -> Json | None:
    if found.outlook is None or found.placed is None:
        return None
    return {
        "until": _place(found, found.outlook.until),
        "limits": [_limit(found, each) for each in found.outlook.forecasts],
    }


def _limit(found: Followed, each: Forecast) -> Json:
    pressure = each.rule.dimension == "pressure"
    return {
        "rule": each.rule.key,
        "limit": from_si(each.rule.limit, found.unit) if pressure else each.rule.limit,
        "unit": found.unit.name if pressure else {"percent": "%"}.get(each.rule.dimension, ""),
        "source": each.rule.source,
        "cylinder": each.cylinder or None,
        "probability": each.probability,
        "already": each.already,
        **{key: _place(found, getattr(each, key)) for key in ("low", "median", "high")},
    }


def _place(found: Followed, place: float | None) -> float | str | None:
    import datetime as dt

    if place is None or found.placed is None:
        return None
    if found.placed.unit is None:
        return dt.date.fromordinal(round(place / 86400.0)).isoformat()
    return from_si(place, found.placed.unit)


def _event(event: Event) -> Json:
    return {
        "event": event.text,
        "at": None if event.at is None else str(event.at),
        "date": event.date,
        "new_baseline": event.new_baseline,
    }


def _between(found: Followed, each: Between) -> Json:
    return {
        "events": [event.text for event in each.events],
        "before": found.course[each.before].test_id,
        "after": found.course[each.after].test_id,
        "change": _change(each.change),
    }


def _band(band: Band) -> Json:
    return {"median": band.median, "low": band.low, "high": band.high}
