"""A final beside the gauge's face and the other cylinders. Common practice: such figures are mostly a unit mistaken."""

from __future__ import annotations

import pytest
from tests.pulled import measured, pulls

from ringtrue.compression import Gauge
from ringtrue.intake import beside_others
from ringtrue.units import Dimension, find_unit, from_si, to_si

FACE = Gauge("face", range=measured(300, "psi"))
OTHERS = pulls({"1": 150, "2": 152, "3": 149})


# If this failed, a figure in another unit, beyond the gauge, or with a digit too many would be kept without a word.
@pytest.mark.parametrize(
    ("final", "unit", "why"),
    [
        (480, "psi", "the gauge goes to 300 psi"),
        (10.4, "psi", "10.4 bar would be in line"),
        (150, "bar", "the gauge goes to 300 psi"),
        (301, "psi", "the gauge goes to 300 psi"),
        (1040, "psi", "the gauge goes to 300 psi"),
    ],
)
def test_what_is_asked_about(final: float, unit: str, why: str) -> None:
    (pull,) = pulls({"4": final}, unit=unit)
    fault = beside_others(pull, OTHERS, FACE)
    assert fault is not None
    assert why in fault.why


# If this failed, every low or dead cylinder would be asked about, and whoever tests would learn to say yes.
@pytest.mark.parametrize(
    ("final", "unit"), [(150, "psi"), (120, "psi"), (60, "psi"), (0, "psi"), (10.4, "bar"), (200, "psi")]
)
def test_what_is_believed(final: float, unit: str) -> None:
    (pull,) = pulls({"4": final}, unit=unit)
    assert beside_others(pull, OTHERS, FACE) is None
    assert beside_others(pull, (), None) is None
    assert beside_others(pull, pulls({"4": 20}), None) is None


# If this failed, a figure that is just twice the others would be asked about in one unit and kept in another.
@pytest.mark.parametrize("unit", ["psi", "kPa", "bar", "kg/cm2", "MPa"])
def test_just_twice_the_others_is_the_same_in_every_unit(unit: str) -> None:
    psi, other = find_unit("psi", Dimension.PRESSURE), find_unit(unit, Dimension.PRESSURE)
    for level in range(60, 200):
        single, double = (float(f"{from_si(to_si(each, psi), other):.12f}") for each in (level, 2 * level))
        (pull,) = pulls({"2": double}, unit=unit)
        assert beside_others(pull, pulls({"1": single}, unit=unit), None) is None, level


# If this failed, a cylinder well above the others would be asked about on a gauge in bar and not on one in psi.
@pytest.mark.parametrize(
    ("middle", "high", "unit"), [(100, 160.001, "psi"), (6.894757, 11.0317, "bar"), (7, 11.3, "kg/cm2")]
)
def test_bar_and_kg_are_not_taken_for_one_another(middle: float, high: float, unit: str) -> None:
    (pull,) = pulls({"2": high}, unit=unit)
    assert beside_others(pull, pulls({"1": middle}, unit=unit), None) is None


# If this failed, a digit too many would pass where nobody knows the gauge.
def test_twice_what_the_others_read_is_asked_about() -> None:
    (pull,) = pulls({"4": 310})
    fault = beside_others(pull, OTHERS, None)
    assert fault is not None
    assert "the others read about 150 psi" in fault.why
