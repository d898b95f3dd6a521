"""What the book gives back. Every function here runs inside one transaction."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, or_, select

from ringtrue.errors import NotInBook
from ringtrue.records import _chain
from ringtrue.records._bodies import ChainBroken, HeaderChanged, Opened, has_fingerprint
from ringtrue.records._replay import replay, replay_events
from ringtrue.records._tables import chains, engines, entries, sheets, tests
from ringtrue.records._write import no_such_test, spelled
from ringtrue.records.facts import EngineInBook, EntryKind, Event, Header, Recorded, SheetRevision, Summary

_HEADING = (EntryKind.OPENED, EntryKind.HEADER, EntryKind.FINISHED, EntryKind.PUT_ASIDE)
_READING = (EntryKind.PULL, EntryKind.LEAKDOWN)


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
    NotInBook
        There is no such test.
    """
    name = spelled(test_id)
    filed = connection.execute(select(tests.c.engine).where(tests.c.test_id == name)).scalar_one_or_none()
    chain = _chain.load(connection, name, where)
    if (chain is None and filed is None) or name in _chain.REGISTERS:
        raise no_such_test(test_id, where)
    try:
        chain = chain or _chain.Chain(name, (), ())
        state = replay(chain, filed)
        text, revision = _sheet(connection, state.header.engine, state.sheet)
    except ChainBroken as broken:
        raise _chain.damaged(where, name, broken) from broken
    return Recorded(
        test_id=name,
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
    rows = connection.execute(select(chains.c.name, chains.c.head).where(chains.c.name.in_(names)))
    return {row.name: row.head for row in rows}


def _sheet(connection: Connection, engine: str, sha: str | None) -> tuple[str | None, int | None]:
    if sha is None:
        return None, None
    row = connection.execute(select(sheets).where(sheets.c.engine == engine, sheets.c.sha256 == sha)).one_or_none()
    if row is not None and has_fingerprint(row.text, sha):
        return row.text, row.revision
    raise ChainBroken(None, "the build sheet that it was made under is not what was written")


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


def listed(connection: Connection) -> list[Listed]:
    """
    Return every test, in the order in which they were opened in this book.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.

    Returns
    -------
    list of Listed
        A damaged one has no header.
    """
    rows = connection.execute(
        select(tests.c.test_id, tests.c.engine, chains.c.head)
        .join(chains, chains.c.name == tests.c.test_id, isouter=True)
        .order_by(tests.c.number)
    ).all()
    heading: dict[str, list[_chain.Columns]] = defaultdict(list)
    wanted = entries.c.kind.in_([str(kind) for kind in _HEADING])
    for row in connection.execute(select(entries).where(wanted).order_by(entries.c.chain, entries.c.seq)).mappings():
        heading[row["chain"]].append(row)
    counted: Counter[str] = Counter()
    last: Counter[str] = Counter()
    for chain, kind, count, latest in connection.execute(
        select(entries.c.chain, entries.c.kind, func.count(), func.max(entries.c.seq)).group_by(
            entries.c.chain, entries.c.kind
        )
    ):
        if kind in _READING:
            counted[chain] += count
            last[chain] = max(last[chain], latest)
        elif kind == EntryKind.WITHDRAWAL:
            counted[chain] -= count
    return [
        _listed(
            row.test_id, row.engine, row.head or "", heading[row.test_id], (counted[row.test_id], last[row.test_id])
        )
        for row in rows
    ]


def _listed(test_id: str, engine: str, head: str, heading: list[_chain.Columns], counted: tuple[int, int]) -> Listed:
    readings, last_reading = counted
    header: Header | None = None
    sheet: str | None = None
    try:
        for row in heading:
            _, content = _chain.entry_of(row)
            if isinstance(content, Opened | HeaderChanged):
                header, sheet = content.header, content.sheet
    except ChainBroken:
        header = None
    finished = any(row["kind"] == EntryKind.FINISHED for row in heading)
    # A reading that came later took it up again.
    put_aside = any(row["kind"] == EntryKind.PUT_ASIDE and row["seq"] > last_reading for row in heading)
    opened_at = str(heading[0]["at"]) if heading else ""
    return Listed(engine, sheet, Summary(test_id, header, readings, finished, head, opened_at, put_aside))


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
    given = _chain.printable(given)
    rows = connection.execute(select(engines).where(or_(engines.c.key == given, engines.c.name == given))).all()
    if rows:
        return next((row.key for row in rows if row.key == given), str(rows[0].key))
    known = connection.execute(select(engines.c.key).order_by(engines.c.key).limit(12)).scalars().all()
    instead = f"it knows {', '.join(known)}" if known else "it knows none yet; record a test first"
    raise NotInBook.of(given, "the book knows no such engine", instead, where)


def engines_in(connection: Connection, where: str) -> tuple[EngineInBook, ...]:
    """Return the engines the book knows, in the order of their keys."""
    made = Counter(each.engine for each in listed(connection))
    revised = Counter(connection.execute(select(sheets.c.engine)).scalars())
    happened = Counter(event.engine for event in events_in(connection, where))
    return tuple(
        EngineInBook(row.key, row.name, made[row.key], revised[row.key], happened[row.key])
        for row in sorted(connection.execute(select(engines)).all(), key=lambda row: str(row.key))
    )


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
    for each in listed(connection):
        if each.engine == engine:
            under[each.sheet].append(each.summary.test_id)
    found = []
    for row in connection.execute(select(sheets).where(sheets.c.engine == engine).order_by(sheets.c.revision)):
        try:
            text, revision = _sheet(connection, engine, row.sha256)
        except ChainBroken as broken:
            raise _chain.damaged(where, f"sheet of {engine}, revision {row.revision}", broken) from broken
        found.append(SheetRevision(engine, revision or 0, text or "", row.sha256, tuple(under[row.sha256])))
    return tuple(found)


def events_in(connection: Connection, where: str) -> list[Event]:
    """
    Return the log of all engines.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    where : str
        The book, for messages.

    Returns
    -------
    list of Event
        In the order written.
    """
    chain = _chain.load(connection, _chain.EVENTS, where)
    if chain is None:
        return []
    try:
        return replay_events(chain)
    except ChainBroken as broken:
        raise _chain.damaged(where, chain.name, broken) from broken
