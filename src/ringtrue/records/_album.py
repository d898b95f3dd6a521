"""The entries about photographs. Every function here runs inside one transaction that writes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused, NotInBook
from ringtrue.records import _chain, _pictures
from ringtrue.records._bodies import ChosenForSheet, Photographed, PhotographErased, PhotographTakenBack
from ringtrue.records._chain import Stamp
from ringtrue.records._write import add, loaded

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from ringtrue.records._replay import State
    from ringtrue.records.facts import Entry, Photograph


@dataclass(frozen=True, slots=True)
class Gone:
    """
    What was written of a photograph whose file is erased.

    Parameters
    ----------
    entry : Entry
        Of the one that was asked for.
    also : tuple of Entry
        Of the same picture elsewhere.
    sha256 : str
        Of the file.
    """

    entry: Entry
    also: tuple[Entry, ...]
    sha256: str


def keep(connection: Connection, test_id: str, content: Photographed, stamp: Stamp, where: str) -> Entry:
    """
    Write that a photograph is kept; the same picture of the same thing is kept once.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    test_id : str
        The test.
    content : Photographed
        What the entry says.
    stamp : Stamp
        Who, on what, under which key.
    where : str
        The book, for messages.

    Returns
    -------
    Entry
        As it stands in the book; an earlier one for the same key, or for the same picture of the same thing.
    """
    if content.cylinder:
        _chain.plain_text(content.cylinder, "the cylinder")
    chain, state = loaded(connection, test_id, where)
    if _chain.made_by(connection, stamp.key, where) is None:
        wanted = (content.picture.sha256, content.cylinder, content.shows)
        for seq, (here, _) in state.photographs.items():
            if not here.taken_back and (here.picture.sha256, here.cylinder, here.shows) == wanted:
                return chain.entries[seq - 1]
    return add(connection, test_id, content, stamp, where)


def choose(connection: Connection, test_id: str, seq: int, stamp: Stamp, where: str, *, for_sheet: bool) -> Entry:
    """
    Write that a photograph is to stand on the hand-over sheet, or no more; said twice, it is said once.

    Parameters
    ----------
    connection, test_id
        As in `keep`.
    seq : int
        The entry that holds the photograph.
    stamp, where
        As in `keep`.
    for_sheet : bool
        Whether it is to stand there.

    Returns
    -------
    Entry
        The entry that says so.
    """
    chain, state = loaded(connection, test_id, where)
    here, sealed = _held_in(state, seq, where)
    is_new = _chain.made_by(connection, stamp.key, where) is None
    if is_new and here.taken_back:
        raise _gone(here, where)
    if is_new and here.for_sheet is for_sheet:
        return chain.entries[seq - 1]
    return add(connection, test_id, ChosenForSheet(seq, sealed, for_sheet), stamp, where)


def take_back(connection: Connection, test_id: str, seq: int, why: str, stamp: Stamp, where: str) -> Entry:
    """
    Write that a photograph stands no more.

    Parameters
    ----------
    connection, test_id
        As in `keep`.
    seq : int
        The entry that holds the photograph.
    why : str
        The reason.
    stamp, where
        As in `keep`.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    InputRefused
        There is no reason, or it was taken back already.
    """
    why = why.strip()
    if not why:
        raise InputRefused.of(
            "", "taking a photograph back has a reason", 'add one, such as "shows another engine"', "why"
        )
    _, state = loaded(connection, test_id, where)
    here, sealed = _held_in(state, seq, where)
    if here.taken_back and _chain.made_by(connection, stamp.key, where) is None:
        raise _gone(here, where)
    return add(connection, test_id, PhotographTakenBack(seq, sealed, why), stamp, where)


def erase(connection: Connection, test_id: str, seq: int, why: str, stamp: Stamp, where: str) -> Gone:
    """
    Write that the file of a photograph is erased: in its own test, and wherever else the same picture is named.

    Parameters
    ----------
    connection, test_id
        As in `keep`.
    seq : int
        The entry that holds the photograph.
    why : str
        The reason.
    stamp, where
        As in `keep`.

    Returns
    -------
    Gone
        The entry that says so, an earlier one where it was erased before; and those written elsewhere.

    Raises
    ------
    InputRefused
        There is no reason.
    """
    why = why.strip()
    if not why:
        raise InputRefused.of(
            "", "erasing a photograph has a reason, which stays", 'add one, such as "the owner asked for it"', "why"
        )
    chain, state = loaded(connection, test_id, where)
    here, sealed = _held_in(state, seq, where)
    is_new = _chain.made_by(connection, stamp.key, where) is None
    if is_new and here.erased is not None:
        return Gone(chain.entries[here.erased.seq - 1], (), here.picture.sha256)
    made = add(connection, test_id, PhotographErased(seq, sealed, why), stamp, where)
    if not is_new:
        return Gone(made, (), here.picture.sha256)
    also = []
    for each in _pictures.named_in(connection, None, here.picture.sha256):
        if each.erased is None:
            its_own = Stamp(f"{stamp.key}/{each.chain}/{each.seq}", stamp.who, stamp.device)
            content = PhotographErased(each.seq, each.sealed, why)
            also.append(add(connection, each.chain, content, its_own, where))
    return Gone(made, tuple(also), here.picture.sha256)


def was_erased(connection: Connection, key: str, where: str) -> Entry | None:
    """
    Find the photograph that a key made, if its file was erased since.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    key : str
        The key.
    where : str
        The book, for messages.

    Returns
    -------
    Entry or None
        Its entry; None where the key made no photograph, or its file was not erased.
    """
    found = _chain.made_by(connection, key, where)
    if found is None or not isinstance(found[1], Photographed):
        return None
    entry = found[0]
    _, state = loaded(connection, entry.chain, where)
    return entry if state.photographs[entry.seq][0].erased is not None else None


def _held_in(state: State, seq: int, where: str) -> tuple[Photograph, str]:
    if seq not in state.photographs:
        raise NotInBook.of(
            f"entry {seq}", "this test has no photograph in it", "`ringtrue book show` numbers them", where
        )
    return state.photographs[seq]


def _gone(here: Photograph, where: str) -> InputRefused:
    if here.erased is not None:
        said = f"this photograph was erased on {here.erased.at[:10]} ({here.erased.why})"
        return InputRefused.of(f"entry {here.seq}", said, "nothing more can be done with it", where)
    return InputRefused.of(
        f"entry {here.seq}", f"this photograph was taken back ({here.taken_back})", "keep it anew if it counts", where
    )
