"""What an engine should show, in words: of an invented engine (tests/expectations.py), texts derived by hand."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.expectations import CHANGES, INPUTS, PSI, V8, apart, effect, psi

from ringtrue.compression import Band, ChangeEffect, Conditions, Expectation, Gauge, InputEffect
from ringtrue.intake import parse_conditions, parse_gauge, read_sheet
from ringtrue.physics.expecting import CHANGES as ASKED_CHANGES
from ringtrue.physics.inputs import inputs_of
from ringtrue.units import Dimension, find_unit, units_of
from ringtrue.wording import (
    Expected,
    change_amount,
    change_title,
    explained_percent,
    gauge_sentence,
    how_to_measure,
    input_ends,
    input_title,
    input_units,
    ratio_words,
)
from ringtrue.wording.bands import band_words

STORY = Path(__file__).parents[1] / "src" / "ringtrue" / "cli" / "story"
UNITS = {unit.name: unit for unit in units_of(Dimension.PRESSURE)}


def words(found: Expectation = V8, unit: str = "psi") -> Expected:
    pressure = find_unit(unit, Dimension.PRESSURE)
    return Expected(found, pressure, input_units(None, Conditions(), pressure))


# ------------------------------------------------------------------------------------------------ names


# If this failed, a person would meet a key of the program, or a fault, in place of a trade word.
@pytest.mark.parametrize("gauge", [None, Gauge("bare")])
@pytest.mark.parametrize("thin", [False, True])
def test_every_input_of_physics_has_words(gauge: Gauge | None, thin: bool) -> None:
    sheet, _ = read_sheet(STORY / "launch-six.toml")
    sheet = replace(sheet, camshaft=type(sheet.camshaft)()) if thin else sheet
    for item in inputs_of(sheet, gauge, Conditions()):
        assert input_title(item.key) != item.key or item.key.isalpha()
        assert "_" not in input_title(item.key)
        if item.measured is not None:
            assert how_to_measure(item.key), item.key


# If this failed, an input or a change that somebody adds would be printed raw, and nobody would notice.
def test_an_unknown_key_is_a_fault_of_the_program() -> None:
    with pytest.raises(KeyError):
        input_title("phase_of_the_moon")
    with pytest.raises(KeyError):
        how_to_measure("phase_of_the_moon")
    with pytest.raises(KeyError):
        words(replace(V8, inputs=(effect("phase_of_the_moon", (0, 1), (150, 200)),))).inputs()
    with pytest.raises(KeyError):
        change_title(ChangeEffect("phase_of_the_moon", 1.0, Band(1, 1, 1)))


# If this failed, a change that physics works out would have no name.
def test_every_change_of_physics_has_words() -> None:
    titles = [change_title(ChangeEffect(key, amount, Band(1, 1, 1))) for key, amount in ASKED_CHANGES.items()]
    assert titles == [
        "compression ratio up by 1",
        "intake closing 10 deg later",
        "1500 m (4,900 ft) higher",
        "cranking 50 rpm slower",
        "leaking 0.6 mm2 more",
    ]


# If this failed, the opposite of a change would be told as the change.
def test_a_change_has_its_direction() -> None:
    titles = [change_title(ChangeEffect(each.key, -each.amount, each.ratio)) for each in CHANGES]
    assert titles == [
        "compression ratio down by 1",
        "intake closing 10 deg earlier",
        "1500 m (4,900 ft) lower",
        "cranking 50 rpm faster",
        "leaking 0.6 mm2 less",
    ]
    amount, unit = change_amount(CHANGES[3])
    assert amount == pytest.approx(-50.0)
    assert unit == "rpm"


# ------------------------------------------------------------------------------------------------ rounding


# If this failed, an interval would be printed narrower than it is: 157.2 to 204.1 has to read 157 to 205.
def test_an_interval_grows_when_it_is_rounded() -> None:
    assert words().level(psi(184.4, 157.2, 204.1)).whole == "184 psi (157 to 205 psi)"
    assert ratio_words(Band(1.1250, 1.1172, 1.1328)).whole == "1.125 (1.117 to 1.133)"


# If this failed, rounding would lose a part of an interval, in some unit or at some size.
@given(st.floats(-1e4, 1e4, allow_nan=False), st.floats(0, 1e4), st.floats(0, 1e4), st.integers(-2, 4))
def test_no_interval_shrinks(median: float, below: float, above: float, digits: int) -> None:
    band = Band(median, median - below, median + above)
    shown = band_words(band, digits, "")
    slack = 1e-5 * 10.0**-digits
    assert float(shown.low) <= band.low + slack
    assert float(shown.high) >= band.high - slack
    assert float(shown.low) - 1e-9 <= float(shown.median) <= float(shown.high) + 1e-9


# If this failed, a level would be told in digits that nobody can know, or in so few that the interval is lost.
# By hand: 184 psi, 157 to 205 are 1268.6 kPa, 1082.5 to 1413.4; 12.686 bar; 1.2686 MPa; 12.94 kg/cm2 (11.04 to 14.41).
@pytest.mark.parametrize(
    ("unit", "told"),
    [
        ("psi", "184 psi (157 to 205 psi)"),
        ("kPa", "1270 kPa (1080 to 1420 kPa)"),
        ("bar", "12.7 bar (10.8 to 14.2 bar)"),
        ("MPa", "1.27 MPa (1.08 to 1.42 MPa)"),
        ("kg/cm2", "12.9 kg/cm2 (11.0 to 14.5 kg/cm2)"),
    ],
)
def test_a_level_is_told_in_the_digits_it_is_worth(unit: str, told: str) -> None:
    assert words(unit=unit).final.whole == told


# ------------------------------------------------------------------------------------------------ what is said


# If this failed, a level would stand alone somewhere, as if it were known.
@pytest.mark.parametrize("unit", ["psi", "kPa", "bar"])
def test_no_level_without_its_interval(unit: str) -> None:
    told = words(unit=unit)
    final = told.final
    said = [*told.what_to_look_for(), *told.how_far_to_trust_it(), told.narrow_it()]
    for sentence in said:
        if re.search(rf"{re.escape(final.median)} {unit}", sentence):
            assert final.interval in sentence
    assert sum(final.interval in sentence for sentence in said) >= 3
    assert all(band.low != band.high for _, band in told.strokes)


# If this failed, a builder would hold one cylinder against a level that nobody can predict.
def test_the_plain_statement() -> None:
    first, second = words().how_far_to_trust_it()
    assert first.startswith("The absolute level cannot be predicted closely: 157 to 205 psi ")
    assert "seen against its siblings" in second


# If this failed, somebody with a single would be told to compare it with siblings that it does not have.
def test_a_single_has_no_siblings() -> None:
    single = words(replace(V8, cylinders=V8.cylinders[:1]))
    said = " ".join((*single.what_to_look_for(), *single.how_far_to_trust_it()))
    assert "A single has no siblings" in said
    assert "compare it with the siblings" not in said


# If this failed, strokes would be told in other digits than the final, or in another order.
def test_stroke_by_stroke() -> None:
    strokes = words().strokes
    assert [number for number, _ in strokes] == ["1", "2", "3", "4", "5", "6"]
    assert strokes[0][1].whole == "92 psi (58 to 128 psi)"
    assert strokes[-1][1] == words().final


# If this failed, ranges would be told in wrong figures or without their unit, or what was given as assumed.
# Figures by hand from tests/expectations.py.
def test_the_tornado_in_words() -> None:
    rows = [(row.title, row.span, row.finals, row.known) for row in words().inputs()]
    assert rows == [
        ("lift the cam card counts at", "0.1 to 1.9 mm", "204 to 164", "assumed"),
        ("heat law of the walls", "any of three laws", "184 to 208", "assumed"),
        ("heat lost to the walls", "0.67 to 1.50 times", "196 to 172", "assumed"),
        ("adapter volume", "2.0 to 8.0 cc", "193 to 175", "assumed"),
        ("intake closing", "35 to 45 deg after BDC", "192 to 176", "given"),
        ("compression ratio", "8.70 to 9.30", "177 to 191", "given"),
        ("leak past the rings", "0.15 to 0.60 mm2", "187 to 177", "assumed"),
        ("barometer", "960 to 1000 hPa", "180 to 188", "assumed"),
        ("cranking speed", "170 to 230 rpm", "180 to 188", "given"),
        ("inlet air", "5 to 35 C", "187 to 181", "assumed"),
        ("cylinder walls", "60 to 100 C", "183 to 185", "assumed"),
    ]


# If this failed, an input that hardly counts would be lost, or one that is exactly known would be called uncertain.
def test_the_rest_is_named() -> None:
    assert words().the_rest() == "These move it by 0.7 psi at most, each: hose volume and length of rod."
    one = replace(V8, inputs=(*INPUTS[:11], INPUTS[-1]))
    assert words(one).the_rest() == "Length of rod moves it by 0.2 psi at most."
    assert words(replace(V8, inputs=INPUTS[:5])).the_rest() == ""


# If this failed, the two ends of a bar would be told the wrong way round.
def test_the_ends_of_a_bar() -> None:
    ends = {row.title: (row.at_lowest, row.at_highest) for row in words().inputs()}
    assert ends["compression ratio"] == ("8.70", "9.30")
    assert ends["intake closing"] == ("45 deg", "35 deg")
    assert ends["heat law of the walls"] == ("lowest", "highest")
    valve = replace(V8, inputs=(effect("check_valve", (0, 0), (150, 180)),))
    assert [(row.at_lowest, row.at_highest) for row in words(valve).inputs()] == [("gauge end", "plug end")]


# If this failed, an intake that closes before bottom dead centre would be told as one that closes after it.
@pytest.mark.parametrize(
    ("degrees", "told"),
    [
        ((-12, -2), "2 to 12 deg before BDC"),
        ((-4, 6), "4 deg before to 6 deg after BDC"),
        ((0, 10), "0 to 10 deg after BDC"),
    ],
)
def test_which_side_of_bottom(degrees: tuple[float, float], told: str) -> None:
    at = (degrees[0] * 0.017453292519943295, degrees[1] * 0.017453292519943295)
    found = words(replace(V8, inputs=(effect("intake_closing", at, (170, 190)),))).inputs()
    assert found[0].span == told


# If this failed, a builder who writes Fahrenheit, inches of mercury and cubic inches would have to convert.
def test_inputs_are_told_in_the_units_they_were_written_in() -> None:
    day = parse_conditions({"barometer": "29.9 inHg", "oil": "180 F", "cranking_speed": "200 rpm"})
    gauge = parse_gauge({"name": "g", "adapter_volume": "0.2 in3"})
    pressure = find_unit("psi", Dimension.PRESSURE)
    units = input_units(gauge, day, pressure)

    def told(found: InputEffect) -> tuple[float, float, str]:
        ends = input_ends(found, units)
        assert ends is not None
        return ends

    # By hand: 60 C is 140 F, 100 C is 212 F, 96 kPa is 28.35 inHg, 2 cc is 0.122 in3.
    by_key = {each.key: each for each in INPUTS}
    assert told(by_key["wall"])[:2] == pytest.approx((140, 212))
    assert [told(by_key[key])[2] for key in ("wall", "inlet_air", "barometer", "speed")] == ["F", "F", "inHg", "rpm"]
    assert told(by_key["barometer"])[:2] == pytest.approx((28.35, 29.53), abs=0.01)
    assert told(by_key["adapter_volume"])[0] == pytest.approx(0.122, abs=0.001)
    assert input_ends(by_key["heat_law"], units) is None


# If this failed, ratios would be told in fewer digits than they are known, or without their interval.
def test_changes_have_tight_intervals() -> None:
    assert [(title, band.whole) for title, band in words().changes()] == [
        ("compression ratio up by 1", "1.125 (1.117 to 1.133)"),
        ("intake closing 10 deg later", "0.907 (0.894 to 0.920)"),
        ("1500 m (4,900 ft) higher", "0.8260 (0.8227 to 0.8293)"),
        ("cranking 50 rpm slower", "0.955 (0.937 to 0.973)"),
        ("leaking 0.6 mm2 more", "0.928 (0.916 to 0.940)"),
    ]


# ------------------------------------------------------------------------------------------------ cylinders


# If this failed, cylinders that nobody measured would be told apart.
def test_unmeasured_cylinders_are_alike() -> None:
    assert words().cylinders() == ()
    assert explained_percent(V8) is None
    assert words().what_the_build_explains()[0].startswith("No cylinder was measured beside others that were")
    assert words(replace(V8, cylinders=V8.cylinders[:1])).what_the_build_explains() == ()


# If this failed, the build's own part of the spread would be told wrongly. By hand: four cylinders 0.6 % above, four
# 0.6 % below have a mean deviation of 0.6 %.
def test_what_the_build_explains() -> None:
    found = replace(V8, cylinders=apart(0.006), measured=True)
    assert explained_percent(found) == pytest.approx(0.6)
    assert words(found).what_the_build_explains() == (
        (
            "The measured volumes by themselves make a mean deviation of 0.60 % of the mean: less than the 1 % that a "
            "careful builder stays under in all (common practice)."
        ),
        (
            "What that leaves for sealing, filling and the reading is seen when each final is divided by its ratio "
            "here before the cylinders are compared."
        ),
    )
    name, ratio, band, off = words(found).cylinders()[0]
    assert (name, ratio, band.whole, off) == ("L1", "9.00", "1.0060 (1.0020 to 1.0100)", "+0.6 %")


# If this failed, a build that alone breaks the target would be called within it.
@pytest.mark.parametrize(("by", "shown"), [(0.01, "1.0 %"), (0.02, "2.0 %")])
def test_a_build_that_alone_misses_the_target(by: float, shown: str) -> None:
    said = words(replace(V8, cylinders=apart(by), measured=True)).what_the_build_explains()[0]
    assert said == (
        f"The measured volumes by themselves make a mean deviation of {shown} of the mean: already the 1 % that a "
        "careful builder stays under in all (common practice), or more."
    )


# ------------------------------------------------------------------------------------------------ what to measure


# If this failed, a builder would not know what to measure, how, or what it gives.
def test_what_would_narrow_it() -> None:
    assert words().narrow_it() == (
        "Lift the cam card counts at. Find out at which lift the cam card quotes its angles, and whether at the tappet "
        "or at the valve; write it as quoted_at_lift and quoted_at, with the rocker ratio. The 90 % interval of the "
        "final is 157 to 205 psi, 48 psi wide; it would be about 39 psi wide, such as 162 to 201 psi, its middle "
        "moved by what is found."
    )
    said = words(replace(V8, narrowing=None)).narrow_it()
    assert said.startswith("No single measurement would narrow 157 to 205 psi by much")


# If this failed, it would not be known on which gauge the needle was expected.
def test_the_gauge_is_named() -> None:
    assert "face-1" in gauge_sentence(Gauge("face-1"))
    assert "assumed" in gauge_sentence(None)


# If this failed, a test here would compare texts with a V8 that is not the one described above.
def test_the_hand_made_engine() -> None:
    assert V8.final.median == pytest.approx(184 * PSI)
    assert V8.strokes[-1] == V8.final
    assert set(UNITS) >= {"psi", "kPa", "bar"}
