"""What readings amount to: figures, uncertainty, places, and the outcome of every rule. All in SI."""

from ringtrue.measure.build import BuildSpread, build_spread
from ringtrue.measure.judgement import (
    CylinderFigures,
    Dimension,
    Drift,
    Extreme,
    Interval,
    Judgement,
    LeakdownFigures,
    Level,
    Outcome,
    Outliers,
    Place,
    RuleOutcome,
    RunningFigures,
    SeriesJudgement,
    SpreadAgainstGauge,
    TwoGroups,
    WetOverDry,
)
from ringtrue.measure.judging import judge
from ringtrue.measure.leakdown import EquivalentLoss, leak_fraction
from ringtrue.measure.limits import DEFAULT, OIL_SHARE_WARNING, Thresholds, thresholds

__all__ = [
    "DEFAULT",
    "OIL_SHARE_WARNING",
    "BuildSpread",
    "CylinderFigures",
    "Dimension",
    "Drift",
    "EquivalentLoss",
    "Extreme",
    "Interval",
    "Judgement",
    "LeakdownFigures",
    "Level",
    "Outcome",
    "Outliers",
    "Place",
    "RuleOutcome",
    "RunningFigures",
    "SeriesJudgement",
    "SpreadAgainstGauge",
    "Thresholds",
    "TwoGroups",
    "WetOverDry",
    "build_spread",
    "judge",
    "leak_fraction",
    "thresholds",
]
