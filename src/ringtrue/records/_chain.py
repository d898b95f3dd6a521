"""
Chains of entries: hashed, appended to, read back and checked.

The hash of an entry is SHA-256 over ten strings, one after the other, each as its length in bytes (decimal), a colon,
its UTF-8 bytes and a comma: the words "ringtrue entry 1", then chain, seq (decimal), kind, key, who, device, at,
body, and the previous entry's hash (nothing for the first). ``docs/guide/record-book.md`` shows how to do it without
ringtrue.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, insert

from ringtrue.errors import BookDamaged, InputRefused
from ringtrue.records import _asked
from ringtrue.records._bodies import ChainBroken, Content, kind_of, read_body, write_body
from ringtrue.records._tables import chains
from ringtrue.records.facts import Entry, EntryKind
from ringtrue.records.outcomes import Finding

Columns = Mapping[str, Any] | RowMapping
"""Stored columns of a row, by name."""

Stored = Sequence[Any]
"""Stored columns of an entry, in the order of `ringtrue.records._asked.STORED`."""

FORM = "ringtrue entry 1"
GAUGES = "gauges"
EVENTS = "events"
REGISTERS = (GAUGES, EVENTS)
_LONGEST_NAME = 200
_KINDS = {str(kind): kind for kind in EntryKind}
_SEQ, _BODY = 1, 4
"""Where the number stands among the stored columns, and the body among those after the kind."""
_RESTORE = (
    "put back a backup with `ringtrue book restore`, which keeps the damaged book aside; "
    "`ringtrue book verify` lists all that is wrong"
)


@dataclass(frozen=True, slots=True)
class Stamp:
    """
    Who writes an entry, on what, and the key that makes it once only.

    Parameters
    ----------
    key, who, device : str
        As in `Entry`.
    """

    key: str
    who: str
    device: str

    def __post_init__(self) -> None:
        """
        Refuse what would name nobody.

        Raises
        ------
        InputRefused
            One of the three is empty, too long, or no text.
        """
        for what, given in (("key", self.key), ("who", self.who), ("device", self.device)):
            plain_text(given, what)


@dataclass(frozen=True, slots=True)
class Chain:
    """
    A chain that was read and found whole.

    Parameters
    ----------
    name : str
        The test's id, or the register.
    entries : tuple of Entry
        In order.
    contents : tuple of Content
        What each of them says.
    """

    name: str
    entries: tuple[Entry, ...]
    contents: tuple[Content, ...]

    @property
    def head(self) -> str:
        """Hash of the last entry; empty when there is none."""
        return self.entries[-1].hash if self.entries else ""


def plain_text(given: str, what: str) -> str:
    """
    Return a short text that names something.

    Parameters
    ----------
    given : str
        What was given.
    what : str
        What it should name.

    Returns
    -------
    str
        The same text.

    Raises
    ------
    InputRefused
        It is empty, longer than 200 characters, or holds what cannot be printed.
    """
    if not given.strip():
        raise InputRefused.of("", "it is empty, and every entry of the book names it", f"say {what}", what)
    if len(given) > _LONGEST_NAME:
        raise InputRefused.of(given[:20] + "...", f"it is longer than {_LONGEST_NAME} characters", "shorten it", what)
    if not given.isprintable():
        raise InputRefused.of(ascii(given), "it holds characters that cannot be printed", "type it anew", what)
    return given


def now() -> str:
    """Return the clock of this machine, UTC, to the microsecond."""
    return datetime.now(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def hash_of(entry: Entry) -> str:
    """
    Return what the hash of an entry has to be.

    Parameters
    ----------
    entry : Entry
        Its own hash is not looked at.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    parts = (entry.chain, str(entry.seq), str(entry.kind), entry.key, entry.who, entry.device, entry.at)
    return _digest((FORM, *parts, entry.body, entry.previous))


