"""What goes into a test's chain. Every function here runs inside one transaction that writes."""

from __future__ import annotations

import re
import secrets
from collections.abc import Container, Sequence

from sqlalchemy import Connection, func, insert, or_, select, update

from ringtrue.compression import Pull
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.records import _asked, _chain
from ringtrue.records._bodies import (
    ChainBroken,
    Content,
    Corrected,
    HeaderChanged,
    Opened,
    Withdrawn,
    fingerprint,
)
from ringtrue.records._chain import Chain, Stamp
from ringtrue.records._replay import Row, Standing, State, replay
from ringtrue.records._tables import chains, engines, sheets, tests
from ringtrue.records.facts import Entry, Header

# No letter or digit that is taken for another, and no vowels, so that no word comes up.
_LETTERS = "23456789bcdfghjkmnpqrstvwxz"
_HALF = 4


def printable(typed: str) -> str:
    """Return what a person typed to find something, fit to be looked for: what cannot be printed is in no name."""
    return "".join(letter if letter.isprintable() else "?" for letter in typed.strip())


def spelled(test_id: str) -> str:
    """
    Return a test's id as the book spells it, however it was typed off the paper.

    Parameters
    ----------
    test_id : str
        Capitals, blanks and the missing hyphen are forgiven.

    Returns
    -------
    str
        Lower case, with its hyphen.

    Examples
    --------
    >>> spelled("K3V9 T2MQ")
    'k3v9-t2mq'
    """
    letters = re.sub(r"[\s-]", "", printable(test_id)).lower()
    return f"{letters[:_HALF]}-{letters[_HALF:]}" if len(letters) == 2 * _HALF else printable(test_id)


def no_such_test(test_id: str, where: str) -> NotInBook:
    """Return the error for a test that is not there."""
    return NotInBook.of(test_id, "the book has no such test", "`ringtrue book list` shows those it has", where)


def start(connection: Connection, header: Header, sheet_text: str | None, stamp: Stamp, where: str) -> str:
    """
    Open a test.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    header : Header
        What belongs to the whole of it.
    sheet_text : str or None
        The build sheet of the day.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.

    Returns
    -------
    str
        The test's id; the same one for the same key.
    """
    content = Opened(header, fingerprint_of(sheet_text))
    before = _chain.written_before(connection, None, content, stamp, where)
    if before is not None:
        return before.chain
    file_engine(connection, header.engine, header.engine_name)
    if sheet_text is not None:
        file_sheet(connection, header.engine, sheet_text)
    test_id = new_id(connection)
    open_chain(connection, test_id, header.engine)
    return _chain.append(connection, test_id, content, stamp, where).chain


def open_chain(connection: Connection, test_id: str, engine: str) -> None:
    """Make a test's empty chain, and file it under its engine, after all tests before it."""
    number = connection.execute(select(func.coalesce(func.max(tests.c.number), 0))).scalar_one() + 1
    _chain.begin(connection, test_id)
    connection.execute(insert(tests).values(test_id=test_id, number=number, engine=engine))


def new_id(connection: Connection, taken: Container[str] = ()) -> str:
    """
    Return an id that no test has.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    taken : container of str
        Ids that were given out and are not written down yet.

    Returns
    -------
    str
        As the book spells it.
    """
    while True:
        letters = "".join(secrets.choice(_LETTERS) for _ in range(2 * _HALF))
        test_id = spelled(letters)
        if test_id in taken:
            continue
        if connection.execute(select(chains.c.name).where(chains.c.name == test_id)).first() is None:
            return test_id


