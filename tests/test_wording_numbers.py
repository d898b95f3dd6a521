"""Figures as they are shown: never on the other side of their limit."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from ringtrue import measure
from ringtrue.measure import Interval, Outcome, RuleOutcome
from ringtrue.units import Dimension, Unit, find_unit, units_of
from ringtrue.wording import (
    Shown,
    figure,
    figure_and_limit,
    interval,
    limit_text,
    nearest,
    percent,
    pressure,
    ratio,
    value_text,
)
from ringtrue.wording.numbers import shortest

PSI = find_unit("psi", Dimension.PRESSURE)
KPA = find_unit("kPa", Dimension.PRESSURE)
PRESSURES = [unit for unit in units_of(Dimension.PRESSURE) if not unit.absolute]

limits = st.floats(0.001, 5000)
offsets = st.one_of(st.floats(-0.5, 0.5), st.floats(-1e-3, 1e-3), st.floats(-1e-7, 1e-7), st.just(0.0))


def side(value: float, limit: float) -> int:
    """Return on which side of a limit a figure lies: -1, 0 or 1."""
    return 0 if math.isclose(value, limit, rel_tol=1e-9) else (1 if value > limit else -1)


# If this failed, a reader would see a figure that breaks a rule as one that meets it, or the other way round.
@given(limit=limits, offset=offsets, decimals=st.integers(0, 3))
@example(limit=10.0, offset=-0.0004, decimals=1)
@example(limit=100.076, offset=1e-9, decimals=1)
@example(limit=0.001, offset=-0.5, decimals=0)
def test_a_figure_reads_on_its_own_side_of_the_limit(limit: float, offset: float, decimals: int) -> None:
    value = limit * (1 + offset)
    alone, (shown, edge) = figure(value, decimals, limit=limit), figure_and_limit(value, limit, decimals)
    assert alone == shown
    assert (float(shown) > float(edge)) - (float(shown) < float(edge)) == side(value, limit)
    if side(value, limit):
        assert (float(shown) > limit) == (value > limit)
    # Held or not, it is never farther off than two of its last digits.
    step = 10.0 ** -len(shown.partition(".")[2])
    assert abs(float(shown) - value) <= 2 * step


# If this failed, a row of a table would contradict its own outcome, whatever the unit of the shop.
@given(limit=st.floats(1e4, 5e6), offset=offsets, unit=st.sampled_from(PRESSURES))
def test_a_pressure_and_its_limit_read_as_they_compare(limit: float, offset: float, unit: Unit) -> None:
    # On the very edge of the slack the change of unit rounds to either side; there both readings are right.
    assume(not 0.9e-9 < abs(offset) < 1.1e-9)
    value = limit * (1 + offset)
    rule = _rule("sheet_minimum", value, limit, "pressure")
    shown, edge = (float(text.split()[0]) for text in (value_text(rule, unit), limit_text(rule, unit)))
    assert (shown > edge) - (shown < edge) == side(value, limit)


def _rule(key: str, value: float | None, limit: float, dimension: measure.Dimension) -> RuleOutcome:
    return RuleOutcome(key, "limit", Outcome.NOT_MET, value, limit, dimension, None, "service data", "")


# If this failed, the examples by which the rule is explained would not hold. Derived by hand.
def test_figures_near_ten_per_cent() -> None:
    shown = [percent(value, limit=10.0) for value in (9.94, 9.951, 9.996, 10.0, 10.04, 10.3)]
    assert shown == ["9.9 %", "9.95 %", "9.99 %", "10.0 %", "10.04 %", "10.3 %"]


# If this failed, three quarters would look met that are not.
def test_ratios_near_three_quarters() -> None:
    assert [ratio(value, limit=0.75) for value in (0.7496, 0.74999, 0.75, 0.7504)] == [
        "0.749",
        "0.749",
        "0.75",
        "0.751",
    ]


# If this failed, a limit of 690 kPa would be printed as 100.1 psi beside a spread of 100.1 psi that is more.
def test_a_limit_that_is_no_round_figure_has_the_digits_of_its_figure() -> None:
    # 690 kPa = 100.0760 psi, by hand from 6.894757 kPa.
    rule = _rule("CT-05", 100.08 * PSI.factor, 690e3, "pressure")
    assert (value_text(rule, PSI), limit_text(rule, PSI)) == ("100.09 psi", "100.08 psi")
    assert (value_text(rule, KPA), limit_text(rule, KPA)) == ("690.1 kPa", "690 kPa")


# If this failed, limits would carry noughts that nobody set.
def test_limits_are_written_short() -> None:
    assert [shortest(value, 2) for value in (10.0, 0.75, 0.5, 100.076)] == ["10", "0.75", "0.5", "100.08"]


# If this failed, small percentages would be shown as nothing.
def test_small_percentages_have_a_digit_more() -> None:
    assert [percent(value) for value in (0.0, 0.047, 0.586, 5.86)] == ["0.0 %", "0.05 %", "0.59 %", "5.9 %"]


# If this failed, a nought would have a sign.
def test_no_minus_nought() -> None:
    assert (figure(-0.001, 1), pressure(-0.1, PSI)) == ("0.0", "0.0 psi")


# If this failed, an interval would lose its unit.
def test_an_interval_has_one_unit() -> None:
    assert interval(Interval(145 * PSI.factor, 152.06 * PSI.factor), PSI) == "145.0 to 152.1 psi"


# If this failed, a figure would be told apart from a limit that is far away.
def test_the_nearest_limit() -> None:
    assert nearest(9.9, (1.0, 10.0, 20.0)) == 10.0
    assert nearest(9.9, ()) is None


# If this failed, a final on the table would read as the minimum that it does not reach.
def test_figures_of_a_series_heed_its_own_rules() -> None:
    minimum = 120 * PSI.factor
    shown = Shown(PSI, [_rule("sheet_minimum", None, minimum, "pressure")])
    assert (shown.final(119.96 * PSI.factor), shown.final_number(119.96 * PSI.factor)) == ("119.96 psi", "119.96")
    assert Shown(PSI).final(119.96 * PSI.factor) == "120.0 psi"
    assert Shown(PSI).deviation_percent(-9.997) == "9.99 %"
    own = Shown(PSI, [_rule("cylinder_deviation_limit", None, 8.0, "percent")])
    assert (own.deviation_percent(7.996), own.deviation_percent(9.997)) == ("7.99 %", "10.0 %")
    assert shown.mean_deviation(0.4 * PSI.factor, 0.9996) == "mean deviation 0.40 psi (0.999 % of the mean)"
    assert (shown.lowest_over_highest(0.7499), shown.first_over_final(0.4999)) == ("0.749", "0.499")


# If this failed, a deviation of nothing would be above or below the mean.
@pytest.mark.parametrize(
    ("percentage", "text"),
    [(-18.6, "18.6 % below the mean of all"), (2.0, "2.0 % above the mean of all"), (0.0, "at the mean of all")],
)
def test_off_the_mean(percentage: float, text: str) -> None:
    assert Shown(PSI).off_the_mean(percentage) == text
