"""A test at the engine, from several hands at once: readings that come with their own keys, and what then stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.errors import InputRefused, NotInBook, ReadingImpossible
from ringtrue.intake import Day, first_above_final, implausible, parse_conditions, parse_run, parse_sheet
from ringtrue.intake.cells import trimmed
from ringtrue.measure.figures import readings_of
from ringtrue.shop.film import marked
from ringtrue.shop.opening import header_for, known_as
from ringtrue.shop.typed import MOST_STROKES, order_of, reading_typed
from ringtrue.shop.with_oil import check_oil
from ringtrue.shop.workplace import this_person
from ringtrue.units import Dimension, find_unit, parse_measured, parse_number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from typing_extensions import TypeIs

    from ringtrue.compression import Reading
    from ringtrue.engine import BuildSheet
    from ringtrue.quantities import Measured
    from ringtrue.records import Book, Entry, Recorded
    from ringtrue.shop.workplace import Workplace

Row = Pull | LeakdownReading

CHOSEN = "another reading of this cylinder was chosen"
BOTH_STAND = "both readings stand, as repeats"


@dataclass(frozen=True, slots=True)
class PullSaid:
    """
    One pull as it was typed on a page.

    Parameters
    ----------
    cylinder : str
        Its name.
    first, final : str
        As typed; empty when nobody saw it.
    unit : str
        The unit of both.
    kind : str
        "dry" or "wet".
    spoiled : bool
        The pull began part-way up compression.
    strokes, oil : str
        How many compression strokes; oil of a wet pull with its unit; empty when not said.
    drift : bool
        It repeats the first cylinder at the end.
    repeat : bool
        The cylinder was pulled again on purpose.
    note : str
        Free text; of a cylinder that is left out, why.
    confirmed : bool
        The figures are meant as they are.
    at : str
        When, by the clock of the device; kept as written.
    first_from_film : bool
        Of a correction: the first was read later, off the builder's own film of the pull.
    """

    cylinder: str
    first: str
    final: str
    unit: str
    kind: str = "dry"
    spoiled: bool = False
    strokes: str = ""
    oil: str = ""
    drift: bool = False
    repeat: bool = False
    note: str = ""
    confirmed: bool = False
    at: str = ""
    first_from_film: bool = False


@dataclass(frozen=True, slots=True)
class Stamped:
    """
    Who writes, on which device, under which key.

    Parameters
    ----------
    key : str
        Made where the reading was taken; the same key never writes twice.
    who, device : str
        The person and the machine.
    """

    key: str
    who: str
    device: str


class Doubtful(InputRefused):
    """A figure is hard to believe in its unit; it is kept once it is said to be meant."""


def pull_of(said: PullSaid, recorded: Recorded, who: str) -> Pull:
    """
    Read a pull that was typed on a page.

    Parameters
    ----------
    said : PullSaid
        What was typed.
    recorded : Recorded
        The test as it stands.
    who : str
        Who read it.

    Returns
    -------
    Pull
        Its number as a repeat is the next one free.

    Raises
    ------
    InputRefused
        A field cannot be used; each fault names its field.
    Doubtful
        A figure is hard to believe, and nobody said that it is meant.
    """
    known = recorded.header.plan_order
    if known and said.cylinder not in known:
        raise InputRefused.of(
            f"cylinder “{said.cylinder}”",
            "this engine does not have it",
            f"name one of {', '.join(known)}",
            "cylinder",
        )
    try:
        kind = Kind(said.kind)
    except ValueError:
        kind = Kind.LEAKDOWN
    if kind is Kind.LEAKDOWN:
        raise InputRefused.of(f"“{said.kind}”", "a pull is dry or wet", "write dry or wet", "kind")
    pull = Pull(
        cylinder=said.cylinder,
        kind=kind,
        first=_figure(said.first, said.unit, "first"),
        final=_figure(said.final, said.unit, "final"),
        first_spoiled=said.spoiled,
        strokes=_strokes(said.strokes),
        oil=_oil(said.oil),
        drift=said.drift,
        repeat=_next_repeat(recorded, said.cylinder, kind) if said.repeat and not said.drift else None,
        note=said.note.strip(),
        read_by=who,
        at=said.at.strip(),
    )
    if pull.final is None and not pull.note:
        raise InputRefused.of(
            "", "a pull without its final says nothing", "crank it again, or leave the cylinder out", "final"
        )
    fault = first_above_final(pull)
    if fault is not None:
        raise ReadingImpossible(fault).at("first")
    if not said.confirmed and pull.final is not None:
        _believe(pull, recorded)
    return pull


def _figure(text: str, unit: str, field: str) -> Reading | None:
    if not text.strip():
        return None
    try:
        return reading_typed(trimmed(text), find_unit(unit, Dimension.PRESSURE) if unit else None)
    except InputRefused as error:
        raise error.at(field) from None


def _strokes(text: str) -> int | None:
    if not text.strip():
        return None
    try:
        count = parse_number(trimmed(text))
    except InputRefused as error:
        raise error.at("strokes") from None
    if not (count.is_integer() and 1 <= count <= MOST_STROKES):
        raise InputRefused.of(
            f"“{text}”", f"the strokes are a whole number from 1 to {MOST_STROKES}", "write for example 6", "strokes"
        )
    return int(count)


def _oil(text: str) -> Measured | None:
    if not text.strip():
        return None
    try:
        return parse_measured(trimmed(text), Dimension.VOLUME)
    except InputRefused as error:
        raise error.at("oil") from None


def _next_repeat(recorded: Recorded, cylinder: str, kind: Kind) -> int | None:
    series = recorded.test.series(kind)
    before = () if series is None else series.of(cylinder)
    return max((row.repeat or 1 for row in before), default=0) + 1 if before else None


def _believe(pull: Pull, recorded: Recorded) -> None:
    ignition = _sheet(recorded).ignition if recorded.sheet_text else None
    before = tuple(row for row in recorded.test.taken if isinstance(row, Pull) and row.kind is pull.kind)
    doubts = implausible((*before, replace(pull, drift=False)), ignition)
    if doubts and not (before and implausible(before, ignition)):
        meant = "check the figure and its unit; say that it is meant if it is"
        raise Doubtful(*(replace(doubt, instead=meant, where="final") for doubt in doubts))


def _sheet(recorded: Recorded) -> BuildSheet:
    return parse_sheet(recorded.sheet_text or "")


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
    # Looked for first: what was kept once is acknowledged again, whatever has come to stand beside it since.
    before = _made(book, test_id, said, stamped)
    if before is not None:
        return before
    recorded = book.test(test_id)
    row = pull_of(said, recorded, stamped.who)
    doubt = check_oil(row, recorded.test, _sheet(recorded) if recorded.sheet_text else None)
    if doubt is not None and not said.confirmed:
        raise Doubtful(doubt)
    try:
        return book.add(test_id, row, key=stamped.key, who=stamped.who, device=stamped.device)
    except InputRefused:
        # The same words came twice at once, and the other was faster.
        before = _made(book, test_id, said, stamped)
        if before is not None:
            return before
        raise


def _made(book: Book, test_id: str, said: PullSaid, stamped: Stamped) -> Entry | None:
    before = book.made_with(stamped.key)
    if before is None:
        return None
    entry, row = before
    recorded = book.test(test_id)
    if isinstance(row, Pull) and entry.chain == recorded.test_id:
        again = replace(pull_of(replace(said, confirmed=True), recorded, row.read_by), repeat=row.repeat)
        if again == row and (row.repeat is None or said.repeat):
            return entry
    raise InputRefused.of(
        stamped.key,
        f"this key already stands on entry {entry.seq} of {entry.chain}, which says something else",
        "send it with a key of its own; nothing was written",
        "key",
    )


def conflicting(rows: Sequence[Row], cylinder: str, kind: Kind) -> bool:
    """
    Tell whether two readings of a cylinder claim to be the same one.

    Parameters
    ----------
    rows : sequence of Pull or LeakdownReading
        The readings that stand.
    cylinder : str
        Its name.
    kind : Kind
        Dry or wet.

    Returns
    -------
    bool
        True until one is chosen, or both are said to be repeats.
    """
    return readings_of(cylinder, [row for row in rows if _is_of(row, cylinder, kind)]).undeclared


def _is_of(row: Row, cylinder: str, kind: Kind) -> TypeIs[Pull]:
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
    row = standing(recorded, seq) if book.made_with(stamped.key) is None else None
    before = row if row is not None else _first_standing(recorded, seq)
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
    pull = marked(before, pull, from_film=said.first_from_film)
    entry = book.correct(test_id, seq, pull, why=why.strip(), key=stamped.key, who=stamped.who, device=stamped.device)
    return entry, pull


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


def _first_standing(recorded: Recorded, seq: int) -> Pull:
    """Return the pull as it was before the correction that this very key has made."""
    return next(
        (
            row
            for at, row in zip(recorded.standing, recorded.test.taken, strict=True)
            if at >= seq and isinstance(row, Pull)
        ),
        Pull(cylinder=""),
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


@dataclass(frozen=True, slots=True)
class Beginning:
    """
    What is said when a test begins.

    Parameters
    ----------
    engine : str
        Reference or name, of an engine that the book knows.
    order : str
        Cylinders parted by commas; empty for the usual order.
    by, gauge, note : str
        Who takes the test, with which gauge of the register, and what is otherwise than the checklists say.
    conditions : mapping of str to str
        As in a test file, each with its unit.
    run_since_build : str
        "500 mile"; empty when not said.
    """

    engine: str
    order: str = ""
    by: str = ""
    gauge: str = ""
    note: str = ""
    conditions: Mapping[str, str] = field(default_factory=dict)
    run_since_build: str = ""


def begin(book: Book, place: Workplace, said: Beginning, stamped: Stamped) -> str:
    """
    Open a test of an engine that the book knows, under its last build sheet.

    Parameters
    ----------
    book : Book
        The record book.
    place : Workplace
        The shop.
    said : Beginning
        The engine and the day.
    stamped : Stamped
        Who, on which device, under which key.

    Returns
    -------
    str
        The test's id; the same key gives the same one.

    Raises
    ------
    NotInBook
        There is no such engine or gauge, or it has no build sheet.
    InputRefused
        A field cannot be used.
    """
    before = book.made_with(stamped.key)
    if before is not None:
        return before[0].chain
    key = known_as(book, said.engine)
    revisions = book.sheets(key)
    if not revisions:
        why = "the book has no build sheet of it"
        raise NotInBook.of(f"“{said.engine}”", why, "enter its build sheet first", "engine")
    sheet_text = revisions[-1].text
    sheet = parse_sheet(sheet_text)
    day = Day(
        conditions=parse_conditions(said.conditions),
        run_since_build=parse_run(said.run_since_build) if said.run_since_build.strip() else None,
    )
    header = header_for(
        sheet,
        key,
        order_of(said.order, sheet.pull_order),
        day,
        gauge=book.gauge(said.gauge) if said.gauge else None,
        by=said.by or this_person(place.settings, stamped.who),
    )
    return book.start(
        replace(header, note=said.note.strip()),
        sheet_text=sheet_text,
        key=stamped.key,
        who=stamped.who,
        device=stamped.device,
    )
