"""What is known of a gauge from outside: its calibration against a reference, and the study of its scatter."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ringtrue.compression.reading import Reading
from ringtrue.quantities import Measured


class Approach(StrEnum):
    """From which side the needle came to a calibration point."""

    RISING = "rising"
    FALLING = "falling"


@dataclass(frozen=True, slots=True)
class CalibrationPoint:
    """
    One point of a calibration.

    Parameters
    ----------
    reference : Reading
        What the reference showed.
    shown : Reading
        What the gauge showed.
    approach : Approach
        From which side the needle came.
    """

    reference: Reading
    shown: Reading
    approach: Approach


@dataclass(frozen=True, slots=True)
class Calibration:
    """
    A gauge held against a reference.

    Parameters
    ----------
    points : tuple of CalibrationPoint
        In the order taken.
    date : str
        ISO date on which it was done.
    due : str
        ISO date of the next one.
    months : int
        How long it is good for. [month]
    by : str
        Who did it; empty when not said.
    reference : str
        What it was held against; empty when not said.
    reference_uncertainty : Measured or None
        Expanded uncertainty of the reference, coverage factor 2. [Pa]
    temperature : Measured or None
        Of gauge and air. [K]
    """

    points: tuple[CalibrationPoint, ...]
    date: str
    due: str
    months: int
    by: str = ""
    reference: str = ""
    reference_uncertainty: Measured | None = None
    temperature: Measured | None = None


@dataclass(frozen=True, slots=True)
class StudyReading:
    """
    One final of a study.

    Parameters
    ----------
    cylinder, person : str
        Whose, and who read it.
    repeat : int
        Which of his readings of that cylinder, from 1.
    final : Reading
        Where the needle stopped.
    """

    cylinder: str
    person: str
    repeat: int
    final: Reading


@dataclass(frozen=True, slots=True)
class Study:
    """
    A study of how a gauge repeats, as far as judging needs it.

    Parameters
    ----------
    date : str
        ISO date on which it was taken.
    cylinders, people, repeats : int
        How many of each.
    readings : tuple of StudyReading
        In the order taken; empty in the copy that a test keeps.
    """

    date: str
    cylinders: int
    people: int
    repeats: int
    readings: tuple[StudyReading, ...] = ()
