"""``ringtrue book photograph``, ``on-sheet`` and ``erase-photograph``: photographs kept with a cylinder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from ringtrue.cli import options


def photograph(
    test: options.Word,
    file: options.Word,
    /,
    *,
    cylinder: str = "",
    shows: str = "plug",
    sheet: Annotated[bool, Parameter(negative=())] = False,
    note: str = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Keep a photograph with a test: JPEG, PNG or WebP. Where and when it was taken, and with which phone, is left behind.

    Parameters
    ----------
    test
        The test's id.
    file
        The photograph.
    cylinder
        Whose plug or gauge reading it shows; left out for the whole engine.
    shows
        plug, gauge or other.
    sheet
        It is to stand on the hand-over sheet.
    note
        Free text.
    """
    import secrets

    from ringtrue.cli import show
    from ringtrue.errors import InputRefused
    from ringtrue.intake import read_bytes
    from ringtrue.intake.photographs import LARGEST
    from ringtrue.shop.photographs import PhotographSaid, keep
    from ringtrue.shop.pull_said import Stamped
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    raw = read_bytes(Path(file), InputRefused, largest=LARGEST)
    stamped = Stamped(f"photograph-{secrets.token_hex(16)}", this_person(place.settings, by), this_device())
    said = PhotographSaid(cylinder, shows, note, sheet)
    with place.open_book(create=False) as opened:
        entry = keep(opened, test, raw, said, stamped)
    of = f"cylinder {cylinder}" if cylinder else "the whole engine"
    told = f"Kept with {of}, as entry {entry.seq} of test {entry.chain}."
    if entry.key != stamped.key:
        told = f"This picture was kept before, as entry {entry.seq} of test {entry.chain}, and is kept once."
    show.done(told, {"test": entry.chain, "entry": entry.seq}, json=json)


def on_sheet(
    test: options.Word,
    entry: int,
    /,
    *,
    off: Annotated[bool, Parameter(negative=())] = False,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Choose a photograph for the hand-over sheet.

    Parameters
    ----------
    test
        The test's id.
    entry
        The photograph's entry, as ringtrue book show numbers it.
    off
        Take it off the sheet again; it stays with the test.
    """
    import secrets

    from ringtrue.cli import show
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    with place.open_book(create=False) as opened:
        made = opened.choose_photograph(
            test,
            entry,
            for_sheet=not off,
            key=f"on-sheet-{secrets.token_hex(16)}",
            who=this_person(place.settings, by),
            device=this_device(),
        )
    where = "no longer stands" if off else "stands"
    told = f"The photograph in entry {entry} of test {made.chain} {where} on the hand-over sheet."
    show.done(told, {"test": made.chain, "entry": entry, "for_sheet": not off}, json=json)


def erase_photograph(
    test: options.Word,
    entry: int,
    /,
    *,
    why: str = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Erase a photograph's file for ever. The record keeps its hash, and says when, by whom and why it was erased.

    Parameters
    ----------
    test
        The test's id.
    entry
        The photograph's entry, as ringtrue book show numbers it.
    why
        The reason; it stays in the record.
    """
    import secrets

    from ringtrue.cli import show
    from ringtrue.shop.photographs import erase
    from ringtrue.shop.pull_said import Stamped
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    stamped = Stamped(f"erase-{secrets.token_hex(16)}", this_person(place.settings, by), this_device())
    with place.open_book(create=False) as opened:
        made, told = erase(opened, test, entry, why, stamped)
    show.done(told, {"test": made.chain, "photograph": entry, "entry": made.seq}, json=json)
