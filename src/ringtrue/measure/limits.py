"""
Every rule as data: what it compares, with what, which way, and who says so.

A shop may set its own limits; the engine's own service data, entered on its build sheet, stand beside the general rules
and are rules of their own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum, auto
from types import MappingProxyType

from ringtrue.compression import Band
from ringtrue.engine import Limits
from ringtrue.errors import SettingsRefused
from ringtrue.measure.judgement import Dimension, Level
from ringtrue.units import Dimension as Of
from ringtrue.units import find_unit, to_si

SLACK = 1e-9
"""Relative slack of every comparison: a figure on its limit is on it, whatever unit it was read in. [-]"""

HOLDS_AT = 0.95
"""One-sided probability from which an outcome holds. [-]"""

OUTLIER_ALPHA = 0.05
"""Significance of the tests for outliers, two-sided. [-]"""

FEWEST_FOR_OUTLIERS = 3
"""Number of cylinders from which Grubbs' test says anything."""

ESD_FROM = 15
"""Number of cylinders from which the generalised ESD test is valid (handbook, 1.3.5.17.3); below it Grubbs' test."""

OIL_SHARE_WARNING = 0.15
"""Oil over clearance volume from which a wet test says little: common practice. [-]"""

OFF_THE_MEDIAN = 0.10
"""Share of the median from which a cylinder is out of line whatever its siblings do: common practice. [-]"""

OFF_IN_SCALES = 3.5
"""Robust standard deviations from which a cylinder is out of line (modified z, handbook 1.3.5.17). [-]"""

LEAST_SCALE = 0.01
"""Scale below which siblings do not differ: 1 % of the median, common practice. [-]"""


class Figure(Enum):
    """The figure that a rule compares."""

    MEAN_DEVIATION = auto()
    CYLINDER_DEVIATION = auto()
    BELOW_MEAN = auto()
    FIRST_OVER_FINAL = auto()
    LOWEST_OVER_HIGHEST = auto()
    SPREAD = auto()
    LOWEST = auto()
    LEVEL = auto()
    LEAKDOWN_LOSS = auto()

    @property
    def compares_siblings(self) -> bool:
        """It says how alike the cylinders are, so it needs more than one and no oil."""
        return self not in {Figure.FIRST_OVER_FINAL, Figure.LOWEST, Figure.LEVEL, Figure.LEAKDOWN_LOSS}

    @property
    def needs_all(self) -> bool:
        """It is about the whole engine: a cylinder that was not read could break it."""
        return self not in {Figure.FIRST_OVER_FINAL, Figure.LEAKDOWN_LOSS}


class Side(Enum):
    """Which side of the limit meets the rule, and whether the limit itself does."""

    UNDER = auto()
    AT_MOST = auto()
    AT_LEAST = auto()

    @property
    def small_is_good(self) -> bool:
        """A smaller figure is the better one."""
        return self is not Side.AT_LEAST

    def edge(self, limit: float) -> float:
        """
        Return the figure at which the rule turns, slack included.

        Parameters
        ----------
        limit : float
            The limit as it is told.

        Returns
        -------
        float
            `UNDER`: figures below it meet the rule. `AT_MOST`: figures up to it do. `AT_LEAST`: figures from it on do.
        """
        return limit * (1 + SLACK) if self is Side.AT_MOST else limit * (1 - SLACK)

    def holds(self, value: float, limit: float) -> bool:
        """
        Tell whether a figure meets a limit.

        Parameters
        ----------
        value, limit : float
            In the same unit.

        Returns
        -------
        bool
            Whether it does.

        Examples
        --------
        Exactly 1 % is not under 1 %; exactly three quarters is at least three quarters:

        >>> Side.UNDER.holds(1.0, 1.0), Side.AT_LEAST.holds(0.75, 0.75)
        (False, True)
        """
        edge = self.edge(limit)
        if self is Side.UNDER:
            return value < edge
        return value <= edge if self is Side.AT_MOST else value >= edge


@dataclass(frozen=True, slots=True)
class Rule:
    """
    One rule.

    Parameters
    ----------
    key : str
        Its name.
    level : str
        "target", "limit" or "expectation".
    figure : Figure
        What it compares.
    side : Side
        Which side of the limit meets it.
    limit : float
        With what. [% or - or Pa, by `dimension`]
    dimension : str
        "percent", "fraction" or "pressure".
    source : str
        Key of `ringtrue.sources.SOURCES`.
    """

    key: str
    level: Level
    figure: Figure
    side: Side
    limit: float
    dimension: Dimension
    source: str

    @property
    def asks_about_one_cylinder(self) -> bool:
        """It answers whether one cylinder is off its siblings: rules that do may contradict each other."""
        return self.figure.compares_siblings and self.figure is not Figure.MEAN_DEVIATION


GENERAL = (
    Rule("mean_deviation_target", "target", Figure.MEAN_DEVIATION, Side.UNDER, 1.0, "percent", "common practice"),
    Rule("mean_deviation_limit", "limit", Figure.MEAN_DEVIATION, Side.UNDER, 10.0, "percent", "common practice"),
    Rule(
        "cylinder_deviation_limit", "limit", Figure.CYLINDER_DEVIATION, Side.UNDER, 10.0, "percent", "common practice"
    ),
    Rule("first_stroke_half", "limit", Figure.FIRST_OVER_FINAL, Side.AT_LEAST, 0.5, "fraction", "common practice"),
    Rule("lowest_over_highest", "limit", Figure.LOWEST_OVER_HIGHEST, Side.AT_LEAST, 0.75, "fraction", "CT-01"),
    Rule("below_mean", "limit", Figure.BELOW_MEAN, Side.UNDER, 20.0, "percent", "CT-03"),
)
"""The rules that always stand in the list."""

