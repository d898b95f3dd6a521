"""
What the record book gives back: plain facts, no database in them.

Light to import, so that pages and commands may name these types without loading a database library.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ringtrue.compression import CompressionTest, Conditions, Gauge, Kind
from ringtrue.quantities import Measured
from ringtrue.records.brought import BroughtIn
from ringtrue.records.erased import Erased

SHORTEST_HEAD_DIGITS = 16
"""Fewer digits than these (64 bits) are not taken for a head."""


class EntryKind(StrEnum):
    """What an entry of the book says."""

    OPENED = "opened"
    PULL = "pull"
    LEAKDOWN = "leak-down"
    CORRECTION = "correction"
    WITHDRAWAL = "withdrawal"
    HEADER = "header"
    FINISHED = "finished"
    PUT_ASIDE = "put aside"
    GAUGE = "gauge"
    EVENT = "event"
    EVENT_TAKEN_BACK = "event taken back"
    PHOTOGRAPH = "photograph"
    PHOTOGRAPH_ON_SHEET = "photograph on sheet"
    PHOTOGRAPH_TAKEN_BACK = "photograph taken back"
    PHOTOGRAPH_ERASED = "photograph erased"


class Shows(StrEnum):
    """What a photograph shows."""

    PLUG = "plug"
    GAUGE = "gauge"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Picture:
    """
    A picture as it is kept: its bytes are elsewhere, and this is what an entry says of them.

    Parameters
    ----------
    sha256 : str
        Of the bytes that are kept, 64 hexadecimal digits.
    media_type : str
        "image/jpeg", "image/png" or "image/webp".
    size : int
        [byte]
    width, height : int
        As it is stored, before it is turned upright. [pixel]
    """

    sha256: str
    media_type: str
    size: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Photograph:
    """
    A photograph of a test, as it stands.

    Parameters
    ----------
    seq : int
        The entry that holds it.
    cylinder : str
        Whose it is; empty for the whole engine.
    shows : Shows
        What it shows.
    picture : Picture
        The file it names.
    note : str
        Free text.
    for_sheet : bool
        It was chosen for the hand-over sheet.
    who, device, at : str
        By whom, on which machine, and the book's clock, UTC.
    taken_back : str
        The reason for which it stands no more; empty while it stands.
    erased : Erased or None
        Its file is gone for ever, and it stands no more; None where that is not so.
    """

    seq: int
    cylinder: str
    shows: Shows
    picture: Picture
    note: str
    for_sheet: bool
    who: str
    device: str
    at: str
    taken_back: str = ""
    erased: Erased | None = None


@dataclass(frozen=True, slots=True)
class Header:
    """
    What belongs to a whole test: the engine, the day, the gauge.

    Parameters
    ----------
    engine : str
        How the book knows the engine: its reference, else its name.
    engine_name : str
        The engine's name; empty when only the reference is known.
    date : str
        ISO date; empty when not said.
    by : str
        Who took the test.
    run_since_build : Measured or None
        Distance [m] or running time [s] since the build.
    gauge : Gauge or None
        The gauge as it was described on that day.
    conditions : Conditions
        The day.
    plan_order : tuple of str
        Cylinders in the order in which they were to be pulled; empty when there was no plan.
    note : str
        Free text.
    brought_in : BroughtIn or None
        The file that it was brought in from, years later; None for a test that was taken with the book at hand.
    """

    engine: str
    engine_name: str = ""
    date: str = ""
    by: str = ""
    run_since_build: Measured | None = None
    gauge: Gauge | None = None
    conditions: Conditions = field(default_factory=Conditions)
    plan_order: tuple[str, ...] = ()
    note: str = ""
    brought_in: BroughtIn | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """
    One line of the book, as it is stored and hashed.

    Parameters
    ----------
    chain : str
        The test's id; "gauges" or "events" for the two registers.
    seq : int
        Place in the chain, from 1, given by the book. Order comes from here, never from the clock.
    kind : EntryKind
        What the entry says.
    key : str
        Made where the reading was taken; the same key never makes a second entry.
    who, device : str
        The person, and the machine he used.
    at : str
        The book's clock when it wrote the entry, UTC.
    body : str
        JSON text, exactly as it was hashed.
    previous : str
        Hash of the entry before; empty for the first.
    hash : str
        SHA-256 over all of the above, 64 hexadecimal digits.
    """

    chain: str
    seq: int
    kind: EntryKind
    key: str
    who: str
    device: str
    at: str
    body: str
    previous: str
    hash: str


@dataclass(frozen=True, slots=True)
class Change:
    """
    One field of a correction.

    Parameters
    ----------
    name : str
        The field, as a readings file names its column.
    before, after : str
        As written, with the unit; empty when there was nothing.
    """

    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Correction:
    """
    A reading put right or taken back, or a change of what belongs to the whole test.

    Parameters
    ----------
    seq : int
        The entry that says so.
    target : int or None
        The entry in which the reading first stood; None for the whole test.
    cylinder : str
        The cylinder, before the change; empty for the whole test.
    kind : Kind or None
        The kind of reading, before the change; None for the whole test.
    changes : tuple of Change
        What was written before and after.
    why, who, device, at : str
        The reason given, by whom, on which machine, when.
    withdrawn : bool
        The reading was taken back and stands no more.
    """

    seq: int
    target: int | None
    cylinder: str
    kind: Kind | None
    changes: tuple[Change, ...]
    why: str
    who: str
    device: str
    at: str
    withdrawn: bool = False


@dataclass(frozen=True, slots=True)
class Recorded:
    """
    A test as the book has it, its chain checked.

    Parameters
    ----------
    test_id : str
        Its id.
    header : Header
        As it stands after every change.
    sheet_text : str or None
        The build sheet of that day, to the letter; None when there was none.
    sheet_revision : int or None
        Which revision of the engine's sheet that is in this book, from 1.
    entries : tuple of Entry
        All of them, in order.
    test : CompressionTest
        The readings that stand, in the order they were taken.
    standing : tuple of int
        For each row of ``test.taken``, the entry in which it stands: what `Book.correct` wants.
    corrections : tuple of Correction
        In the order in which they were made.
    head : str
        Hash of the last entry; goes on the hand-over sheet.
    finished : bool
        Somebody said that the test is done.
    opened_at, last_at : str
        The book's clock at the first and last entry, UTC.
    photographs : tuple of Photograph
        In the order in which they were kept, those that were taken back too.
    put_aside : str
        Why the test was put aside; empty for one that was not, and for one that was gone on
        with since.
    """

    test_id: str
    header: Header
    sheet_text: str | None
    sheet_revision: int | None
    entries: tuple[Entry, ...]
    test: CompressionTest
    standing: tuple[int, ...]
    corrections: tuple[Correction, ...]
    head: str
    finished: bool
    opened_at: str
    last_at: str
    photographs: tuple[Photograph, ...] = ()
    put_aside: str = ""


@dataclass(frozen=True, slots=True)
class Summary:
    """
    A test in a list. Its chain is not checked here; `Book.test` does that.

    Parameters
    ----------
    test_id : str
        Its id.
    header : Header or None
        None when the entry that holds it is damaged.
    readings : int
        How many readings stand.
    finished : bool
        Somebody said that the test is done.
    head : str
        Hash of the last entry.
    opened_at : str
        The book's clock at the first entry, UTC.
    put_aside : bool
        It was put aside, and not gone on with since: it counts nowhere.
    """

    test_id: str
    header: Header | None
    readings: int
    finished: bool
    head: str
    opened_at: str
    put_aside: bool = False

    @property
    def is_open(self) -> bool:
        """Somebody may go on with it: it is neither finished nor put aside."""
        return not self.finished and not self.put_aside

    @property
    def counts(self) -> bool:
        """It is done and was not put aside: trend, baseline and workmanship are made of such tests."""
        return self.finished and not self.put_aside


@dataclass(frozen=True, slots=True)
class EngineInBook:
    """
    An engine the book knows.

    Parameters
    ----------
    key : str
        Its reference, else its name.
    name : str
        Its name; empty when never said.
    tests, sheets, events : int
        How many tests, revisions of its sheet, and lines in its log.
    """

    key: str
    name: str
    tests: int
    sheets: int
    events: int


@dataclass(frozen=True, slots=True)
class SheetRevision:
    """
    One revision of an engine's build sheet.

    Parameters
    ----------
    engine : str
        The engine's key.
    revision : int
        From 1, in the order in which this book met them.
    text : str
        The sheet, to the letter.
    sha256 : str
        Its fingerprint, which the tests made under it carry in their chains.
    tests : tuple of str
        The tests that stand under it.
    """

    engine: str
    revision: int
    text: str
    sha256: str
    tests: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GaugeRevision:
    """
    One description of a gauge, as the register got it.

    Parameters
    ----------
    gauge : Gauge
        The description.
    who, at : str
        Who gave it, and the book's clock, UTC.
    """

    gauge: Gauge
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class Owner:
    """
    Whose engine it is. Kept outside every chain, so that it can be erased.

    Parameters
    ----------
    name, contact, address, note : str
        As given; empty when not.
    """

    name: str
    contact: str = ""
    address: str = ""
    note: str = ""
