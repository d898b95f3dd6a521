"""Tests, read back and checked. Every function here runs inside one transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ringtrue.errors import BookDamaged
from ringtrue.records import _asked, _chain
from ringtrue.records._bodies import ChainBroken, has_fingerprint
from ringtrue.records._bulk import portions
from ringtrue.records._replay import Row, State, replay
from ringtrue.records._write import no_such_test, spelled
from ringtrue.records.facts import Entry, Recorded

if TYPE_CHECKING:
    from sqlalchemy import Connection

Sheets = dict[tuple[str, str], tuple[str, int]]
"""Text and revision of build sheets that are what was written, by engine and fingerprint."""


def recorded(connection: Connection, test_id: str, where: str) -> Recorded:
    """
    Return a test, its chain, its sheet and its place in the lists checked.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    test_id : str
        The test.
    where : str
        The book, for messages.

    Returns
    -------
    Recorded
        With every correction applied.

    Raises
    ------
    BookDamaged
        It is not what was written.
    """
    (found,) = all_recorded(connection, [test_id], where)
    if isinstance(found, BookDamaged):
        raise found
    return found


def all_recorded(connection: Connection, test_ids: Sequence[str], where: str) -> tuple[Recorded | BookDamaged, ...]:
    """
    Return several tests, checked one by one like `recorded`, in a handful of statements however many there are.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    test_ids : sequence of str
        The tests.
    where : str
        The book, for messages.

    Returns
    -------
    tuple of Recorded or BookDamaged
        In the order asked for; in the place of one that is not what was written, the error that says so.

    Raises
    ------
    NotInBook
        There is no such test.
    """
    asked = {test_id: spelled(test_id) for test_id in test_ids}
    names = list(dict.fromkeys(asked.values()))
    filed: dict[str, str] = {}
    counted: dict[str, tuple[int, str]] = {}
    rows: dict[str, list[_chain.Stored]] = defaultdict(list)
    for some in portions(names):
        of_these = {"names": some}
        filed.update(tuple(row) for row in connection.execute(_asked.FILED, of_these))
        counted.update((name, (length, head)) for name, length, head in connection.execute(_asked.COUNTED, of_these))
        for row in connection.execute(_asked.ENTRIES, of_these):
            rows[row[0]].append(row)
    for test_id, name in asked.items():
        if name in _chain.REGISTERS or (name not in filed and name not in counted and name not in rows):
            raise no_such_test(test_id, where)
    replayed: dict[str, tuple[_chain.Chain, State] | BookDamaged] = {}
    for name in names:
        try:
            chain = _chain.whole(name, rows[name], *counted.get(name, (0, "")))
            replayed[name] = chain, replay(chain, filed.get(name))
        except ChainBroken as broken:
            replayed[name] = _chain.damaged(where, name, broken)
    kept = _sheets(connection, [each[1] for each in replayed.values() if isinstance(each, tuple)])
    found = {name: _recorded(each, kept, where) for name, each in replayed.items()}
    return tuple(found[asked[test_id]] for test_id in test_ids)


def _sheets(connection: Connection, states: Sequence[State]) -> Sheets:
    wanted = {(state.header.engine, state.sheet) for state in states if state.sheet is not None}
    found: Sheets = {}
    for some in portions(sorted({engine for engine, _ in wanted})):
        for row in connection.execute(_asked.SHEETS, {"names": some}):
            if (row.engine, row.sha256) in wanted and has_fingerprint(row.text, row.sha256):
                found[row.engine, row.sha256] = row.text, row.revision
    return found


def _recorded(replayed: tuple[_chain.Chain, State] | BookDamaged, kept: Sheets, where: str) -> Recorded | BookDamaged:
    if isinstance(replayed, BookDamaged):
        return replayed
    chain, state = replayed
    text: str | None = None
    revision: int | None = None
    if state.sheet is not None:
        sheet = kept.get((state.header.engine, state.sheet))
        if sheet is None:
            says = "the build sheet that it was made under is not what was written"
            return _chain.damaged(where, chain.name, ChainBroken(None, says))
        text, revision = sheet
    return Recorded(
        test_id=chain.name,
        header=state.header,
        sheet_text=text,
        sheet_revision=revision,
        entries=chain.entries,
        test=state.test,
        standing=tuple(seq for seq, _ in state.standing),
        corrections=tuple(state.corrections),
        head=chain.head,
        finished=state.finished,
        opened_at=chain.entries[0].at,
        last_at=chain.entries[-1].at,
        photographs=tuple(photograph for photograph, _ in state.photographs.values()),
        put_aside=state.put_aside,
    )


def followed(known: Recorded, entry: Entry, row: Row) -> Recorded:
    """
    Return a test with a reading that was written at its end, as it would be read.

    Parameters
    ----------
    known : Recorded
        The test, before.
    entry : Entry
        The next in its chain.
    row : Pull or LeakdownReading
        What it says.

    Returns
    -------
    Recorded
        With the reading. As `ringtrue.records._replay.replay` has it, a test that was put aside is taken up again.
    """
    return replace(
        known,
        entries=(*known.entries, entry),
        test=replace(known.test, taken=(*known.test.taken, row)),
        standing=(*known.standing, entry.seq),
        head=entry.hash,
        last_at=entry.at,
        put_aside="",
    )


def heads(connection: Connection, names: Sequence[str]) -> dict[str, str]:
    """
    Return the last hash of each of several chains, as the book notes it.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    names : sequence of str
        The chains.

    Returns
    -------
    dict of str to str
        By name; a chain that is not there is left out.
    """
    found: dict[str, str] = {}
    for some in portions(names):
        found.update((name, head) for name, _, head in connection.execute(_asked.COUNTED, {"names": some}))
    return found
