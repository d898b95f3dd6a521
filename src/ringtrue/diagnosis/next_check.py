"""The next check: what each could show, and which tells most for its minutes."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ringtrue.diagnosis.causes import Check

RESULTS: Mapping[Check, tuple[str, ...]] = MappingProxyType(
    {
        Check.REPEAT_PULL: ("much_lower", "as_before", "much_higher"),
        Check.WET_PULL: ("little", "between", "clearly_better"),
        Check.LEAK_DOWN: ("tight", "crankcase", "intake", "exhaust", "coolant", "neighbour", "nowhere"),
        Check.VALVE_LIFT: ("full", "lost"),
        Check.CAM_TIMING: ("right", "off"),
        Check.BATTERY_AND_THROTTLE: ("right", "wrong"),
        Check.ANOTHER_GAUGE: ("as_before", "other"),
        Check.BORESCOPE: ("clean", "rings", "intake_valve", "exhaust_valve", "carbon", "coolant"),
        Check.TAKE_APART: ("seen",),
    }
)
"""Possible results of each check; those of leak-down are where the air is heard, or that the cylinder holds."""
