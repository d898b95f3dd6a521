"""A judged test beside what its build sheet lets one expect: level, first strokes, and what the build explains."""

from __future__ import annotations

from collections.abc import Iterator

from ringtrue.compression import Band, Expectation
from ringtrue.measure import BuildSpread, Outcome, SeriesJudgement, build_spread
from ringtrue.measure.statistics import median
from ringtrue.units import Unit, from_si
from ringtrue.wording.bands import band_words
from ringtrue.wording.names import cylinders
from ringtrue.wording.numbers import percent, pressure, ratio

_WORTH_TELLING = 0.05
"""A mean deviation that the build explains, below which it is not worth a sentence. [%]"""


def beside_sheet(
    series: SeriesJudgement, expected: Expectation | None, why_not: str, unit: Unit, strokes: int | None = None
) -> tuple[str, ...]:
    """
    Tell a dry series beside what its build sheet lets one expect.

    Parameters
    ----------
    series : SeriesJudgement
        The readings, judged.
    expected : Expectation or None
        What the engine should show that day; None where that cannot be said.
    why_not : str
        Why it cannot; empty where nobody asked.
    unit : Unit
        Unit of pressures.
    strokes : int or None
        Compression strokes after which the finals were read; None where nobody counted.

    Returns
    -------
    tuple of str
        Sentences; empty where there was no sheet.
    """
    if expected is None:
        return (f"What this engine should show cannot be said: {why_not}",) if why_not else ()
    return tuple(_told(series, expected, unit, strokes))


def _told(series: SeriesJudgement, expected: Expectation, unit: Unit, strokes: int | None) -> Iterator[str]:
    finals = {each.cylinder: float(each.final) for each in series.cylinders if each.final is not None}
    if not finals:
        return
    middle, level = median(tuple(finals.values())), expected.final
    after = "" if strokes is None else f" after {strokes} strokes" if strokes > 1 else " after one stroke"
    yield (
        f"Level: the middle of the finals is {pressure(middle, unit)}; by sheet, gauge and day "
        f"{_level(level, unit)} is expected{after}, 9 times in 10. {_where(series)} "
        "The level cannot be foretold more closely than that; the cylinders are judged against one another."
    )
    firsts = {each.cylinder: ratio_ for each in series.cylinders if (ratio_ := each.first_over_final) is not None}
    if firsts:
        yield from _first_strokes(firsts, expected.first_over_final)
    if expected.measured:
        found = build_spread(finals, {each.cylinder: each.ratio.median for each in expected.cylinders})
        if found is not None:
            yield _build(found)


def _level(band: Band, unit: Unit) -> str:
    """Write a level that is expected, a digit coarser than a gauge is read."""
    shown = Band(*(from_si(each, unit) for each in (band.median, band.low, band.high)))
    return band_words(shown, max(unit.decimals - 1, 0), unit.name).whole


def _where(series: SeriesJudgement) -> str:
    """Tell the outcome of the two rules that hold the level against its interval."""
    outcomes = {rule.rule: rule.outcome for rule in series.rules}
    low, high = outcomes.get("whole_engine_low"), outcomes.get("whole_engine_high")
    if low is Outcome.NOT_MET:
        return "It is below: the whole engine reads low."
    if high is Outcome.NOT_MET:
        return "It is above: the whole engine reads high."
    if Outcome.TOO_CLOSE in {low, high}:
        return "Whether it lies inside is too close to call with this gauge."
    if Outcome.NOT_JUDGED in {low, high}:
        return "Whether it lies inside is not judged while cylinders are missing."
    return "It lies inside."


def _first_strokes(firsts: dict[str, float], expected: Band) -> Iterator[str]:
    low, high = min(firsts.values()), max(firsts.values())
    seen = ratio(low) if len(firsts) == 1 or ratio(low) == ratio(high) else f"{ratio(low)} to {ratio(high)}"
    below = [name for name, found in firsts.items() if found < expected.low]
    said = (
        f"First strokes are {seen} of the final; with these rings and this gauge {ratio(expected.low)} to "
        f"{ratio(expected.high)} is expected."
    )
    if len(below) == len(firsts) > 1:
        said += " All lie below it: that speaks of hose, check valve or starter rather than of rings."
    elif below:
        said += f" Below it: {cylinders(below)}. Hose, starter and start weigh in it: siblings say more."
    yield said


def _build(found: BuildSpread) -> str:
    if found.explained < _WORTH_TELLING:
        return "The measured volumes are so alike that they explain nothing of the spread."
    return (
        f"The measured volumes alone make a mean deviation of {percent(found.explained)}; {percent(found.read)} was "
        f"read, and {percent(found.left)} is left once each cylinder is compared with what its volume makes of it: "
        "that is the part that speaks of sealing."
    )
