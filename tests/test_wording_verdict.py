"""What a test means, in whole sentences for an owner who does not know the trade. The figures are worked by hand."""

from __future__ import annotations

import pytest
from tests.pulled import gauge, judged, measured, pulled, pulls, reading, sheet, si

from ringtrue.compression import CompressionTest, Kind, LeakdownReading, Pull
from ringtrue.engine import BuildSheet, Limits
from ringtrue.measure import WetOverDry, judge
from ringtrue.quantities import PaGauge
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import (
    figures_sentence,
    how_sure,
    leakdown_sentence,
    oil_sentence,
    place_sentence,
    running_sentence,
    summary,
)

PSI = find_unit("psi", Dimension.PRESSURE)
BAR = find_unit("bar", Dimension.PRESSURE)
ALIKE = [150, 151, 149, 150, 152, 148]
ONE_LOW = [150, 151, 120, 150, 152, 147]
GRUBBS = "NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1, Grubbs' test"


def told(test: CompressionTest, on: BuildSheet | None = None) -> tuple[str, ...]:
    """Return the summary of a test in psi."""
    judged = judge(test, sheet=on)
    sure = () if judged.main is None else how_sure(judged.main, PSI)
    oil = (oil_sentence(each) for each in judged.wet_over_dry)
    return (*summary(judged.main, PSI), *sure, *oil, *(leakdown_sentence(each, PSI) for each in judged.leakdown))


# If this failed, the owner of a sound engine would not read that it is, or read more than was found.
def test_a_sound_engine() -> None:
    # Mean 150, mean deviation (0+1+1+0+2+2)/6 = 1 psi = 0.667 %; 148/152 = 0.974.
    assert told(pulled(*pulls(ALIKE))) == (
        "All 6 cylinders are in line with one another: nothing in these finals speaks against their sealing.",
        (
            "Mean 150.0 psi, mean deviation 1.00 psi (0.67 % of the mean); lowest cylinder 6 with 148.0 psi, "
            "highest cylinder 5 with 152.0 psi; lowest over highest 0.97."
        ),
        "Limits not judged: First stroke over final.",
        "Limits met: Mean deviation; Each cylinder from the mean; Lowest over highest; Lowest below the mean.",
        (
            "What a careful builder expects of the mean deviation (under 1 %, common practice of the trade, no "
            "single source): met."
        ),
        f"Grubbs' test sets no cylinder apart: statistic 1.414, critical value 1.887, two-sided 5 % ({GRUBBS}).",
        "Gauge not known: rules are compared as read, and no figure has an interval.",
    )


# If this failed, the owner would not read which cylinder is off, by how much, and what counts as off.
def test_one_cylinder_out_of_line() -> None:
    # Mean 145; cylinder 3 is 25 below, 17.24 %; deviations 5+6+25+5+7+2 = 50, over 6 = 8.33 psi, 5.7 %; 120/152 = 0.79.
    found = told(pulled(*pulls(ONE_LOW)))
    assert (
        "Out of line means more than 10 % off the median of all (common practice), or more than 3.5 times "
        "what the scatter of the others and the gauge explain (NIST/SEMATECH e-Handbook of Statistical "
        "Methods)."
    ) in found
    assert found[:3] == (
        "Cylinder 3 is low: 120.0 psi, 17.2 % below the mean of all.",
        "In line: cylinders 1, 2, 4, 5 and 6.",
        (
            "Mean 145.0 psi, mean deviation 8.33 psi (5.7 % of the mean); lowest cylinder 3 with 120.0 psi, "
            "highest cylinder 5 with 152.0 psi; lowest over highest 0.79."
        ),
    )
    assert (
        "Rules disagree: “Lowest over highest” and “Lowest below the mean” are met, “Each cylinder from "
        "the mean” is not. They ask different things and have different makers; the engine's own service "
        "data come first."
    ) in found


# If this failed, the interval would be kept from the owner.
def test_a_known_gauge_puts_an_interval_beside_the_cylinder() -> None:
    # Grade B, 300 psi: 6 psi at 120 and 150, over root 3 3.464; 2 psi over root 12 0.577; 0.6 % of 120 0.72; together
    # 3.585, times 1.645 = 5.90 psi.
    series = judged(ONE_LOW, gauge=gauge())
    low = next(each for each in series.cylinders if each.cylinder == "3")
    assert place_sentence(low, PSI, series.rules) == (
        "Cylinder 3 is low: 120.0 psi (90 % interval 114.1 to 125.9 psi), 17.2 % below the mean of all."
    )


