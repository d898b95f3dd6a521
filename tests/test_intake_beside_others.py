"""A final beside the gauge's face and the other cylinders. Common practice: such figures are mostly a unit mistaken."""

from __future__ import annotations

import pytest
from tests.pulled import measured, pulls

from ringtrue.compression import Gauge
from ringtrue.intake import beside_others

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


# If this failed, a digit too many would pass where nobody knows the gauge.
def test_twice_what_the_others_read_is_asked_about() -> None:
    (pull,) = pulls({"4": 310})
    fault = beside_others(pull, OTHERS, None)
    assert fault is not None
    assert "the others read about 150 psi" in fault.why
