"""
Uncertainty budgets beside worked examples and two reference libraries.

Numbers of the Guide and its supplement were seen quoted, not in the documents themselves.
"""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest
import uncertainties
from numpy.typing import NDArray
from uncertainties import umath

from ringtrue.measure.propagation import Quantity, Spread, propagate

Floats = NDArray[np.float64]
VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
MILLIAMPS = (19.663, 19.639, 19.640, 19.685, 19.678)
RADIANS = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


# If this failed, parts of a budget would not be combined, or the factor not follow from their degrees of freedom.
# JCGM 100:2008, H.1 (end gauge): 32 nm, 16 degrees of freedom, 2.92 and 93 nm at 99 %; and 2.12 at 95 %.
def test_the_end_gauge() -> None:
    parts = zip((25, 5.8, 3.9, 6.7, 2.9, 16.6), (18, 24, 5, 8, 50, 2), strict=True)
    inputs = [Quantity(f"{u}", 0.0, u, Spread.NORMAL, freedom) for u, freedom in parts]
    found = propagate(lambda x: x.sum(axis=1), inputs, level=0.99, draws=1000)
    assert found.standard == pytest.approx(math.sqrt(1002.71), rel=1e-9)  # the squares of the six, added by hand
    assert round(found.standard) == 32
    assert found.freedom == 16
    assert found.factor == pytest.approx(2.92, abs=0.005)
    assert math.ceil(found.factor * 31.7) == 93
    assert propagate(lambda x: x.sum(axis=1), inputs, level=0.95, draws=1000).factor == pytest.approx(2.12, abs=0.005)
    assert found.parts[0].name == "25"
    assert found.parts[0].share == pytest.approx(25**2 / 1002.71)
    reference = sum(GTC.ureal(0, each.standard, each.freedom) for each in inputs)
    assert found.standard == pytest.approx(GTC.uncertainty(reference), rel=1e-9)
    assert found.freedom == math.floor(GTC.dof(reference))


# If this failed, readings taken together would be taken for independent. JCGM 100:2008, H.2: resistance 127.732(71),
# reactance 219.847(295), impedance 254.260(236) ohm; and the library `uncertainties` to six digits.
@pytest.mark.parametrize(
    ("which", "printed", "standard"), [("R", 127.732, 0.071), ("X", 219.847, 0.295), ("Z", 254.260, 0.236)]
)
def test_correlated_inputs(which: str, printed: float, standard: float) -> None:
    rows = np.array([VOLTS, np.array(MILLIAMPS) / 1000, RADIANS])
    means, errors = rows.mean(axis=1), rows.std(axis=1, ddof=1) / math.sqrt(5)
    related = np.corrcoef(rows)

    def impedance(
        x: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    ) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        whole = x[:, 0] / x[:, 1]
        return np.asarray({"R": whole * np.cos(x[:, 2]), "X": whole * np.sin(x[:, 2]), "Z": whole}[which])

    inputs = [Quantity(name, *each) for name, *each in zip("VIp", means.tolist(), errors.tolist(), strict=True)]
    found = propagate(impedance, inputs, correlation=related, level=0.95)
    assert found.value == pytest.approx(printed, abs=0.0015)
    assert found.standard == pytest.approx(standard, abs=0.0015)
    assert found.good_enough
    v, i, p = uncertainties.correlated_values_norm([*zip(means, errors, strict=True)], related)
    reference = {"R": v / i * umath.cos(p), "X": v / i * umath.sin(p), "Z": v / i}[which]
    assert found.standard == pytest.approx(reference.std_dev, rel=1e-5)


# If this failed, the shape of inputs would be lost. JCGM 101:2008, 9.2: four inputs of unit uncertainty, added: 3.92
# for normal ones, 3.88 for even ones, at 95 %.
@pytest.mark.parametrize(("spread", "half", "enough"), [(Spread.NORMAL, 3.92, True), (Spread.EVEN, 3.88, True)])
def test_four_inputs_added(spread: Spread, half: float, enough: bool) -> None:
    found = propagate(
        lambda x: x.sum(axis=1), [Quantity(f"{n}", 0.0, 1.0, spread) for n in range(4)], level=0.95, draws=1_000_000
    )
    assert found.high == pytest.approx(3.92, abs=0.005)
    assert (found.drawn_high - found.drawn_low) / 2 == pytest.approx(half, abs=0.01)
    assert found.good_enough is enough


# If this failed, a first order that is no good would be told as good. JCGM 101:2008, 9.2.4: nine inputs hardly matter
# beside an even one ten times as wide: 17.0 by draws at 95 %, 19.9 by the first order (from memory).
def test_one_even_input_that_rules() -> None:
    inputs = [Quantity("wide", 0.0, 10.0, Spread.EVEN), *(Quantity(f"{n}", 0.0, 1.0) for n in range(3))]
    found = propagate(lambda x: x.sum(axis=1), inputs, level=0.95, draws=1_000_000)
    assert found.high == pytest.approx(19.9, abs=0.05)
    assert found.drawn_high == pytest.approx(17.0, abs=0.1)
    assert not found.good_enough


# If this failed, a repeatability that rests on few pulls would be taken for a known one: Student's t with five degrees
# of freedom, 2.571 at 95 % (any table).
def test_a_scatter_known_from_few() -> None:
    found = propagate(lambda x: x[:, 0], [Quantity("scatter", 10.0, 1.0, Spread.STUDENT, 5)], level=0.95, draws=400_000)
    assert found.factor == pytest.approx(2.571, abs=0.001)
    assert found.drawn_high - 10 == pytest.approx(2.571, abs=0.03)
