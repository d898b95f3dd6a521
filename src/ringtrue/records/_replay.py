"""From the entries of a chain to what stands: readings with their corrections, the header, the registers."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass, replace
from enum import Enum

from ringtrue.compression import CompressionTest, Gauge, LeakdownReading, Pull, Reading
from ringtrue.quantities import Measured
from ringtrue.records._bodies import (
    ChainBroken,
    ChosenForSheet,
    Content,
    Corrected,
    Finished,
    Happened,
    HappenedNot,
    HeaderChanged,
    OfPhotographs,
    Opened,
    Photographed,
    PhotographErased,
    PhotographTakenBack,
    PutAside,
    Withdrawn,
)
from ringtrue.records._chain import Chain
from ringtrue.records.erased import Erased
from ringtrue.records.event import Event
from ringtrue.records.facts import Change, Correction, Entry, GaugeRevision, Header, Photograph

Row = Pull | LeakdownReading


@dataclass(slots=True)
class Standing:
    """
    A reading, as it stands.

    Parameters
    ----------
    first : Entry
        The entry that first held it.
    now : Entry
        The entry in which it stands.
    row : Pull or LeakdownReading or None
        None when it was taken back.
    history : tuple of int
        Every entry in which it stood.
    """

    first: Entry
    now: Entry
    row: Row | None
    history: tuple[int, ...]


@dataclass(slots=True)
class State:
    """
    A test after its entries.

    Parameters
    ----------
    header : Header
        As it stands.
    sheet : str or None
        Fingerprint of the build sheet.
    rows : list of Standing
        In the order taken.
    corrections : list of Correction
        In the order made.
    finished : bool
        Somebody said so.
    put_aside : str
        Why nobody goes on with it; empty where somebody may.
    photographs : dict of int to (Photograph, str)
        By the number of its entry: as it stands, and the hash of that entry.
    """

    header: Header
    sheet: str | None
    rows: list[Standing] = field(default_factory=list)
    corrections: list[Correction] = field(default_factory=list)
    finished: bool = False
    put_aside: str = ""
    photographs: dict[int, tuple[Photograph, str]] = field(default_factory=dict)

    @property
    def standing(self) -> tuple[tuple[int, Row], ...]:
        """The readings that stand, each with the number of its entry, in the order taken."""
        return tuple((each.now.seq, each.row) for each in self.rows if each.row is not None)

    @property
    def test(self) -> CompressionTest:
        """The test as the rest of the program knows it."""
        said = self.header
        taken = tuple(row for _, row in self.standing)
        return CompressionTest(taken, said.date, said.by, said.run_since_build, said.gauge, said.conditions)

    def at(self, seq: int) -> Standing | None:
        """Return the reading that is, or was, in an entry."""
        return next((each for each in self.rows if seq in each.history), None)


def replay(chain: Chain, filed: str | None = None) -> State:
    """
    Go through a test's entries.

    Parameters
    ----------
    chain : Chain
        Its hashes are known to be good.
    filed : str or None
        The engine under which the book lists the test; None where that is not looked at.

    Returns
    -------
    State
        What stands.

    Notes
    -----
    Stopped by `ChainBroken`: the entries are whole, but no book writes them in this order.
    """
    if not chain.contents or not isinstance(chain.contents[0], Opened):
        raise ChainBroken(1, "a test begins with the entry that opens it")
    opened = chain.contents[0]
    state = State(opened.header, opened.sheet)
    for entry, content in zip(chain.entries[1:], chain.contents[1:], strict=True):
        _step(state, entry, content)
    if filed not in {None, state.header.engine}:
        raise ChainBroken(None, f"it is filed under another engine than its own, {state.header.engine}")
    return state


def _step(state: State, entry: Entry, content: Content) -> None:
    match content:
        case Pull() | LeakdownReading():
            state.rows.append(Standing(entry, entry, content, (entry.seq,)))
            state.put_aside = ""
        case Corrected() | Withdrawn():
            _replace(state, entry, content)
        case HeaderChanged(header, sheet, why):
            changes = differences(state.header, header)
            if sheet != state.sheet:
                changes = (*changes, Change("build sheet", (state.sheet or "")[:16], (sheet or "")[:16]))
            stamp = (why, entry.who, entry.device, entry.at)
            state.corrections.append(Correction(entry.seq, None, "", None, changes, *stamp))
            state.header, state.sheet = header, sheet
        case Finished():
            state.finished = True
        case PutAside(why):
            state.put_aside = why
        case Photographed() | ChosenForSheet() | PhotographTakenBack() | PhotographErased():
            _photograph(state, entry, content)
        case _:
            raise ChainBroken(entry.seq, f"a {entry.kind} entry does not belong here")


def _replace(state: State, entry: Entry, content: Corrected | Withdrawn) -> None:
    target = next((each for each in state.rows if each.now.seq == content.replaces), None)
    if target is None or target.row is None:
        raise ChainBroken(entry.seq, f"it replaces entry {content.replaces}, where no reading stands")
    if target.now.hash != content.replaced_hash:
        raise ChainBroken(entry.seq, f"it replaces another entry {content.replaces} than is there")
    after = content.row if isinstance(content, Corrected) else None
    correction = Correction(
        entry.seq,
        target.first.seq,
        target.row.cylinder,
        target.row.kind,
        differences(target.row, after),
        content.why,
        entry.who,
        entry.device,
        entry.at,
        withdrawn=after is None,
    )
    state.corrections.append(correction)
    target.now, target.row, target.history = entry, after, (*target.history, entry.seq)


def _photograph(state: State, entry: Entry, content: OfPhotographs) -> None:
    if isinstance(content, Photographed):
        said = (content.cylinder, content.shows, content.picture, content.note, content.for_sheet)
        kept = Photograph(entry.seq, *said, entry.who, entry.device, entry.at)
        state.photographs[entry.seq] = kept, entry.hash
        return
    now, sealed = state.photographs.get(content.photograph, (None, ""))
    erases = isinstance(content, PhotographErased)
    if now is None or now.erased or (now.taken_back and not erases):
        raise ChainBroken(entry.seq, f"it is about entry {content.photograph}, where no photograph stands")
    if sealed != content.photograph_hash:
        raise ChainBroken(entry.seq, f"it is about another entry {content.photograph} than is there")
    if isinstance(content, ChosenForSheet):
        now = replace(now, for_sheet=content.for_sheet)
    elif isinstance(content, PhotographErased):
        erased = Erased(entry.seq, content.why, entry.who, entry.device, entry.at)
        now = replace(now, for_sheet=False, taken_back=now.taken_back or content.why, erased=erased)
    else:
        now = replace(now, for_sheet=False, taken_back=content.why)
    state.photographs[content.photograph] = now, sealed


def replay_gauges(chain: Chain) -> dict[str, list[GaugeRevision]]:
    """
    Return every description of every gauge, in the order given.

    Parameters
    ----------
    chain : Chain
        The register.

    Returns
    -------
    dict of str to list of GaugeRevision
        By name.

    Notes
    -----
    Stopped by `ChainBroken`: something else than a gauge stands in it.
    """
    found: dict[str, list[GaugeRevision]] = {}
    for entry, content in zip(chain.entries, chain.contents, strict=True):
        if not isinstance(content, Gauge):
            raise ChainBroken(entry.seq, f"a {entry.kind} entry does not belong here")
        found.setdefault(content.name, []).append(GaugeRevision(content, entry.who, entry.at))
    return found


def replay_events(chain: Chain) -> list[Event]:
    """
    Return the log of all engines, in the order written.

    Parameters
    ----------
    chain : Chain
        The register.

    Returns
    -------
    list of Event
        All of them, those that were taken back too.

    Notes
    -----
    Stopped by `ChainBroken`: something else than an event stands in it.
    """
    found: dict[str, Event] = {}
    for entry, content in zip(chain.entries, chain.contents, strict=True):
        if isinstance(content, Happened):
            found[entry.key] = _event(entry, content)
        elif isinstance(content, HappenedNot):
            found[content.event_key] = _taken_back(entry, content, found.get(content.event_key))
        else:
            raise ChainBroken(entry.seq, f"a {entry.kind} entry does not belong here")
    return list(found.values())


def _taken_back(entry: Entry, content: HappenedNot, found: Event | None) -> Event:
    if found is None or found.engine != content.engine:
        raise ChainBroken(entry.seq, "it takes back a line that stands in no log")
    # Two books that join may both have taken it back: the first reason stands.
    return found if found.taken_back else replace(found, taken_back=content.why)


def _event(entry: Entry, content: Happened) -> Event:
    said = (content.engine, content.text, content.at, content.date)
    return Event(*said, entry.who, entry.at, content.new_baseline, entry.seq)


def differences(before: object, after: object) -> tuple[Change, ...]:
    """
    Return the fields in which two facts differ, as a person wrote them.

    Parameters
    ----------
    before, after : object
        Readings or headers; None for nothing.

    Returns
    -------
    tuple of Change
        In the order of the fields.
    """
    old, new = _written(before), _written(after)
    names = dict.fromkeys([*old, *new])
    kept = {} if after is not None else {"cylinder", "kind", "repeat"}
    return tuple(
        Change(name, old.get(name, ""), new.get(name, ""))
        for name in names
        if name not in kept and old.get(name, "") != new.get(name, "")
    )


def _written(thing: object) -> dict[str, str]:
    if thing is None or not is_dataclass(thing):
        return {}
    found: dict[str, str] = {}
    for each in fields(thing):
        value = getattr(thing, each.name)
        if is_dataclass(value) and not isinstance(value, Reading | Measured):
            found |= {f"{each.name} {name}": text for name, text in _written(value).items()}
        else:
            found[each.name] = _as_written(value)
    return found


def _as_written(value: object) -> str:
    match value:
        case None | False:
            return ""
        case True:
            return "yes"
        case Enum():
            return str(value.value)
        case tuple():
            return "; ".join(" ".join(part) if isinstance(part, tuple) else str(part) for part in value)
        case _:
            return str(value)
