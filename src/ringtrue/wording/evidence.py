"""The facts of a pattern, as phrases with their figures."""

from __future__ import annotations

from typing import TypeVar

from ringtrue.diagnosis import (
    AgainstLevel,
    Evidence,
    FirstStrokes,
    LiftLost,
    OilBasis,
    OilEffect,
    OilSays,
    Pattern,
    StrokesCounted,
)
from ringtrue.diagnosis.seen import NEAR_ZERO, NEAR_ZERO_SHARE
from ringtrue.measure import OIL_SHARE_WARNING, CylinderFigures, LeakdownFigures, Place, RuleOutcome, TwoGroups
from ringtrue.measure.limits import OFF_THE_MEDIAN
from ringtrue.sources import source
from ringtrue.wording.leakdown_and_oil import heard_text, loss_text
from ringtrue.wording.names import capital, cylinders, listed
from ringtrue.wording.numbers import nearest, percent, pressure, ratio, shortest
from ringtrue.wording.rules import title
from ringtrue.wording.shown import Shown

Fact = TypeVar("Fact", bound=Evidence)

_BESIDE = {
    OilBasis.NET: "times the dry reading, the oil's own volume taken out",
    OilBasis.SIBLINGS: "times what the same oil did to the cylinders in line",
    OilBasis.RAW: "times the dry reading, the oil's own volume still in it",
}


