"""How much oil a wet test takes, what it did to a cylinder, and whether that is much or little."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from ringtrue.diagnosis.facts import OilBasis, OilEffect, OilSays
from ringtrue.engine import BuildSheet, Ignition
from ringtrue.measure import OIL_SHARE_WARNING, WetOverDry
from ringtrue.measure.oil import oil_rise, volumes_of

OIL_DOSE = 0.05
"""Oil over clearance volume that is enough for a wet test: common practice. [-]"""

TEASPOON, TABLESPOON = 5e-6, 15e-6
"""Spoons of the trade: common practice. [m3]"""

CLEARLY_BETTER = 1.10
"""Wet over dry, the oil's own volume taken out, from which oil has clearly helped: common practice. [-]"""

CHANGES_LITTLE = 1.05
"""Wet over dry, the oil's own volume taken out, up to which oil changes little: common practice. [-]"""

LITTLE_AS_READ = 1.07
"""
Where the volumes are not known: wet over dry up to which oil changes little. The volume of `OIL_DOSE` makes as much by
itself, by hand 0.95^-1.3 = 1.069. [-]
"""

CLEAR_AS_READ = 1.24
"""
Where the volumes are not known: wet over dry from which something else than the oil's volume has helped. As much as
`OIL_SHARE_WARNING` makes by itself, by hand 0.85^-1.3 = 1.235. [-]
"""


@dataclass(frozen=True, slots=True)
class OilDose:
    """
    The oil of a wet test on one engine: one dose for all of its cylinders, set by the smallest clearance volume.

    Parameters
    ----------
    clearance : float
        The smallest clearance volume. [m3]
    dose : float
        What is enough: `OIL_DOSE` of it. [m3]
    most : float
        From here on a wet test says little: `ringtrue.measure.OIL_SHARE_WARNING` of it. [m3]
    tablespoon_share : float
        What the tablespoon of CT-02 would be of it. [-]
    rise : float or None
        Factor by which the dose raises an absolute final by its volume alone; None where the stroke is not known. [-]
    """

    clearance: float
    dose: float
    most: float
    tablespoon_share: float
    rise: float | None

    @property
    def tablespoon_is_too_much(self) -> bool:
        """The tablespoon of CT-02 would be more than the most."""
        return self.tablespoon_share > OIL_SHARE_WARNING


def oil_dose(sheet: BuildSheet | None) -> OilDose | None:
    """
    Work out the oil of a wet test from the clearance volumes.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    OilDose or None
        None when a clearance volume is not known, and for compression ignition, in which oil can lock or bend.

    References
    ----------
    .. [1] About 5 % of the clearance volume, a warning above 15 %: common practice. The tablespoon: US Army TM
       5-4210-230-14&P-1, addendum 2 (CT-02).

    Examples
    --------
    A bore of 92 mm and a stroke of 98 mm sweep 651.5 cc; over 7.4 that is 88.0 cc, and a twentieth of it 4.4 cc:

    >>> from ringtrue.engine import Geometry, Layout
    >>> size = Geometry(bore=0.092, stroke=0.098, compression_ratio=8.4)
    >>> found = oil_dose(BuildSheet(name="six", layout=Layout.INLINE, cylinders=tuple("123456"), geometry=size))
    >>> round(1e6 * found.dose, 1), round(found.tablespoon_share, 2), round(found.rise, 2)
    (4.4, 0.17, 1.06)
    """
    if sheet is None or sheet.ignition is Ignition.COMPRESSION:
        return None
    volumes = [volumes_of(name, sheet) for name in sheet.cylinders]
    known = [(clearance, trapped) for clearance, trapped, _ in volumes if clearance]
    if len(known) < len(volumes):
        return None
    clearance, trapped = min(known, key=lambda pair: pair[0])
    dose = OIL_DOSE * clearance
    return OilDose(
        clearance,
        dose,
        OIL_SHARE_WARNING * clearance,
        TABLESPOON / clearance,
        None if trapped is None else oil_rise(clearance, trapped, dose),
    )


def oil_effects(wet_over_dry: Sequence[WetOverDry], sound: Sequence[str]) -> tuple[OilEffect, ...]:
    """
    Tell what oil did to each cylinder that was pulled dry and wet.

    Net of the oil's own volume where that is known; else beside the siblings that are in line, which had the same oil;
    else as read, with limits so wide that the oil's volume alone passes neither.

    Parameters
    ----------
    wet_over_dry : sequence of WetOverDry
        What judging found.
    sound : sequence of str
        Cylinders whose dry finals are in line.

    Returns
    -------
    tuple of OilEffect
        In the same order. More oil than `ringtrue.measure.OIL_SHARE_WARNING` decides nothing.

    Notes
    -----
    Siblings are a measure only where they had the same dose, as is usual.
    """
    return tuple(_effect(each, wet_over_dry, sound) for each in wet_over_dry)


def _effect(one: WetOverDry, everyone: Sequence[WetOverDry], sound: Sequence[str]) -> OilEffect:
    siblings = [
        other.ratio
        for other in everyone
        if other.cylinder in sound and other.cylinder != one.cylinder and other.ratio is not None
    ]
    ratio, basis, little, clear = one.ratio, OilBasis.RAW, LITTLE_AS_READ, CLEAR_AS_READ
    if one.net_ratio is not None:
        ratio, basis, little, clear = one.net_ratio, OilBasis.NET, CHANGES_LITTLE, CLEARLY_BETTER
    elif ratio is not None and siblings and median(siblings) > 0:
        ratio, basis, little, clear = ratio / median(siblings), OilBasis.SIBLINGS, CHANGES_LITTLE, CLEARLY_BETTER
    says = OilSays.UNDECIDED
    if ratio is not None and (one.oil_share is None or one.oil_share <= OIL_SHARE_WARNING):
        if ratio >= clear:
            says = OilSays.CLEARLY_BETTER
        elif ratio <= little:
            says = OilSays.LITTLE
    return OilEffect(one.cylinder, ratio, basis, says, little, clear, one.oil_share)
