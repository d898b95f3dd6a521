"""
The pattern in the readings, as a person reads it.

A final alone never names a leak path: oil, the leak-down and the ear do. The one exception of common practice is two
low neighbours on one gasket that oil does not change. The odds of each cause are no part of this.
"""

from __future__ import annotations

from collections.abc import Iterator

from ringtrue.compression import CompressionTest
from ringtrue.diagnosis.facts import AgainstLevel, Evidence, OilBasis, OilSays, Pattern, PatternKey
from ringtrue.diagnosis.oil import LITTLE_AS_READ
from ringtrue.diagnosis.seen import FIRST_STROKE_LOW, NEAR_ZERO, NO_LOSS, Seen, is_most
from ringtrue.engine import BuildSheet
from ringtrue.measure import Interval, Judgement, Outcome, Place

_HEARD = {
    "crankcase": PatternKey.HEARD_CRANKCASE,
    "intake": PatternKey.HEARD_INTAKE,
    "exhaust": PatternKey.HEARD_EXHAUST,
    "coolant": PatternKey.HEARD_COOLANT,
}
_HARMLESS = {PatternKey.WET_OIL_VOLUME}
_EXPLAINED = {
    PatternKey.HEARD_CRANKCASE,
    PatternKey.HEARD_INTAKE,
    PatternKey.HEARD_EXHAUST,
    PatternKey.HEARD_COOLANT,
    PatternKey.HEARD_CYLINDER,
    PatternKey.NEIGHBOURS_LOW,
    PatternKey.LOW_BETTER_WITH_OIL,
    PatternKey.LOW_OIL_CHANGES_LITTLE,
    PatternKey.LOW_LEAKDOWN_GOOD,
    PatternKey.BANK_LOW,
}
"""Patterns after which a low cylinder is no longer without an explanation to look into."""

_BARELY_MORE = 1.01
"""Wet over dry up to which nothing has changed that a gauge would show. [-]"""


def patterns(
    judgement: Judgement, test: CompressionTest, sheet: BuildSheet | None, *, expected: Interval | None = None
) -> tuple[Pattern, ...]:
    """
    Find what stands out in a judged test.

    Parameters
    ----------
    judgement : Judgement
        What judging found.
    test : CompressionTest
        What was done and read.
    sheet : BuildSheet or None
        The engine: neighbours, banks, its own minimum. Without one none of them is known.
    expected : Interval or None
        90 % interval of the final that this engine should show that day; None when nobody worked it out. [Pa gauge]

    Returns
    -------
    tuple of Pattern
        The most pressing first; several may hold at once. Empty only when no final was read.

    Notes
    -----
    That all cylinders are low or high takes a level to compare with: the sheet's own minimum, or an expectation.

    References
    ----------
    .. [1] Common practice of the trade; oil and two low neighbours also
           CT-02, US Army TM 5-4210-230-14&P-1, addendum 2.
    """
    series = judgement.main
    if series is None or series.count == 0:
        return ()
    seen = Seen(series, judgement, test, sheet, expected)
    found = [
        *_near_zero(seen),
        *_contradictions(seen),
        *_heard(seen),
        *_oil(seen),
        *_filling(seen),
        *_groups(seen),
        *_levels(seen),
        *_first_strokes(seen),
        *_leakdown_alone(seen),
        *_wet_volume(seen),
        *_not_placed(seen),
    ]
    found += _not_explained(seen, found)
    if not any(each.key not in _HARMLESS for each in found):
        in_line = seen.at(Place.IN_LINE)
        broken = tuple(rule for rule in series.rules if rule.level == "limit" and rule.outcome is Outcome.NOT_MET)
        found.append(Pattern(PatternKey.NOTHING_STANDS_OUT, in_line, None, broken))
    order = list(PatternKey)
    return tuple(sorted(found, key=lambda each: order.index(each.key)))


def _one(key: PatternKey, cylinder: str, *evidence: Evidence | None) -> Pattern:
    return Pattern(key, (cylinder,), None, tuple(each for each in evidence if each is not None))


def _near_zero(seen: Seen) -> Iterator[Pattern]:
    if seen.near_zero:
        yield Pattern(PatternKey.NEAR_ZERO, seen.near_zero, None, tuple(seen.figures[name] for name in seen.near_zero))


