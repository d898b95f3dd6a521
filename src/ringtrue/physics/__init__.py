"""What the engine should do: flow and leaks, as pure computation in SI."""

from ringtrue.physics.leakdown import (
    RESTRICTOR_COEFFICIENT,
    STANDARD_AIR,
    area_ratio,
    effective_area,
    equivalent_loss,
)

__all__ = ["RESTRICTOR_COEFFICIENT", "STANDARD_AIR", "area_ratio", "effective_area", "equivalent_loss"]
