"""A pull as it was typed on a page, read: every fault names its field."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringtrue.compression import Kind, Pull
from ringtrue.errors import InputRefused, ReadingImpossible
from ringtrue.intake import beside_others, first_above_final, implausible, parse_sheet
from ringtrue.intake.cells import trimmed
from ringtrue.shop.typed import MOST_STROKES, reading_typed
from ringtrue.units import Dimension, find_unit, parse_measured, parse_number

if TYPE_CHECKING:
    from ringtrue.compression import Reading
    from ringtrue.quantities import Measured
    from ringtrue.records import Recorded


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
    oil_meant : bool
        The dose was asked about before the pull, and is meant.
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
    oil_meant: bool = False
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
    ReadingImpossible
        The first is above the final.
    Doubtful
        A figure is hard to believe, and nobody said that it is meant.
    """
    known_cylinder(said.cylinder, recorded)
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
        oil=oil_of(said.oil),
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


def known_cylinder(name: str, recorded: Recorded) -> None:
    """
    See that the engine of a test has a cylinder.

    Parameters
    ----------
    name : str
        The cylinder.
    recorded : Recorded
        The test.

    Raises
    ------
    InputRefused
        It has none of that name.
    """
    known = recorded.header.plan_order
    if known and name not in known:
        raise InputRefused.of(
            f"cylinder “{name}”", "this engine does not have it", f"name one of {', '.join(known)}", "cylinder"
        )


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


def oil_of(text: str) -> Measured | None:
    """
    Read a dose of oil.

    Parameters
    ----------
    text : str
        As typed, with its unit.

    Returns
    -------
    Measured or None
        The oil; None where nothing is written. [m3]

    Raises
    ------
    InputRefused
        It is no volume with a unit.
    """
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
    ignition = parse_sheet(recorded.sheet_text).ignition if recorded.sheet_text else None
    before = tuple(row for row in recorded.test.taken if isinstance(row, Pull) and row.kind is pull.kind)
    odd = beside_others(pull, before, recorded.header.gauge)
    if odd is not None:
        raise Doubtful(replace(odd, where="final"))
    doubts = implausible((*before, replace(pull, drift=False)), ignition)
    if doubts and not (before and implausible(before, ignition)):
        meant = "check the figure and its unit; say that it is meant if it is"
        raise Doubtful(*(replace(doubt, instead=meant, where="final") for doubt in doubts))
