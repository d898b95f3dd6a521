"""What the engine should do: the cranked cylinder, flow and leaks, as pure computation in SI."""

from ringtrue.physics.atmosphere import standard_pressure, standard_temperature
from ringtrue.physics.days import Day, between_days, log_factors
from ringtrue.physics.expecting import STROKES, cranking_loss, expect
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
    "Day",
    "area_ratio",
    "between_days",
    "cranking_loss",
    "effective_area",
    "equivalent_loss",
    "expect",
    "log_factors",
    "loss_through",
    "standard_pressure",
    "standard_temperature",
]
