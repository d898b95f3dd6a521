"""
The rules of print, on readings of print or worked by hand.

CT-01: US Army TM 5-4210-230-14&P-1, addendum 2. CT-03: US Army TM 1-1500-204-23-1, compression test, (d). CT-04: US
Army TM 10-3930-618-20, 2-12. CT-05: US Army TM 5-2420-230-24-2, section 14. CT-07: US Army TM 5-3895-359-14&P, table 2
and its example. DT-03: FAA AC 43.13-1B, page 8-15, 8-14b(5)(i). All were read. The rules are printed; the readings are
worked by hand, but for those of CT-07, which are printed.
"""

from __future__ import annotations

import pytest
from tests.pulled import judged, measured, outcomes, pulled, reading, rule, sheet, si

from ringtrue.compression import LeakdownReading
from ringtrue.engine import Limits
from ringtrue.measure import Outcome, judge
from ringtrue.units import Dimension

MET, NOT_MET = Outcome.MET, Outcome.NOT_MET


# If this failed, an engine at three quarters would be turned away that the manual lets pass, or the other way round.
@pytest.mark.parametrize(
    ("finals", "ratio", "outcome"),
    [
        ([160, 150, 120], 0.75, MET),
        ([160, 150, 119], 0.74375, NOT_MET),
        ([200, 150], 0.75, MET),
        ([100, 76], 0.76, MET),
    ],
)
def test_ct01_lowest_at_least_three_quarters_of_highest(finals: list[float], ratio: float, outcome: Outcome) -> None:
    found = rule(judged(finals), "lowest_over_highest")
    assert found.value == pytest.approx(ratio, rel=1e-12)
    assert (found.outcome, found.limit, found.source) == (outcome, 0.75, "CT-01")


# If this failed, a cylinder a fifth below its siblings would go unseen, or a sound one would be opened up.
@pytest.mark.parametrize(
    ("finals", "mean", "lowest_over_mean", "outcome"),
    [([120, 118, 125, 95], 114.5, 0.82969, MET), ([100, 100, 100, 75], 93.75, 0.8, NOT_MET)],
)
def test_ct03_twenty_percent_below_the_mean(
    finals: list[float], mean: float, lowest_over_mean: float, outcome: Outcome
) -> None:
    series = judged(finals)
    found = rule(series, "below_mean")
    assert series.mean == pytest.approx(si(mean, "psi"), rel=1e-12)
    assert found.value == pytest.approx(100 * (1 - lowest_over_mean), abs=1e-2)
    assert (found.outcome, found.cylinder, found.source) == (outcome, "4", "CT-03")


# If this failed, "not to vary more than 10 pounds" would be held at another figure.
@pytest.mark.parametrize(
    ("finals", "spread", "outcome"),
    [([120, 124, 118, 126], 8, MET), ([120, 124, 115, 126], 11, NOT_MET), ([120, 124, 116, 126], 10, MET)],
)
def test_ct04_ten_pounds(finals: list[float], spread: float, outcome: Outcome) -> None:
    found = rule(judged(finals, sheet=sheet(4, Limits(adopt=("CT-04",)))), "CT-04")
    assert found.value == pytest.approx(si(spread, "psi"), rel=1e-12)
    assert found.outcome is outcome


# If this failed, the diesel's 690 kPa would have become another figure, or one in another unit.
@pytest.mark.parametrize(("finals", "outcome"), [([2413, 1723], MET), ([2413, 1722], NOT_MET)])
def test_ct05_all_within_690_kpa(finals: list[float], outcome: Outcome) -> None:
    found = rule(judged(finals, unit="kPa", sheet=sheet(2, Limits(adopt=("CT-05",)))), "CT-05")
    assert (found.outcome, found.limit) == (outcome, 690e3)


# If this failed, one verdict would be told where two rules of print contradict each other.
def test_ct07_the_rules_disagree_and_that_is_shown() -> None:
    series = judged([445, 440, 405, 435], sheet=sheet(4, Limits(adopt=("CT-07",))))
    spread = rule(series, "CT-07")
    assert (spread.outcome, spread.cylinder) == (NOT_MET, "3")
    assert spread.value == pytest.approx(si(40, "psi"), rel=1e-12)
    assert spread.limit == pytest.approx(si(25, "psi"), rel=1e-12)
    assert series.lowest_over_highest == pytest.approx(0.9101, abs=5e-5)
    below = rule(series, "below_mean")
    assert below.value == pytest.approx(100 * (1 - 0.9391), abs=5e-3)
    assert below.outcome is rule(series, "lowest_over_highest").outcome is MET
    assert {("lowest_over_highest", "CT-07"), ("below_mean", "CT-07")} <= set(series.disagreements)


# If this failed, a rule written for one engine would be held against every other.
def test_rules_of_particular_engines_wait_to_be_adopted() -> None:
    assert not {"CT-04", "CT-05", "CT-07"} & set(outcomes(judged([445, 440, 405, 435], sheet=sheet(4))))


# If this failed, a cylinder on 60/80 would be called suspect, which "in excess of 25 %" does not say.
@pytest.mark.parametrize(
    ("held", "loss", "suspect"),
    [
        (80, 0, False),
        (75, 6.25, False),
        (70, 12.5, False),
        (65, 18.75, False),
        (61, 23.75, False),
        (60, 25.0, False),
        (59, 26.25, True),
        (55, 31.25, True),
    ],
)
def test_dt03_more_than_a_quarter_is_suspect(held: float, loss: float, suspect: bool) -> None:
    taken = LeakdownReading(
        cylinder="1",
        supply=reading(80, "psi"),
        held=reading(held, "psi"),
        restrictor=measured(0.040, "in", Dimension.LENGTH),
    )
    (found,) = judge(pulled(taken), sheet=sheet(1, Limits(adopt=("DT-03",)))).leakdown
    assert found.loss == pytest.approx(loss / 100, abs=1e-12)
    assert (found.rule, found.outcome) == ("DT-03", NOT_MET if suspect else MET)
