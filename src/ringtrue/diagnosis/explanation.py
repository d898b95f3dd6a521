"""What an explanation says, as facts and odds in SI: the causes, the answer, what moved it, and the next check."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ringtrue.compression import Band
from ringtrue.diagnosis.causes import BankCause, Cause, Check, EngineCause


class Unsure(StrEnum):
    """Answers that name no single cause."""

    LEAK_PATH_UNKNOWN = "leak_path_unknown"
    CHARGE_OR_TIMING = "charge_or_timing"
    UNDECIDED = "undecided"


Says = Cause | Unsure
"""What an answer may say."""


class Item(StrEnum):
    """A piece of evidence, in the order in which a builder comes by it."""

    FINAL = "final"
    REPEATS = "repeats"
    EARLIER = "earlier"
    FIRST = "first"
    SPEED = "speed"
    PLUG = "plug"
    WET = "wet"
    LEAKDOWN = "leakdown"
    HEARD = "heard"
    LIFT = "lift"


@dataclass(frozen=True, slots=True)
class Odds:
    """
    A cause and its probability.

    Parameters
    ----------
    cause : Cause
        Which.
    probability : float
        Of it being the main cause: the one that costs most pressure. [-]
    """

    cause: Cause
    probability: float


@dataclass(frozen=True, slots=True)
class EngineOdds:
    """
    A cause of the whole engine and its probability.

    Parameters
    ----------
    cause : EngineCause
        Which.
    probability : float
        All of them sum to 1. [-]
    """

    cause: EngineCause
    probability: float


@dataclass(frozen=True, slots=True)
class BankOdds:
    """
    A cause of one whole bank and its probability.

    Parameters
    ----------
    bank : int
        Which, from 0.
    cause : BankCause
        What.
    probability : float
        Of that. [-]
    """

    bank: int
    cause: BankCause
    probability: float


@dataclass(frozen=True, slots=True)
class Answer:
    """
    What is said of a cylinder in one word.

    Parameters
    ----------
    says : Says
        A cause, or an answer that names none.
    probability : float
        Of what is said: of the cause, of any leak, of any cause of charge or timing; of the likeliest cause where
        undecided. [-]
    """

    says: Says
    probability: float


@dataclass(frozen=True, slots=True)
class Because:
    """
    What one piece of evidence did to the odds of one cylinder.

    Parameters
    ----------
    item : Item
        Which evidence.
    read : float or None
        What was read, in SI: the final [Pa gauge], first over final over the siblings' [-], wet over dry net of the
        oil where that is known [-], leak-down loss [-], speed over the siblings' [-], lift lost [m]; None where it is
        words.
    words : tuple of str
        What was written: where the air was heard, the look of the plug.
    factor : float
        Odds of the answer with it over the odds without it: above 1 it speaks for the answer. [-]
    for_cause : Cause
        The cause that it speaks for most.
    ruled_out : tuple of Cause
        Causes that would be possible without it, and with it hardly are.
    """

    item: Item
    read: float | None
    words: tuple[str, ...]
    factor: float
    for_cause: Cause
    ruled_out: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """
    The odds of one cylinder after one more piece of evidence.

    Parameters
    ----------
    item : Item or None
        The evidence that came in; None before any.
    causes : tuple of Odds
        The odds then, the likeliest first; they sum to 1.
    """

    item: Item | None
    causes: tuple[Odds, ...]


@dataclass(frozen=True, slots=True)
class CylinderExplanation:
    """
    What may be the matter with one cylinder.

    Parameters
    ----------
    cylinder : str
        Its name.
    causes : tuple of Odds
        The main cause; the likeliest first; they sum to 1.
    also : tuple of Odds
        Causes that may be there besides the main one; each by itself.
    answer : Answer
        In one word.
    leak_area : Band or None
        Effective area of all its leaks; None where no model of the engine tells it. [m2]
    because : tuple of Because
        What each piece of evidence did, the strongest first; empty for a cylinder that was not read.
    steps : tuple of Step
        How each reading moved the odds, in the order of `Item`.
    partner : str
        The neighbour with which it may share a gasket leak; empty where there is none to name.
    read : bool
        A final was read.
    leak_loss : float or None
        What a leak-down of 80 psi through 0.040 in would lose through the median area; None once one was taken. [-]
    """

    cylinder: str
    causes: tuple[Odds, ...]
    also: tuple[Odds, ...]
    answer: Answer
    leak_area: Band | None
    because: tuple[Because, ...]
    steps: tuple[Step, ...] = ()
    partner: str = ""
    read: bool = True
    leak_loss: float | None = None


class Slip(StrEnum):
    """What has likely gone wrong where two readings contradict one another."""

    NOT_AT_TOP = "not_at_top"
    HEARD_ELSEWHERE = "heard_elsewhere"
    SUPPLY_NOT_ON = "supply_not_on"
    NOT_LISTENED = "not_listened"
    FITTING_LEAKS = "fitting_leaks"
    OIL_OR_LEAKDOWN = "oil_or_leakdown"
    FINAL_MISREAD = "final_misread"
    TWO_READINGS = "two_readings"


@dataclass(frozen=True, slots=True)
class Contradiction:
    """
    Two readings of one cylinder that cannot both be so.

    Parameters
    ----------
    cylinder : str
        Its name.
    between : tuple of Item
        Which evidence. All of it is set aside until it has been read again.
    slip : Slip
        The likeliest slip.
    read : float or None
        The figure of the first of them, in SI, as in `Because`.
    words : tuple of str
        The words of it.
    """

    cylinder: str
    between: tuple[Item, ...]
    slip: Slip
    read: float | None = None
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckResult:
    """
    What one possible result of a check would mean.

    Parameters
    ----------
    result : str
        Key of the result: see `ringtrue.diagnosis.next_check.RESULTS`.
    probability : float
        Of this result. [-]
    says : Says or EngineCause
        What would then be the answer.
    then : float
        Its probability then. [-]
    """

    result: str
    probability: float
    says: Says | EngineCause
    then: float


@dataclass(frozen=True, slots=True)
class NextCheck:
    """
    A check, and what it would tell.

    Parameters
    ----------
    check : Check
        What to do.
    cylinder : str
        On which cylinder; empty for the whole engine.
    gain : float
        Information about the cause that it is expected to bring. [bit]
    minutes : float
        Work that it takes. [min]
    results : tuple of CheckResult
        What each possible result would mean, the likeliest first.
    """

    check: Check
    cylinder: str
    gain: float
    minutes: float
    results: tuple[CheckResult, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """
    What may be the matter with an engine, and what to do next.

    Parameters
    ----------
    cylinders : tuple of CylinderExplanation
        In the order of the engine.
    engine : tuple of EngineOdds
        The likeliest first; they sum to 1.
    banks : tuple of BankOdds
        Where a whole bank may be off: those worth telling.
    next : tuple of NextCheck
        The one that tells most for its work first; empty where nothing is worth doing.
    contradictions : tuple of Contradiction
        Readings that were set aside.
    with_sheet : bool
        The engine's own sheet was used; else cylinders were compared with one another on engines of usual sizes.
    level : float or None
        What a sound cylinder of this engine shows now, over what its sheet lets expect, the middle of both; None
        without a sheet. [-]
    """

    cylinders: tuple[CylinderExplanation, ...]
    engine: tuple[EngineOdds, ...]
    banks: tuple[BankOdds, ...]
    next: tuple[NextCheck, ...]
    contradictions: tuple[Contradiction, ...] = ()
    with_sheet: bool = False
    level: float | None = None

    @property
    def nothing_to_do(self) -> bool:
        """Several were read, all sound as far as can be told, as is the engine; no check is worth its minutes."""
        return (
            not self.next
            and not self.contradictions
            and not self.banks
            and sum(each.read for each in self.cylinders) > 1
            and all(each.cause is EngineCause.NONE for each in self.engine[:1])
            and all(each.answer.says is Cause.SOUND for each in self.cylinders if each.read)
        )
