"""
What the entries of the book say, as JSON text.

The text that is written here is stored and hashed to the letter; reading never writes it anew. Figures keep every bit:
JSON numbers are the shortest decimals that give the same float back.
"""

from __future__ import annotations

import hashlib
import re
from typing import Any

import msgspec

from ringtrue.compression import Gauge, Kind, LeakdownReading, Pull
from ringtrue.errors import InputRefused
from ringtrue.quantities import Measured
from ringtrue.records.facts import EntryKind, Header, Picture, Shows


class ChainBroken(Exception):
    """
    A chain, or a body in it, is not what the book writes.

    Parameters
    ----------
    seq : int or None
        The entry, where one can be named.
    says : str
        What is wrong, without its full stop.
    """

    def __init__(self, seq: int | None, says: str) -> None:
        super().__init__(seq, says)
        self.seq = seq
        self.says = says


class Opened(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A test begins: its header, and the SHA-256 of its build sheet's text."""

    header: Header
    sheet: str | None


class Corrected(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A reading is replaced by another; the replaced entry is named by its number and its hash."""

    replaces: int
    replaced_hash: str
    why: str
    pull: Pull | None
    leakdown: LeakdownReading | None

    @property
    def row(self) -> Pull | LeakdownReading:
        """The reading that stands from here on."""
        row = self.pull if self.pull is not None else self.leakdown
        if row is None or (self.pull is not None and self.leakdown is not None):
            raise ChainBroken(None, "a correction holds one reading, no more and no less")
        return row


class Withdrawn(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A reading is taken back; the entry is named by its number and its hash."""

    replaces: int
    replaced_hash: str
    why: str


class HeaderChanged(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What belongs to the whole test is said anew."""

    header: Header
    sheet: str | None
    why: str


class Finished(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The test is done."""

    note: str


class PutAside(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A test is put aside and counts nowhere; a reading that comes later takes it up again."""

    why: str


class Happened(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A line in an engine's log."""

    engine: str
    text: str
    at: Measured | None
    date: str
    new_baseline: bool = False


class HappenedNot(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A line in an engine's log is taken back; named by its entry's key, for numbers change where two books join."""

    engine: str
    event_key: str
    why: str


class Photographed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A photograph is kept with a cylinder, or with the whole engine where none is named; the file is elsewhere."""

    cylinder: str
    shows: Shows
    picture: Picture
    note: str
    for_sheet: bool


class ChosenForSheet(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A photograph is to stand on the hand-over sheet, or no more; its entry is named by its number and its hash."""

    photograph: int
    photograph_hash: str
    for_sheet: bool


class PhotographTakenBack(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A photograph stands no more; its entry is named by its number and its hash."""

    photograph: int
    photograph_hash: str
    why: str


class PhotographErased(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The file of a photograph is erased, and it stands no more; its entry is named by its number and its hash."""

    photograph: int
    photograph_hash: str
    why: str


OfPhotographs = Photographed | ChosenForSheet | PhotographTakenBack | PhotographErased
Content = (
    Opened
    | Pull
    | LeakdownReading
    | Corrected
    | Withdrawn
    | HeaderChanged
    | Finished
    | PutAside
    | Gauge
    | Happened
    | HappenedNot
    | Photographed
    | ChosenForSheet
    | PhotographTakenBack
    | PhotographErased
)

BODIES: dict[EntryKind, type[Content]] = {
    EntryKind.OPENED: Opened,
    EntryKind.PULL: Pull,
    EntryKind.LEAKDOWN: LeakdownReading,
    EntryKind.CORRECTION: Corrected,
    EntryKind.WITHDRAWAL: Withdrawn,
    EntryKind.HEADER: HeaderChanged,
    EntryKind.FINISHED: Finished,
    EntryKind.PUT_ASIDE: PutAside,
    EntryKind.GAUGE: Gauge,
    EntryKind.EVENT: Happened,
    EntryKind.EVENT_TAKEN_BACK: HappenedNot,
    EntryKind.PHOTOGRAPH: Photographed,
    EntryKind.PHOTOGRAPH_ON_SHEET: ChosenForSheet,
    EntryKind.PHOTOGRAPH_TAKEN_BACK: PhotographTakenBack,
    EntryKind.PHOTOGRAPH_ERASED: PhotographErased,
}
ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
"""Pictures that are kept, each with the ending of its file's name."""
_DIGEST = re.compile(r"[0-9a-f]{64}")
_KINDS = {body: kind for kind, body in BODIES.items()}
# Made before any thread reads: where several learn a dataclass at the same moment, msgspec 0.22 crashes.
_DECODERS: dict[EntryKind, msgspec.json.Decoder[Content]] = {
    kind: msgspec.json.Decoder(body) for kind, body in BODIES.items()
}


def kind_of(content: Content) -> EntryKind:
    """Return the kind of entry that says this."""
    return _KINDS[type(content)]


def write_body(content: Content) -> str:
    """
    Return the JSON text of a body, once it has been read back and found to be the same.

    Parameters
    ----------
    content : Content
        What the entry says.

    Returns
    -------
    str
        Compact JSON.

    Raises
    ------
    InputRefused
        It holds what JSON cannot: a figure that is no number, characters that are no text.
    """
    what = f"the {kind_of(content)} entry"
    try:
        text = msgspec.json.encode(_said(content)).decode("utf-8")
        again = _decode(kind_of(content), text)
    except UnicodeEncodeError as error:
        raise InputRefused.of(
            ascii(error.object[error.start : error.end]),
            "these characters are not text and cannot be kept",
            "type them anew",
            what,
        ) from error
    except (ChainBroken, msgspec.MsgspecError, TypeError) as error:
        said = error.says if isinstance(error, ChainBroken) else str(error)
        raise InputRefused.of(
            "", f"it cannot be written down exactly ({said})", "give every figure as a number", what
        ) from error
    if again != content:
        raise InputRefused.of("", "it does not read back as it was given", "give every figure as a number", what)
    return text


def _said(content: Content) -> object:
    """Leave out of a body what was never said: it is written as it was before there was any of it."""
    if isinstance(content, Happened):
        happened: dict[str, Any] = msgspec.to_builtins(content)
        if not content.new_baseline:
            del happened["new_baseline"]
        return happened
    if not isinstance(content, Pull | Corrected | Gauge | Opened | HeaderChanged):
        return content
    said: dict[str, Any] = msgspec.to_builtins(content)
    if isinstance(content, Pull | Corrected):
        pull = said if isinstance(content, Pull) else said["pull"]
        if pull is not None and pull["first_from_film"] is False:
            del pull["first_from_film"]
        return said
    if isinstance(content, Opened | HeaderChanged) and content.header.brought_in is None:
        del said["header"]["brought_in"]
    gauge = said if isinstance(content, Gauge) else said["header"]["gauge"]
    for name in ("calibration", "study"):
        if gauge is not None and gauge[name] is None:
            del gauge[name]
    return said


def beyond_first_edition(content: Content) -> bool:
    """
    Tell whether an entry says what the first edition of an export does not know.

    Parameters
    ----------
    content : Content
        What it says.

    Returns
    -------
    bool
        True for photographs, and for a first stroke that was read off a film.
    """
    if isinstance(content, Corrected):
        content = content.row
    return isinstance(content, OfPhotographs) or (isinstance(content, Pull) and content.first_from_film)


def beyond_second_edition(content: Content) -> bool:
    """
    Tell whether an entry says what the second edition of an export does not know.

    Parameters
    ----------
    content : Content
        What it says.

    Returns
    -------
    bool
        True for a test that was brought in from a file of the past, or put aside, for a gauge that was calibrated or
        studied, for work that made a new baseline, for a line of a log that was taken back, and for a photograph whose
        file was erased.
    """
    if isinstance(content, PutAside | HappenedNot | PhotographErased):
        return True
    if isinstance(content, Happened):
        return content.new_baseline
    if isinstance(content, Opened | HeaderChanged) and content.header.brought_in is not None:
        return True
    gauge = content.header.gauge if isinstance(content, Opened | HeaderChanged) else content
    return isinstance(gauge, Gauge) and (gauge.calibration is not None or gauge.study is not None)


def read_body(kind: EntryKind, text: str) -> Content:
    """
    Return what a body says.

    Parameters
    ----------
    kind : EntryKind
        The kind of its entry.
    text : str
        The stored JSON text.

    Returns
    -------
    Content
        What the entry says.

    Notes
    -----
    Stopped by `ChainBroken`: the text is not the body of such an entry.
    """
    try:
        return _decode(kind, text)
    except (msgspec.MsgspecError, UnicodeEncodeError, RecursionError) as error:
        raise ChainBroken(None, f"what is written in it is no {kind} entry ({error})") from error


def _decode(kind: EntryKind, text: str) -> Content:
    content: Content = _DECODERS[kind].decode(text)
    if isinstance(content, Corrected) and isinstance(content.row, Pull) and content.row.kind is Kind.LEAKDOWN:
        raise ChainBroken(None, "a pull is dry or wet")
    if isinstance(content, Pull) and content.kind is Kind.LEAKDOWN:
        raise ChainBroken(None, "a pull is dry or wet")
    if isinstance(content, Photographed):
        _file_can_be_named(content.picture)
    return content


def _file_can_be_named(picture: Picture) -> None:
    # The two become the name of a file: nothing else may stand in them, whoever made the entry.
    if not _DIGEST.fullmatch(picture.sha256) or picture.media_type not in ENDINGS:
        raise ChainBroken(None, "it names no picture that a book keeps")


def fingerprint(sheet_text: str) -> str:
    """Return the SHA-256 of a build sheet's text in UTF-8, 64 hexadecimal digits."""
    return hashlib.sha256(sheet_text.encode("utf-8")).hexdigest()


def has_fingerprint(stored: object, sha: str) -> bool:
    """Tell whether what is stored as a sheet's text, damaged or not, is the text with this fingerprint."""
    return isinstance(stored, str) and hashlib.sha256(stored.encode("utf-8", "surrogateescape")).hexdigest() == sha
