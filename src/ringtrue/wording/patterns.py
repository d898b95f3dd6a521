"""Patterns in words: what is seen, what it usually means, what to check next, and with what care."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.diagnosis import Pattern
from ringtrue.units import Unit


@dataclass(frozen=True, slots=True)
class PatternWords:
    """
    A pattern, told.

    Parameters
    ----------
    seen : str
        What is seen, with its figures.
    means : str
        What it usually means; empty where it means nothing by itself.
    next_check : str
        What to check next; empty where nothing is to be done.
    caution : str
        What can hurt while doing so; empty where there is no next check.
    """

    seen: str
    means: str
    next_check: str
    caution: str


def pattern_words(pattern: Pattern, unit: Unit) -> PatternWords:
    """
    Tell a pattern.

    Parameters
    ----------
    pattern : Pattern
        What was found.
    unit : Unit
        Unit of pressures.

    Returns
    -------
    PatternWords
        Plain sentences.
    """
    del unit
    names = ", ".join(pattern.cylinders)
    return PatternWords(f"Cylinders {names}: {pattern.key}.", "", "", "")
