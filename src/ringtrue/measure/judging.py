"""A test, judged: every figure, place and rule of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ringtrue.compression import Band, CompressionTest, Kind, Series
from ringtrue.engine import BuildSheet
from ringtrue.measure.correcting import corrected, correction_of
from ringtrue.measure.figures import (
    CylinderReadings,
    drift_of,
    extremes,
    fold,
    percent_of,
    readings_of,
    running,
    spread_of,
)
from ringtrue.measure.gauges import GaugeError, gauge_error
from ringtrue.measure.judgement import (
    CylinderFigures,
    Drift,
    Judgement,
    Outliers,
    Place,
    SeriesJudgement,
)
from ringtrue.measure.leakdown import EquivalentLoss, judge_leakdown
from ringtrue.measure.limits import DEFAULT, ESD_FROM, FEWEST_FOR_OUTLIERS, OUTLIER_ALPHA, Rule, Thresholds, rules_for
from ringtrue.measure.oil import wet_over_dry
from ringtrue.measure.places import places, two_groups
from ringtrue.measure.rules import SeriesFigures, disagreements, judge_rule
from ringtrue.measure.statistics import generalised_esd, grubbs, mean
from ringtrue.measure.uncertainty import Final, FirstStroke, Uncertainty, beside_siblings


def judge(
    test: CompressionTest,
    *,
    sheet: BuildSheet | None = None,
    thresholds: Thresholds = DEFAULT,
    equivalent_loss: EquivalentLoss | None = None,
    expected: Band | None = None,
) -> Judgement:
    """
    Judge a test.

    Parameters
    ----------
    test : CompressionTest
        What was done and read, with the gauge and the day as far as they are known.
    sheet : BuildSheet or None
        The engine: its cylinders, its own limits, its volumes.
    thresholds : Thresholds
        Limits of the general rules.
    equivalent_loss : EquivalentLoss or None
        Turns a leak-down loss through one restrictor into that through another.
    expected : Band or None
        What the final of this engine should be that day, dry; without it the level is not judged. [Pa gauge]

    Returns
    -------
    Judgement
        Facts in SI; nothing is rounded.

    Raises
    ------
    GaugeRefused
        The gauge's grade is none that a standard knows.
    ReadingImpossible
        A cylinder holds more leak-down air than it is given.

    Notes
    -----
    The outcome depends neither on the order of the rows nor on the unit in which they were read.
    """
    error = gauge_error(test.gauge, test.date)
    test = corrected(test)
    dry, wet = (
        None
        if series is None
        else _with_correction(
            _judge_series(
                series, test.unit, sheet, rules_for(thresholds, sheet.limits if sheet else None, level), error
            ),
            test,
        )
        for series, level in ((test.series(Kind.DRY), expected), (test.series(Kind.WET), None))
    )
    leakdown = tuple(
        judge_leakdown(reading, sheet=sheet, thresholds=thresholds, equivalent_loss=equivalent_loss)
        for reading in test.leakdowns
    )
    return Judgement(dry, wet, leakdown, wet_over_dry(test, sheet))


def _judge_series(
    series: Series, unit: str, sheet: BuildSheet | None, rules: Sequence[Rule], error: GaugeError | None
) -> SeriesJudgement:
    cylinders = fold(series, sheet.cylinders if sheet else ())
    read = [each for each in cylinders if each.final is not None]
    drift = drift_of(series)
    uncertainty = _uncertainty_of(read, drift, error)
    figures = SeriesFigures(series.kind, cylinders, uncertainty)
    outcomes = tuple(judge_rule(rule, figures) for rule in rules)
    spread = spread_of([final for each in read if (final := each.final) is not None]) if read else None
    lowest, highest = extremes(read) or (None, None)
    return SeriesJudgement(
        kind=series.kind,
        unit=unit,
        gauge_known=error is not None,
        count=len(read),
        not_read=tuple(each.cylinder for each in cylinders if each.final is None),
        mean=spread.mean if spread else None,
        mean_deviation=spread.mean_deviation if spread else None,
        mean_deviation_percent=spread.mean_deviation_percent if spread else None,
        lowest=lowest,
        highest=highest,
        lowest_over_highest=lowest.value / highest.value if lowest and highest and highest.value > 0 else None,
        running=running(series),
        cylinders=_cylinder_figures(cylinders, drift, error, uncertainty),
        rules=outcomes,
        two_groups=two_groups(read),
        outliers=_outliers(read),
        spread_against_gauge=uncertainty.spread_against_gauge() if uncertainty else None,
        drift=drift,
        disagreements=disagreements(rules, outcomes),
        uncertainty_notes=_notes(read, drift, error),
    )


def _with_correction(judged: SeriesJudgement, test: CompressionTest) -> SeriesJudgement:
    """Set beside corrected figures what was read."""
    was = None if test.as_read is None else replace(test, taken=test.as_read, as_read=None).series(judged.kind)
    if was is None:
        return judged
    read = {name: readings_of(name, was.of(name)) for name in was.cylinders}
    done = correction_of(test, (*was.pulls, *was.drift_pulls))
    beyond = () if done is None else done.beyond
    note = f"beyond the ends of the calibration, so corrected as at its end: {', '.join(beyond)}"
    return replace(
        judged,
        cylinders=tuple(
            replace(each, first_as_read=read[each.cylinder].first, final_as_read=read[each.cylinder].final)
            if each.cylinder in read
            else each
            for each in judged.cylinders
        ),
        uncertainty_notes=(*judged.uncertainty_notes, *([note] if beyond else [])),
        correction=done,
    )


def _uncertainty_of(
    read: Sequence[CylinderReadings], drift: Drift | None, error: GaugeError | None
) -> Uncertainty | None:
    if error is None or not read:
        return None
    return Uncertainty(
        error,
        drift.fraction if drift else 0.0,
        [final for each in read if (final := _final_of(each)) is not None],
        [
            FirstStroke(ratio, mean(each.finals_of_ratios), len(each.ratios))
            for each in read
            if (ratio := each.first_over_final) is not None
        ],
    )


def _final_of(readings: CylinderReadings) -> Final | None:
    return None if readings.final is None else Final(readings.final, len(readings.finals))


def _cylinder_figures(
    cylinders: Sequence[CylinderReadings],
    drift: Drift | None,
    error: GaugeError | None,
    uncertainty: Uncertainty | None,
) -> tuple[CylinderFigures, ...]:
    by_day = drift.fraction if drift else 0.0
    own = {each.cylinder: final for each in cylinders if (final := _final_of(each)) is not None}
    read = [each for each in cylinders if each.cylinder in own]
    found = places(read, lambda each: beside_siblings(error, by_day, own[each.cylinder]))
    centre = mean([final.pressure for final in own.values()]) if own else 0.0
    figures = []
    for each in cylinders:
        final = own.get(each.cylinder)
        figures.append(
            CylinderFigures(
                cylinder=each.cylinder,
                first=each.first,
                final=each.final,
                deviation=final.pressure - centre if final else None,
                deviation_percent=percent_of(final.pressure - centre, centre) if final else None,
                first_over_final=each.first_over_final,
                place=found.get(each.cylinder, Place.NOT_READ),
                interval=uncertainty.of_final(final) if uncertainty and final else None,
                pulls=len(each.finals),
                first_spoiled=each.first_spoiled,
                first_from_film=each.first_from_film,
            )
        )
    return tuple(figures)


def _outliers(read: Sequence[CylinderReadings]) -> Outliers | None:
    finals = {each.cylinder: each.final for each in read if each.final is not None}
    names, values = list(finals), list(finals.values())
    if len(values) < FEWEST_FOR_OUTLIERS:
        return None
    if len(values) < ESD_FROM:
        found = grubbs(values, OUTLIER_ALPHA)
    else:
        found = generalised_esd(values, len(values) // 3, OUTLIER_ALPHA)
    return Outliers(
        test="Grubbs" if len(values) < ESD_FROM else "generalised ESD",
        cylinders=tuple(names[place] for place in found.outliers),
        statistic=found.statistic,
        critical=found.critical,
        alpha=OUTLIER_ALPHA,
    )


def _notes(read: Sequence[CylinderReadings], drift: Drift | None, error: GaugeError | None) -> tuple[str, ...]:
    if error is None:
        return ("gauge not known: rules are compared as read, and no figure has an interval",)
    above = [each.cylinder for each in read if error.span > 0 and max(each.finals) > error.span]
    return (
        *error.notes,
        "no cylinder was pulled again at the end: the day's drift is in no interval"
        if drift is None
        else f"the day's drift of {100 * drift.fraction:+.2f} % is in every interval"
        if drift.fraction
        else "no drift was seen: what was pulled again at the end read the same",
        *([f"above the gauge's range: {', '.join(above)}"] if above else []),
    )
