"""
What readings amount to: figures, uncertainty, places, and the outcome of every rule. All in SI.

Each half is loaded when something out of it is first asked for.
"""

from typing import TYPE_CHECKING

from ringtrue.lazily import halves

if TYPE_CHECKING:
    from ringtrue.measure.build import BuildSpread as BuildSpread
    from ringtrue.measure.build import build_spread as build_spread
    from ringtrue.measure.judgement import CylinderFigures as CylinderFigures
    from ringtrue.measure.judgement import Dimension as Dimension
    from ringtrue.measure.judgement import Drift as Drift
    from ringtrue.measure.judgement import Extreme as Extreme
    from ringtrue.measure.judgement import Interval as Interval
    from ringtrue.measure.judgement import Judgement as Judgement
    from ringtrue.measure.judgement import LeakdownFigures as LeakdownFigures
    from ringtrue.measure.judgement import Level as Level
    from ringtrue.measure.judgement import Outcome as Outcome
    from ringtrue.measure.judgement import Outliers as Outliers
    from ringtrue.measure.judgement import Place as Place
    from ringtrue.measure.judgement import RuleOutcome as RuleOutcome
    from ringtrue.measure.judgement import RunningFigures as RunningFigures
    from ringtrue.measure.judgement import SeriesJudgement as SeriesJudgement
    from ringtrue.measure.judgement import SpreadAgainstGauge as SpreadAgainstGauge
    from ringtrue.measure.judgement import TwoGroups as TwoGroups
    from ringtrue.measure.judgement import WetOverDry as WetOverDry
    from ringtrue.measure.judging import judge as judge
    from ringtrue.measure.leakdown import EquivalentLoss as EquivalentLoss
    from ringtrue.measure.leakdown import leak_fraction as leak_fraction
    from ringtrue.measure.limits import DEFAULT as DEFAULT
    from ringtrue.measure.limits import OIL_SHARE_WARNING as OIL_SHARE_WARNING
    from ringtrue.measure.limits import Thresholds as Thresholds
    from ringtrue.measure.limits import thresholds as thresholds

HALVES = {
    "build": ("BuildSpread", "build_spread"),
    "judgement": (
        "CylinderFigures",
        "Dimension",
        "Drift",
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
        "TwoGroups",
        "WetOverDry",
    ),
    "judging": ("judge",),
    "leakdown": ("EquivalentLoss", "leak_fraction"),
    "limits": ("DEFAULT", "OIL_SHARE_WARNING", "Thresholds", "thresholds"),
}
"""What can be asked for, by the half that has it."""
__getattr__ = halves(__name__, HALVES)
