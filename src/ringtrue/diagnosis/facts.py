"""The facts that a pattern rests on, beyond those that judging finds. In SI, without a word of meaning."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ringtrue.measure import CylinderFigures, LeakdownFigures, RuleOutcome, TwoGroups
from ringtrue.quantities import PaGauge


class PatternKey(StrEnum):
    """Every pattern there is; the most pressing first, which is also the order in which they are told."""

    NEAR_ZERO = "near_zero"
    LEAKDOWN_CONTRADICTS = "leakdown_contradicts"
    OIL_AND_LEAKDOWN_DISAGREE = "oil_and_leakdown_disagree"
    LOW_FEWER_STROKES = "low_fewer_strokes"
    HEARD_CRANKCASE = "heard_crankcase"
    HEARD_INTAKE = "heard_intake"
    HEARD_EXHAUST = "heard_exhaust"
    HEARD_COOLANT = "heard_coolant"
    HEARD_CYLINDER = "heard_cylinder"
    NEIGHBOURS_LOW = "neighbours_low"
    LOW_BETTER_WITH_OIL = "low_better_with_oil"
    LOW_OIL_CHANGES_LITTLE = "low_oil_changes_little"
    LOW_LEAKDOWN_GOOD = "low_leakdown_good"
    LOW_NOT_EXPLAINED = "low_not_explained"
    BANK_LOW = "bank_low"
    TWO_GROUPS = "two_groups"
    ALL_LOW = "all_low"
    ALL_HIGH = "all_high"
    HIGH = "high"
    FIRST_LOW_CLIMBS = "first_low_climbs"
    FIRST_LOW_STAYS = "first_low_stays"
    FINE_LEAKDOWN_POOR = "fine_leakdown_poor"
    WET_OIL_VOLUME = "wet_oil_volume"
    CANNOT_TELL = "cannot_tell"
    NOTHING_TO_COMPARE = "nothing_to_compare"
    NOTHING_STANDS_OUT = "nothing_stands_out"


class OilSays(StrEnum):
    """What oil did to a cylinder."""

    CLEARLY_BETTER = "clearly better"
    LITTLE = "little"
    UNDECIDED = "undecided"


class OilBasis(StrEnum):
    """What the effect of oil was read from."""

    NET = "net"
    SIBLINGS = "siblings"
    RAW = "raw"


@dataclass(frozen=True, slots=True)
class OilEffect:
    """
    What a wet test says of one cylinder.

    Parameters
    ----------
    cylinder : str
        Its name.
    ratio : float or None
        Wet over dry, as far as possible without the oil's own volume; None where the dry final is zero. [-]
    basis : OilBasis
        Net of the oil's volume; over the same ratio of siblings that are in line; or as read.
    says : OilSays
        Clearly better, little, or undecided.
    little, clear : float
        Up to the one oil changes little, from the other on a cylinder is clearly better: common practice. [-]
    oil_share : float or None
        Oil over clearance volume; None when not known. [-]
    """

    cylinder: str
    ratio: float | None
    basis: OilBasis
    says: OilSays
    little: float
    clear: float
    oil_share: float | None = None


@dataclass(frozen=True, slots=True)
class FirstStrokes:
    """
    The first stroke of one cylinder beside those of its siblings.

    Parameters
    ----------
    cylinder : str
        Its name.
    first_over_final : float
        Its own. [-]
    siblings : float
        Median of the others'. [-]
    """

    cylinder: str
    first_over_final: float
    siblings: float


@dataclass(frozen=True, slots=True)
class StrokesCounted:
    """
    How many compression strokes a cylinder was given.

    Parameters
    ----------
    cylinder : str
        Its name.
    strokes : int
        The most in any of its pulls.
    siblings : int
        The same of the other cylinder that was given fewest.
    """

    cylinder: str
    strokes: int
    siblings: int


@dataclass(frozen=True, slots=True)
class LiftLost:
    """
    Valve lift that was measured to be missing.

    Parameters
    ----------
    cylinder : str
        Its name.
    lost : float
        How much. [m]
    """

    cylinder: str
    lost: float


@dataclass(frozen=True, slots=True)
class AgainstLevel:
    """
    Cylinders that lie on one side of a level, with the gauge's uncertainty where it is known.

    Parameters
    ----------
    cylinders : tuple of str
        Those on that side.
    count : int
        Of how many that were read.
    level : PaGauge
        The level. [Pa gauge]
    source : str
        Key of `ringtrue.sources.SOURCES` where the level is a limit; empty where it is an expectation.
    """

    cylinders: tuple[str, ...]
    count: int
    level: PaGauge
    source: str


Evidence = (
    CylinderFigures
    | LeakdownFigures
    | RuleOutcome
    | TwoGroups
    | OilEffect
    | FirstStrokes
    | StrokesCounted
    | LiftLost
    | AgainstLevel
)
"""What a pattern may rest on."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """
    Something a person would see in the readings.

    Parameters
    ----------
    key : PatternKey
        What is seen.
    cylinders : tuple of str
        The cylinders it is about, in the order of the engine.
    bank : int or None
        Which bank, from 0, where it is about one.
    evidence : tuple of Evidence
        The facts it rests on.
    """

    key: PatternKey
    cylinders: tuple[str, ...]
    bank: int | None
    evidence: tuple[Evidence, ...]
