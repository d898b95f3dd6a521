"""Tests of one engine, carried to agreed conditions together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.compression import Band, CompressionTest, Conditions, Gauge
from ringtrue.engine import BuildSheet
from ringtrue.errors import InputRefused
from ringtrue.history import Apart, Carried, Change, carry, change
from ringtrue.quantities import Measured

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STANDARD = Conditions(
    altitude=Measured(0.0, "0", "m"),
    inlet_air=Measured(293.15, "20", "C"),
    cranking_speed=Measured(200 * math.pi / 30, "200", "rpm"),
)
"""What tests are carried to when nothing else is typed (a choice of this program: near a usual day at the sea)."""


_FEW = 6


@dataclass(frozen=True, slots=True)
class OneTest:
    """
    A test that is to be carried.

    Parameters
    ----------
    label : str
        How it is called: its id, or the name of its file.
    test : CompressionTest
        What was read.
    sheet : BuildSheet
        The engine as it was built that day.
    sheet_text : str
        That sheet, to the letter.
    test_id : str
        Its id in the book; empty for a file.
    """

    label: str
    test: CompressionTest
    sheet: BuildSheet
    sheet_text: str
    test_id: str = ""


@dataclass(frozen=True, slots=True)
class Together:
    """
    Tests of one engine, carried together, so that what their days share cancels between them.

    Parameters
    ----------
    tests : tuple of Carried
        In the order in which they were named.
    logs : ndarray, shape (draws, tests)
        Natural logarithms of their factors, as `ringtrue.physics.log_factors` gives them. [-]
    """

    tests: tuple[Carried, ...]
    logs: Floats

    def change(self, before: int, after: int) -> Change:
        """
        Compare two of the tests.

        Parameters
        ----------
        before, after : int
            Their places.

        Returns
        -------
        Change
            What became of the engine in between.
        """
        apart = self.logs[:, after] - self.logs[:, before]
        between = Apart(math.exp(float(apart.mean())), float(apart.std(ddof=1)))
        return change(self.tests[before], self.tests[after], between)


def carry_together(
    tests: Sequence[OneTest], to_gauge: Gauge | None, to: Conditions, *, draws: int | None = None
) -> Together:
    """
    Carry tests of one engine to agreed conditions.

    Parameters
    ----------
    tests : sequence of OneTest
        Each with a dry final.
    to_gauge, to : Gauge or None, Conditions
        What they are carried to.
    draws : int or None
        Draws behind their factors; None for as many as do for a course of many tests.

    Returns
    -------
    Together
        In the same order.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or a sheet lacks what it takes.
    InputRefused
        Sheet, gauge or conditions hold what cannot be, or a test has no dry final.
    """
    import numpy as np

    from ringtrue.physics import Day, log_factors
    from ringtrue.physics.days import DRAWS
    from ringtrue.physics.expecting import band

    days = [Day(each.sheet, each.test.gauge, each.test.conditions) for each in tests]
    logs = log_factors(days, to_gauge, to, draws=draws or DRAWS)
    carried = []
    for each, column in zip(tests, logs.T, strict=True):
        found = carry(each.test, each.sheet.cylinders, band(np.exp(column)))
        if found is None:
            raise InputRefused.of(each.label, "no dry final was read", "name a test with a dry series")
        carried.append(found)
    return Together(tuple(carried), logs)


def draws_for(tests: int) -> int:
    """
    Return how many draws a course of many tests gets.

    Parameters
    ----------
    tests : int
        How many.

    Returns
    -------
    int
        Fewer for many, so that a page is soon there: a standard deviation is then known to an eighth.
    """
    return 48 if tests <= _FEW else 32


def as_read(tests: Sequence[tuple[CompressionTest, Sequence[str]]]) -> Together:
    """
    Lay tests beside one another without carrying them: cylinders beside their siblings can still be compared.

    Parameters
    ----------
    tests : sequence of (CompressionTest, sequence of str)
        Each with a dry final; and the cylinders of its engine.

    Returns
    -------
    Together
        In the same order, every factor one. What is said of the whole engine is not to be told.

    Raises
    ------
    InputRefused
        A test has no dry final.
    """
    import numpy as np

    carried = []
    for test, cylinders in tests:
        found = carry(test, cylinders, Band(1.0, 1.0, 1.0))
        if found is None:
            raise InputRefused.of("", "no dry final was read", "name a test with a dry series")
        carried.append(found)
    return Together(tuple(carried), np.zeros((2, len(carried))))