class Told:
    """
    The phrases that a pattern's sentences are made of; each is empty where the pattern has no such fact.

    Parameters
    ----------
    pattern : Pattern
        What was found.
    shown : Shown
        Writes the figures of the series.
    """

    def __init__(self, pattern: Pattern, shown: Shown) -> None:
        self._pattern = pattern
        self._shown = shown

    def _all(self, kind: type[Fact]) -> list[Fact]:
        return [each for each in self._pattern.evidence if isinstance(each, kind)]

    @property
    def listened(self) -> bool:
        """Whether somebody noted where a leak-down was heard."""
        return any(each.heard for each in self._all(LeakdownFigures))

    @property
    def names(self) -> str:
        """The cylinders."""
        return cylinders(self._pattern.cylinders)

    @property
    def bank(self) -> str:
        """The bank, counted from 1 as it stands on the sheet."""
        return "" if self._pattern.bank is None else str(self._pattern.bank + 1)

    @property
    def near_zero(self) -> str:
        """Which cylinders are at or near zero, and what counts as that."""
        share, least = shortest(100 * NEAR_ZERO_SHARE, 1), pressure(NEAR_ZERO, self._shown.unit)
        line = f"under {share} % of the median of all, or under {least}; common practice"
        return f"At or near zero: {self.finals} ({line})."

    @property
    def finals(self) -> str:
        """Each cylinder's final."""
        return listed([self._final(each) for each in self._all(CylinderFigures)])

    def _final(self, mine: CylinderFigures) -> str:
        return f"cylinder {mine.cylinder} with {'no final' if mine.final is None else self._shown.final(mine.final)}"

    @property
    def low(self) -> str:
        """Which cylinders are low, beside what, and by how much."""
        return "; ".join(self._off(each) for each in self._all(CylinderFigures))

    high = low
    in_line = low

    def _off(self, mine: CylinderFigures) -> str:
        if mine.final is None:
            return self._final(mine)
        read = self._shown.final(mine.final)
        beside = f"{read}, {self._shown.off_the_mean(mine.deviation_percent or 0.0)}"
        if mine.place in {Place.LOW, Place.HIGH, Place.IN_LINE}:
            minimum = next(iter(self._all(AgainstLevel)), None)
            if mine.place is Place.IN_LINE and minimum is not None:
                return f"cylinder {mine.cylinder} is below the build sheet's minimum of {self._level(minimum)}: {read}"
            return f"cylinder {mine.cylinder} is {mine.place}: {beside}"
        if self._all(TwoGroups):
            return f"cylinder {mine.cylinder} is in the lower of two groups: {beside}"
        return f"cylinder {mine.cylinder}: {beside}"

    @property
    def oil(self) -> str:
        """What oil did."""
        return " ".join(self._oil(each) for each in self._all(OilEffect))

    def _oil(self, oil: OilEffect) -> str:
        name = f"With oil cylinder {oil.cylinder}"
        if oil.ratio is None:
            return f"{name} cannot be compared: its dry final is zero."
        much = oil.oil_share is not None and oil.oil_share > OIL_SHARE_WARNING
        if much and oil.oil_share is not None:
            share = percent(100 * oil.oil_share, limit=100 * OIL_SHARE_WARNING)
            most = f"above {shortest(100 * OIL_SHARE_WARNING, 1)} % a wet reading says little (common practice)"
            return f"{name} had {share} of its clearance volume in oil: {most}."
        read = (
            f"{name} reads {ratio(oil.ratio, limit=nearest(oil.ratio, (oil.little, oil.clear)))} {_BESIDE[oil.basis]}"
        )
        if oil.says is OilSays.CLEARLY_BETTER:
            return f"{read}: clearly better ({ratio(oil.clear)} or more; common practice)."
        if oil.says is OilSays.LITTLE:
            return f"{read}: oil changes little (up to {ratio(oil.little)}; common practice)."
        between = f"neither little (up to {ratio(oil.little)}) nor clearly better (from {ratio(oil.clear)}"
        return f"{read}: {between}; common practice)."

    @property
    def leak(self) -> str:
        """What the leak-down shows."""
        return " ".join(self._leak(each) for each in self._all(LeakdownFigures))

    def _leak(self, leak: LeakdownFigures) -> str:
        heard = f"; air heard {heard_text(leak.heard)}" if leak.heard else ""
        limit = f"suspect is more than {shortest(100 * leak.limit, 2)} %, {source(leak.source).key}"
        return f"Leak-down on cylinder {leak.cylinder} loses {loss_text(leak)} ({limit}){heard}."

    @property
    def lift(self) -> str:
        """Lift that was measured to be missing."""
        return "".join(
            f" Measured loss of valve lift on cylinder {each.cylinder}: {1e3 * each.lost:.2f} mm."
            for each in self._all(LiftLost)
        )

    @property
    def strokes(self) -> str:
        """How many strokes it had beside the others."""
        return " ".join(
            f"Cylinder {each.cylinder} had {each.strokes} compression strokes, every other {each.siblings} or more."
            for each in self._all(StrokesCounted)
        )

    @property
    def first(self) -> str:
        """First stroke over final beside the siblings'."""
        return " ".join(self._first(each) for each in self._all(FirstStrokes))

    def _first(self, first: FirstStrokes) -> str:
        mine, others = (self._shown.first_over_final(each) for each in (first.first_over_final, first.siblings))
        return f"The first stroke of cylinder {first.cylinder} is {mine} of its final; the others' median is {others}."

    @property
    def groups(self) -> str:
        """The two halves."""
        return " ".join(groups_sentence(each) for each in self._all(TwoGroups))

    def level(self, side: str) -> str:
        """
        Tell how much of the engine lies on one side of a level.

        Parameters
        ----------
        side : str
            "below" or "above".

        Returns
        -------
        str
            A sentence for each level.
        """
        return " ".join(
            f"{len(each.cylinders)} of {each.count} cylinders read {side} {self._level(each)}."
            for each in self._all(AgainstLevel)
        )

    def _level(self, level: AgainstLevel) -> str:
        origin = source(level.source).title if level.source else "what this engine should show that day"
        return f"{pressure(level.level, self._shown.unit)} ({origin})"

    @property
    def broken(self) -> str:
        """Rules that are not met all the same."""
        names = [title(each.rule) for each in self._all(RuleOutcome)]
        return f"Not met all the same: {capital(listed(names))}." if names else ""


def groups_sentence(groups: TwoGroups) -> str:
    """
    Tell the two halves of an engine.

    Parameters
    ----------
    groups : TwoGroups
        What judging found.

    Returns
    -------
    str
        One sentence.
    """
    gap = percent(100 * groups.gap_fraction, limit=100 * OFF_THE_MEDIAN)
    lower = capital(cylinders(groups.lower))
    more = f"more than {shortest(100 * OFF_THE_MEDIAN, 1)} %, common practice"
    return f"{lower} read lower than {listed(groups.higher)}: the gap is {gap} of the median of all ({more})."
