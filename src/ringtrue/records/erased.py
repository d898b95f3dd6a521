"""That a photograph is gone: what the record still says of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Erased:
    """
    That the file of a photograph was erased; its hash stays in the chain.

    Parameters
    ----------
    seq : int
        The entry that says so.
    why : str
        The reason.
    who, device, at : str
        By whom, on which machine, and the book's clock, UTC.
    """

    seq: int
    why: str
    who: str
    device: str
    at: str
