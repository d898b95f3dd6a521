"""What oil did to a cylinder, with and without the oil's own volume."""

from __future__ import annotations

from ringtrue.compression import CompressionTest, Kind, Series
from ringtrue.engine import BuildSheet
from ringtrue.measure.figures import readings_of
from ringtrue.measure.judgement import WetOverDry
from ringtrue.measure.statistics import mean
from ringtrue.quantities import STANDARD_AIR

EXPONENT = 1.3
"""Polytropic exponent of compressing unburned gas, 1.3 +/- 0.05 (GA-07, from memory). [-]"""


def oil_rise(clearance: float, trapped: float, oil: float) -> float:
    r"""
    Factor by which oil in the chamber raises the absolute final of a cylinder that it does not seal any better.

    .. math:: \left( \frac{V_1 - V_o}{V_c - V_o} \cdot \frac{V_c}{V_1} \right)^{n}, \quad n = 1.3

    Parameters
    ----------
    clearance : float
        Volume above the piston at top dead centre. [m3]
    trapped : float
        Volume when compression begins. [m3]
    oil : float
        Volume of the oil, less than the clearance. [m3]

    Returns
    -------
    float
        Wet over dry, absolute. [-]

    Notes
    -----
    Supposes that all of the oil stays in the chamber, and that the exponent is that of dry compression; between 1.2 and
    1.35 the rise of 5 % of oil changes by less than one per cent.

    References
    ----------
    .. [1] Polytropic compression with an exponent of 1.3 +/- 0.05, engine-fundamentals textbooks (from memory).

    Examples
    --------
    A twentieth of the clearance at a compression ratio of 9, by hand 1.3 log((179/180) (20/19)):

    >>> round(oil_rise(20.0, 180.0, 1.0), 4)
    1.0612
    """
    return float(((trapped - oil) / (clearance - oil) * clearance / trapped) ** EXPONENT)


def wet_over_dry(test: CompressionTest, sheet: BuildSheet | None) -> tuple[WetOverDry, ...]:
    """
    Compare the wet finals with the dry ones.

    Parameters
    ----------
    test : CompressionTest
        With both series, or nothing comes back.
    sheet : BuildSheet or None
        For the volumes.

    Returns
    -------
    tuple of WetOverDry
        One for each cylinder that has both a dry and a wet final, in the order of the dry series.
    """
    dry, wet = test.series(Kind.DRY), test.series(Kind.WET)
    if dry is None or wet is None:
        return ()
    barometer = test.conditions.barometer
    compared = (_compare(name, dry, wet, sheet, barometer.value if barometer else None) for name in dry.cylinders)
    return tuple(each for each in compared if each is not None)


def _compare(
    cylinder: str, dry: Series, wet: Series, sheet: BuildSheet | None, barometer: float | None
) -> WetOverDry | None:
    before = readings_of(cylinder, dry.of(cylinder)).final
    after = readings_of(cylinder, wet.of(cylinder)).final
    if before is None or after is None:
        return None
    if before <= 0:
        return WetOverDry(cylinder, None, None, None, "the dry final is zero")
    ratio = after / before
    poured = [pull.oil.value for pull in wet.of(cylinder) if pull.oil is not None]
    clearance, trapped, beginning = volumes_of(cylinder, sheet)
    if not poured or clearance is None:
        unknown = "the clearance volume is not known" if poured else "how much oil was not said"
        return WetOverDry(cylinder, ratio, None, None, unknown)
    oil = mean(poured)
    if trapped is None or oil >= clearance:
        why = "bore and stroke are not known" if trapped is None else "the oil is more than the clearance volume"
        return WetOverDry(cylinder, ratio, None, oil / clearance, why)
    air = STANDARD_AIR if barometer is None else barometer
    around = "standard atmosphere" if barometer is None else "barometer of the day"
    return WetOverDry(
        cylinder,
        ratio,
        net_ratio=((after + air) / oil_rise(clearance, trapped, oil) - air) / before,
        oil_share=oil / clearance,
        reason=f"exponent {EXPONENT}; {around}; compression from {beginning}",
    )


def volumes_of(cylinder: str, sheet: BuildSheet | None) -> tuple[float | None, float | None, str]:
    """
    Find the volumes between which a cylinder compresses.

    Parameters
    ----------
    cylinder : str
        Its name.
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    tuple of (float or None, float or None, str)
        Clearance and volume when compression begins, None where the sheet does not hold enough [m3]; and what that
        beginning is.
    """
    if sheet is None or cylinder not in sheet.cylinders:
        return None, None, ""
    clearance, swept = sheet.clearance_volume(cylinder), sheet.swept_volume(cylinder)
    trapped = sheet.volume_at_intake_closing(cylinder)
    if trapped is not None:
        return clearance, trapped, "intake closing"
    return clearance, None if clearance is None or swept is None else clearance + swept, "bottom dead centre"
