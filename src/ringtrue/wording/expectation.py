"""What an engine should show on its starter, in words: never a level without its interval, never a bare number."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.compression import Band, ChangeEffect, Expectation, Gauge, InputEffect
from ringtrue.measure import DEFAULT
from ringtrue.measure.figures import spread_of
from ringtrue.measure.limits import SLACK
from ringtrue.units import Unit, from_si
from ringtrue.wording.bands import BandWords, band_words, digits_for, outward, ratio_words
from ringtrue.wording.inputs import how_to_measure, input_end_texts, input_range, input_title
from ringtrue.wording.names import capital, listed
from ringtrue.wording.numbers import percent, shortest

_WORTH_A_ROW = 0.01
"""An input that moves the final by less than this share of it is named below the table. [-]"""
_MOST_ROWS = 12
_FOOT = 0.3048

_SIBLINGS = (
    "Whether one cylinder seals is seen against its siblings: they share engine, cam, gauge and day. Ratios are known "
    "much better than levels."
)
_NO_SIBLINGS = (
    "A single has no siblings to be compared with: its own earlier tests with the same gauge take their place. Ratios "
    "are known much better than levels."
)

_CHANGES: Mapping[str, str] = MappingProxyType(
    {
        "compression_ratio": "compression ratio {way} by {size:g}",
        "intake_closing": "intake closing {size:.0f} deg {when}",
        "altitude": "{size:.0f} m ({feet:,.0f} ft) {height}",
        "speed": "cranking {size:.0f} rpm {pace}",
        "leak": "leaking {size:.1f} mm2 {more}",
    }
)
_IN_WORDS: Mapping[str, float] = MappingProxyType(
    {
        "compression_ratio": 1.0,
        "intake_closing": math.pi / 180,
        "altitude": 1.0,
        "speed": math.pi / 30,
        "leak": 1e-6,
    }
)
_CHANGE_UNITS: Mapping[str, str] = MappingProxyType(
    {"compression_ratio": "", "intake_closing": "deg", "altitude": "m", "speed": "rpm", "leak": "mm2"}
)


@dataclass(frozen=True, slots=True)
class InputRow:
    """
    What one input does to the final, in words.

    Parameters
    ----------
    title : str
        The input.
    span : str
        Its 90 % range with its unit, or its kinds.
    finals : str
        The final at the two ends, in their order; no unit.
    known : str
        "given" or "assumed".
    low, high : float
        The least and the most of the two finals. [in the unit of the whole]
    at_lowest, at_highest : str
        Which end of its range, or which kind, makes the least and the most of them.
    """

    title: str
    span: str
    finals: str
    known: str
    low: float
    high: float
    at_lowest: str
    at_highest: str


class Expected:
    """
    Writes an expectation in one unit.

    Parameters
    ----------
    found : Expectation
        What physics found.
    unit : Unit
        Unit of pressures.
    units : mapping of str to Unit
        Units of the inputs, from `input_units`.
    """

    def __init__(self, found: Expectation, unit: Unit, units: Mapping[str, Unit]) -> None:
        self._found = found
        self._unit = unit
        self._units = units
        width = from_si(found.final.high, unit) - from_si(found.final.low, unit)
        self._digits = min(digits_for(width), unit.decimals)

    def level(self, band: Band) -> BandWords:
        """
        Write a level.

        Parameters
        ----------
        band : Band
            [Pa gauge]

        Returns
        -------
        BandWords
            In the digits that the final is worth, whichever level it is.
        """
        ends = (from_si(each, self._unit) for each in (band.median, band.low, band.high))
        return band_words(Band(*ends), self._digits, self._unit.name)

    @property
    def final(self) -> BandWords:
        """Where the needle should stop."""
        return self.level(self._found.final)

    @property
    def strokes(self) -> tuple[tuple[str, BandWords], ...]:
        """The needle after each compression stroke: its number, and what to look for."""
        return tuple((str(number), self.level(band)) for number, band in enumerate(self._found.strokes, start=1))

    def what_to_look_for(self) -> tuple[str, ...]:
        """
        Say where the needle should stop, and how far it should come at once.

        Returns
        -------
        tuple of str
            Sentences.
        """
        final, first = self.final, ratio_words(self._found.first_over_final)
        beside = "; compare it with the siblings" if self._has_siblings else ""
        return (
            (
                f"After ten strokes the needle should stand at {final.interval}, 9 times in 10; {final.median} "
                f"{final.unit} is the middle of that, not a target."
            ),
            f"First over final: {first.whole}, after an unspoiled start. The hose and the starter move it{beside}.",
        )

    def how_far_to_trust_it(self) -> tuple[str, ...]:
        """
        Say what the level is good for, and what is known better.

        Returns
        -------
        tuple of str
            Sentences.
        """
        final = self.final
        return (
            (
                f"The absolute level cannot be predicted closely: {final.interval} is what can honestly be said. A "
                "reading inside says that nothing is far off; one outside, that something is."
            ),
            _SIBLINGS if self._has_siblings else _NO_SIBLINGS,
        )

    @property
    def _has_siblings(self) -> bool:
        return len(self._found.cylinders) > 1

    def inputs(self) -> tuple[InputRow, ...]:
        """
        List what moves the final most.

        Returns
        -------
        tuple of InputRow
            The one that moves it most first; those that hardly do are left to `the_rest`.
        """
        return tuple(self._input(effect) for effect in self._told())

    def the_rest(self) -> str:
        """
        Name what hardly moves the final.

        Returns
        -------
        str
            A sentence; empty where nothing is left.
        """
        told = self._told()
        rest = [each for each in self._found.inputs if each not in told and not (each.known and _move(each) == 0)]
        if not rest:
            return ""
        digits = self._digits + 1
        most = from_si(max(map(_move, rest)), self._unit)
        at_most = f"{outward(most, digits, up=True)} {self._unit.name}"
        titles = listed([input_title(each.key) for each in rest])
        if len(rest) == 1:
            return f"{capital(titles)} moves it by {at_most} at most."
        return f"These move it by {at_most} at most, each: {titles}."

    def _told(self) -> list[InputEffect]:
        least = _WORTH_A_ROW * self._found.final.median
        return [each for each in self._found.inputs if _move(each) >= least][:_MOST_ROWS]

    def _input(self, effect: InputEffect) -> InputRow:
        ends = [from_si(each, self._unit) for each in (effect.low, effect.high)]
        digits = self._digits
        first, last = (f"{round(each, digits):z.{max(digits, 0)}f}" for each in ends)
        lowest, highest = input_end_texts(effect, self._units)
        return InputRow(
            title=input_title(effect.key),
            span=input_range(effect, self._units),
            finals=f"{first} to {last}",
            known="given" if effect.known else "assumed",
            low=min(ends),
            high=max(ends),
            at_lowest=lowest,
            at_highest=highest,
        )

    def changes(self) -> tuple[tuple[str, BandWords], ...]:
        """
        Say what a change would do to the final.

        Returns
        -------
        tuple of (str, BandWords)
            The change, and final after over final before.
        """
        return tuple((change_title(each), ratio_words(each.ratio)) for each in self._found.changes)

    def cylinders(self) -> tuple[tuple[str, str, BandWords, str], ...]:
        """
        Say what each cylinder should show beside its siblings.

        Returns
        -------
        tuple of (str, str, BandWords, str)
            Cylinder, compression ratio, its final over the mean of all, and that off the mean in per cent; empty where
            nothing was measured.
        """
        if not self._found.measured:
            return ()
        return tuple(
            (
                each.cylinder,
                f"{each.compression_ratio:.2f}",
                ratio_words(each.ratio),
                f"{100 * (each.ratio.median - 1):+z.1f} %",
            )
            for each in self._found.cylinders
        )

    def what_the_build_explains(self) -> tuple[str, ...]:
        """
        Say how much of the spread the build itself explains, and what that leaves.

        Returns
        -------
        tuple of str
            Sentences; empty for a single cylinder.
        """
        if not self._has_siblings:
            return ()
        explained = explained_percent(self._found)
        if explained is None:
            return (
                (
                    "No cylinder was measured beside others that were, so all are expected alike: what differs between "
                    "them is sealing, filling, or the reading."
                ),
            )
        target = DEFAULT["mean_deviation_target"]
        shown = percent(explained, limit=target)
        beside = f"the {shortest(target, 1)} % that a careful builder stays under in all (common practice)"
        # Compared with the same slack as the target itself.
        under = explained < target and not math.isclose(explained, target, rel_tol=SLACK)
        than = f"less than {beside}" if under else f"already {beside}, or more"
        return (
            f"The measured volumes by themselves make a mean deviation of {shown} of the mean: {than}.",
            (
                "What that leaves for sealing, filling and the reading is seen when each final is divided by its ratio "
                "here before the cylinders are compared."
            ),
        )

    def narrow_it(self) -> str:
        """
        Say which one measurement would narrow the expectation most, how it is made, and what it would give.

        Returns
        -------
        str
            Sentences.
        """
        narrowing = self._found.narrowing
        now = self.final
        if narrowing is None:
            return f"No single measurement would narrow {now.interval} by much: what is left is the model's own doubt."
        then = self.level(narrowing.final)
        return (
            f"{capital(input_title(narrowing.key))}. {how_to_measure(narrowing.key)}. The 90 % interval of the final "
            f"is {now.interval}, {now.width} wide; it would be about {then.width} wide, such as {then.interval}, its "
            "middle moved by what is found."
        )


def gauge_sentence(gauge: Gauge | None) -> str:
    """
    Say with which gauge the needle is expected there.

    Parameters
    ----------
    gauge : Gauge or None
        The gauge.

    Returns
    -------
    str
        A sentence.
    """
    if gauge is None:
        return "No gauge was named: an ordinary one is assumed, with its check valve at the plug end or at the gauge."
    return (
        f"On gauge {gauge.name}, as it was described; what was not said of it is assumed. How far its face may be off "
        "is not in these intervals; judging adds it."
    )


def explained_percent(found: Expectation) -> float | None:
    """
    Work out the mean deviation that the measured volumes make by themselves.

    Parameters
    ----------
    found : Expectation
        What physics found.

    Returns
    -------
    float or None
        None where no cylinder was measured on its own. [% of the mean]
    """
    if not found.measured:
        return None
    return spread_of([each.ratio.median for each in found.cylinders]).mean_deviation_percent


def change_amount(change: ChangeEffect) -> tuple[float, str]:
    """
    Return how much is changed, as a person writes it.

    Parameters
    ----------
    change : ChangeEffect
        The change.

    Returns
    -------
    tuple of (float, str)
        Figure and unit.

    Raises
    ------
    KeyError
        No such change: a fault of the program, not of what a person typed.
    """
    return change.amount / _IN_WORDS[change.key], _CHANGE_UNITS[change.key]


def change_title(change: ChangeEffect) -> str:
    """
    Name a change.

    Parameters
    ----------
    change : ChangeEffect
        The change.

    Returns
    -------
    str
        In trade words, for the inside of a sentence.

    Raises
    ------
    KeyError
        No such change: a fault of the program, not of what a person typed.

    Examples
    --------
    >>> change_title(ChangeEffect("altitude", 1500.0, Band(0.83, 0.82, 0.84)))
    '1500 m (4,900 ft) higher'
    """
    amount, _ = change_amount(change)
    up = amount >= 0
    return _CHANGES[change.key].format(
        size=abs(amount),
        feet=round(abs(amount) / _FOOT, -2),
        way="up" if up else "down",
        when="later" if up else "earlier",
        height="higher" if up else "lower",
        pace="faster" if up else "slower",
        more="more" if up else "less",
    )


def _move(effect: InputEffect) -> float:
    return abs(effect.high - effect.low)
