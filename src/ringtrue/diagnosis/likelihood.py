"""How likely what was read of a cylinder is in each of its states."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from ringtrue.diagnosis.causes import Cause
from ringtrue.diagnosis.cells import PATHS, Cells
from ringtrue.diagnosis.evidence import Read
from ringtrue.diagnosis.explanation import Item
from ringtrue.diagnosis.predicted import Predicted, Variant
from ringtrue.physics.responses import SPEEDS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

BUILD = 0.012
"""Standard deviation of what sound siblings differ by: chambers, rings, the starter from pull to pull (assumed). [-]"""
KNOWN_BUILD = 0.006
"""The same beside an earlier test of the same engine. [-]"""
NEAR_NOTHING = -2.5
"""A final this far below a sound one, as a logarithm, is at or near zero: a twelfth. [-]"""
FREEDOM = 7
"""Degrees of freedom of Student's t, which some siblings need that differ by more (assumed)."""
SEALED = ((0.35, 0.25), (0.6, 0.35), (0.85, 0.4))
"""Share of a ring leak that oil seals, and how often it does so: assumed; that it does is common practice. [-]"""
STANDSTILL = 0.28
"""Standard deviation of the logarithm of a leak at standstill over the same leak while cranking: assumed. [-]"""
ODD_STANDSTILL, ODD_SHARE = 0.7, 0.12
"""The same of some leaks, a ring that moves or a valve that turns, and how many they are: assumed. [-]"""
SOUND_AT_REST = (0.09, 0.19, 0.38, 0.8)
"""Leaks of a sound cylinder at standstill that are looked at. [mm2]"""
USUAL_AT_REST, USUAL_SPREAD = 0.3, 0.6
"""Middle of those [mm2], and standard deviation of the logarithm: common practice, up to 10 % through 0.040 in. [-]"""
NOT_AT_TOP = 0.04
"""How often a leak-down is read beside top dead centre, or otherwise says nothing: assumed. [-]"""
HEARS, HALF_HEARD, STEEP = 0.97, 0.22, 2.2
"""How often a leak is heard at best; half of that at that area [mm2]; how fast it rises: assumed."""
BLOW_BY, WRONG_PLACE = 0.15, 0.03
"""How often a sound cylinder's blow-by is heard, and air where none is: assumed. [-]"""
SPOILED = 0.12
"""First strokes that began part-way up compression and that nobody marked: assumed. [-]"""
ODD_FIRST = 0.1
"""Density of a spoiled first that is higher than its siblings', or next to nothing: assumed. [-]"""
FIRST_SPREAD = 0.045
"""Standard deviation of a first stroke over its siblings', from where the crank stood: assumed. [-]"""
FIRST_COUNTS = 0.5
"""Share of what a first stroke says that is taken for true: where the crank stood is not in the model. [-]"""
FIRST_SAYS = 1.1
"""How much a first stroke speaks for rings or for valves: weak evidence of common practice, at most 2. [-]"""
STARVED, STARVED_SHARE = 2, 0.4
"""Row of `CHARGES` from which a cylinder hardly fills, and how often oil then does whatever it does: assumed. [-]"""
SLOW_ONCE = 0.6
"""How often a pull that was slow is not slow again: assumed. [-]"""
SPEED_SPREAD = 0.025
"""Standard deviation of a cranking speed beside its siblings': assumed. [-]"""
LIFT_SPREAD, LIFT_SEEN = 0.15e-3, 0.65
"""How closely lift is measured [m]; how often a cylinder that does not fill has lost lift: assumed."""
LIFT_RANGE = 6e-3
"""Losses of lift up to this are equally likely. [m]"""
MISREAD_RANGE = 1.2
"""A misread final may be off by this in all, as a logarithm. [-]"""

PLACES = dict(zip(PATHS, ("crankcase", "intake", "exhaust", "", "coolant"), strict=True))
_PLUG_SAYS: dict[tuple[str, Cause], float] = {
    ("oily", Cause.RINGS): 3.0,
    ("sooty", Cause.NOT_FILLING): 1.5,
    ("white", Cause.GASKET_COOLANT): 2.5,
    ("wet with fuel", Cause.MISREAD): 1.0,
}
_T_TOP = math.gamma((FREEDOM + 1) / 2) / (math.sqrt(FREEDOM * math.pi) * math.gamma(FREEDOM / 2))
_LOG_ROOT = 0.5 * math.log(2 * math.pi)


def normal(off: Floats, spread: Floats | float) -> Floats:
    """
    Return the logarithm of the normal density.

    Parameters
    ----------
    off : ndarray
        From the middle.
    spread : ndarray or float
        Standard deviation.

    Returns
    -------
    ndarray
        Same shape.
    """
    return -0.5 * (off / spread) ** 2 - np.log(spread) - _LOG_ROOT


