"""Rules in words: whole sentences, as the owner reads them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.pulled import gauge, judged, rule, sheet, si

from ringtrue.engine import RULES_TO_ADOPT, Limits
from ringtrue.measure import DEFAULT, Interval, Outcome, RuleOutcome
from ringtrue.quantities import PaGauge
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import asks, rule_sentence, source_text, title

PSI = find_unit("psi", Dimension.PRESSURE)
BAR = find_unit("bar", Dimension.PRESSURE)
PRACTICE = "(common practice of the trade, no single source)"
CT_01 = "(CT-01: US Army TM 5-4210-230-14&P-1, addendum 2, compression and cylinder leakage tests)"
CT_03 = "(CT-03: US Army TM 1-1500-204-23-1, compression test, paragraph (d))"
SERVICE = "(the engine's own service data, as entered on its build sheet)"
OWN = sheet(
    4,
    Limits(
        minimum=PaGauge(si(120, "psi")),
        spread=si(15, "psi"),
        lowest_over_highest=0.8,
        adopt=("CT-04", "CT-05", "CT-07"),
    ),
)


# If this failed, an outcome would be told without its figure, its limit or whoever made it. Figures by hand.
@pytest.mark.parametrize(
    ("key", "sentence"),
    [
        (
            "mean_deviation_target",
            f"Not met: the mean deviation is 8.3 %; asked is under 1 % {PRACTICE}. Gauge not known.",
        ),
        ("mean_deviation_limit", f"Met: the mean deviation is 8.3 %; asked is under 10 % {PRACTICE}. Gauge not known."),
        (
            "cylinder_deviation_limit",
            f"Not met: cylinder 3 is 16.5 % from the mean; asked is under 10 % {PRACTICE}. Gauge not known.",
        ),
        (
            "first_stroke_half",
            (
                f"Not met: the first stroke of cylinder 3 is 0.42 of its final; asked is at least 0.5 {PRACTICE}. "
                "Gauge not known; a long hose lowers the first stroke."
            ),
        ),
        ("lowest_over_highest", f"Met: lowest over highest is 0.79; asked is at least 0.75 {CT_01}. Gauge not known."),
        ("below_mean", f"Met: cylinder 3 is 16.5 % below the mean; asked is under 20 % {CT_03}. Gauge not known."),
        (
            "sheet_minimum",
            f"Met: the lowest, cylinder 3, is 120.0 psi; asked is at least 120 psi {SERVICE}. Gauge not known.",
        ),
        (
            "sheet_spread",
            f"Not met: highest less lowest is 32.0 psi; asked is at most 15 psi {SERVICE}. Gauge not known.",
        ),
        (
            "sheet_lowest_over_highest",
            f"Not met: lowest over highest is 0.79; asked is at least 0.8 {SERVICE}. Gauge not known.",
        ),
        (
            "CT-07",
            (
                "Not met: highest less lowest is 32.0 psi; asked is at most 25 psi (CT-07: US Army TM "
                "5-3895-359-14&P; same rule in TM 5-3810-303-24, table 2 and its example). Gauge not known."
            ),
        ),
    ],
)
def test_a_rule_is_told_whole(key: str, sentence: str) -> None:
    # Mean 143.75, mean deviation 11.875 (8.26 %), cylinder 3 23.75 below (16.52 %), 120/152 = 0.789, 50/120 = 0.417.
    series = judged([152, 151, 120, 152], [90, 90, 50, 90], sheet=OWN)
    assert rule_sentence(rule(series, key), PSI) == sentence


# If this failed, a rule that was not judged would not say why, or hide the figure that was read.
def test_a_rule_that_is_not_judged_says_why() -> None:
    series = judged([150, 151, None, 149])
    assert rule_sentence(rule(series, "lowest_over_highest"), PSI) == (
        f"Not judged: cylinder 3 not read. As read, lowest over highest is 0.99; asked is at least 0.75 {CT_01}."
    )
    assert rule_sentence(rule(series, "first_stroke_half"), PSI) == (
        "Not judged: no first stroke to judge by. The first stroke of every cylinder, over its final, is "
        f"to be at least 0.5 {PRACTICE}."
    )


# If this failed, a figure the gauge cannot tell from its limit would be told as if it could.
def test_too_close_to_call_says_how_far_the_gauge_leaves_it_open() -> None:
    found = RuleOutcome(
        "mean_deviation_target",
        "target",
        Outcome.TOO_CLOSE,
        0.586,
        1.0,
        "percent",
        None,
        "common practice",
        "the gauge cannot tell the two sides apart",
        0.9,
        Interval(0.0, 1.0396),
    )
    assert rule_sentence(found, PSI) == (
        "Too close to call: the mean deviation is 0.59 % as read, and may be anywhere from 0.00 to 1.04 %; "
        f"asked is under 1 % {PRACTICE}. The gauge cannot tell the two sides apart."
    )


# If this failed, a known gauge would still be called unknown, or its outcome be told with words that mean nothing.
def test_with_the_gauge_known_the_sentence_ends_with_its_source() -> None:
    series = judged([150, 151, 149, 150], gauge=gauge())
    assert rule_sentence(rule(series, "below_mean"), PSI) == (
        f"Met: cylinder 3 is 0.67 % below the mean; asked is under 20 % {CT_03}."
    )


# If this failed, limits would be told in another unit than the readings.
def test_pressures_are_told_in_the_unit_asked_for() -> None:
    series = judged([152, 151, 120, 152], sheet=OWN)
    assert asks(rule(series, "sheet_minimum"), BAR) == "Every final is to be at least 8.27 bar."
    assert asks(rule(series, "sheet_minimum"), PSI) == "Every final is to be at least 120 psi."
    assert asks(rule(series, "mean_deviation_limit"), PSI) == "The mean deviation of all cylinders is to be under 10 %."


# If this failed, a shop's own limit would be told as common practice.
def test_a_limit_of_the_shop_names_the_shop() -> None:
    found = replace(rule(judged([150, 151, 149, 150]), "mean_deviation_limit"), limit=5.0, source="shop settings")
    assert rule_sentence(found, PSI) == (
        "Met: the mean deviation is 0.33 %; asked is under 5 % (the shop's own limit, from its settings). "
        "Gauge not known."
    )


# If this failed, a rule would have no name, or two rules the same.
def test_every_rule_has_a_title_of_its_own() -> None:
    keys = [*DEFAULT, "sheet_minimum", "sheet_spread", "sheet_lowest_over_highest", *RULES_TO_ADOPT]
    titles = [title(key) for key in keys]
    assert len(set(titles)) == len(keys)


# If this failed, a source would be told by a key that nobody knows.
def test_sources_are_told_by_their_title() -> None:
    assert source_text("service data") == "the engine's own service data, as entered on its build sheet"
    assert source_text("DT-03") == "DT-03: FAA AC 43.13-1B, chapter 8, page 8-15, 8-14b(5)(i)"
