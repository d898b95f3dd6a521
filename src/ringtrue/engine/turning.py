"""Turning the crank by hand: which cylinder comes to compression top dead centre next, and how far that is."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.engine.sheet import BuildSheet


@dataclass(frozen=True, slots=True)
class Stop:
    """
    One cylinder at the top dead centre of its compression stroke.

    Parameters
    ----------
    cylinder : str
        Its name.
    turn : float
        How far the crank is turned to it from the stop before; 0 for the first. [deg]
    angle : float
        How far it was turned from the first stop. [deg]
    companions : tuple of str
        Whose pistons stand at the top too, on the other stroke: they have their own stop a whole turn away.
    """

    cylinder: str
    turn: float
    angle: float
    companions: tuple[str, ...]


def turning(sheet: BuildSheet, first: str = "") -> tuple[Stop, ...]:
    """
    List the cylinders in the order in which they come to compression top dead centre.

    Parameters
    ----------
    sheet : BuildSheet
        The engine. A single cylinder needs no firing order.
    first : str
        The cylinder to begin with; empty for the first in firing order.

    Returns
    -------
    tuple of Stop
        Every cylinder once, in firing order; from the last on, what is left of `BuildSheet.cycle_angle` brings the
        first one up again. Empty when the firing order is not known, or the engine has no such cylinder.

    Examples
    --------
    >>> from ringtrue.engine import Layout
    >>> four = BuildSheet(name="four", layout=Layout.INLINE, cylinders=tuple("1234"), firing_order=tuple("1342"))
    >>> [(stop.cylinder, stop.turn, stop.companions) for stop in turning(four, "4")]
    [('4', 0.0, ('1',)), ('2', 180.0, ('3',)), ('1', 180.0, ('4',)), ('3', 180.0, ('2',))]
    """
    order = sheet.firing_order or (sheet.cylinders if len(sheet.cylinders) == 1 else ())
    begin = first or (order[0] if order else "")
    if begin not in order:
        return ()
    at = order.index(begin)
    steps = sheet.firing_intervals or (sheet.cycle_angle,) * len(order)
    turns = (0.0, *(steps[at:] + steps[:at])[:-1])
    stops, angle = [], 0.0
    for name, turn in zip(order[at:] + order[:at], turns, strict=True):
        angle += turn
        stops.append(Stop(name, turn, angle, sheet.companions(name)))
    return tuple(stops)
