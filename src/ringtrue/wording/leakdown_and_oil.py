"""One leak-down reading, and what oil did, as sentences."""

from __future__ import annotations

from ringtrue.measure import OIL_SHARE_WARNING, LeakdownFigures, Outcome, WetOverDry
from ringtrue.units import Unit
from ringtrue.wording.names import capital, listed
from ringtrue.wording.numbers import percent, pressure, ratio, shortest
from ringtrue.wording.rules import source_text

_SUSPECT = {Outcome.MET: "not suspect", Outcome.NOT_MET: "suspect", Outcome.NOT_JUDGED: "not judged"}
_HEARD = {
    "crankcase": "at the oil filler or dipstick",
    "intake": "at the intake",
    "exhaust": "at the exhaust",
    "coolant": "in the coolant",
    "nothing": "nowhere",
}


def loss_text(leak: LeakdownFigures) -> str:
    """
    Write the loss of a leak-down reading.

    Parameters
    ----------
    leak : LeakdownFigures
        The reading.

    Returns
    -------
    str
        Percentage, on its own side of the limit; empty where it was not read.
    """
    return "" if leak.loss is None else percent(100 * leak.loss, limit=100 * leak.limit)


def heard_text(heard: tuple[str, ...]) -> str:
    """
    Say where the air was heard.

    Parameters
    ----------
    heard : tuple of str
        As the reading has it.

    Returns
    -------
    str
        For the inside of a sentence; empty where nobody listened.

    Examples
    --------
    >>> heard_text(("intake", "cylinder 4"))
    'at the intake and at the plug hole of cylinder 4'
    """
    places = [_HEARD.get(each, f"at the plug hole of {each}") for each in heard]
    return listed(places) if places else ""


def leakdown_sentence(leak: LeakdownFigures, unit: Unit) -> str:
    """
    Tell one leak-down reading.

    Parameters
    ----------
    leak : LeakdownFigures
        The reading, judged.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        One or more sentences.
    """
    name = f"Leak-down, cylinder {leak.cylinder}" if leak.cylinder else "Leak-down"
    heard = f" Air heard {heard_text(leak.heard)}." if leak.heard else ""
    if leak.loss is None or leak.held is None or leak.supply is None:
        return f"{name}: not judged: {leak.reason}.{heard}"
    held = f"{pressure(leak.held, unit)} held of {pressure(leak.supply, unit)}"
    limit = f"suspect is more than {shortest(100 * leak.limit, 2)} % ({source_text(leak.source)})"
    reason = f" {capital(leak.reason)}." if leak.reason else ""
    return f"{name}: {loss_text(leak)} lost, {held}: {_SUSPECT[leak.outcome]}; {limit}.{heard}{reason}"


def oil_sentence(oil: WetOverDry) -> str:
    """
    Tell what oil did to one cylinder.

    Parameters
    ----------
    oil : WetOverDry
        What judging found.

    Returns
    -------
    str
        One or more sentences.
    """
    name = f"With oil, cylinder {oil.cylinder}"
    share = "" if oil.oil_share is None else f" Oil: {_share(oil.oil_share)} of the clearance volume."
    if oil.oil_share is not None and oil.oil_share > OIL_SHARE_WARNING:
        share += f" That is more than {shortest(100 * OIL_SHARE_WARNING, 1)} % (common practice): it says little."
    if oil.ratio is None:
        return f"{name}: {oil.reason}.{share}"
    if oil.net_ratio is None:
        return f"{name} read {ratio(oil.ratio)} times its dry final, the oil's own volume in it: {oil.reason}.{share}"
    return (
        f"{name} read {ratio(oil.ratio)} times its dry final; {ratio(oil.net_ratio)} times with the oil's own volume "
        f"taken out ({oil.reason}).{share}"
    )


def _share(share: float) -> str:
    return percent(100 * share, limit=100 * OIL_SHARE_WARNING)
