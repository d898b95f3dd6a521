"""An explanation in words: plain odds, no claim beyond them, every fact with its own sentence."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.explained import ALL_SOUND, EIGHT, RINGS, SIX, answered, shares, sound, unread
from tests.report.examples import SHEETS, sheet_of

from ringtrue.compression import Band
from ringtrue.diagnosis.causes import BankCause, Cause, Check, EngineCause
from ringtrue.diagnosis.explanation import (
    Because,
    CheckResult,
    Contradiction,
    CylinderExplanation,
    Explanation,
    Item,
    NextCheck,
    Slip,
    Unsure,
)
from ringtrue.diagnosis.next_check import RESULTS
from ringtrue.engine import BuildSheet, Geometry, Ignition, Layout
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import (
    CylinderWords,
    Explained,
    answer_name,
    bank_cause_name,
    because_sentence,
    cause_label,
    cause_name,
    check_cautions,
    check_words,
    contradiction_sentences,
    engine_cause_name,
    item_name,
    leak_area_sentence,
    odds,
    read_text,
    result_text,
    without_sheet,
)

PSI = find_unit("psi", Dimension.PRESSURE)


def told(found: Explanation, sheet: BuildSheet | None = None, only: str = "") -> Explained:
    """Return an explanation in words, in psi."""
    return Explained(found, PSI, sheet, only)


def of(each: CylinderExplanation) -> CylinderWords:
    """Return one cylinder of the six in words."""
    return told(replace(SIX, cylinders=(each,))).cylinder(each)


# ------------------------------------------------------------------------------------------------ odds


# If this failed, a builder would be told other odds than were found. Derived by hand: the nearest by log odds, for
# instance of 0.85 (log odds 1.73) 4 in 5 (1.39) rather than 9 in 10 (2.20).
@pytest.mark.parametrize(
    ("probability", "says"),
    [
        (0.8, "about 4 in 5"),
        (0.85, "about 4 in 5"),
        (0.95, "about 19 in 20"),
        (0.5, "about 1 in 2"),
        (0.012, "about 1 in 50"),
        (0.0099, "less than 1 in 100"),
        (0.0, "less than 1 in 100"),
        (0.991, "more than 99 in 100"),
        (1.0, "more than 99 in 100"),
    ],
)
def test_odds(probability: float, says: str) -> None:
    assert odds(probability) == says


def as_number(says: str) -> float:
    """Return odds as the number that they stand for."""
    if says.startswith("about"):
        part, whole = re.findall(r"\d+", says)
        return int(part) / int(whole)
    return 0.005 if says.startswith("less") else 0.995


# If this failed, surer odds could be told of what is less sure, or a certainty of anything.
@given(st.floats(0, 1), st.floats(0, 1))
def test_odds_keep_their_order_and_claim_no_certainty(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 0 < as_number(odds(low)) <= as_number(odds(high)) < 1
    assert abs(as_number(odds(low)) - low) <= 0.1


# ------------------------------------------------------------------------------------------------ names


# If this failed, a cause, an answer, a check, a result, a slip or a piece of evidence would have no words,
# or another's.
def test_everything_has_words_of_its_own() -> None:
    groups = [
        [cause_name(cause) for cause in Cause],
        [cause_label(says) for says in (*Cause, *Unsure)],
        [answer_name(says) for says in (*Cause, *Unsure)],
        [engine_cause_name(cause) for cause in EngineCause],
        [bank_cause_name(cause) for cause in BankCause],
        [item_name(item) for item in Item],
        *([result_text(check, result) for result in results] for check, results in RESULTS.items()),
        [check_words(NextCheck(check, "3", 0.1, 5.0, ()), None).title for check in Check],
        [contradiction_sentences(Contradiction("3", (Item.FINAL,), slip), PSI)[1] for slip in Slip],
    ]
    for words in groups:
        assert len(set(words)) == len(words)
        assert all(words)


# If this failed, a gasket leak would not say to which cylinder.
def test_a_gasket_leak_names_its_neighbour() -> None:
    assert cause_name(Cause.GASKET_NEIGHBOUR, "6") == "head gasket or a crack to cylinder 6"
    assert cause_name(Cause.RINGS, "6") == "rings or bore"
    assert "head gasket or a crack to cylinder 6, about 1 in 20" in of(RINGS).also_possible


# ------------------------------------------------------------------------------------------------ one cylinder


# If this failed, a builder would not learn what is likeliest, what else may be, what was ruled out by what, and what
# would settle it. Figures as hand-made.
def test_what_is_said_of_a_cylinder() -> None:
    words = told(SIX).cylinder(RINGS)
    assert words.most_likely == "Rings or bore, about 4 in 5."
    assert words.also_possible.startswith("Exhaust valve or its seat, about 1 in 10; head gasket")
    assert words.second == "Beside the main cause there may be exhaust valve or its seat, about 1 in 5."
    assert words.leak == (
        "Effective area of all its leaks 0.62 mm2 (0.40 to 0.95 mm2, 9 times in 10): open area times discharge "
        "coefficient."
    )
    assert words.because == (
        "The air heard at the oil filler or dipstick speaks strongly for rings or bore.",
        "The leak-down of 24.0 % speaks for rings or bore.",
        "The wet test (1.18 times the dry final) speaks a little for rings or bore.",
        "The oily plug changes little.",
        "The final of 121.0 psi speaks a little against rings or bore, and for a leak.",
    )
    assert words.ruled_out[1] == (
        "The leak-down of 24.0 %: nothing wrong with it; not filling (lobe, lifter, pushrod or lash)."
    )
    assert (words.settle_title, words.settle) == ("Would settle it", "Leak-down on cylinder 5, 15 min.")


# If this failed, a cause would be told as possible and as ruled out at once: the exhaust valve stands at 1 in 10.
def test_what_is_possible_is_not_ruled_out() -> None:
    assert "Exhaust valve" in of(RINGS).also_possible
    assert not any("exhaust valve" in line for line in of(RINGS).ruled_out)


# If this failed, an answer that names no cause would be told as if it named one. The numbers are the answer's own.
@pytest.mark.parametrize(
    ("says", "causes", "summary", "most_likely"),
    [
        (
            Unsure.LEAK_PATH_UNKNOWN,
            {Cause.RINGS: 0.5, Cause.EXHAUST_VALVE: 0.45},
            "Cylinder 3: a leak, path unknown, about 19 in 20.",
            "A leak, about 19 in 20; nothing read so far says by which path.",
        ),
        (
            Unsure.CHARGE_OR_TIMING,
            {Cause.NOT_FILLING: 0.5, Cause.LATE_CLOSING: 0.45},
            "Cylinder 3: charge or timing, cannot tell which, about 19 in 20.",
            "Too little air gets in or stays in, about 19 in 20; charge or timing, cannot tell which.",
        ),
        (
            Unsure.UNDECIDED,
            {Cause.NOT_FILLING: 0.5, Cause.RINGS: 0.45},
            "Cylinder 3: undecided; the likeliest is not filling (lobe, lifter, pushrod or lash), about 19 in 20.",
            "No single cause; the likeliest is not filling (lobe, lifter, pushrod or lash), about 1 in 2.",
        ),
    ],
)
def test_answers_that_name_no_cause(says: Unsure, causes: dict[Cause, float], summary: str, most_likely: str) -> None:
    each = answered("3", says, causes, 0.95)
    found = replace(SIX, cylinders=(each,))
    assert summary in told(found).summary()
    assert of(each).most_likely.startswith(most_likely)
    assert "most likely" not in told(found).summary()[0]


# If this failed, a final alone would name the path of a leak (common practice: only oil, air and the ear do).
@pytest.mark.parametrize("item", [Item.FINAL, Item.FIRST, Item.REPEATS, Item.EARLIER])
@pytest.mark.parametrize("cause", [Cause.RINGS, Cause.INTAKE_VALVE, Cause.EXHAUST_VALVE, Cause.GASKET_COOLANT])
@pytest.mark.parametrize("says", [Unsure.LEAK_PATH_UNKNOWN, Unsure.UNDECIDED, Cause.MISREAD])
@pytest.mark.parametrize("factor", [0.0, 0.4, 1.0, 40.0, float("inf")])
def test_pressures_name_no_path(item: Item, cause: Cause, says: Cause | Unsure, factor: float) -> None:
    line = because_sentence(Because(item, 0.9, (), factor, cause, ()), says, PSI)
    assert not any(word in line for word in ("rings", "valve", "gasket"))


# If this failed, a check that leaves it open would be told to settle it: 0.6 x 0.6 is far from 0.8.
def test_a_check_that_leaves_it_open_does_not_settle_it() -> None:
    each = EIGHT.cylinders[1]
    assert told(EIGHT).cylinder(each).settle_title == "Would tell most"
    alone = replace(EIGHT, next=())
    assert told(alone).cylinder(each).settle == "No check on the list tells enough for its minutes."


# If this failed, the check that is best for another cylinder would be told to settle this one.
def test_each_cylinder_has_its_own_check() -> None:
    assert told(EIGHT).cylinder(EIGHT.cylinders[3]).settle.startswith("Valve lift of cylinder L4")
    assert told(EIGHT).cylinder(EIGHT.cylinders[7]).settle.startswith("Cam timing, 40 min")


# If this failed, an interval would be rounded to look surer than it is, or a leak be shown with idle digits.
@pytest.mark.parametrize(
    ("area", "says"),
    [
        (Band(0.0, 0.0, 0.0), "0.0 mm2 (0.0 to 0.0 mm2"),
        (Band(0.034e-6, 0.012e-6, 0.0461e-6), "0.034 mm2 (0.012 to 0.047 mm2"),
        (Band(3.26e-6, 1.04e-6, 9.51e-6), "3.3 mm2 (1.0 to 9.6 mm2"),
    ],
)
def test_leak_areas(area: Band, says: str) -> None:
    assert f"leaks {says}, 9 times in 10)" in leak_area_sentence(area)


# ------------------------------------------------------------------------------------------------ the engine


# If this failed, a sound engine would send its builder looking.
def test_a_sound_engine_is_left_alone() -> None:
    lines = told(ALL_SOUND).summary()
    assert lines == (
        "All cylinders: sound as far as these readings tell, each about 49 in 50 or better.",
        "Nothing here is worth taking apart: stop.",
    )
    assert told(ALL_SOUND).in_short() == ()
    assert told(ALL_SOUND).odd == ()


# If this failed, a cylinder that nobody read would be called sound, or an engine with one be called finished.
def test_what_was_not_read_is_not_called_sound() -> None:
    found = replace(ALL_SOUND, cylinders=(sound("1"), sound("2"), unread("3"), unread("4")))
    lines = told(found).summary()
    assert lines[0].startswith("Cylinders 1 and 2: sound as far as")
    assert lines[1] == "Cylinders 3 and 4: not read, and nothing is said of them."


# If this failed, a cylinder with nothing to compare it with would be called sound.
def test_one_cylinder_alone_is_not_called_sound() -> None:
    found = replace(ALL_SOUND, cylinders=(sound("1"), unread("2")))
    assert told(found).summary()[0] == "Cylinder 1: nothing can be said of one cylinder alone."


# If this failed, what all cylinders share, or a whole bank, would not be told.
def test_the_engine_as_a_whole() -> None:
    lines = told(EIGHT).engine()
    assert lines[0] == "Most likely cam timing, about 1 in 2."
    assert lines[1].startswith("Also possible: throttle or choke not wide open, about 1 in 5; nothing that all")
    assert lines[2:] == (
        "Bank 2: its own cam timing, about 1 in 3.",
        "Bank 2: its head gasket, about 1 in 20.",
    )
    assert "All cylinders together: most likely cam timing, about 1 in 2." in told(EIGHT).summary()
    assert told(replace(SIX, engine=())).engine() == ()


# If this failed, contradictory readings would be averaged away, or nobody would know what to read again (trade: a
# leak-down of 0 % with a hiss).
def test_a_contradiction_names_its_slip_and_what_to_read_again() -> None:
    ((says, likeliest, again),) = told(EIGHT).contradictions()
    assert says == (
        "Cylinder R2: the leak-down of 0.0 % and the air heard at the exhaust contradict each other, and are left "
        "aside until they have been read again."
    )
    assert likeliest.startswith("Likeliest: the air was heard at a hose, a fitting or the regulator")
    assert again.startswith("Repeat the leak-down with soapy water")
    alone = contradiction_sentences(Contradiction("2", (Item.REPEATS,), Slip.FINAL_MISREAD), PSI)
    assert alone[0] == (
        "Cylinder 2: what the repeats show contradicts itself, and is left aside until it has been read again."
    )


# If this failed, one cylinder asked for would bring the others with it.
def test_one_cylinder_alone() -> None:
    alone = told(EIGHT, only="L2")
    assert [each.cylinder for each in alone.odd] == ["L2"]
    assert alone.summary() == ("Cylinder L2: a leak, path unknown, about 19 in 20.",)
    assert [words.title for words in alone.next_checks()] == ["Wet test on cylinder L2 (6 min)", "Cam timing (40 min)"]
    assert alone.contradictions() == ()


# ------------------------------------------------------------------------------------------------ checks


# If this failed, somebody could be hurt in a check that was proposed without a word of it.
@pytest.mark.parametrize("check", list(Check))
@pytest.mark.parametrize("hazards", [(), ("hybrid",)])
def test_every_check_carries_its_cautions(check: Check, hazards: tuple[str, ...]) -> None:
    sheet = replace(SHEETS["inline 4"], hazards=hazards)
    assert all(len(text) > 40 for text in check_cautions(check, sheet))
    text = " ".join(check_cautions(check, sheet))
    if check in {Check.LEAK_DOWN, Check.VALVE_LIFT, Check.CAM_TIMING}:
        assert "bar" in text
        assert ("high voltage can kill" in text) == bool(hazards)
    if check is Check.WET_PULL:
        assert "never with compression ignition" in text


# If this failed, the wet test would be proposed without its dose: 88.0 cc of clearance, a twentieth is 4.4 cc, by hand.
def test_a_wet_test_has_its_dose() -> None:
    size = Geometry(bore=0.092, stroke=0.098, compression_ratio=8.4)
    sheet = BuildSheet(
        name="six",
        layout=Layout.INLINE,
        cylinders=tuple("123456"),
        geometry=size,
        ignition=Ignition.SPARK,
    )
    words = check_words(NextCheck(Check.WET_PULL, "3", 0.4, 6.0, ()), sheet)
    assert "Oil: 4.4 cc (0.9 teaspoon of 5 cc), never more than 13.2 cc." in words.do


# If this failed, a result would mean something else in words than in numbers, or one that hardly comes crowd the rest.
def test_results_say_what_they_would_mean() -> None:
    words = told(SIX).next_checks()[0]
    assert words.title == "Leak-down on cylinder 5 (15 min)"
    assert [each.result for each in words.results] == [
        "air at the oil filler or dipstick",
        "air at the exhaust",
        "air at the next plug hole",
        "it holds",
    ]
    assert words.results[0].means == "rings or bore, about 49 in 50"
    assert words.results[2].means == "head gasket or a crack to cylinder 6, about 9 in 10"
    assert words.why.startswith(
        "Leak-down on cylinder 5, 0.42 bit for 15 min: air at the oil filler or dipstick (about"
    )
    rare = NextCheck(Check.CAM_TIMING, "", 0.1, 40.0, (CheckResult("off", 0.01, EngineCause.CAM_TIMING, 0.9),))
    assert len(check_words(rare, None).results) == 1


# If this failed, a sheet that cannot be used would be told as missing, or a two-stroke be taken for a four-stroke.
def test_what_a_sheet_would_add() -> None:
    assert "Say --sheet" in without_sheet(None, "")[0]
    assert len(without_sheet(None, "")) == 1
    why = without_sheet(sheet_of(Layout.INLINE, "12"), "No stroke.")
    assert why[0].endswith("usual sizes. No stroke.")
    two = without_sheet(replace(sheet_of(Layout.INLINE, "12"), cycle=2), "")
    assert "read valve as port, reed or crankcase seal" in two[1]


# If this failed, a reading would be told with another figure or in another unit. psi from 6894.757 Pa, by hand.
@pytest.mark.parametrize(
    ("item", "read", "words", "says"),
    [
        (Item.FINAL, 689475.7, (), "the final of 100.0 psi"),
        (Item.FIRST, 0.91, (), "the first stroke (0.91 times the others' first over final)"),
        (Item.SPEED, 0.8, (), "the cranking speed (0.80 times the others')"),
        (Item.WET, None, (), "the wet test"),
        (Item.LEAKDOWN, 0.2001, (), "the leak-down of 20.01 %"),
        (Item.LIFT, 0.0012, (), "the measured valve lift (1.20 mm lost)"),
        (Item.PLUG, None, ("oily",), "the oily plug"),
        (Item.HEARD, None, ("intake", "cylinder 4"), "the air heard at the intake and at the plug hole of cylinder 4"),
        (Item.REPEATS, 689475.7, (), "what the repeats show"),
        (Item.EARLIER, 0.97, (), "what earlier tests of this engine show"),
    ],
)
def test_what_was_read(item: Item, read: float | None, words: tuple[str, ...], says: str) -> None:
    assert read_text(item, read, words, PSI) == says


# If this failed, odds that move nothing would be told as evidence. Undecided, its factor is about no one cause.
def test_undecided_says_what_each_reading_points_to() -> None:
    line = because_sentence(Because(Item.LEAKDOWN, 0.02, (), 3.0, Cause.NOT_FILLING, ()), Unsure.UNDECIDED, PSI)
    assert line == "The leak-down of 2.0 % speaks most for not filling (lobe, lifter, pushrod or lash)."
    flat = Because(Item.PLUG, None, ("dry",), 1.0, Cause.RINGS, ())
    assert because_sentence(flat, Unsure.UNDECIDED, PSI) == "The dry plug changes little."


# If this failed, the odds of these hand-made cylinders would not be odds, and the tests here would test nothing real.
def test_hand_made_odds_are_odds() -> None:
    for found in (SIX, EIGHT, ALL_SOUND):
        for each in found.cylinders:
            assert sum(odd.probability for odd in each.causes) == pytest.approx(1, abs=1e-12)
    assert shares({Cause.RINGS: 0.4})[0].cause is Cause.SOUND
