"""The figures of a series, made of many drawn series at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from ringtrue.measure.limits import Figure

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


def _mean_deviation(finals: Floats) -> Floats:
    import numpy as np

    mean = finals.mean(axis=-1, keepdims=True)
    return np.asarray(100 * np.abs(finals - mean).mean(axis=-1) / mean[..., 0])


def _cylinder_deviation(finals: Floats) -> Floats:
    import numpy as np

    return np.asarray(100 * np.abs(finals / finals.mean(axis=-1, keepdims=True) - 1).max(axis=-1))


FIGURES: Mapping[Figure, Callable[[Floats], Floats]] = MappingProxyType(
    {
        Figure.MEAN_DEVIATION: _mean_deviation,
        Figure.CYLINDER_DEVIATION: _cylinder_deviation,
        Figure.BELOW_MEAN: lambda finals: 100 * (1 - finals.min(axis=-1) / finals.mean(axis=-1)),
        Figure.LOWEST_OVER_HIGHEST: lambda finals: finals.min(axis=-1) / finals.max(axis=-1),
        Figure.SPREAD: lambda finals: finals.max(axis=-1) - finals.min(axis=-1),
        Figure.LOWEST: lambda finals: finals.min(axis=-1),
    }
)
"""From finals above zero, shape (..., cylinders), to the figure, shape (...). [%, - or Pa, as the rules have it]"""
