"""What an engine should show on its starter: facts in SI, made by physics, read by judging and by the pages."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """
    A figure that is not known exactly.

    Parameters
    ----------
    median : float
        Half of what is possible lies below it.
    low, high : float
        The 90 % interval, 5 % below it and 5 % above, unless what holds the band says another.
    """

    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class InputEffect:
    """
    What one uncertain input does to the final.

    Parameters
    ----------
    key : str
        Which input.
    known : bool
        The builder gave it; otherwise it is assumed.
    at_low, at_high : float
        The two ends of its 90 % range, in SI; for a choice among kinds, 0. [SI]
    low, high : float
        The final at these ends, all else in the middle; for a choice, the least and the most. [Pa gauge]
    share : float
        Share of the variance of the final that goes with it. [-]
    source : str
        Who says how uncertain it is: a key of ``ringtrue.sources``.
    """

    key: str
    known: bool
    at_low: float
    at_high: float
    low: float
    high: float
    share: float
    source: str


@dataclass(frozen=True, slots=True)
class ChangeEffect:
    """
    What a change to this engine or its day would do to the final, as a ratio.

    Parameters
    ----------
    key : str
        Which change.
    amount : float
        How much, in SI. [SI]
    ratio : Band
        Final after over final before. [-]
    """

    key: str
    amount: float
    ratio: Band


@dataclass(frozen=True, slots=True)
class CylinderExpectation:
    """
    One cylinder beside its siblings, as it was built.

    Parameters
    ----------
    cylinder : str
        Its name.
    compression_ratio : float
        As measured, else nominal. [-]
    final : Band
        What it should show. [Pa gauge]
    ratio : Band
        Its final over the mean of all cylinders; exactly 1 where nothing was measured. [-]
    """

    cylinder: str
    compression_ratio: float
    final: Band
    ratio: Band


@dataclass(frozen=True, slots=True)
class Narrowing:
    """
    The one measurement that would narrow the expectation most.

    Parameters
    ----------
    key : str
        The input that is measured.
    final : Band
        The expectation if it were known that well. [Pa gauge]
    """

    key: str
    final: Band


@dataclass(frozen=True, slots=True)
class Expectation:
    """
    What an engine should show on its starter.

    Parameters
    ----------
    strokes : tuple of Band
        The needle after each compression stroke. [Pa gauge]
    final : Band
        Where it should stop. [Pa gauge]
    first_over_final : Band
        After an unspoiled start. [-]
    inputs : tuple of InputEffect
        The one that moves the final most first.
    changes : tuple of ChangeEffect
        What a builder might change.
    cylinders : tuple of CylinderExpectation
        In the order of the sheet.
    narrowing : Narrowing or None
        None where no measurement of a builder would narrow it.
    measured : bool
        Some cylinder's volumes were measured, so cylinders differ.

    Notes
    -----
    The absolute level cannot be predicted closely; ratios can. No figure here is to be shown without its interval.
    """

    strokes: tuple[Band, ...]
    final: Band
    first_over_final: Band
    inputs: tuple[InputEffect, ...]
    changes: tuple[ChangeEffect, ...]
    cylinders: tuple[CylinderExpectation, ...]
    narrowing: Narrowing | None
    measured: bool
