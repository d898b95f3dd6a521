"""Units as the trade spells them, figures with units, gauge and absolute pressure, valve timing."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtrue.errors import NumberRefused, ReadingImpossible, RingtrueError, UnitRefused
from ringtrue.quantities import Measured, PaAbs
from ringtrue.units import (
    DecimalMark,
    Dimension,
    Unit,
    ValveEvent,
    find_unit,
    from_si,
    gauge_unit,
    parse_gauge_pressure,
    parse_measured,
    parse_valve_timing,
    table,
    to_si,
    units_of,
    written,
)

ALL = [unit for dimension in Dimension for unit in units_of(dimension)]
PRESSURE, LENGTH, VOLUME = Dimension.PRESSURE, Dimension.LENGTH, Dimension.VOLUME
PSI = find_unit("psi", PRESSURE)
BAROMETER = PaAbs(101_325.0)

# Common practice: what stands on gauge faces, build sheets and cam cards.
SPELLINGS = {
    (PRESSURE, "psi"): "psi PSI Psi psig PSIG p.s.i. lb/in2 lb/in² lbf/in² LBF/IN2 lb/sq.in lbs/in² psi(g) lb/in^2",
    (PRESSURE, "psia"): "psia PSIA psi(a) psiabs",
    (PRESSURE, "kPa"): "kPa KPA kpa kPa(g) kPag",
    (PRESSURE, "kPa abs"): "kPa(abs) kPaa kPa(a)",
    (PRESSURE, "bar"): "bar BAR Bar barg bar(g) bars",
    (PRESSURE, "bar abs"): "bara bar(a) barabs",
    (PRESSURE, "kg/cm2"): "kg/cm2 kg/cm² kgf/cm² KGF/CM2 kp/cm2 kp/cm² kgf/cm^2 kg.cm2 at atü",
    (PRESSURE, "MPa"): "MPa mpa MPA",
    (PRESSURE, "hPa"): "hPa hpa",
    (PRESSURE, "mbar"): "mbar mb millibar",
    (PRESSURE, "inHg"): "inHg in.Hg inhg",
    (PRESSURE, "mmHg"): "mmHg",
    (LENGTH, "mm"): "mm MM mm. millimetre millimeters",
    (LENGTH, "in"): "in in. IN inch inches \" ” ″ ''",
    (LENGTH, "thou"): "thou mil mils",
    (LENGTH, "m"): "m metres",
    (LENGTH, "ft"): "ft ft. feet",
    (LENGTH, "um"): "um µm μm micron",
    (VOLUME, "cc"): "cc CC c.c. cm3 cm³ ccm",
    (VOLUME, "ml"): "ml mL ML",
    (VOLUME, "in3"): "in3 in³ cuin cu.in. in^3 CID",
    (VOLUME, "L"): "l L litre",
    (Dimension.TEMPERATURE, "C"): "C °C ℃ c degC deg.C ºC Celsius",
    (Dimension.TEMPERATURE, "F"): "F °F ℉ degF",
    (Dimension.TEMPERATURE, "K"): "K kelvin",
    (Dimension.ROTATION, "rpm"): "rpm RPM r.p.m. rev/min r/min 1/min min-1",
    (Dimension.VOLTAGE, "V"): "V v volts Volt VDC",
    (Dimension.ANGLE, "deg"): "deg deg. ° degrees º",
    (Dimension.DISTANCE, "mile"): "mile miles mi MI",
    (Dimension.DISTANCE, "km"): "km KM kilometres",
    (Dimension.DURATION, "h"): "h hr hrs hour hours H",
}
SPELLED = [(text, dimension, name) for (dimension, name), texts in SPELLINGS.items() for text in texts.split()]
SPELLED += [
    ("lb / sq in", PRESSURE, "psi"),
    ("lb per sq. in.", PRESSURE, "psi"),
    ("pounds per square inch", PRESSURE, "psi"),
    ("kg / cm2", PRESSURE, "kg/cm2"),
    ("kPa abs", PRESSURE, "kPa abs"),
    ("bar abs.", PRESSURE, "bar abs"),
    ("psi gauge", PRESSURE, "psi"),
    ("in Hg", PRESSURE, "inHg"),
    ("cu in", VOLUME, "in3"),
    ("cubic inches", VOLUME, "in3"),
    ("deg C", Dimension.TEMPERATURE, "C"),
    ("degrees F", Dimension.TEMPERATURE, "F"),
    ("\u00b0\u202fC", Dimension.TEMPERATURE, "C"),
    ("[psi]", PRESSURE, "psi"),
    ("  psi  ", PRESSURE, "psi"),
]


# If this failed, a builder would be told that the unit on his own gauge does not exist.
@pytest.mark.parametrize(("text", "dimension", "name"), SPELLED)
def test_spellings(text: str, dimension: Dimension, name: str) -> None:
    assert find_unit(text, dimension).name == name


# If this failed, a unit that the program writes could not be read back by it.
@pytest.mark.parametrize("unit", ALL, ids=lambda unit: unit.name)
def test_every_unit_is_found_by_its_own_name(unit: Unit) -> None:
    assert find_unit(unit.name, unit.dimension) == unit
    assert parse_measured(f"12 {unit.name}", unit.dimension) == Measured(to_si(12.0, unit), "12", unit.name)
    assert parse_measured(f"12{unit.name}", unit.dimension).unit == unit.name


# If this failed, one spelling would mean two units, and the one further down the table would win in silence.
def test_no_spelling_means_two_units() -> None:
    meant: dict[tuple[Dimension, str], set[str]] = {}
    for unit, absolute, spellings in table._PRESSURES:
        for spelling in spellings.split("|"):
            for name, endings in ((unit.name, table._GAUGE), (absolute, table._ABSOLUTE)):
                for ending in endings:
                    meant.setdefault((PRESSURE, table.normal(spelling + ending)), set()).add(name)
    for unit, spellings in table._OTHERS:
        for spelling in spellings.split("|"):
            meant.setdefault((unit.dimension, table.normal(spelling)), set()).add(unit.name)
    assert {key: names for key, names in meant.items() if len(names) > 1} == {}
    assert all(find_unit(key, dimension).name in names for (dimension, key), names in meant.items())


# If this failed, a slip of the pen would be answered with a shrug, or taken for a unit that was not meant.
@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        ("psu", PRESSURE, 'read "psu": This is no unit of pressure. Write psi.'),
        ("kg/cm", PRESSURE, "Write kg/cm2"),
        ("kilopascals", PRESSURE, "Write kPa"),
        ("furlong", LENGTH, "This is no unit of length. Write mm, in, thou, cm or um."),
        ("lbs", PRESSURE, "A weight is not a pressure. Write psi."),
        ("kg", PRESSURE, "A weight is not a pressure. Write kg/cm2."),
        ("atm", PRESSURE, "1.013 bar to one and 1 kg/cm2 to another. Write bar or kg/cm2."),
        ("deg", Dimension.TEMPERATURE, "It does not say degrees of which scale. Write C or F."),
        ("cc", LENGTH, "The unit cc is one of volume, and a length is wanted here."),
        ("mil", Dimension.DISTANCE, "The unit thou is one of length, and a distance is wanted here. Write mile or km."),
        ("mm", Dimension.ANGLE, "and an angle is wanted here. Write deg."),
        ("", PRESSURE, "nothing was written: A pressure needs its unit. Write psi, kPa, bar, kg/cm2 or MPa."),
        ("p" * 100_000, PRESSURE, "This is no unit of pressure."),
    ],
)
def test_units_that_are_refused(text: str, dimension: Dimension, words: str) -> None:
    with pytest.raises(UnitRefused, match=re.escape(words)) as refused:
        find_unit(text, dimension, where="engine.csv, row 1")
    assert refused.value.faults[0].where == "engine.csv, row 1"


# If this failed, what is written on a build sheet would be another size inside. Values by definition of the units.
@pytest.mark.parametrize(
    ("text", "dimension", "value", "number", "unit"),
    [
        ("92 mm", LENGTH, 0.092, "92", "mm"),
        ("92mm", LENGTH, 0.092, "92", "mm"),
        (" 92  mm ", LENGTH, 0.092, "92", "mm"),
        ("92\u00a0mm", LENGTH, 0.092, "92", "mm"),
        ("92,5 mm", LENGTH, 0.0925, "92,5", "mm"),
        ("-0.4 mm", LENGTH, -0.0004, "-0.4", "mm"),
        ("0.050 in", LENGTH, 0.00127, "0.050", "in"),
        ('.050"', LENGTH, 0.00127, ".050", "in"),
        ("3.5''", LENGTH, 0.0889, "3.5", "in"),
        ("40 thou", LENGTH, 0.001016, "40", "thou"),
        ("3 1/2 in", LENGTH, 0.0889, "3 1/2", "in"),
        ("3-1/2 in", LENGTH, 0.0889, "3-1/2", "in"),
        ('3-1/2"', LENGTH, 0.0889, "3-1/2", "in"),
        ("1/2 in", LENGTH, 0.0127, "1/2", "in"),
        ("-1/32 in", LENGTH, -0.00079375, "-1/32", "in"),
        ("4 3/32in.", LENGTH, 0.10398125, "4 3/32", "in"),
        ("71 cc", VOLUME, 71e-6, "71", "cc"),
        ("20 in3", VOLUME, 3.2774128e-4, "20", "in3"),
        ("20 cu. in.", VOLUME, 3.2774128e-4, "20", "in3"),
        ("1 234,5 cm\u00b3", VOLUME, 1.2345e-3, "1 234,5", "cc"),
        ("18 C", Dimension.TEMPERATURE, 291.15, "18", "C"),
        ("18\u00b0C", Dimension.TEMPERATURE, 291.15, "18", "C"),
        ("-10 deg C", Dimension.TEMPERATURE, 263.15, "-10", "C"),
        ("190 rpm", Dimension.ROTATION, 190 * math.pi / 30, "190", "rpm"),
        ("190 1/min", Dimension.ROTATION, 190 * math.pi / 30, "190", "rpm"),
        ("190/min", Dimension.ROTATION, 190 * math.pi / 30, "190", "rpm"),
        ("12.4 V", Dimension.VOLTAGE, 12.4, "12.4", "V"),
        ("44\u00b0", Dimension.ANGLE, 44 * math.pi / 180, "44", "deg"),
        ("500 mile", Dimension.DISTANCE, 804_672.0, "500", "mile"),
        ("25 h", Dimension.DURATION, 90_000.0, "25", "h"),
        ("1003 hPa", PRESSURE, 100_300.0, "1003", "hPa"),
        ("1/2", LENGTH, 0.0127, "1/2", ""),
        ("92", LENGTH, 2.3368, "92", ""),
    ],
)
def test_figures_with_units(text: str, dimension: Dimension, value: float, number: str, unit: str) -> None:
    column = None if unit else find_unit("in", LENGTH)
    measured = parse_measured(text, dimension, unit=column)
    assert measured.value == pytest.approx(value, rel=1e-14)
    assert (measured.written, measured.unit) == (number, unit or "in")


# If this failed, a figure would be taken in a unit that nobody wrote, or the message would not say what to write.
@pytest.mark.parametrize(
    ("text", "dimension", "kind", "words"),
    [
        ("92", LENGTH, UnitRefused, "A length needs its unit. Type 92 mm or 92 in or 92 thou."),
        ("151", PRESSURE, UnitRefused, "A pressure needs its unit. Type 151 psi or 151 kPa or 151 bar."),
        ("", LENGTH, NumberRefused, "A length needs a number and a unit. Type it as 92 mm."),
        ("mm", LENGTH, NumberRefused, "A length needs a number and a unit. Type it as 92 mm."),
        ("1/min", Dimension.ROTATION, NumberRefused, "A cranking speed needs a number and a unit."),
        ("92 furlong", LENGTH, UnitRefused, 'read "furlong": This is no unit of length.'),
        ("92 mn", LENGTH, UnitRefused, 'read "mn": This is no unit of length. Write'),
        ("92 cc", LENGTH, UnitRefused, "is one of volume"),
        ("5 in 3", LENGTH, UnitRefused, "is one of volume"),
        ("18 deg", Dimension.TEMPERATURE, UnitRefused, "Write C or F."),
        ("1_80 mm", LENGTH, NumberRefused, "Type 180."),
        ("nan mm", LENGTH, NumberRefused, "This is not a number."),
        ("inf", LENGTH, NumberRefused, "This is not a number."),
        ("1e5 mm", LENGTH, NumberRefused, "without an exponent"),
        ("1O5 mm", LENGTH, NumberRefused, "no letters"),
        ("\u0661\u0668\u0660 mm", LENGTH, NumberRefused, "Type 180."),
        ("1,234 in", LENGTH, NumberRefused, "can be 1234 or 1.234"),
        ("12. in", LENGTH, NumberRefused, "digits are missing"),
        ("3.5'", LENGTH, NumberRefused, "number is digits"),
        ("3 5/4 in", LENGTH, NumberRefused, "less than one"),
        ("1/0 in", LENGTH, NumberRefused, "type it as 3 1/2 or 3.5"),
        ("1/2 cc", VOLUME, NumberRefused, "Fractions are for lengths only. Type it as 71 cc."),
        ("\u00bd in", LENGTH, NumberRefused, "for a length 3 1/2"),
        ("151 psi 160", PRESSURE, NumberRefused, "no letters"),
        ("151 " + " " * 100 + "psi", PRESSURE, NumberRefused, "too long for a number and its unit"),
        ("x" * 100_000, PRESSURE, NumberRefused, "too long for a number and its unit"),
        ("-300 C", Dimension.TEMPERATURE, ReadingImpossible, "Nothing is below absolute zero."),
        ("-1 psia", PRESSURE, ReadingImpossible, "Nothing is below vacuum."),
    ],
)
def test_figures_that_are_refused(text: str, dimension: Dimension, kind: type[RingtrueError], words: str) -> None:
    with pytest.raises(kind, match=re.compile(re.escape(words), re.IGNORECASE)) as refused:
        parse_measured(text, dimension, where="geometry.bore")
    assert [fault.where for fault in refused.value.faults] == ["geometry.bore"]


# If this failed, a column headed psi would take a figure in another unit, or turn away one in its own.
def test_the_unit_of_a_column() -> None:
    bar = find_unit("bar", PRESSURE)
    assert parse_gauge_pressure("151", unit=PSI) == parse_gauge_pressure("151 psi")
    assert parse_gauge_pressure("151 PSIG", unit=PSI) == parse_gauge_pressure("151 psi")
    assert parse_gauge_pressure("1'234.5", unit=PSI).value == pytest.approx(1234.5 * PSI.factor)
    with pytest.raises(UnitRefused, match=re.escape('read "151 psi": It is in psi, and bar is said for this place.')):
        parse_gauge_pressure("151 psi", unit=bar)
    for wrong in ("1e5", "1_80", "1O5", "80/60", ""):
        with pytest.raises(NumberRefused):
            parse_gauge_pressure(wrong, unit=PSI)
    with pytest.raises(NumberRefused, match="Type it as 151 bar"):
        parse_gauge_pressure("", unit=bar)


# If this failed, what was said about decimal marks would hold for bare numbers only.
def test_decimal_marks_before_units() -> None:
    assert parse_measured("1,234 in", LENGTH, mark=DecimalMark.COMMA).value == pytest.approx(1.234 * 0.0254)
    assert parse_measured("1,234 m", LENGTH, mark=DecimalMark.POINT).value == 1234.0
    with pytest.raises(NumberRefused, match="decimal comma is used elsewhere"):
        parse_measured("1.234 in", LENGTH, comma_seen=True)
    with pytest.raises(NumberRefused, match="decimal comma is used elsewhere"):
        parse_gauge_pressure("1.234 kPa", comma_seen=True)


# If this failed, an absolute pressure would stand among gauge readings one atmosphere too high.
def test_absolute_pressures_need_the_barometer() -> None:
    with pytest.raises(UnitRefused, match="counted from vacuum, and the barometer of the day is not known"):
        parse_gauge_pressure("165.7 psia")
    measured = parse_gauge_pressure("165.7 psia", barometer=PaAbs(to_si(14.7, PSI)))
    assert from_si(measured.value, PSI) == pytest.approx(151.0)  # 165.7 - 14.7, by hand
    assert (measured.written, measured.unit) == ("165.7", "psia")
    assert parse_gauge_pressure("1151.325 kPa abs", barometer=BAROMETER).value == pytest.approx(1_050_000.0)
    assert parse_gauge_pressure("151 psi", barometer=BAROMETER) == parse_gauge_pressure("151 psi")


# If this failed, a gauge could show less than nothing; a dead cylinder, which shows nothing, has to be taken.
def test_nothing_is_below_zero() -> None:
    assert parse_gauge_pressure("0 psi").value == 0.0
    assert parse_gauge_pressure("-0 psi").value == 0.0
    with pytest.raises(ReadingImpossible, match='read "-1 psi": A compression gauge shows nothing below zero'):
        parse_gauge_pressure("-1 psi")
    with pytest.raises(ReadingImpossible, match=r"below the surrounding air, which is at 14\.7 psia"):
        parse_gauge_pressure("10 psia", barometer=BAROMETER)


# If this failed, a gauge pressure that was written in an absolute unit would be shown one atmosphere too low.
@pytest.mark.parametrize("unit", units_of(PRESSURE), ids=lambda unit: unit.name)
def test_every_absolute_unit_has_its_gauge_unit(unit: Unit) -> None:
    shown = gauge_unit(unit)
    assert not shown.absolute
    assert shown.factor == unit.factor
    assert unit.name in {shown.name, f"{shown.name} abs", "psia"}


# If this failed, a figure would be shown with digits that nobody read, or as minus nothing.
@pytest.mark.parametrize(
    ("value", "name", "decimals", "shown"),
    [
        (1.0411e6, "psi", None, "151.0 psi"),
        (1.0411e6, "kPa", None, "1041 kPa"),
        (1.0411e6, "bar", None, "10.41 bar"),
        (1.0411e6, "kg/cm2", None, "10.62 kg/cm2"),
        (1.0411e6, "psi", 3, "150.999 psi"),
        (-0.001, "psi", None, "0.0 psi"),
    ],
)
def test_written(value: float, name: str, decimals: int | None, shown: str) -> None:
    assert written(value, find_unit(name, PRESSURE), decimals=decimals) == shown


# If this failed, a judgement would depend on the unit in which the readings were written.
@given(st.sampled_from(ALL), st.floats(-1e9, 1e9))
def test_there_and_back(unit: Unit, figure: float) -> None:
    assert from_si(to_si(figure, unit), unit) == pytest.approx(figure, rel=1e-12, abs=1e-9)


# If this failed, what the program writes would not be what it reads.
@given(st.sampled_from(ALL), st.integers(0, 10**9), st.integers(0, 6))
def test_what_is_written_is_read_back(unit: Unit, digits: int, decimals: int) -> None:
    figure = digits / 10**decimals
    text = written(to_si(figure, unit), unit, decimals=decimals)
    measured = parse_measured(text, unit.dimension, mark=DecimalMark.POINT)
    assert measured.unit == unit.name
    assert str(measured) == text
    assert from_si(measured.value, unit) == pytest.approx(figure, rel=1e-12, abs=1e-9)


# If this failed, noise in a field would stop the program with an error that says nothing, or would become a figure.
@given(st.text(max_size=80) | st.text("0123456789.,/-' psikPabarmnc\"\u00b0", max_size=30), st.sampled_from(Dimension))
def test_noise_is_a_figure_or_is_refused(text: str, dimension: Dimension) -> None:
    for unit in (None, units_of(dimension)[0]):
        try:
            measured = parse_measured(text, dimension, unit=unit)
        except RingtrueError as refused:
            told = str(refused)
        else:
            told = ""
            assert math.isfinite(measured.value)
            assert measured.written in text
            assert find_unit(measured.unit, dimension).name == measured.unit
        assert told == "" or len(told) > len("Why. Instead.")


# If this failed, a cam would open and close where nobody ground it. Common practice: the spellings of cam cards.
@pytest.mark.parametrize(
    ("text", "degrees", "event"),
    [
        ("8 deg before TDC", 8.0, ValveEvent.BEFORE_TDC),
        ("44 deg after BDC", 44.0, ValveEvent.AFTER_BDC),
        ("46 deg before BDC", 46.0, ValveEvent.BEFORE_BDC),
        ("6 deg after TDC", 6.0, ValveEvent.AFTER_TDC),
        ("44 ABDC", 44.0, ValveEvent.AFTER_BDC),
        ("8 BTDC", 8.0, ValveEvent.BEFORE_TDC),
        ("8\u00b0 btdc", 8.0, ValveEvent.BEFORE_TDC),
        ("44\u00b0ABDC", 44.0, ValveEvent.AFTER_BDC),
        ("44 deg. A.B.D.C.", 44.0, ValveEvent.AFTER_BDC),
        ("44 degrees after bottom dead centre", 44.0, ValveEvent.AFTER_BDC),
        ("8 before top dead center", 8.0, ValveEvent.BEFORE_TDC),
        ("8 BTC", 8.0, ValveEvent.BEFORE_TDC),
        ("44 ABC", 44.0, ValveEvent.AFTER_BDC),
        ("46.5 deg BBDC", 46.5, ValveEvent.BEFORE_BDC),
        ("46,5 deg BBDC", 46.5, ValveEvent.BEFORE_BDC),
        ("0 deg after TDC", 0.0, ValveEvent.AFTER_TDC),
        ("  8  deg  before  TDC ", 8.0, ValveEvent.BEFORE_TDC),
    ],
)
def test_valve_timing(text: str, degrees: float, event: ValveEvent) -> None:
    assert parse_valve_timing(text) == (degrees, event)


# If this failed, a cam would be taken for a mirror image of itself, or the builder would not learn how to write it.
@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("-8 BTDC", NumberRefused, "It is counted backwards. Type 8 deg after TDC."),
        ("-4.5 deg ABDC", NumberRefused, "Type 4.5 deg before BDC."),
        ("200 ATDC", NumberRefused, "count from the nearer dead centre"),
        ("8 deg", UnitRefused, "Type it as 8 deg before TDC, or 44 deg after BDC."),
        ("8 deg TDC", UnitRefused, "before or after a dead centre"),
        ("TDC", UnitRefused, "before or after a dead centre"),
        ("", UnitRefused, "nothing was written"),
        ("8 mm before TDC", UnitRefused, "before or after a dead centre"),
        ("before TDC", NumberRefused, "A number is needed here"),
        ("1_8 BTDC", NumberRefused, "Type 18."),
        ("1,234 BTDC", NumberRefused, "can be 1234 or 1.234"),
        ("8 before the sun rises", UnitRefused, "before or after a dead centre"),
        ("8 " * 50_000, UnitRefused, "before or after a dead centre"),
    ],
)
def test_valve_timing_that_is_refused(text: str, kind: type[RingtrueError], words: str) -> None:
    with pytest.raises(kind, match=re.compile(re.escape(words), re.IGNORECASE)) as refused:
        parse_valve_timing(text, where="camshaft.intake_opens")
    assert [fault.where for fault in refused.value.faults] == ["camshaft.intake_opens"]
