"""The shop's builds in the form that other programs read: figures unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.history.builds import level, usual_size
from ringtrue.history.hand_over import family_of
from ringtrue.history.together import Together

if TYPE_CHECKING:
    from ringtrue.history.builds import Level
    from ringtrue.history.hand_over import HandedOver, Kinds, Looked
    from ringtrue.history.workmanship import Charted
    from ringtrue.shop.workmanship import Workmanship

Json = dict[str, object]


def workmanship(made: Workmanship) -> Json:
    """
    Put the shop's builds into the form of ``ringtrue workmanship --json``.

    Parameters
    ----------
    made : Workmanship
        The builds.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    return {
        "only_last": made.only_last,
        "builds": [_build(number, each, made.charted) for number, each in enumerate(made.handed, 1)],
        "charted": None if made.charted is None else _charted(made.charted),
        "kinds": [_kinds(each, made) for each in made.kinds],
        "looked_at": [_looked(each) for each in made.looked],
        "left_out": [{"engine": each.engine, "name": each.name, "why": each.why} for each in made.left_out],
    }


def _build(number: int, each: HandedOver, charted: Charted | None) -> Json:
    build = each.build
    return {
        "build": number,
        "engine": build.engine,
        "name": build.name,
        "test": build.test_id,
        "date": build.date,
        "by": each.by,
        "rebuilt": each.rebuilt or None,
        "family": family_of(each.sheet) or None,
        "gauge": build.gauge or None,
        "cylinders": build.cylinders,
        "mean_deviation_percent": build.deviation,
        "evened_percent": None if charted is None else charted.evened[number - 1],
        "gauge_alone_percent": build.gauge_alone,
    }


def _charted(charted: Charted) -> Json:
    first = charted.baseline + 1
    average = zip(charted.average.values, charted.average.lower, charted.average.upper, strict=True)
    sums = zip(charted.sums.above, charted.sums.below, strict=True)
    return {
        "evened_to_cylinders": charted.size,
        "baseline": _level(charted.before),
        "lately": None if charted.lately is None else _level(charted.lately),
        "single_upper_percent": charted.upper,
        "moving_ranges": [each / charted.single.sigma for each in charted.single.ranges],
        "moving_range_upper": charted.single.range_upper / charted.single.sigma,
        "average": [
            {"build": at, "percent": value**2, "lower_percent": max(lower, 0.0) ** 2, "upper_percent": upper**2}
            for at, (value, lower, upper) in enumerate(average, first)
        ],
        "sums": [{"build": at, "wider": wider, "more_alike": alike} for at, (wider, alike) in enumerate(sums, first)],
        "sums_limit": charted.reach.sums,
        "signals": [
            {
                "chart": each.chart.value,
                "build": each.at + 1,
                "wider": each.wider,
                "began": each.began + 1,
                "lasts": each.lasts,
                "may_be_gauge": each.may_be_gauge,
            }
            for each in charted.signals
        ],
    }


def _level(found: Level) -> Json:
    return {
        "count": found.count,
        "typical_percent": found.typical,
        "low": found.low,
        "high": found.high,
        "own_percent": found.own,
    }


def _kinds(each: Kinds, made: Workmanship) -> Json:
    size = usual_size(made.builds)
    return {"by": each.key, "kinds": [{"kind": kind, **_level(level(of, size))} for kind, of in each.builds.items()]}


def _looked(each: Looked) -> Json:
    found = each.found
    said: Json = {"what": each.key, "told": each.told, "chance": found.chance, "chance_corrected": each.chance}
    if isinstance(found, Together):
        return said | {
            "rank": found.rank,
            "low": found.low,
            "high": found.high,
            "count": found.count,
            "engines": found.engines or None,
        }
    return said | {"mean_ranks": [{"kind": kind, "mean_rank": rank} for kind, rank in found.kinds.items()]}
