"""Valve timing as a cam card gives it: so many crank degrees before or after a dead centre."""

from __future__ import annotations

import re
from enum import StrEnum

from ringtrue.errors import NumberRefused, UnitRefused
from ringtrue.units.numbers import LONGEST, DecimalMark, parse_number, told
from ringtrue.units.table import SPELLINGS, Dimension, normal

_HALF_TURN = 180.0
_LONGEST_PHRASE = LONGEST + 40
_NUMBER_AND_REST = re.compile(r"\s*(?P<number>[^A-Za-z°º˚]*?)\s*(?P<rest>[A-Za-z°º˚].*)", re.DOTALL)


class ValveEvent(StrEnum):
    """Which dead centre a valve event is counted from, and on which side of it."""

    BEFORE_TDC = "before TDC"
    AFTER_TDC = "after TDC"
    BEFORE_BDC = "before BDC"
    AFTER_BDC = "after BDC"

    @property
    def other_side(self) -> ValveEvent:
        """The same dead centre, counted the other way."""
        side, centre = self.value.split()
        return ValveEvent(f"{'after' if side == 'before' else 'before'} {centre}")


_SIDES = {"before": ("before", "b"), "after": ("after", "a")}
_CENTRES = {
    "TDC": ("tdc", "tc", "topdeadcentre", "topdeadcenter", "topcentre", "topcenter"),
    "BDC": ("bdc", "bc", "bottomdeadcentre", "bottomdeadcenter", "bottomcentre", "bottomcenter"),
}
_PHRASES = {
    side_spelled + centre_spelled: ValveEvent(f"{side} {centre}")
    for side, sides in _SIDES.items()
    for side_spelled in sides
    for centre, centres in _CENTRES.items()
    for centre_spelled in centres
}
_DEGREES = sorted(SPELLINGS[Dimension.ANGLE], key=len, reverse=True)


def parse_valve_timing(text: str, *, mark: DecimalMark = DecimalMark.ASK, where: str = "") -> tuple[float, ValveEvent]:
    """
    Read when a valve opens or closes.

    Parameters
    ----------
    text : str
        ``8 deg before TDC``, ``44° ABDC``, ``44 after bottom dead centre``. The word for degrees may be left out.
    mark : DecimalMark
        As in `parse_number`.
    where : str
        The field, for the message.

    Returns
    -------
    tuple of (float, ValveEvent)
        Crank degrees, never negative, and what they are counted from. [deg]

    Raises
    ------
    NumberRefused
        There is no number, it is negative, or it is more than half a turn.
    UnitRefused
        It does not say before or after which dead centre.

    Examples
    --------
    >>> degrees, event = parse_valve_timing("44 ABDC")
    >>> degrees, event.value
    (44.0, 'after BDC')
    """
    found = _NUMBER_AND_REST.fullmatch(text) if len(text) <= _LONGEST_PHRASE else None
    event = None if found is None else _event(found["rest"])
    if found is None or event is None:
        raise UnitRefused.of(
            told(text),
            "a valve event is so many crank degrees before or after a dead centre",
            "type it as 8 deg before TDC, or 44 deg after BDC",
            where,
        )
    degrees = parse_number(found["number"], mark=mark, where=where)
    if degrees < 0:
        raise NumberRefused.of(
            told(text), "it is counted backwards", f"type {-degrees:g} deg {event.other_side}", where
        )
    if degrees > _HALF_TURN:
        raise NumberRefused.of(
            told(text),
            "from one dead centre to the next there are 180 degrees",
            "count from the nearer dead centre, such as 44 deg after BDC",
            where,
        )
    return degrees, event


def _event(phrase: str) -> ValveEvent | None:
    key = normal(phrase)
    for spelled in _DEGREES:
        if key.startswith(spelled) and (event := _PHRASES.get(key.removeprefix(spelled))) is not None:
            return event
    return _PHRASES.get(key)
