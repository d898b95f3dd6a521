"""
What the readings may mean: the patterns that a person would see in them, and the odds of every cause.

`explain` loads the physics when it is asked for; the rest is light.
"""

from typing import TYPE_CHECKING, Any

from ringtrue.diagnosis.causes import BankCause, Cause, Check, Cost, EngineCause, Practice
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
    Slip,
    Step,
    Unsure,
)
from ringtrue.diagnosis.facts import (
    AgainstLevel,
    Evidence,
    FirstStrokes,
    LiftLost,
    OilBasis,
    OilEffect,
    OilSays,
    Pattern,
    PatternKey,
    StrokesCounted,
)
from ringtrue.diagnosis.oil import OIL_DOSE, TABLESPOON, TEASPOON, OilDose, oil_dose
from ringtrue.diagnosis.patterns import patterns

if TYPE_CHECKING:
    from ringtrue.diagnosis.explaining import explain

__all__ = [
    "OIL_DOSE",
    "TABLESPOON",
    "TEASPOON",
    "AgainstLevel",
    "Answer",
    "BankCause",
    "BankOdds",
    "Because",
    "Cause",
    "Check",
    "CheckResult",
    "Contradiction",
    "Cost",
    "CylinderExplanation",
    "EngineCause",
    "EngineOdds",
    "Evidence",
    "Explanation",
    "FirstStrokes",
    "Item",
    "LiftLost",
    "NextCheck",
    "Odds",
    "OilBasis",
    "OilDose",
    "OilEffect",
    "OilSays",
    "Pattern",
    "PatternKey",
    "Practice",
    "Slip",
    "Step",
    "StrokesCounted",
    "Unsure",
    "explain",
    "oil_dose",
    "patterns",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever bears that name
    if name == "explain":
        from ringtrue.diagnosis.explaining import explain

        return explain
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)