def _contradictions(seen: Seen) -> Iterator[Pattern]:
    for name, leak in seen.leakdowns.items():
        hiss = seen.heard(name)
        silent = "nothing" in leak.heard
        if (
            (hiss and silent)
            or (hiss and leak.loss is not None and leak.loss <= NO_LOSS)
            or (silent and leak.outcome is Outcome.NOT_MET)
        ):
            yield _one(PatternKey.LEAKDOWN_CONTRADICTS, name, leak)
        oil = seen.oil.get(name)
        if oil is None or name not in seen.low:
            continue
        elsewhere = hiss and "crankcase" not in hiss and seen.leaks(name)
        rings_alone = set(hiss) == {"crankcase"} and seen.leaks(name)
        if (oil.says is OilSays.CLEARLY_BETTER and (elsewhere or seen.leakdown_good(name))) or (
            oil.says is OilSays.LITTLE and rings_alone
        ):
            yield _one(PatternKey.OIL_AND_LEAKDOWN_DISAGREE, name, oil, leak)


def _heard(seen: Seen) -> Iterator[Pattern]:
    for name, leak in seen.leakdowns.items():
        if not seen.leaks(name):
            continue
        for place in seen.heard(name):
            if place in _HEARD:
                yield _one(_HEARD[place], name, leak)
            elif place.startswith("cylinder "):
                yield Pattern(PatternKey.HEARD_CYLINDER, (name, place.removeprefix("cylinder ")), None, (leak,))


def _oil(seen: Seen) -> Iterator[Pattern]:
    for pair in seen.gasket_pairs:
        why = dict.fromkeys(fact for name in pair for fact in (*seen.why_low(name), seen.oil[name]))
        leaks = [seen.leakdowns[name] for name in pair if name in seen.leakdowns]
        yield Pattern(PatternKey.NEIGHBOURS_LOW, pair, None, (*why, *leaks))
    for name in seen.with_oil(OilSays.CLEARLY_BETTER, seen.low):
        leak = seen.leakdowns.get(name)
        yield _one(PatternKey.LOW_BETTER_WITH_OIL, name, *seen.why_low(name), seen.oil[name], leak)
    for name in seen.with_oil(OilSays.LITTLE, seen.low):
        if not any(name in pair for pair in seen.gasket_pairs):
            leak = seen.leakdowns.get(name)
            yield _one(PatternKey.LOW_OIL_CHANGES_LITTLE, name, *seen.why_low(name), seen.oil[name], leak)


def _filling(seen: Seen) -> Iterator[Pattern]:
    for name in (*seen.near_zero, *seen.low):
        if seen.leakdown_good(name):
            leak, lift = seen.leakdowns[name], seen.lift_lost(name)
            why = (seen.figures[name],) if name in seen.near_zero else seen.why_low(name)
            yield _one(PatternKey.LOW_LEAKDOWN_GOOD, name, *why, leak, lift)


def _groups(seen: Seen) -> Iterator[Pattern]:
    banks = seen.sheet.banks if seen.sheet else ()
    whole = [index for index, bank in enumerate(banks) if len(bank) > 1 and _whole_bank_low(seen, bank)]
    if len(banks) > 1 and 0 < len(whole) < len(banks):
        for index in whole:
            why: tuple[Evidence, ...] = (seen.groups,) if seen.groups else ()
            figures = tuple(seen.figures[name] for name in banks[index])
            yield Pattern(PatternKey.BANK_LOW, banks[index], index, (*figures, *why))
    elif seen.groups and set(seen.groups.lower) not in [set(pair) for pair in seen.gasket_pairs]:
        yield Pattern(PatternKey.TWO_GROUPS, seen.groups.lower, None, (seen.groups,))


def _whole_bank_low(seen: Seen, bank: tuple[str, ...]) -> bool:
    if seen.groups:
        return set(seen.groups.lower) == set(bank)
    return all(name in seen.at(Place.LOW) for name in bank)