def file_engine(connection: Connection, key: str, name: str) -> None:
    """
    Put an engine on the list, or find that it is there.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    key, name : str
        Its reference, else its name; and its name, where known.

    Raises
    ------
    InputRefused
        The book has another engine of that reference or name.
    """
    _chain.plain_text(key, "the engine's reference or name")
    if name:
        _chain.plain_text(name, "the engine's name")
    known = connection.execute(
        select(engines).where(or_(engines.c.key.in_([key, name]), engines.c.name.in_([key, name or key])))
    ).all()
    for other in known:
        if other.key != key:
            said = f"{other.key} ({other.name})" if other.name not in {"", other.key} else other.key
            raise InputRefused.of(
                name or key,
                f"the book knows another engine by that name, {said}, and a book has one of each",
                f"write {other.key} as this engine's reference if it is the same one, or give this one another name",
                "engine",
            )
        if name and other.name and other.name != name:
            raise InputRefused.of(
                name,
                f"in this book the engine {key} is called {other.name}",
                f"write its name as {other.name}, or give this engine a reference of its own",
                "engine",
            )
    if not known:
        connection.execute(insert(engines).values(key=key, name=name))
    elif name and not known[0].name:
        connection.execute(update(engines).where(engines.c.key == key).values(name=name))


def file_sheet(connection: Connection, engine: str, text: str) -> None:
    """Keep a build sheet's text as a new revision, unless the engine has had the very same one."""
    sha = fingerprint(text)
    had = connection.execute(select(sheets.c.revision).where(sheets.c.engine == engine, sheets.c.sha256 == sha)).first()
    if had is None:
        last = connection.execute(
            select(func.coalesce(func.max(sheets.c.revision), 0)).where(sheets.c.engine == engine)
        ).scalar_one()
        connection.execute(insert(sheets).values(engine=engine, revision=last + 1, sha256=sha, text=text))


def fingerprint_of(sheet_text: str | None) -> str | None:
    """Return the fingerprint of a build sheet, where there is one."""
    return None if sheet_text is None else sheet_fingerprint(sheet_text)


def sheet_fingerprint(sheet_text: str) -> str:
    """
    Return the fingerprint of a build sheet.

    Parameters
    ----------
    sheet_text : str
        To the letter.

    Returns
    -------
    str
        SHA-256, 64 hexadecimal digits.

    Raises
    ------
    InputRefused
        It is no text.
    """
    try:
        if "\0" not in sheet_text:
            return fingerprint(sheet_text)
        why = "it holds a NUL character"
    except UnicodeEncodeError:
        why = "it holds characters that are no text"
    raise InputRefused.of("", why, "save the build sheet anew as UTF-8 text", "build sheet")


def add(connection: Connection, test_id: str, content: Content, stamp: Stamp, where: str) -> Entry:
    """
    Write an entry at the end of a test; the same key gives the same entry.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    test_id : str
        The test.
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

    Raises
    ------
    NotInBook
        There is no such test.
    """
    name = spelled(test_id)
    if connection.execute(_asked.IS_TEST, {"test": name}).first() is None:
        raise no_such_test(test_id, where)
    before = _chain.written_before(connection, name, content, stamp, where)
    return before or _chain.append(connection, name, content, stamp, where)


def add_rows(connection: Connection, test_id: str, rows: Sequence[Row], stamp: Stamp, where: str) -> tuple[Entry, ...]:
    """Write many readings; each has the key of all of them, a stroke and its number from 1."""
    return tuple(
        add(connection, test_id, row, Stamp(f"{stamp.key}/{number}", stamp.who, stamp.device), where)
        for number, row in enumerate(rows, 1)
    )


