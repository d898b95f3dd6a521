"""An engine over time, in sentences: what changed, how fast, where that leads, and what a next test could see."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence

from ringtrue.compression import Band
from ringtrue.history import FOUND, SELDOM, Axis, Change, CylinderChange, Forecast, Outlook, Rate, Says, Sight, Trend
from ringtrue.measure import Outcome, RuleOutcome
from ringtrue.measure.limits import Rule
from ringtrue.quantities import Measured
from ringtrue.units import Unit
from ringtrue.wording.bands import BandWords, band_words, digits_for
from ringtrue.wording.names import capital, cylinders, listed
from ringtrue.wording.normalising import beside_text, false_alarm
from ringtrue.wording.rules import asked_text, source_text, title

_DAY = 86400.0
_YEAR = 365.25 * _DAY
_PER: Mapping[Axis, float] = {Axis.DISTANCE: 1000.0, Axis.RUNNING_TIME: 100.0}
_FEWEST_FOR_A_LINE = 3
_SURELY = 0.5


def trend_headline(change: Change | None, tests: int, before: int = 0) -> str:
    """
    Say in a sentence what became of an engine.

    Parameters
    ----------
    change : Change or None
        The latest test beside the baseline; None where the baseline is the latest.
    tests : int
        How many tests there are from the baseline on.
    before : int
        How many there are before it.

    Returns
    -------
    str
        A sentence.
    """
    if change is None and before:
        return (
            "The latest test is the baseline. What was before it is shown and not compared; what comes later will be."
        )
    if change is None:
        return "One test so far: the baseline. What comes later will be held against it."
    told = [each for each in change.cylinders if each.says not in {Says.NO_CHANGE, Says.CANNOT_TELL}]
    whole = change.says not in {Says.NO_CHANGE, Says.CANNOT_TELL}
    if not told and not whole:
        if len(change.cylinders) > 1 and not any(each.interval for each in change.cylinders):
            return "Whether a cylinder has changed cannot be told: no change has an interval. Why stands below."
        return f"No change that the gauge could see, in {tests} tests since the baseline began."
    parts = [
        f"cylinder {each.cylinder} {_verb(each.says)} beside its siblings, {beside_text(each)} times" for each in told
    ]
    if whole and change.engine is not None:
        parts.insert(0, f"the whole engine {_verb(change.says)} than at the baseline, {_times(change.engine)} times")
    return f"{capital(listed(parts))}."


def _verb(says: Says) -> str:
    return str(says) if says in {Says.LOOKS_LOWER, Says.LOOKS_HIGHER} else f"is {says}"


def _times(band: Band) -> str:
    from ringtrue.wording.bands import ratio_words

    return ratio_words(band).whole


def change_percent(change: CylinderChange) -> str:
    """
    Write the change of a cylinder beside its siblings in per cent.

    Parameters
    ----------
    change : CylinderChange
        Now over then.

    Returns
    -------
    str
        With its 95 % interval where there is one.

    Examples
    --------
    >>> change_percent(CylinderChange("5", 0.963, Band(0.963, 0.9412, 0.9853), Says.LOWER))
    '-3.7 % (-5.9 to -1.4)'
    """
    if change.ratio is None:
        return "cannot tell"
    if change.interval is None:
        return f"{100 * (change.ratio - 1):+z.1f} %"
    shares = Band(*(100 * (each - 1) for each in (change.interval.median, change.interval.low, change.interval.high)))
    words = band_words(shares, 1, "")
    return f"{_signed(words.median)} % ({_signed(words.low)} to {_signed(words.high)})"


def _signed(number: str) -> str:
    return number if number.startswith("-") or not number.strip("0.") else f"+{number}"


def per_text(axis: Axis, unit: Unit | None) -> str:
    """
    Name the stretch for which a rate is told.

    Parameters
    ----------
    axis : Axis
        Along what the course runs.
    unit : Unit or None
        Of miles or hours; None for dates.

    Returns
    -------
    str
        For example "1,000 mile", "100 h" or "year".
    """
    return "year" if unit is None else f"{_PER[axis]:,.0f} {unit.name}"


def rate_words(rate: Rate, axis: Axis, unit: Unit | None) -> BandWords:
    """
    Write a rate in per cent for a stretch.

    Parameters
    ----------
    rate : Rate
        Of a natural logarithm. [1/m or 1/s]
    axis : Axis
        Along what.
    unit : Unit or None
        Of miles or hours; None for dates.

    Returns
    -------
    BandWords
        With its 95 % interval. [%]
    """
    length = _YEAR if unit is None else _PER[axis] * unit.factor
    shares = [100 * math.expm1(each * length) for each in (rate.rate.median, rate.rate.low, rate.rate.high)]
    digits = min(max(digits_for(shares[2] - shares[1]), 0), 2)
    return band_words(Band(*shares), digits, "%")


def rate_sentences(found: Trend, axis: Axis, unit: Unit | None, tests: int) -> tuple[str, ...]:
    """
    Tell how fast an engine changes.

    Parameters
    ----------
    found : Trend
        The lines.
    axis : Axis
        Along what.
    unit : Unit or None
        Of miles or hours; None for dates.
    tests : int
        Through how many tests they run.

    Returns
    -------
    tuple of str
        Sentences.
    """
    return tuple(_rates(found, axis, unit, tests))


def _rates(found: Trend, axis: Axis, unit: Unit | None, tests: int) -> Iterator[str]:
    per = per_text(axis, unit)
    if found.engine is not None:
        words = rate_words(found.engine, axis, unit).whole
        yield f"The whole engine: {words} for every {per}, 19 times in 20{_and_says(found.engine)}."
    told = {name: each for name, each in found.cylinders.items() if each.says is not Says.NO_CHANGE}
    for name, each in told.items():
        yield (
            f"Cylinder {name} beside its siblings: {rate_words(each, axis, unit).whole} for every {per}, "
            f"19 times in 20{_and_says(each)}."
        )
    if any(each.says in {Says.LOOKS_LOWER, Says.LOOKS_HIGHER} for each in told.values()):
        yield false_alarm(len(found.cylinders))
    if alike := [name for name in found.cylinders if name not in told]:
        yield f"{capital(cylinders(alike))}, beside the siblings: no rate that these readings could show."
    if tests < _FEWEST_FOR_A_LINE:
        yield "Two tests make a straight line of anything; whether it goes on so, a third one tells."
    if found.widened:
        yield (
            f"The readings lie {found.scatter:.1f} times as far off their lines as gauge and repeats explain "
            "(chi-squared, 1 time in 20 by chance): fitting the gauge anew, or the day, scatters more than one pull "
            "after another; the intervals of the cylinders are as much wider."
        )


def _and_says(rate: Rate) -> str:
    if rate.says is Says.NO_CHANGE:
        return ": no rate that these readings could show"
    return ", which may be chance" if rate.says in {Says.LOOKS_LOWER, Says.LOOKS_HIGHER} else ""


def place_text(place: float, axis: Axis, unit: Unit | None) -> str:
    """
    Write a place on the course of an engine.

    Parameters
    ----------
    place : float
        Distance [m], running time or date [s].
    axis : Axis
        Along what.
    unit : Unit or None
        Of miles or hours; None for dates.

    Returns
    -------
    str
        For example "12,400 mile", "310 h" or "August 2027".
    """
    if unit is None or axis is Axis.DATE:
        return dt.date.fromordinal(round(place / _DAY)).strftime("%B %Y")
    figure = place / unit.factor
    return f"{round(figure, -max(digits_of(figure), 0)):,.0f} {unit.name}"


def digits_of(figure: float) -> int:
    """
    Return how many digits of a place are dropped: three are enough to plan by.

    Parameters
    ----------
    figure : float
        In its unit.

    Returns
    -------
    int
        0 for figures under a thousand.
    """
    return max(math.floor(math.log10(max(abs(figure), 1.0))) - 2, 0)


def outlook_sentences(found: Outlook, axis: Axis, unit: Unit | None, pressures: Unit, *, tests: int) -> tuple[str, ...]:
    """
    Tell when limits will be met.

    Parameters
    ----------
    found : Outlook
        What may be met.
    axis : Axis
        Along what.
    unit : Unit or None
        Of miles or hours; None for dates.
    pressures : Unit
        Unit of pressures.
    tests : int
        Through how many tests the lines run.

    Returns
    -------
    tuple of str
        Sentences.
    """
    return tuple(_outlook(found, axis, unit, pressures, tests))


def _outlook(found: Outlook, axis: Axis, unit: Unit | None, pressures: Unit, tests: int) -> Iterator[str]:
    until = place_text(found.until, axis, unit)
    seen = [each for each in found.forecasts if each.in_sight]
    for each in seen:
        yield _forecast(each, axis, unit, pressures, until)
    rest = [title(each.rule.key).lower() for each in found.forecasts if not each.in_sight]
    if rest:
        yield f"Not in sight up to {until} (less than 1 time in 20): {listed(rest)}."
    if seen:
        few = " With two tests it is hardly more than a guess." if tests < _FEWEST_FOR_A_LINE else ""
        yield (
            "That the engine goes on as it has, in a straight line and as far again as it was watched, is an "
            f"assumption: valves burn all at once, and rings bed in.{few}"
        )


def _forecast(each: Forecast, axis: Axis, unit: Unit | None, pressures: Unit, until: str) -> str:
    rule = f"{title(each.rule.key)} ({rule_asked(each.rule, pressures)}, {source_text(each.rule.source)})"
    whose = f", cylinder {each.cylinder} the likeliest" if each.cylinder else ""
    if each.already > _SURELY:
        return f"{rule}: the line stands beyond it already{whose}."
    low, median, high = (
        None if at is None else place_text(at, axis, unit) for at in (each.low, each.median, each.high)
    )
    if median is None:
        share = f"{100 * each.probability:.0f} times in 100"
        return f"{rule}: not met any more by {until} {share}, and hardly before {low}{whose}."
    return (
        f"{rule}: not met any more from about {median} on ({low} to {high or f'beyond {until}'}, 9 times in 10){whose}."
    )


def rule_asked(rule: Rule, pressures: Unit) -> str:
    """
    Write what a rule asks of its figure, in short.

    Parameters
    ----------
    rule : Rule
        The rule.
    pressures : Unit
        Unit of pressures.

    Returns
    -------
    str
        The side and the limit, for example "under 10 %".
    """
    asked = RuleOutcome(
        rule.key, rule.level, Outcome.NOT_JUDGED, None, rule.limit, rule.dimension, None, rule.source, ""
    )
    return asked_text(asked, pressures)


def sight_sentences(sights: Sequence[Sight], gauge: str, cylinder_count: int) -> tuple[str, ...]:
    """
    Tell what a test could see, before it is taken.

    Parameters
    ----------
    sights : sequence of Sight
        By the number of repeats.
    gauge : str
        What the shop calls the gauge.
    cylinder_count : int
        How many cylinders the engine has.

    Returns
    -------
    tuple of str
        Sentences; none without sights.

    Examples
    --------
    >>> sight_sentences((Sight(1, 0.033, 0.041), Sight(3, 0.0269, 0.0336)), "face-1", 6)[0]
    'With gauge face-1 a loss in one cylinder beside its siblings is found 9 times in 10 from 3.3 % on with 1 pull of \
each, and 2.7 % with 3.'
    """
    if not sights:
        return ()
    parts = [
        f"{100 * each.looks:.1f} % on with {each.pulls} pull of each"
        if place == 0
        else f"{100 * each.looks:.1f} % with {each.pulls}"
        for place, each in enumerate(sights)
    ]
    together = 100 * (1 - (1 - SELDOM) ** cylinder_count)
    surely = listed([f"{100 * each.lower:.1f} %" for each in sights])
    found = f"With gauge {gauge} a loss in one cylinder beside its siblings is found {10 * FOUND:.0f} times in 10 from "
    seldom = f"{1 / SELDOM:.0f}"
    alarms = f"False alarms: 1 sound cylinder in {seldom} looks lower, so that {together:.0f} sound engines in 100 "
    certain = f"have one that does; 1 sound engine in {seldom} has one that is called lower without doubt. For that "
    return (
        f"{found}{listed(parts).replace(' and ', ', and ')}.",
        f"{alarms}{certain}the loss must be {surely}.",
    )


def event_text(text: str, at: Measured | None, date: str) -> str:
    """
    Write a line of an engine's log.

    Parameters
    ----------
    text : str
        What was done.
    at : Measured or None
        Distance or running time since the build.
    date : str
        ISO date; empty when not said.

    Returns
    -------
    str
        No full stop.

    Examples
    --------
    >>> event_text("oil change", Measured(90000.0, "25", "h"), "2026-05-14")
    'oil change (25 h, 2026-05-14)'
    """
    when = ", ".join(each for each in (str(at or ""), date) if each)
    return f"{text} ({when})" if when else text


def change_in_short(change: Change) -> str:
    """
    Say in one line what changed between two tests.

    Parameters
    ----------
    change : Change
        The two.

    Returns
    -------
    str
        A sentence without its capital.
    """
    parts = []
    if change.engine is not None:
        said = "" if change.says is Says.NO_CHANGE else f", {change.says}"
        parts.append(f"the whole engine {_times(change.engine)} times{said}")
    told = [each for each in change.cylinders if each.says not in {Says.NO_CHANGE, Says.CANNOT_TELL}]
    parts += [f"cylinder {each.cylinder} {beside_text(each)} times beside its siblings, {each.says}" for each in told]
    if not told and any(each.interval for each in change.cylinders):
        parts.append(f"cylinders beside their siblings: {Says.NO_CHANGE}")
    return f"{'; '.join(parts)}." if parts else f"{Says.CANNOT_TELL}."
