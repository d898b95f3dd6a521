"""What oil did to a cylinder, and whether that is much or little."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from ringtrue.diagnosis.facts import OilBasis, OilEffect, OilSays
from ringtrue.measure import OIL_SHARE_WARNING, WetOverDry

OIL_DOSE = 0.05
"""Oil over clearance volume that is enough for a wet test: common practice. [-]"""

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
