"""What an engine should show on its starter: a level with an honest interval, and ratios with narrow ones."""

from __future__ import annotations

import logging
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from ringtrue.compression import (
    Band,
    ChangeEffect,
    Conditions,
    CylinderExpectation,
    Expectation,
    Gauge,
    InputEffect,
    Narrowing,
)
from ringtrue.engine import BuildSheet, swept_volume
from ringtrue.physics.atmosphere import standard_pressure
from ringtrue.physics.cylinders import check, vectors
from ringtrue.physics.inputs import END, Form, Input, inputs_of, narrowed

STROKES = 10
"""Compression strokes after which the needle is taken to have stopped."""
DRAWS = 300
"""Draws of all inputs behind an interval of the level."""
PAIRS = 80
"""Draws behind an interval of a ratio: before and after share all they can."""
SIBLINGS = 24
"""Draws behind the ratio of a cylinder to its siblings, which hardly anything moves."""

CHANGES: Mapping[str, float] = {
    "compression_ratio": 1.0,
    "intake_closing": math.radians(10),
    "altitude": 1500.0,
    "speed": -50 * math.pi / 30,
    "leak": 0.6e-6,
}
"""Changes that are worked out, in SI: what a builder might do, and what a day might bring. 0.6 mm2 is a leak-down of
20 % through 0.040 in."""

_SEED = 20
_CHAMBER_ERROR = 0.4e-6 / END
"""Standard deviation of a chamber that was measured with a burette (common practice). [m3]"""
_BUILD_SCATTER = 0.01 / END
"""Standard deviation of a clearance volume that was not measured, over itself (assumed). [-]"""
_NUDGE = 1.02
"""Factor by which a clearance volume is changed to see what an error of it makes. [-]"""
_WORTH_MEASURING = 0.03
"""A measurement that narrows the interval by less than this share is not proposed. [-]"""
_NEARLY_AS_GOOD = 0.4
"""Share of the best gain from which reading the cam card is proposed before measuring. [-]"""
_TOGETHER = {"intake_closing": ("quoted_lift", "lobe_shape")}
"""Measuring the closing at the seat, with a degree wheel, settles what the cam card leaves open as well."""

_told: list[bool] = []
"""Filled once the person has been told that kernels are being compiled."""

Scores = NDArray[np.float64]


def expect(
    sheet: BuildSheet, gauge: Gauge | None, conditions: Conditions, *, in_short: bool = False, strokes: int = STROKES
) -> Expectation:
    """
    Work out what an engine should show on its starter.

    Parameters
    ----------
    sheet : BuildSheet
        The engine: bore, stroke and compression ratio at least.
    gauge : Gauge or None
        The gauge; None, or what is not known of it, is assumed.
    conditions : Conditions
        The day; what is not known is assumed.
    in_short : bool
        Leave out what each input and change does, and what would narrow it: enough to judge by.
    strokes : int
        Compression strokes after which the final was read; more than `STROKES` change nothing.

    Returns
    -------
    Expectation
        Every figure with its 90 % interval.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or the sheet lacks what it takes.
    InputRefused
        Sheet, gauge or conditions hold what cannot be.

    Notes
    -----
    The level is uncertain by a quarter of itself even for a full sheet; ratios between cylinders, tests and builds are
    not. The same input gives the same figures: draws are seeded, by Latin hypercube.

    References
    ----------
    .. [1] docs/theory/cranking.md, docs/theory/expecting.md.
    """
    check(sheet, gauge, conditions)
    inputs = inputs_of(sheet, gauge, conditions)
    scores = hypercube(len(inputs), DRAWS)
    drawn = vectors(sheet, values_at(inputs, scores))
    shown = needle(drawn)
    finals = shown[:, min(max(strokes, 1), STROKES) - 1]
    final = band(finals)
    found = Expectation(
        strokes=tuple(band(shown[:, stroke]) for stroke in range(STROKES)),
        final=final,
        first_over_final=band(shown[:, 0] / finals),
        inputs=(),
        changes=(),
        cylinders=tuple(_cylinders(sheet, drawn[:SIBLINGS], final)),
        narrowing=None,
        measured=_is_measured(sheet),
    )
    if in_short:
        return found
    shares = _shares(inputs, scores, np.log(finals))
    return replace(
        found,
        inputs=tuple(
            sorted(_effects(sheet, inputs, shares, final.median), key=lambda each: -abs(each.high - each.low))
        ),
        changes=tuple(_changes(sheet, inputs, scores[:PAIRS], finals[:PAIRS])),
        narrowing=_narrowing(sheet, inputs, scores, finals, shares),
    )


