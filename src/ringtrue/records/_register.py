"""Gauges, engines' logs, and owners. Every function here runs inside one transaction."""

from __future__ import annotations

from dataclasses import replace

import msgspec
from sqlalchemy import Connection, delete, func, insert, select

from ringtrue.compression import Gauge
from ringtrue.errors import BookDamaged, InputRefused, NotInBook
from ringtrue.records import _chain, _write
from ringtrue.records._bodies import ChainBroken, Content, Happened, HappenedNot
from ringtrue.records._chain import Stamp
from ringtrue.records._check import owner_seal
from ringtrue.records._lists import engine_key
from ringtrue.records._log import log_of
from ringtrue.records._replay import replay_gauges
from ringtrue.records._tables import chains, entries, owners, sheets
from ringtrue.records._write import file_engine
from ringtrue.records.facts import Entry, GaugeRevision, Owner


def enter(connection: Connection, register: str, content: Content, stamp: Stamp, where: str) -> Entry:
    """
    Write a line in a register; the same key gives the same entry.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    register : str
        "gauges" or "events".
    content : Content
        What it says.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.

    Returns
    -------
    Entry
        As it stands in the book.
    """
    before = _chain.written_before(connection, register, content, stamp, where)
    if before is not None:
        return before
    if connection.execute(select(chains.c.name).where(chains.c.name == register)).first() is None:
        _chain.begin(connection, register)
    return _chain.append(connection, register, content, stamp, where)


def add_gauge(connection: Connection, gauge: Gauge, stamp: Stamp, where: str) -> None:
    """Describe a gauge, unless the register says exactly that already."""
    _chain.plain_text(gauge.name, "the gauge's name")
    described = gauges_in(connection, where).get(gauge.name)
    if described is None or described[-1].gauge != gauge or _chain.made_by(connection, stamp.key, where) is not None:
        enter(connection, _chain.GAUGES, gauge, stamp, where)


def keep_gauge(connection: Connection, gauge: Gauge, stamp: Stamp, where: str) -> None:
    """Describe a gauge; where its calibration is older than the one in force, that one is said again after it."""
    if _chain.made_by(connection, stamp.key, where) is not None:
        add_gauge(connection, gauge, stamp, where)  # finds the entry that was made, or refuses the key
        return
    in_force = gauge_in(connection, gauge.name, where)[-1].gauge.calibration
    add_gauge(connection, gauge, stamp, where)
    # Days are ISO dates, which sort as they follow one another.
    if gauge.calibration is not None and in_force is not None and gauge.calibration.date < in_force.date:
        again = Stamp(f"{stamp.key[:60]}-newer", stamp.who, stamp.device)
        add_gauge(connection, replace(gauge, calibration=in_force), again, where)


def gauges_in(connection: Connection, where: str) -> dict[str, list[GaugeRevision]]:
    """
    Return every description of every gauge.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    where : str
        The book, for messages.

    Returns
    -------
    dict of str to list of GaugeRevision
        By name, oldest first.
    """
    chain = _chain.load(connection, _chain.GAUGES, where)
    if chain is None:
        return {}
    try:
        return replay_gauges(chain)
    except ChainBroken as broken:
        raise _chain.damaged(where, chain.name, broken) from broken


def gauge_in(connection: Connection, name: str, where: str) -> list[GaugeRevision]:
    """
    Return every description of one gauge.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    name : str
        What the shop calls it.
    where : str
        The book, for messages.

    Returns
    -------
    list of GaugeRevision
        Oldest first, at least one.

    Raises
    ------
    NotInBook
        The register does not have it.
    """
    described = gauges_in(connection, where)
    if name not in described:
        has = ", ".join(sorted(described))
        instead = f"it has {has}" if has else "add it first: `ringtrue gauge add`"
        raise NotInBook.of(name, "the register has no such gauge", instead, where)
    return described[name]


def add_event(connection: Connection, event: Happened, stamp: Stamp, where: str, *, new_engine: bool) -> None:
    """
    Write a line in an engine's log.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    event : Happened
        Its engine may be given by key or by name.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.
    new_engine : bool
        The book may not know the engine yet.

    Raises
    ------
    InputRefused
        The line is empty.
    NotInBook
        The book does not know the engine, and it is not said to be new.
    """
    if not event.text.strip():
        raise InputRefused.of("", "a line in the log says what was done", 'type it, such as "oil change"', "event")
    try:
        key = engine_key(connection, event.engine, where)
    except NotInBook:
        if not new_engine:
            raise
        key = event.engine
        file_engine(connection, key, "")
    enter(connection, _chain.EVENTS, msgspec.structs.replace(event, engine=key), stamp, where)


