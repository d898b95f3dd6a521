"""Patterns in the trade's words: what is seen, what it usually means, what to check next, with what care."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.pulled import measured, pulled, pulls, reading, si

from ringtrue.compression import CompressionTest, Kind, LeakdownReading
from ringtrue.diagnosis import Pattern, PatternKey, patterns
from ringtrue.engine import BuildSheet, Ignition, Layout, Limits
from ringtrue.measure import Interval, judge
from ringtrue.quantities import PaGauge
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import Care, PatternWords, care, pattern_words

PSI = find_unit("psi", Dimension.PRESSURE)
SIX = BuildSheet(
    name="invented",
    layout=Layout.INLINE,
    cylinders=tuple("123456"),
    banks=(tuple("123456"),),
    ignition=Ignition.SPARK,
)
ONE_LOW = [150, 151, 120, 150, 152, 147]
LOW = "Cylinder 3 is low: 120.0 psi, 17.2 % below the mean of all."


def leak(held: float, *heard: str) -> LeakdownReading:
    """Return a leak-down reading of cylinder 3 at 80 psi."""
    bore = measured(0.040, "in", Dimension.LENGTH)
    return LeakdownReading(
        cylinder="3", supply=reading(80, "psi"), held=reading(held, "psi"), restrictor=bore, heard=heard
    )


def told(
    test: CompressionTest, key: PatternKey, on: BuildSheet = SIX, expected: Interval | None = None
) -> PatternWords:
    """Return the words of one pattern of a test."""
    judgement = judge(test, sheet=on)
    seen = {each.key: each for each in patterns(judgement, test, on, expected=expected)}
    assert judgement.main is not None
    return pattern_words(seen[key], PSI, on, judgement.main.rules)


def wet(finals: dict[str, float | None], *more: LeakdownReading) -> CompressionTest:
    """Return six cylinders of which the third is low, with a wet series."""
    return pulled(*pulls(ONE_LOW), *pulls(finals, kind=Kind.WET), *more)


# If this failed, the owner would not read what the trade reads in the figures, or do the wrong thing next.
def test_low_and_better_with_oil() -> None:
    # 150/120 = 1.25 beside 156/150 = 1.04: 1.202.
    words = told(wet({"3": 150, "1": 156}), PatternKey.LOW_BETTER_WITH_OIL)
    assert words == PatternWords(
        "Low, clearly better with oil",
        (
            f"{LOW} With oil cylinder 3 reads 1.20 times what the same oil did to the cylinders in line: "
            "clearly better (1.10 or more; common practice)."
        ),
        "Usually rings or bore.",
        "Leak-down on cylinder 3; listen at the oil filler.",
        care(Care.AIR),
    )


# If this failed, a leak-down would be asked for that was done and heard.
def test_a_leakdown_that_was_heard_is_not_asked_for_again() -> None:
    words = told(wet({"3": 150, "1": 156}, leak(55, "crankcase")), PatternKey.LOW_BETTER_WITH_OIL)
    assert (words.next_check, words.caution) == ("", "")
    heard = told(wet({"3": 150, "1": 156}, leak(55, "crankcase")), PatternKey.HEARD_CRANKCASE)
    assert heard.seen == (
        "Leak-down on cylinder 3 loses 31.2 % (suspect is more than 20 %, common practice); air heard at "
        "the oil filler or dipstick."
    )
    assert heard.means == "The rings of cylinder 3, or the bore."
    assert heard.next_check == (
        "Run the engine again and repeat the leak-down on cylinder 3 before anything is taken apart (FAA AC 43.13-1B, "
        "8-14b(5))."
    )


# If this failed, valves would be looked for at the oil filler.
def test_low_and_oil_changes_little() -> None:
    words = told(wet({"3": 122}), PatternKey.LOW_OIL_CHANGES_LITTLE)
    assert words.seen == (
        f"{LOW} With oil cylinder 3 reads 1.02 times the dry reading, the oil's own volume still in it: oil "
        "changes little (up to 1.07; common practice)."
    )
    assert words.means == "Usually a valve or its seat."
    assert words.next_check == "Leak-down on cylinder 3; listen at the intake and at the tailpipe."


# If this failed, the gasket between two cylinders would not be named, or only one of them.
def test_neighbours_low() -> None:
    test = pulled(*pulls([150, 151, 118, 119, 152, 150]), *pulls({"3": 119, "4": 120}, kind=Kind.WET))
    words = told(test, PatternKey.NEIGHBOURS_LOW)
    # Mean 140: 118 is 15.7 % below, 119 15.0 %.
    assert words.seen.startswith(
        "Cylinder 3 is low: 118.0 psi, 15.7 % below the mean of all; cylinder 4 is low: 119.0 psi, 15.0 % "
        "below the mean of all. They are neighbours on one gasket. "
    )
    assert words.means == "Usually the head gasket between them."
    assert words.next_check == "Leak-down on cylinder 3; listen at the plug hole of cylinder 4."


# If this failed, a dead cylinder would be cranked again.
def test_near_zero() -> None:
    words = told(pulled(*pulls([150, 151, 4, 150, 152, 147])), PatternKey.NEAR_ZERO)
    assert words == PatternWords(
        "At or near zero",
        (
            "At or near zero: cylinder 3 with 4.0 psi (under 10 % of the median of all, or under 10.2 psi; "
            "common practice)."
        ),
        "A valve stuck open or not closing, a hole in the piston, or no valve motion on the intake.",
        (
            "Look before cranking again: at the gauge's fitting, at the motion of the valves, through the plug "
            "hole of cylinder 3."
        ),
        "Ignition and fuel stay disabled, and nobody works the starter: what is loose in there breaks more.",
    )


# If this failed, a cylinder that does not fill would be taken apart for a leak.
def test_low_with_a_good_leakdown() -> None:
    words = told(pulled(*pulls(ONE_LOW), leak(76)), PatternKey.LOW_LEAKDOWN_GOOD)
    assert words.seen == f"{LOW} Leak-down on cylinder 3 loses 5.0 % (suspect is more than 20 %, common practice)."
    assert words.means == "That cylinder is not filling: worn lobe, collapsed lifter, lash, or a bent pushrod."
    assert words.next_check == "Measure the valve lift of cylinder 3."


# If this failed, a final alone would be said to name a leak.
def test_low_and_not_explained_says_how_to_find_out() -> None:
    words = told(pulled(*pulls(ONE_LOW)), PatternKey.LOW_NOT_EXPLAINED)
    assert words.seen == LOW
    assert words.means == "The final alone does not say where it leaks, or whether it fills."
    assert words.next_check == (
        "Wet test on cylinder 3 and on one that is in line; or leak-down on cylinder 3; listen: oil filler "
        "or dipstick (rings); intake (intake valve); tailpipe (exhaust valve); coolant, cap taken off cold "
        "(gasket or crack); the next plug hole (gasket or crack)."
    )
    assert words.caution == care(Care.OIL)


# If this failed, oil would be poured into an engine that it can lock.
@pytest.mark.parametrize("ignition", [Ignition.COMPRESSION, None])
def test_no_wet_test_is_proposed_but_on_spark_ignition(ignition: Ignition | None) -> None:
    on = replace(SIX, ignition=ignition)
    words = told(pulled(*pulls(ONE_LOW)), PatternKey.LOW_NOT_EXPLAINED, on)
    assert words.next_check.startswith("Leak-down on cylinder 3; listen: ")
    assert "et test" not in words.next_check
    assert words.caution == care(Care.AIR)


# If this failed, one cam would be looked for in six cylinders.
def test_one_bank_low() -> None:
    on = replace(SIX, layout=Layout.V, banks=(tuple("135"), tuple("246")))
    words = told(pulled(*pulls([150, 126, 151, 127, 149, 125])), PatternKey.BANK_LOW, on)
    assert words == PatternWords(
        "One whole bank low",
        (
            "Every cylinder of bank 2 is lower than the rest: cylinder 2 with 126.0 psi, cylinder 4 with 127.0 "
            "psi and cylinder 6 with 125.0 psi."
        ),
        "Usually that bank's own cam, or its gasket.",
        "Check the timing of bank 2.",
        care(Care.TURNING),
    )


# If this failed, a whole engine would be called low without the level it is held against.
def test_all_low_and_all_high() -> None:
    on = replace(SIX, limits=Limits(minimum=PaGauge(si(145, "psi"))))
    low = told(pulled(*pulls([126, 125, 127, 126, 125, 127])), PatternKey.ALL_LOW, on)
    assert low.seen == (
        "6 of 6 cylinders read below 145.0 psi (the engine's own service data, as entered on its build sheet)."
    )
    assert low.means == (
        "Cam late, throttle closed, slow or cold cranking, decompression, the gauge, fuel-washed bores, or "
        "general wear."
    )
    expected = Interval(si(110, "psi"), si(140, "psi"))
    high = told(pulled(*pulls([150, 151, 149, 150, 152, 148])), PatternKey.ALL_HIGH, SIX, expected)
    assert high.seen == "6 of 6 cylinders read above 140.0 psi (what this engine should show that day)."
    assert high.next_check == "Pull again with another gauge, then check the cam timing."


# If this failed, weak evidence would be told as a finding.
@pytest.mark.parametrize(
    ("final", "key", "seen", "means"),
    [
        (
            149,
            PatternKey.FIRST_LOW_CLIMBS,
            "The first stroke of cylinder 3 is 0.47 of its final; the others' median is 0.60. Its final is in line.",
            "It may be rings slow to seal. This is weak evidence, and names no leak by itself.",
        ),
        (
            115,
            PatternKey.FIRST_LOW_STAYS,
            (
                "Cylinder 3 is low: 115.0 psi, 20.1 % below the mean of all. It was low from the first stroke on. "
                "The first stroke of cylinder 3 is 0.61 of its final; the others' median is 0.60."
            ),
            "It may be a valve. This is weak evidence, and names no leak by itself.",
        ),
    ],
)
def test_first_strokes_are_told_as_what_may_be(final: float, key: PatternKey, seen: str, means: str) -> None:
    firsts = [90, 90, 70, 90, 90, 90]
    words = told(pulled(*pulls([150, 151, final, 150, 150, 148], firsts)), key)
    assert (words.seen, words.means) == (seen, means)


# If this failed, the oil's own volume would worry the owner of a sound engine.
def test_wet_up_by_volume() -> None:
    words = told(wet({"1": 156}), PatternKey.WET_OIL_VOLUME)
    assert words.seen == (
        "With oil cylinder 1 reads 1.04 times the dry reading, the oil's own volume still in it: oil "
        "changes little (up to 1.07; common practice)."
    )
    assert (words.means, words.next_check, words.caution) == (
        "Only the volume of the oil itself, on a sound cylinder: subtract it before judging.",
        "",
        "",
    )


# If this failed, an engine would be opened because a piston was not at the top.
def test_compression_fine_leakdown_poor() -> None:
    words = told(pulled(*pulls([150, 151, 149, 150, 152, 148]), leak(60)), PatternKey.FINE_LEAKDOWN_POOR)
    assert words.seen == (
        "Cylinder 3 is in line: 149.0 psi, 0.67 % below the mean of all. Leak-down on cylinder 3 loses "
        "25.0 % (suspect is more than 20 %, common practice)."
    )
    assert words.next_check == "Repeat the leak-down on cylinder 3 at true top dead centre."


# If this failed, a contradiction would be passed over.
def test_a_leakdown_that_contradicts_itself() -> None:
    words = told(pulled(*pulls(ONE_LOW), leak(80, "exhaust")), PatternKey.LEAKDOWN_CONTRADICTS)
    assert words.seen == (
        "Leak-down on cylinder 3 loses 0.0 % (suspect is more than 20 %, common practice); air heard at "
        "the exhaust. The two cannot both be so."
    )


# If this failed, valves would be blamed on an engine that has none.
def test_a_two_stroke_is_told_in_words_of_its_own() -> None:
    on = replace(SIX, cycle=2)
    words = told(wet({"3": 122}), PatternKey.LOW_OIL_CHANGES_LITTLE, on)
    assert words.means == "Usually the joint of the head, or a valve where there is one."
    assert told(wet({"3": 122}, leak(50, "intake")), PatternKey.HEARD_INTAKE, on).means == (
        "The rings of cylinder 3: the air comes out through crankcase and intake."
    )


# If this failed, somebody would put a bar on the crank of a hybrid because a page told him to.
def test_a_hybrid_has_its_caution_with_every_check_that_turns_the_crank() -> None:
    on = replace(SIX, hazards=("Hybrid",))
    words = told(wet({"3": 122}), PatternKey.LOW_OIL_CHANGES_LITTLE, on)
    assert "the engine is not to be cranked by hand tools" in words.caution


# If this failed, a check that can hurt would stand without its caution, or a pattern without its words.
@pytest.mark.parametrize("key", list(PatternKey))
@pytest.mark.parametrize("cycle", [4, 2])
def test_every_pattern_has_words_and_every_check_its_care(key: PatternKey, cycle: int) -> None:
    words = pattern_words(Pattern(key, ("3", "4"), 0, ()), PSI, replace(SIX, cycle=cycle))
    assert words.title
    assert words.means.endswith(".")
    assert words.next_check == "" or words.next_check.endswith(".")
    assert "{" not in words.means + words.next_check
    if words.next_check and key is not PatternKey.WET_OIL_VOLUME:
        assert words.caution.endswith(".")
    else:
        assert words.caution == ""
