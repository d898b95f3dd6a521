"""Where the stroke map gives up, the full equations answer."""

from __future__ import annotations

import numpy as np
import pytest

from ringtrue.physics import _kernels as k
from ringtrue.physics import _stroke_map

# A small cylinder in the cold whose intake valve shuts 2 degrees after bottom: the map loses it in the third stroke.
LOST_HALF_WAY = {
    "BORE": 0.0703,
    "STROKE": 0.0715,
    "ROD": 0.11767597217887384,
    "CLEARANCE": 3.9108010392535295e-05,
    "ADAPTER": 2e-06,
    "HOSE": 1.7966335370134065e-05,
    "OPENING": 1731.7863315979746,
    "CHECK_AREA": 6.288217379546922e-06,
    "HOSE_CONDUCTANCE": 0.4463765880602971,
    "AMBIENT": 87895.64386230767,
    "MANIFOLD": 87895.64386230767,
    "INLET_AIR": 279.8126159108398,
    "WALL": 276.8395217012295,
    "SPEED": 26.40962104429332,
    "RUN_UP": 1.493349970389778,
    "START": 10.481189657845247,
    "HEAT_MODEL": 1.0,
    "HEAT_FACTOR": 1.0,
    "LEAK_RINGS": 4.567801719486538e-07,
    "LEAK_INTAKE": 0.0,
    "LEAK_EXHAUST": 0.0,
    "LEAK_GASKET": 0.0,
    "INTAKE_OPENS": -6.566062605310184,
    "INTAKE_CLOSES": -3.1113466100288516,
    "EXHAUST_OPENS": 2.348320343459571,
    "EXHAUST_CLOSES": 6.336438014464212,
    "INTAKE_LIFT": 0.00807,
    "INTAKE_DIAMETER": 0.03310977887132815,
    "INTAKE_CD": 0.7088150550450313,
    "EXHAUST_LIFT": 0.00807,
    "EXHAUST_DIAMETER": 0.028143312040628924,
    "EXHAUST_CD": 0.7088150550450313,
    "LIFT_EXPONENT": 1.2702967814102781,
}


# If this failed, one cylinder that the map loses half-way would make the odds of a whole engine no numbers.
@pytest.mark.parametrize("loosely", [False, True])
def test_a_cylinder_that_is_lost_half_way_is_cranked_by_the_full_equations(*, loosely: bool) -> None:
    vector = np.zeros((1, k.COUNT))
    for name, value in LOST_HALF_WAY.items():
        vector[0, getattr(k, name)] = value
    found = _stroke_map.many(vector, 10, loosely=loosely)
    full, _ = k.full(vector[0], 10, _stroke_map.FULL_STEP)
    assert found[0] == pytest.approx(full)
    assert (np.diff(found[0]) >= 0).all()