LEAKDOWN_SUSPECT = Rule(
    "leakdown_suspect", "limit", Figure.LEAKDOWN_LOSS, Side.AT_MOST, 0.20, "fraction", "common practice"
)
"""More than a fifth lost through a restrictor of 0.040 in."""

LEAKDOWN_ADOPTED = Rule("DT-03", "limit", Figure.LEAKDOWN_LOSS, Side.AT_MOST, 0.25, "fraction", "DT-03")
"""More than a quarter lost through the restrictor that belongs to the bore; an aircraft rule, used when adopted."""

ADOPTABLE: Mapping[str, Rule] = MappingProxyType(
    {
        key: Rule(
            key, "limit", Figure.SPREAD, Side.AT_MOST, to_si(limit, find_unit(unit, Of.PRESSURE)), "pressure", key
        )
        for key, limit, unit in (("CT-04", 10.0, "psi"), ("CT-05", 690.0, "kPa"), ("CT-07", 25.0, "psi"))
    }
)
"""
Rules that belong to particular engines: the largest difference between two cylinders, as printed.

CT-05 also prints levels for new and used engines, and says itself that starter and battery make them uncertain; its
spread is the rule. It prints 690 kPa and 100 psi, which differ by 0.08 %: the kilopascals stand.
"""

Thresholds = Mapping[str, float]
"""Rule key -> limit, in the rule's own unit (% or fraction)."""

_CHANGEABLE = (*GENERAL, LEAKDOWN_SUSPECT)

DEFAULT: Thresholds = MappingProxyType({rule.key: rule.limit for rule in _CHANGEABLE})
"""The limits as their sources give them."""


PERCENTAGES = frozenset(rule.key for rule in _CHANGEABLE if rule.dimension == "percent")
"""Rules whose limit is written in per cent; those of the others are shares."""


def thresholds(changes: Mapping[str, float]) -> Thresholds:
    """
    Return the limits with a shop's own in place of the general ones.

    Parameters
    ----------
    changes : mapping of str to float
        Rule key -> limit. [% or -, as the rule]

    Returns
    -------
    Thresholds
        One limit for every rule that may be changed.

    Raises
    ------
    SettingsRefused
        A rule that does not exist, or a limit that nothing could meet or break.

    Examples
    --------
    >>> thresholds({"mean_deviation_target": 2.0})["mean_deviation_target"]
    2.0
    """
    rules = {rule.key: rule for rule in _CHANGEABLE}
    for key, limit in changes.items():
        if key not in rules:
            raise SettingsRefused.of(
                key, "there is no such rule whose limit a shop may set", f"use one of: {', '.join(rules)}", "thresholds"
            )
        top = 100.0 if rules[key].dimension == "percent" else 1.0
        if not (math.isfinite(limit) and 0 < limit <= top):
            kind = "a percentage" if top > 1 else "a fraction"
            raise SettingsRefused.of(
                f"{key} = {limit:g}",
                f"this limit is {kind} above 0 and up to {top:g}",
                f"write for instance {rules[key].limit:g}, which is the general limit",
                "thresholds",
            )
    return MappingProxyType({**DEFAULT, **changes})


def with_threshold(rule: Rule, limits: Thresholds) -> Rule:
    """
    Return a rule with the limit that the shop set, and the shop as its source where it differs.

    Parameters
    ----------
    rule : Rule
        As its source gives it.
    limits : Thresholds
        Rule key -> limit.

    Returns
    -------
    Rule
        The rule to judge by.
    """
    limit = limits.get(rule.key, rule.limit)
    return rule if limit == rule.limit else replace(rule, limit=limit, source="shop settings")


def rules_for(limits: Thresholds, own: Limits | None, expected: Band | None = None) -> tuple[Rule, ...]:
    """
    Return the rules for one engine: the six general ones, those that its sheet names, and where its level should be.

    Parameters
    ----------
    limits : Thresholds
        Limits of the general rules.
    own : Limits or None
        The sheet's own limits and the rules it adopts.
    expected : Band or None
        What the final of this engine should be that day. [Pa gauge]

    Returns
    -------
    tuple of Rule
        In the order in which they are told.
    """
    general = tuple(with_threshold(rule, limits) for rule in GENERAL)
    level = _level_rules(expected)
    if own is None:
        return (*general, *level)
    sheet = (
        ("sheet_minimum", Figure.LOWEST, Side.AT_LEAST, own.minimum, "pressure"),
        ("sheet_spread", Figure.SPREAD, Side.AT_MOST, own.spread, "pressure"),
        ("sheet_lowest_over_highest", Figure.LOWEST_OVER_HIGHEST, Side.AT_LEAST, own.lowest_over_highest, "fraction"),
    )
    named = tuple(
        Rule(key, "limit", figure, side, limit, "pressure" if dimension == "pressure" else "fraction", "service data")
        for key, figure, side, limit, dimension in sheet
        if limit is not None
    )
    return (*general, *named, *(ADOPTABLE[key] for key in own.adopt if key in ADOPTABLE), *level)


def _level_rules(expected: Band | None) -> tuple[Rule, ...]:
    if expected is None:
        return ()
    ends = (("whole_engine_low", Side.AT_LEAST, expected.low), ("whole_engine_high", Side.AT_MOST, expected.high))
    return tuple(
        Rule(key, "expectation", Figure.LEVEL, side, limit, "pressure", "expectation") for key, side, limit in ends
    )
