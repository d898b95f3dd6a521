"""What judging finds: figures, places and outcomes, as facts in SI. Nothing here computes or words them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from ringtrue.compression import Kind
from ringtrue.measure.correcting import Correction
from ringtrue.quantities import PaGauge

Level = Literal["target", "limit", "expectation"]
Dimension = Literal["percent", "fraction", "pressure"]


class Outcome(StrEnum):
    """What became of a rule."""

    MET = "met"
    NOT_MET = "not met"
    TOO_CLOSE = "too close to call"
    NOT_JUDGED = "not judged"


class Place(StrEnum):
    """Where a cylinder stands among its siblings."""

    IN_LINE = "in line"
    LOW = "low"
    HIGH = "high"
    CANNOT_TELL = "cannot tell"
    NOT_READ = "not read"


@dataclass(frozen=True, slots=True)
class Interval:
    """
    A 90 % interval: 5 % lies below it and 5 % above.

    Parameters
    ----------
    low, high : float
        Its ends, in the unit of the figure it belongs to.
    """

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class RuleOutcome:
    """
    One rule, held against one series.

    Parameters
    ----------
    rule : str
        Its key.
    level : str
        "target" for what a careful builder hopes for, "limit" for what means trouble, "expectation" for where the
        level should be by the build sheet.
    outcome : Outcome
        Met, not met, too close to call, or not judged.
    value : float or None
        The figure that was compared; None when there is none. [%, - or Pa, by `dimension`]
    limit : float or None
        What it was compared with. [as the value]
    dimension : str
        "percent", "fraction" or "pressure".
    cylinder : str or None
        The worst cylinder where the rule is about one.
    source : str
        Key of `ringtrue.sources.SOURCES`.
    reason : str
        Why the outcome is what it is, where that needs saying; empty otherwise.
    probability_met : float or None
        Probability that the engine itself meets the rule; None when the gauge is not known or nothing was compared. [-]
    interval : Interval or None
        90 % interval of the value; None as above.
    """

    rule: str
    level: Level
    outcome: Outcome
    value: float | None
    limit: float | None
    dimension: Dimension
    cylinder: str | None
    source: str
    reason: str
    probability_met: float | None = None
    interval: Interval | None = None


@dataclass(frozen=True, slots=True)
class CylinderFigures:
    """
    One cylinder of one series.

    Parameters
    ----------
    cylinder : str
        Its name.
    first : PaGauge or None
        Mean of its first strokes that were seen and not spoiled. [Pa gauge]
    final : PaGauge or None
        Mean of its finals. [Pa gauge]
    deviation : float or None
        Final less the mean of all cylinders. [Pa]
    deviation_percent : float or None
        The same, of that mean. [%]
    first_over_final : float or None
        Mean over its pulls of first over final; None when no first can be used. [-]
    place : Place
        Where it stands.
    interval : Interval or None
        90 % interval of the final, the gauge's offset in it; None when the gauge is not known. [Pa gauge]
    pulls : int
        How many of its pulls have a final.
    first_spoiled : bool
        A first stroke of it was spoiled, and is in no figure.
    first_from_film : bool
        A first stroke of it was read later, off a film; it is in the figures.
    first_as_read, final_as_read : PaGauge or None
        The same as the gauge showed them, where a calibration corrects them; else None. [Pa gauge]
    """

    cylinder: str
    first: PaGauge | None
    final: PaGauge | None
    deviation: float | None
    deviation_percent: float | None
    first_over_final: float | None
    place: Place
    interval: Interval | None
    pulls: int
    first_spoiled: bool
    first_from_film: bool = False
    first_as_read: PaGauge | None = None
    final_as_read: PaGauge | None = None


@dataclass(frozen=True, slots=True)
class RunningFigures:
    """
    The figures after one pull, over the cylinder means so far.

    Parameters
    ----------
    cylinder : str
        The cylinder just pulled.
    final : PaGauge
        What was read in that pull. [Pa gauge]
    mean : PaGauge
        Mean of the cylinders so far. [Pa gauge]
    mean_deviation : float
        Mean absolute deviation from it. [Pa]
    mean_deviation_percent : float
        The same, of that mean. [%]
    """

    cylinder: str
    final: PaGauge
    mean: PaGauge
    mean_deviation: float
    mean_deviation_percent: float


@dataclass(frozen=True, slots=True)
class Extreme:
    """
    The lowest or the highest cylinder.

    Parameters
    ----------
    cylinder : str
        Its name; the first in order where several share the value.
    value : PaGauge
        Its final. [Pa gauge]
    """

    cylinder: str
    value: PaGauge


@dataclass(frozen=True, slots=True)
class Drift:
    """
    What the day did between the first pull and the last.

    Parameters
    ----------
    cylinder : str
        The cylinder that was pulled again at the end.
    before, after : PaGauge
        Its final in the series, and at the end. [Pa gauge]
    fraction : float
        Change over `before`; negative when the readings fell. [-]
    """

    cylinder: str
    before: PaGauge
    after: PaGauge
    fraction: float


@dataclass(frozen=True, slots=True)
class Outliers:
    """
    A formal test of whether a cylinder belongs to the same normal population as its siblings.

    Parameters
    ----------
    test : str
        "Grubbs" up to 14 cylinders, "generalised ESD" from 15.
    cylinders : tuple of str
        Those it calls outliers, farthest first; empty when none.
    statistic, critical : float
        The statistic that decided and what it was compared with. [-]
    alpha : float
        Significance, two-sided. [-]
    """

    test: Literal["Grubbs", "generalised ESD"]
    cylinders: tuple[str, ...]
    statistic: float
    critical: float
    alpha: float


@dataclass(frozen=True, slots=True)
class TwoGroups:
    """
    Half of the cylinders differ from the other half, and nothing says which half is right.

    Parameters
    ----------
    lower, higher : tuple of str
        The two halves, in the order of the engine.
    gap_fraction : float
        The gap between them, over the median of all. [-]
    """

    lower: tuple[str, ...]
    higher: tuple[str, ...]
    gap_fraction: float


@dataclass(frozen=True, slots=True)
class SpreadAgainstGauge:
    """
    The spread that was seen, beside what the gauge alone would show on cylinders that are all alike.

    Parameters
    ----------
    no_bigger : bool
        The spread is no bigger than the gauge alone would show in 19 of 20 such engines.
    expected : float
        Mean deviation that the gauge alone would show, on average. [%]
    observed : float
        Mean deviation that was seen. [%]
    reason : str
        What the figure rests on.
    """

    no_bigger: bool
    expected: float
    observed: float
    reason: str


@dataclass(frozen=True, slots=True)
class SeriesJudgement:
    """
    The dry or the wet series, judged.

    Parameters
    ----------
    kind : Kind
        Dry or wet.
    unit : str
        The unit of the first final, in which the results are to be told.
    gauge_known : bool
        Enough is known of the gauge for an uncertainty.
    count : int
        Cylinders that have a final.
    not_read : tuple of str
        Cylinders of the sheet, or of a row, that have none.
    mean : PaGauge or None
        Mean of the cylinders; None when none was read. [Pa gauge]
    mean_deviation : float or None
        Mean absolute deviation from it. [Pa]
    mean_deviation_percent : float or None
        The same, of the mean. [%]
    lowest, highest : Extreme or None
        The ends of the series.
    lowest_over_highest : float or None
        None when nothing was read or every final is zero. [-]
    running : tuple of RunningFigures
        One for each row with a final, in the order taken.
    cylinders : tuple of CylinderFigures
        In the order of the sheet, else of the file.
    rules : tuple of RuleOutcome
        The six general rules, then those that the sheet names.
    two_groups : TwoGroups or None
        Where half differ from the other half.
    outliers : Outliers or None
        None below three cylinders.
    spread_against_gauge : SpreadAgainstGauge or None
        None when the gauge is not known or fewer than two cylinders were read.
    drift : Drift or None
        None when the first cylinder was not pulled again.
    disagreements : tuple of (str, str)
        Pairs (rule that is met, rule that is not met) that answer the same question differently.
    uncertainty_notes : tuple of str
        What the uncertainty rests on, and what was assumed for want of knowledge.
    correction : Correction or None
        What a calibration of the gauge did to the readings; None without one.
    """

    kind: Kind
    unit: str
    gauge_known: bool
    count: int
    not_read: tuple[str, ...]
    mean: PaGauge | None
    mean_deviation: float | None
    mean_deviation_percent: float | None
    lowest: Extreme | None
    highest: Extreme | None
    lowest_over_highest: float | None
    running: tuple[RunningFigures, ...]
    cylinders: tuple[CylinderFigures, ...]
    rules: tuple[RuleOutcome, ...]
    two_groups: TwoGroups | None
    outliers: Outliers | None
    spread_against_gauge: SpreadAgainstGauge | None
    drift: Drift | None
    disagreements: tuple[tuple[str, str], ...]
    uncertainty_notes: tuple[str, ...]
    correction: Correction | None = None


@dataclass(frozen=True, slots=True)
class WetOverDry:
    """
    What oil did to one cylinder.

    Parameters
    ----------
    cylinder : str
        Its name.
    ratio : float or None
        Wet final over dry final, as read; None when the dry one is zero. [-]
    net_ratio : float or None
        The same with the oil's own volume taken out; None when a volume is not known. [-]
    oil_share : float or None
        Oil over clearance volume; above `ringtrue.measure.OIL_SHARE_WARNING` it is too much. [-]
    reason : str
        What `net_ratio` rests on, or why there is none.
    """

    cylinder: str
    ratio: float | None
    net_ratio: float | None
    oil_share: float | None
    reason: str


@dataclass(frozen=True, slots=True)
class LeakdownFigures:
    """
    One leak-down reading, judged.

    Parameters
    ----------
    cylinder : str
        Its name.
    supply, held : PaGauge or None
        Regulated supply and what the cylinder held; None when nobody saw it. [Pa gauge]
    loss : float or None
        Share of the supply that is lost, through the restrictor that was used. [-]
    outcome : Outcome
        Met: not suspect. Not met: suspect.
    rule : str
        "leakdown_suspect", or "DT-03" where the sheet adopts it.
    limit : float
        Largest loss that meets the rule. [-]
    source : str
        Key of `ringtrue.sources.SOURCES`.
    reason : str
        Why it is not judged, or what the comparison rests on.
    heard : tuple of str
        Where the air was heard.
    restrictor : float or None
        Bore of the restrictor. [m]
    """

    cylinder: str
    supply: PaGauge | None
    held: PaGauge | None
    loss: float | None
    outcome: Outcome
    rule: str
    limit: float
    source: str
    reason: str
    heard: tuple[str, ...]
    restrictor: float | None


@dataclass(frozen=True, slots=True)
class Judgement:
    """
    Everything that was made of one test.

    Parameters
    ----------
    dry, wet : SeriesJudgement or None
        The two series; None where there is no such pull.
    leakdown : tuple of LeakdownFigures
        One for each leak-down reading, in the order taken.
    wet_over_dry : tuple of WetOverDry
        One for each cylinder that has both a dry and a wet final.
    """

    dry: SeriesJudgement | None
    wet: SeriesJudgement | None
    leakdown: tuple[LeakdownFigures, ...] = ()
    wet_over_dry: tuple[WetOverDry, ...] = ()

    @property
    def main(self) -> SeriesJudgement | None:
        """The dry series, or the wet one where there is no dry; None where there is neither."""
        return self.dry or self.wet
