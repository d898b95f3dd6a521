"""What was judged, in the form that other programs read: pressures in the unit of the test, unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.units import Unit, from_si

if TYPE_CHECKING:
    from ringtrue.compression import Band, Expectation
    from ringtrue.diagnosis import Pattern
    from ringtrue.measure import CylinderFigures, Extreme, RuleOutcome, SeriesJudgement
    from ringtrue.measure.judgement import LeakdownFigures
    from ringtrue.shop.judging import Judged
    from ringtrue.shop.leaks import Leak

Json = dict[str, object]


def judged(found: Judged) -> Json:
    """
    Put a judgement into the form of ``ringtrue judge --json``.

    Parameters
    ----------
    found : Judged
        What was found.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    made = _Judgement(found.unit).judgement(found)
    made["patterns"] = [_pattern(pattern) for pattern in found.patterns]
    made["warnings"] = list(found.warnings)
    return made


def leak_sizes(leak: Leak) -> Json:
    """
    Put the size of a leak into the form that other programs read.

    Parameters
    ----------
    leak : Leak
        Its size.

    Returns
    -------
    dict
        Areas in mm2, bores in mm, losses as fractions.
    """
    return {
        "effective_area_mm2": None if leak.area is None else leak.area * 1e6,
        "area_ratio": leak.ratio,
        "equivalent": [{"restrictor_mm": bore * 1e3, "loss": loss} for bore, loss in leak.through],
    }


def _pattern(pattern: Pattern) -> Json:
    return {"pattern": pattern.key, "cylinders": list(pattern.cylinders), "bank": pattern.bank}


