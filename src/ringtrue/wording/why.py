"""Why an interval is as wide as it is, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ringtrue.measure import Interval
from ringtrue.measure.limits import Figure
from ringtrue.measure.propagation import Part, Spread
from ringtrue.measure.why import Not, Why
from ringtrue.units import Unit, from_si
from ringtrue.wording.bands import digits_for
from ringtrue.wording.numbers import figure as number

WHY_HEAD = ("what is not known", "readings", "adds, standard uncertainty", "share", "spread")
"""Columns of a budget."""

_TITLES = {
    Figure.MEAN_DEVIATION: "Mean deviation",
    Figure.CYLINDER_DEVIATION: "Farthest cylinder from the mean",
    Figure.BELOW_MEAN: "Lowest below the mean",
    Figure.LOWEST_OVER_HIGHEST: "Lowest over highest",
    Figure.SPREAD: "Highest less lowest",
    Figure.FIRST_OVER_FINAL: "First stroke over final",
}
_SPREADS = {Spread.NORMAL: "normal", Spread.EVEN: "even", Spread.STUDENT: "Student's t"}
_HARDLY = 0.0005
_MOST = 0.5
_PUSHED = {
    Figure.MEAN_DEVIATION,
    Figure.CYLINDER_DEVIATION,
    Figure.BELOW_MEAN,
    Figure.LOWEST_OVER_HIGHEST,
    Figure.SPREAD,
}
_REMEDY = {
    Not.SHIFT: "A calibration of the gauge narrows it, or a closer one; more pulls do not.",
    Not.ROUNDING: "A gauge with finer steps narrows it, and reading between the steps.",
    Not.SCATTER: "More pulls of each cylinder narrow it; a study tells how much a pull of yours scatters.",
    Not.SUPPLY: "A supply gauge with finer steps narrows it.",
    Not.HELD: "A gauge with finer steps narrows it, and a smaller restrictor, through which a small leak loses more.",
    Not.FLOW: "Leaks told through one and the same restrictor compare without it: it moves all of them alike.",
    Not.BORE: "Measuring the restrictor's bore narrows it; leaks through one and the same restrictor compare without.",
    Not.AIR: "The day's barometer, noted with the test, narrows it.",
    Not.DRIFT: "A charger on the battery and an engine that keeps its heat narrow it.",
}


@dataclass(frozen=True, slots=True)
class Budget:
    """
    A budget, worded.

    Parameters
    ----------
    title : str
        Which figure.
    anchor : str
        A short name of it: letters and dashes.
    value : str
        The figure with its unit.
    interval : str
        Its 90 % interval as it stands in the judgement; empty where none does.
    rows : tuple of tuple of str
        Cells under `WHY_HEAD`.
    says : tuple of str
        Sentences.
    """

    title: str
    anchor: str
    value: str
    interval: str
    rows: tuple[tuple[str, ...], ...]
    says: tuple[str, ...]


def why_title(why: Why) -> str:
    """
    Name the figure of a budget.

    Parameters
    ----------
    why : Why
        The budget.

    Returns
    -------
    str
        A few words.
    """
    if why.dimension == "area":
        again = f", reading {why.which}" if why.which > 1 else ""
        return f"Effective leak area of cylinder {why.cylinder}{again}"
    if why.figure is None:
        return f"Final of cylinder {why.cylinder}" if why.cylinder else "Mean of the finals"
    of = f", cylinder {why.cylinder}" if why.cylinder else ""
    return f"{_TITLES[why.figure]}{of}"


def why_anchor(why: Why) -> str:
    """
    Return a short name of the figure of a budget, for links.

    Parameters
    ----------
    why : Why
        The budget.

    Returns
    -------
    str
        Letters, digits and dashes; for a cylinder, its name as it is written.
    """
    if why.dimension == "area":
        return f"leak-area-{why.cylinder}" + (f"-{why.which}" if why.which > 1 else "")
    if why.figure is None:
        return f"final-{why.cylinder}" if why.cylinder else "mean"
    return why.figure.name.lower().replace("_", "-")


def why_budget(why: Why, unit: Unit) -> Budget:
    """
    Word a budget.

    Parameters
    ----------
    why : Why
        The budget.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    Budget
        Figures with their units.
    """
    budget, ending = why.budget, _ending(why, unit)
    digits = max(digits_for(_scaled(budget.high - budget.low, why, unit)), 0) if budget.high > budget.low else 1

    def told(value: float) -> str:
        return f"{number(_scaled(value, why, unit), digits)}{ending}"

    def fine(value: float) -> str:
        return f"{number(_scaled(value, why, unit), digits + 1)}{ending}"

    def ends(low: float, high: float) -> str:
        return f"{number(_scaled(low, why, unit), digits)} to {told(high)}"

    shown = "" if why.shown is None else ends(why.shown.low, why.shown.high)
    return Budget(
        why_title(why),
        why_anchor(why),
        told(why.value),
        shown,
        tuple(_row(part, fine) for part in budget.parts),
        tuple(_says(why, ends, fine)),
    )


def _row(part: Part, told: Callable[[float], str]) -> tuple[str, ...]:
    spread = _SPREADS[part.spread]
    if part.spread is Spread.STUDENT:
        spread += f", {part.freedom:.0f} degrees of freedom"
    share = "under 0.1 %" if part.share < _HARDLY else f"{100 * part.share:.1f} %"
    return part.name, str(part.count), told(part.adds), share, spread


def _says(why: Why, ends: Callable[[float, float], str], told: Callable[[float], str]) -> Iterator[str]:
    budget = why.budget
    factor, within = f"{budget.factor:.3f}", why.first_order
    beyond = ""
    if (within.low, within.high) != (budget.low, budget.high):
        beyond = f" (no engine is beyond that; the sum alone says {ends(budget.low, budget.high)})"
    yield (
        f"First order (GUM): combined standard uncertainty {told(budget.standard)}, times {factor} for 90 %: "
        f"{ends(within.low, within.high)}{beyond}."
    )
    drawn = f"By drawing (GUM, supplement 1): {ends(budget.drawn_low, budget.drawn_high)}"
    if budget.good_enough:
        yield f"{drawn}. The first order is good enough: both agree to half a unit of the second figure."
    else:
        apart = max(abs(budget.low - budget.drawn_low), abs(budget.high - budget.drawn_high))
        yield (
            f"{drawn}. Ends differ by up to {told(apart)}: more than half a unit of the second figure, so that the "
            "first order is not quite good enough here."
        )
    if why.figure in _PUSHED and why.shown is not None:
        yield (
            "Noise makes a spread look larger than it is, never smaller, and drawing it once more about what was read "
            f"counts that push twice. It is taken off in what stands in the judgement: {ends(*_both(why.shown))}."
        )
    if budget.parts and budget.parts[0].share > _MOST:
        yield f"Most of the width comes from one thing: {budget.parts[0].name}. {_REMEDY[Not(budget.parts[0].name)]}"


def _both(interval: Interval) -> tuple[float, float]:
    return interval.low, interval.high


def _scaled(value: float, why: Why, unit: Unit) -> float:
    return from_si(value, unit) if why.dimension == "pressure" else value


def _ending(why: Why, unit: Unit) -> str:
    return {"pressure": f" {unit.name}", "percent": " %", "area": " mm2"}.get(why.dimension, "")
