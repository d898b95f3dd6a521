"""What the engine should do: the cranked cylinder, flow and leaks, as pure computation in SI."""

from ringtrue.physics.atmosphere import standard_pressure, standard_temperature
from ringtrue.physics.expecting import STROKES, between_days, cranking_loss, expect
from ringtrue.physics.leakdown import (
    RESTRICTOR_COEFFICIENT,
    area_ratio,
    effective_area,
    equivalent_loss,
    loss_through,
)

__all__ = [
    "RESTRICTOR_COEFFICIENT",
    "STROKES",
    "area_ratio",
    "between_days",
    "cranking_loss",
    "effective_area",
    "equivalent_loss",
    "expect",
    "loss_through",
    "standard_pressure",
    "standard_temperature",
]
