"""What the pictures of a sheet show, already worded, and the words that have a shape of their own."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

WIDEST_BESIDE = 4.5
"""Engines that are wider take the whole width of a page. [cylinder spacings]"""


class Mark(StrEnum):
    """A word that is shown with a shape of its own beside it, so that no meaning hangs on colour."""

    NONE = ""
    IN_LINE = "in line"
    LOW = "low"
    HIGH = "high"
    CANNOT_TELL = "cannot tell"
    NOT_READ = "not read"
    MET = "met"
    NOT_MET = "not met"
    TOO_CLOSE = "too close to call"
    NOT_JUDGED = "not judged"

    @property
    def slug(self) -> str:
        """The word as a name in a style sheet or a template."""
        return self.value.replace(" ", "-")


@dataclass(frozen=True, slots=True)
class StationShown:
    """
    One cylinder in the engine view.

    Parameters
    ----------
    name : str
        Its name.
    across, along : float
        Where it stands, as the engine's layout has it. [cylinder spacings]
    final, deviation : str
        Figures with their units; empty where there is none.
    mark : Mark
        Its place.
    """

    name: str
    across: float
    along: float
    final: str
    deviation: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class EngineView:
    """
    The engine drawn from above with its figures.

    Parameters
    ----------
    stations : tuple of StationShown
        Every cylinder.
    side : str
        What stands at the top of the view; empty when that is not known.
    round : bool
        The cylinders stand round a crankcase.
    """

    stations: tuple[StationShown, ...]
    side: str
    round: bool = False

    @property
    def across(self) -> float:
        """Distance from the leftmost to the rightmost cylinder. [cylinder spacings]."""
        places = [each.across for each in self.stations]
        return max(places) - min(places)

    @property
    def is_narrow(self) -> bool:
        """It leaves room for a table beside it."""
        return self.across <= WIDEST_BESIDE


@dataclass(frozen=True, slots=True)
class PullShown:
    """
    One pull in the running figure.

    Parameters
    ----------
    name : str
        The cylinder.
    final, mean : float
        What was read, and the mean so far. [in the unit of the view]
    deviation_percent : float
        Mean deviation so far. [% of the mean]
    mark : Mark
        The place its cylinder was given in the end.
    """

    name: str
    final: float
    mean: float
    deviation_percent: float
    mark: Mark


@dataclass(frozen=True, slots=True)
class RunningView:
    """
    Finals, mean and mean deviation in the order taken.

    Parameters
    ----------
    pulls : tuple of PullShown
        In the order taken.
    unit : str
        The unit of finals and mean.
    lines : tuple of (float, str)
        Limits of the mean deviation, each with what it is called. [% of the mean]
    """

    pulls: tuple[PullShown, ...]
    unit: str
    lines: tuple[tuple[float, str], ...] = ()
