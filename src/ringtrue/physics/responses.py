"""What each fault does to the readings of one cylinder beside its sound siblings: ratios, which are known closely."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.compression import Conditions, Gauge
from ringtrue.engine import BuildSheet, Geometry, Layout, swept_volume
from ringtrue.physics.cylinders import check, vectors
from ringtrue.physics.expecting import STROKES, hypercube, needle, values_at
from ringtrue.physics.inputs import inputs_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DRAWS = 15
"""Draws of all that is not known of engine, gauge and day; each is a whole engine that may be the one at hand."""

LEAK_AREAS = (0.0, 0.08, 0.2, 0.35, 0.6, 1.0, 1.6, 2.6, 4.2, 7.0, 12.0, 25.0, 50.0)
"""Total effective leak areas that are worked out. [mm2]"""
CHARGES = (1.0, 0.94, 0.86, 0.76, 0.64, 0.5, 0.35, 0.2)
"""Pressure in the intake port over that of the air: a stand-in for any fault of filling. [-]"""
DELAYS = (-16.0, -8.0, 0.0, 6.0, 12.0, 20.0, 30.0, 42.0)
"""Intake closing later than it should. [deg]"""
CLEARANCES = (1.18, 1.0, 0.95, 0.9, 0.84, 0.78)
"""Clearance volume over what it should be. [-]"""
SPEEDS = (1.0, 0.85, 0.7, 0.55, 0.4)
"""Cranking speed over that of the siblings. [-]"""

_USUAL_DOSE = 0.06
"""Oil over clearance volume where nobody said how much. [-]"""
_ALL_GONE = 0.05
"""Leak, over the swept volume, from which nothing is left to read: 50 mm2 a litre. [1/m]"""
_LITTLE = -4.0
"""A reading that is nothing is told as this logarithm beside a sound one. [-]"""
_SIZES = ((0.075, 0.080, 9.5), (0.090, 0.088, 9.0), (0.104, 0.092, 8.7))
"""Bore [m], stroke [m] and compression ratio of usual engines, where no sheet tells."""


@dataclass(frozen=True, slots=True)
class Responses:
    """
    Logarithms of a reading over that of a sound sibling, for each draw and after each stroke.

    Parameters
    ----------
    level : ndarray, shape (D, S)
        Logarithm of the sound reading itself [Pa gauge].
    base : ndarray, shape (D,)
        Ring leak of a sound cylinder. [mm2]
    leak, wet : ndarray, shape (D, A, S)
        At the areas of `LEAK_AREAS`, dry; and with the oil in the chamber, over the sound dry reading. [-]
    charge, delay, clearance, speed : ndarray, shape (D, n, S)
        At `CHARGES`, `DELAYS`, `CLEARANCES`, `SPEEDS`. [-]
    oil : ndarray, shape (D,)
        Volume of the oil behind ``wet``. [m3]
    oil_known : bool
        Somebody said how much it was.
    of_this_engine : bool
        Drawn about the engine's own sheet; else about engines of usual sizes.
    """

    level: Floats
    base: Floats
    leak: Floats
    wet: Floats
    charge: Floats
    delay: Floats
    clearance: Floats
    speed: Floats
    oil: Floats
    oil_known: bool
    of_this_engine: bool


def usual_engines(count: int) -> tuple[BuildSheet, ...]:
    """
    Return engines of usual sizes, for a test without a sheet.

    Parameters
    ----------
    count : int
        How many cylinders.

    Returns
    -------
    tuple of BuildSheet
        Small, middling and large: car engines of common practice.
    """
    names = tuple(str(number) for number in range(1, count + 1))
    return tuple(
        BuildSheet(
            name="usual",
            layout=Layout.INLINE if count > 1 else Layout.SINGLE,
            cylinders=names,
            geometry=Geometry(bore=bore, stroke=stroke, compression_ratio=ratio),
        )
        for bore, stroke, ratio in _SIZES
    )


def responses(sheet: BuildSheet | None, gauge: Gauge | None, conditions: Conditions, oil: float | None) -> Responses:
    """
    Work out what each fault would do on an engine.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine; None takes engines of usual sizes.
    gauge : Gauge or None
        The gauge; what is not known of it is drawn.
    conditions : Conditions
        The day; what is not known of it is drawn.
    oil : float or None
        Oil of a wet test; None where nobody said. [m3]

    Returns
    -------
    Responses
        For `DRAWS` draws.

    Raises
    ------
    CannotExpect, InputRefused
        As `ringtrue.physics.expect`.

    Notes
    -----
    With all plugs out it does not matter where a leak leads, so one table serves rings, valves and gasket. A cylinder
    that does not fill is one whose port has less pressure; the stroke map is good to 1 % there.
    """
    sheets = usual_engines(1) if sheet is None else (sheet,)
    each = DRAWS // len(sheets)
    drawn = []
    for of in sheets:
        check(of, gauge, conditions)
        inputs = inputs_of(of, gauge, conditions)
        drawn.append(vectors(of, values_at(inputs, hypercube(len(inputs), each))))
    together = np.concatenate(drawn)
    found = _table(together.tobytes(), together.shape, oil)
    return found if sheet is not None else replace(found, of_this_engine=False)


@lru_cache(maxsize=16)
def _table(drawn: bytes, shape: tuple[int, int], oil: float | None) -> Responses:
    """Work a table out once for an engine, gauge and day, however often readings come in."""
    from ringtrue.physics import _kernels as k

    sound = np.frombuffer(drawn).reshape(shape)
    poured = _USUAL_DOSE * sound[:, k.CLEARANCE] if oil is None else np.minimum(oil, 0.5 * sound[:, k.CLEARANCE])
    rows = [sound]

    def put(place: int, values: Floats | float, clearance: Floats | float = 0.0) -> None:
        changed = sound.copy()
        changed[:, place] = values
        changed[:, k.CLEARANCE] -= clearance
        rows.append(changed)

    largest = _ALL_GONE * np.pi / 4 * sound[:, k.BORE] ** 2 * sound[:, k.STROKE]
    for area in LEAK_AREAS:
        put(k.LEAK_RINGS, np.minimum(area * 1e-6, largest))
    for area in LEAK_AREAS:
        put(k.LEAK_RINGS, np.minimum(area * 1e-6, largest), poured)
    for charge in CHARGES:
        put(k.MANIFOLD, charge * sound[:, k.MANIFOLD])
    for delay in DELAYS:
        put(k.INTAKE_CLOSES, sound[:, k.INTAKE_CLOSES] + np.radians(delay))
    for share in CLEARANCES:
        put(k.CLEARANCE, share * sound[:, k.CLEARANCE])
    for share in SPEEDS:
        put(k.SPEED, share * sound[:, k.SPEED])
    read = needle(np.concatenate(rows), loosely=True).reshape(len(rows), len(sound), STROKES)
    level = np.log(read[0])
    ratios = np.maximum(np.log(read[1:]) - level, _LITTLE).transpose(1, 0, 2)
    ends = np.cumsum([len(LEAK_AREAS), len(LEAK_AREAS), len(CHARGES), len(DELAYS), len(CLEARANCES)])
    parts = np.split(ratios, ends, axis=1)
    return Responses(
        level=level,
        base=sound[:, k.LEAK_RINGS] * 1e6,
        leak=parts[0],
        wet=parts[1],
        charge=parts[2],
        delay=parts[3],
        clearance=parts[4],
        speed=parts[5],
        oil=poured,
        oil_known=oil is not None,
        of_this_engine=True,
    )


def clearance_of(sheet: BuildSheet, cylinder: str) -> float | None:
    """
    Return the clearance volume of a cylinder.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    cylinder : str
        Its name.

    Returns
    -------
    float or None
        None where bore, stroke or compression ratio are not known. [m3]
    """
    size, ratio = sheet.dimensions(cylinder), sheet.compression_ratio(cylinder)
    if size.bore is None or size.stroke is None or ratio is None:
        return None
    return swept_volume(size.bore, size.stroke) / (ratio - 1.0)
