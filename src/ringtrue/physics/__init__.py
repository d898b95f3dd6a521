"""
What the engine should do: the cranked cylinder, flow and leaks, as pure computation in SI.

Each half is loaded when something out of it is first asked for: what a leak lets through needs no arrays.
"""

from typing import TYPE_CHECKING

from ringtrue.lazily import halves

if TYPE_CHECKING:
    from ringtrue.physics.atmosphere import standard_pressure as standard_pressure
    from ringtrue.physics.atmosphere import standard_temperature as standard_temperature
    from ringtrue.physics.days import Day as Day
    from ringtrue.physics.days import between_days as between_days
    from ringtrue.physics.days import log_factors as log_factors
    from ringtrue.physics.expecting import STROKES as STROKES
    from ringtrue.physics.expecting import cranking_loss as cranking_loss
    from ringtrue.physics.expecting import expect as expect
    from ringtrue.physics.leakdown import RESTRICTOR_COEFFICIENT as RESTRICTOR_COEFFICIENT
    from ringtrue.physics.leakdown import area_ratio as area_ratio
    from ringtrue.physics.leakdown import effective_area as effective_area
    from ringtrue.physics.leakdown import equivalent_loss as equivalent_loss
    from ringtrue.physics.leakdown import loss_through as loss_through

HALVES = {
    "atmosphere": ("standard_pressure", "standard_temperature"),
    "days": ("Day", "between_days", "log_factors"),
    "expecting": ("STROKES", "cranking_loss", "expect"),
    "leakdown": ("RESTRICTOR_COEFFICIENT", "area_ratio", "effective_area", "equivalent_loss", "loss_through"),
}
"""What can be asked for, by the half that has it."""
__getattr__ = halves(__name__, HALVES)