# If this failed, one half of an engine would be called wrong, or the owner not told that the other half may be.
def test_two_groups() -> None:
    # Median (129 + 149)/2 = 139; gap 20, 14.39 %.
    found = told(pulled(*pulls([150, 128, 151, 127, 149, 129])))
    assert found[0] == (
        "Two groups. Cylinders 2, 4 and 6 read lower than 1, 3 and 5: the gap is 14.4 % of the median of "
        "all (more than 10 %, common practice). Nothing in these readings says which group is right."
    )
    assert not any(" is low" in sentence for sentence in found)


# If this failed, a spread that the gauge makes would be told as the engine's.
def test_a_spread_no_bigger_than_the_gauges() -> None:
    found = told(pulled(*pulls([150, 151, 150, 149, 150, 150]), gauge=gauge()))
    assert "The cylinders differ by no more than this gauge alone would show on cylinders that are all alike." in found
    sentence = next(each for each in found if "bigger than this gauge alone" in each)
    assert sentence.startswith(
        "The mean deviation of 0.22 % is no bigger than this gauge alone would show on cylinders "
    )
    assert sentence.endswith("on average): these readings do not tell the cylinders apart.")
    wide = told(pulled(*pulls(ONE_LOW), gauge=gauge()))
    assert any(
        each.startswith("The mean deviation of 5.7 % is bigger than this gauge alone would show") for each in wide
    )


# If this failed, a limit that is not met would stand beside words of praise.
def test_in_line_and_yet_below_the_minimum() -> None:
    own = sheet(6, Limits(minimum=PaGauge(si(160, "psi"))))
    assert (
        told(pulled(*pulls(ALIKE)), own)[0] == "All 6 cylinders are in line with one another, but a limit is not met."
    )


# If this failed, the day's drift would be hidden in the order of the cylinders.
@pytest.mark.parametrize(
    ("again", "sentence"),
    [
        (147, "The day's drift: cylinder 1 read 150.0 psi in its turn and 147.0 psi at the end, 2.0 % lower."),
        (153, "The day's drift: cylinder 1 read 150.0 psi in its turn and 153.0 psi at the end, 2.0 % higher."),
        (150, "The day's drift: none; cylinder 1 read 150.0 psi in its turn and again at the end."),
    ],
)
def test_drift(again: float, sentence: str) -> None:
    assert sentence in told(pulled(*pulls(ALIKE), Pull(cylinder="1", final=reading(again, "psi"), drift=True)))


# If this failed, what was not read would be taken for sound.
def test_a_cylinder_that_was_not_read() -> None:
    found = told(pulled(*pulls([150, 151, None, 149])))
    assert found[0].startswith("The 3 cylinders that were read are in line with one another")
    assert "Not read: cylinder 3; nothing that is said here holds for what was not read." in found
    assert place_sentence(judged([150, 151, None, 149]).cylinders[2], PSI) == "Cylinder 3 was not read."


# If this failed, one reading, or none, would be judged.
def test_little_or_nothing_read() -> None:
    assert told(pulled(*pulls([150])))[0] == (
        "Cylinder 1 read 150.0 psi. With no other cylinder beside it, its place says nothing."
    )
    assert told(pulled(*pulls([None]))) == ("No final was read, so nothing is judged.",)
    assert told(pulled()) == ("No cylinder was pulled, so no cylinder is placed.",)
    assert figures_sentence(judged([None]), PSI) == ""


# If this failed, readings that contradict each other would be told as a place.
def test_readings_that_conflict() -> None:
    found = told(pulled(*pulls(ALIKE), Pull(cylinder="3", final=reading(120, "psi"))))
    assert found[0] == "Cylinder 3 cannot be placed: the readings contradict each other, or lie too far apart."


# If this failed, a test that two bad cylinders blind would be quoted as if it cleared them.
def test_a_masked_outlier_is_said_to_be_possible() -> None:
    found = told(pulled(*pulls([150, 118, 116, 149, 152, 150])))
    assert (
        "Several cylinders that are off can hide each other from such a test; their places do not rest on it." in found
    )