def _digest(parts: Sequence[str]) -> str:
    together = "".join([f"{len(part)}:{part}," for part in parts])
    if not together.isascii():  # lengths are counted in bytes
        raws = [part.encode("utf-8", "surrogateescape") for part in parts]
        return hashlib.sha256(b"".join([b"%d:%b," % (len(raw), raw) for raw in raws])).hexdigest()
    return hashlib.sha256(together.encode("ascii")).hexdigest()


def sealed(name: str, seq: int, content: Content, stamp: Stamp, at: str, previous: str) -> Entry:
    """Return the entry with its hash."""
    bare = (name, seq, kind_of(content), stamp.key, stamp.who, stamp.device, at, write_body(content), previous)
    return Entry(*bare, hash=hash_of(Entry(*bare, hash="")))


def check(name: str, rows: Sequence[Stored], length: int, head: str) -> Iterator[tuple[Entry, Content] | Finding]:
    """
    Yield each entry of a chain with what it says, or what is wrong with it.

    Parameters
    ----------
    name : str
        The chain.
    rows : sequence of sequence
        Stored columns of its entries, by number.
    length, head : int, str
        How many entries the book counted, and the hash of the last.

    Yields
    ------
    (Entry, Content) or Finding
        In order.
    """
    previous = ""
    expected = 1
    for row in rows:
        try:
            entry, content = entry_of(row)
        except ChainBroken as broken:
            yield Finding(name, row[_SEQ] if type(row[_SEQ]) is int else None, broken.says)
            previous, expected = str(row[-1]), expected + 1
            continue
        if entry.seq != expected:
            yield Finding(name, entry.seq, f"entry {expected} should stand here")
        if entry.previous != previous:
            yield Finding(name, entry.seq, "it does not follow from the entry before it")
        previous, expected = entry.hash, entry.seq + 1
        yield entry, content
    if (len(rows), previous) != (length, head):
        says = f"the book counted {length} entries and the last of them is not the one that is there"
        yield Finding(name, None, says)


def entry_of(row: Stored) -> tuple[Entry, Content]:
    """
    Return an entry from its stored columns, and what it says.

    Parameters
    ----------
    row : sequence
        The columns.

    Returns
    -------
    (Entry, Content)
        Its own hash is good; where it stands in its chain was not looked at.

    Notes
    -----
    Stopped by `ChainBroken`: it is not what was written.
    """
    chain, seq, word, *others = row
    if type(seq) is not int or {str} != set(map(type, (chain, word, *others))):
        raise ChainBroken(None, "a column holds another kind of thing than was written there")
    kind = _KINDS.get(word)
    if kind is None:
        raise ChainBroken(None, "no such kind of entry exists")
    if stored_hash(row) != others[-1]:
        raise ChainBroken(None, "it is not what was written: its hash is another")
    return Entry(chain, seq, kind, *others), read_body(kind, others[_BODY])


def stored_hash(row: Stored) -> str:
    """Return what the hash of a stored entry has to be, whose columns are of the right kinds."""
    chain, seq, word, *others = row
    return _digest((FORM, chain, str(seq), word, *others[:-1]))


def whole(name: str, rows: Sequence[Stored], length: int, head: str) -> Chain:
    """
    Return a chain in which nothing is wrong.

    Parameters
    ----------
    name, rows, length, head
        As in `check`.

    Returns
    -------
    Chain
        Its entries.

    Notes
    -----
    Stopped by `ChainBroken`: the first thing that is wrong.
    """
    good: list[tuple[Entry, Content]] = []
    for found in check(name, rows, length, head):
        if isinstance(found, Finding):
            raise ChainBroken(found.seq, found.says)
        good.append(found)
    return Chain(name, tuple(entry for entry, _ in good), tuple(content for _, content in good))


def damaged(where: str, name: str, broken: ChainBroken) -> BookDamaged:
    """Return the error for a chain of this book that is broken."""
    place = name if broken.seq is None else f"{name}, entry {broken.seq}"
    return BookDamaged.of(place, broken.says, _RESTORE, where)


def rows_of(connection: Connection, name: str) -> Sequence[Stored]:
    """Return the stored columns of a chain's entries, by number."""
    return connection.execute(_asked.ENTRIES_OF, {"chain": name}).all()


