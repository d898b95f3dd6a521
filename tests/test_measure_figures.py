"""Means, repeats, running figures, drift and places."""

from __future__ import annotations

import math

import pytest
from tests.pulled import gauge, judged, outcomes, pulled, pulls, reading, si

from ringtrue.compression import CompressionTest, Pull
from ringtrue.measure import Place, SeriesJudgement, judge

LOW, HIGH, IN_LINE, CANNOT_TELL = Place.LOW, Place.HIGH, Place.IN_LINE, Place.CANNOT_TELL


def dry(test: CompressionTest) -> SeriesJudgement:
    """Return the dry series of a test, judged."""
    found = judge(test).dry
    assert found is not None
    return found


def psi(value: float | None) -> float:
    """Return a figure in psi."""
    assert value is not None
    return value / si(1, "psi")


def places(series: SeriesJudgement) -> list[Place]:
    """Return where every cylinder stands, in order."""
    return [each.place for each in series.cylinders]


def repeated(cylinder: str, *readings: tuple[float | None, float]) -> list[Pull]:
    """Return declared repeats of one cylinder, as (first, final)."""
    return [
        Pull(cylinder=cylinder, repeat=number, first=reading(first, "psi"), final=reading(final, "psi"))
        for number, (first, final) in enumerate(readings, start=1)
    ]


# If this failed, the figures that the builder follows from cylinder to cylinder would be others (worked by hand).
def test_figures_worked_by_hand() -> None:
    series = judged([150, 140, 160, 170], [90, 70, None, 85])
    assert psi(series.mean) == pytest.approx(155)
    assert psi(series.mean_deviation) == pytest.approx(10)
    assert series.mean_deviation_percent == pytest.approx(100 * 10 / 155)
    assert series.lowest is not None
    assert series.highest is not None
    assert (series.lowest.cylinder, series.highest.cylinder) == ("2", "4")
    assert [psi(each.deviation) for each in series.cylinders] == pytest.approx([-5, -15, 5, 15])
    assert [each.first_over_final for each in series.cylinders] == [0.6, 0.5, None, 0.5]
    assert [psi(each.mean) for each in series.running] == pytest.approx([150, 145, 150, 155])
    assert [psi(each.mean_deviation) for each in series.running] == pytest.approx([0, 5, 20 / 3, 10])
    assert (series.unit, series.count) == ("psi", 4)


# If this failed, a repeat would count its cylinder twice, or a mean of ratios would be a ratio of means.
def test_repeats_are_folded_into_their_cylinder() -> None:
    series = dry(pulled(*repeated("1", (60, 150), (90, 154)), *pulls({"2": 160})))
    assert psi(series.cylinders[0].final) == pytest.approx(152)
    assert series.cylinders[0].first_over_final == pytest.approx((60 / 150 + 90 / 154) / 2)
    assert series.cylinders[0].pulls == 2
    assert series.count == 2
    assert psi(series.mean) == pytest.approx(156)
    assert [(each.cylinder, round(psi(each.final))) for each in series.running] == [("1", 150), ("1", 154), ("2", 160)]
    assert [psi(each.mean) for each in series.running] == pytest.approx([150, 152, 156])


# If this failed, a pull whose needle nobody read would leave a hole in the running figures, or a zero.
def test_a_row_without_a_final_is_in_no_running_figure() -> None:
    series = judged([150, None, 160], [90, 80, 90])
    assert [each.cylinder for each in series.running] == ["1", "3"]
    assert series.cylinders[1].final is None
    assert psi(series.cylinders[1].first) == pytest.approx(80)


# If this failed, a real zero would be taken for a reading that is missing.
def test_a_zero_is_a_reading() -> None:
    series = judged([150, 0, 150, 152], [90, 0, 90, 90])
    assert (series.not_read, series.count, series.lowest_over_highest) == ((), 4, 0.0)
    assert series.cylinders[1].first_over_final is None
    assert places(series) == [IN_LINE, LOW, IN_LINE, IN_LINE]


