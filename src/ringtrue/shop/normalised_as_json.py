"""Carried tests in the form that other programs read: pressures in one unit, unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.history import not_said
from ringtrue.units import from_si

if TYPE_CHECKING:
    from ringtrue.compression import Band, Conditions, Gauge
    from ringtrue.history import Change
    from ringtrue.shop.normalising import CarriedTest, Normalised
    from ringtrue.units import Unit

Json = dict[str, object]


def normalised(made: Normalised) -> Json:
    """
    Put carried tests into the form of ``ringtrue normalise --json``.

    Parameters
    ----------
    made : Normalised
        The tests.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    tests = made.tests
    return {
        "engine": tests[0].of.sheet.key,
        "unit": made.unit.name,
        "to": _conditions(made.to, made.to_gauge),
        "tests": [_test(each, made.to, made.unit) for each in tests],
        "changes": [_change(each, tests[0], later) for each, later in zip(made.changes, tests[1:], strict=True)],
        "rebuilt": made.rebuilt,
        "warnings": list(made.warnings),
    }


def _conditions(day: Conditions, gauge: Gauge | None) -> Json:
    keys = ("altitude", "barometer", "inlet_air", "oil", "cranking_speed")
    written = {key: None if (figure := getattr(day, key)) is None else str(figure) for key in keys}
    return {**written, "gauge": None if gauge is None else gauge.name}


def _test(each: CarriedTest, to: Conditions, unit: Unit) -> Json:
    test, carried = each.of.test, each.carried
    return {
        "test": each.of.test_id or None,
        "file": None if each.of.test_id else each.of.label,
        "date": test.date,
        "conditions": _conditions(test.conditions, test.gauge),
        "factor": _band(carried.factor),
        "assumed": list(not_said(test.conditions, to)),
        "gauge_known": carried.error is not None,
        "middle": {"read": from_si(carried.middle_read, unit), "carried": levels(carried.middle, unit)},
        "cylinders": [
            {
                "cylinder": row.cylinder,
                "read": None if row.read is None else from_si(row.read, unit),
                "carried": None if row.carried is None else levels(row.carried, unit),
            }
            for row in carried.cylinders
        ],
    }


def _change(change: Change, first: CarriedTest, later: CarriedTest) -> Json:
    return {
        "from": first.of.test_id,
        "test": later.of.test_id,
        "same_gauge": change.same_gauge,
        "gauges_known": change.gauges_known,
        "engine": None if change.engine is None else _band(change.engine),
        "says": change.says.value,
        "cylinders": cylinder_changes(change),
    }


def cylinder_changes(change: Change) -> list[Json]:
    """
    Tell what became of each cylinder beside its siblings.

    Parameters
    ----------
    change : Change
        Two tests.

    Returns
    -------
    list of dict
        A dict a cylinder.
    """
    return [
        {
            "cylinder": row.cylinder,
            "ratio": row.ratio,
            "interval": None if row.interval is None else {"low": row.interval.low, "high": row.interval.high},
            "says": row.says.value,
            "chance": row.chance,
        }
        for row in change.cylinders
    ]


def levels(band: Band, unit: Unit) -> Json:
    """
    Tell a pressure that is not known exactly.

    Parameters
    ----------
    band : Band
        [Pa gauge]
    unit : Unit
        In which it is told.

    Returns
    -------
    dict
        Of median, low and high.
    """
    return {key: from_si(getattr(band, key), unit) for key in ("median", "low", "high")}


def _band(band: Band) -> Json:
    return {"median": band.median, "low": band.low, "high": band.high}
