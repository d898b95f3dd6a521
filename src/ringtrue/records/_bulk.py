"""
Many whole tests at once, each with the chain it would have had entry by entry. Runs inside one transaction.

What costs time one by one is asking the database for every entry: here the keys are looked up together, the chains are
made in memory, and each table is written to once for some hundreds of rows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from sqlalchemy import Connection, Table, func, insert, select

from ringtrue.errors import InputRefused
from ringtrue.records import _chain, _write
from ringtrue.records._bodies import Content, Finished, Opened
from ringtrue.records._chain import Stamp
from ringtrue.records._tables import chains, entries, tests
from ringtrue.records.facts import Entry
from ringtrue.records.wholes import Whole

T = TypeVar("T")

_AT_ONCE = 500
"""Rows a statement; every database takes so many parameters."""


def enter_all(
    connection: Connection, given: Sequence[Whole], who: str, device: str, where: str
) -> tuple[tuple[str, bool], ...]:
    """
    Write whole tests.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    given : sequence of Whole
        The tests, in the order in which the book is to have them.
    who, device : str
        As in `Entry`.
    where : str
        The book, for messages.

    Returns
    -------
    tuple of (str, bool)
        The id of each, and whether it is new; a key that is there already gives the test that it made.

    Raises
    ------
    InputRefused
        One of them cannot be written, or two have one key; the caller's transaction must not be committed.
    """
    keys = [each.key for each in given]
    if len(set(keys)) != len(keys):
        raise InputRefused.of("", "two of the tests have one key", "give each its own", "key")
    there = _there(connection, keys)
    made: dict[str, str] = {}
    fresh: list[Entry] = []
    filed: list[tuple[str, str]] = []
    taken: set[str] = set()
    known: dict[str, str] = {}
    sheets: set[tuple[str, str]] = set()
    for each in given:
        if each.key in there:
            made[each.key] = again(connection, each, who, device, where)
            continue
        header, text = each.header, each.sheet_text
        if known.get(header.engine) != header.engine_name:
            _write.file_engine(connection, header.engine, header.engine_name)
            known[header.engine] = header.engine_name
        if text is not None and (header.engine, text) not in sheets:
            _write.file_sheet(connection, header.engine, text)
            sheets.add((header.engine, text))
        test_id = _write.new_id(connection, taken)
        chain = _sealed(test_id, each, who, device)
        taken.add(test_id)
        made[each.key] = test_id
        filed.append((test_id, header.engine))
        fresh += chain
    _write_down(connection, filed, fresh)
    return tuple((made[key], key not in there) for key in keys)


def again(connection: Connection, whole: Whole, who: str, device: str, where: str) -> str:
    """
    Write a whole test entry by entry, as far as it is not there.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    whole : Whole
        The test.
    who, device : str
        As in `Entry`.
    where : str
        The book, for messages.

    Returns
    -------
    str
        Its id.
    """
    stamp, last = Stamp(whole.key, who, device), Stamp(f"{whole.key}/finished", who, device)
    test_id = _write.start(connection, whole.header, whole.sheet_text, stamp, where)
    _write.add_rows(connection, test_id, whole.rows, stamp, where)
    _write.add(connection, test_id, Finished(""), last, where)
    return test_id


def _there(connection: Connection, keys: Sequence[str]) -> set[str]:
    found: set[str] = set()
    for some in portions(keys):
        found.update(connection.execute(select(entries.c.key).where(entries.c.key.in_(some))).scalars())
    return found


def _sealed(test_id: str, whole: Whole, who: str, device: str) -> list[Entry]:
    said: list[tuple[str, Content]] = [(whole.key, Opened(whole.header, _write.fingerprint_of(whole.sheet_text)))]
    said += [(f"{whole.key}/{number}", row) for number, row in enumerate(whole.rows, 1)]
    said.append((f"{whole.key}/finished", Finished("")))
    at, previous, made = _chain.now(), "", list[Entry]()
    for seq, (key, content) in enumerate(said, 1):
        made.append(_chain.sealed(test_id, seq, content, Stamp(key, who, device), at, previous))
        previous = made[-1].hash
    return made


def _write_down(connection: Connection, filed: Sequence[tuple[str, str]], fresh: Sequence[Entry]) -> None:
    number = connection.execute(select(func.coalesce(func.max(tests.c.number), 0))).scalar_one()
    ends = {entry.chain: entry for entry in fresh}
    _insert(
        connection, chains, [{"name": name, "length": ends[name].seq, "head": ends[name].hash} for name, _ in filed]
    )
    listed = [{"test_id": test, "number": at, "engine": engine} for at, (test, engine) in enumerate(filed, number + 1)]
    _insert(connection, tests, listed)
    _insert(connection, entries, [_chain.columns_of(entry) for entry in fresh])


def _insert(connection: Connection, table: Table, rows: Sequence[Mapping[str, object]]) -> None:
    for some in portions(rows):
        connection.execute(insert(table), some)


def portions(things: Sequence[T]) -> Iterator[Sequence[T]]:
    """
    Part a long list, so that no statement has more parameters than a database takes.

    Parameters
    ----------
    things : sequence
        Any number.

    Yields
    ------
    sequence
        Five hundred at most.
    """
    for first in range(0, len(things), _AT_ONCE):
        yield things[first : first + _AT_ONCE]
