"""Photographs of plugs, gauge faces and whatever else is evidence, kept with a cylinder of a test."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.intake.photographs import read_photograph, smaller
from ringtrue.records import Picture, Shows
from ringtrue.report import PhotographShown

if TYPE_CHECKING:
    from ringtrue.records import Book, Entry, Recorded
    from ringtrue.shop.pull_said import Stamped

ON_PAPER = 900
"""Longer edge of a photograph on a sheet, some 15 dots to the millimetre. [pixel]"""
_LONGEST_NOTE = 2000


@dataclass(frozen=True, slots=True)
class PhotographSaid:
    """
    What is said of a photograph.

    Parameters
    ----------
    cylinder : str
        Whose; empty for the whole engine.
    shows : str
        "plug", "gauge" or "other".
    note : str
        Free text.
    for_sheet : bool
        It is to stand on the hand-over sheet.
    """

    cylinder: str = ""
    shows: str = "plug"
    note: str = ""
    for_sheet: bool = False


def keep(book: Book, test_id: str, raw: bytes, said: PhotographSaid, stamped: Stamped) -> Entry:
    """
    Keep a photograph with a test.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    raw : bytes
        The file as it came; what its camera wrote beside the picture is left behind.
    said : PhotographSaid
        Whose it is and what it shows.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    Entry
        As it stands in the book; the earlier one for the same key, or for the same picture of the same thing.

    Raises
    ------
    InputRefused
        The file or what is said of it cannot be used; nothing was written.
    NotInBook
        There is no such test.
    BookUnusable
        The book cannot be written; nothing was acknowledged.
    """
    shows = _shows(said.shows)
    if len(said.note) > _LONGEST_NOTE:
        why = f"a note has {_LONGEST_NOTE} characters at most"
        raise InputRefused.of(said.note[:20] + "...", why, "shorten it", "note")
    recorded = book.test(test_id)
    known = recorded.header.plan_order
    if said.cylinder and known and said.cylinder not in known:
        raise InputRefused.of(
            f"cylinder “{said.cylinder}”",
            "this engine does not have it",
            f"name one of {', '.join(known)}, or none for the whole engine",
            "cylinder",
        )
    photo = read_photograph(raw)
    picture = Picture(photo.sha256, photo.media_type, len(photo.data), photo.width, photo.height)
    entry = book.keep_photograph(
        recorded.test_id,
        photo.data,
        picture,
        cylinder=said.cylinder,
        shows=shows,
        note=said.note.strip(),
        for_sheet=said.for_sheet,
        key=stamped.key,
        who=stamped.who,
        device=stamped.device,
    )
    if said.for_sheet and entry.key != stamped.key:
        # The same picture was kept before, and may not have been for the sheet.
        key = f"{stamped.key}/sheet"
        book.choose_photograph(test_id, entry.seq, for_sheet=True, key=key, who=stamped.who, device=stamped.device)
    return entry


def _shows(word: str) -> Shows:
    try:
        return Shows(word.casefold())
    except ValueError:
        why = "a photograph shows a plug, a gauge or something other"
        raise InputRefused.of(f"“{word}”", why, f"write one of {', '.join(Shows)}", "shows") from None


STILL_HAVE = (
    "Backups, exports and sheets made earlier still have it, and so may the device that took it. Books and backups in "
    "the same folder share the file: it is gone for them too."
)
"""What erasing does not reach."""


def erase(book: Book, test_id: str, entry: int, why: str, stamped: Stamped) -> tuple[Entry, str]:
    """
    Erase the file of a photograph for ever.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    entry : int
        The entry that holds the photograph.
    why : str
        The reason; it stays in the record.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    (Entry, str)
        The entry that says so; and what was done, in sentences.

    Raises
    ------
    InputRefused
        There is no reason.
    NotInBook
        There is no such test, or no photograph in that entry.
    BookUnusable
        The file may not be removed.
    """
    by = {"key": stamped.key, "who": stamped.who, "device": stamped.device}
    made, also, had = book.erase_photograph(test_id, entry, why=why, **by)
    told = f"The photograph in entry {entry} of test {made.chain} is erased, as entry {made.seq}; its hash stays there."
    if made.key != stamped.key:
        told = f"The photograph in entry {entry} of test {made.chain} was erased before, as entry {made.seq}."
        told += " Its file was here again, and is removed." if had else ""
    elif not had:
        told += " Its file was not here any more."
    if also:
        places = ", ".join(f"test {each.chain} (entry {each.seq})" for each in also)
        told += f" The same picture was kept elsewhere too, and is erased there as well: {places}."
    return made, f"{told} {STILL_HAVE}"


def on_paper(book: Book, recorded: Recorded) -> tuple[PhotographShown, ...]:
    """
    Fetch the photographs that were chosen for the sheet.

    Parameters
    ----------
    book : Book
        The record book.
    recorded : Recorded
        The test.

    Returns
    -------
    tuple of PhotographShown
        The whole engine first, then cylinder by cylinder in the order of the pulls; each as it was kept.

    Raises
    ------
    BookDamaged
        A file is missing, or is not what was kept.
    """
    chosen = [each for each in recorded.photographs if each.for_sheet]
    order = {name: at for at, name in enumerate(recorded.header.plan_order, 1)}
    chosen.sort(key=lambda each: (order.get(each.cylinder, len(order) + 1) if each.cylinder else 0, each.seq))
    found = []
    for each in chosen:
        picture, data = book.photograph(each.picture.sha256)
        small = smaller(data, picture.media_type, ON_PAPER)
        found.append(
            PhotographShown(
                cylinder=each.cylinder,
                shows=each.shows.value,
                note=each.note,
                when=each.at,
                jpeg=small.data,
                width=small.width,
                height=small.height,
            )
        )
    return tuple(found)
