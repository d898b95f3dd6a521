"""Hand-made explanations of invented engines: no figure of them was worked out by anything."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ringtrue.compression import Band
from ringtrue.diagnosis.causes import BankCause, Cause, Check, EngineCause
from ringtrue.diagnosis.explanation import (
    Answer,
    BankOdds,
    Because,
    CheckResult,
    Contradiction,
    CylinderExplanation,
    EngineOdds,
    Explanation,
    Item,
    NextCheck,
    Odds,
    Says,
    Slip,
    Step,
    Unsure,
)

PSI = 6894.757293168


def shares(given: Mapping[Cause, float], rest: Cause = Cause.SOUND) -> tuple[Odds, ...]:
    """Return odds that sum to 1, the likeliest first; what is not given is that of the rest."""
    left = 1.0 - sum(given.values())
    whole = {**given, rest: given.get(rest, 0.0) + left}
    return tuple(Odds(cause, share) for cause, share in sorted(whole.items(), key=lambda pair: -pair[1]))


def sound(name: str, probability: float = 0.97) -> CylinderExplanation:
    """Return a cylinder that is sound as far as can be told."""
    causes = shares({Cause.SOUND: probability}, Cause.RINGS)
    why = Because(Item.FINAL, 150 * PSI, (), 1.5, Cause.SOUND, (Cause.NOT_FILLING,))
    steps = (Step(None, shares({Cause.RINGS: 0.02})), Step(Item.FINAL, causes))
    return CylinderExplanation(name, causes, (), Answer(Cause.SOUND, probability), None, (why,), steps)


def unread(name: str) -> CylinderExplanation:
    """Return a cylinder of which nothing was read."""
    causes = shares({Cause.RINGS: 0.02, Cause.EXHAUST_VALVE: 0.016})
    return CylinderExplanation(name, causes, (), Answer(Cause.SOUND, 0.964), None, (), (), read=False)


RINGS = CylinderExplanation(
    "5",
    shares({Cause.RINGS: 0.81, Cause.EXHAUST_VALVE: 0.1, Cause.GASKET_NEIGHBOUR: 0.06}, Cause.MISREAD),
    (Odds(Cause.EXHAUST_VALVE, 0.2), Odds(Cause.CARBON, 0.03)),
    Answer(Cause.RINGS, 0.81),
    Band(0.62e-6, 0.4e-6, 0.95e-6),
    (
        Because(Item.HEARD, None, ("crankcase",), 14.0, Cause.RINGS, (Cause.INTAKE_VALVE, Cause.GASKET_COOLANT)),
        Because(Item.LEAKDOWN, 0.24, (), 4.0, Cause.RINGS, (Cause.SOUND, Cause.NOT_FILLING, Cause.EXHAUST_VALVE)),
        Because(Item.WET, 1.18, (), 2.0, Cause.RINGS, ()),
        Because(Item.PLUG, None, ("oily",), 1.1, Cause.RINGS, ()),
        Because(Item.FINAL, 121 * PSI, (), 0.5, Cause.EXHAUST_VALVE, ()),
    ),
    (
        Step(None, shares({Cause.RINGS: 0.02, Cause.EXHAUST_VALVE: 0.016})),
        Step(Item.FINAL, shares({Cause.RINGS: 0.35, Cause.EXHAUST_VALVE: 0.28, Cause.NOT_FILLING: 0.2})),
        Step(Item.WET, shares({Cause.RINGS: 0.55, Cause.EXHAUST_VALVE: 0.2, Cause.NOT_FILLING: 0.1})),
        Step(Item.LEAKDOWN, shares({Cause.RINGS: 0.66, Cause.EXHAUST_VALVE: 0.24}, Cause.MISREAD)),
        Step(
            Item.HEARD,
            shares({Cause.RINGS: 0.81, Cause.EXHAUST_VALVE: 0.1, Cause.GASKET_NEIGHBOUR: 0.06}, Cause.MISREAD),
        ),
    ),
    partner="6",
)

LEAKDOWN_AGAIN = NextCheck(
    Check.LEAK_DOWN,
    "5",
    0.42,
    15.0,
    (
        CheckResult("crankcase", 0.7, Cause.RINGS, 0.97),
        CheckResult("exhaust", 0.15, Cause.EXHAUST_VALVE, 0.9),
        CheckResult("neighbour", 0.1, Cause.GASKET_NEIGHBOUR, 0.9),
        CheckResult("tight", 0.04, Cause.MISREAD, 0.6),
        CheckResult("coolant", 0.01, Cause.GASKET_COOLANT, 0.5),
    ),
)
BATTERY = NextCheck(
    Check.BATTERY_AND_THROTTLE,
    "",
    0.05,
    5.0,
    (CheckResult("right", 0.9, EngineCause.NONE, 0.97), CheckResult("wrong", 0.1, EngineCause.THROTTLE, 0.7)),
)


def engine(given: Mapping[EngineCause, float], rest: EngineCause = EngineCause.NONE) -> tuple[EngineOdds, ...]:
    """Return odds of the whole engine that sum to 1, the likeliest first."""
    left = 1.0 - sum(given.values())
    whole = {**given, rest: given.get(rest, 0.0) + left}
    return tuple(EngineOdds(cause, share) for cause, share in sorted(whole.items(), key=lambda pair: -pair[1]))


SIX = Explanation(
    cylinders=(*(sound(name) for name in "1234"), RINGS, sound("6", 0.9)),
    engine=engine({EngineCause.THROTTLE: 0.06, EngineCause.GAUGE: 0.02}),
    banks=(),
    next=(LEAKDOWN_AGAIN, BATTERY),
    with_sheet=True,
)
"""An inline six whose cylinder 5 has weak rings."""

ALL_SOUND = Explanation(
    cylinders=tuple(sound(name) for name in "123456"),
    engine=engine({EngineCause.GAUGE: 0.02}),
    banks=(),
    next=(),
    with_sheet=True,
)
"""An inline six that is sound."""


def answered(name: str, says: Says, causes: Mapping[Cause, float], probability: float) -> CylinderExplanation:
    """Return a cylinder with that answer, of which the final and its cranking speed are known."""
    odds = shares(causes, Cause.MISREAD)
    return CylinderExplanation(
        name,
        odds,
        (),
        Answer(says, probability),
        None,
        (
            Because(Item.FINAL, 110 * PSI, (), 30.0, odds[0].cause, (Cause.SOUND, Cause.CARBON)),
            Because(Item.SPEED, 0.97, (), 1.0, odds[0].cause, ()),
        ),
        (Step(None, shares({Cause.RINGS: 0.02})), Step(Item.FINAL, odds)),
    )


EIGHT = Explanation(
    cylinders=(
        sound("L1"),
        answered(
            "L2",
            Unsure.LEAK_PATH_UNKNOWN,
            {Cause.RINGS: 0.4, Cause.EXHAUST_VALVE: 0.33, Cause.INTAKE_VALVE: 0.2},
            0.93,
        ),
        sound("L3"),
        answered("L4", Unsure.CHARGE_OR_TIMING, {Cause.NOT_FILLING: 0.5, Cause.LATE_CLOSING: 0.32}, 0.82),
        sound("R1", 0.6),
        answered("R2", Unsure.UNDECIDED, {Cause.RINGS: 0.3, Cause.NOT_FILLING: 0.28, Cause.GASKET_COOLANT: 0.2}, 0.3),
        unread("R3"),
        answered("R4", Cause.CARBON, {Cause.CARBON: 0.9, Cause.GAUGE_OR_FITTING: 0.06}, 0.9),
    ),
    engine=engine({EngineCause.CAM_TIMING: 0.55, EngineCause.THROTTLE: 0.2, EngineCause.FUEL_WASHED: 0.1}),
    banks=(BankOdds(1, BankCause.CAM_TIMING, 0.34), BankOdds(1, BankCause.GASKET, 0.07)),
    next=(
        NextCheck(Check.WET_PULL, "L2", 0.6, 6.0, (CheckResult("little", 0.6, Cause.EXHAUST_VALVE, 0.6),)),
        NextCheck(Check.VALVE_LIFT, "L4", 0.5, 25.0, (CheckResult("lost", 0.6, Cause.NOT_FILLING, 0.95),)),
        NextCheck(Check.CAM_TIMING, "", 0.4, 40.0, (CheckResult("off", 0.6, EngineCause.CAM_TIMING, 0.99),)),
        NextCheck(Check.BORESCOPE, "R2", 0.2, 15.0, (CheckResult("clean", 0.6, Unsure.UNDECIDED, 0.4),)),
        NextCheck(Check.TAKE_APART, "R2", 0.9, 480.0, (CheckResult("rings", 1.0, Cause.RINGS, 0.3),)),
    ),
    contradictions=(Contradiction("R2", (Item.LEAKDOWN, Item.HEARD), Slip.HEARD_ELSEWHERE, 0.0, ("exhaust",)),),
)
"""A V8 without a sheet: a leak whose path is unknown, charge or timing, undecided, one high, one not read."""


def named(found: Explanation, names: Sequence[str]) -> Explanation:
    """Return the same explanation with other names, the first cylinders used again where there are more names."""
    given = found.cylinders
    return replace(
        found,
        cylinders=tuple(replace(given[at % len(given)], cylinder=name) for at, name in enumerate(names)),
    )
