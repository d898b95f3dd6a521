"""What is done with the record book besides taking tests: correcting, listing, checking, keeping safe."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.compression import CompressionTest, Kind, LeakdownReading, Pull, Reading
from ringtrue.errors import InputRefused, NotInBook, ReadingImpossible
from ringtrue.intake import (
    first_above_final,
    implausible,
    leakdown_faults,
    parse_date,
    parse_run,
    parse_sheet,
    read_bytes,
)
from ringtrue.records import Owner
from ringtrue.shop.film import marked
from ringtrue.shop.in_order import Known, doubts, refuse_not_come
from ringtrue.shop.pulling import last_pull
from ringtrue.shop.typed import reading_typed
from ringtrue.units import Dimension, find_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringtrue.records import Book, Entry, Recorded, Restored


@dataclass(frozen=True, slots=True)
class Wanted:
    """
    What a correction asks for; empty text leaves a figure as it is.

    Parameters
    ----------
    cylinder : str
        Which cylinder.
    kind : str
        "dry", "wet" or "leakdown".
    repeat : int or None
        Which of its repeats; None for the last.
    first, final, supply, held : str
        Figures with their unit, or in the unit of the test; "not seen" clears one.
    spoiled : bool or None
        The first stroke was spoiled, or was not; None leaves it.
    to_cylinder : str
        The reading belongs to this cylinder; empty leaves it.
    why : str
        The reason; needed.
    drift : bool
        The pull that repeats the first cylinder at the end.
    confirm_unit : bool
        The figures are meant as they are, plausible or not.
    from_film : bool
        The first was read later, off the builder's own film of the pull.
    """

    cylinder: str
    kind: str = "dry"
    repeat: int | None = None
    first: str = ""
    final: str = ""
    supply: str = ""
    held: str = ""
    spoiled: bool | None = None
    to_cylinder: str = ""
    why: str = ""
    drift: bool = False
    confirm_unit: bool = False
    from_film: bool = False


NOT_SEEN = "not seen"

LARGEST_EXPORT = 500_000_000
"""No book is larger. [byte]"""


def correct(book: Book, test_id: str, wanted: Wanted, *, who: str, device: str) -> Entry:
    """
    Put a reading right: a new entry that names the one it replaces.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    wanted : Wanted
        What should have been written, and why.
    who, device : str
        Who corrects, and on which machine.

    Returns
    -------
    Entry
        The correction.

    Raises
    ------
    NotInBook
        There is no such test or reading.
    InputRefused
        The correction says nothing, gives no reason, or cannot be.
    BookUnusable
        The book cannot be used.
    """
    if not wanted.why.strip():
        raise InputRefused.of(
            "",
            "a correction has a reason, and stays in the record",
            'say --why, for example --why "read the wrong line"',
        )
    recorded = book.test(test_id)
    index, row = _target(recorded, wanted)
    changed = _changed(row, wanted, recorded.test)
    if changed == row:
        raise InputRefused.of(
            "", "the correction changes nothing", 'say what it should be, for example --final "151 psi"'
        )
    known = recorded.header.plan_order
    if known and changed.cylinder not in known:
        raise InputRefused.of(
            f"cylinder “{changed.cylinder}”", "this engine does not have it", f"write one of {', '.join(known)}"
        )
    ignition = parse_sheet(recorded.sheet_text).ignition if recorded.sheet_text else None
    doubts = () if wanted.confirm_unit else implausible((changed,), ignition)
    if doubts and not implausible((row,), ignition):
        meant = "check the figure and its unit; say --confirm-unit if it is meant as it is"
        raise InputRefused(*(replace(doubt, instead=meant) for doubt in doubts))
    key = f"correct-{secrets.token_hex(16)}"
    return book.correct(
        test_id, recorded.standing[index], changed, why=wanted.why.strip(), key=key, who=who, device=device
    )


def withdraw(book: Book, test_id: str, entry: int, why: str, *, who: str, device: str) -> Entry:
    """
    Take a reading or a photograph back: it stays in the book and stands no more.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    entry : int
        The entry in which it stands.
    why : str
        The reason.
    who, device : str
        Who takes it back, and on which machine.

    Returns
    -------
    Entry
        The entry that says so.

    Raises
    ------
    NotInBook
        There is no such test, or nothing stands in that entry.
    InputRefused
        There is no reason, or it was taken back already.
    """
    key = f"withdraw-{secrets.token_hex(16)}"
    if entry in {each.seq for each in book.test(test_id).photographs}:
        return book.take_back_photograph(test_id, entry, why=why, key=key, who=who, device=device)
    return book.withdraw(test_id, entry, why=why, key=key, who=who, device=device)


def _target(recorded: Recorded, wanted: Wanted) -> tuple[int, Pull | LeakdownReading]:
    try:
        kind = Kind(wanted.kind.casefold().replace("-", ""))
    except ValueError:
        raise InputRefused.of(f"--kind {wanted.kind}", "a reading is dry, wet or leakdown", "say --kind dry") from None
    if wanted.repeat is None and kind is not Kind.LEAKDOWN:
        return last_pull(recorded, wanted.cylinder, kind, drift=wanted.drift)
    for index in range(len(recorded.test.taken) - 1, -1, -1):
        row = recorded.test.taken[index]
        drift = isinstance(row, Pull) and row.drift
        if (
            row.cylinder == wanted.cylinder
            and row.kind is kind
            and not drift
            and wanted.repeat in {None, row.repeat or 1}
        ):
            return index, row
    repeat = f", repeat {wanted.repeat}" if wanted.repeat else ""
    raise NotInBook.of(
        f"cylinder “{wanted.cylinder}”{repeat}",
        f"the test {recorded.test_id} has no such {kind} reading",
        "look with ringtrue book show",
    )


def _changed(row: Pull | LeakdownReading, wanted: Wanted, test: CompressionTest) -> Pull | LeakdownReading:
    cylinder = wanted.to_cylinder or row.cylinder
    if isinstance(row, LeakdownReading):
        if wanted.first or wanted.final or wanted.spoiled is not None or wanted.from_film:
            raise InputRefused.of("", "a leak-down reading has no first or final", "say --supply or --held")
        made = replace(
            row,
            cylinder=cylinder,
            supply=_figure(row.supply, wanted.supply, test),
            held=_figure(row.held, wanted.held, test),
        )
        faults = [fault for _, fault in leakdown_faults(made)]
        if faults:
            raise ReadingImpossible(*faults)
        return made
    if wanted.supply or wanted.held:
        raise InputRefused.of("", "a pull has no supply or held pressure", "say --first or --final, or --kind leakdown")
    pull = replace(
        row,
        cylinder=cylinder,
        first=_figure(row.first, wanted.first, test),
        final=_figure(row.final, wanted.final, test),
        first_spoiled=row.first_spoiled if wanted.spoiled is None else wanted.spoiled,
    )
    fault = first_above_final(pull)
    if fault is not None:
        raise ReadingImpossible(fault)
    return marked(row, pull, from_film=wanted.from_film)


def _figure(before: Reading | None, text: str, test: CompressionTest) -> Reading | None:
    if not text:
        return before
    if text.casefold() == NOT_SEEN:
        return None
    name = before.unit if before is not None else test.unit
    return reading_typed(text, find_unit(name, Dimension.PRESSURE) if name else None)


def add_event(  # noqa: PLR0913 - two of them say who, on what
    book: Book, engine: str, text: str, *, at: str, date: str, who: str, device: str, new_baseline: bool = False
) -> str:
    """
    Write a line into an engine's log.

    Parameters
    ----------
    book : Book
        The record book.
    engine : str
        Its reference, or its name.
    text : str
        What was done.
    at : str
        Distance or running time since the build, for example "700 mile"; empty when not said.
    date : str
        As `ringtrue.intake.parse_date` reads it; empty when not said.
    who, device : str
        Who writes it, and on which machine.
    new_baseline : bool
        The work made another engine of it: the next test is what later ones are compared with.

    Returns
    -------
    str
        The line as it stands.

    Raises
    ------
    InputRefused
        Text or figure cannot be used, or the day has not come.
    NotInBook
        There is no such engine.
    """
    run = parse_run(at) if at else None
    try:
        day = refuse_not_come(parse_date(date).isoformat()) if date else ""
    except InputRefused as error:
        raise error.at("--date") from None
    book.add_event(
        engine,
        text.strip(),
        at=run,
        date=day,
        new_baseline=new_baseline,
        key=f"event-{secrets.token_hex(16)}",
        who=who,
        device=device,
    )
    return f"{text.strip()}{f', at {run}' if run else ''}"


def event_doubts(book: Book, engine: str, *, at: str, date: str) -> tuple[str, ...]:
    """
    Find what of a line in the log does not fit into what the book knows of the engine.

    Parameters
    ----------
    book : Book
        The record book.
    engine : str
        Its reference, or its name.
    at, date : str
        As in `add_event`, which has taken them.

    Returns
    -------
    tuple of str
        A sentence each, without its full stop.
    """
    day = parse_date(date).isoformat() if date else ""
    return doubts(book, engine, Known(day, parse_run(at) if at else None, frozenset(), "this line"))


def read_export(path: Path) -> bytes:
    """
    Read an export of a record book.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    InputRefused
        It cannot be read, or is larger than any book.
    """
    return read_bytes(path, InputRefused, largest=LARGEST_EXPORT)


def owner_of(book: Book, engine: str, said: Mapping[str, str | None]) -> Owner | None:
    """
    Say whose engine it is, and tell what is known.

    Parameters
    ----------
    book : Book
        The record book.
    engine : str
        Its reference, or its name.
    said : mapping of str to str or None
        Name, contact, address and note; None leaves what is known.

    Returns
    -------
    Owner or None
        As known from now on; None when nobody is.

    Raises
    ------
    InputRefused
        An owner would be without a name.
    NotInBook
        There is no such engine.
    """
    known = book.owner(engine)
    told = {field: text for field, text in said.items() if text is not None}
    if not told:
        return known
    owner = replace(known or Owner(""), **told)
    if not owner.name.strip():
        raise InputRefused.of("", "an owner has a name", "say --name too; ringtrue book forget-owner erases one")
    book.set_owner(engine, owner)
    return owner


def restored_told(restored: Restored) -> tuple[str, ...]:
    """
    Tell what a restore did.

    Parameters
    ----------
    restored : Restored
        What it did.

    Returns
    -------
    tuple of str
        Sentences.
    """
    pictures = f"; photographs: {restored.photographs}" if restored.photographs else ""
    told = [f"The book {restored.where} is restored. Tests: {restored.tests}; entries: {restored.entries}{pictures}."]
    if restored.kept is not None:
        told.append(f"What stood there before is kept as {restored.kept}.")
    return (*told, *(f"Lost: {sentence}." for sentence in restored.lost))