def replace(
    connection: Connection, test_id: str, target: int, row: Row | None, why: str, stamp: Stamp, where: str
) -> Entry:
    """
    Put a reading right, or take it back.

    Parameters
    ----------
    connection, test_id
        As in `add`.
    target : int
        The entry in which the reading stands.
    row : Pull or LeakdownReading or None
        What stands from here on; None takes it back.
    why : str
        The reason.
    stamp, where
        As in `add`.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    InputRefused
        There is no reason, the reading is of another sort, nothing would change, or somebody was faster.
    NotInBook
        No reading stands in that entry.
    """
    why = why.strip()
    if not why:
        raise InputRefused.of(
            "", "a correction says why it was made", 'add a reason, such as "misread by one mark"', "why"
        )
    _, state = loaded(connection, test_id, where)
    reading = state.at(target)
    before = _chain.made_by(connection, stamp.key, where)
    if before is not None:
        entry, said = before
        if entry.chain == spelled(test_id) and _is_that(said, reading, row, why):
            return entry
        raise _chain.key_taken(stamp.key, entry)
    if reading is None:
        raise NotInBook.of(
            f"entry {target}",
            f"no reading of test {spelled(test_id)} stands in that entry",
            "`ringtrue book show` numbers them",
            where,
        )
    if reading.now.seq != target or reading.row is None:
        done = "corrected" if reading.row is not None else "taken back"
        instead = f"correct entry {reading.now.seq}" if reading.row is not None else "add the reading anew"
        raise InputRefused.of(
            f"entry {target}",
            f"this reading was {done} meanwhile, in entry {reading.now.seq} by {reading.now.who}",
            instead,
            where,
        )
    content: Corrected | Withdrawn
    if row is None:
        content = Withdrawn(target, reading.now.hash, why)
    else:
        if type(row) is not type(reading.row):
            raise InputRefused.of(
                "", "a pull stays a pull and a leak-down reading one", "take it back and add the other", where
            )
        if row == reading.row:
            raise InputRefused.of("", f"entry {target} says exactly that already", "change a figure", where)
        pull, leakdown = (row, None) if isinstance(row, Pull) else (None, row)
        content = Corrected(target, reading.now.hash, why, pull, leakdown)
    return add(connection, test_id, content, stamp, where)


def _is_that(said: Content, reading: Standing | None, row: Row | None, why: str) -> bool:
    if reading is None or not isinstance(said, Corrected | Withdrawn):
        return False
    same = said.row == row if isinstance(said, Corrected) else row is None
    return same and said.why == why and said.replaces in reading.history


def change_header(
    connection: Connection, test_id: str, header: Header, sheet_text: str | None, why: str, stamp: Stamp, where: str
) -> Entry:
    """
    Say anew what belongs to the whole test.

    Parameters
    ----------
    connection, test_id
        As in `add`.
    header : Header
        The whole of it, as it stands from here on.
    sheet_text : str or None
        Another build sheet; None keeps the one it has.
    why : str
        The reason.
    stamp, where
        As in `add`.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    InputRefused
        There is no reason, or nothing would change.
    """
    why = why.strip()
    if not why:
        raise InputRefused.of("", "a change says why it was made", 'add a reason, such as "gauge named later"', "why")
    _, state = loaded(connection, test_id, where)
    sheet = state.sheet if sheet_text is None else fingerprint_of(sheet_text)
    content = HeaderChanged(header, sheet, why)
    if _chain.made_by(connection, stamp.key, where) is None:
        if (header, sheet) == (state.header, state.sheet):
            raise InputRefused.of("", "the test says exactly that already", "change a figure", where)
        _file_anew(connection, spelled(test_id), state, header, sheet_text)
    return add(connection, test_id, content, stamp, where)


def _file_anew(connection: Connection, name: str, state: State, header: Header, sheet_text: str | None) -> None:
    file_engine(connection, header.engine, header.engine_name)
    if sheet_text is None and state.sheet is not None and header.engine != state.header.engine:
        old = sheets.c.engine == state.header.engine, sheets.c.sha256 == state.sheet
        sheet_text = connection.execute(select(sheets.c.text).where(*old)).scalar_one()
    if sheet_text is not None:
        file_sheet(connection, header.engine, sheet_text)
    connection.execute(update(tests).where(tests.c.test_id == name).values(engine=header.engine))


def loaded(connection: Connection, test_id: str, where: str) -> tuple[Chain, State]:
    """
    Return a test's chain, found whole, and what stands in it.

    Parameters
    ----------
    connection, test_id
        As in `add`.
    where : str
        The book, for messages.

    Returns
    -------
    (Chain, State)
        Both.

    Raises
    ------
    NotInBook
        There is no such test.
    """
    chain = _chain.load(connection, spelled(test_id), where)
    if chain is None or chain.name in _chain.REGISTERS:
        raise no_such_test(test_id, where)
    try:
        return chain, replay(chain)
    except ChainBroken as broken:
        raise _chain.damaged(where, chain.name, broken) from broken
