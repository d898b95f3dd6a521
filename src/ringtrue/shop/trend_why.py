"""Why forecasts of an engine over time are as wide as they are."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.history import FAR, meeting_budget

if TYPE_CHECKING:
    from ringtrue.history import Forecast
    from ringtrue.measure.propagation import Propagated
    from ringtrue.shop.trending import Followed
    from ringtrue.wording.why import Budget

Json = dict[str, object]

RESTS_ON = (
    "that the engine goes on as it has, in a straight line, is an assumption, and in no budget",
    "readings: steps and repeats of the gauge, as its register and its study have them",
)
"""What a budget rests on, as sentences without their full stop."""


@dataclass(frozen=True, slots=True)
class WhyThen:
    """
    Why it is not known better when a limit will be met.

    Parameters
    ----------
    forecast : Forecast
        The limit, and when.
    budget : Propagated or None
        What adds to it; None where the lines are beyond the limit already, or come to it too far ahead.
    """

    forecast: Forecast
    budget: Propagated | None


def forecasts_why(found: Followed) -> tuple[WhyThen, ...]:
    """
    Tell of every limit in sight why it is not known better when it will be met.

    Parameters
    ----------
    found : Followed
        The engine over time.

    Returns
    -------
    tuple of WhyThen
        None without lines, or with no limit in sight.
    """
    lines = found.trend.lines
    if found.outlook is None or lines is None:
        return ()
    course = found.course[found.baseline :]
    often = Counter(each.date for each in course)
    names = [f"readings of {each.date if each.date and often[each.date] == 1 else each.label}" for each in course]
    return tuple(
        WhyThen(each, meeting_budget(lines, each.rule, names, found.trend.scatter))
        for each in found.outlook.forecasts
        if each.in_sight
    )


def budgets_told(found: Followed, whys: tuple[WhyThen, ...]) -> tuple[tuple[Budget, ...], tuple[str, ...]]:
    """
    Word the budgets of forecasts.

    Parameters
    ----------
    found : Followed
        The engine over time.
    whys : tuple of WhyThen
        Of it.

    Returns
    -------
    tuple of Budget and tuple of str
        The budgets, and of the others a sentence each that says why there is none.
    """
    if found.placed is None or found.trend.lines is None:
        return (), (
            "There is no forecast: it takes two tests at two places, of whose gauges it is known how they err.",
        )
    axis, unit, at = found.placed.axis, found.placed.unit, found.trend.lines.at
    far = max(at) + FAR * (max(at) - min(at))
    budgets = [
        wording.forecast_budget(each.forecast, each.budget, axis, unit, far) for each in whys if each.budget is not None
    ]
    without = [
        f"{wording.title(each.forecast.rule.key)}: no budget, for the line stands beyond the limit already, or does "
        "not come to it as far as it can be carried on."
        for each in whys
        if each.budget is None
    ]
    if not whys:
        without.append("No limit is in sight, so there is no forecast to tell the width of.")
    return tuple(budgets), tuple(without)


def as_json(found: Followed, whys: tuple[WhyThen, ...]) -> list[Json]:
    """
    Put budgets of forecasts into the form of ``ringtrue trend --why --json``.

    Parameters
    ----------
    found : Followed
        The engine over time.
    whys : tuple of WhyThen
        Of it.

    Returns
    -------
    list of dict
        A dict a budget: places in miles or hours of the forecast, or in days since the first of January of year 1.
    """
    unit = None if found.placed is None else found.placed.unit
    per = 86400.0 if unit is None else unit.factor
    return [
        {
            "rule": each.forecast.rule.key,
            "unit": "day" if unit is None else unit.name,
            "value": each.budget.value / per,
            "first_order": {
                "standard": each.budget.standard / per,
                "factor": each.budget.factor,
                "low": each.budget.low / per,
                "high": each.budget.high / per,
            },
            "drawn": {"low": each.budget.drawn_low / per, "high": each.budget.drawn_high / per},
            "good_enough": each.budget.good_enough,
            "parts": [
                {"name": part.name, "readings": part.count, "standard": part.adds / per, "share": part.share}
                for part in each.budget.parts
            ],
        }
        for each in whys
        if each.budget is not None
    ]
