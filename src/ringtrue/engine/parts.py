"""The parts of a build sheet: dimensions, cam, rings, limits, in SI; None where not known."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from enum import StrEnum

from ringtrue.quantities import PaGauge, Radians

RULES_TO_ADOPT = ("CT-04", "CT-05", "CT-07", "DT-03")
"""Rules that belong to particular engines: they apply only when a sheet adopts them."""


class Layout(StrEnum):
    """How the cylinders stand."""

    SINGLE = "single"
    INLINE = "inline"
    V = "V"
    FLAT = "flat"
    RADIAL = "radial"


class Ignition(StrEnum):
    """What lights the charge."""

    SPARK = "spark"
    COMPRESSION = "compression"


class Heads(StrEnum):
    """Whether the cylinders of a bank share head and gasket."""

    SHARED = "shared"
    SEPARATE = "separate"


class Cooling(StrEnum):
    """What carries the heat away."""

    LIQUID = "liquid"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class Geometry:
    """
    Dimensions of a cylinder, nominal or measured; None where not known.

    Parameters
    ----------
    bore, stroke, rod : float or None
        Diameter, stroke, and length of the connecting rod between centres. [m]
    compression_ratio : float or None
        Volume at bottom over volume at top dead centre. [-]
    chamber : float or None
        Volume of the combustion chamber in the head. [m3]
    deck_clearance : float or None
        Piston below deck at top dead centre; above is negative. [m]
    gasket_thickness, gasket_bore : float or None
        Head gasket, crushed. [m]
    piston_dish : float or None
        Volume of the dish; a dome is negative. [m3]
    """

    bore: float | None = None
    stroke: float | None = None
    rod: float | None = None
    compression_ratio: float | None = None
    chamber: float | None = None
    deck_clearance: float | None = None
    gasket_thickness: float | None = None
    gasket_bore: float | None = None
    piston_dish: float | None = None

    def over(self, nominal: Geometry) -> Geometry:
        """
        Fill what was not measured from the nominal dimensions.

        Parameters
        ----------
        nominal : Geometry
            What the sheet gives for every cylinder.

        Returns
        -------
        Geometry
            This geometry where it is known, the nominal one elsewhere.
        """
        mine = {item.name: getattr(self, item.name) for item in fields(self)}
        return Geometry(**{key: getattr(nominal, key) if value is None else value for key, value in mine.items()})


@dataclass(frozen=True, slots=True)
class Camshaft:
    """
    Valve timing as the cam card quotes it; None where not known.

    Parameters
    ----------
    quoted_at_lift : float or None
        Lift at which the angles are quoted. [m]
    quoted_at : str
        "tappet" or "valve"; empty when not known.
    rocker_ratio : float or None
        Valve lift over tappet lift. [-]
    lash : float or None
        Clearance. [m]
    intake_opens, exhaust_opens : Radians or None
        Before top, before bottom dead centre; after is negative. [rad]
    intake_closes, exhaust_closes : Radians or None
        After bottom, after top dead centre; before is negative. [rad]
    intake_duration, exhaust_duration : Radians or None
        Crank angle between opening and closing. [rad]
    lobe_separation, advance : Radians or None
        Cam angle between the lobes' centres; crank angle by which the cam is advanced. [rad]
    intake_lift, intake_valve_diameter : float or None
        Peak lift at the valve; diameter of its head. [m]
    """

    quoted_at_lift: float | None = None
    quoted_at: str = ""
    rocker_ratio: float | None = None
    lash: float | None = None
    intake_opens: Radians | None = None
    intake_closes: Radians | None = None
    exhaust_opens: Radians | None = None
    exhaust_closes: Radians | None = None
    intake_duration: Radians | None = None
    exhaust_duration: Radians | None = None
    lobe_separation: Radians | None = None
    advance: Radians | None = None
    intake_lift: float | None = None
    intake_valve_diameter: float | None = None

    @property
    def intake_closing(self) -> Radians | None:
        """
        Crank angle after bottom dead centre at which the intake valve closes, at the quoted lift.

        Given, or from the lobe: its centre stands ``lobe_separation - advance`` after top dead centre, and the valve
        closes half the duration later. [rad]
        """
        if self.intake_closes is not None:
            return self.intake_closes
        if self.intake_opens is not None and self.intake_duration is not None:
            return Radians(self.intake_duration - self.intake_opens - math.pi)
        if self.intake_duration is not None and self.lobe_separation is not None:
            centre = self.lobe_separation - (self.advance or 0.0)
            return Radians(centre + self.intake_duration / 2 - math.pi)
        return None


@dataclass(frozen=True, slots=True)
class Rings:
    """
    The rings, as fitted.

    Parameters
    ----------
    kind : str
        "gapped" or "gapless"; empty when not known.
    top_gap : float or None
        End gap of the top ring. [m]
    """

    kind: str = ""
    top_gap: float | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """
    What the engine's own service data asks for.

    Parameters
    ----------
    minimum : PaGauge or None
        The least final of any cylinder. [Pa gauge]
    spread : float or None
        The most between highest and lowest final. [Pa]
    lowest_over_highest : float or None
        The least ratio of lowest to highest. [-]
    adopt : tuple of str
        Rules of particular engines that this one adopts, of `RULES_TO_ADOPT`.
    """

    minimum: PaGauge | None = None
    spread: float | None = None
    lowest_over_highest: float | None = None
    adopt: tuple[str, ...] = ()