def take_back_event(connection: Connection, line: tuple[str, int], why: str, stamp: Stamp, where: str) -> Entry:
    """
    Take a line of an engine's log back: it stays in the book, and stands no more.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    line : (str, int)
        The engine, by key or name, and the number of the line's entry.
    why : str
        The reason.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    InputRefused
        There is no reason, or it was taken back already.
    NotInBook
        The book does not know the engine, or its log has no such line.
    """
    engine, seq = engine_key(connection, line[0], where), line[1]
    if not why.strip():
        why_not = "a line that is taken back stays in the record, with the reason"
        raise InputRefused.of("", why_not, 'say why, such as "written under the wrong engine"', "why")
    found = next((each for each in log_of(connection, where, engine) if each.seq == seq), None)
    if found is None:
        raise NotInBook.of(
            f"entry {seq}",
            f"the log of {engine} has no such line",
            f'type ringtrue event "{engine}" to see them',
            "entry",
        )
    named = select(entries.c.key).where(entries.c.chain == _chain.EVENTS, entries.c.seq == seq)
    content = HappenedNot(engine, connection.execute(named).scalar_one(), why.strip())
    before = _chain.written_before(connection, _chain.EVENTS, content, stamp, where)
    if before is not None:
        return before
    if found.taken_back:
        raise InputRefused.of(f"entry {seq}", "it was taken back already", "there is nothing more to do", "entry")
    return enter(connection, _chain.EVENTS, content, stamp, where)


def file_sheet(connection: Connection, engine: tuple[str, str], text: str, stamp: Stamp, where: str) -> int:
    """
    File a build sheet before any test is made under it, and say so in the engine's log.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    engine : (str, str)
        Its reference, else its name; and its name.
    text : str
        The sheet, to the letter.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.

    Returns
    -------
    int
        The revision, from 1.

    Raises
    ------
    InputRefused
        The text is none, or that of an earlier revision which no longer holds.
    """
    key, name = engine
    sha = _write.sheet_fingerprint(text)
    had = select(sheets.c.revision).where(sheets.c.engine == key, sheets.c.sha256 == sha)
    before: int | None = connection.execute(had).scalar_one_or_none()
    made = _chain.made_by(connection, stamp.key, where)
    if before is not None and made is not None:
        _chain.written_before(connection, _chain.EVENTS, _filed(key, before), stamp, where)
        return before
    last = connection.execute(select(func.max(sheets.c.revision)).where(sheets.c.engine == key)).scalar_one()
    if before is not None and before == last:
        return before
    if before is not None:
        raise InputRefused.of(
            "",
            f"this is revision {before} to the letter, and revision {last} holds",
            f"write into it that it is as revision {before} again, for example as a line that begins with #",
            "build sheet",
        )
    file_engine(connection, key, name)
    _write.file_sheet(connection, key, text)
    enter(connection, _chain.EVENTS, _filed(key, (last or 0) + 1), stamp, where)
    return (last or 0) + 1


def _filed(engine: str, revision: int) -> Happened:
    return Happened(engine, f"build sheet, revision {revision}", None, "")


def set_owner(connection: Connection, engine: str, owner: Owner, where: str) -> None:
    """
    Keep whose engine it is, in place of what was kept before.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    engine : str
        Key or name.
    owner : Owner
        What is to be kept.
    where : str
        The book, for messages.

    Raises
    ------
    InputRefused
        It holds what is no text.
    """
    columns = {"engine": engine_key(connection, engine, where), **owner_columns(owner)}
    for name, text in columns.items():
        if "\0" in text or text != text.encode("utf-8", "replace").decode("utf-8"):
            raise InputRefused.of(
                ascii(text), "it holds characters that are no text", "type it anew", f"owner's {name}"
            )
    connection.execute(delete(owners).where(owners.c.engine == columns["engine"]))
    connection.execute(insert(owners).values(**columns, sha256=owner_seal(columns)))


def owner_columns(owner: Owner) -> dict[str, str]:
    """Return what is kept of an owner, by column."""
    return {"name": owner.name, "contact": owner.contact, "address": owner.address, "note": owner.note}


def owner_in(connection: Connection, engine: str, where: str) -> Owner | None:
    """
    Return whose engine it is.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    engine : str
        Key or name.
    where : str
        The book, for messages.

    Returns
    -------
    Owner or None
        None when nothing is kept.

    Raises
    ------
    BookDamaged
        It is not what was written.
    """
    key = engine_key(connection, engine, where)
    row = connection.execute(select(owners).where(owners.c.engine == key)).mappings().one_or_none()
    if row is None:
        return None
    if owner_seal(row) != row["sha256"]:
        why = "what is kept of the owner is not what was written"
        raise BookDamaged.of(key, why, "set the owner anew, or put back a backup with `ringtrue book restore`", where)
    return Owner(row["name"], row["contact"], row["address"], row["note"])


def forget_owner(connection: Connection, engine: str, where: str) -> bool:
    """Erase what is kept of an owner; tell whether there was anything."""
    key = engine_key(connection, engine, where)
    return connection.execute(delete(owners).where(owners.c.engine == key)).rowcount > 0
