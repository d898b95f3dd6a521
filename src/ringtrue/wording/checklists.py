"""The job as ordered checklists, adapted to the engine."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ringtrue.engine import BuildSheet


class Part(StrEnum):
    """The parts of the job that have a checklist."""

    PREPARATION = "preparation"
    SAFETY = "safety"
    PULLING = "pulling"
    WET_TEST = "wet test"
    LEAKDOWN = "leak-down"
    PUTTING_BACK = "putting it back"


@dataclass(frozen=True, slots=True)
class Item:
    """
    One thing to do.

    Parameters
    ----------
    key : str
        A name that stays, so that a tick can be kept.
    text : str
        What to do, as a sentence.
    source : str
        Key of `ringtrue.sources.SOURCES`; "common practice" where no single source says so.
    """

    key: str
    text: str
    source: str = "common practice"


def checklist(part: Part, sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return the checklist of one part of the job.

    Parameters
    ----------
    part : Part
        Which part.
    sheet : BuildSheet or None
        The engine; None where it is not known, and then nothing is left out.

    Returns
    -------
    tuple of Item
        In the order of doing; empty where the part does not belong to this engine.
    """
    return _PARTS[part](sheet)


def preparation(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return what makes the readings comparable.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    del sheet
    return (Item("warm", "Bring oil and coolant to running temperature, or write down that the engine is cold."),)


def safety(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return what makes the test safe.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    del sheet
    return (Item("ignition_off", "Disable the ignition."),)


def pulling(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to pull a cylinder.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    del sheet
    return (Item("strokes", "Crank until the needle stops rising, five compression strokes or more.", "CT-02"),)


def wet_test(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to do a wet test.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing; empty for compression ignition.
    """
    del sheet
    return ()


def leakdown(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to do a leak-down test.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    del sheet
    return ()


def putting_back(sheet: BuildSheet | None = None) -> tuple[Item, ...]:
    """
    Return how to put the engine back in order.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, or None.

    Returns
    -------
    tuple of Item
        In the order of doing.
    """
    del sheet
    return ()


_PARTS = {
    Part.PREPARATION: preparation,
    Part.SAFETY: safety,
    Part.PULLING: pulling,
    Part.WET_TEST: wet_test,
    Part.LEAKDOWN: leakdown,
    Part.PUTTING_BACK: putting_back,
}
