"""The tests of an engine, for whoever looks for one of them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EngineTests:
    """
    The finished tests of an engine, for whoever looks for one of them. No chain is checked here.

    Parameters
    ----------
    engine : str
        The engine's key.
    name : str
        Its name; empty when never said.
    tests : tuple of str
        Their ids, in the order of their days.
    first : str
        ISO date of the first of them; of the day on which it was opened where its header has none.
    """

    engine: str
    name: str
    tests: tuple[str, ...]
    first: str
