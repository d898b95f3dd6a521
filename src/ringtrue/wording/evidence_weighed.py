"""What one reading did to the odds, and what contradicts what, as sentences."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ringtrue.diagnosis.causes import CHARGE, LEAKS, Cause
from ringtrue.diagnosis.explanation import Because, Contradiction, Item, Says, Slip, Unsure
from ringtrue.measure.limits import DEFAULT
from ringtrue.units import Dimension, Unit, find_unit, from_si
from ringtrue.wording.causes import answer_name, cause_name
from ringtrue.wording.leakdown_and_oil import heard_text
from ringtrue.wording.names import capital, listed
from ringtrue.wording.numbers import figure, percent, ratio
from ringtrue.wording.shown import Shown

_MM = find_unit("mm", Dimension.LENGTH)

STRONGLY, PLAINLY, A_LITTLE = 10.0, 3.0, 1.25
"""Odds times this or more: a reading speaks strongly, plainly, or a little for something (a choice of words). [-]"""

_ITEMS: Mapping[Item, str] = MappingProxyType(
    {
        Item.FINAL: "the final",
        Item.REPEATS: "what the repeats show",
        Item.EARLIER: "what earlier tests of this engine show",
        Item.FIRST: "the first stroke",
        Item.SPEED: "the cranking speed",
        Item.PLUG: "the look of the plug",
        Item.WET: "the wet test",
        Item.LEAKDOWN: "the leak-down",
        Item.HEARD: "where the air is heard",
        Item.LIFT: "the measured valve lift",
    }
)

_SLIPS: Mapping[Slip, tuple[str, str]] = MappingProxyType(
    {
        Slip.NOT_AT_TOP: (
            "the piston did not stand at top dead centre of its compression stroke",
            "Repeat the leak-down at true top dead centre, the engine warm.",
        ),
        Slip.HEARD_ELSEWHERE: (
            "the air was heard at a hose, a fitting or the regulator, or at another cylinder",
            "Repeat the leak-down with soapy water on hose and fitting, and listen again.",
        ),
        Slip.SUPPLY_NOT_ON: (
            "the air was not on, or a gauge stood still",
            "Repeat the leak-down: look at both gauges while the valve is opened, and again with the hose let go.",
        ),
        Slip.NOT_LISTENED: (
            "a place was not listened to",
            "Put the air on again, and listen at every place, the next plug holes and the coolant too.",
        ),
        Slip.FITTING_LEAKS: (
            "hose or fitting leak, and the cylinder does not",
            "Soapy water on hose and fitting, a new O-ring, and repeat the leak-down.",
        ),
        Slip.OIL_OR_LEAKDOWN: (
            "the leak-down was not at top dead centre, or the wet pull had more oil or more strokes than is written",
            "Repeat the leak-down at true top dead centre first; then the wet pull with a measured dose.",
        ),
        Slip.TWO_READINGS: (
            "it was entered twice, or pulled again and not said to be a repeat",
            "Choose which reading stands, or enter them as repeats 1 and 2.",
        ),
        Slip.FINAL_MISREAD: (
            "the final was misread, or the gauge did not seal or had not been vented",
            "Pull it again, with as many compression strokes as the others, and read twice.",
        ),
    }
)
"""The likeliest slip, and what to read again."""


def item_name(item: Item) -> str:
    """
    Name a piece of evidence.

    Parameters
    ----------
    item : Item
        Which.

    Returns
    -------
    str
        For the inside of a sentence.
    """
    return _ITEMS[item]


def read_text(item: Item, read: float | None, words: tuple[str, ...], unit: Unit) -> str:
    """
    Name a piece of evidence with what was read.

    Parameters
    ----------
    item : Item
        Which.
    read : float or None
        What was read, in SI: see `ringtrue.diagnosis.explanation.Because`.
    words : tuple of str
        What was written.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    str
        For the inside of a sentence.

    Examples
    --------
    >>> psi = find_unit("psi", Dimension.PRESSURE)
    >>> read_text(Item.LEAKDOWN, 0.24, (), psi), read_text(Item.HEARD, None, ("exhaust",), psi)
    ('the leak-down of 24.0 %', 'the air heard at the exhaust')
    """
    if item is Item.HEARD and words:
        return f"the air heard {heard_text(words)}"
    if item is Item.PLUG and words:
        return f"the {listed(words)} plug"
    if read is None:
        return _ITEMS[item]
    return {
        Item.FINAL: lambda: f"the final of {Shown(unit).final(read)}" if read > 0 else "a gauge that hardly moved",
        Item.FIRST: lambda: f"the first stroke ({ratio(read)} times the others' first over final)",
        Item.SPEED: lambda: f"the cranking speed ({ratio(read)} times the others')",
        Item.WET: lambda: f"the wet test ({ratio(read)} times the dry final)",
        Item.LEAKDOWN: lambda: f"the leak-down of {percent(100 * read, limit=100 * DEFAULT['leakdown_suspect'])}",
        Item.LIFT: lambda: f"the measured valve lift ({figure(from_si(read, _MM), 2)} mm lost)",
    }.get(item, lambda: _ITEMS[item])()


def because_sentence(because: Because, says: Says, unit: Unit, partner: str = "") -> str:
    """
    Say what one piece of evidence did.

    Parameters
    ----------
    because : Because
        What it did.
    says : Cause or Unsure
        The answer that its factor is about.
    unit : Unit
        Unit of pressures.
    partner : str
        The neighbour with which a gasket leak may be shared.

    Returns
    -------
    str
        One sentence. A path is named only where the answer names it: a final alone never does.
    """
    what = capital(read_text(because.item, because.read, because.words, unit))
    if says is Unsure.UNDECIDED:
        if because.for_cause is Cause.SOUND or not 1 / A_LITTLE < because.factor < A_LITTLE:
            return f"{what} speaks most for {_in_general(because, partner)}."
        return f"{what} changes little."
    answer = _BROAD.get(says) or answer_name(says, partner)
    weight, side = (because.factor, "for") if because.factor >= 1 else (_inverse(because.factor), "against")
    if weight < A_LITTLE:
        return f"{what} changes little."
    how = " strongly" if weight >= STRONGLY else "" if weight >= PLAINLY else " a little"
    other = ""
    if side == "against" and isinstance(says, Cause) and because.for_cause is not says:
        other = f", and for {_in_general(because, partner)}"
    return f"{what} speaks{how} {side} {answer}{other}."


def _in_general(because: Because, partner: str) -> str:
    """Name what a reading speaks for; pressures alone tell a leak from a poor charge, and name no path."""
    if because.item in _PATHLESS and because.for_cause in (*LEAKS, *CHARGE):
        return _BROAD[Unsure.LEAK_PATH_UNKNOWN if because.for_cause in LEAKS else Unsure.CHARGE_OR_TIMING]
    return cause_name(because.for_cause, partner)


_PATHLESS = {Item.FINAL, Item.REPEATS, Item.EARLIER, Item.FIRST, Item.SPEED}
_BROAD: Mapping[Says, str] = MappingProxyType(
    {Unsure.LEAK_PATH_UNKNOWN: "a leak", Unsure.CHARGE_OR_TIMING: "charge or timing"}
)


def _inverse(factor: float) -> float:
    return 1 / factor if factor > 0 else float("inf")


def contradiction_sentences(contradiction: Contradiction, unit: Unit) -> tuple[str, str, str]:
    """
    Tell a contradiction, its likeliest slip, and what to read again.

    Parameters
    ----------
    contradiction : Contradiction
        What was set aside.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    tuple of (str, str, str)
        Three sentences.
    """
    first, *others = contradiction.between
    told = [read_text(first, contradiction.read, contradiction.words if first in _WORDED else (), unit)]
    told += [read_text(each, None, contradiction.words if each in _WORDED else (), unit) for each in others]
    slip, again = _SLIPS[contradiction.slip]
    name = f"Cylinder {contradiction.cylinder}"
    both = f"{listed(told)} contradict each other" if others else f"{told[0]} contradicts itself"
    aside = "are left aside until they have" if others else "is left aside until it has"
    return f"{name}: {both}, and {aside} been read again.", f"Likeliest: {slip}.", again


_WORDED = {Item.HEARD, Item.PLUG}
