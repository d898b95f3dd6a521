"""A judged test as a person lays it out: who is low, what oil did, what the leak-down says, who stands beside whom."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from itertools import pairwise
from statistics import median

from ringtrue.compression import CompressionTest, Pull
from ringtrue.diagnosis.facts import AgainstLevel, Evidence, FirstStrokes, LiftLost, OilEffect, OilSays, StrokesCounted
from ringtrue.diagnosis.oil import oil_effects
from ringtrue.engine import BuildSheet
from ringtrue.measure import (
    CylinderFigures,
    Interval,
    Judgement,
    LeakdownFigures,
    Outcome,
    Place,
    SeriesJudgement,
    TwoGroups,
)
from ringtrue.measure.leakdown import LARGE_RESTRICTOR, SMALL_RESTRICTOR
from ringtrue.measure.limits import LEAKDOWN_ADOPTED, SLACK
from ringtrue.quantities import PaGauge

NEAR_ZERO_SHARE = 0.10
"""Share of the median final below which a cylinder is at or near zero: common practice. [-]"""

NEAR_ZERO = PaGauge(70e3)
"""Final below which it is so whatever its siblings show, about 10 psi: common practice. [Pa gauge]"""

SOUND_LOSS = 0.10
"""Leak-down loss up to which a cylinder is sound through a restrictor of 0.040 in: common practice. [-]"""

NO_LOSS = 0.005
"""Leak-down loss that no gauge tells from none, so that no hiss belongs to it: common practice. [-]"""

FIRST_STROKE_LOW = 0.90
"""Share of the siblings' median below which a first stroke is low: common practice, and weak evidence. [-]"""

FEWEST_FIRSTS = 2
"""Siblings whose first strokes it takes to compare one with."""


