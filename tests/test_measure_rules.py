"""Rules, and what becomes of them where readings are missing, spoiled, wet or on the limit."""

from __future__ import annotations

import pytest
from tests.pulled import judged, named, outcomes, pulled, pulls, reading, rule, sheet, si

from ringtrue.compression import Kind, Pull
from ringtrue.engine import Limits
from ringtrue.errors import SettingsRefused
from ringtrue.measure import DEFAULT, Outcome, Place, judge, thresholds
from ringtrue.quantities import PaGauge
from ringtrue.sources import SOURCES

MET, NOT_MET, NOT_JUDGED = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_JUDGED
SPREAD_RULES = {
    "mean_deviation_target",
    "mean_deviation_limit",
    "cylinder_deviation_limit",
    "lowest_over_highest",
    "below_mean",
}
GENERAL = [
    "mean_deviation_target",
    "mean_deviation_limit",
    "cylinder_deviation_limit",
    "first_stroke_half",
    "lowest_over_highest",
    "below_mean",
]


# If this failed, a figure exactly on a limit would fall on the wrong side of it, or on either side by its unit.
@pytest.mark.parametrize("unit", ["psi", "bar", "kPa", "kgf/cm2"])
@pytest.mark.parametrize(
    ("finals", "firsts", "key", "outcome"),
    [
        ([10.1, 9.9], [], "mean_deviation_target", NOT_MET),  # exactly 1 %
        ([10.09, 9.91], [], "mean_deviation_target", MET),
        ([11.0, 9.0], [], "mean_deviation_limit", NOT_MET),  # exactly 10 %
        ([10.9, 9.1], [], "mean_deviation_limit", MET),
        ([10.0, 10.0, 10.0, 10.0, 8.75], [], "cylinder_deviation_limit", NOT_MET),  # 1.0 of 9.75 is 10.3 %
        ([9.9, 9.9, 9.9, 11.0, 9.3], [], "cylinder_deviation_limit", NOT_MET),  # exactly 10 %, above
        ([9.9, 9.9, 9.9, 10.9, 9.4], [], "cylinder_deviation_limit", MET),
        ([10.5, 10.5, 11.0, 8.0], [], "below_mean", NOT_MET),  # exactly 20 %
        ([10.5, 10.5, 10.9, 8.1], [], "below_mean", MET),
        ([10.0, 7.5], [], "lowest_over_highest", MET),  # exactly three quarters
        ([10.0, 10.0], [5.0, 6.1], "first_stroke_half", MET),  # exactly half
        ([10.0, 10.0], [4.9, 6.1], "first_stroke_half", NOT_MET),
    ],
)
def test_limits_and_which_side_is_theirs(
    finals: list[float], firsts: list[float], key: str, outcome: Outcome, unit: str
) -> None:
    assert rule(judged(finals, firsts, unit=unit), key).outcome is outcome


# If this failed, the sheet's own limits would turn away an engine that is exactly on them.
@pytest.mark.parametrize("unit", ["psi", "bar"])
def test_the_sheets_own_limits_are_met_on_the_limit(unit: str) -> None:
    own = Limits(minimum=PaGauge(si(9.6, unit)), spread=si(2.4, unit), lowest_over_highest=0.8)
    on = judged([12.0, 9.6], unit=unit, sheet=sheet(2, own))
    off = judged([12.0, 9.5], unit=unit, sheet=sheet(2, own))
    keys = ["sheet_minimum", "sheet_spread", "sheet_lowest_over_highest"]
    assert [each.rule for each in on.rules] == [*GENERAL, *keys]
    assert {rule(on, key).outcome for key in keys} == {MET}
    assert {rule(off, key).outcome for key in keys} == {NOT_MET}
    assert {rule(on, key).source for key in keys} == {"service data"}
    assert rule(off, "sheet_minimum").cylinder == "2"


# If this failed, a reader would not find every rule, or would find one whose source nobody can look up.
def test_the_six_general_rules_always_stand() -> None:
    for series in (judged([150, 148, 152]), judged([150]), judged([None, None])):
        assert [each.rule for each in series.rules] == GENERAL
        assert all(each.source in SOURCES for each in series.rules)
        assert [each.level for each in series.rules] == ["target", *["limit"] * 5]