# If this failed, the last pull of the first cylinder would be in a mean, or the day's drift would be lost.
def test_the_drift_pull_is_in_no_mean() -> None:
    again = Pull(cylinder="1", drift=True, final=reading(144, "psi"))
    series = dry(pulled(*pulls([150, 150]), again, gauge=gauge()))
    assert psi(series.mean) == pytest.approx(150)
    assert len(series.running) == 2
    assert series.drift is not None
    assert series.drift.cylinder == "1"
    assert psi(series.drift.after) == pytest.approx(144)
    assert series.drift.fraction == pytest.approx(-0.04)
    assert any("-4.00 %" in note for note in series.uncertainty_notes)


# If this failed, the drift would not widen what is said of each cylinder (by hand: 0.1 / root 12 of the reading).
def test_the_drift_is_in_every_interval() -> None:
    exact = gauge(resolution=0.001, grade="", span=None, repeatability=0.0)
    again = Pull(cylinder="1", drift=True, final=reading(135, "psi"))
    series = dry(pulled(*pulls([150, 150]), again, gauge=exact))
    for each in series.cylinders:
        assert each.interval is not None
        assert psi(each.interval.high - each.interval.low) / 2 == pytest.approx(1.645 * 15 / math.sqrt(12), rel=1e-3)


# If this failed, an uncertainty would be made other than its parts say (by hand, JCGM 100).
def test_the_interval_of_a_final_worked_by_hand() -> None:
    series = judged([150, 152], gauge=gauge(span=300, resolution=2, grade="B"))
    u = math.sqrt(6**2 / 3 + 2**2 / 12 + (0.006 * 150) ** 2)
    found = series.cylinders[0].interval
    assert found is not None
    assert psi(found.high) == pytest.approx(150 + 1.6449 * u, rel=1e-5)
    assert psi(found.low) == pytest.approx(150 - 1.6449 * u, rel=1e-5)


# If this failed, a builder would not learn what was taken for granted.
@pytest.mark.parametrize(
    ("known", "says"),
    [
        (gauge(), "repeatability assumed to be 0.6 % of the reading"),
        (gauge(repeatability=0.004), "repeatability 0.40 % of the reading, from a study"),
        (gauge(grade=""), "accuracy grade of the gauge not known"),
        (gauge(span=None), "range of the gauge not known"),
        (gauge(resolution=None), "resolution of the gauge not known"),
        (gauge(span=140), "above the gauge's range: 1, 2"),
        (gauge(), "the day's drift is in no interval"),
    ],
)
def test_what_the_uncertainty_rests_on_is_said(known: object, says: str) -> None:
    series = judged([150, 152], gauge=known)  # type: ignore[arg-type]
    assert series.gauge_known
    assert any(says in note for note in series.uncertainty_notes)


# If this failed, a gauge of which nothing is known but its name would make an uncertainty.
@pytest.mark.parametrize("known", [None, gauge(resolution=None, grade=""), gauge(resolution=None, span=None)])
def test_a_gauge_that_is_not_known(known: object) -> None:
    assert not judged([150, 152], gauge=known).gauge_known  # type: ignore[arg-type]


# If this failed, a cylinder would be placed other than the rule of places says (all by hand).
@pytest.mark.parametrize(
    ("finals", "expected"),
    [
        ([150], [IN_LINE]),
        ([150, 137], [IN_LINE, IN_LINE]),
        ([150, 130], [CANNOT_TELL, CANNOT_TELL]),
        ([105, 95], [IN_LINE, IN_LINE]),  # parted by exactly 10 % of the median
        ([100, 100, 90], [IN_LINE, IN_LINE, LOW]),  # 10 % is more than 3.5 times 1 %
        ([100, 100, 96.5], [IN_LINE, IN_LINE, IN_LINE]),  # exactly 3.5 times 1 %
        ([100, 100, 96.4], [IN_LINE, IN_LINE, LOW]),
        ([100, 100, 103.6], [IN_LINE, IN_LINE, HIGH]),
        ([100, 104, 96, 91, 109], [IN_LINE] * 5),  # median absolute deviation 4, and 3.5 x 1.4826 x 4 is above 10
        ([100, 104, 96, 89.9, 109], [IN_LINE, IN_LINE, IN_LINE, LOW, IN_LINE]),
        ([150, 150, 100, 100], [CANNOT_TELL] * 4),
        ([150, 152, 148, 0], [IN_LINE, IN_LINE, IN_LINE, LOW]),
        ([150, 152, 0, 0, 148, 151], [IN_LINE, IN_LINE, LOW, LOW, IN_LINE, IN_LINE]),
        ([150, 150, 100, 0], [CANNOT_TELL, CANNOT_TELL, CANNOT_TELL, LOW]),
        ([0, 0, 0, 150], [CANNOT_TELL] * 4),
    ],
)
def test_places(finals: list[float], expected: list[Place]) -> None:
    assert places(judged(finals)) == expected


