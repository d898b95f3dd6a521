"""What may be wrong, how often it is, and what each check costs: data that a shop can change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType

from ringtrue.engine import BuildSheet, Cooling, Ignition


class Cause(StrEnum):
    """What may be the matter with one cylinder."""

    SOUND = "sound"
    RINGS = "rings"
    INTAKE_VALVE = "intake_valve"
    EXHAUST_VALVE = "exhaust_valve"
    GASKET_NEIGHBOUR = "gasket_neighbour"
    GASKET_COOLANT = "gasket_coolant"
    NOT_FILLING = "not_filling"
    LATE_CLOSING = "late_closing"
    CARBON = "carbon"
    SLOW_CRANKING = "slow_cranking"
    GAUGE_OR_FITTING = "gauge_or_fitting"
    MISREAD = "misread"


LEAKS = (
    Cause.RINGS,
    Cause.INTAKE_VALVE,
    Cause.EXHAUST_VALVE,
    Cause.GASKET_NEIGHBOUR,
    Cause.GASKET_COOLANT,
)
"""Causes by which air gets out."""

CHARGE = (Cause.NOT_FILLING, Cause.LATE_CLOSING)
"""Causes by which too little air gets in, or stays in."""


class EngineCause(StrEnum):
    """What may be the matter with the whole engine, its day or its gauge."""

    NONE = "none"
    CAM_TIMING = "cam_timing"
    SLOW_OR_COLD_CRANKING = "slow_or_cold_cranking"
    THROTTLE = "throttle"
    GENERAL_WEAR = "general_wear"
    FUEL_WASHED = "fuel_washed"
    DECOMPRESSION = "decompression"
    CHAMBER_VOLUME = "chamber_volume"
    GAUGE = "gauge"


class BankCause(StrEnum):
    """What may be the matter with one whole bank."""

    CAM_TIMING = "cam_timing"
    GASKET = "gasket"


class Check(StrEnum):
    """What may be done next."""

    REPEAT_PULL = "repeat_pull"
    WET_PULL = "wet_pull"
    LEAK_DOWN = "leak_down"
    VALVE_LIFT = "valve_lift"
    CAM_TIMING = "cam_timing"
    BATTERY_AND_THROTTLE = "battery_and_throttle"
    ANOTHER_GAUGE = "another_gauge"
    BORESCOPE = "borescope"
    TAKE_APART = "take_apart"


@dataclass(frozen=True, slots=True)
class Cost:
    """
    What a check costs.

    Parameters
    ----------
    minutes : float
        Work at the engine, for one cylinder where it is about one. [min]
    risk : float
        Minutes that its risk is worth: what may be broken, or be worse afterwards. [min]
    """

    minutes: float
    risk: float = 0.0


CAUSES: Mapping[Cause, float] = MappingProxyType(
    {
        Cause.SOUND: 0.0,
        Cause.RINGS: 0.020,
        Cause.INTAKE_VALVE: 0.010,
        Cause.EXHAUST_VALVE: 0.016,
        Cause.GASKET_NEIGHBOUR: 0.005,
        Cause.GASKET_COOLANT: 0.003,
        Cause.NOT_FILLING: 0.008,
        Cause.LATE_CLOSING: 0.003,
        Cause.CARBON: 0.006,
        Cause.SLOW_CRANKING: 0.004,
        Cause.GAUGE_OR_FITTING: 0.008,
        Cause.MISREAD: 0.006,
    }
)
"""
How often one cylinder of an engine that was rebuilt and broken in has each cause: assumed, no count was found in print.
The order (rings and exhaust valves first) is common practice. Sound is what is left. [-]
"""

ENGINE_CAUSES: Mapping[EngineCause, float] = MappingProxyType(
    {
        EngineCause.NONE: 0.0,
        EngineCause.CAM_TIMING: 0.015,
        EngineCause.SLOW_OR_COLD_CRANKING: 0.03,
        EngineCause.THROTTLE: 0.02,
        EngineCause.GENERAL_WEAR: 0.01,
        EngineCause.FUEL_WASHED: 0.01,
        EngineCause.DECOMPRESSION: 0.003,
        EngineCause.CHAMBER_VOLUME: 0.015,
        EngineCause.GAUGE: 0.02,
    }
)
"""How often a whole engine, its day or its gauge has each cause: assumed. None is what is left. [-]"""

BANK_CAUSES: Mapping[BankCause, float] = MappingProxyType({BankCause.CAM_TIMING: 0.006, BankCause.GASKET: 0.003})
"""How often a whole bank has each cause: assumed. [-]"""

COSTS: Mapping[Check, Cost] = MappingProxyType(
    {
        Check.REPEAT_PULL: Cost(4.0),
        Check.WET_PULL: Cost(6.0, 2.0),
        Check.LEAK_DOWN: Cost(15.0, 3.0),
        Check.VALVE_LIFT: Cost(25.0, 1.0),
        Check.CAM_TIMING: Cost(40.0, 2.0),
        Check.BATTERY_AND_THROTTLE: Cost(5.0),
        Check.ANOTHER_GAUGE: Cost(10.0),
        Check.BORESCOPE: Cost(15.0, 1.0),
        Check.TAKE_APART: Cost(480.0, 240.0),
    }
)
"""Minutes of each check, plugs already out: common practice, every shop has its own. [min]"""


@dataclass(frozen=True, slots=True)
class Practice:
    """
    What a shop takes for granted: how often each cause is met, and what each check costs it.

    Parameters
    ----------
    causes : mapping of Cause to float
        Share of cylinders; `Cause.SOUND` is what is left, whatever stands there. [-]
    engine : mapping of EngineCause to float
        Share of engines; `EngineCause.NONE` is what is left. [-]
    banks : mapping of BankCause to float
        Share of banks. [-]
    costs : mapping of Check to Cost
        Of each check.
    """

    causes: Mapping[Cause, float] = field(default_factory=lambda: CAUSES)
    engine: Mapping[EngineCause, float] = field(default_factory=lambda: ENGINE_CAUSES)
    banks: Mapping[BankCause, float] = field(default_factory=lambda: BANK_CAUSES)
    costs: Mapping[Check, Cost] = field(default_factory=lambda: COSTS)

    def possible(self, sheet: BuildSheet | None) -> Practice:
        """
        Leave out what an engine cannot have.

        Parameters
        ----------
        sheet : BuildSheet or None
            The engine; None leaves everything in.

        Returns
        -------
        Practice
            Without a gasket to a neighbour where heads are separate, without one to the coolant where there is none,
            without oil in an engine of compression ignition.
        """
        if sheet is None:
            return self
        causes, costs = dict(self.causes), dict(self.costs)
        if not any(sheet.bridge_neighbours(name) for name in sheet.cylinders):
            causes.pop(Cause.GASKET_NEIGHBOUR, None)
        if sheet.cooling is Cooling.AIR:
            causes.pop(Cause.GASKET_COOLANT, None)
        if sheet.ignition is Ignition.COMPRESSION:
            costs.pop(Check.WET_PULL, None)
        return replace(self, causes=causes, costs=costs)
