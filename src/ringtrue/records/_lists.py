"""
What the book lists: tests, engines, sheets, logs. Every function here runs inside one transaction.

A list asks for the tests that it shows and no others, in a handful of statements however many there are.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, Select, func, or_, select

from ringtrue.errors import NotInBook
from ringtrue.records import _asked, _chain
from ringtrue.records._bodies import ChainBroken, HeaderChanged, Opened, has_fingerprint
from ringtrue.records._bulk import portions
from ringtrue.records._log import log_of
from ringtrue.records._replay import replay_events
from ringtrue.records._tables import FINISHED, chains, engines, entries, sheets, tests
from ringtrue.records._write import printable
from ringtrue.records.event import Event
from ringtrue.records.facts import EngineInBook, EntryKind, Header, SheetRevision, Summary

_HEADING = tuple(str(kind) for kind in (EntryKind.OPENED, EntryKind.HEADER, EntryKind.FINISHED, EntryKind.PUT_ASIDE))
_COUNTED = {str(EntryKind.PULL): 1, str(EntryKind.LEAKDOWN): 1, str(EntryKind.WITHDRAWAL): -1}
_ENDINGS = frozenset({str(EntryKind.FINISHED), str(EntryKind.PUT_ASIDE)})
_FEW = 5_000
"""So many tests are asked for by name; beyond it the whole book is gone through."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """
    Which tests a list is of.

    Parameters
    ----------
    engine : str or None
        Of the engine with this key alone; None for every engine.
    still_open : bool
        Only those that nobody finished.
    latest : int or None
        So many of the latest at most; None for all of them.
    skip : int
        So many of the latest are left out.
    """

    engine: str | None = None
    still_open: bool = False
    latest: int | None = None
    skip: int = 0


@dataclass(frozen=True, slots=True)
class Listed:
    """
    A test for lists, with the sheet it stands under.

    Parameters
    ----------
    engine : str
        The engine it is filed under.
    sheet : str or None
        Fingerprint of its build sheet.
    summary : Summary
        The rest.
    """

    engine: str
    sheet: str | None
    summary: Summary


def listed(connection: Connection, wanted: Wanted) -> list[Listed]:
    """
    Return tests, in the order in which they were opened in this book.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    wanted : Wanted
        Which.

    Returns
    -------
    list of Listed
        A damaged one has no header.
    """
    asked = select(tests.c.test_id, tests.c.engine, chains.c.head)
    asked = asked.join(chains, chains.c.name == tests.c.test_id, isouter=True).where(*_which(wanted))
    asked = asked.order_by(tests.c.number.desc()).limit(wanted.latest).offset(wanted.skip or None)
    rows = connection.execute(asked).all()[::-1]
    names = [row.test_id for row in rows]
    of_heading = select(*_asked.STORED).where(entries.c.kind.in_(_HEADING)).order_by(entries.c.chain, entries.c.seq)
    heading: dict[str, list[_chain.Stored]] = defaultdict(list)
    for row in _of(connection, names, of_heading):
        heading[row[0]].append(row)
    counting = select(entries.c.chain, entries.c.kind, func.count(), func.max(entries.c.seq))
    counting = counting.where(entries.c.kind.in_(tuple(_COUNTED))).group_by(entries.c.chain, entries.c.kind)
    readings: Counter[str] = Counter()
    last: Counter[str] = Counter()
    for chain, kind, count, latest in _of(connection, names, counting):
        readings[chain] += _COUNTED[kind] * count
        if _COUNTED[kind] > 0:
            last[chain] = max(last[chain], latest)
    return [_listed(*row, heading[row.test_id], (readings[row.test_id], last[row.test_id])) for row in rows]


def _which(wanted: Wanted) -> Iterator[ColumnElement[bool]]:
    if wanted.engine is not None:
        yield tests.c.engine == wanted.engine
    if wanted.still_open:
        yield ~select(entries.c.chain).where(entries.c.chain == tests.c.test_id, FINISHED).exists()


def counted(connection: Connection, wanted: Wanted) -> int:
    """
    Count tests.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    wanted : Wanted
        Which; what it says of the latest is not looked at.

    Returns
    -------
    int
        How many there are.
    """
    return connection.execute(select(func.count()).select_from(tests).where(*_which(wanted))).scalar_one()


def _of(connection: Connection, names: Sequence[str], asked: Select[Any]) -> Iterator[_chain.Stored]:
    """Ask about the entries of some chains; about all entries where that is less work."""
    if len(names) > _FEW:
        yield from connection.execute(asked)
        return
    for some in portions(names):
        yield from connection.execute(asked.where(entries.c.chain.in_(some)))


def _listed(
    test_id: str, engine: str, head: str | None, heading: Sequence[_chain.Stored], read: tuple[int, int]
) -> Listed:
    readings, last_reading = read
    header: Header | None = None
    sheet: str | None = None
    try:
        for row in heading:
            if row[2] in _ENDINGS:
                continue
            _, content = _chain.entry_of(row)
            if isinstance(content, Opened | HeaderChanged):
                header, sheet = content.header, content.sheet
    except ChainBroken:
        header = None
    finished = any(row[2] == EntryKind.FINISHED for row in heading)
    # A reading that came later took it up again.
    put_aside = any(row[2] == EntryKind.PUT_ASIDE and row[1] > last_reading for row in heading)
    opened_at = str(heading[0][6]) if heading else ""
    return Listed(engine, sheet, Summary(test_id, header, readings, finished, head or "", opened_at, put_aside))


def engine_key(connection: Connection, given: str, where: str) -> str:
    """
    Return how the book knows an engine.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    given : str
        Its reference or its name.
    where : str
        The book, for messages.

    Returns
    -------
    str
        Its key.

    Raises
    ------
    NotInBook
        The book does not know it.
    """
    given = printable(given)
    rows = connection.execute(select(engines).where(or_(engines.c.key == given, engines.c.name == given))).all()
    if rows:
        return next((row.key for row in rows if row.key == given), str(rows[0].key))
    known = connection.execute(select(engines.c.key).order_by(engines.c.key).limit(12)).scalars().all()
    instead = f"it knows {', '.join(known)}" if known else "it knows none yet; record a test first"
    raise NotInBook.of(given, "the book knows no such engine", instead, where)


def engine_alike(connection: Connection, given: str, where: str) -> str:
    """
    Return how the book knows an engine, in capitals or not.

    Parameters
    ----------
    connection, given, where
        As in `engine_key`.

    Returns
    -------
    str
        Its key.

    Raises
    ------
    NotInBook
        The book does not know it.
    """
    try:
        return engine_key(connection, given, where)
    except NotInBook:
        folded = given.casefold()
        for row in connection.execute(select(engines).order_by(engines.c.key)):
            if folded in {row.key.casefold(), row.name.casefold()}:
                return str(row.key)
        raise


def engines_in(connection: Connection, where: str) -> tuple[EngineInBook, ...]:
    """
    Return the engines the book knows.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    where : str
        The book, for messages.

    Returns
    -------
    tuple of EngineInBook
        In the order of their keys.
    """
    happened = Counter(event.engine for event in events_in(connection, where) if not event.taken_back)
    return tuple(_engines(connection, sorted(_names(connection)), happened))


def engines_found(connection: Connection, words: str, first: int, most: int) -> tuple[tuple[EngineInBook, ...], int]:
    """
    Look for engines.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    words : str
        Each of them stands somewhere in the reference or in the name, in capitals or not; empty for every engine.
    first : int
        So many of those found are left out.
    most : int
        So many are returned at most.

    Returns
    -------
    (tuple of EngineInBook, int)
        In the order of their keys, the lines of their logs not counted; and how many there are in all.
    """
    wanted = words.casefold().split()
    found = sorted(
        (key, name)
        for key, name in _names(connection)
        if all(word in key.casefold() or word in name.casefold() for word in wanted)
    )
    return tuple(_engines(connection, found[first : first + most], Counter())), len(found)


def engine_in(connection: Connection, given: str, where: str) -> EngineInBook:
    """
    Return one engine, by its reference or its name, in capitals or not; the lines of its log are not counted.

    Parameters
    ----------
    connection, given, where
        As in `engine_key`.

    Returns
    -------
    EngineInBook
        The engine.
    """
    key = engine_alike(connection, given, where)
    name = connection.execute(select(engines.c.name).where(engines.c.key == key)).scalar_one()
    return next(_engines(connection, [(key, name)], Counter()))


def _names(connection: Connection) -> list[tuple[str, str]]:
    return [(str(row.key), str(row.name)) for row in connection.execute(select(engines))]


def _engines(
    connection: Connection, found: Sequence[tuple[str, str]], happened: Counter[str]
) -> Iterator[EngineInBook]:
    keys = [key for key, _ in found]
    made = _by_engine(connection, keys, tests.c.engine)
    revised = _by_engine(connection, keys, sheets.c.engine)
    for key, name in found:
        yield EngineInBook(key, name, made[key], revised[key], happened[key])


def _by_engine(connection: Connection, keys: Sequence[str], engine: Column[str]) -> Counter[str]:
    asked = select(engine, func.count()).group_by(engine)
    made: Counter[str] = Counter()
    for some in portions(keys):
        for key, count in connection.execute(asked.where(engine.in_(some))):
            made[key] = count
    return made


def sheet(connection: Connection, engine: str, sha: str | None) -> tuple[str | None, int | None]:
    """
    Return a build sheet and its revision, found to be what was written.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    engine : str
        The engine's key.
    sha : str or None
        Fingerprint; None where there is no sheet.

    Returns
    -------
    (str or None, int or None)
        Text and revision.

    Notes
    -----
    Stopped by `ChainBroken`: it is not there, or not what was written.
    """
    if sha is None:
        return None, None
    row = connection.execute(select(sheets).where(sheets.c.engine == engine, sheets.c.sha256 == sha)).one_or_none()
    if row is not None and has_fingerprint(row.text, sha):
        return row.text, row.revision
    raise ChainBroken(None, "the build sheet that it was made under is not what was written")


def sheets_in(connection: Connection, engine: str, where: str) -> tuple[SheetRevision, ...]:
    """
    Return the revisions of an engine's build sheet.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    engine : str
        The engine's key.
    where : str
        The book, for messages.

    Returns
    -------
    tuple of SheetRevision
        Oldest first.
    """
    under: dict[str | None, list[str]] = defaultdict(list)
    for each in listed(connection, Wanted(engine)):
        under[each.sheet].append(each.summary.test_id)
    found = []
    for row in connection.execute(select(sheets).where(sheets.c.engine == engine).order_by(sheets.c.revision)):
        try:
            text, revision = sheet(connection, engine, row.sha256)
        except ChainBroken as broken:
            raise _chain.damaged(where, f"sheet of {engine}, revision {row.revision}", broken) from broken
        found.append(SheetRevision(engine, revision or 0, text or "", row.sha256, tuple(under[row.sha256])))
    return tuple(found)


def events_in(connection: Connection, where: str, engine: str | None = None) -> list[Event]:
    """
    Return the log of all engines, or of one.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    where : str
        The book, for messages.
    engine : str or None
        The key of the one; None for all of them.

    Returns
    -------
    list of Event
        In the order written.
    """
    if engine is not None:
        return log_of(connection, where, engine)
    chain = _chain.load(connection, _chain.EVENTS, where)
    if chain is None:
        return []
    try:
        return replay_events(chain)
    except ChainBroken as broken:
        raise _chain.damaged(where, chain.name, broken) from broken
