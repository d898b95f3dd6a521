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


@dataclass(frozen=True, slots=True)
class TornadoBar:
    """
    One input in the tornado.

    Parameters
    ----------
    title : str
        The input.
    known : bool
        The builder gave it; otherwise it is assumed.
    low, high : float
        The least and the most final that it makes. [in the unit of the view]
    at_low, at_high : str
        What it is there.
    """

    title: str
    known: bool
    low: float
    high: float
    at_low: str
    at_high: str


@dataclass(frozen=True, slots=True)
class TornadoView:
    """
    What each uncertain input does to the final.

    Parameters
    ----------
    engine : str
        The engine's name.
    unit : str
        The unit of all pressures.
    low, median, high : str
        The final with its 90 % interval, rounded.
    bars : tuple of TornadoBar
        The one that moves it most first.
    says : str
        The same for whoever cannot see it.
    """

    engine: str
    unit: str
    low: str
    median: str
    high: str
    bars: tuple[TornadoBar, ...]
    says: str


@dataclass(frozen=True, slots=True)
class CauseShare:
    """
    The share of one cause.

    Parameters
    ----------
    key : str
        Which: a key of `ringtrue.report.palette.CAUSE_LOOKS`.
    label : str
        Its short name.
    share : float
        Its probability. [-]
    """

    key: str
    label: str
    share: float


@dataclass(frozen=True, slots=True)
class CausesStation:
    """
    One cylinder with what it may have.

    Parameters
    ----------
    name : str
        Its name.
    answer, odds : str
        What is said of it, in a word, and its odds; empty where it was not read.
    shares : tuple of CauseShare
        They sum to 1, always in the same order; empty where it was not read.
    """

    name: str
    answer: str
    odds: str
    shares: tuple[CauseShare, ...]


@dataclass(frozen=True, slots=True)
class CausesView:
    """
    The engine from above with what each cylinder may have.

    Parameters
    ----------
    engine : str
        The engine's name.
    plan : EngineView
        Where its cylinders stand.
    stations : tuple of CausesStation
        One for each cylinder of the plan, in its order.
    answers : tuple of str
        What is said of each cylinder that is not sound, as a phrase.
    says : str
        The same for whoever cannot see it.
    """

    engine: str
    plan: EngineView
    stations: tuple[CausesStation, ...]
    answers: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True)
class MovedRow:
    """
    The odds of one cylinder after one more reading.

    Parameters
    ----------
    title : str
        The reading.
    shares : tuple of CauseShare
        They sum to 1, always in the same order.
    """

    title: str
    shares: tuple[CauseShare, ...]


@dataclass(frozen=True, slots=True)
class MovedView:
    """
    How each reading moved the odds of one cylinder.

    Parameters
    ----------
    engine, cylinder : str
        Which.
    answer : str
        What is said of it in the end.
    rows : tuple of MovedRow
        Before any reading, and after each.
    says : str
        The same for whoever cannot see it.
    """

    engine: str
    cylinder: str
    answer: str
    rows: tuple[MovedRow, ...]
    says: str
