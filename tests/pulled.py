"""Compression tests for tests, made from a row of numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ringtrue.compression import CompressionTest, Gauge, Kind, LeakdownReading, Pull, Reading
from ringtrue.engine import BuildSheet, Layout, Limits
from ringtrue.measure import Outcome, RuleOutcome, SeriesJudgement, judge
from ringtrue.quantities import Measured, PaGauge
from ringtrue.units import Dimension, find_unit, to_si

Figures = Sequence[float | None] | Mapping[str, float | None]


def si(value: float, unit: str, dimension: Dimension = Dimension.PRESSURE) -> float:
    """Return a figure in SI."""
    return to_si(value, find_unit(unit, dimension))


def measured(value: float, unit: str, dimension: Dimension = Dimension.PRESSURE) -> Measured:
    """Return a figure as it would be written."""
    return Measured(si(value, unit, dimension), f"{value:g}", unit)


def reading(value: float | None, unit: str) -> Reading | None:
    """Return a reading, or None for one that nobody saw."""
    return None if value is None else Reading(PaGauge(si(value, unit)), f"{value:g}", unit)


def named(figures: Figures) -> dict[str, float | None]:
    """Return figures by cylinder; a row of them belongs to cylinders 1, 2, 3 and on."""
    if isinstance(figures, Mapping):
        return dict(figures)
    return {str(number): figure for number, figure in enumerate(figures, start=1)}


def pulls(finals: Figures, firsts: Figures = (), *, unit: str = "psi", kind: Kind = Kind.DRY) -> tuple[Pull, ...]:
    """Return one pull for each cylinder."""
    first = named(firsts)
    return tuple(
        Pull(cylinder=name, kind=kind, first=reading(first.get(name), unit), final=reading(final, unit))
        for name, final in named(finals).items()
    )


def pulled(*taken: Pull | LeakdownReading, gauge: Gauge | None = None) -> CompressionTest:
    """Return a test of these pulls."""
    return CompressionTest(taken, gauge=gauge)


def judged(
    finals: Figures,
    firsts: Figures = (),
    *,
    unit: str = "psi",
    gauge: Gauge | None = None,
    sheet: BuildSheet | None = None,
) -> SeriesJudgement:
    """Return a dry series, judged."""
    found = judge(pulled(*pulls(finals, firsts, unit=unit), gauge=gauge), sheet=sheet).dry
    assert found is not None
    return found


def rule(series: SeriesJudgement, key: str) -> RuleOutcome:
    """Return what became of one rule."""
    return next(each for each in series.rules if each.rule == key)


def outcomes(series: SeriesJudgement) -> dict[str, Outcome]:
    """Return what became of every rule."""
    return {each.rule: each.outcome for each in series.rules}


def sheet(cylinders: int | Sequence[str], limits: Limits | None = None) -> BuildSheet:
    """Return a build sheet that says little."""
    names = tuple(str(n + 1) for n in range(cylinders)) if isinstance(cylinders, int) else tuple(cylinders)
    return BuildSheet(name="invented", layout=Layout.INLINE, cylinders=names, limits=limits or Limits())


def gauge(
    span: float | None = 300.0, resolution: float | None = 2.0, grade: str = "B", repeatability: float | None = None
) -> Gauge:
    """Return a gauge in psi."""
    return Gauge(
        "shop gauge",
        range=None if span is None else measured(span, "psi"),
        resolution=None if resolution is None else measured(resolution, "psi"),
        grade=grade,
        repeatability=repeatability,
    )
