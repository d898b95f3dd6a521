"""A test at the engine, from several hands at once: readings that come with their own keys, and what then stands."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.intake import parse_sheet
from ringtrue.records import EntryKind
from ringtrue.shop.film import marked
from ringtrue.shop.pull_said import Doubtful, PullSaid, Stamped, known_cylinder, oil_of, pull_of
from ringtrue.shop.with_oil import check_dose, check_oil

if TYPE_CHECKING:
    from typing_extensions import TypeIs

    from ringtrue.records import Book, Entry, Recorded

CHOSEN = "another reading of this cylinder was chosen"
BOTH_STAND = "both readings stand, as repeats"


def add_pull(book: Book, test_id: str, said: PullSaid, stamped: Stamped) -> Entry:
    """
    Put a pull that was typed on a page into the book; the same key never makes a second entry.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    said : PullSaid
        What was typed.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    Entry
        As it stands in the book; the earlier one where the key had come before with the same words.

    Raises
    ------
    InputRefused
        The pull cannot be used, or the key stands on other words; nothing was written.
    NotInBook
        There is no such test.
    BookUnusable
        The book cannot be written; nothing was acknowledged.
    """
    recorded = book.latest(test_id)
    # Looked for first: what was kept once is acknowledged again, whatever has come to stand beside it since.
    if any(entry.key == stamped.key for entry in recorded.entries):
        before = _made(book, test_id, said, stamped)
        if before is not None:
            return before
    row = pull_of(said, recorded, stamped.who)
    doubt = check_oil(row, recorded.test, parse_sheet(recorded.sheet_text) if recorded.sheet_text else None)
    if doubt is not None and not (said.confirmed or said.oil_meant):
        raise Doubtful(doubt)
    try:
        return book.add(test_id, row, key=stamped.key, who=stamped.who, device=stamped.device)
    except InputRefused:
        # The same words came twice at once, and the other was faster.
        before = _made(book, test_id, said, stamped)
        if before is not None:
            return before
        raise


def ask_oil(book: Book, test_id: str, cylinder: str, oil: str) -> None:
    """
    Look at a dose of oil before the engine is cranked on it; nothing is written.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    cylinder : str
        The cylinder that it goes into.
    oil : str
        As typed, with its unit.

    Raises
    ------
    InputRefused
        This engine takes no oil, none was put in, or the cylinder was not pulled dry before.
    Doubtful
        It is so much that it can lock the engine.
    NotInBook
        There is no such test.
    """
    recorded = book.test(test_id)
    known_cylinder(cylinder, recorded)
    sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    doubt = check_dose(cylinder, oil_of(oil), recorded.test, sheet)
    if doubt is not None:
        raise Doubtful(doubt)


def _made(book: Book, test_id: str, said: PullSaid, stamped: Stamped) -> Entry | None:
    before = book.made_with(stamped.key)
    if before is None:
        return None
    entry, row = before
    recorded = book.test(test_id)
    if isinstance(row, Pull) and entry.kind is EntryKind.PULL and entry.chain == recorded.test_id:
        again = replace(pull_of(replace(said, confirmed=True), recorded, row.read_by), repeat=row.repeat)
        if again == row and (row.repeat is None or said.repeat):
            return entry
    raise _key_taken(entry)


def _key_taken(entry: Entry) -> InputRefused:
    return InputRefused.of(
        entry.key,
        f"this key already stands on entry {entry.seq} of {entry.chain}, which says something else",
        "send it with a key of its own; nothing was written",
        "key",
    )


def _is_of(row: Pull | LeakdownReading, cylinder: str, kind: Kind) -> TypeIs[Pull]:
    return isinstance(row, Pull) and row.cylinder == cylinder and row.kind is kind and not row.drift


def choose(book: Book, test_id: str, cylinder: str, kind: Kind, keep: int | None, stamped: Stamped) -> None:
    """
    Settle which of several readings of a cylinder stands.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    cylinder : str
        Its name.
    kind : Kind
        Dry or wet.
    keep : int or None
        The entry that stands; the others are taken back and stay in the record. None: all stand, as repeats.
    stamped : Stamped
        Who chooses, on which device, under which key.

    Raises
    ------
    NotInBook
        That entry is no reading of this cylinder that stands, or there is nothing to choose.
    """
    recorded = book.test(test_id)
    pairs = zip(recorded.standing, recorded.test.taken, strict=True)
    mine = [(seq, row) for seq, row in pairs if _is_of(row, cylinder, kind) and row.final is not None]
    if keep is not None and keep not in {seq for seq, _ in mine}:
        raise NotInBook.of(
            f"entry {keep}", f"no {kind} reading of cylinder {cylinder} stands in it", "look at the test again", "keep"
        )
    if not mine:
        raise NotInBook.of(f"cylinder “{cylinder}”", f"it has no {kind} reading", "look at the test again", "cylinder")
    who, device = stamped.who, stamped.device
    for number, (seq, row) in enumerate(mine, start=1):
        key = f"{stamped.key}/{seq}"
        if keep is None and row.repeat != number:
            book.correct(test_id, seq, replace(row, repeat=number), why=BOTH_STAND, key=key, who=who, device=device)
        elif keep is not None and seq != keep:
            book.withdraw(test_id, seq, why=CHOSEN, key=key, who=who, device=device)


def correct_pull(book: Book, test_id: str, seq: int, said: PullSaid, why: str, stamped: Stamped) -> tuple[Entry, Pull]:
    """
    Put a pull right that was typed on a page.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    seq : int
        The entry in which it stands.
    said : PullSaid
        What should have been written; an empty cylinder is the same one, an empty unit that of before.
    why : str
        The reason.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    (Entry, Pull)
        The correction, and the pull as it stands from here on.

    Raises
    ------
    NotInBook
        No pull stands in that entry.
    InputRefused
        It cannot be used, or gives no reason.
    """
    if not why.strip():
        raise InputRefused.of("", "a correction has a reason, and stays in the record", "say why", "why")
    recorded = book.test(test_id)
    made = book.made_with(stamped.key)
    if made is None:
        before = standing(recorded, seq)
        pull = _corrected(before, said, recorded)
        entry = book.correct(
            test_id, seq, pull, why=why.strip(), key=stamped.key, who=stamped.who, device=stamped.device
        )
        return entry, pull
    # What was put right once is acknowledged again, whatever has come to stand beside it since.
    entry, row = made
    if isinstance(row, Pull) and entry.kind is EntryKind.CORRECTION and entry.chain == recorded.test_id:
        meant = replace(said, confirmed=True, first_from_film=False)
        if _corrected(row, meant, recorded) == row:
            return entry, row
    raise _key_taken(entry)


def _corrected(before: Pull, said: PullSaid, recorded: Recorded) -> Pull:
    figure = before.final or before.first
    unit = said.unit or (figure.unit if figure else "")
    typed = pull_of(
        replace(said, cylinder=said.cylinder or before.cylinder, kind=before.kind.value, unit=unit, note="-"),
        recorded,
        before.read_by,
    )
    # The note of a pull without a final says why the cylinder was left out, which it no longer is.
    note = "" if before.final is None and typed.final is not None else before.note
    pull = replace(
        before,
        cylinder=typed.cylinder,
        first=typed.first,
        final=typed.final,
        first_spoiled=typed.first_spoiled,
        strokes=typed.strokes or before.strokes,
        note=note,
    )
    return marked(before, pull, from_film=said.first_from_film)


def standing(recorded: Recorded, seq: int) -> Pull:
    """
    Return the pull that stands in an entry.

    Parameters
    ----------
    recorded : Recorded
        The test.
    seq : int
        The entry.

    Returns
    -------
    Pull
        The pull.

    Raises
    ------
    NotInBook
        None stands there.
    """
    for at, row in zip(recorded.standing, recorded.test.taken, strict=True):
        if at == seq and isinstance(row, Pull):
            return row
    raise NotInBook.of(
        f"entry {seq}", "no pull stands in it; perhaps it was corrected meanwhile", "look again", "entry"
    )


def withdraw(book: Book, test_id: str, seq: int, why: str, stamped: Stamped) -> None:
    """
    Take a reading back: it stays in the record and stands no more.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    seq : int
        The entry in which it stands.
    why : str
        The reason.
    stamped : Stamped
        Who, on which device, under which key.

    Raises
    ------
    NotInBook
        No reading stands there.
    InputRefused
        There is no reason.
    """
    book.withdraw(test_id, seq, why=why.strip(), key=stamped.key, who=stamped.who, device=stamped.device)
