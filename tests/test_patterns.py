"""
Each row of the table by which the trade reads a pattern, on readings made to show it.

The rows, and the thresholds that decide them, are common practice; oil and low neighbours are checked against print in
tests/published. The readings are worked by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest
from tests.pulled import Figures, gauge, measured, pulled, pulls, reading, si

from ringtrue.compression import CompressionTest, Kind, LeakdownReading, Pull
from ringtrue.diagnosis import AgainstLevel, OilBasis, OilEffect, OilSays, Pattern, PatternKey, patterns
from ringtrue.engine import BuildSheet, Geometry, Heads, Layout, Limits
from ringtrue.measure import Interval, RuleOutcome, TwoGroups, judge
from ringtrue.quantities import PaGauge
from ringtrue.units import Dimension

SOUND = {"1": 150.0, "2": 151.0, "3": 149.0, "4": 150.0, "5": 152.0, "6": 148.0}
SIX = BuildSheet(name="invented", layout=Layout.INLINE, cylinders=tuple("123456"), banks=(tuple("123456"),))
V6 = replace(SIX, layout=Layout.V, banks=(tuple("135"), tuple("246")))


def low(**finals: float) -> dict[str, float | None]:
    """Return six sound finals with some of them changed: c3=120 is cylinder 3 at 120 psi."""
    return {**SOUND, **{name.removeprefix("c"): final for name, final in finals.items()}}


def leak(cylinder: str, held: float, heard: Sequence[str] = (), restrictor: float | None = 0.040) -> LeakdownReading:
    """Return a leak-down reading at 80 psi."""
    return LeakdownReading(
        cylinder=cylinder,
        supply=reading(80, "psi"),
        held=reading(held, "psi"),
        restrictor=None if restrictor is None else measured(restrictor, "in", Dimension.LENGTH),
        heard=tuple(heard),
    )


def taken(
    dry: Figures, wet: Figures = (), leaks: Sequence[LeakdownReading] = (), firsts: Figures = ()
) -> CompressionTest:
    """Return a test of dry pulls, wet pulls and leak-down readings."""
    return pulled(*pulls(dry, firsts), *pulls(wet, kind=Kind.WET), *leaks)


def found(
    test: CompressionTest, sheet: BuildSheet | None = SIX, expected: Interval | None = None
) -> dict[PatternKey, Pattern]:
    """Return the patterns of a test, by key."""
    seen = patterns(judge(test, sheet=sheet), test, sheet, expected=expected)
    assert [each.key for each in seen] == sorted((each.key for each in seen), key=list(PatternKey).index)
    return {each.key: each for each in seen}


def told(test: CompressionTest, sheet: BuildSheet | None = SIX) -> dict[PatternKey, tuple[str, ...]]:
    """Return the cylinders of each pattern."""
    return {key: each.cylinders for key, each in found(test, sheet).items()}


# If this failed, rings would be blamed for what is not theirs, or let off.
def test_one_low_and_clearly_better_with_oil() -> None:
    # Beside a sound sibling with the same oil: 146/120 over 156/150 = 1.170, by hand.
    seen = found(taken(low(c3=120), {"3": 146, "1": 156}))
    assert seen[PatternKey.LOW_BETTER_WITH_OIL].cylinders == ("3",)
    assert PatternKey.LOW_NOT_EXPLAINED not in seen
    effect = next(each for each in seen[PatternKey.LOW_BETTER_WITH_OIL].evidence if isinstance(each, OilEffect))
    assert (effect.basis, effect.says) == (OilBasis.SIBLINGS, OilSays.CLEARLY_BETTER)
    assert effect.ratio == pytest.approx(146 / 120 / (156 / 150))


# If this failed, a valve would not be suspected where oil does nothing.
def test_one_low_and_oil_changes_little() -> None:
    assert told(taken(low(c3=120), {"3": 126, "1": 156})) == {
        PatternKey.LOW_OIL_CHANGES_LITTLE: ("3",),
        PatternKey.WET_OIL_VOLUME: ("1",),
    }


# If this failed, a gasket between neighbours would pass for two bad valves, or two cylinders apart for a gasket.
@pytest.mark.parametrize(
    ("sheet", "cylinders", "expected"),
    [
        (SIX, "34", {PatternKey.NEIGHBOURS_LOW: ("3", "4")}),
        (SIX, "14", {PatternKey.LOW_OIL_CHANGES_LITTLE: ("4",)}),
        (V6, "34", {PatternKey.LOW_OIL_CHANGES_LITTLE: ("4",)}),  # in different banks
        (V6, "35", {PatternKey.NEIGHBOURS_LOW: ("3", "5")}),
        (replace(SIX, heads=Heads.SEPARATE), "34", {PatternKey.LOW_OIL_CHANGES_LITTLE: ("4",)}),
        (None, "34", {PatternKey.LOW_OIL_CHANGES_LITTLE: ("4",)}),  # nobody knows who stands beside whom
    ],
)
def test_two_neighbours_low_and_oil_changes_little(
    sheet: BuildSheet | None, cylinders: str, expected: Mapping[PatternKey, tuple[str, ...]]
) -> None:
    dry = {**SOUND, **dict.fromkeys(cylinders, 118.0)}
    assert told(taken(dry, dict.fromkeys(cylinders, 119.0)), sheet) == expected


# If this failed, four in a row with the middle two low would only be called two groups, and the gasket not looked at.
def test_neighbours_of_a_four_are_seen_although_they_are_half_the_engine() -> None:
    four = replace(SIX, cylinders=tuple("1234"), banks=(tuple("1234"),))
    seen = told(taken([150, 118, 117, 151], {"2": 120, "3": 119}), four)
    assert seen == {PatternKey.NEIGHBOURS_LOW: ("2", "3")}
    assert told(taken([150, 118, 117, 151]), four) == {PatternKey.TWO_GROUPS: ("2", "3")}


# If this failed, a starter would be turned again on a dropped valve.
@pytest.mark.parametrize(("final", "zero"), [(0, True), (9, True), (14.9, True), (15.2, False), (40, False)])
def test_one_at_or_near_zero(final: float, zero: bool) -> None:
    # Under a tenth of the median of 150 psi: 15 psi, common practice.
    seen = told(taken(low(c3=final)))
    assert list(seen) == [PatternKey.NEAR_ZERO if zero else PatternKey.LOW_NOT_EXPLAINED]
    assert next(iter(seen.values())) == ("3",)


# If this failed, an engine with most cylinders dead would have a median that calls the dead ones normal.
def test_dead_cylinders_are_seen_though_they_are_the_median() -> None:
    assert told(taken([5, 4, 6, 5, 150, 151]))[PatternKey.NEAR_ZERO] == ("1", "2", "3", "4")
    seen = told(taken([0, 0, 0, 0, 0, 0]))
    assert seen == {PatternKey.NEAR_ZERO: tuple("123456"), PatternKey.ALL_LOW: tuple("123456")}


# If this failed, an engine would be opened for a leak it does not have: the cylinder does not fill.
def test_one_low_with_a_good_leakdown_is_not_filling() -> None:
    lift = Pull(cylinder="3", final=reading(120, "psi"), lift_loss=measured(2.0, "mm", Dimension.LENGTH))
    dry = tuple(each for each in pulls(low(c3=120)) if each.cylinder != "3")
    seen = found(pulled(*dry, lift, leak("3", 74)))
    assert seen[PatternKey.LOW_LEAKDOWN_GOOD].cylinders == ("3",)
    assert [type(each).__name__ for each in seen[PatternKey.LOW_LEAKDOWN_GOOD].evidence] == [
        "CylinderFigures",
        "LeakdownFigures",
        "LiftLost",
    ]
    assert PatternKey.LOW_NOT_EXPLAINED not in seen


# If this failed, a leak-down would be called good that loses too much, or through a restrictor that hides the leak.
@pytest.mark.parametrize(
    ("held", "restrictor", "good"), [(72, 0.040, True), (71, 0.040, False), (79, 0.060, False), (79, None, False)]
)
def test_what_a_good_leakdown_is(held: float, restrictor: float | None, good: bool) -> None:
    # Sound up to 10 % through 0.040 in, common practice: 72 of 80 psi is 10 %.
    seen = told(taken(low(c3=120), leaks=[leak("3", held, restrictor=restrictor)]))
    assert (PatternKey.LOW_LEAKDOWN_GOOD in seen) is good
    assert (PatternKey.LOW_NOT_EXPLAINED in seen) is not good


# If this failed, six cylinders would be opened for one cam.
def test_one_whole_bank_low() -> None:
    dry = {"1": 150, "3": 151, "5": 149, "2": 126, "4": 127, "6": 125}
    bank = found(taken(dry), V6)
    assert list(bank) == [PatternKey.BANK_LOW]
    assert (bank[PatternKey.BANK_LOW].bank, bank[PatternKey.BANK_LOW].cylinders) == (1, ("2", "4", "6"))
    assert list(told(taken(dry), SIX)) == [PatternKey.TWO_GROUPS]


# If this failed, a bank of a V-8 that is low with one cylinder unread would be called whole.
def test_a_bank_is_low_only_when_all_of_it_was_read() -> None:
    dry: dict[str, float | None] = {"1": 150, "3": 151, "5": 149, "2": 126, "4": 127, "6": None}
    assert PatternKey.BANK_LOW not in told(taken(dry), V6)


# If this failed, half an engine would be called bad for being lower than the other half.
def test_two_groups() -> None:
    seen = found(taken([150, 128, 151, 127, 149, 129]))
    assert list(seen) == [PatternKey.TWO_GROUPS]
    assert seen[PatternKey.TWO_GROUPS].cylinders == ("2", "4", "6")
    assert isinstance(seen[PatternKey.TWO_GROUPS].evidence[0], TwoGroups)


MINIMUM = replace(SIX, limits=Limits(minimum=PaGauge(si(145, "psi"))))


# If this failed, low readings that are alike would be called fine, or fine ones low with nothing to compare with.
def test_all_low_and_alike_takes_a_level() -> None:
    alike = [126, 125, 127, 126, 125, 127]
    assert told(taken(alike)) == {PatternKey.NOTHING_STANDS_OUT: tuple("123456")}
    seen = found(taken(alike), MINIMUM)
    assert list(seen) == [PatternKey.ALL_LOW]
    level = seen[PatternKey.ALL_LOW].evidence[0]
    assert isinstance(level, AgainstLevel)
    assert (level.count, level.source, level.cylinders) == (6, "service data", tuple("123456"))
    expected = Interval(si(140, "psi"), si(170, "psi"))
    assert list(found(taken(alike), SIX, expected)) == [PatternKey.ALL_LOW]


# If this failed, one cylinder under the minimum would make the whole engine low, or not be low itself.
def test_few_below_the_minimum_are_not_all() -> None:
    seen = told(taken(low(c3=143, c6=146)), MINIMUM)
    assert seen == {PatternKey.LOW_NOT_EXPLAINED: ("3",)}


# If this failed, a gauge that cannot tell would condemn an engine.
def test_a_minimum_within_the_gauge_says_nothing_of_the_level() -> None:
    test = pulled(*pulls([143, 144, 143, 144, 143, 144]), gauge=gauge())
    assert PatternKey.ALL_LOW not in told(test, MINIMUM)


# If this failed, carbon or a gauge that reads high would go unseen where an expectation is known.
def test_all_high_takes_an_expectation() -> None:
    expected = Interval(si(110, "psi"), si(140, "psi"))
    assert list(found(taken(SOUND), SIX, expected)) == [PatternKey.ALL_HIGH]
    assert list(found(taken(SOUND), SIX)) == [PatternKey.NOTHING_STANDS_OUT]


# If this failed, a cylinder full of carbon would be praised.
def test_one_high() -> None:
    assert told(taken(low(c4=172))) == {PatternKey.HIGH: ("4",)}


# If this failed, slow rings would not be mentioned, or a bad valve called slow rings.
def test_first_strokes() -> None:
    firsts = dict.fromkeys("123456", 90.0)
    assert told(taken(SOUND, firsts=firsts)) == {PatternKey.NOTHING_STANDS_OUT: tuple("123456")}
    assert told(taken(SOUND, firsts={**firsts, "3": 70})) == {PatternKey.FIRST_LOW_CLIMBS: ("3",)}
    stays = told(taken(low(c3=120), firsts={**firsts, "3": 70}))
    assert stays == {PatternKey.LOW_NOT_EXPLAINED: ("3",), PatternKey.FIRST_LOW_STAYS: ("3",)}


# If this failed, oil would say rings and the first stroke, weak evidence, a valve, on one sheet.
def test_a_first_stroke_is_silent_where_oil_names_the_path() -> None:
    firsts = {**dict.fromkeys("123456", 90.0), "3": 70}
    seen = told(taken(low(c3=120), {"3": 155}, firsts=firsts))
    assert PatternKey.LOW_BETTER_WITH_OIL in seen
    assert PatternKey.FIRST_LOW_STAYS not in seen


# If this failed, a first stroke would be called low beside one sibling, which may itself be the odd one.
def test_first_strokes_need_siblings() -> None:
    assert told(taken(SOUND, firsts={"3": 60, "1": 90})) == {PatternKey.NOTHING_STANDS_OUT: tuple("123456")}


# If this failed, the volume of the oil would be taken for worn rings.
def test_wet_up_by_the_oil_alone_on_sound_cylinders() -> None:
    seen = told(taken(SOUND, {"1": 158, "2": 158}))
    assert seen == {PatternKey.WET_OIL_VOLUME: ("1", "2"), PatternKey.NOTHING_STANDS_OUT: tuple("123456")}


# If this failed, a tablespoon in a small chamber would be called rings.
def test_oil_is_counted_net_of_its_volume_where_that_is_known() -> None:
    size = Geometry(
        bore=si(92, "mm", Dimension.LENGTH), stroke=si(98, "mm", Dimension.LENGTH), compression_ratio=9.0
    )  # 651.5 cc over 8: a clearance of 81.4 cc, by hand

    def oiled(final: float, cc: float) -> OilSays:
        wet = Pull(cylinder="3", kind=Kind.WET, final=reading(final, "psi"), oil=measured(cc, "cc", Dimension.VOLUME))
        test = pulled(*pulls(low(c3=120)), wet)
        judgement = judge(test, sheet=replace(SIX, geometry=size))
        keys = {each.key for each in patterns(judgement, test, replace(SIX, geometry=size))}
        for key, says in {
            PatternKey.LOW_BETTER_WITH_OIL: OilSays.CLEARLY_BETTER,
            PatternKey.LOW_OIL_CHANGES_LITTLE: OilSays.LITTLE,
        }.items():
            if key in keys:
                return says
        return OilSays.UNDECIDED

    # 10 cc is 12 % of the clearance and raises a sound cylinder by about 17 %: 140/120 is then hardly more than volume.
    assert oiled(140, 10) is OilSays.LITTLE
    assert oiled(140, 4) is OilSays.UNDECIDED
    assert oiled(160, 4) is OilSays.CLEARLY_BETTER
    assert oiled(160, 20) is OilSays.UNDECIDED  # 25 %: a wet reading that says little, common practice


# If this failed, a raw ratio that oil alone can make would name rings, or one that nothing can hide name valves.
@pytest.mark.parametrize(
    ("wet", "key"),
    [
        (127, PatternKey.LOW_OIL_CHANGES_LITTLE),
        (130, PatternKey.LOW_NOT_EXPLAINED),
        (146, PatternKey.LOW_NOT_EXPLAINED),
        (150, PatternKey.LOW_BETTER_WITH_OIL),
    ],
)
def test_oil_as_read_where_nothing_is_known_of_it(wet: float, key: PatternKey) -> None:
    assert told(taken(low(c3=120), {"3": wet})) == {key: ("3",)}


# If this failed, a leak-down beside a good compression would open an engine whose piston was not at the top.
def test_compression_fine_and_leakdown_poor() -> None:
    assert told(taken(SOUND, leaks=[leak("3", 60)])) == {PatternKey.FINE_LEAKDOWN_POOR: ("3",)}
    assert told(taken(SOUND, leaks=[leak("3", 64)])) == {PatternKey.NOTHING_STANDS_OUT: tuple("123456")}


# If this failed, what was heard would not be told for what it means.
@pytest.mark.parametrize(
    ("heard", "key", "cylinders"),
    [
        ("crankcase", PatternKey.HEARD_CRANKCASE, ("3",)),
        ("intake", PatternKey.HEARD_INTAKE, ("3",)),
        ("exhaust", PatternKey.HEARD_EXHAUST, ("3",)),
        ("coolant", PatternKey.HEARD_COOLANT, ("3",)),
        ("cylinder 4", PatternKey.HEARD_CYLINDER, ("3", "4")),
    ],
)
def test_what_was_heard(heard: str, key: PatternKey, cylinders: tuple[str, ...]) -> None:
    assert told(taken(low(c3=120), leaks=[leak("3", 56, [heard])])) == {key: cylinders}


# If this failed, the small hiss of every ring gap would be told as a leak.
def test_a_hiss_in_a_sound_cylinder_is_no_leak() -> None:
    assert told(taken(SOUND, leaks=[leak("3", 75, ["crankcase"])])) == {PatternKey.NOTHING_STANDS_OUT: tuple("123456")}


# If this failed, a leak-down that was repeated because it was doubted would still be counted.
def test_the_last_leakdown_of_a_cylinder_counts() -> None:
    first, second = leak("3", 50, ["exhaust"]), replace(leak("3", 75), repeat=2)
    assert told(taken(low(c3=120), leaks=[first, second])) == {PatternKey.LOW_LEAKDOWN_GOOD: ("3",)}


# If this failed, two statements of which one is wrong would be believed together.
@pytest.mark.parametrize(
    ("held", "heard", "contradicts"),
    [
        (80, ["exhaust"], True),
        (55, ["nothing"], True),
        (70, ["nothing", "intake"], True),
        (55, ["intake"], False),
        (80, ["nothing"], False),
        (78, ["crankcase"], False),
    ],
)
def test_a_leakdown_that_contradicts_itself(held: float, heard: list[str], contradicts: bool) -> None:
    seen = told(taken(low(c3=120), leaks=[leak("3", held, heard)]))
    assert (PatternKey.LEAKDOWN_CONTRADICTS in seen) is contradicts


# If this failed, oil that says rings and air that says valve would each be told as if the other were not there.
@pytest.mark.parametrize(
    ("wet", "held", "heard", "disagree"),
    [
        (150, 55, ["exhaust"], True),
        (150, 78, [], True),
        (121, 55, ["crankcase"], True),
        (150, 55, ["crankcase", "exhaust"], False),
        (121, 55, ["intake"], False),
    ],
)
def test_oil_and_leakdown_that_disagree(wet: float, held: float, heard: list[str], disagree: bool) -> None:
    seen = told(taken(low(c3=120), {"3": wet}, [leak("3", held, heard)]))
    assert (PatternKey.OIL_AND_LEAKDOWN_DISAGREE in seen) is disagree


# If this failed, a cylinder would be blamed for having been cranked less.
def test_low_with_fewer_strokes() -> None:
    rows = [replace(each, strokes=4 if each.cylinder == "3" else 7) for each in pulls(low(c3=130))]
    assert told(pulled(*rows)) == {PatternKey.LOW_FEWER_STROKES: ("3",)}
    rows = [replace(each, strokes=7) for each in pulls(low(c3=130))]
    assert told(pulled(*rows)) == {PatternKey.LOW_NOT_EXPLAINED: ("3",)}


# If this failed, a final alone would name a leak path.
def test_a_final_alone_names_no_path() -> None:
    for dry in (low(c3=120), low(c3=120, c4=119), low(c1=100, c6=90)):
        seen = told(taken(dry))
        assert list(seen) == [PatternKey.LOW_NOT_EXPLAINED]


# If this failed, each of several bad cylinders would not be told for itself.
def test_several_patterns_at_once() -> None:
    test = taken(low(c1=120, c6=125), {"1": 150, "6": 126}, [leak("1", 60, ["crankcase"])])
    assert told(test) == {
        PatternKey.HEARD_CRANKCASE: ("1",),
        PatternKey.LOW_BETTER_WITH_OIL: ("1",),
        PatternKey.LOW_OIL_CHANGES_LITTLE: ("6",),
    }


# If this failed, a reading with nothing beside it would be called fine.
def test_one_reading_has_nothing_to_compare_with() -> None:
    assert told(taken({"1": 150.0}), None) == {PatternKey.NOTHING_TO_COMPARE: ("1",)}
    assert told(taken({"1": None}), None) == {}
    assert told(pulled(leak("1", 60))) == {}


# If this failed, readings that conflict would be told as a place.
def test_conflicting_readings_cannot_be_placed() -> None:
    rows = [*pulls(SOUND), Pull(cylinder="3", final=reading(120, "psi"))]
    assert told(pulled(*rows)) == {PatternKey.CANNOT_TELL: ("3",)}


# If this failed, "nothing stands out" would hide a rule that is not met.
def test_nothing_stands_out_carries_the_rules_that_are_not_met() -> None:
    sheet = replace(SIX, limits=Limits(spread=si(3, "psi")))
    seen = found(taken(SOUND), sheet)[PatternKey.NOTHING_STANDS_OUT]
    assert [each.rule for each in seen.evidence if isinstance(each, RuleOutcome)] == ["sheet_spread"]
