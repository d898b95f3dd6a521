"""A build sheet goes into the book before the engine's first test, or as a new revision between two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.errors import Fault, NotInBook, SheetRefused
from ringtrue.intake import parse_sheet
from ringtrue.shop.sheets import banks_wanted

if TYPE_CHECKING:
    from ringtrue.records import Book, SheetRevision
    from ringtrue.shop.pull_said import Stamped

MOST_RETURNS = 20
"""Nobody goes back to an earlier sheet more often."""


def file_sheet(book: Book, text: str, stamped: Stamped, engine: str = "") -> SheetRevision:
    """
    File a build sheet.

    Parameters
    ----------
    book : Book
        The record book.
    text : str
        The sheet, to the letter.
    stamped : Stamped
        Who files it, on which device, under which key; the same key files it once.
    engine : str
        The key of the engine whose new revision it is; empty for an engine that the book does not know.

    Returns
    -------
    SheetRevision
        The revision that now holds. One that says what an earlier revision said gets a line more, which says so.

    Raises
    ------
    SheetRefused
        The sheet cannot be used, does not tell the banks of a V or flat engine apart, is of another engine, or an
        engine of that name has one already.
    BookUnusable
        The book cannot be written; nothing was filed.
    """
    sheet = parse_sheet(text)
    if sheet.banks_are_missing:
        raise SheetRefused(banks_wanted(sheet))
    known = _revisions(book, sheet.key)
    if engine and sheet.key != engine:
        field = "reference" if sheet.reference else "name"
        why = f"this page is about {engine}, and the book would take this for another engine"
        raise SheetRefused(Fault(f"“{sheet.key}”", why, "write its name and reference as they were", field))
    # What was filed with this key is acknowledged again, also where it was the first revision.
    if known and not engine and book.made_with(stamped.key) is None:
        why = f"the book has a build sheet of this engine, revision {len(known)}"
        raise SheetRefused(
            Fault(f"“{sheet.key}”", why, "go to that engine and change it there, or use another name", "name")
        )
    made = _said_anew(text, known, filed_before=book.made_with(stamped.key) is not None)
    return book.file_sheet(sheet.key, sheet.name, made, key=stamped.key, who=stamped.who, device=stamped.device)


def _revisions(book: Book, key: str) -> tuple[SheetRevision, ...]:
    try:
        return book.sheets(key)
    except NotInBook:
        return ()


def _said_anew(text: str, known: tuple[SheetRevision, ...], *, filed_before: bool) -> str:
    """Add a line to a text that an earlier revision had, so that it becomes one of its own."""
    for _ in range(MOST_RETURNS):
        same = next((each for each in known if each.text == text), None)
        if same is None or same is known[-1] or filed_before:
            break
        text = f"{text.rstrip()}\n\n# As revision {same.revision}, which holds again.\n"
    return text