class Seen:
    """
    What lies before a person who reads the pattern.

    Parameters
    ----------
    series : SeriesJudgement
        The series that speaks: dry where there is one.
    judgement : Judgement
        All that judging found.
    test : CompressionTest
        What was done and read.
    sheet : BuildSheet or None
        The engine.
    expected : Interval or None
        90 % interval of the final that the engine should show. [Pa gauge]
    """

    def __init__(
        self,
        series: SeriesJudgement,
        judgement: Judgement,
        test: CompressionTest,
        sheet: BuildSheet | None,
        expected: Interval | None,
    ) -> None:
        self.series = series
        self.judgement = judgement
        self.test = test
        self.sheet = sheet
        self.expected = expected
        self.figures = {each.cylinder: each for each in series.cylinders if each.final is not None}

    def at(self, *places: Place) -> tuple[str, ...]:
        """
        Return the cylinders of some places.

        Parameters
        ----------
        *places : Place
            Which.

        Returns
        -------
        tuple of str
            In the order of the engine.
        """
        return tuple(name for name, each in self.figures.items() if each.place in places)

    @property
    def groups(self) -> TwoGroups | None:
        """The two halves, where the engine falls into halves."""
        return self.series.two_groups

    @cached_property
    def near_zero(self) -> tuple[str, ...]:
        """Cylinders at or near zero."""
        finals = {name: each.final for name, each in self.figures.items() if each.final is not None}
        if not finals:
            return ()
        line = max(NEAR_ZERO_SHARE * median(finals.values()), NEAR_ZERO)
        return tuple(name for name, final in finals.items() if final < line)

    @cached_property
    def below_minimum(self) -> AgainstLevel | None:
        """Cylinders below the least final of the build sheet."""
        minimum = self.sheet.limits.minimum if self.sheet else None
        return None if minimum is None else self._below(minimum, "service data")

    @cached_property
    def below_expected(self) -> AgainstLevel | None:
        """Cylinders below what the engine should show."""
        return None if self.expected is None else self._below(PaGauge(self.expected.low), "")

    @cached_property
    def above_expected(self) -> AgainstLevel | None:
        """Cylinders above what the engine should show."""
        if self.expected is None:
            return None
        level = PaGauge(self.expected.high)
        names = (n for n, each in self.figures.items() if _low_end(each) > level * (1 + SLACK))
        return AgainstLevel(tuple(names), len(self.figures), level, "")

    def _below(self, level: PaGauge, source: str) -> AgainstLevel:
        names = (name for name, each in self.figures.items() if _high_end(each) < level * (1 - SLACK))
        return AgainstLevel(tuple(names), len(self.figures), level, source)

    @cached_property
    def out_of_line(self) -> tuple[str, ...]:
        """Low among their siblings, or the lower of two groups; not at zero."""
        lower = self.groups.lower if self.groups else ()
        return tuple(
            name
            for name in self.figures
            if (name in lower or name in self.at(Place.LOW)) and name not in self.near_zero
        )

    @cached_property
    def low(self) -> tuple[str, ...]:
        """Those out of line, and those below the sheet's own minimum unless most of the engine is."""
        below = self.below_minimum
        alone = below.cylinders if below and (not is_most(below) or len(self.figures) == 1) else ()
        return tuple(
            name for name in self.figures if name in self.out_of_line or (name in alone and name not in self.near_zero)
        )

    def why_low(self, cylinder: str) -> tuple[Evidence, ...]:
        """
        Return the facts by which a cylinder is called low.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        tuple of Evidence
            Its figures; the two groups where it is low only as one of the lower; the sheet's minimum where it is low
            only beside that.
        """
        mine = self.figures[cylinder]
        if mine.place is Place.LOW:
            return (mine,)
        if self.groups and cylinder in self.groups.lower:
            return mine, self.groups
        return (mine, self.below_minimum) if self.below_minimum else (mine,)

    @cached_property
    def oil(self) -> dict[str, OilEffect]:
        """What oil did, by cylinder."""
        sound = self.groups.higher if self.groups else self.at(Place.IN_LINE)
        return {each.cylinder: each for each in oil_effects(self.judgement.wet_over_dry, sound)}

    def with_oil(self, says: OilSays, cylinders: Iterable[str]) -> tuple[str, ...]:
        """
        Return the cylinders to which oil did one thing.

        Parameters
        ----------
        says : OilSays
            What.
        cylinders : iterable of str
            Among these.

        Returns
        -------
        tuple of str
            In the same order.
        """
        return tuple(name for name in cylinders if name in self.oil and self.oil[name].says is says)

    @cached_property
    def leakdowns(self) -> dict[str, LeakdownFigures]:
        """The last leak-down reading of each cylinder that has a loss: what was repeated counts as repeated."""
        return {each.cylinder: each for each in self.judgement.leakdown if each.loss is not None}

    def leaks(self, cylinder: str) -> bool:
        """
        Tell whether a leak-down reading shows a leak worth listening to.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        bool
            Its loss is suspect; or the cylinder is low and loses more than a sound one does.
        """
        found = self.leakdowns.get(cylinder)
        if found is None or found.loss is None:
            return False
        low = cylinder in self.low or cylinder in self.near_zero
        return found.outcome is Outcome.NOT_MET or (low and found.loss > SOUND_LOSS)

    def leakdown_good(self, cylinder: str) -> bool:
        """
        Tell whether a leak-down reading shows a sound cylinder.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        bool
            It was judged, and its loss is that of a sound cylinder, through a restrictor no larger than the one that
            the figure is about (a larger one hides a leak).
        """
        found = self.leakdowns.get(cylinder)
        if found is None or found.loss is None or found.restrictor is None or found.outcome is not Outcome.MET:
            return False
        meant = LARGE_RESTRICTOR if found.rule == LEAKDOWN_ADOPTED.key else SMALL_RESTRICTOR
        return found.loss <= SOUND_LOSS * (1 + SLACK) and found.restrictor <= meant * 1.005

    def heard(self, cylinder: str) -> tuple[str, ...]:
        """
        Return where the air of a leak-down was heard.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        tuple of str
            As written, without "nothing".
        """
        found = self.leakdowns.get(cylinder)
        return tuple(place for place in found.heard if place != "nothing") if found else ()

    @cached_property
    def gasket_pairs(self) -> tuple[tuple[str, str], ...]:
        """Neighbours on one gasket that are out of line both, and that oil changes little; front to rear."""
        if self.sheet is None:
            return ()
        little = self.with_oil(OilSays.LITTLE, self.out_of_line)
        return tuple(
            pair
            for bank in self.sheet.banks
            for pair in pairwise(bank)
            if pair[1] in self.sheet.bridge_neighbours(pair[0]) and set(pair) <= set(little)
        )

    def first_strokes(self, cylinder: str) -> FirstStrokes | None:
        """
        Compare the first stroke of a cylinder, over its final, with its siblings'.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        FirstStrokes or None
            None where its own, or too many of the others', were not seen.
        """
        mine = self.figures[cylinder].first_over_final
        others = [
            ratio
            for name, each in self.figures.items()
            if name != cylinder and (ratio := each.first_over_final) is not None
        ]
        if mine is None or len(others) < FEWEST_FIRSTS:
            return None
        return FirstStrokes(cylinder, mine, median(others))

    def first_is_low(self, cylinder: str) -> bool:
        """
        Tell whether the pressure after a cylinder's first stroke is low beside its siblings'.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        bool
            False too where it, or too many of the others, were not seen.
        """
        mine = self.figures[cylinder].first
        others = [
            first for name, each in self.figures.items() if name != cylinder and (first := each.first) is not None
        ]
        return mine is not None and len(others) >= FEWEST_FIRSTS and mine < FIRST_STROKE_LOW * median(others)

    def fewer_strokes(self, cylinder: str) -> StrokesCounted | None:
        """
        Tell whether a cylinder was cranked for fewer compression strokes than every other.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        StrokesCounted or None
            None where it was not, or nobody counted.
        """
        counted: dict[str, int] = {}
        for pull in self.test.taken:
            if isinstance(pull, Pull) and pull.kind is self.series.kind and not pull.drift and pull.strokes is not None:
                counted[pull.cylinder] = max(pull.strokes, counted.get(pull.cylinder, 0))
        mine = counted.pop(cylinder, None)
        if mine is None or not counted or mine >= min(counted.values()):
            return None
        return StrokesCounted(cylinder, mine, min(counted.values()))

    def lift_lost(self, cylinder: str) -> LiftLost | None:
        """
        Return the valve lift that was measured to be missing.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        LiftLost or None
            The largest noted; None where nobody measured.
        """
        lost = [row.lift_loss.value for row in self.test.taken if row.cylinder == cylinder and row.lift_loss]
        return LiftLost(cylinder, max(lost)) if lost else None


def is_most(side: AgainstLevel) -> bool:
    """
    Tell whether most of an engine lies on one side of a level.

    Parameters
    ----------
    side : AgainstLevel
        Those that do.

    Returns
    -------
    bool
        More than half of those read.
    """
    return 2 * len(side.cylinders) > side.count


def _low_end(cylinder: CylinderFigures) -> float:
    return (cylinder.interval.low if cylinder.interval else cylinder.final) or 0.0


def _high_end(cylinder: CylinderFigures) -> float:
    return (cylinder.interval.high if cylinder.interval else cylinder.final) or 0.0
