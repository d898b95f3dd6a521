"""Is the book what was written? Every hash is computed anew from the stored columns."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator

from sqlalchemy import Connection, func, select
from sqlalchemy.exc import DBAPIError

from ringtrue.errors import InputRefused
from ringtrue.records import _pictures
from ringtrue.records._bodies import ChainBroken, Content, Happened, HeaderChanged, Opened, has_fingerprint
from ringtrue.records._chain import EVENTS, GAUGES, REGISTERS, Chain, Columns, check, rows_of
from ringtrue.records._door import Door
from ringtrue.records._place import DATABASE_ERRORS
from ringtrue.records._replay import replay, replay_events, replay_gauges
from ringtrue.records._tables import GUARDS, chains, engines, entries, metadata, owners, sheets, tests
from ringtrue.records._write import spelled
from ringtrue.records.facts import SHORTEST_HEAD_DIGITS, Entry
from ringtrue.records.outcomes import Finding

BOOK = "book"
_HEX = frozenset("0123456789abcdef")
_TRIGGERS = {
    "sqlite": "SELECT name FROM sqlite_schema WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE tgenabled <> 'D'",
}

Filed = tuple[str, str]
"""An engine's key, with its name or with the fingerprint of a sheet."""


def digits_of(head: str) -> str:
    """
    Return the digits of a head that a person typed off the paper.

    Parameters
    ----------
    head : str
        Long or short, in groups or not.

    Returns
    -------
    str
        At least 16 hexadecimal digits.

    Raises
    ------
    InputRefused
        It is no head.
    """
    digits = "".join(head.split()).replace("-", "").lower()
    if not SHORTEST_HEAD_DIGITS <= len(digits) <= 64 or not set(digits) <= _HEX:  # noqa: PLR2004 - SHA-256
        raise InputRefused.of(
            head,
            "this is not the head of a test",
            f"type the groups that stand on the sheet: at least {SHORTEST_HEAD_DIGITS} digits, 0 to 9 and a to f",
            "--head",
        )
    return digits


def check_book(connection: Connection) -> Iterator[Finding]:
    """
    Look at everything.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.

    Yields
    ------
    Finding
        Whatever is not as the book would have written it.
    """
    yield from _guarded(connection, BOOK, _database)
    names: list[str] = []
    yield from _guarded(connection, BOOK, lambda c: _names(c, names))
    filed: set[Filed] = set()
    named: set[Filed] = set()
    for name in names:
        yield from _guarded(connection, name, lambda c, name=name: _chain(c, name, filed, named))  # type: ignore[misc]
    yield from _guarded(connection, BOOK, lambda c: _engines(c, named))
    yield from _guarded(connection, "sheets", lambda c: _sheets(c, filed))
    yield from _guarded(connection, "owners", _owners)


def check_test(connection: Connection, test_id: str, head: str | None) -> Iterator[Finding]:
    """
    Look at one test, and compare it with a head from paper.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    test_id : str
        The test.
    head : str or None
        Digits, as `digits_of` gives them.

    Yields
    ------
    Finding
        Whatever is wrong, or was added since.
    """
    filed: set[Filed] = set()
    unknown = list(_guarded(connection, test_id, lambda c: _known(c, test_id)))
    if unknown:
        yield from unknown
        return
    yield from _guarded(connection, test_id, lambda c: _chain(c, test_id, filed, set()))
    yield from _guarded(connection, test_id, lambda c: _sheets(c, filed, only_these=True))
    if head is not None:
        yield from _guarded(connection, test_id, lambda c: _compare(c, test_id, head))


def _known(connection: Connection, test_id: str) -> Iterator[Finding]:
    if connection.execute(select(tests.c.engine).where(tests.c.test_id == test_id)).first() is None:
        yield Finding(test_id, None, "the book has no such test: it was never in it, or all of it was taken out")