def of_final(read: Read, predicted: Predicted, scale: Floats, last: int) -> Floats:
    """
    Return how likely a final is.

    Parameters
    ----------
    read : Read
        The cylinder.
    predicted : Predicted
        Of each state.
    scale : ndarray, shape (S,)
        Logarithms of what a sound sibling may show.
    last : int
        Stroke of the final, from 0.

    Returns
    -------
    ndarray, shape (D, S, C)
        Densities, not logarithms.
    """
    if read.final is None:
        return np.ones((1, len(scale), len(predicted.cells.main)))
    build = BUILD if read.earlier is None else KNOWN_BUILD
    spread = math.hypot(read.spread, build)
    off = math.log(read.final) - (read.earlier or 0.0)
    wide = np.hypot(spread, predicted.bin_width(last) / math.sqrt(12))
    # Near nothing is near nothing, whatever is left of it.
    read_off = np.maximum(off - scale, NEAR_NOTHING)[None, :, None]
    gap = (read_off - np.maximum(predicted.dry(last), NEAR_NOTHING)[:, None, :]) / wide
    # Student's t by its even power: no exponential of a quarter of a million figures.
    gap *= gap
    gap *= 1.0 / FREEDOM
    gap += 1.0
    gap *= gap
    gap *= gap
    density = _T_TOP / wide / gap
    nothing = off - scale <= NEAR_NOTHING
    if nothing.any():
        # A valve that does not open at all leaves nothing to compress: less than the least charge that is worked out.
        charge = predicted.cells.rows[Cause.NOT_FILLING]
        best = np.broadcast_to(_T_TOP / wide, density.shape)
        density = np.where(nothing[None, :, None] & (charge == charge.max()), best, density)
    misread = predicted.cells.of(Cause.MISREAD)
    near = np.abs(off - scale) < MISREAD_RANGE / 2
    density[:, :, misread] = np.where(near, 1.0, 1e-3)[None, :, None] / MISREAD_RANGE
    return np.asarray(density)


def of_first(read: Read, predicted: Predicted, middle: Floats | None, last: int) -> dict[Item, Floats]:
    """
    Return how likely a first stroke is.

    Parameters
    ----------
    read : Read
        The cylinder.
    predicted : Predicted
        Of each state.
    middle : ndarray, shape (D,), or None
        Logarithm of first over final of a sound sibling; None where too few were seen.
    last : int
        Stroke of the final, from 0.

    Returns
    -------
    dict of Item to ndarray, shape (D, C)
        Logarithms; empty where there is nothing to say.
    """
    if read.first is None or middle is None:
        return {}
    first = read.first
    off = math.log(first) - middle[:, None] - predicted.first(last)
    usual = np.exp(normal(off, FIRST_SPREAD))
    spoiled = np.where((off < 0.05) & (off > -2.5), 1 / 2.55, ODD_FIRST)  # noqa: PLR2004 - down to a twelfth
    found = FIRST_COUNTS * np.log((1 - SPOILED) * usual + SPOILED * spoiled)
    lower = math.log(first) - float(np.median(middle))
    climbs = lower < -2 * FIRST_SPREAD
    for cause in (Cause.RINGS, Cause.INTAKE_VALVE, Cause.EXHAUST_VALVE):
        says = FIRST_SAYS if climbs is (cause is Cause.RINGS) else 1.0
        found[:, predicted.cells.of(cause)] += math.log(says)
    return {Item.FIRST: np.asarray(found)}


def of_wet(read: Read, predicted: Predicted, last: int) -> dict[Item, Floats]:
    """
    Return how likely a wet final is beside the dry one.

    Parameters
    ----------
    read : Read
        The cylinder.
    predicted : Predicted
        Of each state.
    last : int
        Stroke of the final, from 0.

    Returns
    -------
    dict of Item to ndarray, shape (D, C)
        Logarithms; empty where there is nothing to say.
    """
    if read.wet is None or read.wet <= 0:
        return {}
    ratio = math.log(read.wet)
    unknown = 0.0 if read.oil is not None else 0.04
    spread = math.sqrt(2 * read.spread**2 + 0.012**2 + unknown**2)
    wide = 3 * spread
    found = np.zeros((len(predicted.responses.base), len(predicted.cells.main)))
    for sealed, share in SEALED:
        off = ratio - predicted.wet(last, sealed, read.oil)
        found += share * (0.94 * np.exp(normal(off, spread)) + 0.06 * np.exp(normal(off, wide)))
    # The next pull need not be as slow.
    slow = predicted.cells.of(Cause.SLOW_CRANKING)
    alone = ratio - (predicted.wet(last, SEALED[-1][0], read.oil) - predicted.dry(last))[:, slow]
    found[:, slow] = (1 - SLOW_ONCE) * found[:, slow] + SLOW_ONCE * np.exp(normal(alone, wide))
    # A cylinder that hardly fills loses past its rings what little it has: oil may do much there, and says nothing.
    starved = predicted.cells.rows[Cause.NOT_FILLING] >= STARVED
    found[:, starved] = (1 - STARVED_SHARE) * found[:, starved] + STARVED_SHARE / MISREAD_RANGE
    # A figure misread once is not misread again; a fitting may leak again.
    for cause, again in ((Cause.MISREAD, 0.05), (Cause.GAUGE_OR_FITTING, 0.5)):
        states = predicted.cells.of(cause)
        found[:, states] = again * found[:, states] + (1 - again) / MISREAD_RANGE
    return {Item.WET: np.log(found + 1e-12)}


