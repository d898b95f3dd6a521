"""
A test, or the whole book, as one JSON document; and the way back in.

The same book gives the same bytes. Bodies stand in it as the text that was hashed, so that anyone can check a chain
without ringtrue; ``docs/schemas/book-export.schema.json`` is made from the types below.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Literal

import msgspec
from sqlalchemy import Connection, insert, select, update

from ringtrue.errors import InputRefused
from ringtrue.records import _chain
from ringtrue.records._bodies import (
    ChainBroken,
    Content,
    Happened,
    HeaderChanged,
    Opened,
    beyond_first_edition,
    beyond_second_edition,
    fingerprint,
    has_fingerprint,
)
from ringtrue.records._chain import EVENTS, GAUGES, REGISTERS, Chain
from ringtrue.records._check import owner_seal
from ringtrue.records._lists import engine_key
from ringtrue.records._pictures import Named, named_by
from ringtrue.records._register import owner_columns
from ringtrue.records._replay import State, replay, replay_events, replay_gauges
from ringtrue.records._tables import chains, entries, owners, sheets, tests
from ringtrue.records._write import file_engine, file_sheet, no_such_test, open_chain, spelled
from ringtrue.records.facts import Entry, EntryKind, Owner
from ringtrue.records.outcomes import Finding, Imported

FORMAT: Literal["ringtrue record book"] = "ringtrue record book"
EDITION: Literal[3] = 3
"""The latest; an export in which nothing stands that an earlier one does not know is of the earlier."""
_AT_ONCE = 500

Digest = Annotated[str, msgspec.Meta(pattern="^[0-9a-f]{64}$")]
Time = Annotated[str, msgspec.Meta(description="The book's clock, UTC; order never comes from it.")]


class EntryOut(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One entry, column by column."""

    seq: Annotated[int, msgspec.Meta(ge=1, description="Place in the chain, from 1.")]
    kind: EntryKind
    key: str
    who: str
    device: str
    at: Time
    body: Annotated[str, msgspec.Meta(description="JSON text, exactly as it was hashed.")]
    previous: Annotated[str, msgspec.Meta(pattern="^([0-9a-f]{64})?$", description="Hash of the entry before.")]
    hash: Digest


