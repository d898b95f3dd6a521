"""What a shop takes for granted when it looks for a cause: how often each is met, and the minutes of each check."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from types import MappingProxyType
from typing import TYPE_CHECKING

from ringtrue.errors import Fault
from ringtrue.intake.fields import Fields, shown

if TYPE_CHECKING:
    from ringtrue.diagnosis.causes import Practice

PRACTICE: Mapping[str, str] = MappingProxyType(
    {
        "causes": "share of cylinders that have it",
        "engine_causes": "share of engines that have it",
        "bank_causes": "share of banks that have it",
        "minutes": "work at the engine, plugs already out",
    }
)
"""Tables of the settings, and what their figures are."""

MOST_OFTEN = 0.5
"""No single cause is set to be met more often. [-]"""

LONGEST = 10_000.0
"""No check is set to take longer. [min]"""


def usual_practice() -> Mapping[str, Mapping[str, float]]:
    """
    Return what is taken for granted where a shop has changed nothing.

    Returns
    -------
    mapping of str to (mapping of str to float)
        By table, then by key. Sound, and none, are what is left of the others, and are no keys. [- or min]
    """
    from ringtrue.diagnosis.causes import BANK_CAUSES, CAUSES, COSTS, ENGINE_CAUSES, Cause, EngineCause

    return MappingProxyType(
        {
            "causes": {cause.value: share for cause, share in CAUSES.items() if cause is not Cause.SOUND},
            "engine_causes": {c.value: share for c, share in ENGINE_CAUSES.items() if c is not EngineCause.NONE},
            "bank_causes": {cause.value: share for cause, share in BANK_CAUSES.items()},
            "minutes": {check.value: cost.minutes for check, cost in COSTS.items()},
        }
    )


def practice_of(changes: Mapping[str, Mapping[str, float]]) -> Practice:
    """
    Lay what a shop has changed over what is usual.

    Parameters
    ----------
    changes : mapping of str to (mapping of str to float)
        From the settings.

    Returns
    -------
    Practice
        For `ringtrue.diagnosis.explain`.
    """
    from dataclasses import replace

    from ringtrue.diagnosis.causes import (
        BANK_CAUSES,
        CAUSES,
        COSTS,
        ENGINE_CAUSES,
        BankCause,
        Cause,
        Check,
        EngineCause,
        Practice,
    )

    minutes = {Check(key): value for key, value in changes.get("minutes", {}).items()}
    return Practice(
        causes={**CAUSES, **{Cause(key): share for key, share in changes.get("causes", {}).items()}},
        engine={**ENGINE_CAUSES, **{EngineCause(key): s for key, s in changes.get("engine_causes", {}).items()}},
        banks={**BANK_CAUSES, **{BankCause(key): share for key, share in changes.get("bank_causes", {}).items()}},
        costs={check: replace(cost, minutes=minutes.get(check, cost.minutes)) for check, cost in COSTS.items()},
    )


def read_practice(tables: Mapping[str, object], found: list[Fault]) -> Mapping[str, Mapping[str, float]]:
    """
    Read the tables of `PRACTICE`.

    Parameters
    ----------
    tables : mapping of str to object
        Those that stand in the settings.
    found : list of Fault
        Faults are added to it.

    Returns
    -------
    mapping of str to (mapping of str to float)
        What can be used. [- or min]
    """
    if not tables:
        return MappingProxyType({})
    usual = usual_practice()
    return MappingProxyType({name: _table(name, table, usual[name], found) for name, table in tables.items()})


def _table(name: str, table: object, usual: Mapping[str, float], found: list[Fault]) -> Mapping[str, float]:
    fields = Fields(table, f"[{name}]", found)
    values: dict[str, float] = {}
    for key in table if isinstance(table, dict) else ():
        if key not in usual:
            near = get_close_matches(key, usual, n=1)
            instead = f"did you mean {near[0]}?" if near else f"use one of: {', '.join(usual)}"
            fields.fault("", shown(key), "there is no such key here", instead)
        elif (value := fields.number(key)) is not None and _can_be(fields, name, key, value, usual[key]):
            values[key] = value
    if name != "minutes" and (together := sum({**usual, **values}.values())) >= 1:
        fields.fault(
            "",
            f"all together {together:g}",
            "what is left of 1 is the share with nothing wrong, and nothing is left",
            "make some of them smaller",
        )
    return MappingProxyType(values)


def _can_be(fields: Fields, name: str, key: str, value: float, usual: float) -> bool:
    given = f"{key} = {value:g}"
    if name == "minutes":
        if not 0 < value <= LONGEST:
            why = f"the minutes of a check are above 0 and up to {LONGEST:,.0f}"
            fields.fault("", given, why, f"write for instance {usual:g}, which is usual")
            return False
    elif not 0 <= value <= MOST_OFTEN:
        why = f"how often a cause is met is a fraction from 0 to {MOST_OFTEN:g}"
        fields.fault("", given, why, f"write for instance {usual:g}, which is assumed otherwise")
        return False
    return True
