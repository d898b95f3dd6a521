"""What is not known of the inputs of a figure, carried into it: first order (GUM) and by drawing (supplement 1)."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist
from typing import TYPE_CHECKING

from ringtrue.measure.student import t_quantile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DRAWS = 100_000
"""Draws of all inputs. [-]"""
_SEED = 22
_MANY = 1e4
"""Degrees of freedom from which a normal quantile is taken. [-]"""


class Spread(StrEnum):
    """How an input is spread."""

    NORMAL = "normal"
    EVEN = "even"
    STUDENT = "t"


@dataclass(frozen=True, slots=True)
class Quantity:
    """
    An input that is not known exactly.

    Parameters
    ----------
    name : str
        What it is; inputs of one name are told together.
    value : float
        Its best estimate. [its own unit]
    standard : float
        Standard uncertainty. [the same unit]
    spread : Spread
        Its distribution: even over the root of 3 either way; of a t, ``standard`` is its scale.
    freedom : float
        Degrees of freedom of the standard uncertainty; infinite where it is known. [-]
    """

    name: str
    value: float
    standard: float
    spread: Spread = Spread.NORMAL
    freedom: float = math.inf


@dataclass(frozen=True, slots=True)
class Part:
    """
    What one name adds to the uncertainty of a figure.

    Parameters
    ----------
    name : str
        What it is.
    count : int
        How many inputs have that name.
    adds : float
        Standard uncertainty of the figure that it makes alone. [unit of the figure]
    share : float
        Share of the variance; of correlated inputs they need not add up to one. [-]
    spread : Spread
        How the inputs are spread.
    freedom : float
        Degrees of freedom behind it. [-]
    """

    name: str
    count: int
    adds: float
    share: float
    spread: Spread
    freedom: float


@dataclass(frozen=True, slots=True)
class Propagated:
    """
    A figure with its uncertainty, found twice.

    Parameters
    ----------
    value : float
        The figure at the best estimates. [its unit]
    standard : float
        Combined standard uncertainty, first order. [its unit]
    freedom : float
        Effective degrees of freedom. [-]
    factor : float
        Coverage factor. [-]
    level : float
        What the intervals hold. [-]
    low, high : float
        First order: the figure less and plus the factor times its standard uncertainty. [its unit]
    drawn_low, drawn_high : float
        Ends of the interval of the draws, as much below as above. [its unit]
    tolerance : float
        How closely the two have to agree for the first order to be good enough. [its unit]
    parts : tuple of Part
        The largest first.
    """

    value: float
    standard: float
    freedom: float
    factor: float
    level: float
    low: float
    high: float
    drawn_low: float
    drawn_high: float
    tolerance: float
    parts: tuple[Part, ...]

    @property
    def good_enough(self) -> bool:
        """First order and draws agree to the tolerance."""
        return max(abs(self.low - self.drawn_low), abs(self.high - self.drawn_high)) <= self.tolerance


def propagate(
    figure: Callable[[Floats], Floats],
    quantities: Sequence[Quantity],
    *,
    correlation: Floats | None = None,
    level: float = 0.9,
    draws: int = DRAWS,
) -> Propagated:
    r"""
    Carry what is not known of the inputs into a figure.

    .. math:: u_c^2 = \sum_i \sum_j c_i c_j u_i u_j r_{ij}, \quad
        c_i u_i = \tfrac 12 \left( f(x_i + u_i) - f(x_i - u_i) \right), \quad
        \nu_\mathrm{eff} = u_c^4 / \sum_i (c_i u_i)^4 / \nu_i

    Parameters
    ----------
    figure : callable
        From inputs, shape (n, inputs), to the figure, shape (n,).
    quantities : sequence of Quantity
        The inputs.
    correlation : ndarray, shape (inputs, inputs), or None
        Correlation of normal inputs; None where they are independent.
    level : float
        What the intervals are to hold. [-]
    draws : int
        How often the inputs are drawn.

    Returns
    -------
    Propagated
        First order, with a t factor on the effective degrees of freedom cut to a whole number; and by drawing.

    Notes
    -----
    The first order is good enough where both ends agree with those of the draws to half a unit of the second figure of
    the standard uncertainty. Draws are the same at every run.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.3 note 2, 5.2.2, G.4.1 (clauses from memory).
    .. [2] JCGM 101:2008, clauses 5 to 8 (from memory).

    Examples
    --------
    Four even inputs of standard uncertainty 1, added: 3.92 by the normal distribution, 3.88 as they are (JCGM 101:2008,
    9.2.3):

    >>> four = [Quantity(str(n), 0.0, 1.0, Spread.EVEN) for n in range(4)]
    >>> found = propagate(lambda x: x.sum(axis=1), four, level=0.95)
    >>> round(found.high, 2), round(found.drawn_high, 1)
    (3.92, 3.9)
    """
    import numpy as np

    values = np.array([each.value for each in quantities])
    scale = np.array([each.standard for each in quantities])
    moved = np.concatenate([values + np.diag(scale), values - np.diag(scale), values[None, :]])
    found = figure(moved)
    count = len(quantities)
    adds = 0.5 * (found[:count] - found[count : 2 * count])
    related = np.eye(count) if correlation is None else correlation
    standard = math.sqrt(max(float(adds @ related @ adds), 0.0))
    freedom = _freedom(adds, quantities, standard)
    factor = NormalDist().inv_cdf(0.5 + level / 2) if freedom >= _MANY else t_quantile(0.5 + level / 2, freedom)
    drawn = figure(_drawn(quantities, related, draws))
    low, high = (float(each) for each in np.quantile(drawn, [0.5 - level / 2, 0.5 + level / 2]))
    value = float(found[-1])
    return Propagated(
        value,
        standard,
        freedom,
        factor,
        level,
        value - factor * standard,
        value + factor * standard,
        low,
        high,
        _tolerance(standard),
        _parts(adds, quantities, standard),
    )


def _freedom(adds: Floats, quantities: Sequence[Quantity], standard: float) -> float:
    small = sum(float(each) ** 4 / of.freedom for each, of in zip(adds, quantities, strict=True))
    if small <= 0 or standard**4 / small > _MANY:
        return _MANY
    return max(math.floor(standard**4 / small + 1e-9), 1)


def _tolerance(standard: float) -> float:
    """Half a unit of the second figure of an uncertainty."""
    return 0.0 if standard <= 0 else 0.5 * 10.0 ** (math.floor(math.log10(standard)) - 1)


def _drawn(quantities: Sequence[Quantity], related: Floats, draws: int) -> Floats:
    import numpy as np

    draw = np.random.default_rng(_SEED)
    values, vectors = np.linalg.eigh(related)
    drawn = draw.standard_normal((draws, len(quantities)))
    if not np.array_equal(related, np.eye(len(quantities))):
        drawn = drawn @ (vectors * np.sqrt(np.maximum(values, 0.0))).T
    for place, each in enumerate(quantities):
        if each.spread is Spread.EVEN:
            drawn[:, place] = math.sqrt(3) * draw.uniform(-1.0, 1.0, draws)
        elif each.spread is Spread.STUDENT:
            drawn[:, place] /= np.sqrt(draw.chisquare(each.freedom, draws) / each.freedom)
    return np.asarray(drawn * [each.standard for each in quantities] + [each.value for each in quantities])


def _parts(adds: Floats, quantities: Sequence[Quantity], standard: float) -> tuple[Part, ...]:
    named: dict[str, list[int]] = {}
    for place, each in enumerate(quantities):
        named.setdefault(each.name, []).append(place)
    parts = []
    for name, places in named.items():
        own = math.hypot(*(float(adds[place]) for place in places))
        some = quantities[places[0]]
        share = (own / standard) ** 2 if standard > 0 else 0.0
        parts.append(Part(name, len(places), own, share, some.spread, some.freedom))
    return tuple(sorted(parts, key=lambda each: -each.adds))