class ChainOut(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A test by its id, or one of the registers "gauges" and "events"."""

    name: str
    entries: tuple[EntryOut, ...]


class SheetOut(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A build sheet that tests were made under, to the letter."""

    engine: str
    text: str


class OwnerOut(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Whose engine it is; only when asked for."""

    engine: str
    name: str
    contact: str
    address: str
    note: str


class Document(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a record book gives out."""

    format: Literal["ringtrue record book"]
    edition: Literal[1, 2, 3]
    sheets: tuple[SheetOut, ...]
    chains: tuple[ChainOut, ...]
    owners: tuple[OwnerOut, ...] | None


class _Cover(msgspec.Struct):
    format: str
    edition: int


@dataclass(frozen=True, slots=True)
class Checked:
    """
    A document in which nothing is wrong.

    Parameters
    ----------
    document : Document
        As it was read.
    chains : tuple of (Chain, State or None)
        Its chains; with what stands, for a test.
    """

    document: Document
    chains: tuple[tuple[Chain, State | None], ...]


def export(connection: Connection, test_id: str | None, where: str, *, owners: bool) -> bytes:
    """
    Return the document of a test, or of everything.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    test_id : str or None
        None for everything.
    where : str
        The book, for messages.
    owners : bool
        With the owners' personal data.

    Returns
    -------
    bytes
        UTF-8, ending in a line break.
    """
    if test_id is None:
        names = [*connection.execute(select(tests.c.test_id).order_by(tests.c.number)).scalars(), *REGISTERS]
    else:
        names = [spelled(test_id)]
    loaded = [_chain.load(connection, name, where) for name in names]
    found = [chain for chain in loaded if chain is not None]
    if test_id is not None and (not found or found[0].name in REGISTERS):
        raise no_such_test(test_id, where)
    filed = {pair for chain in found for pair in _sheets_under(chain)}
    said = [content for chain in found for content in chain.contents]
    document = Document(
        format=FORMAT,
        edition=_edition_of(said),
        sheets=_sheets_out(connection, filed, where),
        chains=tuple(ChainOut(chain.name, tuple(_entry_out(entry) for entry in chain.entries)) for chain in found),
        owners=_owners_out(connection, found) if owners else None,
    )
    return msgspec.json.format(msgspec.json.encode(document), indent=1) + b"\n"


def _edition_of(said: Sequence[Content]) -> Literal[1, 2, 3]:
    if any(map(beyond_second_edition, said)):
        return EDITION
    return 2 if any(map(beyond_first_edition, said)) else 1


def _sheets_under(chain: Chain) -> set[tuple[str, str]]:
    said = [content for content in chain.contents if isinstance(content, Opened | HeaderChanged)]
    return {(content.header.engine, content.sheet) for content in said if content.sheet is not None}


def _sheets_out(connection: Connection, filed: set[tuple[str, str]], where: str) -> tuple[SheetOut, ...]:
    rows = connection.execute(select(sheets)).all()
    wanted = [row for row in rows if (row.engine, row.sha256) in filed]
    for row in wanted:
        if not has_fingerprint(row.text, row.sha256):
            says = "its text is not what was written"
            raise _chain.damaged(where, f"sheet of {row.engine}, revision {row.revision}", ChainBroken(None, says))
    if missing := filed - {(row.engine, row.sha256) for row in wanted}:
        raise _chain.damaged(where, f"sheet of {min(missing)[0]}", ChainBroken(None, "its text is missing"))
    return tuple(
        SheetOut(row.engine, row.text) for row in sorted(wanted, key=lambda row: (str(row.engine), int(row.revision)))
    )


def _entry_out(entry: Entry) -> EntryOut:
    said = (entry.seq, entry.kind, entry.key, entry.who, entry.device, entry.at, entry.body, entry.previous)
    return EntryOut(*said, hash=entry.hash)


def _owners_out(connection: Connection, found: Sequence[Chain]) -> tuple[OwnerOut, ...]:
    about = {engine for chain in found for engine in _engines_named(chain)}
    rows = connection.execute(select(owners)).all()
    kept = [row for row in rows if row.engine in about]
    return tuple(
        OwnerOut(row.engine, row.name, row.contact, row.address, row.note)
        for row in sorted(kept, key=lambda row: str(row.engine))
    )


def _engines_named(chain: Chain) -> dict[str, str]:
    named: dict[str, str] = {}
    for content in chain.contents:
        if isinstance(content, Opened | HeaderChanged):
            named[content.header.engine] = content.header.engine_name or named.get(content.header.engine, "")
        elif isinstance(content, Happened):
            named.setdefault(content.engine, "")
    return named


# ---------------------------------------------------------------------------------------------- the way in


def checked(document: bytes) -> Checked:
    """
    Read a document, and check every chain in it.

    Parameters
    ----------
    document : bytes
        From `export`.

    Returns
    -------
    Checked
        Nothing in it is wrong.

    Raises
    ------
    InputRefused
        It is no such document, of a later edition, or not what a book gave out.
    """
    again = "export it anew from the book it came from; nothing was taken in"
    try:
        cover = msgspec.json.decode(document, type=_Cover)
        if cover.format == FORMAT and cover.edition > EDITION:
            why = f"it was given out by a later ringtrue (edition {cover.edition} of the export)"
            raise InputRefused.of("", why, "use the newer ringtrue; nothing was taken in", "import")
        read = msgspec.json.decode(document, type=Document)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        raise InputRefused.of("", f"this is no export of a record book ({error})", again, "import") from error
    try:
        return Checked(read, tuple(_checked_chain(each) for each in _all_different(read)))
    except ChainBroken as broken:
        says = broken.says if broken.seq is None else f"entry {broken.seq}: {broken.says}"
        raise InputRefused.of("", f"this is not what a record book gave out: {says}", again, "import") from broken


def _all_different(document: Document) -> tuple[ChainOut, ...]:
    _once((each.name for each in document.chains), "chain")
    _once((entry.key for each in document.chains for entry in each.entries), "key")
    _once(((each.engine, fingerprint(each.text)) for each in document.sheets), "sheet")
    _once((each.engine for each in document.owners or ()), "owner")
    _plain(document)
    return document.chains


def _plain(document: Document) -> None:
    """Refuse what no book writes down: entries that name nobody, and characters that a database cannot keep."""
    for chain in document.chains:
        for entry in chain.entries:
            try:
                _chain.Stamp(entry.key, entry.who, entry.device)
                _chain.plain_text(entry.at, "at")
            except InputRefused as error:
                raise ChainBroken(None, f"entry {entry.seq} of {chain.name!a}: {error.faults[0].why}") from error
    loose = [each.text for each in document.sheets]
    loose += [text for each in document.owners or () for text in msgspec.structs.astuple(each)]
    if any("\0" in text for text in loose):
        raise ChainBroken(None, "it holds a NUL character")


def _once(things: Iterable[object], what: str) -> None:
    for thing, times in Counter(things).items():
        if times > 1:
            raise ChainBroken(None, f"the {what} {thing!a} stands in it {times} times")


def _checked_chain(out: ChainOut) -> tuple[Chain, State | None]:
    if not out.entries:
        raise ChainBroken(None, f"{out.name!a} has no entries")
    rows = [(out.name, entry.seq, str(entry.kind), *msgspec.structs.astuple(entry)[2:]) for entry in out.entries]
    try:
        chain = _chain.whole(out.name, rows, len(rows), out.entries[-1].hash)
        _nothing_unknown(chain)
        return chain, _replayed(chain)
    except ChainBroken as broken:
        raise ChainBroken(None, str(Finding(out.name, broken.seq, broken.says))[:-1]) from broken


def _nothing_unknown(chain: Chain) -> None:
    for entry, content in zip(chain.entries, chain.contents, strict=True):
        if odd := _unknown(msgspec.json.decode(entry.body), msgspec.to_builtins(content)):
            says = f"it says {odd}, which this ringtrue does not know; a later one wrote it"
            raise ChainBroken(entry.seq, says)


def _unknown(said: object, known: object) -> str:
    """Return the first name in a body that would be read past."""
    if isinstance(said, dict) and isinstance(known, dict):
        names = (ascii(name) if name not in known else _unknown(said[name], known[name]) for name in said)
        return next((name for name in names if name), "")
    if isinstance(said, list) and isinstance(known, list | tuple):
        return next((name for name in map(_unknown, said, known) if name), "")
    return ""


def _replayed(chain: Chain) -> State | None:
    if chain.name == GAUGES:
        replay_gauges(chain)
        return None
    if chain.name == EVENTS:
        replay_events(chain)
        return None
    if spelled(chain.name) != chain.name or "-" not in chain.name:
        raise ChainBroken(None, "this is no test's id")
    return replay(chain)


def photographs_of(checked: Checked) -> list[Named]:
    """Return the photographs that a document names."""
    return [
        each
        for chain, _ in checked.chains
        for each in named_by(chain.name, zip(chain.entries, chain.contents, strict=True))
    ]


def take_in(connection: Connection, checked: Checked, where: str) -> Imported:
    """
    Write what is not here yet.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    checked : Checked
        The document.
    where : str
        The book, for messages.

    Returns
    -------
    Imported
        What was added.
    """
    for chain, _ in checked.chains:
        for key, name in _engines_named(chain).items():
            file_engine(connection, key, name)
    _take_in_sheets(connection, checked)
    done: dict[str, list[str]] = {"added": [], "extended": [], "unchanged": []}
    fresh: list[Entry] = []
    for chain, state in checked.chains:
        here = _chain.load(connection, chain.name, where)
        new = _new_entries(chain, here, where)
        if state is not None:
            done["unchanged" if not new else "added" if here is None else "extended"].append(chain.name)
        if not new:
            continue
        if state is None and here is None:
            _chain.begin(connection, chain.name)
        elif state is not None and here is None:
            open_chain(connection, chain.name, state.header.engine)
        elif state is not None:
            connection.execute(update(tests).where(tests.c.test_id == chain.name).values(engine=state.header.engine))
        fresh += new
        last = {"length": new[-1].seq, "head": new[-1].hash}
        connection.execute(update(chains).where(chains.c.name == chain.name).values(**last))
    _write_all(connection, fresh)
    return Imported(
        tuple(done["added"]),
        tuple(done["extended"]),
        tuple(done["unchanged"]),
        len(fresh),
        _take_in_owners(connection, checked.document.owners or (), where),
    )


def _take_in_sheets(connection: Connection, checked: Checked) -> None:
    offered = {(each.engine, fingerprint(each.text)): each for each in checked.document.sheets}
    filed = {pair for chain, _ in checked.chains for pair in _sheets_under(chain)}
    if odd := set(offered) ^ filed:
        why = f"the build sheets in it are not those its tests were made under (engine {min(odd)[0]})"
        raise InputRefused.of("", why, "export it anew from the book it came from; nothing was taken in", "import")
    for each in offered.values():
        file_sheet(connection, each.engine, each.text)


def _new_entries(chain: Chain, here: Chain | None, where: str) -> list[Entry]:
    if here is None:
        return list(chain.entries)
    shared = min(len(chain.entries), len(here.entries))
    if chain.entries[:shared] == here.entries[:shared]:
        return list(chain.entries[shared:])
    if chain.name not in REGISTERS:
        parted = next(n for n in range(shared) if chain.entries[n] != here.entries[n])
        raise InputRefused.of(
            chain.name,
            f"the book has this test too, and from entry {parted + 1} on the two say different things",
            "keep them in two books; nothing was taken in",
            where,
        )
    return _appended(chain, here)


def _appended(chain: Chain, here: Chain) -> list[Entry]:
    """Put at the end of a register what another book's register has and this one has not."""
    known = {entry.key for entry in here.entries}
    described = set(replay_gauges(here)) if chain.name == GAUGES else set()
    seq, previous, new = len(here.entries), here.head, []
    for entry, content in zip(chain.entries, chain.contents, strict=True):
        if entry.key in known or getattr(content, "name", None) in described:
            continue
        seq += 1
        bare = replace(entry, seq=seq, previous=previous, hash="")
        new.append(replace(bare, hash=_chain.hash_of(bare)))
        previous = new[-1].hash
    return new


def _write_all(connection: Connection, fresh: Sequence[Entry]) -> None:
    for first in range(0, len(fresh), _AT_ONCE):
        some = fresh[first : first + _AT_ONCE]
        taken = connection.execute(
            select(entries.c.key).where(entries.c.key.in_([entry.key for entry in some]))
        ).first()
        if taken is not None:
            why = "this key stands on another entry of the book"
            raise InputRefused.of(str(taken.key), why, "keep them in two books; nothing was taken in", "import")
        connection.execute(insert(entries), [_chain.columns_of(entry) for entry in some])


def _take_in_owners(connection: Connection, offered: Sequence[OwnerOut], where: str) -> int:
    added = 0
    for each in offered:
        key = engine_key(connection, each.engine, where)
        if connection.execute(select(owners.c.engine).where(owners.c.engine == key)).first() is None:
            kept = {"engine": key, **owner_columns(Owner(each.name, each.contact, each.address, each.note))}
            connection.execute(insert(owners).values(**kept, sha256=owner_seal(kept)))
            added += 1
    return added
