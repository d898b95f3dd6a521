"""What the engine should do: flow and leaks, as pure computation in SI."""

from ringtrue.physics.leakdown import (
    RESTRICTOR_COEFFICIENT,
    area_ratio,
    effective_area,
    equivalent_loss,
)

__all__ = ["RESTRICTOR_COEFFICIENT", "area_ratio", "effective_area", "equivalent_loss"]