def _compare(connection: Connection, test_id: str, head: str) -> Iterator[Finding]:
    rows = rows_of(connection, test_id)
    place = next((number for number, row in enumerate(rows, 1) if str(row[-1]).startswith(head)), None)
    if place is None:
        says = (
            "no entry has the head that was given: entries were changed or cut off since it was printed, "
            "or it belongs to another test"
        )
        yield Finding(test_id, None, says)
    elif place < len(rows):
        says = f"the head that was given is that of entry {place} of {len(rows)}; those after it were made later"
        yield Finding(test_id, place, says, damage=False)


def _guarded(connection: Connection, where: str, look: Callable[[Connection], Iterator[Finding]]) -> Iterator[Finding]:
    """Go on with the rest of the book where a part of it cannot even be read."""
    try:
        yield from look(connection)
    except DATABASE_ERRORS as error:
        said = error.orig if isinstance(error, DBAPIError) else error
        yield Finding(where, None, f"it cannot be read ({str(said)!a})")


def _database(connection: Connection) -> Iterator[Finding]:
    kind = connection.dialect.name
    triggers = set(connection.exec_driver_sql(_TRIGGERS[kind]).scalars())
    for name in sorted(GUARDS[kind] - triggers):
        yield Finding(BOOK, None, f"the guard {name} against changes was taken off")
    if kind != "sqlite":
        return
    for (said,) in connection.exec_driver_sql("PRAGMA integrity_check"):
        if said != "ok":
            yield Finding(BOOK, None, f"the database says: {said!a}")
    for row in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield Finding(BOOK, None, f"a row of {row[0]!a} belongs to nothing")
    for table in metadata.tables:
        (script,) = connection.exec_driver_sql(
            "SELECT sql FROM sqlite_schema WHERE name = ?", (table,)
        ).one_or_none() or ("",)
        if not str(script).rstrip().upper().endswith("STRICT"):
            yield Finding(BOOK, None, f"the table {table} is not as it was made")


def _names(connection: Connection, names: list[str]) -> Iterator[Finding]:
    counted = set(connection.execute(select(chains.c.name)).scalars())
    written = set(connection.execute(select(entries.c.chain).distinct()).scalars())
    opened = connection.execute(select(tests.c.test_id, tests.c.number).order_by(tests.c.number)).all()
    for name in sorted(written - counted, key=str):
        yield Finding(str(name), None, "its entries are there and the book does not count them")
    if [row.number for row in opened] != list(range(1, len(opened) + 1)):
        yield Finding(
            BOOK, None, "the tests are not numbered one after the other: one is missing, or a number was changed"
        )
    listed = {row.test_id for row in opened}
    for name in sorted((counted - set(REGISTERS)) ^ listed, key=str):
        yield Finding(ascii(name), None, "it is counted and not listed among the tests, or the other way round")
    names.extend(sorted((name for name in counted | written | listed if type(name) is str), key=str))


def _chain(connection: Connection, name: str, under: set[Filed], named: set[Filed]) -> Iterator[Finding]:
    counted = connection.execute(select(chains.c.length, chains.c.head).where(chains.c.name == name)).one_or_none()
    good: list[tuple[Entry, Content]] = []
    whole = True
    for found in check(name, rows_of(connection, name), *(counted or (0, ""))):
        if isinstance(found, Finding):
            whole = False
            yield found
        else:
            good.append(found)
    chain = Chain(name, tuple(entry for entry, _ in good), tuple(content for _, content in good))
    for content in chain.contents:
        _note(content, under, named)
    if not whole:
        return
    try:
        if name == GAUGES:
            replay_gauges(chain)
        elif name == EVENTS:
            replay_events(chain)
        else:
            filed = select(tests.c.engine).where(tests.c.test_id == name)
            replay(chain, connection.execute(filed).scalar_one_or_none())
    except ChainBroken as broken:
        yield Finding(name, broken.seq, broken.says)


