"""An explanation in words: what each cylinder is likely to have, what is ruled out and by what, and what to do next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.compression import Band
from ringtrue.diagnosis.causes import Cause, EngineCause
from ringtrue.diagnosis.explanation import Answer, CylinderExplanation, EngineOdds, Explanation, NextCheck, Unsure
from ringtrue.engine import BuildSheet
from ringtrue.units import Unit
from ringtrue.wording.bands import band_words, digits_for
from ringtrue.wording.causes import answer_name, bank_cause_name, cause_name, engine_cause_name
from ringtrue.wording.chances import odds
from ringtrue.wording.evidence_weighed import because_sentence, contradiction_sentences, read_text
from ringtrue.wording.names import capital, cylinders, listed
from ringtrue.wording.next_checks import CheckWords, check_name, check_words, minutes_text, settles
from ringtrue.wording.numbers import ratio

POSSIBLE = 0.05
"""Causes at least this likely are told as possible; only those below may be told as ruled out. [-]"""

_NOTHING_BESIDE = (
    "No cylinder is worth taking apart, as far as they can be compared with one another: stop. Whether all of them are "
    "low takes the build sheet to tell."
)
_FEW = 4
"""How many other causes are told by name."""
_TWO_STROKE = 2
_NO_QUESTION = 0.8
"""The level of all cylinders is told where it is less likely than this that nothing is shared. [-]"""
_FAR_OFF = 1.25
"""So many times what is expected, or that part of it, is no level of an engine with nothing shared (assumed). [-]"""
_MAKES_NO_SUCH_LEVEL = (EngineCause.NONE, EngineCause.SLOW_OR_COLD_CRANKING)
"""Causes that leave the level where it is expected; a speed that is stated stands in the expectation already."""


@dataclass(frozen=True, slots=True)
class CylinderWords:
    """
    One cylinder that is not sound, told.

    Parameters
    ----------
    title : str
        The cylinder.
    most_likely : str
        A sentence.
    also_possible : str
        A sentence; empty where nothing else is.
    second : str
        What may be there besides; empty where nothing is worth telling.
    leak : str
        How large its leak is; empty where that is not known.
    because : tuple of str
        What each reading did, the strongest first.
    ruled_out : tuple of str
        What each reading has ruled out, a sentence for each reading.
    settle_title : str
        "Would settle it", or, where it may stay open, "Would tell most".
    settle : str
        The check.
    """

    title: str
    most_likely: str
    also_possible: str
    second: str
    leak: str
    because: tuple[str, ...]
    ruled_out: tuple[str, ...]
    settle_title: str
    settle: str


class Explained:
    """
    Tells an explanation.

    Parameters
    ----------
    found : Explanation
        Facts and odds.
    unit : Unit
        Unit of pressures.
    sheet : BuildSheet or None
        The engine.
    only : str
        Tell one cylinder alone; empty for all.
    """

    def __init__(self, found: Explanation, unit: Unit, sheet: BuildSheet | None = None, only: str = "") -> None:
        self.found = found
        self.unit = unit
        self.sheet = sheet
        self._only = only

    @property
    def odd(self) -> tuple[CylinderExplanation, ...]:
        """Cylinders that were read and are not answered with sound, in the order of the engine."""
        told = (each for each in self.found.cylinders if self._only in {"", each.cylinder})
        return tuple(each for each in told if each.read and each.answer.says is not Cause.SOUND)

    def summary(self) -> tuple[str, ...]:
        """
        Tell in short what is found.

        Returns
        -------
        tuple of str
            A line for each cylinder that is not sound, one for the sound ones together, one for what all share.
        """
        told = [each for each in self.found.cylinders if self._only in {"", each.cylinder}]
        sound = [each for each in told if each.read and each.answer.says is Cause.SOUND]
        unread = [each.cylinder for each in told if not each.read]
        lines = [f"{short_answer(each)}." for each in self.odd]
        if sound and sum(each.read for each in self.found.cylinders) == 1:
            lines.append(f"{capital(cylinders([sound[0].cylinder]))}: nothing can be said of one cylinder alone.")
        elif sound:
            least = odds(min(each.answer.probability for each in sound))
            every = len(sound) > 1 and len(sound) == len(self.found.cylinders)
            which = "All cylinders" if every else capital(cylinders([each.cylinder for each in sound]))
            if len(sound) > 1:
                least = f"each {least}" if least.startswith("more") else f"each {least} or better"
            lines.append(f"{which}: {self._sound}, {least}.")
        if unread:
            lines.append(f"{capital(cylinders(unread))}: not read, and nothing is said of {_it(unread)}.")
        if not self._only:
            lines = [*self._shared(), *lines]
        if self.found.nothing_to_do:
            lines.append("Nothing here is worth taking apart: stop." if self.found.with_sheet else _NOTHING_BESIDE)
        elif not self.found.next:
            lines.append("No check on the list tells enough for its minutes.")
        return tuple(lines)

    @property
    def _sound(self) -> str:
        """What is said of cylinders with which nothing is, and of those that share what is."""
        shared = any(each.cause is not EngineCause.NONE for each in self.found.engine[:1])
        return "none is off beside the others" if shared else "sound as far as these readings tell"

    def _shared(self) -> list[str]:
        first = self.found.engine[0] if self.found.engine else None
        if first is None:
            return []
        if first.cause is EngineCause.NONE:
            worst = self.found.banks[:1]
            return [f"Bank {b.bank + 1} together: {bank_cause_name(b.cause)}, {odds(b.probability)}." for b in worst]
        return [f"All cylinders together: most likely {engine_cause_name(first.cause)}, {odds(first.probability)}."]

    def in_short(self) -> tuple[str, ...]:
        """
        Tell in a few lines what is not sound, for a sheet of paper.

        Returns
        -------
        tuple of str
            A sentence for each cylinder that is off, what all share, contradictions, and the next check; empty where
            all is sound.
        """
        lines = [*(f"{short_answer(each)}." for each in self.odd), *self._shared()]
        lines += [f"{says} {likeliest}" for says, likeliest, _ in self.contradictions()]
        if lines and self.found.next:
            check = self.found.next[0]
            lines.append(f"Would tell most: {check_name(check)} ({minutes_text(check.minutes)}).")
        return tuple(lines)

    def cylinder(self, each: CylinderExplanation) -> CylinderWords:
        """
        Tell one cylinder.

        Parameters
        ----------
        each : CylinderExplanation
            Which.

        Returns
        -------
        CylinderWords
            Sentences.
        """
        others = [odd for odd in each.causes[1:] if odd.probability >= POSSIBLE]
        also = [f"{cause_name(odd.cause, each.partner)}, {odds(odd.probability)}" for odd in others[:_FEW]]
        if len(others) > _FEW:
            also.append(f"and {len(others) - _FEW} more, each less likely")
        second = [
            f"{cause_name(odd.cause, each.partner)}, {odds(odd.probability)}"
            for odd in each.also
            if odd.probability >= 2 * POSSIBLE and odd.cause is not Cause.SOUND
        ]
        settle_title, settle = self._settle(each)
        return CylinderWords(
            title=f"Cylinder {each.cylinder}",
            most_likely=_most_likely(each),
            also_possible=f"{capital('; '.join(also))}." if also else "",
            second=f"Beside the main cause there may be {listed(second, 'or')}." if second else "",
            leak=leak_area_sentence(each.leak_area, each.leak_loss) if each.leak_area is not None else "",
            because=tuple(because_sentence(why, each.answer.says, self.unit, each.partner) for why in each.because),
            ruled_out=self._ruled_out(each),
            settle_title=settle_title,
            settle=settle,
        )

    def _ruled_out(self, each: CylinderExplanation) -> tuple[str, ...]:
        now = {odd.cause: odd.probability for odd in each.causes}
        lines = []
        for why in each.because:
            gone = [cause_name(cause, each.partner) for cause in why.ruled_out if now.get(cause, 0.0) < POSSIBLE]
            if gone:
                reading = read_text(why.item, why.read, why.words, self.unit)
                lines.append(f"{capital(reading)}: {'; '.join(gone)}.")
        return tuple(lines)

    def check_for(self, each: CylinderExplanation) -> NextCheck | None:
        """
        Find the best check for one cylinder.

        Parameters
        ----------
        each : CylinderExplanation
            Which.

        Returns
        -------
        NextCheck or None
            The first of the list that is about it, its partner, or the whole engine; None where there is none.
        """
        mine = {each.cylinder, each.partner} - {""}
        about = [check for check in self.found.next if check.cylinder in mine]
        return next(iter(about), next((check for check in self.found.next if not check.cylinder), None))

    def _settle(self, each: CylinderExplanation) -> tuple[str, str]:
        check = self.check_for(each)
        if check is None:
            return "Would tell most", "No check on the list tells enough for its minutes."
        mine = {each.cylinder, each.partner} - {""}
        settling = [one for one in self.found.next if one.cylinder in mine and settles(one, each.answer.probability)]
        check = next(iter(settling), check)
        told = f"{capital(check_name(check))}, {minutes_text(check.minutes)}."
        return "Would settle it" if settling else "Would tell most", told

    def engine(self) -> tuple[str, ...]:
        """
        Tell what all cylinders may share, and whole banks.

        Returns
        -------
        tuple of str
            Sentences.
        """
        if not self.found.engine:
            return ()
        first, *others = self.found.engine
        lines = [f"Most likely {engine_cause_name(first.cause)}, {odds(first.probability)}."]
        also = [f"{engine_cause_name(o.cause)}, {odds(o.probability)}" for o in others if o.probability >= POSSIBLE]
        if also:
            lines.append(f"Also possible: {'; '.join(also)}.")
        lines += [
            f"Bank {each.bank + 1}: {bank_cause_name(each.cause)}, {odds(each.probability)}."
            for each in self.found.banks
        ]
        return (*lines, *self._level(first))

    def _level(self, first: EngineOdds) -> list[str]:
        level = self.found.level
        if level is None or (
            first.cause is EngineCause.NONE
            and first.probability > _NO_QUESTION
            and abs(math.log(level)) <= math.log(_FAR_OFF)
        ):
            return []
        told = f"The middle of the finals is {ratio(level)} times what the build sheet lets expect"
        if first.cause in _MAKES_NO_SUCH_LEVEL and abs(math.log(level)) > math.log(_FAR_OFF):
            first_of_all = "check the day's figures first, the cranking speed before all"
            made = f"{engine_cause_name(first.cause)} does not make that"
            return [f"{told}, and {made}: {first_of_all}, then the unit of the readings and the build sheet."]
        return [f"{told} (ringtrue expect tells the level, and what makes it uncertain)."]

    def contradictions(self) -> tuple[tuple[str, str, str], ...]:
        """
        Tell what contradicts what.

        Returns
        -------
        tuple of (str, str, str)
            For each what contradicts, the likeliest slip, and what to read again.
        """
        told = (each for each in self.found.contradictions if self._only in {"", each.cylinder})
        return tuple(contradiction_sentences(each, self.unit) for each in told)

    def next_checks(self) -> tuple[CheckWords, ...]:
        """
        Tell what to do next.

        Returns
        -------
        tuple of CheckWords
            The check that tells most for its minutes first.
        """
        partners = {each.cylinder: each.partner for each in self.found.cylinders}
        told = (each for each in self.found.next if self._only in {"", each.cylinder} or not each.cylinder)
        return tuple(check_words(each, self.sheet, partners.get(each.cylinder, "")) for each in told)


def short_answer(each: CylinderExplanation) -> str:
    """
    Answer for one cylinder in a phrase.

    Parameters
    ----------
    each : CylinderExplanation
        Which.

    Returns
    -------
    str
        Without a full stop.
    """
    answer, name = each.answer, f"Cylinder {each.cylinder}"
    if answer.says is Unsure.UNDECIDED:
        return f"{name}: undecided; the likeliest is {cause_name(each.causes[0].cause, each.partner)}, {_how(answer)}"
    most = "" if isinstance(answer.says, Unsure) else "most likely "
    return f"{name}: {most}{answer_name(answer.says, each.partner)}, {_how(answer)}"


def _how(answer: Answer) -> str:
    return odds(answer.probability)


def _most_likely(each: CylinderExplanation) -> str:
    answer, first = each.answer, each.causes[0]
    top = f"{cause_name(first.cause, each.partner)}, {odds(first.probability)}"
    if answer.says is Unsure.UNDECIDED:
        return f"No single cause; the likeliest is {top}."
    if answer.says is Unsure.LEAK_PATH_UNKNOWN:
        return f"A leak, {_how(answer)}; nothing read so far says by which path. The likeliest alone is {top}."
    if answer.says is Unsure.CHARGE_OR_TIMING:
        return f"Too little air gets in or stays in, {_how(answer)}; charge or timing, cannot tell which."
    return f"{capital(answer_name(answer.says, each.partner))}, {_how(answer)}."


def leak_area_sentence(area: Band, loss: float | None = None) -> str:
    """
    Tell how large the leaks of a cylinder are.

    Parameters
    ----------
    area : Band
        Effective area. [m2]
    loss : float or None
        What a leak-down of 80 psi through 0.040 in would lose by its median; None where that is not wanted. [-]

    Returns
    -------
    str
        One or two sentences.

    Examples
    --------
    >>> leak_area_sentence(Band(0.62e-6, 0.40e-6, 0.95e-6))
    'Effective area of all its leaks 0.62 mm2 (0.40 to 0.95 mm2, 9 times in 10): open area times discharge coefficient.'
    """
    scaled = Band(1e6 * area.median, 1e6 * area.low, 1e6 * area.high)
    words = band_words(scaled, min(max(digits_for(scaled.high - scaled.low), 1), 3), "mm2")
    return (
        f"Effective area of all its leaks {words.median} mm2 ({words.interval}, 9 times in 10): open area times "
        f"discharge coefficient.{_as_leakdown(loss)}"
    )


def _as_leakdown(loss: float | None) -> str:
    return "" if loss is None else f" A leak-down of 80 psi through 0.040 in would lose about {100 * loss:.0f} %."


def without_sheet(sheet: BuildSheet | None, why_not: str) -> tuple[str, ...]:
    """
    Say what a build sheet would add, or why the one that there is could not be used.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine.
    why_not : str
        Why the model cannot use it, as a sentence; empty where there is none.

    Returns
    -------
    tuple of str
        Sentences.
    """
    lines = []
    if sheet is None:
        lines.append(
            "Without a build sheet the cylinders are compared with one another, on an engine of usual sizes. Say "
            "--sheet: its bore, stroke and compression ratio make leaks and oil count as they do in this engine, its "
            "banks and heads say who shares a gasket, and the level of all cylinders can be judged: without it an "
            "engine that is low in every cylinder alike looks sound."
        )
    else:
        lines.append(
            "The build sheet could not be used for the model, and the cylinders are compared with one another, on an "
            f"engine of usual sizes.{f' {why_not}' if why_not else ''}"
        )
    if sheet is not None and sheet.cycle == _TWO_STROKE:
        lines.append(
            "The causes are those of a four-stroke. On this two-stroke read valve as port, reed or crankcase seal, "
            "and take the odds for a hint."
        )
    return tuple(lines)


def _it(names: Sequence[str]) -> str:
    return "it" if len(names) == 1 else "them"
