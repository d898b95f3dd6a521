"""Patterns in words: what is seen, what it usually means, what to check next, and with what care."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ringtrue.diagnosis import Pattern, PatternKey, oil_dose
from ringtrue.engine import BuildSheet, Ignition
from ringtrue.measure import RuleOutcome
from ringtrue.units import Unit
from ringtrue.wording.checklists import oil_text, where_to_listen
from ringtrue.wording.dangers import Care, care
from ringtrue.wording.evidence import Told
from ringtrue.wording.names import capital, cylinders
from ringtrue.wording.shown import Shown


@dataclass(frozen=True, slots=True)
class PatternWords:
    """
    A pattern, told.

    Parameters
    ----------
    title : str
        What is seen, in a few words.
    seen : str
        What is seen, with its figures.
    means : str
        What it usually means.
    next_check : str
        What to check next; empty where nothing is to be done.
    caution : str
        What can hurt while doing so; empty where the check leaves the engine alone.
    """

    title: str
    seen: str
    means: str
    next_check: str
    caution: str


@dataclass(frozen=True, slots=True)
class _Words:
    """How one pattern is told; {names}, {first}, {second} and {bank} are filled in."""

    title: str
    seen: Callable[[Told], str]
    means: str
    next_check: str = ""
    care: Care = Care.NOTHING


_TWO_STROKES = 2

_REPEAT = (
    "Run the engine again and repeat the leak-down on {names} before anything is taken apart (FAA AC 43.13-1B, "
    "8-14b(5))."
)
_GASKET = "Leak-down on cylinder {first}; listen at the plug hole of cylinder {second}."

_WORDS: dict[PatternKey, _Words] = {
    PatternKey.NEAR_ZERO: _Words(
        "At or near zero",
        lambda told: told.near_zero,
        "A valve stuck open or not closing, a hole in the piston, or no valve motion on the intake.",
        "Look before cranking again: at the gauge's fitting, at the motion of the valves, through the plug hole of "
        "{names}.",
        Care.LOOKING,
    ),
    PatternKey.LEAKDOWN_CONTRADICTS: _Words(
        "Leak-down contradicts itself",
        lambda told: f"{told.leak} The two cannot both be so.",
        "The air was heard at a hose or fitting, a gauge stood still, or a place was not listened to.",
        "Repeat the leak-down on {names} at true top dead centre; listen at hoses, fittings and regulator too.",
        Care.AIR,
    ),
    PatternKey.OIL_AND_LEAKDOWN_DISAGREE: _Words(
        "Oil and leak-down disagree",
        lambda told: f"{told.oil} {told.leak} Oil and leak-down point to different places.",
        "More than one leak, or the piston was not at top dead centre.",
        "Repeat the leak-down on {names} at true top dead centre, with the engine warm, before either is believed.",
        Care.AIR,
    ),
    PatternKey.LOW_FEWER_STROKES: _Words(
        "Low, with fewer strokes",
        lambda told: f"{told.low}. {told.strokes}",
        "It may be low only because it was cranked less.",
        "Pull {names} again, with as many compression strokes as the others, five or more (CT-02: US Army TM "
        "5-4210-230-14&P-1).",
        Care.CRANKING,
    ),
    PatternKey.HEARD_CRANKCASE: _Words(
        "Leak heard at the oil filler",
        lambda told: told.leak,
        "The rings of {names}, or the bore.",
        _REPEAT,
        Care.RUNNING,
    ),
    PatternKey.HEARD_INTAKE: _Words(
        "Leak heard at the intake",
        lambda told: told.leak,
        "The intake valve of {names}, or its seat.",
        _REPEAT,
        Care.RUNNING,
    ),
    PatternKey.HEARD_EXHAUST: _Words(
        "Leak heard at the exhaust",
        lambda told: told.leak,
        "The exhaust valve of {names}, or its seat.",
        _REPEAT,
        Care.RUNNING,
    ),
    PatternKey.HEARD_COOLANT: _Words(
        "Leak seen in the coolant",
        lambda told: told.leak,
        "Head gasket or a crack, from {names} to the coolant.",
        "Repeat the leak-down on {names} before anything is taken apart; look for bubbles in the coolant (FAA AC "
        "43.13-1B, 8-14b(5)).",
        Care.COOLANT,
    ),
    PatternKey.HEARD_CYLINDER: _Words(
        "Leak heard in the next cylinder",
        lambda told: told.leak,
        "Head gasket or a crack between {names}.",
        "The same the other way round: leak-down on cylinder {second}; listen at the plug hole of cylinder {first}.",
        Care.AIR,
    ),
    PatternKey.NEIGHBOURS_LOW: _Words(
        "Two neighbours low, oil changes little",
        lambda told: f"{told.low}. They are neighbours on one gasket. {told.oil}",
        "Usually the head gasket between them.",
        _GASKET,
        Care.AIR,
    ),
    PatternKey.LOW_BETTER_WITH_OIL: _Words(
        "Low, clearly better with oil",
        lambda told: f"{told.low}. {told.oil}",
        "Usually rings or bore.",
        "Leak-down on {names}; listen at the oil filler.",
        Care.AIR,
    ),
    PatternKey.LOW_OIL_CHANGES_LITTLE: _Words(
        "Low, oil changes little",
        lambda told: f"{told.low}. {told.oil}",
        "Usually a valve or its seat.",
        "Leak-down on {names}; listen at the intake and at the tailpipe.",
        Care.AIR,
    ),
    PatternKey.LOW_LEAKDOWN_GOOD: _Words(
        "Low, leak-down good",
        lambda told: f"{told.low}. {told.leak}{told.lift}",
        "That cylinder is not filling: worn lobe, collapsed lifter, lash, or a bent pushrod.",
        "Measure the valve lift of {names}.",
        Care.TURNING,
    ),
    PatternKey.LOW_NOT_EXPLAINED: _Words(
        "Low, not yet explained",
        lambda told: f"{told.low}.{_spaced(told.oil)}{_spaced(told.leak)}",
        "The final alone does not say where it leaks, or whether it fills.",
    ),
    PatternKey.BANK_LOW: _Words(
        "One whole bank low",
        lambda told: f"Every cylinder of bank {told.bank} is lower than the rest: {told.finals}.",
        "Usually that bank's own cam, or its gasket.",
        "Check the timing of bank {bank}.",
        Care.TURNING,
    ),
    PatternKey.TWO_GROUPS: _Words(
        "Two groups",
        lambda told: told.groups,
        "Half of the cylinders differ from the other half; nothing in the finals says which half is right.",
        "Pull one of each group again with another gauge; then a leak-down on one of each.",
        Care.AIR,
    ),
    PatternKey.ALL_LOW: _Words(
        "All low and alike",
        lambda told: told.level("below"),
        "Cam late, throttle closed, slow or cold cranking, decompression, the gauge, fuel-washed bores, or general "
        "wear.",
        "Check the conditions (throttle, battery, warmth, gauge), then the cam timing.",
        Care.CRANKING,
    ),
    PatternKey.ALL_HIGH: _Words(
        "All high",
        lambda told: told.level("above"),
        "Carbon, oil in the chambers, chambers smaller than the sheet says, cam early, or the gauge.",
        "Pull again with another gauge, then check the cam timing.",
        Care.CRANKING,
    ),
    PatternKey.HIGH: _Words(
        "One high", lambda told: f"{told.high}.", "Carbon or oil in it, or its chamber is smaller than the others'."
    ),
    PatternKey.FIRST_LOW_CLIMBS: _Words(
        "First stroke low, then climbs",
        lambda told: f"{told.first} Its final is in line.",
        "It may be rings slow to seal. This is weak evidence, and names no leak by itself.",
    ),
    PatternKey.FIRST_LOW_STAYS: _Words(
        "First stroke low, and stays low",
        lambda told: f"{told.low}. It was low from the first stroke on. {told.first}",
        "It may be a valve. This is weak evidence, and names no leak by itself.",
    ),
    PatternKey.FINE_LEAKDOWN_POOR: _Words(
        "Compression fine, leak-down poor",
        lambda told: f"{told.in_line}. {told.leak}",
        "A leak that matters at standstill more than when cranking; or the piston was not at top dead centre.",
        "Repeat the leak-down on {names} at true top dead centre.",
        Care.AIR,
    ),
    PatternKey.WET_OIL_VOLUME: _Words(
        "Wet reading up by the oil's own volume",
        lambda told: told.oil,
        "Only the volume of the oil itself, on a sound cylinder: subtract it before judging.",
    ),
    PatternKey.CANNOT_TELL: _Words(
        "Cannot be placed",
        lambda told: f"{capital(told.names)} cannot be placed among the others: {told.finals}.",
        "Readings of one cylinder contradict each other, or the others lie too far apart to say what is normal.",
        "Pull {names} again, as declared repeats; correct what was misread.",
        Care.CRANKING,
    ),
    PatternKey.NOTHING_TO_COMPARE: _Words(
        "One reading, no siblings",
        lambda told: f"Only one cylinder was read: {told.finals}.",
        "With nothing beside it, a single final shows neither a sound nor a leaking cylinder.",
        "Compare it with the service data and with this engine's own earlier tests; a leak-down needs no siblings.",
        Care.AIR,
    ),
    PatternKey.NOTHING_STANDS_OUT: _Words(
        "Nothing stands out",
        lambda told: f"No cylinder stands out from its siblings.{_spaced(told.broken)}",
        "The cylinders read alike. How high they ought to read is another question, which the service data answer.",
    ),
}


_TWO_STROKE: dict[PatternKey, tuple[str, str]] = {
    PatternKey.NEAR_ZERO: (
        "A hole in the piston, a ring that is stuck or broken, or, where it has valves, one that does not close.",
        "Look before cranking again: at the gauge's fitting, through the ports, through the plug hole of {names}.",
    ),
    PatternKey.HEARD_INTAKE: ("The rings of {names}: the air comes out through crankcase and intake.", _REPEAT),
    PatternKey.HEARD_EXHAUST: ("The rings of {names} past the port, or an exhaust valve where there is one.", _REPEAT),
    PatternKey.LOW_OIL_CHANGES_LITTLE: (
        "Usually the joint of the head, or a valve where there is one.",
        "Leak-down on {names}; listen all round the joint of the head, at the intake and at the tailpipe.",
    ),
    PatternKey.LOW_LEAKDOWN_GOOD: (
        "That cylinder is not filling: a reed, a seal of the crankcase, or a port that is not clear.",
        "Look at reeds, crankcase seals and ports of {names}.",
    ),
    PatternKey.FIRST_LOW_STAYS: (
        "It may be the joint of the head. This is weak evidence, and names no leak by itself.",
        "",
    ),
}
"""What differs on a two-stroke: it seldom has valves, and breathes through its crankcase. Meaning, next check."""

_ASK_FOR_LEAKDOWN = {
    PatternKey.NEIGHBOURS_LOW,
    PatternKey.LOW_BETTER_WITH_OIL,
    PatternKey.LOW_OIL_CHANGES_LITTLE,
}


def pattern_words(
    pattern: Pattern, unit: Unit, sheet: BuildSheet | None = None, rules: Sequence[RuleOutcome] = ()
) -> PatternWords:
    """
    Tell a pattern.

    Parameters
    ----------
    pattern : Pattern
        What was found.
    unit : Unit
        Unit of pressures.
    sheet : BuildSheet or None
        The engine, for what is right to check on it; None where it is not known.
    rules : sequence of RuleOutcome
        The rules that the series was held against, so that no figure is shown on the other side of a limit.

    Returns
    -------
    PatternWords
        Plain sentences.
    """
    words, told = _WORDS[pattern.key], Told(pattern, Shown(unit, rules))
    means, check, needs = words.means, words.next_check, words.care
    if sheet is not None and sheet.cycle == _TWO_STROKES and pattern.key in _TWO_STROKE:
        means, check = _TWO_STROKE[pattern.key]
    if pattern.key is PatternKey.LOW_NOT_EXPLAINED:
        check, needs = _path(told, sheet)
    elif pattern.key in _ASK_FOR_LEAKDOWN and told.listened:
        check, needs = "", Care.NOTHING
    names = {
        "names": cylinders(pattern.cylinders) if pattern.cylinders else "the engine",
        "first": pattern.cylinders[0] if pattern.cylinders else "",
        "second": pattern.cylinders[-1] if pattern.cylinders else "",
        "bank": told.bank,
    }
    return PatternWords(
        words.title, capital(words.seen(told)), means.format(**names), check.format(**names), care(needs, sheet)
    )


def _path(told: Told, sheet: BuildSheet | None) -> tuple[str, Care]:
    """Say how to find the path of a leak: oil first, but on spark ignition only, and only where it was not tried."""
    ears = "eak-down on {names}; listen: " + where_to_listen(sheet) + "."
    if told.oil or sheet is None or sheet.ignition is not Ignition.SPARK:
        return f"L{ears}", Care.AIR
    dose = oil_dose(sheet)
    oil = "" if dose is None else f", {oil_text(dose.dose)} in each"
    return "Wet test on {names} and on one that is in line" + oil + "; or l" + ears, Care.OIL


def _spaced(sentence: str) -> str:
    return f" {sentence}" if sentence else ""
