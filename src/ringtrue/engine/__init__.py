"""What the builder knows of the engine: build sheet, what follows from it, and how it looks from above."""

from ringtrue.engine.checks import MOST_CYLINDERS, doubts, faults, name_fault
from ringtrue.engine.geometry import piston_travel, swept_volume, volume
from ringtrue.engine.layout import Station, in_a_row, seen_from_above
from ringtrue.engine.parts import (
    RULES_TO_ADOPT,
    Camshaft,
    Cooling,
    Geometry,
    Heads,
    Ignition,
    Layout,
    Limits,
    Rings,
)
from ringtrue.engine.sheet import BuildSheet
from ringtrue.engine.turning import Stop, turning

__all__ = [
    "MOST_CYLINDERS",
    "RULES_TO_ADOPT",
    "BuildSheet",
    "Camshaft",
    "Cooling",
    "Geometry",
    "Heads",
    "Ignition",
    "Layout",
    "Limits",
    "Rings",
    "Station",
    "Stop",
    "doubts",
    "faults",
    "in_a_row",
    "name_fault",
    "piston_travel",
    "seen_from_above",
    "swept_volume",
    "turning",
    "volume",
]
