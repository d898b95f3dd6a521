"""An engine over time: tests carried to one day, what changed between them, and where that leads."""

from ringtrue.history.carrying import Carried, CarriedCylinder, carry, is_same_gauge, not_said
from ringtrue.history.changing import SELDOM, Apart, Change, CylinderChange, Says, change, surely_for

__all__ = [
    "SELDOM",
    "Apart",
    "Carried",
    "CarriedCylinder",
    "Change",
    "CylinderChange",
    "Says",
    "carry",
    "change",
    "is_same_gauge",
    "not_said",
    "surely_for",
]
