"""What a test can see before it is taken, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ringtrue.compression import Gauge
from ringtrue.history import FOUND, MOST_PULLS, SELDOM, Sight
from ringtrue.measure.gauges import ASSUMED_REPEATABILITY
from ringtrue.units import Dimension, find_unit, gauge_unit
from ringtrue.wording.names import listed
from ringtrue.wording.numbers import pressure

SEE_HEAD = "What this test can see"
"""Title of these sentences, in the terminal, on the page and on paper."""

NO_GAUGE_TO_SEE = (
    "How small a change or difference it can see hangs on the gauge: name it, and it is told here before you pull."
)
ALONE_TO_SEE = (
    "One cylinder has no siblings to be held against: what becomes of it is told with the day, the starter and the "
    "whole of the gauge's tolerance in the interval."
)


@dataclass(frozen=True, slots=True)
class Foreseen:
    """
    What a test will see with one gauge.

    Parameters
    ----------
    gauge : Gauge
        The gauge.
    cylinders : int
        How many the engine has.
    sights : tuple of Sight
        By the number of pulls.
    pulls_for : tuple of (float, int or None)
        A share lost [-], and how many pulls of each cylinder find it; None where no usual number does.
    baseline : str
        What the test is held against; empty for nothing.
    baseline_pulls : int
        Pulls of each cylinder there.
    no_baseline : str
        Why there is none, as a clause.
    pressure : float
        About what the finals will be. [Pa gauge]
    pressure_from : str
        Where that is taken from; empty for the baseline.
    resolution_known : bool
        The steps of the gauge are in it.
    """

    gauge: Gauge
    cylinders: int
    sights: tuple[Sight, ...]
    pulls_for: tuple[tuple[float, int | None], ...]
    baseline: str
    baseline_pulls: int
    no_baseline: str
    pressure: float
    pressure_from: str
    resolution_known: bool


def gauge_not_known_to_see(name: str) -> str:
    """
    Say that nothing can be said of what a gauge sees.

    Parameters
    ----------
    name : str
        What the shop calls it.

    Returns
    -------
    str
        A sentence.
    """
    return (
        f"How gauge {name} errs is not known, so nothing can be said of what it will see: describe its smallest step, "
        "range and grade."
    )


def foreseen_sentences(found: Foreseen, pressures: str = "") -> tuple[str, ...]:
    """
    Tell what a test will see, before it is taken.

    Parameters
    ----------
    found : Foreseen
        What it will.
    pressures : str
        Unit in which pressures are told; empty for that of the gauge.

    Returns
    -------
    tuple of str
        What is seen, what it takes to see less, what that rests on.

    Raises
    ------
    UnitRefused
        The unit is no unit of pressure.
    """
    return tuple(_foreseen(found, pressures))


def _foreseen(found: Foreseen, pressures: str) -> Iterator[str]:
    what = (
        f"a loss in one cylinder since the baseline, {found.baseline},"
        if found.baseline
        else "a cylinder that reads low beside its siblings"
    )
    parts = [
        f"{100 * each.looks:.1f} % on with {each.pulls} pull of each"
        if place == 0
        else f"{100 * each.looks:.1f} % with {each.pulls}"
        for place, each in enumerate(found.sights)
    ]
    often = f"{10 * FOUND:.0f} times in 10"
    yield f"With gauge {found.gauge.name} {what} is found {often} from {listed(parts).replace(' and ', ', and ')}."
    yield _takes(found)
    if found.no_baseline:
        yield (
            f"There is no baseline to tell a change from: {found.no_baseline}. How far its cylinders differ by "
            "themselves is not in these figures."
        )
    yield _rests_on(found, pressures)


def _takes(found: Foreseen) -> str:
    parts = [
        f"{100 * share:.0f} % {f'takes {_pulls(pulls)}' if pulls else f'is not found even with {_pulls(MOST_PULLS)}'}"
        for share, pulls in found.pulls_for
    ]
    text = f"A {'loss' if found.baseline else 'difference'} of {', of '.join(parts)}"
    if found.baseline and any(pulls is None for _, pulls in found.pulls_for):
        text += f", since the baseline has {_pulls(found.baseline_pulls)} and stays what it is"
    return f"{text}. Of {1 / SELDOM:.0f} sound cylinders 1 looks lower by chance."


def _pulls(count: int) -> str:
    return f"{count} pull{'' if count == 1 else 's'} of each"


def _rests_on(found: Foreseen, pressures: str) -> str:
    gauge = found.gauge
    if gauge.repeatability is None:
        text = (
            f"Its repeatability in your hand is assumed to be {100 * ASSUMED_REPEATABILITY:.1f} % of the reading, for "
            "there is no study of it (ringtrue gauge study)"
        )
    elif gauge.study is None:
        text = f"Its repeatability is taken as {100 * gauge.repeatability:.2f} % of the reading, as somebody said it"
    else:
        text = (
            f"Its repeatability is {100 * gauge.repeatability:.2f} % of the reading, by the study of {gauge.study.date}"
        )
    if not found.resolution_known:
        text += "; its smallest step is not known and not in it"
    if found.pressure_from:
        named = pressures or (gauge.range.unit if gauge.range else "psi")
        unit = gauge_unit(find_unit(named, Dimension.PRESSURE))
        about = pressure(found.pressure, unit, decimals=max(unit.decimals - 1, 0))
        text += f"; finals of about {about} are meant ({found.pressure_from})"
    return f"{text}. The day's drift is not in it."
