"""What a judged test means, for an owner who does not know the trade."""

from __future__ import annotations

from ringtrue.measure import CylinderFigures, Judgement, Place, SeriesJudgement
from ringtrue.units import Unit
from ringtrue.wording.numbers import interval, pressure


def summary(judged: Judgement | SeriesJudgement, unit: Unit) -> tuple[str, ...]:
    """
    Say what the readings mean.

    Parameters
    ----------
    judged : Judgement or SeriesJudgement
        A whole test, of which the dry series speaks (the wet one where there is no dry), or one series.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    tuple of str
        Sentences, the most important first.
    """
    series = judged.main if isinstance(judged, Judgement) else judged
    if series is None or series.mean is None:
        return ("Nothing was read, so nothing is judged.",)
    return tuple(place_sentence(each, unit) for each in series.cylinders)


def place_sentence(cylinder: CylinderFigures, unit: Unit) -> str:
    """
    Say where one cylinder stands.

    Parameters
    ----------
    cylinder : CylinderFigures
        The cylinder.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One sentence, with its final and, where the gauge is known, its interval.
    """
    if cylinder.final is None or cylinder.place is Place.NOT_READ:
        return f"Cylinder {cylinder.cylinder} was not read."
    within = "" if cylinder.interval is None else f" (90 %: {interval(cylinder.interval, unit)})"
    return f"Cylinder {cylinder.cylinder}: {pressure(cylinder.final, unit)}{within}, {cylinder.place}."
