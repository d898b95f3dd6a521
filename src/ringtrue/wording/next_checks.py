"""The next check in words: what to do, what it takes, what can hurt, and what each possible result would mean."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.diagnosis.causes import BankCause, Cause, Check, EngineCause
from ringtrue.diagnosis.explanation import CheckResult, NextCheck
from ringtrue.engine import BuildSheet
from ringtrue.wording.causes import answer_name, bank_cause_name, cause_name, engine_cause_name
from ringtrue.wording.chances import odds
from ringtrue.wording.checklists import dose_line, where_to_listen
from ringtrue.wording.dangers import Care, care
from ringtrue.wording.leak import leakdown_cautions, turning_cautions
from ringtrue.wording.leakdown_and_oil import heard_text
from ringtrue.wording.names import capital

SETTLED = 0.8
"""A check is said to settle a thing where the answer after it is expected to be at least this sure. [-]"""


@dataclass(frozen=True, slots=True)
class _Words:
    """How one check is told; {name} is the cylinder, {oil} and {places} are filled in."""

    title: str
    do: str


_CHECKS: Mapping[Check, _Words] = MappingProxyType(
    {
        Check.REPEAT_PULL: _Words(
            "pull {name} again",
            "Vent, look at the fitting, and give it as many compression strokes as the others; enter it as repeat 2.",
        ),
        Check.WET_PULL: _Words("wet test on {name}", "{beside} {oil}"),
        Check.LEAK_DOWN: _Words(
            "leak-down on {name}", "Piston at top dead centre of its compression stroke; listen: {places}."
        ),
        Check.VALVE_LIFT: _Words(
            "valve lift of {name}", "Dial gauge on both valves, a turn of the cam; compare with a sound sibling."
        ),
        Check.CAM_TIMING: _Words(
            "cam timing{of}", "Degree wheel on the crank, dial gauge on a valve; compare with the cam card."
        ),
        Check.BATTERY_AND_THROTTLE: _Words(
            "battery, cranking speed and throttle",
            "Charge the battery, hold throttle and choke wide open, warm the engine, lock out a decompressor as the "
            "service data say, and pull one cylinder again.",
        ),
        Check.ANOTHER_GAUGE: _Words("another gauge{on}", "The same pull with a gauge that is known to be right."),
        Check.BORESCOPE: _Words(
            "look into {name}", "A borescope through the plug hole: wall, piston, valves and seats, gasket edge."
        ),
        Check.TAKE_APART: _Words(
            "take {name} apart", "Only when the other checks are done and the leak-down has been repeated hot."
        ),
    }
)

_NEEDS: Mapping[Check, Care] = MappingProxyType(
    {
        Check.REPEAT_PULL: Care.CRANKING,
        Check.BATTERY_AND_THROTTLE: Care.CRANKING,
        Check.ANOTHER_GAUGE: Care.CRANKING,
        Check.BORESCOPE: Care.LOOKING,
        Check.TAKE_APART: Care.LOOKING,
    }
)

_RESULTS: Mapping[Check, Mapping[str, str]] = MappingProxyType(
    {
        Check.REPEAT_PULL: {
            "much_lower": "it reads much lower",
            "as_before": "it reads as before",
            "much_higher": "it reads much higher",
        },
        Check.WET_PULL: {
            "little": "oil changes little",
            "between": "neither little nor clearly better",
            "clearly_better": "clearly better with oil",
        },
        Check.LEAK_DOWN: {
            "tight": "it holds",
            "crankcase": f"air {heard_text(('crankcase',))}",
            "intake": f"air {heard_text(('intake',))}",
            "exhaust": f"air {heard_text(('exhaust',))}",
            "coolant": f"air {heard_text(('coolant',))}",
            "neighbour": "air at the next plug hole",
            "nowhere": "it leaks, and the air is heard nowhere",
        },
        Check.VALVE_LIFT: {"full": "the lift is full", "lost": "lift is missing"},
        Check.CAM_TIMING: {"right": "the timing is right", "off": "the timing is off"},
        Check.BATTERY_AND_THROTTLE: {"right": "all of it was right", "wrong": "some of it was not right"},
        Check.ANOTHER_GAUGE: {"as_before": "it reads as before", "other": "it reads otherwise"},
        Check.BORESCOPE: {
            "clean": "nothing to be seen",
            "rings": "scored or oily wall",
            "intake_valve": "intake valve or seat marked",
            "exhaust_valve": "exhaust valve or seat marked",
            "carbon": "carbon or oil",
            "coolant": "coolant, or a piston washed clean",
        },
        Check.TAKE_APART: {
            "sound": "all of it is as it should be",
            "rings": "rings or bore are at fault",
            "intake_valve": "the intake valve does not seal",
            "exhaust_valve": "the exhaust valve does not seal",
            "neighbour": "the gasket has blown to the next cylinder",
            "coolant": "gasket or head let coolant through",
            "carbon": "carbon or oil in the chamber",
        },
    }
)


@dataclass(frozen=True, slots=True)
class ResultWords:
    """
    One possible result of a check.

    Parameters
    ----------
    result : str
        What may come out.
    how_likely : str
        Its odds.
    means : str
        What would then be the answer, with its odds.
    """

    result: str
    how_likely: str
    means: str


@dataclass(frozen=True, slots=True)
class CheckWords:
    """
    A check, told.

    Parameters
    ----------
    title : str
        What to check, and the minutes it takes.
    do : str
        How.
    results : tuple of ResultWords
        What each possible result would mean, the likeliest first; those that hardly come left out.
    cautions : tuple of str
        What can hurt.
    why : str
        What it is worth, in one sentence.
    """

    title: str
    do: str
    results: tuple[ResultWords, ...]
    cautions: tuple[str, ...]
    why: str


def check_name(check: NextCheck) -> str:
    """
    Name a check with its cylinder.

    Parameters
    ----------
    check : NextCheck
        Which.

    Returns
    -------
    str
        For the inside of a sentence.

    Examples
    --------
    >>> check_name(NextCheck(Check.LEAK_DOWN, "3", 1.0, 15.0, ()))
    'leak-down on cylinder 3'
    """
    one = check.cylinder
    return _CHECKS[check.check].title.format(
        name=f"cylinder {one}" if one else "the engine",
        of=f" of cylinder {one}" if one else "",
        on=f" on cylinder {one}" if one else "",
    )


def practice_title(table: str, key: str) -> str:
    """
    Name a figure of the settings that explaining rests on.

    Parameters
    ----------
    table, key : str
        As in the settings.

    Returns
    -------
    str
        A cause, or a check.
    """
    if table == "minutes":
        return check_name(NextCheck(Check(key), "", 0.0, 0.0, ())).replace("the engine", "one cylinder")
    if table == "causes":
        return cause_name(Cause(key))
    return engine_cause_name(EngineCause(key)) if table == "engine_causes" else bank_cause_name(BankCause(key))


def minutes_text(minutes: float) -> str:
    """
    Write how long a check takes.

    Parameters
    ----------
    minutes : float
        [min]

    Returns
    -------
    str
        Minutes, or hours where it is two or more.

    Examples
    --------
    >>> minutes_text(15.0), minutes_text(480.0)
    ('15 min', '8 h')
    """
    return f"{minutes:.0f} min" if minutes < 120 else f"{minutes / 60:.3g} h"  # noqa: PLR2004 - two hours


def result_text(check: Check, result: str) -> str:
    """
    Tell one possible result of a check.

    Parameters
    ----------
    check : Check
        Which check.
    result : str
        A key of `ringtrue.diagnosis.next_check.RESULTS`.

    Returns
    -------
    str
        For the inside of a sentence.
    """
    return _RESULTS[check][result]


def settles(check: NextCheck, now: float) -> bool:
    """
    Tell whether a check is expected to leave a sure answer, and a surer one than there is.

    Parameters
    ----------
    check : NextCheck
        Which.
    now : float
        Probability of the answer as it stands. [-]

    Returns
    -------
    bool
        The answer after it is expected to be at least `SETTLED`, and to leave a quarter less doubt.
    """
    expected = sum(each.probability * each.then for each in check.results)
    return expected >= SETTLED and 1.0 - expected <= DOUBT_LEFT * (1.0 - now)


def check_words(check: NextCheck, sheet: BuildSheet | None, partner: str = "") -> CheckWords:
    """
    Tell a check.

    Parameters
    ----------
    check : NextCheck
        What to do.
    sheet : BuildSheet or None
        The engine.
    partner : str
        The neighbour with which its cylinder may share a gasket leak.

    Returns
    -------
    CheckWords
        Plain sentences.
    """
    oil, places = dose_line(sheet), where_to_listen(sheet)
    do = _CHECKS[check.check].do.format(oil=oil, places=places, beside=_beside(check)).strip()
    likely = [each for each in check.results if each.probability >= _HARDLY] or list(check.results[:1])
    return CheckWords(
        f"{capital(check_name(check))} ({minutes_text(check.minutes)})",
        do,
        tuple(_result(check.check, each, partner) for each in likely),
        check_cautions(check.check, sheet),
        why_sentence(check, partner),
    )


def _beside(check: NextCheck) -> str:
    if any(isinstance(each.says, EngineCause) for each in check.results):
        return "It stands for all: oil lifts it where rings or washed bores leak, and changes little otherwise."
    return "The same dose in one that is sound, to compare with."


_HARDLY = 0.02
"""Results less likely than this are not told to a person. [-]"""
DOUBT_LEFT = 0.75
"""A check that leaves more of the doubt settles nothing. [-]"""


def _result(check: Check, result: CheckResult, partner: str) -> ResultWords:
    means = f"{answer_name(result.says, partner)}, {odds(result.then)}"
    return ResultWords(result_text(check, result.result), odds(result.probability), means)


def check_cautions(check: Check, sheet: BuildSheet | None) -> tuple[str, ...]:
    """
    Say what can hurt in a check.

    Parameters
    ----------
    check : Check
        Which.
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    tuple of str
        Sentences.
    """
    if check is Check.LEAK_DOWN:
        return leakdown_cautions(sheet)
    if check in {Check.VALVE_LIFT, Check.CAM_TIMING}:
        return turning_cautions(sheet)
    if check is Check.WET_PULL:
        return (care(Care.OIL, sheet), care(Care.CRANKING, sheet))
    return (care(_NEEDS[check], sheet),)


def why_sentence(check: NextCheck, partner: str = "") -> str:
    """
    Say what a check is worth, with its two likeliest results.

    Parameters
    ----------
    check : NextCheck
        What to do.
    partner : str
        As for `check_words`.

    Returns
    -------
    str
        One sentence.
    """
    told = [
        f"{result_text(check.check, each.result)} ({odds(each.probability)}): {answer_name(each.says, partner)}"
        for each in check.results[:2]
    ]
    worth = f"{check.gain:.2f} bit for {minutes_text(check.minutes)}"
    return f"{capital(check_name(check))}, {worth}{': ' if told else ''}{'; '.join(told)}."
