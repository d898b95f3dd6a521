"""What the builder knows of the engine: the build sheet, in SI."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from ringtrue.engine import geometry
from ringtrue.engine.parts import Camshaft, Cooling, Geometry, Heads, Ignition, Layout, Limits, Rings
from ringtrue.quantities import Radians

SAME_ANGLE = math.radians(0.05)
"""Two dead centres closer than this are the same one. [rad]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet:
    """
    One engine as it was built.

    Parameters
    ----------
    name : str
        What the shop calls it.
    layout : Layout
        How the cylinders stand.
    cylinders : tuple of str
        Their names, as text.
    reference : str
        The shop's own reference; empty when there is none.
    cycle : int
        4 or 2 strokes.
    ignition : Ignition or None
        None when not said.
    banks : tuple of tuple of str
        Each bank front to rear; the rows of a radial engine. One bank of all of them when left out.
    firing_order : tuple of str
        Empty when not known.
    firing_intervals : tuple of float
        Crank angle after each cylinder in firing order [deg]; even when left out.
    heads : Heads or None
        None when not said.
    cooling : Cooling or None
        None when not said.
    hazards : tuple of str
        What adds cautions: "direct injection", "hybrid", "decompressor".
    geometry : Geometry
        Nominal dimensions.
    measured : mapping of str to Geometry
        What was measured on single cylinders.
    camshaft, rings, limits : Camshaft, Rings, Limits
        The rest of the sheet.
    family, gasket : str
        What the shop calls engines of this family, and head gaskets of this kind; empty when not said.
    measured_gaps : mapping of str to float
        End gap of the top ring, where it was measured on single cylinders. [m]
    """

    name: str
    layout: Layout
    cylinders: tuple[str, ...]
    reference: str = ""
    cycle: int = 4
    ignition: Ignition | None = None
    banks: tuple[tuple[str, ...], ...] = ()
    firing_order: tuple[str, ...] = ()
    firing_intervals: tuple[float, ...] = ()
    heads: Heads | None = None
    cooling: Cooling | None = None
    hazards: tuple[str, ...] = ()
    geometry: Geometry = field(default_factory=Geometry)
    measured: Mapping[str, Geometry] = field(default_factory=lambda: MappingProxyType({}))
    camshaft: Camshaft = field(default_factory=Camshaft)
    rings: Rings = field(default_factory=Rings)
    limits: Limits = field(default_factory=Limits)
    family: str = ""
    gasket: str = ""
    measured_gaps: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        if not self.banks:
            object.__setattr__(self, "banks", (self.cylinders,))
        if self.firing_order and not self.firing_intervals:
            even = self.cycle_angle / len(self.firing_order)
            object.__setattr__(self, "firing_intervals", (even,) * len(self.firing_order))

    @property
    def key(self) -> str:
        """How a record book knows the engine: its reference, else its name."""
        return self.reference or self.name

    @property
    def pull_order(self) -> tuple[str, ...]:
        """Down one bank, then the other."""
        return tuple(name for bank in self.banks for name in bank)

    @property
    def banks_are_missing(self) -> bool:
        """A V or flat engine of several cylinders whose banks the sheet does not tell apart."""
        return len(self.banks) <= 1 < len(self.cylinders) and self.layout in {Layout.V, Layout.FLAT}

    @property
    def heads_are_shared(self) -> bool:
        """
        Whether cylinders of a bank share a head gasket.

        Where the sheet does not say: yes, unless the engine is air-cooled, radial or has one cylinder.
        """
        if self.heads is not None:
            return self.heads is Heads.SHARED
        return self.cooling is not Cooling.AIR and self.layout not in {Layout.RADIAL, Layout.SINGLE}

    def bridge_neighbours(self, cylinder: str) -> tuple[str, ...]:
        """
        Return the cylinders that share a gasket bridge with one.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        tuple of str
            Front neighbour first; empty with separate heads.
        """
        if not self.heads_are_shared:
            return ()
        for bank in self.banks:
            if cylinder in bank:
                place = bank.index(cylinder)
                return bank[max(place - 1, 0) : place] + bank[place + 1 : place + 2]
        return ()

    @property
    def cycle_angle(self) -> float:
        """Crank angle of one whole cycle. [deg]."""
        return 180.0 * self.cycle

    @property
    def compression_top_dead_centres(self) -> dict[str, float]:
        """
        Crank angle of each cylinder's compression top dead centre, from that of the first in firing order [deg].

        Empty when the firing order is not known.
        """
        angle, angles = 0.0, {}
        for name, interval in zip(self.firing_order, self.firing_intervals, strict=True):
            angles[name] = angle
            angle += interval
        return angles

    def companions(self, cylinder: str) -> tuple[str, ...]:
        """
        Return the cylinders whose pistons are at the top when this one's is, on the other stroke.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        tuple of str
            Usually one; empty for a two-stroke, for an engine that has none, and when the firing order is not known.
        """
        angles = self.compression_top_dead_centres
        if self.cycle != 4 or cylinder not in angles:  # noqa: PLR2004 - a four-stroke
            return ()
        opposite = math.radians(angles[cylinder] + 360.0)

        def apart(other: str) -> float:
            return abs(math.remainder(math.radians(angles[other]) - opposite, 4 * math.pi))

        return tuple(name for name in self.cylinders if name != cylinder and apart(name) < SAME_ANGLE)

    def dimensions(self, cylinder: str) -> Geometry:
        """
        Return a cylinder's dimensions: measured where measured, else nominal.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        Geometry
            What is known of it.
        """
        own = self.measured.get(cylinder)
        return self.geometry if own is None else own.over(self.geometry)

    def swept_volume(self, cylinder: str) -> float | None:
        """
        Return the volume one piston sweeps.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        float or None
            None when bore or stroke is not known. [m3]
        """
        size = self.dimensions(cylinder)
        if size.bore is None or size.stroke is None:
            return None
        return geometry.swept_volume(size.bore, size.stroke)

    def clearance_volume(self, cylinder: str) -> float | None:
        r"""
        Return the volume above one piston at top dead centre.

        From its volumes where the sheet has them. Where the sheet has a compression ratio and not all the volumes that
        would make it, :math:`V_c = V_s / (r - 1)` belongs to the mean of the measured cylinders, and each of them is
        off it by as much as its measured volumes are off their mean.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        float or None
            None when the sheet does not hold enough. [m3]
        """
        own = self.measured.get(cylinder, Geometry())
        if own.compression_ratio is not None:
            return geometry.clearance_from_ratio(self.swept_volume(cylinder), own.compression_ratio)
        base = geometry.clearance_from_ratio(self._nominal_swept, self.geometry.compression_ratio)
        if base is None or geometry.clearance_from_parts(self.geometry) is not None:
            return geometry.clearance_from_parts(self.dimensions(cylinder))
        return base + self._measured_difference(own)

    def compression_ratio(self, cylinder: str) -> float | None:
        """
        Return one cylinder's compression ratio.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        float or None
            None when the sheet does not hold enough. [-]
        """
        swept, clearance = self.swept_volume(cylinder), self.clearance_volume(cylinder)
        if swept is None or clearance is None:
            return self.dimensions(cylinder).compression_ratio
        return (swept + clearance) / clearance

    def volume_at_intake_closing(self, cylinder: str) -> float | None:
        """
        Return the volume trapped when the intake valve closes, at the lift the cam card quotes.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        float or None
            None when cam, rod or volumes are not known. [m3]
        """
        size, closing, clearance = (
            self.dimensions(cylinder),
            self.camshaft.intake_closing,
            self.clearance_volume(cylinder),
        )
        if closing is None or clearance is None or size.bore is None or size.stroke is None or size.rod is None:
            return None
        return geometry.volume(clearance, size.bore, size.stroke, size.rod, Radians(math.pi + closing))

    @property
    def displacement(self) -> float | None:
        """What all pistons sweep together; None when bore or stroke is not known. [m3]."""
        volumes = [self.swept_volume(name) for name in self.cylinders]
        known = [volume for volume in volumes if volume is not None]
        return sum(known) if len(known) == len(volumes) else None

    @property
    def _nominal_swept(self) -> float | None:
        if self.geometry.bore is None or self.geometry.stroke is None:
            return None
        return geometry.swept_volume(self.geometry.bore, self.geometry.stroke)

    def _measured_difference(self, own: Geometry) -> float:
        """How far a cylinder's measured volumes are from the mean of the measured ones. [m3]."""
        total = 0.0
        for part in geometry.PARTS:
            mine = getattr(own, part)
            if mine is None:
                continue
            # The sheet's own figure, where it has one, is what the ratio was made with; else the mean of the measured.
            base = getattr(self.geometry, part)
            if base is None:
                others = [v for one in self.measured.values() if (v := getattr(one, part)) is not None]
                base = sum(others) / len(others)
            total += geometry.part_volume(part, mine - base, own.over(self.geometry))
        return total