def of_rest(read: Read, cells: Cells, variant: Variant, neighbours: tuple[str, ...]) -> dict[Item, Floats]:
    """
    Return how likely the items are that hang on the sound leak at standstill.

    Parameters
    ----------
    read : Read
        The cylinder.
    cells : Cells
        The states.
    variant : Variant
        What all share.
    neighbours : tuple of str
        Cylinders on the same gasket.

    Returns
    -------
    dict of Item to ndarray, shape (R, C)
        Logarithms, a row for each of `SOUND_AT_REST`.
    """
    found: dict[Item, Floats] = {}
    areas = cells.areas.copy()
    areas[PATHS.index(variant.path)] += variant.area
    rest = np.array(SOUND_AT_REST)[:, None]
    if read.leaked is not None:
        off = math.log(read.leaked.area) - np.log(rest + areas.sum(axis=0)[None, :])
        density = np.full_like(off, NOT_AT_TOP / math.log(1000.0))
        for usual, share in ((STANDSTILL, 1 - ODD_SHARE - NOT_AT_TOP), (ODD_STANDSTILL, ODD_SHARE)):
            density += share * np.exp(normal(off, math.hypot(usual, read.leaked.spread)))
        found[Item.LEAKDOWN] = np.log(density)
    if read.heard:
        found[Item.HEARD] = _of_heard(read.heard, areas, rest, neighbours)
    return found


def _of_heard(heard: tuple[str, ...], areas: Floats, rest: Floats, neighbours: tuple[str, ...]) -> Floats:
    """Every place is listened at; one that is not named was silent."""
    places = set(heard) - {"nothing"}
    total = np.zeros((len(rest), areas.shape[1]))
    for row, path in enumerate(PATHS):
        hears = HEARS / (1.0 + (HALF_HEARD / np.maximum(areas[row], 1e-6)) ** STEEP)
        if path is Cause.RINGS:
            by = np.minimum(BLOW_BY * rest / USUAL_AT_REST, 0.6)
            hears = 1 - (1 - hears[None, :]) * (1 - by)
        else:
            hears = np.maximum(hears, WRONG_PLACE)[None, :]
        if path is Cause.GASKET_NEIGHBOUR:
            named = any(f"cylinder {name}" in places for name in neighbours)
        else:
            named = PLACES[path] in places
        # A builder who names the loudest place may leave out a faint one.
        silent = np.maximum(1 - hears, 0.3) if places and not named else 1 - hears
        total = total + np.log(hears if named else silent)
    strange = [place for place in places if place.startswith("cylinder ") and place[9:] not in neighbours]
    return np.asarray(total + len(strange) * math.log(WRONG_PLACE))


def of_state(read: Read, cells: Cells, speed: float | None) -> dict[Item, Floats]:
    """
    Return how likely the items are that rest on the state alone.

    Parameters
    ----------
    read : Read
        The cylinder.
    cells : Cells
        The states.
    speed : float or None
        Middle cranking speed of the siblings. [rad/s]

    Returns
    -------
    dict of Item to ndarray, shape (C,)
        Logarithms.
    """
    found: dict[Item, Floats] = {}
    states = len(cells.main)
    if read.rpm is not None and speed:
        rows = cells.rows[Cause.SLOW_CRANKING]
        slower = np.where(rows < 0, 0.0, np.log(np.array(SPEEDS))[np.maximum(rows, 0)])
        # Speeds between those of the table are as likely.
        spread = np.where(rows < 0, SPEED_SPREAD, 0.08)
        off = np.full(states, math.log(read.rpm / speed)) - slower
        found[Item.SPEED] = np.log(np.exp(normal(off, spread)) + 1e-3)
    if read.apart is not None:
        loose = np.where(cells.of(Cause.MISREAD), 0.1, np.where(cells.of(Cause.GAUGE_OR_FITTING), 0.04, 0.0))
        spread = np.hypot(max(read.spread, 0.006) * 1.4, loose)
        found[Item.REPEATS] = np.log(np.exp(normal(np.full(states, read.apart), spread)) + 1e-2)
    if read.lift_lost is not None:
        full = np.exp(normal(np.array(read.lift_lost), LIFT_SPREAD)) + 0.02 / LIFT_RANGE
        lost = LIFT_SEEN / LIFT_RANGE + (1 - LIFT_SEEN) * full
        worn = cells.rows[Cause.NOT_FILLING] >= 0
        found[Item.LIFT] = np.log(np.where(worn, lost, full))
    if read.plug:
        says = np.zeros(states)
        for (look, cause), factor in _PLUG_SAYS.items():
            if look == read.plug:
                says[cells.of(cause)] = math.log(factor)
        found[Item.PLUG] = says
    return found
