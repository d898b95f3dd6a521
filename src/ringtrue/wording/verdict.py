"""What a judged test means, for an owner who does not know the trade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ringtrue.compression import Kind
from ringtrue.measure import (
    CylinderFigures,
    Outcome,
    Place,
    RuleOutcome,
    RunningFigures,
    SeriesJudgement,
)
from ringtrue.measure.limits import OFF_IN_SCALES, OFF_THE_MEDIAN
from ringtrue.sources import source
from ringtrue.units import Unit
from ringtrue.wording.calibrating import correction_sentences
from ringtrue.wording.evidence import groups_sentence
from ringtrue.wording.names import capital, cylinders, listed
from ringtrue.wording.numbers import figure_and_limit, interval, percent, shortest
from ringtrue.wording.rules import limit_text, source_text, title
from ringtrue.wording.shown import Shown


def summary(series: SeriesJudgement | None, unit: Unit) -> tuple[str, ...]:
    """
    Say what the readings of a series mean, for somebody who does not know the trade.

    Parameters
    ----------
    series : SeriesJudgement or None
        The dry series, or the wet one where there is no dry; None where no cylinder was pulled.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    tuple of str
        Sentences, the most important first. How sure they are, and what they rest on, `how_sure` says.
    """
    if series is None:
        return ("No cylinder was pulled, so no cylinder is placed.",)
    corrected = () if series.correction is None else correction_sentences(series.correction, unit)
    return (*_summary(series, unit), *corrected)


def how_sure(series: SeriesJudgement, unit: Unit) -> tuple[str, ...]:
    """
    Say how sure the judgement of a series is, and what it rests on.

    Parameters
    ----------
    series : SeriesJudgement
        The series.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    tuple of str
        Sentences: rules that disagree, what *out of line* means, the gauge alone, the day, the test for outliers, and
        what the uncertainty rests on.
    """
    return tuple(_how_sure(series, unit))


def place_sentence(cylinder: CylinderFigures, unit: Unit, rules: Sequence[RuleOutcome] = ()) -> str:
    """
    Say where one cylinder stands.

    Parameters
    ----------
    cylinder : CylinderFigures
        The cylinder.
    unit : Unit
        Unit of pressures.
    rules : sequence of RuleOutcome
        The rules of its series, so that no figure is shown on the other side of a limit.

    Returns
    -------
    str
        One sentence, with its final, where the gauge is known its interval, and its distance from the mean of all.
    """
    name = f"Cylinder {cylinder.cylinder}"
    if cylinder.final is None or cylinder.place is Place.NOT_READ:
        return f"{name} was not read."
    shown = Shown(unit, rules)
    within = "" if cylinder.interval is None else f" (90 % interval {interval(cylinder.interval, unit)})"
    read = f"{shown.final(cylinder.final)}{within}, {shown.off_the_mean(cylinder.deviation_percent or 0.0)}"
    if cylinder.place is Place.CANNOT_TELL:
        return f"{name} cannot be placed: {read}."
    return f"{name} is {cylinder.place}: {read}."


def figures_sentence(series: SeriesJudgement, unit: Unit) -> str:
    """
    Tell mean, mean deviation, lowest and highest.

    Parameters
    ----------
    series : SeriesJudgement
        The series.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One sentence; empty where nothing was read.
    """
    low, high, shown = series.lowest, series.highest, Shown(unit, series.rules)
    if series.mean is None or low is None or high is None:
        return ""
    if series.count == 1:
        return f"Cylinder {low.cylinder} read {shown.final(low.value)}."
    over = series.lowest_over_highest
    quotient = "" if over is None else f"; lowest over highest {shown.lowest_over_highest(over)}"
    spread = shown.mean_deviation(series.mean_deviation or 0.0, series.mean_deviation_percent or 0.0)
    return (
        f"Mean {shown.final(series.mean)}, {spread}; lowest cylinder {low.cylinder} with {shown.final(low.value)}, "
        f"highest cylinder {high.cylinder} with {shown.final(high.value)}{quotient}."
    )


def running_sentence(running: RunningFigures, unit: Unit) -> str:
    """
    Tell the figures after one pull.

    Parameters
    ----------
    running : RunningFigures
        The figures so far.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One sentence.
    """
    shown = Shown(unit)
    spread = shown.mean_deviation(running.mean_deviation, running.mean_deviation_percent)
    return f"After cylinder {running.cylinder}: mean {shown.final(running.mean)}, {spread}."


def drift_asked(cylinder: str) -> str:
    """
    Ask for the pull that repeats the first cylinder at the end.

    Parameters
    ----------
    cylinder : str
        Its name.

    Returns
    -------
    str
        One sentence.
    """
    return f"Pull cylinder {cylinder} once more: the difference is the day's drift, and it belongs in every interval."


def drift_sentence(series: SeriesJudgement, unit: Unit) -> str:
    """
    Tell the day's drift.

    Parameters
    ----------
    series : SeriesJudgement
        The series.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One sentence; empty where the first cylinder was not pulled again at the end.
    """
    drift, shown = series.drift, Shown(unit, series.rules)
    if drift is None:
        return ""
    before, after = shown.final(drift.before), shown.final(drift.after)
    read = f"cylinder {drift.cylinder} " + ("read" if series.correction is None else "came, corrected, to")
    if drift.fraction == 0:
        return f"The day's drift: none; {read} {before} in its turn and again at the end."
    change = f"{percent(100 * abs(drift.fraction))} {'lower' if drift.fraction < 0 else 'higher'}"
    return f"The day's drift: {read} {before} in its turn and {after} at the end, {change}."


def _summary(series: SeriesJudgement, unit: Unit) -> Iterator[str]:
    if series.kind is Kind.WET:
        yield "These are wet readings: oil in the cylinders raises them, so they are not held against each other."
    if series.mean is None:
        yield "No final was read, so nothing is judged."
        return
    yield from _places(series, unit)
    yield from _rules(series, unit)


def _how_sure(series: SeriesJudgement, unit: Unit) -> Iterator[str]:
    if series.mean is None:
        return
    yield from _disagreements(series)
    if any(each.place in {Place.LOW, Place.HIGH} for each in series.cylinders):
        yield (
            f"Out of line means more than {shortest(100 * OFF_THE_MEDIAN, 1)} % off the median of all (common "
            f"practice), or more than {OFF_IN_SCALES:g} times what the scatter of the others and the gauge explain "
            f"({source('modified z').title})."
        )
    yield from _spread_beside_gauge(series, unit)
    yield from [day] if (day := drift_sentence(series, unit)) else []
    yield from _outliers(series)
    yield from (f"{capital(note)}." for note in series.uncertainty_notes)


def _places(series: SeriesJudgement, unit: Unit) -> Iterator[str]:
    read = [each for each in series.cylinders if each.final is not None]
    out = [each for each in read if each.place in {Place.LOW, Place.HIGH}]
    lost = [each.cylinder for each in read if each.place is Place.CANNOT_TELL]
    if series.count == 1:
        yield f"{figures_sentence(series, unit)} With no other cylinder beside it, its place says nothing."
        return
    if series.two_groups:
        yield f"Two groups. {groups_sentence(series.two_groups)} Nothing in these readings says which group is right."
    elif lost:
        yield f"{capital(cylinders(lost))} cannot be placed: the readings contradict each other, or lie too far apart."
    elif not out:
        which = f"The {series.count} cylinders that were read" if series.not_read else f"All {series.count} cylinders"
        broken = any(rule.level == "limit" and rule.outcome is Outcome.NOT_MET for rule in series.rules)
        yield f"{which} are in line with one another" + (
            ", but a limit is not met." if broken else ": nothing in these finals speaks against their sealing."
        )
    yield from (place_sentence(each, unit, series.rules) for each in out)
    if out:
        in_line = [each.cylinder for each in read if each.place is Place.IN_LINE]
        yield from [f"In line: {cylinders(in_line)}."] if in_line else []
    spread = series.spread_against_gauge
    if spread is not None and spread.no_bigger and not out:
        yield "The cylinders differ by no more than this gauge alone would show on cylinders that are all alike."
    if series.not_read:
        yield f"Not read: {cylinders(series.not_read)}; nothing that is said here holds for what was not read."
    yield figures_sentence(series, unit)


def _rules(series: SeriesJudgement, unit: Unit) -> Iterator[str]:
    limits = [rule for rule in series.rules if rule.level == "limit"]
    for outcome in (Outcome.NOT_MET, Outcome.TOO_CLOSE, Outcome.NOT_JUDGED, Outcome.MET):
        named = [title(rule.rule) for rule in limits if rule.outcome is outcome]
        if named:
            yield f"Limits {outcome}: {'; '.join(named)}."
    for rule in series.rules:
        if rule.level == "target" and rule.outcome is not Outcome.NOT_JUDGED:
            asked = f"under {limit_text(rule, unit)}, {source_text(rule.source)}"
            yield f"What a careful builder expects of the mean deviation ({asked}): {rule.outcome}."
    for rule in series.rules:
        if rule.level == "expectation" and rule.outcome in {Outcome.NOT_MET, Outcome.TOO_CLOSE}:
            says = "it does" if rule.outcome is Outcome.NOT_MET else "too close to call"
            which = "low" if rule.rule == "whole_engine_low" else "high"
            yield f"Whether the whole engine reads {which} for its build sheet: {says} (90 % interval of the level)."
    if series.disagreements:
        yield "The rules disagree; each stands in the list with what it asks and who made it."


def _disagreements(series: SeriesJudgement) -> Iterator[str]:
    for broken in dict.fromkeys(not_met for _, not_met in series.disagreements):
        kept = [f"“{title(met)}”" for met, not_met in series.disagreements if not_met == broken]
        yield (
            f"Rules disagree: {listed(kept)} {'is' if len(kept) == 1 else 'are'} met, “{title(broken)}” is not. They "
            "ask different things and have different makers; the engine's own service data come first."
        )


def _spread_beside_gauge(series: SeriesJudgement, unit: Unit) -> Iterator[str]:
    spread = series.spread_against_gauge
    if spread is None:
        return
    seen = Shown(unit, series.rules).mean_deviation_percent(spread.observed)
    alone = percent(spread.expected)
    if spread.no_bigger:
        yield (
            f"The mean deviation of {seen} is no bigger than this gauge alone would show on cylinders that are all "
            f"alike ({alone} on average): these readings do not tell the cylinders apart."
        )
    else:
        yield f"The mean deviation of {seen} is bigger than this gauge alone would show ({alone} on average)."


def _outliers(series: SeriesJudgement) -> Iterator[str]:
    found = series.outliers
    if found is None:
        return
    name, key = ("Grubbs' test", "Grubbs") if found.test == "Grubbs" else ("The generalised ESD test", "ESD")
    statistic, critical = figure_and_limit(found.statistic, found.critical, 3)
    level = f"two-sided {percent(100 * found.alpha, decimals=0)}"
    says = f"sets {cylinders(found.cylinders)} apart from the others" if found.cylinders else "sets no cylinder apart"
    yield f"{name} {says}: statistic {statistic}, critical value {critical}, {level} ({source(key)})."
    if not found.cylinders and any(each.place in {Place.LOW, Place.HIGH} for each in series.cylinders):
        yield "Several cylinders that are off can hide each other from such a test; their places do not rest on it."
