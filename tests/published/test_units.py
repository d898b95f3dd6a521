"""Conversion factors against print, and against pint as a reference library."""

from __future__ import annotations

import pint
import pytest

from ringtrue.units import Dimension, Unit, find_unit, from_si, parse_measured, to_si, units_of, written

# NIST SP 811 (2008), appendix B.8 and B.9, factors to seven figures. From memory, confirmed with pint below.
SP_811 = [
    ("psi", Dimension.PRESSURE, "6.894757E+03"),
    ("kPa", Dimension.PRESSURE, "1.000000E+03"),
    ("bar", Dimension.PRESSURE, "1.000000E+05"),
    ("mbar", Dimension.PRESSURE, "1.000000E+02"),
    ("kg/cm2", Dimension.PRESSURE, "9.806650E+04"),
    ("inHg", Dimension.PRESSURE, "3.386389E+03"),  # inch of mercury, conventional
    ("mmHg", Dimension.PRESSURE, "1.333224E+02"),  # millimetre of mercury, conventional
    ("in", Dimension.LENGTH, "2.540000E-02"),
    ("thou", Dimension.LENGTH, "2.540000E-05"),
    ("ft", Dimension.LENGTH, "3.048000E-01"),
    ("um", Dimension.LENGTH, "1.000000E-06"),
    ("in3", Dimension.VOLUME, "1.638706E-05"),
    ("L", Dimension.VOLUME, "1.000000E-03"),
    ("rpm", Dimension.ROTATION, "1.047198E-01"),
    ("deg", Dimension.ANGLE, "1.745329E-02"),
    ("mile", Dimension.DISTANCE, "1.609344E+03"),
    ("h", Dimension.DURATION, "3.600000E+03"),
    ("min", Dimension.DURATION, "6.000000E+01"),
]

# Our spelling, and pint's expression for the same unit.
IN_PINT = {
    "psi": "pound_force_per_square_inch",
    "kPa": "kilopascal",
    "bar": "bar",
    "kg/cm2": "kilogram_force / centimeter ** 2",
    "MPa": "megapascal",
    "hPa": "hectopascal",
    "mbar": "millibar",
    "Pa": "pascal",
    "inHg": "inch_Hg",
    "mmHg": "millimeter_Hg",
    "mm": "millimeter",
    "in": "inch",
    "thou": "thou",
    "cm": "centimeter",
    "um": "micrometer",
    "m": "meter",
    "ft": "foot",
    "cc": "cubic_centimeter",
    "ml": "milliliter",
    "in3": "cubic_inch",
    "L": "liter",
    "C": "degree_Celsius",
    "F": "degree_Fahrenheit",
    "K": "kelvin",
    "rpm": "revolutions_per_minute",
    "V": "volt",
    "deg": "degree",
    "mile": "mile",
    "km": "kilometer",
    "h": "hour",
    "min": "minute",
    "s": "second",
}
SI = {
    Dimension.PRESSURE: "pascal",
    Dimension.LENGTH: "meter",
    Dimension.VOLUME: "meter ** 3",
    Dimension.TEMPERATURE: "kelvin",
    Dimension.ROTATION: "radian / second",
    Dimension.VOLTAGE: "volt",
    Dimension.ANGLE: "radian",
    Dimension.DISTANCE: "meter",
    Dimension.DURATION: "second",
}
ALL = [unit for dimension in Dimension for unit in units_of(dimension)]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


# If this failed, a pressure, a bore or a volume would be another one than the factor in every handbook makes it.
@pytest.mark.parametrize(("name", "dimension", "printed"), SP_811)
def test_factors_of_sp_811(name: str, dimension: Dimension, printed: str) -> None:
    assert f"{find_unit(name, dimension).factor:.6E}" == printed


# If this failed, a unit would disagree with a library that thousands of people check, or would be checked by nothing.
@pytest.mark.parametrize("unit", ALL, ids=lambda unit: unit.name)
def test_every_unit_against_pint(registry: pint.UnitRegistry[float], unit: Unit) -> None:
    theirs = IN_PINT[unit.name.removesuffix(" abs") if unit.name != "psia" else "psi"]
    for figure in (0.0, 1.0, 151.0, 0.05, 12_345.678):
        expected = registry.Quantity(figure, theirs).to(SI[unit.dimension]).magnitude
        assert to_si(figure, unit) == pytest.approx(expected, rel=1e-12, abs=1e-15)


# If this failed, inch and metric shops would disagree. Six figures each; from memory, confirmed with pint above.
@pytest.mark.parametrize(
    ("text", "dimension", "name", "figure"),
    [
        ("1 psi", Dimension.PRESSURE, "kPa", 6.894757),
        ("1 in3", Dimension.VOLUME, "cc", 16.387064),
        ("1 inHg", Dimension.PRESSURE, "kPa", 3.386389),
        ("1 kgf/cm2", Dimension.PRESSURE, "kPa", 98.0665),
        # 4.00 in x 3.50 in x 6 cylinders: 84 pi cubic inches, worked by hand.
        ("263.894 in3", Dimension.VOLUME, "cc", 4324.44),
    ],
)
def test_inch_and_metric(text: str, dimension: Dimension, name: str, figure: float) -> None:
    shown = from_si(parse_measured(text, dimension).value, find_unit(name, dimension))
    assert shown == pytest.approx(figure, rel=2e-6)


# If this failed, the air of a standard day would depend on who writes it down. The standard atmosphere is
# 101 325 Pa by definition; its other names are rounded as they are usually printed (from memory).
@pytest.mark.parametrize(
    ("name", "decimals", "shown"),
    [
        ("hPa", 2, "1013.25 hPa"),
        ("mbar", 2, "1013.25 mbar"),
        ("psia", 3, "14.696 psia"),
        ("inHg", 3, "29.921 inHg"),
        ("mmHg", 2, "760.00 mmHg"),
        ("kg/cm2 abs", 4, "1.0332 kg/cm2 abs"),
        ("bar abs", 5, "1.01325 bar abs"),
    ],
)
def test_the_standard_atmosphere(name: str, decimals: int, shown: str) -> None:
    assert written(101_325.0, find_unit(name, Dimension.PRESSURE), decimals=decimals) == shown


# If this failed, thermometers would disagree where they meet. The first four points are definitions or follow from
# them by hand; 20 C = 68 F likewise.
@pytest.mark.parametrize(
    ("one", "other"), [("0 C", "32 F"), ("100 C", "212 F"), ("-40 C", "-40 F"), ("0 C", "273.15 K"), ("20 C", "68 F")]
)
def test_thermometers_agree(one: str, other: str) -> None:
    kelvin = parse_measured(one, Dimension.TEMPERATURE).value
    assert kelvin == pytest.approx(parse_measured(other, Dimension.TEMPERATURE).value, rel=1e-14)