# If this failed, wet readings would be held against one another without a word.
def test_wet_readings_alone() -> None:
    series = judge(pulled(*pulls(ALIKE, kind=Kind.WET))).wet
    assert series is not None
    assert summary(series, PSI)[0] == (
        "These are wet readings: oil in the cylinders raises them, so they are not held against each other."
    )


# If this failed, oil and air would be told without the limits that they are held against.
def test_oil_and_leakdown() -> None:
    leak = LeakdownReading(
        cylinder="3",
        supply=reading(80, "psi"),
        held=reading(56, "psi"),
        restrictor=measured(0.040, "in", Dimension.LENGTH),
        heard=("intake", "cylinder 4"),
    )
    unseen = LeakdownReading(cylinder="4", supply=reading(80, "psi"))
    found = told(pulled(*pulls(ONE_LOW), *pulls({"3": 150}, kind=Kind.WET), leak, unseen))
    assert found[-3:] == (
        "With oil, cylinder 3 read 1.25 times its dry final, the oil's own volume in it: how much oil was not said.",
        (
            "Leak-down, cylinder 3: 30.0 % lost, 56.0 psi held of 80.0 psi: suspect; suspect is more than 20 % "
            "(common practice of the trade, no single source). Air heard at the intake and at the plug hole of "
            "cylinder 4. The rule is about a restrictor of 0.040 in; gauge not known."
        ),
        "Leak-down, cylinder 4: not judged: supply or held not read.",
    )


# If this failed, too much oil would be believed.
@pytest.mark.parametrize(
    ("oil", "sentence"),
    [
        (
            WetOverDry("3", 1.25, 1.171, 0.05, "exponent 1.3"),
            (
                "With oil, cylinder 3 read 1.25 times its dry final; 1.17 times with the oil's own volume taken "
                "out (exponent 1.3). Oil: 5.0 % of the clearance volume."
            ),
        ),
        (
            WetOverDry("3", 1.25, 0.98, 0.1504, "exponent 1.3"),
            (
                "With oil, cylinder 3 read 1.25 times its dry final; 0.98 times with the oil's own volume taken "
                "out (exponent 1.3). Oil: 15.04 % of the clearance volume. That is more than 15 % (common "
                "practice): it says little."
            ),
        ),
        (WetOverDry("3", None, None, None, "the dry final is zero"), "With oil, cylinder 3: the dry final is zero."),
    ],
)
def test_oil_with_its_volume(oil: WetOverDry, sentence: str) -> None:
    assert oil_sentence(oil) == sentence


# If this failed, the person at the engine would read figures of another unit after each pull.
def test_running_figures() -> None:
    running = judged(ONE_LOW).running
    assert running_sentence(running[1], PSI) == (
        "After cylinder 2: mean 150.5 psi, mean deviation 0.50 psi (0.33 % of the mean)."
    )
    assert running_sentence(judged([10.4, 10.2], unit="bar").running[1], BAR) == (
        "After cylinder 2: mean 10.30 bar, mean deviation 0.100 bar (0.97 % of the mean)."
    )


# If this failed, a sentence of the summary would be broken or empty.
@pytest.mark.parametrize("finals", [[150], [150, 151], ALIKE, ONE_LOW, [0, 0, 0], [150, 128, 151, 127], ALIKE * 4])
def test_every_sentence_is_one(finals: list[float]) -> None:
    for known in (None, gauge()):
        series = judged(finals, gauge=known)
        for sentence in summary(series, PSI):
            assert sentence[0].isupper(), sentence
            assert sentence.endswith("."), sentence
            assert "  " not in sentence
            assert ".." not in sentence
            assert "None" not in sentence


# If this failed, a leak-down figure beside its limit would read on the other side.
def test_a_leakdown_beside_its_limit() -> None:
    leak = LeakdownReading(
        cylinder="1",
        supply=reading(80, "psi"),
        held=reading(63.99, "psi"),
        restrictor=measured(0.040, "in", Dimension.LENGTH),
    )
    assert "20.01 % lost" in told(pulled(leak))[-1]