# If this failed, one half of an engine would be called wrong where nobody can tell which.
def test_two_groups_choose_neither() -> None:
    series = judged({"1": 150, "2": 100, "3": 151, "4": 101, "5": 149, "6": 99})
    assert series.two_groups is not None
    assert (series.two_groups.lower, series.two_groups.higher) == (("2", "4", "6"), ("1", "3", "5"))
    assert series.two_groups.gap_fraction == pytest.approx(48 / 125)
    assert judged([150, 151, 149, 100]).two_groups is None
    assert judged([150, 151, 149, 140, 141, 139]).two_groups is None


# If this failed, a coarse gauge would call cylinders out of line for its own steps.
def test_a_cylinders_uncertainty_widens_what_is_in_line() -> None:
    finals = [150, 150, 150, 150, 142.5]  # 5 % off
    assert places(judged(finals))[-1] is LOW
    assert places(judged(finals, gauge=gauge(resolution=10)))[-1] is IN_LINE


# If this failed, repeats that contradict each other would be given a place by their mean.
def test_repeats_that_contradict_each_other_have_no_place() -> None:
    series = dry(pulled(*repeated("1", (None, 150), (None, 120)), *pulls({"2": 150, "3": 150})))
    assert places(series)[0] is CANNOT_TELL
    assert places(dry(pulled(*repeated("1", (None, 150), (None, 146)), *pulls({"2": 150, "3": 150}))))[0] is IN_LINE


# If this failed, the two tests for outliers would be used outside of what they are valid for.
def test_outliers_where_a_test_applies() -> None:
    assert judged([150, 100]).outliers is None
    grubbs = judged([150, 151, 149, 150, 152, 100]).outliers
    assert grubbs is not None
    assert (grubbs.test, grubbs.cylinders, grubbs.alpha) == ("Grubbs", ("6",), 0.05)
    assert judged([150] * 13 + [100, 101]).outliers is not None
    many = judged([150, 151, 149, 150.5, 149.5] * 3 + [100, 101, 99]).outliers
    assert many is not None
    assert (many.test, set(many.cylinders)) == ("generalised ESD", {"16", "17", "18"})


# If this failed, a spread that is the gauge's own would be held against the engine, or the other way round.
def test_a_spread_no_bigger_than_the_gauges_own() -> None:
    coarse = judged([150, 150, 155, 150, 145, 150], gauge=gauge(resolution=5)).spread_against_gauge
    assert coarse is not None
    assert coarse.no_bigger
    # By simulation at fixed seed: rounding and scatter of 1.70 psi make about 0.8 x 1.70 x root(5/6) of 150.
    assert coarse.expected == pytest.approx(100 * 0.8 * 1.70 * math.sqrt(5 / 6) / 150, rel=0.05)
    uneven = judged([150, 140, 160, 150, 145, 155], gauge=gauge(resolution=1)).spread_against_gauge
    assert uneven is not None
    assert not uneven.no_bigger
    assert uneven.observed == pytest.approx(100 * 5 / 150)
    assert judged([150], gauge=gauge()).spread_against_gauge is None
    assert judged([150, 150]).spread_against_gauge is None


# If this failed, an outcome would be called with a gauge that cannot tell.
def test_a_coarse_gauge_is_too_close_where_a_fine_one_tells() -> None:
    finals = [150, 150, 150, 150, 150, 135]  # by hand: 8.5 % below the mean, 1.9 % of standard uncertainty or 0.1 %
    fine = judged(finals, gauge=gauge(resolution=0.5, grade="3A", repeatability=0.001))
    coarse = judged(finals, gauge=gauge(resolution=10, grade="D"))
    assert outcomes(fine)["cylinder_deviation_limit"].value == "met"
    assert outcomes(coarse)["cylinder_deviation_limit"].value == "too close to call"
