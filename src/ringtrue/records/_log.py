"""The log of one engine, out of the register that holds all logs: all of it is checked, its own part is read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec

from ringtrue.records import _chain
from ringtrue.records._bodies import ChainBroken
from ringtrue.records._replay import replay_events

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from ringtrue.records._chain import Stored
    from ringtrue.records.event import Event

_BODY, _PREVIOUS, _HASH = -3, -2, -1
_seen: dict[str, Sequence[Stored]] = {}
"""The log as it was last read and found right, by book."""


def log_of(connection: Connection, where: str, engine: str) -> list[Event]:
    """
    Return the log of one engine.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    where : str
        The book, for messages.
    engine : str
        Its key.

    Returns
    -------
    list of Event
        In the order written.

    Raises
    ------
    BookDamaged
        The register is not what was written.
    """
    length, head, rows = _chain.stored(connection, _chain.EVENTS)
    named = msgspec.json.encode(engine).decode()
    try:
        _nothing_wrong(_chain.EVENTS, rows, length, head, _seen.get(where, ()))
        _seen[where] = rows
        # A text or a reason may be another engine's name: what an entry is about is looked at once it is read.
        read = (_chain.entry_of(row) for row in rows if named in row[_BODY])
        about = [(entry, said) for entry, said in read if getattr(said, "engine", engine) == engine]
        chain = _chain.Chain(_chain.EVENTS, tuple(entry for entry, _ in about), tuple(said for _, said in about))
        return replay_events(chain)
    except ChainBroken as broken:
        raise _chain.damaged(where, _chain.EVENTS, broken) from broken


def _nothing_wrong(name: str, rows: Sequence[Stored], length: int, head: str, seen: Sequence[Stored]) -> None:
    """
    Check a chain without reading what its entries say; stopped by `ChainBroken` at the first thing that is wrong.

    What was ``seen`` and found right needs no second reckoning where it is still the same, character for character.
    """
    known = len(seen) if rows[: len(seen)] == seen else 0
    previous, text = rows[known - 1][_HASH] if known else "", {str}
    for expected, row in enumerate(rows[known:], start=known + 1):
        chain, seq, *others = row
        if type(seq) is not int or text != set(map(type, (chain, *others))):
            raise ChainBroken(None, "a column holds another kind of thing than was written there")
        if _chain.stored_hash(row) != row[_HASH]:
            raise ChainBroken(seq, "it is not what was written: its hash is another")
        if (chain, seq, row[_PREVIOUS]) != (name, expected, previous):
            raise ChainBroken(seq, "it does not follow from the entry before it")
        previous = row[_HASH]
    if (len(rows), previous) != (length, head):
        raise ChainBroken(None, f"the book counted {length} entries and the last of them is not the one that is there")