def stored(connection: Connection, name: str) -> tuple[int, str, Sequence[Stored]]:
    """Return what the book counted of a chain, and the stored columns of its entries; nothing where there is none."""
    counted = connection.execute(_asked.COUNTED_OF, {"chain": name}).one_or_none()
    length, head = (0, "") if counted is None else (counted.length, counted.head)
    return length, head, rows_of(connection, name)


def load(connection: Connection, name: str, where: str) -> Chain | None:
    """
    Read a chain and check it.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    name : str
        The chain.
    where : str
        The book, for messages.

    Returns
    -------
    Chain or None
        None when the book has no such chain.

    Raises
    ------
    BookDamaged
        It is not what was written.
    """
    length, head, rows = stored(connection, name)
    if not length and not head and not rows:
        return None
    try:
        return whole(name, rows, length, head)
    except ChainBroken as broken:
        raise damaged(where, name, broken) from broken


def made_by(connection: Connection, key: str, where: str) -> tuple[Entry, Content] | None:
    """
    Return the entry that a key made, and what it says.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    key : str
        The key.
    where : str
        The book, for messages.

    Returns
    -------
    (Entry, Content) or None
        None when the key is new.

    Raises
    ------
    BookDamaged
        The entry is not what was written.
    """
    row = connection.execute(_asked.BY_KEY, {"made_with": key}).one_or_none()
    if row is None:
        return None
    try:
        return entry_of(row)
    except ChainBroken as broken:
        raise damaged(where, str(row[0]), broken) from broken


def key_taken(key: str, entry: Entry) -> InputRefused:
    """Return the error for a key that stands on an entry which says something else."""
    return InputRefused.of(
        key,
        f"this key already stands on the {entry.kind} entry {entry.seq} of {entry.chain}, which says something else",
        "send it with a key of its own; nothing was written",
        "key",
    )


def written_before(
    connection: Connection, name: str | None, content: Content, stamp: Stamp, where: str
) -> Entry | None:
    """
    Return the entry that this key made earlier.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    name : str or None
        The chain it has to be in; None when a new chain is asked for.
    content : Content
        What it has to say.
    stamp : Stamp
        Its key.
    where : str
        The book, for messages.

    Returns
    -------
    Entry or None
        None when the key is new.

    Raises
    ------
    InputRefused
        The key made another entry.
    """
    found = made_by(connection, stamp.key, where)
    if found is None:
        return None
    entry, said = found
    if said != content or (name is not None and entry.chain != name):
        raise key_taken(stamp.key, entry)
    return entry


def begin(connection: Connection, name: str) -> None:
    """Make an empty chain."""
    connection.execute(insert(chains).values(name=name, length=0, head=""))


def append(connection: Connection, name: str, content: Content, stamp: Stamp, where: str) -> Entry:
    """
    Write an entry at the end of a chain.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    name : str
        A chain that exists.
    content : Content
        What the entry says.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.

    Returns
    -------
    Entry
        As written.

    Raises
    ------
    BookDamaged
        The chain's end is not what the book counted.
    """
    length, head = connection.execute(_asked.COUNTED_OF, {"chain": name}).one()
    last = connection.execute(_asked.LAST, {"chain": name}).one_or_none()
    if (last.seq if last else 0, last.hash if last else "") != (length, head):
        raise damaged(where, name, ChainBroken(length, "the end of the chain is not the one the book counted"))
    entry = sealed(name, length + 1, content, stamp, now(), head)
    put(connection, entry)
    return entry


def put(connection: Connection, entry: Entry) -> None:
    """Write a sealed entry, and count it."""
    connection.execute(_asked.PUT, columns_of(entry))
    connection.execute(_asked.COUNT, {"chain": entry.chain, "reached": entry.seq, "last": entry.hash})


def columns_of(entry: Entry) -> dict[str, str | int]:
    """Return what is stored of an entry, by column."""
    return {**asdict(entry), "kind": str(entry.kind)}