def _levels(seen: Seen) -> Iterator[Pattern]:
    sides: list[tuple[PatternKey, AgainstLevel | None]] = [
        (PatternKey.ALL_LOW, seen.below_minimum),
        (PatternKey.ALL_LOW, seen.below_expected),
        (PatternKey.ALL_HIGH, seen.above_expected),
    ]
    if len(seen.near_zero) == len(seen.figures) > 1:
        dead = AgainstLevel(seen.near_zero, len(seen.figures), NEAR_ZERO, "common practice")
        sides.append((PatternKey.ALL_LOW, dead))
    for key in (PatternKey.ALL_LOW, PatternKey.ALL_HIGH):
        found = [side for of, side in sides if of is key and side is not None and is_most(side)]
        if found:
            names = tuple(name for name in seen.figures if any(name in side.cylinders for side in found))
            yield Pattern(key, names, None, tuple(found))
    for name in seen.at(Place.HIGH):
        yield _one(PatternKey.HIGH, name, seen.figures[name])


def _first_strokes(seen: Seen) -> Iterator[Pattern]:
    for name, mine in seen.figures.items():
        beside = seen.first_strokes(name)
        if beside is None or name in seen.near_zero or _names_the_path(seen, name):
            continue
        climbs_late = beside.first_over_final < FIRST_STROKE_LOW * beside.siblings
        if climbs_late and mine.place is Place.IN_LINE:
            yield _one(PatternKey.FIRST_LOW_CLIMBS, name, mine, beside)
        elif not climbs_late and mine.place is Place.LOW and seen.first_is_low(name):
            yield _one(PatternKey.FIRST_LOW_STAYS, name, mine, beside)


def _names_the_path(seen: Seen, name: str) -> bool:
    """Air that was heard, or oil that helped, says where a cylinder leaks; a first stroke is weak beside it."""
    oil = seen.oil.get(name)
    heard = bool(seen.heard(name)) and name in seen.leakdowns and seen.leaks(name)
    return heard or (oil is not None and oil.says is OilSays.CLEARLY_BETTER)


def _leakdown_alone(seen: Seen) -> Iterator[Pattern]:
    for name, leak in seen.leakdowns.items():
        mine = seen.figures.get(name)
        if (
            mine is not None
            and mine.place is Place.IN_LINE
            and leak.outcome is Outcome.NOT_MET
            and name not in seen.low
        ):
            yield _one(PatternKey.FINE_LEAKDOWN_POOR, name, mine, leak)


def _wet_volume(seen: Seen) -> Iterator[Pattern]:
    raw = {each.cylinder: each.ratio for each in seen.judgement.wet_over_dry if each.ratio is not None}
    sound = [name for name in seen.at(Place.IN_LINE) if name not in seen.low and raw.get(name, 0.0) > _BARELY_MORE]
    by_volume = [
        name
        for name in sound
        if (seen.oil[name].basis is OilBasis.NET and seen.oil[name].says is OilSays.LITTLE)
        or (seen.oil[name].basis is not OilBasis.NET and raw[name] <= LITTLE_AS_READ)
    ]
    if by_volume:
        why = tuple(seen.oil[name] for name in by_volume)
        yield Pattern(PatternKey.WET_OIL_VOLUME, tuple(by_volume), None, why)


def _not_placed(seen: Seen) -> Iterator[Pattern]:
    lost = tuple(name for name in seen.at(Place.CANNOT_TELL) if name not in seen.near_zero)
    if lost and seen.groups is None:
        yield Pattern(PatternKey.CANNOT_TELL, lost, None, tuple(seen.figures[name] for name in lost))
    if len(seen.figures) == 1:
        names = tuple(seen.figures)
        yield Pattern(PatternKey.NOTHING_TO_COMPARE, names, None, (seen.figures[names[0]],))


def _not_explained(seen: Seen, found: list[Pattern]) -> list[Pattern]:
    more, told = [], set()
    for each in found:
        if each.key in _EXPLAINED:
            told |= set(each.cylinders)
    for name in seen.low:
        fewer = seen.fewer_strokes(name)
        if fewer is not None:
            more.append(_one(PatternKey.LOW_FEWER_STROKES, name, *seen.why_low(name), fewer))
        elif name not in told and seen.figures[name].place is not Place.CANNOT_TELL:
            oil, leak = seen.oil.get(name), seen.leakdowns.get(name)
            more.append(_one(PatternKey.LOW_NOT_EXPLAINED, name, *seen.why_low(name), oil, leak))
    return more
