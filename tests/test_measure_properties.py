"""What holds of every engine, whatever its readings."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.pulled import gauge, judged, outcomes, pulled, pulls, rule, si

from ringtrue.compression import Gauge
from ringtrue.measure import Outcome, Place, SeriesJudgement, judge

# Each example is a whole judgement: half as many as the profile asks for, in the long run too.
FEWER = settings(max_examples=settings().max_examples // 2)
FINALS = st.lists(st.integers(0, 400).map(lambda tenths: tenths / 2), min_size=1, max_size=24)
GAUGES = st.sampled_from([None, gauge(), gauge(resolution=5, grade="1.6"), gauge(grade="", span=None)])


def figures(series: SeriesJudgement) -> list[float]:
    """Return the figures of a series that have no unit, and those that do over its mean."""
    mean = series.mean or 1.0
    return [
        (series.mean_deviation or 0.0) / mean,
        series.mean_deviation_percent or 0.0,
        series.lowest_over_highest or 0.0,
        *(each.deviation_percent or 0.0 for each in series.cylinders),
        *(each.value or 0.0 for each in series.rules if each.dimension != "pressure"),
    ]


# If this failed, a judgement would depend on which cylinder was pulled first.
@FEWER
@given(finals=FINALS, known=GAUGES, data=st.data())
def test_the_order_of_the_rows_changes_nothing(finals: list[float], known: Gauge | None, data: st.DataObject) -> None:
    firsts = [final * 0.5 for final in finals]
    rows = pulls(finals, firsts)
    one = judge(pulled(*rows, gauge=known)).dry
    other = judge(pulled(*data.draw(st.permutations(rows)), gauge=known)).dry
    assert one is not None
    assert other is not None
    assert outcomes(one) == outcomes(other)
    assert [each.value for each in one.rules] == [each.value for each in other.rules]
    assert [each.probability_met for each in one.rules] == [each.probability_met for each in other.rules]
    assert {each.cylinder: each.place for each in one.cylinders} == {
        each.cylinder: each.place for each in other.cylinders
    }


# If this failed, the same engine would be met in psi and not met in bar.
@FEWER
@given(finals=FINALS, known=GAUGES, unit=st.sampled_from(["bar", "kPa", "kgf/cm2", "inHg"]))
def test_the_unit_changes_nothing(finals: list[float], known: Gauge | None, unit: str) -> None:
    one = judged(finals, gauge=known)
    other = judged([si(final, "psi") / si(1, unit) for final in finals], unit=unit, gauge=known)
    assert [each.place for each in one.cylinders] == [each.place for each in other.cylinders]
    assert figures(one) == pytest.approx(figures(other), rel=1e-9, abs=1e-9)
    assert outcomes(one) == outcomes(other)


# If this failed, an engine of some size, or some reading, would bring the program down or make a figure of nothing.
@FEWER
@given(finals=st.lists(st.none() | st.floats(0, 2000), min_size=1, max_size=24), known=GAUGES)
def test_every_engine_can_be_judged(finals: list[float | None], known: Gauge | None) -> None:
    series = judged(finals, [None if final is None else final / 2 for final in finals], gauge=known)
    read = [final for final in finals if final is not None]
    assert series.count == len(read)
    assert len(series.running) == len(read)
    assert len(series.cylinders) == len(finals)
    assert all(math.isfinite(each) for each in figures(series))
    for each in series.rules:
        assert each.probability_met is None or 0 <= each.probability_met <= 1
        assert each.interval is None or 0 <= each.interval.low <= each.interval.high
        assert (each.outcome is Outcome.NOT_JUDGED) <= bool(each.reason)
    if read:
        last = series.running[-1]
        assert (last.mean, last.mean_deviation) == (series.mean, series.mean_deviation)


# If this failed, what a rule says and how probable that is would contradict each other.
@FEWER
@given(finals=st.lists(st.floats(50, 250), min_size=2, max_size=12))
def test_outcome_probability_and_interval_agree(finals: list[float]) -> None:
    for each in judged(finals, [final * 0.52 for final in finals], gauge=gauge()).rules:
        assert each.probability_met is not None
        assert each.interval is not None
        assert each.limit is not None
        wide = each.interval.low < each.limit < each.interval.high
        if each.outcome is Outcome.MET:
            assert each.probability_met >= 0.95
        elif each.outcome is Outcome.NOT_MET:
            assert each.probability_met <= 0.05
        else:
            assert each.outcome is Outcome.TOO_CLOSE
            assert wide or not 0.05 < each.probability_met < 0.95


# If this failed, one dead cylinder would hide among its siblings, or drag them out of line.
@FEWER
@given(
    siblings=st.lists(st.floats(149, 151), min_size=2, max_size=23),
    dead=st.floats(0, 100),
    known=GAUGES,
    data=st.data(),
)
def test_one_dead_cylinder_is_low_and_the_rest_in_line(
    siblings: list[float], dead: float, known: Gauge | None, data: st.DataObject
) -> None:
    where = data.draw(st.integers(0, len(siblings)))
    series = judged([*siblings[:where], dead, *siblings[where:]], gauge=known)
    expected = [Place.IN_LINE] * (len(siblings) + 1)
    expected[where] = Place.LOW
    assert [each.place for each in series.cylinders] == expected
    assert rule(series, "lowest_over_highest").cylinder == str(where + 1)


# If this failed, several bad cylinders, fewer than half, would make the sound ones look bad.
@given(siblings=st.lists(st.floats(149, 151), min_size=3, max_size=13), bad=st.lists(st.floats(20, 120), max_size=11))
def test_fewer_than_half_bad_are_all_found(siblings: list[float], bad: list[float]) -> None:
    assume(len(bad) < len(siblings))
    series = judged([*siblings, *bad])
    assert [each.place for each in series.cylinders] == [Place.IN_LINE] * len(siblings) + [Place.LOW] * len(bad)


# If this failed, one half of an engine would be called wrong where nobody can tell which half is.
@FEWER
@given(half=st.lists(st.floats(149, 151), min_size=1, max_size=12), low=st.floats(40, 125), known=GAUGES)
def test_equal_halves_are_not_placed(half: list[float], low: float, known: Gauge | None) -> None:
    series = judged([*half, *(each - 150 + low for each in half)], gauge=known)
    assert {each.place for each in series.cylinders} == {Place.CANNOT_TELL}
    assert series.two_groups is not None
    assert len(series.two_groups.lower) == len(series.two_groups.higher) == len(half)


# If this failed, a better engine could be judged worse: each cylinder nearer to the others, the same gauge.
@FEWER
@given(finals=st.lists(st.floats(100, 200), min_size=2, max_size=12), share=st.floats(0.1, 0.9))
def test_cylinders_that_come_closer_are_not_judged_worse(finals: list[float], share: float) -> None:
    mean = math.fsum(finals) / len(finals)
    before, after = judged(finals), judged([mean + share * (each - mean) for each in finals])
    for key, outcome in outcomes(before).items():
        if outcome is Outcome.MET and key != "first_stroke_half":
            assert outcomes(after)[key] is Outcome.MET