def cranking_loss(sheet: BuildSheet, gauge: Gauge | None, conditions: Conditions, leak: float) -> Band:
    """
    Work out what a leak costs of the final.

    Parameters
    ----------
    sheet, gauge, conditions : BuildSheet, Gauge or None, Conditions
        As for `expect`.
    leak : float
        Effective area of the whole leak of one cylinder, as a leak-down reading gives it. [m2]

    Returns
    -------
    Band
        Final of a cylinder that leaks nothing less that of the one that leaks so much. [Pa]

    Raises
    ------
    CannotExpect, InputRefused
        As `expect`.

    Notes
    -----
    The leak is taken to be as large while cranking as at standstill. With all plugs out it does not matter where the
    air goes: rings, valves and gasket of equal area cost the same.
    """
    from ringtrue.physics import _kernels as k

    check(sheet, gauge, conditions)
    inputs = inputs_of(sheet, gauge, conditions)
    tight = vectors(sheet, values_at(inputs, hypercube(len(inputs), PAIRS)))
    tight[:, k.LEAK_RINGS] = 0.0
    leaking = tight.copy()
    leaking[:, k.LEAK_RINGS] = leak
    return band(needle(tight)[:, -1] - needle(leaking)[:, -1])


def hypercube(inputs: int, draws: int, seed: int = _SEED) -> Scores:
    """
    Draw standard normal scores, every stretch of each input's range drawn from once.

    Parameters
    ----------
    inputs, draws : int
        How many of each.
    seed : int
        The same one gives the same draws.

    Returns
    -------
    ndarray, shape (draws, inputs)
        Scores. [-]
    """
    normal = NormalDist()
    column = np.array([normal.inv_cdf((row + 0.5) / draws) for row in range(draws)])
    random = np.random.default_rng(seed)
    return np.column_stack([random.permutation(column) for _ in range(inputs)])


def values_at(inputs: tuple[Input, ...], scores: Scores) -> dict[str, NDArray[np.float64]]:
    """
    Turn scores into values.

    Parameters
    ----------
    inputs, scores : tuple of Input, ndarray of shape (draws, inputs)
        What is not known, and scores as `hypercube` makes them. [-]

    Returns
    -------
    dict of str to ndarray, shape (draws,)
        By key. [SI]
    """
    return {item.key: item.at(scores[:, column]) for column, item in enumerate(inputs)}


def needle(drawn: NDArray[np.float64], *, loosely: bool = False) -> NDArray[np.float64]:
    """
    Return the readings after each stroke, never quite nothing.

    Parameters
    ----------
    drawn : ndarray, shape (n, COUNT)
        A cylinder a row.
    loosely : bool
        Behind a throttle the stroke map, good to 1 %, is enough.

    Returns
    -------
    ndarray, shape (n, STROKES)
        Readings. [Pa gauge]
    """
    from ringtrue.physics import _kernels as k
    from ringtrue.physics import _stroke_map
    from ringtrue.physics._compiling import first_use

    if first_use() and not _told:
        _told.append(True)
        logging.getLogger(__name__).warning(
            "Preparing the physics for this machine: some seconds, once in an installation."
        )
    found = _stroke_map.many(drawn, STROKES, loosely=loosely)
    return np.maximum(found - drawn[:, k.AMBIENT : k.AMBIENT + 1], 1.0)