# If this failed, nobody would know that a bare comparison was made.
def test_without_a_gauge_the_reason_says_so() -> None:
    series = judged([150, 148, 152], [90, 90, 90])
    assert all("gauge not known" in each.reason for each in series.rules)
    assert not series.gauge_known
    assert all(each.interval is None for each in series.cylinders)


# If this failed, an engine with a cylinder nobody tried would be passed.
def test_a_missing_cylinder_leaves_whole_engine_rules_unjudged() -> None:
    series = judged([150, 148, None, 152], [90, 90, None, 90])
    assert series.not_read == ("3",)
    assert series.count == 3
    assert outcomes(series) == dict.fromkeys(GENERAL, NOT_JUDGED) | {"first_stroke_half": MET}
    assert rule(series, "lowest_over_highest").reason == "cylinder 3 not read"
    assert series.cylinders[2].place is Place.NOT_READ


# If this failed, a cylinder that only the sheet names would be forgotten.
def test_the_sheet_names_what_is_missing_and_gives_the_order() -> None:
    series = judged({"4": 150, "1": 148}, sheet=sheet(["1", "2", "3", "4"]))
    assert [each.cylinder for each in series.cylinders] == ["1", "2", "3", "4"]
    assert [each.cylinder for each in series.running] == ["4", "1"]
    assert rule(series, "below_mean").reason == "cylinders 2, 3 not read"


# If this failed, a fault that is plain already would wait for a reading that cannot mend it.
def test_what_was_read_may_already_break_a_rule() -> None:
    series = judged([150, 60, None], sheet=sheet(3, Limits(minimum=PaGauge(si(100, "psi")))))
    broken = {key for key, outcome in outcomes(series).items() if outcome is NOT_MET}
    assert broken == {*SPREAD_RULES, "sheet_minimum"}


# If this failed, one reading would be said to be like itself.
def test_one_reading_has_no_spread_and_is_not_judged_by_it() -> None:
    series = judged([150], [90], sheet=sheet(1, Limits(minimum=PaGauge(si(120, "psi")))))
    assert (series.mean_deviation, series.mean_deviation_percent, series.lowest_over_highest) == (0.0, 0.0, 1.0)
    assert {key for key, outcome in outcomes(series).items() if outcome is NOT_JUDGED} == SPREAD_RULES
    assert rule(series, "sheet_minimum").outcome is MET
    assert rule(series, "first_stroke_half").outcome is MET


# If this failed, oil, which differs from cylinder to cylinder, would judge how alike the cylinders are.
def test_a_wet_series_judges_no_spread() -> None:
    limits = Limits(minimum=PaGauge(si(120, "psi")), spread=si(5, "psi"), adopt=("CT-04",))
    found = judge(pulled(*pulls([150, 90, 150], kind=Kind.WET)), sheet=sheet(3, limits))
    assert found.main is found.wet
    assert found.wet is not None
    outcome = outcomes(found.wet)
    assert {outcome[key] for key in (*SPREAD_RULES, "sheet_spread", "CT-04")} == {NOT_JUDGED}
    # Even oil did not lift cylinder 2 to the minimum; that it lifted the others proves nothing.
    assert outcome["sheet_minimum"] is NOT_MET
    lifted = judge(pulled(*pulls([150, 130, 150], kind=Kind.WET)), sheet=sheet(3, limits)).wet
    assert lifted is not None
    assert rule(lifted, "sheet_minimum").reason == "wet series: oil raises the readings"


# If this failed, a first stroke that began half-way up would be held against the rings.
def test_a_spoiled_first_stroke_is_in_no_figure() -> None:
    first, second = pulls([150, 150], [30, 90])
    spoiled = Pull(cylinder="1", first=first.first, final=first.final, first_spoiled=True)
    series = judge(pulled(spoiled, second)).dry
    assert series is not None
    assert series.cylinders[0].first_over_final is None
    assert series.cylinders[0].first_spoiled
    found = rule(series, "first_stroke_half")
    assert (found.outcome, found.cylinder) == (MET, "2")
    assert found.value == pytest.approx(0.6)
    assert found.reason == "gauge not known; first stroke of cylinder 1 spoiled; a long hose lowers the first stroke"


