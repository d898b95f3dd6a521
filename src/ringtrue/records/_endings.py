"""How a test ends: it is done, or was put aside. Inside one transaction that writes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.records import _chain
from ringtrue.records._bodies import Finished, PutAside
from ringtrue.records._chain import Stamp
from ringtrue.records._write import add, loaded, spelled
from ringtrue.records.facts import Entry

if TYPE_CHECKING:
    from sqlalchemy import Connection


def finish(connection: Connection, test_id: str, note: str, stamp: Stamp, where: str) -> Entry:
    """
    Say that a test is done; said twice with nothing between, it is said once.

    Parameters
    ----------
    connection, test_id
        As in `ringtrue.records._write.add`.
    note : str
        Free text.
    stamp, where
        As in `ringtrue.records._write.add`.

    Returns
    -------
    Entry
        The entry that says so.
    """
    chain, _ = loaded(connection, test_id, where)
    content = Finished(note)
    if chain.contents[-1] == content and _chain.made_by(connection, stamp.key, where) is None:
        return chain.entries[-1]
    return add(connection, test_id, content, stamp, where)


def put_aside(connection: Connection, test_id: str, why: str, stamp: Stamp, where: str) -> Entry:
    """
    Put a test aside: begun by mistake, or wrong as a whole. It stays, and counts nowhere.

    Parameters
    ----------
    connection, test_id
        As in `ringtrue.records._write.add`.
    why : str
        The reason.
    stamp, where
        As in `ringtrue.records._write.add`.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    InputRefused
        There is no reason, or it is put aside already.
    """
    why = why.strip()
    if not why:
        why_not = "a test that is put aside stays in the record, with the reason"
        raise InputRefused.of("", why_not, 'say why, such as "begun on the wrong engine"', "why")
    content = PutAside(why)
    before = _chain.written_before(connection, spelled(test_id), content, stamp, where)
    if before is not None:
        return before
    _, state = loaded(connection, test_id, where)
    if state.put_aside:
        raise InputRefused.of("", "this test is put aside already", "there is nothing more to do with it", where)
    return add(connection, test_id, content, stamp, where)