def _note(content: Content, filed: set[Filed], named: set[Filed]) -> None:
    if isinstance(content, Opened | HeaderChanged):
        named.add((content.header.engine, content.header.engine_name))
        if content.sheet is not None:
            filed.add((content.header.engine, content.sheet))
    elif isinstance(content, Happened):
        named.add((content.engine, ""))


def _engines(connection: Connection, named: set[Filed]) -> Iterator[Finding]:
    known = {row.key: row.name for row in connection.execute(select(engines))}
    for key in sorted(set(known) ^ {key for key, _ in named}, key=str):
        yield Finding(ascii(key), None, "the list of engines has it and no entry does, or the other way round")
    for key, name in known.items():
        said = {each for of, each in named if of == key and each}
        if said != ({name} if name else set()):
            yield Finding(ascii(key), None, "the list of engines has another name for it than its tests have")


def _sheets(connection: Connection, filed: set[Filed], *, only_these: bool = False) -> Iterator[Finding]:
    rows = connection.execute(select(sheets).order_by(sheets.c.engine, sheets.c.revision)).all()
    stored: set[Filed] = set()
    last: dict[str, int] = {}
    for row in rows:
        revision = f"sheet of {row.engine!a}, revision {row.revision}"
        stored.add((row.engine, row.sha256))
        if only_these and (row.engine, row.sha256) not in filed:
            continue
        if not has_fingerprint(row.text, row.sha256):
            yield Finding(revision, None, "its text is not what was written")
        if only_these:
            continue
        if row.revision != last.get(row.engine, 0) + 1:
            yield Finding(revision, None, "the revisions are not numbered one after the other")
        last[row.engine] = row.revision
        if (row.engine, row.sha256) not in filed:
            yield Finding(revision, None, "no test was made under it")
    for engine, sha in sorted(filed - stored):
        yield Finding(
            f"sheet of {engine}", None, f"the text with fingerprint {sha[:16]} is missing, and a test was made under it"
        )


def owner_seal(row: Columns) -> str:
    """
    Return the check sum over an owner's columns.

    Parameters
    ----------
    row : mapping
        engine, name, contact, address, note.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    parts = [row[name] for name in ("engine", "name", "contact", "address", "note")]
    raws = [part.encode("utf-8", "surrogateescape") if isinstance(part, str) else b"?" for part in parts]
    return hashlib.sha256(b"".join(b"%d:%b," % (len(raw), raw) for raw in raws)).hexdigest()


def _owners(connection: Connection) -> Iterator[Finding]:
    for row in connection.execute(select(owners)).mappings():
        if owner_seal(row) != row["sha256"]:
            yield Finding(f"owner of {row['engine']!a}", None, "what is kept of the owner is not what was written")


def counts(connection: Connection) -> tuple[int, int]:
    """Return how many tests and entries the book has."""
    return (
        connection.execute(select(func.count()).select_from(tests)).scalar_one(),
        connection.execute(select(func.count()).select_from(entries)).scalar_one(),
    )


def verify(door: Door, test_id: str | None, head: str | None) -> tuple[Finding, ...]:
    """
    Look at one test or at everything, in one transaction.

    Parameters
    ----------
    door : Door
        The book.
    test_id : str or None
        None for everything.
    head : str or None
        As a person typed it off the paper.

    Returns
    -------
    tuple of Finding
        Empty when all is as it was written.

    Raises
    ------
    InputRefused
        A head without a test, or no head.
    """
    if test_id is None:
        if head is not None:
            raise InputRefused.of(head, "a head belongs to one test", "name the test too", "--head")
        return (*door.read(lambda c: tuple(check_book(c))), *_pictures.findings(door, None))
    digits = None if head is None else digits_of(head)
    name = spelled(test_id)
    return (*door.read(lambda c: tuple(check_test(c, name, digits))), *_pictures.findings(door, name))


def lengths(connection: Connection) -> dict[str, int]:
    """Return how many entries the book counts in each chain."""
    return {row.name: row.length for row in connection.execute(select(chains.c.name, chains.c.length))}