# If this failed, nobody would be told that no first stroke was there to judge by.
def test_no_first_stroke_is_not_judged() -> None:
    found = rule(judged([150, 150]), "first_stroke_half")
    assert (found.outcome, found.value, found.reason) == (NOT_JUDGED, None, "no first stroke to judge by")


# If this failed, an engine in which nothing compresses would pass for one whose cylinders are alike.
def test_an_engine_of_zeros() -> None:
    series = judged([0, 0, 0, 0], [0, 0, 0, 0], sheet=sheet(4, Limits(minimum=PaGauge(si(100, "psi")))))
    assert outcomes(series) == dict.fromkeys(GENERAL, NOT_JUDGED) | {"sheet_minimum": NOT_MET}
    assert rule(series, "below_mean").reason == "every final is zero"
    assert (series.mean, series.mean_deviation_percent, series.lowest_over_highest) == (0.0, 0.0, None)
    assert {each.place for each in series.cylinders} == {Place.CANNOT_TELL}


# If this failed, the shop's own limit would not be used, or would be passed off as the manual's.
def test_a_shop_sets_its_own_limits() -> None:
    test = pulled(*pulls([160, 150, 125]))
    own = judge(test, thresholds=thresholds({"lowest_over_highest": 0.8})).dry
    general = judge(test, thresholds=DEFAULT).dry
    assert own is not None
    assert general is not None
    assert (rule(own, "lowest_over_highest").outcome, rule(own, "lowest_over_highest").source) == (
        NOT_MET,
        "shop settings",
    )
    assert (rule(general, "lowest_over_highest").outcome, rule(general, "lowest_over_highest").source) == (MET, "CT-01")


# If this failed, a slip in the settings would make a rule that nothing can meet, or that nothing can break.
@pytest.mark.parametrize(
    ("key", "limit", "says"),
    [
        ("lowest_over_highest", 75.0, "a fraction above 0 and up to 1"),
        ("below_mean", 0.0, "a percentage above 0 and up to 100"),
        ("mean_deviation_target", float("nan"), "a percentage above 0"),
        ("no_such_rule", 1.0, "use one of: mean_deviation_target"),
        ("CT-07", 1.0, "there is no such rule whose limit a shop may set"),
    ],
)
def test_limits_that_make_no_sense_are_refused(key: str, limit: float, says: str) -> None:
    with pytest.raises(SettingsRefused) as refused:
        thresholds({key: limit})
    assert says.lower() in str(refused.value).lower()


# If this failed, rules that answer different questions would be shown as contradicting each other.
def test_disagreements_are_about_one_question() -> None:
    # By hand: mean 142.5, cylinder 4 is 15.8 % below it; lowest over highest 0.8.
    series = judged([150, 150, 150, 120])
    assert set(series.disagreements) == {
        ("lowest_over_highest", "cylinder_deviation_limit"),
        ("below_mean", "cylinder_deviation_limit"),
    }


# If this failed, of two readings of one pull one would be believed without anybody having chosen it.
def test_two_readings_of_one_pull_are_not_judged() -> None:
    one, two = pulls([150, 150])
    again = Pull(cylinder="1", final=reading(100, "psi"))
    series = judge(pulled(one, two, again)).dry
    assert series is not None
    assert {each.outcome for each in series.rules} == {NOT_JUDGED}
    assert rule(series, "below_mean").reason == "two readings of cylinder 1"
    assert series.cylinders[0].place is Place.CANNOT_TELL


# If this failed, a rule about one cylinder would name another one.
@pytest.mark.parametrize(
    ("finals", "key", "cylinder"),
    [
        ({"a": 150, "b": 130, "c": 152}, "lowest_over_highest", "b"),
        ({"a": 150, "b": 180, "c": 152}, "cylinder_deviation_limit", "b"),
        ({"a": 150, "b": 130, "c": 152}, "below_mean", "b"),
        ({"a": 150, "b": 130, "c": 152}, "mean_deviation_limit", None),
        ({"a": 150, "b": 180, "c": 148}, "sheet_spread", "b"),
        ({"a": 150, "b": 120, "c": 152}, "sheet_spread", "b"),
    ],
)
def test_the_worst_cylinder_is_named(finals: dict[str, float], key: str, cylinder: str | None) -> None:
    series = judged(finals, sheet=sheet(list(named(finals)), Limits(spread=si(10, "psi"))))
    assert rule(series, key).cylinder == cylinder
