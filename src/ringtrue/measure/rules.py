"""Each rule held against one series."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from ringtrue.compression import Kind
from ringtrue.measure.figures import CylinderReadings, extremes, percent_of, spread_of
from ringtrue.measure.judgement import Interval, Outcome, RuleOutcome
from ringtrue.measure.limits import HOLDS_AT, SLACK, Figure, Rule
from ringtrue.measure.statistics import median
from ringtrue.measure.uncertainty import Uncertainty


@dataclass(frozen=True, slots=True)
class Found:
    """
    A figure, and the cylinder that makes it.

    Parameters
    ----------
    value : float
        The figure. [% or - or Pa]
    cylinder : str or None
        None where the figure is about all cylinders alike.
    """

    value: float
    cylinder: str | None


class SeriesFigures:
    """
    One series, as the rules ask for it.

    Parameters
    ----------
    kind : Kind
        Dry or wet.
    cylinders : sequence of CylinderReadings
        All of them, in the order of the engine.
    uncertainty : Uncertainty or None
        None when the gauge is not known.
    """

    def __init__(self, kind: Kind, cylinders: Sequence[CylinderReadings], uncertainty: Uncertainty | None) -> None:
        self.kind = kind
        self.cylinders = tuple(cylinders)
        self.uncertainty = uncertainty
        self.finals = {each.cylinder: each.final for each in cylinders if each.final is not None}

    @cached_property
    def found(self) -> Mapping[Figure, Found]:
        """
        Every figure that the readings make.

        Where every final is zero, nothing can be said of how alike the cylinders are.
        """
        found = {}
        ratios = {each.cylinder: ratio for each in self.cylinders if (ratio := each.first_over_final) is not None}
        if ratios:
            worst = next(name for name in ratios if ratios[name] <= min(ratios.values()) * (1 + SLACK))
            found[Figure.FIRST_OVER_FINAL] = Found(ratios[worst], worst)
        ends = extremes(self.cylinders)
        if ends is None:
            return found
        lowest, highest = ends
        found[Figure.LOWEST] = Found(lowest.value, lowest.cylinder)
        found[Figure.LEVEL] = Found(median(tuple(self.finals.values())), None)
        if highest.value <= 0:
            return found
        spread = spread_of(tuple(self.finals.values()))
        # Where several are equally far, rounding does not choose: the first in order is named.
        off = {name: abs(final - spread.mean) for name, final in self.finals.items()}
        reach = max(off.values())
        rounding = SLACK * highest.value
        farthest = next(name for name in off if off[name] >= reach - rounding)
        # A spread is made by two; the one farther from the middle of all is named, the lowest of equals.
        middle = median(tuple(self.finals.values()))
        end = highest if highest.value - middle > middle - lowest.value + rounding else lowest
        return found | {
            Figure.MEAN_DEVIATION: Found(spread.mean_deviation_percent, None),
            Figure.CYLINDER_DEVIATION: Found(percent_of(reach, spread.mean), farthest),
            Figure.BELOW_MEAN: Found(percent_of(spread.mean - lowest.value, spread.mean), lowest.cylinder),
            Figure.LOWEST_OVER_HIGHEST: Found(lowest.value / highest.value, lowest.cylinder),
            Figure.SPREAD: Found(highest.value - lowest.value, end.cylinder),
        }

    def cannot(self, figure: Figure) -> str:
        """
        Say why a figure cannot be judged, whatever it is.

        Parameters
        ----------
        figure : Figure
            Which.

        Returns
        -------
        str
            The reason; empty where it can.
        """
        undeclared = [each.cylinder for each in self.cylinders if each.undeclared]
        alike, first = figure.compares_siblings, figure is Figure.FIRST_OVER_FINAL
        reasons = (
            (first and figure not in self.found, "no first stroke to judge by"),
            (not self.finals, "no final read"),
            (bool(undeclared), f"two readings of {_named(undeclared)}"),
            (alike and self.kind is Kind.WET, "wet series: oil differs from cylinder to cylinder"),
            (alike and len(self.finals) == 1, "only one cylinder read"),
            (figure not in self.found, "every final is zero"),
        )
        return next((reason for holds, reason in reasons if holds), "")

    def incomplete(self, figure: Figure) -> str:
        """
        Say why a figure, though it breaks no limit, proves none kept.

        Parameters
        ----------
        figure : Figure
            Which.

        Returns
        -------
        str
            The reason; empty where the figure is complete.
        """
        if not figure.needs_all:
            return ""
        if not_read := [each.cylinder for each in self.cylinders if each.final is None]:
            return f"{_named(not_read)} not read"
        if self.kind is Kind.WET:
            return "wet series: oil raises the readings"
        return ""

    def remarks(self, figure: Figure) -> tuple[str, ...]:
        """
        Say what belongs beside a figure that was judged.

        Parameters
        ----------
        figure : Figure
            Which.

        Returns
        -------
        tuple of str
            What it rests on.
        """
        if figure is not Figure.FIRST_OVER_FINAL:
            return ()
        spoiled = [each.cylinder for each in self.cylinders if each.first_spoiled and not each.ratios]
        unseen = [each.cylinder for each in self.cylinders if not each.ratios and not each.first_spoiled]
        return (
            *([f"first stroke of {_named(spoiled)} spoiled"] if spoiled else []),
            *([f"first stroke of {_named(unseen)} not seen"] if unseen else []),
            "a long hose lowers the first stroke",
        )


def _named(cylinders: Sequence[str]) -> str:
    return f"cylinder{'s' if len(cylinders) > 1 else ''} {', '.join(cylinders)}"


@dataclass(frozen=True, slots=True)
class _Call:
    outcome: Outcome
    reasons: tuple[str, ...] = ()
    probability_met: float | None = None
    interval: Interval | None = None


def _call(rule: Rule, value: float, uncertainty: Uncertainty | None) -> _Call:
    """Hold a figure against its limit, with what is known of the gauge."""
    met = rule.side.holds(value, rule.limit)
    if uncertainty is None:
        return _Call(Outcome.MET if met else Outcome.NOT_MET, ("gauge not known",))
    sides = uncertainty.sides(rule.figure, rule.side, rule.limit)
    if (sides.met if met else sides.not_met) >= HOLDS_AT:
        return _Call(Outcome.MET if met else Outcome.NOT_MET, (), sides.probability_met, sides.interval)
    undecided = ("the gauge cannot tell the two sides apart",)
    return _Call(Outcome.TOO_CLOSE, undecided, sides.probability_met, sides.interval)


def judge_rule(rule: Rule, series: SeriesFigures) -> RuleOutcome:
    """
    Hold one rule against one series.

    Parameters
    ----------
    rule : Rule
        Which.
    series : SeriesFigures
        The readings.

    Returns
    -------
    RuleOutcome
        Without a known gauge, the bare comparison. With one, an outcome that has a probability of 0.95 and that the
        bare comparison does not contradict, or else *too close to call*. Where a cylinder was not read, only *not met*
        is said: what was read already breaks the rule.
    """
    found = series.found.get(rule.figure)
    reason = series.cannot(rule.figure)
    call = _Call(Outcome.NOT_JUDGED, (reason,))
    if found is not None and not reason:
        incomplete = series.incomplete(rule.figure)
        # What the bare comparison finds met is never called not met: nothing needs to be drawn for it.
        if not incomplete or not rule.side.holds(found.value, rule.limit):
            call = _call(rule, found.value, series.uncertainty)
        if incomplete and call.outcome is not Outcome.NOT_MET:
            call = _Call(Outcome.NOT_JUDGED, (incomplete,))
        else:
            call = _Call(
                call.outcome, (*call.reasons, *series.remarks(rule.figure)), call.probability_met, call.interval
            )
    return RuleOutcome(
        rule=rule.key,
        level=rule.level,
        outcome=call.outcome,
        value=None if found is None else found.value,
        limit=rule.limit,
        dimension=rule.dimension,
        cylinder=None if found is None else found.cylinder,
        source=rule.source,
        reason="; ".join(call.reasons),
        probability_met=call.probability_met,
        interval=call.interval,
    )


def disagreements(rules: Sequence[Rule], outcomes: Sequence[RuleOutcome]) -> tuple[tuple[str, str], ...]:
    """
    Return the rules that answer one question differently: whether a cylinder is off its siblings.

    Parameters
    ----------
    rules : sequence of Rule
        What was asked.
    outcomes : sequence of RuleOutcome
        What was found, in the same order.

    Returns
    -------
    tuple of (str, str)
        Rule that is met, rule that is not met.
    """
    asked = [found for rule, found in zip(rules, outcomes, strict=True) if rule.asks_about_one_cylinder]
    return tuple(
        (met.rule, not_met.rule)
        for met in asked
        for not_met in asked
        if met.outcome is Outcome.MET and not_met.outcome is Outcome.NOT_MET
    )
