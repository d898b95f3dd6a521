"""How large a leak is, what another restrictor would show of it, and what it costs, as sentences."""

from __future__ import annotations

from collections.abc import Sequence

from ringtrue.compression import Band
from ringtrue.engine import BuildSheet
from ringtrue.measure import LeakdownFigures, Outcome
from ringtrue.sources import source
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit, written
from ringtrue.wording.checklists import where_to_listen
from ringtrue.wording.dangers import Care, care
from ringtrue.wording.names import listed
from ringtrue.wording.numbers import figure, percent, pressure, ratio

_MM, _INCH = find_unit("mm", Dimension.LENGTH), find_unit("in", Dimension.LENGTH)
_FOUR_STROKE = 4
_LEAKS = {
    "crankcase": "the rings",
    "intake": "the intake valve",
    "exhaust": "the exhaust valve",
    "coolant": "the head gasket or a crack",
}


def leakdown_cautions(sheet: BuildSheet | None = None) -> tuple[str, ...]:
    """
    Say in short what can hurt in a leak-down test.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    tuple of str
        Sentences that stand before any figure.
    """
    four = sheet is None or sheet.cycle == _FOUR_STROKE
    shut = "of its compression stroke, both valves shut" if four else "with its ports covered"
    return (
        care(Care.AIR, sheet),
        f"The piston stands at top dead centre {shut}; anywhere else the air drives it down ({source('DT-06')}).",
        "Ignition and fuel disabled, battery off: nobody can work the starter while a bar is on the crank.",
    )


def turning_cautions(sheet: BuildSheet | None = None) -> tuple[str, ...]:
    """
    Say in short what can hurt while the crank is turned by hand.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    tuple of str
        Sentences.
    """
    return (care(Care.TURNING, sheet), "Take the bar off the crank before anybody works the starter.")


def area_sentence(
    area: float | None, ratio_of_areas: float | None, restrictor: float | None, coefficient: float
) -> str:
    """
    Tell how large a leak is.

    Parameters
    ----------
    area : float or None
        Effective area; None where nothing was held, or the restrictor is not known. [m2]
    ratio_of_areas : float or None
        Its area over the restrictor's; None where nothing was held. [-]
    restrictor : float or None
        Bore of the restrictor. [m]
    coefficient : float
        Discharge coefficient of the restrictor. [-]

    Returns
    -------
    str
        One or more sentences.

    Examples
    --------
    >>> print(area_sentence(None, 0.93, None, 0.8))
    Effective area: not known without the restrictor's bore; the leak has 0.93 of the restrictor's area.
    """
    if ratio_of_areas is None:
        return (
            "A leak of 100 % has no size: it lets out all that the restrictor gives, and may be any larger. Look first "
            "whether the piston stands at top dead centre of its compression stroke."
        )
    if area is None or restrictor is None:
        return (
            f"Effective area: not known without the restrictor's bore; the leak has {ratio(ratio_of_areas)} of the "
            "restrictor's area."
        )
    if area == 0:
        return "Effective area: 0 mm2; there is no leak that these two gauges can show."
    hole = restrictor * ratio_of_areas**0.5
    return (
        f"Effective area of the leak: {area_text(area)}, its open area times a discharge coefficient. One round hole "
        f"like the restrictor (coefficient {coefficient:g}) that leaks as much is {written(hole, _MM)} "
        f"({written(hole, _INCH)}) wide."
    )


def area_text(area: float) -> str:
    """
    Write an effective area.

    Parameters
    ----------
    area : float
        [m2]

    Returns
    -------
    str
        In mm2.

    Examples
    --------
    >>> area_text(0.6e-6)
    '0.60 mm2'
    """
    return f"{figure(1e6 * area, 2)} mm2"


def elsewhere_sentence(through: Sequence[tuple[float, float | None]]) -> str:
    """
    Tell what other restrictors would show of the same leak.

    Parameters
    ----------
    through : sequence of (float, float or None)
        Restrictor [m], and the share that would be lost through it [-].

    Returns
    -------
    str
        A sentence; empty where nothing is known of it, or nothing leaks.
    """
    if all(loss == 0 for _, loss in through):
        return ""
    told = [f"{percent(100 * loss)} through {written(bore, _INCH)}" for bore, loss in through if loss is not None]
    if not told:
        return ""
    return f"The same leak would lose {listed(told)}: only readings through the same restrictor are alike."


def cost_sentence(cost: Band | None, why_not: str, unit: Unit) -> str:
    """
    Tell what a leak should cost of the cranking pressure.

    Parameters
    ----------
    cost : Band or None
        Difference of two finals; None where it is not known. [Pa]
    why_not : str
        Why it is not known, as a sentence without capital and full stop.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        A sentence.
    """
    name = "What such a leak should cost of the cranking pressure"
    if cost is None:
        return f"{name} is not known: {why_not}."
    middle, low, high = (pressure(each, gauge_unit(unit)) for each in (cost.median, cost.low, cost.high))
    return f"{name}: about {middle}, by the model of this engine ({low} to {high}: 90 %)."


def path_sentence(heard: Sequence[str], sheet: BuildSheet | None = None) -> str:
    """
    Say what usually leaks where the air comes out, or where to listen.

    Parameters
    ----------
    heard : sequence of str
        Where it was heard; empty where nobody listened.
    sheet : BuildSheet or None
        The engine.

    Returns
    -------
    str
        A sentence (common practice).

    Examples
    --------
    >>> path_sentence(["crankcase", "cylinder 4"])
    'What usually leaks there: the rings; the gasket between the two cylinders, or a crack (common practice).'
    """
    if not heard:
        return f"Listen: {where_to_listen(sheet)}."
    if "nothing" in heard:
        return "Air heard nowhere: look at hose and fitting too, with soapy water, before the engine is blamed."
    if sheet is not None and sheet.cycle != _FOUR_STROKE:
        return ""
    paths = dict.fromkeys(_LEAKS.get(each, "the gasket between the two cylinders, or a crack") for each in heard)
    return f"What usually leaks there: {'; '.join(paths)} (common practice)."


def again_sentence(leak: LeakdownFigures) -> str:
    """
    Say what comes before anything is taken apart.

    Parameters
    ----------
    leak : LeakdownFigures
        The reading, judged.

    Returns
    -------
    str
        A sentence; empty where the reading is not suspect.
    """
    if leak.outcome is not Outcome.NOT_MET:
        return ""
    return (
        "Before anything is taken apart: run the engine at least 3 min, and repeat the reading hot, at true top dead "
        f"centre ({source('DT-05')}; {source('DT-04')})."
    )
