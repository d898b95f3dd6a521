"""What the charts of builds need of a hand-over test, and what its build sheet says that may go with even finals."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ringtrue.compression import CompressionTest, Kind
from ringtrue.engine import BuildSheet
from ringtrue.errors import GaugeRefused
from ringtrue.history.builds import FEWEST_CYLINDERS, Build, evened, usual_size
from ringtrue.history.together import (
    CHANCE,
    KindsCompared,
    Together,
    compare_kinds,
    for_all_looked_at,
    together,
    together_within,
)
from ringtrue.measure.correcting import corrected
from ringtrue.measure.figures import drift_of, readings_of, spread_of
from ringtrue.measure.gauges import gauge_error
from ringtrue.measure.statistics import mean
from ringtrue.measure.uncertainty import Final, beside_siblings


@dataclass(frozen=True, slots=True)
class Finals:
    """
    The dry finals of a test, as far as builds are compared by them.

    Parameters
    ----------
    finals : mapping of str to float
        Of each cylinder. [Pa gauge]
    deviation : float
        Their mean deviation, over their mean. [%]
    scatter : float or None
        Gauge and hand: standard uncertainty of a cylinder beside its siblings, over the mean; None when the gauge is
        not known. [%]
    """

    finals: Mapping[str, float]
    deviation: float
    scatter: float | None


def finals_of(test: CompressionTest, cylinders: Sequence[str]) -> Finals | None:
    """
    Take the dry finals of a whole test.

    Parameters
    ----------
    test : CompressionTest
        What was read; the correction of a calibrated gauge is put in here.
    cylinders : sequence of str
        All that the engine has; empty where that is not known, and those that were pulled stand for it.

    Returns
    -------
    Finals or None
        None unless every cylinder has a final that nobody has to choose between, and their mean is above zero.
    """
    test = corrected(test)
    series = test.series(Kind.DRY)
    if series is None:
        return None
    folded = [readings_of(name, series.of(name)) for name in (cylinders or series.cylinders)]
    finals = {each.cylinder: float(each.final) for each in folded if each.final is not None and not each.undeclared}
    if len(finals) < len(folded) or not finals or mean(list(finals.values())) <= 0:
        return None
    try:
        error = gauge_error(test.gauge, test.date)
    except GaugeRefused:
        error = None
    scatter = None
    if error is not None:
        drift = drift_of(series)
        by_day = 0.0 if drift is None else drift.fraction
        each_alone = [beside_siblings(error, by_day, Final(finals[each.cylinder], len(each.finals))) for each in folded]
        scatter = 100 * math.sqrt(mean([each * each for each in each_alone])) / mean(list(finals.values()))
    return Finals(finals, spread_of(list(finals.values())).mean_deviation_percent, scatter)


@dataclass(frozen=True, slots=True)
class HandedOver:
    """
    An engine at its hand-over, with what is said of how it was built.

    Parameters
    ----------
    build : Build
        For the charts.
    finals : mapping of str to float
        Of each cylinder. [Pa gauge]
    sheet : BuildSheet or None
        As it was built; None where the test was kept without one.
    by : str
        Who took the test.
    rebuilt : str
        The work that made another engine of it; empty for the first build.
    """

    build: Build
    finals: Mapping[str, float]
    sheet: BuildSheet | None
    by: str
    rebuilt: str = ""


def family_of(sheet: BuildSheet | None) -> str:
    """
    Name the family of an engine.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    str
        As the sheet calls it; where it does not, by layout and cylinders; empty without a sheet.

    Examples
    --------
    >>> from ringtrue.engine import Layout
    >>> family_of(BuildSheet(name="x", layout=Layout.V, cylinders=("1", "2")))
    'V, 2 cylinders'
    """
    if sheet is None:
        return ""
    return sheet.family or f"{sheet.layout.value}, {len(sheet.cylinders)} cylinders"


KINDS: Mapping[str, Callable[[HandedOver], str]] = {
    "family": lambda each: family_of(each.sheet),
    "rings": lambda each: each.sheet.rings.kind if each.sheet else "",
    "gasket": lambda each: each.sheet.gasket if each.sheet else "",
    "builder": lambda each: each.by,
}
"""By what builds are parted into kinds; empty where it is not said."""


def _gap_over_bore(each: HandedOver) -> float | None:
    sheet = each.sheet
    if sheet is None or not sheet.geometry.bore:
        return None
    gap = mean(list(sheet.measured_gaps.values())) if sheet.measured_gaps else sheet.rings.top_gap
    return None if gap is None else gap / sheet.geometry.bore


def _spread_of_chambers(each: HandedOver) -> float | None:
    return _spread({name: own.chamber for name, own in each.sheet.measured.items()} if each.sheet else {})


def _spread_of_gaps(each: HandedOver) -> float | None:
    return _spread(each.sheet.measured_gaps if each.sheet else {})


def _spread_of_bores(each: HandedOver) -> float | None:
    return _spread({name: own.bore for name, own in each.sheet.measured.items()} if each.sheet else {})


def _spread(measured: Mapping[str, float | None]) -> float | None:
    known = [each for each in measured.values() if each is not None and each > 0]
    return spread_of(known).mean_deviation_percent if len(known) >= FEWEST_CYLINDERS else None


MEASURED: Mapping[str, Callable[[HandedOver], float | None]] = {
    "ring gap": _gap_over_bore,
    "spread of ring gaps": _spread_of_gaps,
    "spread of chambers": _spread_of_chambers,
    "spread of bores": _spread_of_bores,
}
"""What was measured on a build and is set beside its mean deviation."""


def _chamber_and_final(each: HandedOver) -> list[tuple[float, float]]:
    return _pairs(each, {name: own.chamber for name, own in each.sheet.measured.items()} if each.sheet else {})


def _gap_and_final(each: HandedOver) -> list[tuple[float, float]]:
    return _pairs(each, each.sheet.measured_gaps if each.sheet else {})


def _pairs(each: HandedOver, measured: Mapping[str, float | None]) -> list[tuple[float, float]]:
    return [(own, each.finals[name]) for name, own in measured.items() if own is not None and name in each.finals]


WITHIN: Mapping[str, Callable[[HandedOver], list[tuple[float, float]]]] = {
    "chamber and final": _chamber_and_final,
    "ring gap and final": _gap_and_final,
}
"""What was measured on single cylinders and is set beside their finals, each engine by itself."""


@dataclass(frozen=True, slots=True)
class Looked:
    """
    Something that was looked at.

    Parameters
    ----------
    key : str
        Of `KINDS`, `MEASURED` or `WITHIN`.
    found : Together or KindsCompared
        What was found.
    chance : float
        Its probability where there is nothing to it, corrected for all that was looked at. [-]
    """

    key: str
    found: Together | KindsCompared
    chance: float

    @property
    def told(self) -> bool:
        """It is there by chance more seldom than 1 time in 20, all that was looked at taken into account."""
        return self.chance < CHANCE


@dataclass(frozen=True, slots=True)
class Kinds:
    """
    Builds parted into kinds.

    Parameters
    ----------
    key : str
        Of `KINDS`.
    builds : mapping of str to tuple of Build
        Of each kind, the most frequent first; those of which it is not said are left out.
    """

    key: str
    builds: Mapping[str, tuple[Build, ...]]


def kinds_of(handed: Sequence[HandedOver]) -> tuple[Kinds, ...]:
    """
    Part builds into kinds.

    Parameters
    ----------
    handed : sequence of HandedOver
        The builds.

    Returns
    -------
    tuple of Kinds
        Only where there are at least two kinds. Spellings that differ in capitals alone are one kind.
    """
    found = []
    for key, says in KINDS.items():
        parted: dict[str, list[Build]] = {}
        spelled: dict[str, str] = {}
        for each in handed:
            if word := " ".join(says(each).split()):
                name = spelled.setdefault(word.casefold(), word)
                parted.setdefault(name, []).append(each.build)
        if len(parted) > 1:
            order = sorted(parted, key=lambda name: (-len(parted[name]), name))
            found.append(Kinds(key, {name: tuple(parted[name]) for name in order}))
    return tuple(found)


def look_at(handed: Sequence[HandedOver], kinds: Sequence[Kinds]) -> tuple[Looked, ...]:
    """
    Look for what goes with even finals.

    Parameters
    ----------
    handed : sequence of HandedOver
        The builds.
    kinds : sequence of Kinds
        Them, parted.

    Returns
    -------
    tuple of Looked
        All of which there were builds enough, the least likely by chance first.
    """
    if not handed:
        return ()
    found = list(_looks(handed, kinds))
    chances = for_all_looked_at([each.chance for _, each in found])
    looked = [Looked(key, each, chance) for (key, each), chance in zip(found, chances, strict=True)]
    return tuple(sorted(looked, key=lambda each: each.found.chance))


def _looks(handed: Sequence[HandedOver], kinds: Sequence[Kinds]) -> Iterator[tuple[str, Together | KindsCompared]]:
    size = usual_size([each.build for each in handed])
    even = evened([each.build for each in handed], size)
    for key, figure in MEASURED.items():
        pairs = [(own, at) for each, at in zip(handed, even, strict=True) if (own := figure(each)) is not None]
        if (found := together(pairs)) is not None:
            yield key, found
    for key, cylinders in WITHIN.items():
        if (within := together_within(cylinders(each) for each in handed)) is not None:
            yield key, within
    for each in kinds:
        if (compared := compare_kinds({name: evened(some, size) for name, some in each.builds.items()})) is not None:
            yield each.key, compared
