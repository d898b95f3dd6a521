"""The crank turned by hand from one compression top dead centre to the next, in a builder's words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ringtrue.engine import BuildSheet, Stop, turning
from ringtrue.sources import source
from ringtrue.wording.names import listed

_WHOLE_TURN = 360
_FOUR_STROKE = 4
_FINEST_SHARE = 24
"""A turn is not told in smaller shares than this: the degrees alone say more then."""

_SAME_ANGLE = 1e-6
"""Angles closer than this are the same one. [deg]"""

TURNING_HEAD = ("cylinder", "turn", "from the first", "piston also at the top")
"""Heads of the columns of `turning_rows`."""


def turn_text(degrees: float) -> str:
    """
    Say how far the crank is turned.

    Parameters
    ----------
    degrees : float
        [deg]

    Returns
    -------
    str
        Degrees, and the share of a turn where it is a plain one.

    Examples
    --------
    >>> turn_text(120.0), turn_text(540.0), turn_text(72.5)
    ('120 deg (1/3 turn)', '540 deg (1 1/2 turns)', '72.5 deg')
    """
    turns = Fraction(degrees / _WHOLE_TURN).limit_denominator(_FINEST_SHARE)
    plain = f"{degrees:g} deg"
    if abs(float(turns) * _WHOLE_TURN - degrees) > _SAME_ANGLE or not turns:
        return plain
    whole, part = divmod(turns, 1)
    told = " ".join(str(each) for each in (whole, part) if each)
    return f"{plain} ({told} turn{'s' if turns > 1 else ''})"


def turning_rows(stops: Sequence[Stop]) -> tuple[tuple[str, str, str, str], ...]:
    """
    Tell the order of turning as a table.

    Parameters
    ----------
    stops : sequence of Stop
        From `ringtrue.engine.turning`.

    Returns
    -------
    tuple of (str, str, str, str)
        A row a cylinder, as `TURNING_HEAD` says.
    """
    rows = []
    for at, stop in enumerate(stops):
        turn = "begin here" if at == 0 else "none: with the one before" if stop.turn == 0 else turn_text(stop.turn)
        rows.append((stop.cylinder, turn, f"{stop.angle:g} deg", ", ".join(stop.companions)))
    return tuple(rows)


def turning_sentences(sheet: BuildSheet, stops: Sequence[Stop]) -> tuple[str, ...]:
    """
    Say how the crank is turned from one cylinder to the next.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    stops : sequence of Stop
        From `ringtrue.engine.turning`; empty where the firing order is not known.

    Returns
    -------
    tuple of str
        Sentences, with their sources.
    """
    if not stops:
        return (f"{no_order(sheet)}.",)
    last, first = stops[-1], stops[0]
    which = "There are two in a cycle: the one of the compression stroke, with both valves shut, is meant."
    if sheet.cycle != _FOUR_STROKE:
        which = "A two-stroke has one in every turn, at the end of its compression stroke."
    told = [
        f"Turn in the running direction up to top dead centre ({source('DT-06')}).",
        f"Gone past it: back at least half a turn, and up again ({source('DT-05')}).",
        which,
    ]
    if len(stops) > 1:
        around = turn_text(sheet.cycle_angle - last.angle)
        told.append(f"After cylinder {last.cylinder}, {around} more bring cylinder {first.cylinder} up again.")
    else:
        told.append(f"It comes again after {turn_text(sheet.cycle_angle)}.")
    if any(stop.companions for stop in stops):
        told.append(
            "Where a second piston is at the top too, that cylinder is between exhaust and intake, its valves open; "
            "its own compression comes 360 deg later."
        )
    return tuple(told)


def turning_line(sheet: BuildSheet) -> str:
    """
    Tell the order of turning in one line, for paper.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    str
        A sentence; what it takes where the firing order is not known; empty for a single cylinder.
    """
    if len(sheet.cylinders) == 1:
        return ""
    stops = turning(sheet)
    if not stops:
        return f"{no_order(sheet)}."
    steps = {stop.turn for stop in stops[1:]}
    order = "-".join(stop.cylinder for stop in stops)
    if len(steps) == 1:
        return f"Top dead centres in firing order {order}, {turn_text(steps.pop())} apart."
    after = listed([f"{stop.turn:g}" for stop in stops[1:]])
    return f"Top dead centres in firing order {order}; crank degrees between them: {after}."


def no_order(sheet: BuildSheet) -> str:
    """
    Say what the order of turning takes.

    Parameters
    ----------
    sheet : BuildSheet
        The engine, whose firing order is not known.

    Returns
    -------
    str
        A sentence without its full stop.
    """
    return (
        f"The build sheet of {sheet.name} gives no firing order: with firing_order on it (and firing_intervals, if it "
        "does not fire evenly) the cylinders are listed with the crank angle between them"
    )
