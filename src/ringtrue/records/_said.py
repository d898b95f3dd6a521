"""What a single entry says, for lists of a whole record."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.records._bodies import (
    ChosenForSheet,
    Finished,
    PhotographErased,
    PhotographTakenBack,
    PutAside,
    read_body,
)
from ringtrue.records.facts import Entry


@dataclass(frozen=True, slots=True)
class Ended:
    """
    What an entry says with which nobody goes on.

    Parameters
    ----------
    said : str
        The note of a test that is done, or why one was put aside.
    """

    said: str


@dataclass(frozen=True, slots=True)
class OfPhotograph:
    """
    What an entry says of a photograph that stands in another.

    Parameters
    ----------
    photograph : int
        The entry that holds it.
    said : str
        What became of it.
    """

    photograph: int
    said: str


def said_in(entry: Entry) -> Pull | LeakdownReading | Ended | OfPhotograph | None:
    """
    Read what an entry says that nothing which stands tells any more.

    Parameters
    ----------
    entry : Entry
        Of a test that the book has found whole.

    Returns
    -------
    Pull, LeakdownReading, Ended, OfPhotograph or None
        A reading as it was first written; None where the kind of the entry says it all, or a correction tells it.
    """
    content = read_body(entry.kind, entry.body)
    match content:
        case Pull() | LeakdownReading():
            return content
        case Finished(note):
            return Ended(note)
        case PutAside(why):
            return Ended(f"why: {why}")
        case ChosenForSheet(photograph, _, for_sheet):
            return OfPhotograph(photograph, ", on the sheet" if for_sheet else ", off the sheet")
        case PhotographTakenBack(photograph, _, why) | PhotographErased(photograph, _, why):
            return OfPhotograph(photograph, f", why: {why}")
    return None
