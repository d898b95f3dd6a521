"""A study of a gauge, in the form that other programs read."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ringtrue.measure.study import Component
    from ringtrue.shop.studying import Studied

Json = dict[str, object]


def studied(of: Studied) -> Json:
    """
    Put a study into the form of ``ringtrue gauge study --json``.

    Parameters
    ----------
    of : Studied
        What was found.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts; standard deviations as fractions of the reading.
    """
    found, ranges = of.found, of.ranges
    return {
        "gauge": of.gauge.name if of.gauge else None,
        "date": of.date,
        "cylinders": found.cylinders,
        "people": found.people,
        "repeats": found.repeats,
        "one_pull": found.one_pull,
        "pooled": found.pooled,
        "components": {
            "repeatability": _component(found.repeatability),
            "between_people": _component(found.between_people),
            "interaction": _component(found.interaction),
            "measurement": _component(found.measurement),
            "between_cylinders": _component(found.between_cylinders),
        },
        "measurement_share": {"value": found.share, "low": found.share_low, "high": found.share_high},
        "table": [
            {
                "source": row.name,
                "degrees_of_freedom": row.source.freedom,
                "sum_of_squares": row.source.squares,
                "mean_square": row.source.mean_square,
                "f": row.ratio,
                "chance": row.chance,
            }
            for row in found.rows
        ],
        "repeats_for_one_percent": found.repeats_for(),
        "smallest_seen": [{"pulls": m, "difference": found.smallest(m)} for m in range(1, 11)],
        "by_ranges": None
        if ranges is None
        else {
            "repeatability": ranges.repeatability,
            "between_people": ranges.between_people if found.people > 1 else None,
            "between_cylinders": ranges.between_cylinders,
        },
        "warnings": list(of.warnings),
    }


def _component(each: Component | None) -> Json | None:
    if each is None:
        return None
    return {"sd": each.sd, "low": each.low, "high": each.high, "below_zero": each.below_zero}
