"""Tests carried to agreed conditions, and what changed between them, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from ringtrue.compression import Band, Conditions, Gauge
from ringtrue.history import SELDOM, Change, CylinderChange, Says, not_said
from ringtrue.units import Unit, from_si
from ringtrue.wording.bands import band_words, ratio_words
from ringtrue.wording.inputs import input_title
from ringtrue.wording.names import capital, cylinders, listed

CHANGE_HEAD = ("cylinder", "then, as read", "carried", "now, as read", "carried", "beside its siblings, times")
"""Columns of a table that compares two tests."""

_PAIR = 2


def carried_to(to: Conditions, gauge: Gauge | None) -> str:
    """
    Say what tests are carried to.

    Parameters
    ----------
    to : Conditions
        The agreed conditions.
    gauge : Gauge or None
        The gauge that they are carried to.

    Returns
    -------
    str
        A sentence.

    Examples
    --------
    >>> from ringtrue.quantities import Measured
    >>> carried_to(Conditions(altitude=Measured(0.0, "0", "m")), None)
    'Carried to the air of the standard atmosphere at 0 m; oil as it was on the day; gauge as it was.'
    """
    air = f"a barometer of {to.barometer}" if to.barometer else f"the air of the standard atmosphere at {to.altitude}"
    parts = [
        air,
        f"inlet air {to.inlet_air}" if to.inlet_air else "",
        f"cranking at {to.cranking_speed}" if to.cranking_speed else "",
    ]
    oil = f"oil at {to.oil}" if to.oil else "oil as it was on the day"
    read = f"read with gauge {gauge.name}" if gauge else "gauge as it was"
    return f"Carried to {', '.join(filter(None, parts))}; {oil}; {read}."


def factor_sentences(day: Conditions, to: Conditions, factor: Band, *, gauge_assumed: bool) -> tuple[str, ...]:
    """
    Tell the factor of a test, and what it rests on.

    Parameters
    ----------
    day : Conditions
        The day, as it was said.
    to : Conditions
        The agreed conditions.
    factor : Band
        Final there over final that day. [-]
    gauge_assumed : bool
        It is carried to a gauge, and its own was not said.

    Returns
    -------
    tuple of str
        Sentences.
    """
    told = [
        str(day.barometer) if day.barometer else f"air of {day.altitude}" if day.altitude else "",
        f"inlet air {day.inlet_air}" if day.inlet_air else "",
        f"cranking at {day.cranking_speed}" if day.cranking_speed else "",
        f"oil at {day.oil}" if day.oil and to.oil else "",
    ]
    said = listed([each for each in told if each])
    assumed = [_assumed(key, day) for key in not_said(day, to)] + (["the gauge"] if gauge_assumed else [])
    sentences = [
        f"Factor: {ratio_words(factor).whole}, 9 times in 10."
        + (f" It rests on what was said: {said}." if said else "")
    ]
    if assumed:
        sentences.append(f"Not said of the day and therefore assumed, which widens it: {listed(assumed)}.")
    if day.altitude and not day.barometer:
        sentences.append(
            "No barometer was read: the weather is assumed to be within 20 hPa of the standard, which widens it too."
        )
    return tuple(sentences)


def _assumed(key: str, day: Conditions) -> str:
    if key == "speed" and day.battery:
        return f"cranking speed (a guess from the battery's {day.battery})"
    return {"barometer": "barometer and height"}.get(key, input_title(key))


def carried_text(band: Band, unit: Unit) -> str:
    """
    Write a carried pressure for a table that names the unit.

    Parameters
    ----------
    band : Band
        [Pa gauge]
    unit : Unit
        In which it is written.

    Returns
    -------
    str
        Median and 90 % interval, no unit.
    """
    shown = Band(*(from_si(each, unit) for each in (band.median, band.low, band.high)))
    return band_words(shown, max(unit.decimals - 1, 0), "").whole


def beside_text(change: CylinderChange) -> str:
    """
    Write the change of a cylinder beside its siblings.

    Parameters
    ----------
    change : CylinderChange
        The change.

    Returns
    -------
    str
        Now over then, with its interval where there is one.
    """
    if change.ratio is None:
        return "cannot tell"
    return f"{change.ratio:.2f}" if change.interval is None else ratio_words(change.interval).whole


def change_sentences(change: Change) -> tuple[str, ...]:
    """
    Tell what became of the whole engine, and of each cylinder beside its siblings.

    Parameters
    ----------
    change : Change
        The change.

    Returns
    -------
    tuple of str
        Sentences.
    """
    return tuple(_told(change))


def _told(change: Change) -> Iterator[str]:
    if change.engine is None and any(each.ratio is not None for each in change.cylinders):
        yield "The whole engine: cannot be told, for these tests could not be carried to one day; why is said above."
    elif change.engine is None:
        yield "The whole engine: nothing to compare; no cylinder has a reading above zero both times."
    else:
        times = f"{ratio_words(change.engine).whole} times what it was, 19 times in 20"
        yield f"The whole engine: {times}: {_engine(change)}."
    judged = [each for each in change.cylinders if each.interval is not None]
    for each in judged:
        if each.says in {Says.LOWER, Says.HIGHER}:
            yield (
                f"Cylinder {each.cylinder} is {each.says} beside its siblings than it was: {beside_text(each)} times, "
                "by more than these readings leave open."
            )
    if looks := [each for each in judged if each.says in {Says.LOOKS_LOWER, Says.LOOKS_HIGHER}]:
        yield from (f"Cylinder {each.cylinder} {each.says} than it was: {beside_text(each)} times." for each in looks)
        yield false_alarm(len(judged))
    if alike := [each.cylinder for each in judged if each.says is Says.NO_CHANGE]:
        yield f"{capital(cylinders(alike))}, beside the siblings: {Says.NO_CHANGE}."
    if any(each.ratio is not None and each.interval is None for each in change.cylinders):
        yield "Cylinders beside their siblings: how sure the ratios are cannot be told, for a gauge is not known."
    if len(change.in_common) == _PAIR:
        yield "Of two cylinders nothing tells which one has changed."


def false_alarm(compared: int) -> str:
    """
    Say how much is to be made of a cylinder that only looks changed.

    Parameters
    ----------
    compared : int
        How many cylinders were looked at.

    Returns
    -------
    str
        A sentence.

    Examples
    --------
    >>> false_alarm(8)
    'Of cylinders that have not changed 1 in 20 looks so; of 8 together one does 34 times in 100, and its interval \
may still hold no change. Pull it again, with repeats, before anything is made of it.'
    """
    together = 100 * (1 - (1 - SELDOM) ** compared)
    return (
        f"Of cylinders that have not changed 1 in {1 / SELDOM:.0f} looks so; of {compared} together one does "
        f"{together:.0f} times in 100, and its interval may still hold no change. Pull it again, with repeats, before "
        "anything is made of it."
    )


def _engine(change: Change) -> str:
    if change.says is Says.NO_CHANGE:
        return str(change.says)
    makes = "day, height, starter and gauge" if change.gauges_known else "day, height and starter"
    aside = "" if change.gauges_known else "; what the gauges make of it is not known"
    return f"{change.says} by more than {makes} could make it{aside}"


def trust_sentences(change: Change, first: Conditions, later: Conditions, *, oil_agreed: bool) -> tuple[str, ...]:
    """
    Tell what the comparison of two tests rests on.

    Parameters
    ----------
    change : Change
        The change.
    first, later : Conditions
        Both days, as they were said.
    oil_agreed : bool
        Both are carried to the same oil.

    Returns
    -------
    tuple of str
        Sentences.
    """
    return tuple(_rests_on(change, first, later, oil_agreed=oil_agreed))


def _rests_on(change: Change, first: Conditions, later: Conditions, *, oil_agreed: bool) -> Iterator[str]:
    yield (
        "Whole engine: what is not known of either day is in the interval; what belongs to the engine is the same on "
        "both and drops out. Cylinders "
        "beside their siblings need no factor: day, height, starter and gauge are the same for all of them."
    )
    if change.engine is not None and change.days + change.gauges + change.readings > 0:
        parts = (
            ("day, height and starter", change.days),
            ("how far the gauges are off", change.gauges),
            ("the readings", change.readings),
        )
        told = [f"{name} {100 * share:.0f} %" for name, share in sorted(parts, key=lambda each: -each[1])]
        yield f"Why the interval of the whole engine is as wide as it is: of its variance {listed(told)}."
    speeds = [str(day.cranking_speed) if day.cranking_speed else "not said" for day in (first, later)]
    changed = any(each.says not in {Says.NO_CHANGE, Says.CANNOT_TELL} for each in change.cylinders)
    if changed and (speeds[0] != speeds[1] or first.cranking_speed is None):
        yield (
            "The starter does not quite drop out of a cylinder that leaks: at 30 rpm less, one with a leak-down of "
            "20 % through 0.040 in reads some 2 % lower beside its siblings, and one that leaks more loses more. That "
            f"is in no interval. Cranking speed: {speeds[0]}, then {speeds[1]}."
        )
    if change.same_gauge:
        yield ("The same gauge read both tests: how far it is off drops out, but for what it makes at two levels.")
    elif change.same_gauge is False:
        yield (
            "Another gauge read the second test: how far each may be off is in the change of the whole engine, once "
            "for each and not made smaller by the number of cylinders."
        )
    if not change.gauges_known:
        yield (
            "Of one gauge at least neither resolution nor grade is known: what the readings leave open by themselves "
            "is in no interval."
        )
    oils = [str(day.oil) if day.oil else "not said" for day in (first, later)]
    if not oil_agreed and (oils[0] != oils[1] or first.oil is None):
        yield (
            f"Oil is left as it was ({oils[0]}, then {oils[1]}): what it does is in the change. Say --oil to "
            "carry it too."
        )
    out = [each.cylinder for each in change.cylinders if each.cylinder not in change.in_common]
    if out:
        yield f"Not read both times: {cylinders(out)}; nothing that is said here holds for what was not read."