class _Judgement:
    """Writes a judgement in one pressure unit."""

    def __init__(self, unit: Unit) -> None:
        self._unit = unit

    def judgement(self, found: Judged) -> Json:
        series: Json = {}
        judgement = found.judgement
        if judgement.dry is not None:
            series["dry"] = self.series(judgement.dry)
        if judgement.wet is not None:
            series["wet"] = {
                **self.series(judgement.wet),
                "wet_over_dry": [
                    {
                        "cylinder": row.cylinder,
                        "ratio": row.ratio,
                        "net_ratio": row.net_ratio,
                        "oil_share": row.oil_share,
                        "reason": row.reason,
                    }
                    for row in judgement.wet_over_dry
                ],
            }
        if judgement.leakdown:
            series["leakdown"] = [
                {**self.leakdown(row), **leak_sizes(leak)}
                for row, leak in zip(judgement.leakdown, found.leaks, strict=True)
            ]
        return {**self.series(found.top), "series": series, "expected": self.expected(found.expected)}

    def expected(self, expected: Expectation | None) -> Json | None:
        if expected is None:
            return None
        return {
            "final": self.band(expected.final),
            "first_over_final": _band(expected.first_over_final),
            "cylinders": [
                {"cylinder": each.cylinder, "compression_ratio": each.compression_ratio, "ratio": _band(each.ratio)}
                for each in expected.cylinders
            ]
            if expected.measured
            else [],
        }

    def band(self, band: Band) -> Json:
        return {key: self.pressure(value) for key, value in _band(band).items()}

    @property
    def _name(self) -> str:
        return self._unit.name

    def pressure(self, value: float | None) -> float | None:
        return None if value is None else from_si(value, self._unit)

    def series(self, series: SeriesJudgement) -> Json:
        return {
            "unit": self._name,
            "gauge_known": series.gauge_known,
            "count": series.count,
            "not_read": list(series.not_read),
            "mean": self.pressure(series.mean),
            "mean_deviation": self.pressure(series.mean_deviation),
            "mean_deviation_percent": series.mean_deviation_percent,
            "lowest": self._extreme(series.lowest),
            "highest": self._extreme(series.highest),
            "lowest_over_highest": series.lowest_over_highest,
            "running": [
                {
                    "cylinder": row.cylinder,
                    "final": self.pressure(row.final),
                    "mean": self.pressure(row.mean),
                    "mean_deviation": self.pressure(row.mean_deviation),
                    "mean_deviation_percent": row.mean_deviation_percent,
                }
                for row in series.running
            ],
            "cylinders": [self._cylinder(row) for row in series.cylinders],
            "rules": [self._rule(rule) for rule in series.rules],
            "two_groups": None
            if series.two_groups is None
            else {
                "lower": list(series.two_groups.lower),
                "higher": list(series.two_groups.higher),
                "gap": series.two_groups.gap_fraction,
            },
            "outliers": None
            if series.outliers is None
            else {
                "test": series.outliers.test,
                "cylinders": list(series.outliers.cylinders),
                "statistic": series.outliers.statistic,
                "critical": series.outliers.critical,
                "alpha": series.outliers.alpha,
            },
            "spread_against_gauge": None
            if series.spread_against_gauge is None
            else {
                "no_bigger": series.spread_against_gauge.no_bigger,
                "expected_percent": series.spread_against_gauge.expected,
                "observed_percent": series.spread_against_gauge.observed,
            },
            "drift": None
            if series.drift is None
            else {
                "cylinder": series.drift.cylinder,
                "before": self.pressure(series.drift.before),
                "after": self.pressure(series.drift.after),
                "fraction": series.drift.fraction,
            },
            "disagreements": [list(pair) for pair in series.disagreements],
            "uncertainty": list(series.uncertainty_notes),
            "correction": None
            if (done := series.correction) is None
            else {
                "gauge": done.gauge,
                "calibrated": done.date,
                "due": done.due,
                "standing": done.standing.value,
                "form": done.form.name.lower(),
                "least": done.least / self._unit.factor,
                "most": done.most / self._unit.factor,
                "beyond": list(done.beyond),
            },
        }

    def _extreme(self, extreme: Extreme | None) -> Json | None:
        return None if extreme is None else {"cylinder": extreme.cylinder, "value": self.pressure(extreme.value)}

    def _cylinder(self, row: CylinderFigures) -> Json:
        return {
            "cylinder": row.cylinder,
            "first": self.pressure(row.first),
            "final": self.pressure(row.final),
            "deviation": self.pressure(row.deviation),
            "deviation_percent": row.deviation_percent,
            "first_over_final": row.first_over_final,
            "place": row.place.value,
            "interval": None
            if row.interval is None
            else {"low": self.pressure(row.interval.low), "high": self.pressure(row.interval.high)},
            "pulls": row.pulls,
            "first_spoiled": row.first_spoiled,
            "first_from_film": row.first_from_film,
            "first_as_read": self.pressure(row.first_as_read),
            "final_as_read": self.pressure(row.final_as_read),
        }

    def _rule(self, rule: RuleOutcome) -> Json:
        in_pressure = rule.dimension == "pressure"
        ends = None if rule.interval is None else (rule.interval.low, rule.interval.high)
        return {
            "rule": rule.rule,
            "level": rule.level,
            "outcome": rule.outcome.value,
            "value": self.pressure(rule.value) if in_pressure else rule.value,
            "limit": self.pressure(rule.limit) if in_pressure else rule.limit,
            "unit": self._name if in_pressure else {"percent": "%", "fraction": ""}[rule.dimension],
            "cylinder": rule.cylinder,
            "source": rule.source,
            "reason": rule.reason,
            "probability_met": rule.probability_met,
            "interval": None
            if ends is None
            else dict(zip(("low", "high"), (self.pressure(end) if in_pressure else end for end in ends), strict=True)),
        }

    def leakdown(self, row: LeakdownFigures) -> Json:
        return {
            "cylinder": row.cylinder,
            "supply": self.pressure(row.supply),
            "held": self.pressure(row.held),
            "loss": row.loss,
            "outcome": row.outcome.value,
            "rule": row.rule,
            "limit": row.limit,
            "source": row.source,
            "reason": row.reason,
            "heard": list(row.heard),
            "restrictor_mm": None if row.restrictor is None else row.restrictor * 1e3,
        }


def _band(band: Band) -> dict[str, float]:
    return {"median": band.median, "low": band.low, "high": band.high}
