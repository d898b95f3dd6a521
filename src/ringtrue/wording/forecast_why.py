"""Why the place where a limit will be met is known no better, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ringtrue.history import SHARED, Axis, Forecast
from ringtrue.measure.propagation import Part, Propagated
from ringtrue.units import Unit
from ringtrue.wording.rules import title
from ringtrue.wording.trend import digits_of, place_text
from ringtrue.wording.why import Budget

_Text = Callable[[float], str]
_DAY = 86400.0
_HARDLY = 0.0005
_MOST = 0.5


def forecast_budget(each: Forecast, budget: Propagated, axis: Axis, unit: Unit | None, far: float) -> Budget:
    """
    Word the budget of a forecast.

    Parameters
    ----------
    each : Forecast
        When a limit will be met.
    budget : Propagated
        Why that is known no better. [m or s]
    axis : Axis
        Along what.
    unit : Unit or None
        Of miles or hours; None for dates.
    far : float
        Where the lines end. [m or s]

    Returns
    -------
    Budget
        Figures with their units.
    """

    def place(at: float) -> str:
        text = place_text(min(at, far), axis, unit)
        return text if at < far else f"beyond {text}"

    def stretch(length: float) -> str:
        if unit is None or axis is Axis.DATE:
            return f"{length / _DAY:.0f} days"
        figure = length / unit.factor
        return f"{round(figure, -max(digits_of(figure), 0)):,.0f} {unit.name}"

    def row(part: Part) -> tuple[str, ...]:
        share = "under 0.1 %" if part.share < _HARDLY else f"{100 * part.share:.1f} %"
        return part.name, str(part.count), stretch(part.adds), share, "normal"

    low, high = (None if at is None else place(at) for at in (each.low, each.high))
    shown = "" if low is None else f"{low} to {high or 'beyond what was looked at'}"
    rows = tuple(row(part) for part in budget.parts)
    said = tuple(_says(each, budget, place, stretch))
    middle = place(budget.value if each.median is None else each.median)
    return Budget(title(each.rule.key), each.rule.key.replace("_", "-"), middle, shown, rows, said)


def _says(each: Forecast, budget: Propagated, place: _Text, stretch: _Text) -> Iterator[str]:
    if each.median is not None and place(each.median) != place(budget.value):
        yield (
            f"The lines through what was read come to the limit at {place(budget.value)}; half of the draws are there "
            f"by {place(each.median)}, for noise lets cylinders look less alike than they are."
        )
    yield (
        f"First order (GUM): combined standard uncertainty {stretch(budget.standard)}, times {budget.factor:.3f} for "
        f"90 %: {place(budget.low)} to {place(budget.high)}."
    )
    drawn = f"By drawing (GUM, supplement 1): {place(budget.drawn_low)} to {place(budget.drawn_high)}"
    if budget.good_enough:
        yield f"{drawn}. The first order is good enough: both agree to half a unit of the second figure."
    else:
        yield (
            f"{drawn}. The first order is not good enough here: where a line meets a limit is a quotient, so that it "
            "may lie far beyond and not far before."
        )
    largest = budget.parts[0]
    if largest.share > _MOST and largest.name == SHARED:
        yield (
            "Most of the width comes from what the cylinders of a test share: noting barometer, air, oil and cranking "
            "speed narrows it, and one gauge for all tests; more pulls do not."
        )
    elif largest.share > _MOST:
        yield f"Most of the width comes from the {largest.name}: more tests from here on outweigh it."
    else:
        yield "No one part rules. More pulls of each cylinder narrow the next test's readings; a later test, the slope."
