"""A line in an engine's log."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ringtrue.quantities import Measured


@dataclass(frozen=True, slots=True)
class Event:
    """
    A line in an engine's log.

    Parameters
    ----------
    engine : str
        The engine's key.
    text : str
        What was done: oil change, re-torque, heat cycle.
    at : Measured or None
        Distance [m] or running time [s] since the build.
    date : str
        ISO date; empty when not said.
    who, recorded_at : str
        Who wrote it, and the book's clock, UTC.
    new_baseline : bool
        It made another engine of it: the next test is what later ones are compared with.
    seq : int
        Number of its entry in the register of all logs, by which it is taken back.
    taken_back : str
        Why it stands no more; empty where it does.
    """

    engine: str
    text: str
    at: Measured | None
    date: str
    who: str
    recorded_at: str
    new_baseline: bool = False
    seq: int = 0
    taken_back: str = ""