def band(figures: NDArray[np.float64]) -> Band:
    """
    Sum draws of a figure up.

    Parameters
    ----------
    figures : ndarray, shape (n,)
        The draws. [any unit]

    Returns
    -------
    Band
        Their median and 90 % interval.
    """
    low, median, high = np.quantile(figures, [0.05, 0.5, 0.95])
    return Band(float(median), float(low), float(high))


def _shares(inputs: tuple[Input, ...], scores: Scores, level: NDArray[np.float64]) -> dict[str, float]:
    """Share of the variance that goes with each input: explained by it alone, straight and curved."""
    total = float(np.var(level))
    found = {}
    for column, item in enumerate(inputs):
        if item.form is Form.CHOICE:
            kind = item.at(scores[:, column])
            means = {each: level[kind == each].mean() for each in set(kind.tolist())}
            told = np.array([means[each] for each in kind.tolist()])
        else:
            told = np.polyval(np.polyfit(scores[:, column], level, 2), scores[:, column])
        found[item.key] = float(np.var(told)) / total
    return found


def _effects(
    sheet: BuildSheet, inputs: tuple[Input, ...], shares: Mapping[str, float], middle: float
) -> Iterator[InputEffect]:
    rows, places = [], []
    for column, item in enumerate(inputs):
        usual = np.zeros(len(inputs))
        if item.form is Form.CHOICE:
            ends = [(value, usual) for value in sorted(set(item.options))]
        else:
            ends = [(0.0, _with(usual, column, side * END)) for side in (-1.0, 1.0)]
        for value, row in ends:
            rows.append(row)
            places.append((item, value))
    scores = np.array(rows)
    values = values_at(inputs, scores)
    for number, (item, value) in enumerate(places):
        if item.form is Form.CHOICE:
            values[item.key][number] = value
    finals = needle(vectors(sheet, values))[:, -1]
    # Each is told about the middle of all draws; the one cylinder that is in the middle of everything stands elsewhere.
    finals *= middle / needle(vectors(sheet, values_at(inputs, np.zeros((1, len(inputs))))))[0, -1]
    for item in inputs:
        own = [number for number, place in enumerate(places) if place[0] is item]
        ends_at = [float(values[item.key][number]) for number in own]
        shown = [float(finals[number]) for number in own]
        choice = item.form is Form.CHOICE
        yield InputEffect(
            key=item.key,
            known=item.known,
            at_low=0.0 if choice else ends_at[0],
            at_high=0.0 if choice else ends_at[-1],
            low=min(shown) if choice else shown[0],
            high=max(shown) if choice else shown[-1],
            share=shares[item.key],
            source=item.source,
        )


def _with(row: NDArray[np.float64], column: int, score: float) -> NDArray[np.float64]:
    changed = row.copy()
    changed[column] = score
    return changed


def _changes(
    sheet: BuildSheet, inputs: tuple[Input, ...], scores: Scores, before: NDArray[np.float64]
) -> Iterator[ChangeEffect]:
    from ringtrue.physics import _kernels as k

    for key, amount in CHANGES.items():
        values = values_at(inputs, scores)
        drawn = vectors(sheet, values)
        if key == "altitude":
            drawn[:, [k.AMBIENT, k.MANIFOLD]] *= standard_pressure(amount) / standard_pressure(0.0)
        elif key == "leak":
            drawn[:, k.LEAK_RINGS] += amount
        elif key == "speed":
            drawn[:, k.SPEED] = np.maximum(drawn[:, k.SPEED] + amount, drawn[:, k.SPEED] / 2)
        else:
            values[key] = values[key] + amount
            drawn = vectors(sheet, values)
        yield ChangeEffect(key, amount, band(needle(drawn)[:, -1] / before))


def _is_measured(sheet: BuildSheet) -> bool:
    return len({_size_of(sheet, name) for name in sheet.cylinders}) > 1


def _size_of(sheet: BuildSheet, name: str) -> tuple[float, float, float]:
    size = sheet.dimensions(name)
    return size.bore or 0.0, size.stroke or 0.0, sheet.compression_ratio(name) or 0.0


