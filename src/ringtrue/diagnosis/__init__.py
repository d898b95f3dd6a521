"""What the readings may mean: patterns that a person would see in them, decided from facts alone."""

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

__all__ = [
    "OIL_DOSE",
    "TABLESPOON",
    "TEASPOON",
    "AgainstLevel",
    "Evidence",
    "FirstStrokes",
    "LiftLost",
    "OilBasis",
    "OilDose",
    "OilEffect",
    "OilSays",
    "Pattern",
    "PatternKey",
    "StrokesCounted",
    "oil_dose",
    "patterns",
]
