"""A test beside another one of the same engine: carried to one day, height and starter, and compared."""

from ringtrue.history.normalising import (
    Carried,
    CarriedCylinder,
    Change,
    CylinderChange,
    Says,
    carry,
    change,
    is_same_gauge,
    not_said,
)

__all__ = [
    "Carried",
    "CarriedCylinder",
    "Change",
    "CylinderChange",
    "Says",
    "carry",
    "change",
    "is_same_gauge",
    "not_said",
]