def _cylinders(sheet: BuildSheet, drawn: NDArray[np.float64], final: Band) -> Iterator[CylinderExpectation]:
    """Every cylinder beside the mean of all; the same draws for each, so that only what differs counts."""
    if not _is_measured(sheet):
        for name in sheet.cylinders:
            yield CylinderExpectation(name, _size_of(sheet, name)[2], final, Band(1.0, 1.0, 1.0))
        return
    from ringtrue.physics import _kernels as k

    clearance = {name: _clearance(sheet, name) for name in sheet.cylinders}
    usual = sum(clearance.values()) / len(clearance)
    finals = {}
    for name in sheet.cylinders:
        own = drawn.copy()
        bore, stroke, _ = _size_of(sheet, name)
        own[:, k.BORE], own[:, k.STROKE] = bore, stroke
        own[:, k.CLEARANCE] *= clearance[name] / usual
        finals[name] = needle(own)[:, -1]
    mean = np.mean(list(finals.values()), axis=0)
    # What an error of the volume makes of the final, as an exponent: the same for siblings.
    more = drawn.copy()
    more[:, k.CLEARANCE] *= _NUDGE
    exponent = float(np.mean(np.log(needle(more)[:, -1] / needle(drawn)[:, -1]))) / math.log(_NUDGE)
    for name in sheet.cylinders:
        spread = band(finals[name] / mean)
        error = _CHAMBER_ERROR if name in sheet.measured else _BUILD_SCATTER * clearance[name]
        reach = END * abs(exponent) * error / clearance[name]
        low, high = (
            spread.median * math.exp(side * math.hypot(reach, math.log(end / spread.median)))
            for side, end in ((-1.0, spread.low), (1.0, spread.high))
        )
        ratio = Band(spread.median, low, high)
        shown = Band(final.median * ratio.median, final.low * ratio.median, final.high * ratio.median)
        yield CylinderExpectation(name, _size_of(sheet, name)[2], shown, ratio)


def _clearance(sheet: BuildSheet, name: str) -> float:
    bore, stroke, ratio = _size_of(sheet, name)
    return swept_volume(bore, stroke) / (ratio - 1.0)


def _narrowing(
    sheet: BuildSheet,
    inputs: tuple[Input, ...],
    scores: Scores,
    finals: NDArray[np.float64],
    shares: Mapping[str, float],
) -> Narrowing | None:
    gains = {item.key: (1.0 - item.left**2) * shares[item.key] for item in inputs}
    for key, more in _TOGETHER.items():
        if any(item.key == key and item.measured is not None for item in inputs):
            gains[key] += sum(shares.get(other, 0.0) for other in more)
    best = max(gains, key=lambda key: gains[key])
    if best == "intake_closing" and gains.get("quoted_lift", 0.0) > _NEARLY_AS_GOOD * gains[best]:
        # What stands on the cam card costs nothing to read.
        best = "quoted_lift"
    if 1.0 - math.sqrt(max(1.0 - gains[best], 0.0)) < _WORTH_MEASURING:
        return None
    better, calmer = [], scores.copy()
    for column, item in enumerate(inputs):
        together = item.key in _TOGETHER.get(best, ())
        better.append(narrowed(item) if item.key == best else item)
        if together or (item.key == best and item.form in {Form.CHOICE, Form.UNIFORM}):
            calmer[:, column] = 0.0
    figures = needle(vectors(sheet, values_at(tuple(better), calmer[: DRAWS // 2])))[:, -1]
    # Where measuring would also move the middle nobody knows yet: the present interval, drawn in as far as it goes.
    found, now = band(figures), band(finals)
    drawn_in = min(math.log(found.high / found.low) / math.log(now.high / now.low), 1.0)
    low, high = (now.median * (end / now.median) ** drawn_in for end in (now.low, now.high))
    return Narrowing(best, Band(now.median, low, high))
