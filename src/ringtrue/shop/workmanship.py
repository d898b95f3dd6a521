"""The shop's builds over time: each engine's hand-over test out of the book, charted, and beside its build sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringtrue.errors import BookDamaged, InputRefused, NotInBook, SheetRefused
from ringtrue.history.builds import FEWEST_CYLINDERS, Build
from ringtrue.history.hand_over import Finals, HandedOver, Kinds, Looked, family_of, finals_of, kinds_of, look_at
from ringtrue.history.workmanship import BASELINE, FEWEST, Charted, chart_builds
from ringtrue.intake import parse_sheet
from ringtrue.shop.builds_begun import Begun, builds_begun
from ringtrue.shop.heading import read_date

if TYPE_CHECKING:
    from ringtrue.engine import BuildSheet
    from ringtrue.records import Book, Recorded

MOST = 200
"""Builds that are shown where no day is named from which on: the last ones. [-]"""

LONGEST_BASELINE = 1000
"""A baseline of more is none. [-]"""


@dataclass(frozen=True, slots=True)
class Asked:
    """
    Which builds are looked at.

    Parameters
    ----------
    since : str
        ISO date of the first hand-over; empty for the last `MOST` builds, or for all.
    family : str
        Of this family alone, as the sheets call it or by layout and cylinders; empty for all.
    builder : str
        Handed over by this one alone; empty for all.
    baseline : int
        So many of the first make the limits.
    every : bool
        All builds, where no day is named.
    """

    since: str = ""
    family: str = ""
    builder: str = ""
    baseline: int = BASELINE
    every: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """
    An engine of which no hand-over is charted.

    Parameters
    ----------
    engine, name : str
        How the book knows it, and what it is called.
    why : str
        The reason, without its full stop.
    """

    engine: str
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Workmanship:
    """
    What is to be told of the shop's builds.

    Parameters
    ----------
    asked : Asked
        Which builds.
    handed : tuple of HandedOver
        They, in the order of hand-over.
    charted : Charted or None
        Their charts; None where there are too few, or all are the same.
    kinds : tuple of Kinds
        Them, parted by what the sheets say.
    looked : tuple of Looked
        What was looked at.
    left_out : tuple of LeftOut
        Engines without a hand-over that could be charted.
    only_last : bool
        There are more builds: the last ones are shown.
    """

    asked: Asked
    handed: tuple[HandedOver, ...]
    charted: Charted | None
    kinds: tuple[Kinds, ...]
    looked: tuple[Looked, ...]
    left_out: tuple[LeftOut, ...]
    only_last: bool

    @property
    def builds(self) -> tuple[Build, ...]:
        """The builds, for the charts."""
        return tuple(each.build for each in self.handed)


def asked_for(since: str, family: str, builder: str, baseline: str, *, every: bool = False) -> Asked:
    """
    Read which builds are wanted.

    Parameters
    ----------
    since, family, builder, baseline : str
        As they were typed; empty where nothing was.
    every : bool
        All builds are wanted.

    Returns
    -------
    Asked
        Which.

    Raises
    ------
    InputRefused
        There is no such day, or the baseline is no number of builds.
    """
    try:
        day = read_date(since)
    except InputRefused as error:
        raise InputRefused(*(replace(fault, where="since") for fault in error.faults)) from None
    count = baseline.strip() or str(BASELINE)
    # Digits of other scripts are digits to str.isdigit.
    if not (count.isascii() and count.isdigit()) or not FEWEST <= int(count[:9]) <= LONGEST_BASELINE:
        why = f"limits are made of {FEWEST} to {LONGEST_BASELINE} builds"
        raise InputRefused.of(f"“{baseline[:40]}”", why, f"write for example {BASELINE}", "baseline")
    return Asked(day, " ".join(family.split()), " ".join(builder.split()), int(count), every)


def look_back(book: Book, asked: Asked) -> Workmanship:
    """
    Chart the shop's builds.

    An engine's hand-over is its first finished test in which every cylinder has a dry final; after work that made a new
    baseline it is a build of its own, whose hand-over is the first such test since.

    Parameters
    ----------
    book : Book
        The record book; the chain of each test that is used is checked.
    asked : Asked
        Which builds.

    Returns
    -------
    Workmanship
        What is to be told.

    Raises
    ------
    BookUnusable
        The book cannot be used.
    NotInBook
        There are builds, and none of them is of the family that was asked for.
    """
    sifted = bool(asked.family or asked.builder)
    latest = None if asked.since or asked.every or sifted else MOST + 1
    begun = builds_begun(book, latest=latest, since=asked.since)
    found, left_out = _hand_overs(book, begun)
    _is_a_family(asked.family, found)
    handed = sorted(_sifted(found, asked), key=lambda each: each.build.date)
    only_last = not (asked.since or asked.every) and len(handed) > MOST
    if only_last:
        handed = handed[-MOST:]
    elif latest is not None and len(begun) == latest:
        # One engine more was read, to know whether there are more.
        only_last, handed = True, handed[-MOST:]
    kinds = kinds_of(handed)
    return Workmanship(
        asked,
        tuple(handed),
        chart_builds([each.build for each in handed], asked.baseline),
        kinds,
        look_at(handed, kinds),
        () if sifted else tuple(left_out),
        only_last,
    )


def _hand_overs(book: Book, begun: Sequence[Begun]) -> tuple[list[HandedOver], list[LeftOut]]:
    """Read each build's first test; and, where that is not whole, the next, all builds at once."""
    waiting = [(each, 0) for each in begun]
    found: list[HandedOver] = []
    left_out: list[LeftOut] = []
    while waiting:
        again = []
        read = book.tests_read(engine.tests[at] for engine, at in waiting)
        for (engine, at), recorded in zip(waiting, read, strict=True):
            if isinstance(recorded, BookDamaged):
                left_out.append(LeftOut(engine.engine, engine.name, f"test {engine.tests[at]} is damaged in the book"))
                continue
            sheet = _sheet(recorded)
            finals = finals_of(recorded.test, sheet.cylinders if sheet else recorded.header.plan_order)
            if finals is None:
                if at + 1 < len(engine.tests):
                    again.append((engine, at + 1))
                else:
                    since = f" since “{engine.after}”" if engine.after else ""
                    why = f"no finished test of it{since} has a dry final of every cylinder"
                    left_out.append(LeftOut(engine.engine, engine.name, why))
            elif len(finals.finals) < FEWEST_CYLINDERS:
                why = f"with {len(finals.finals)} cylinders or fewer a mean deviation says too little"
                left_out.append(LeftOut(engine.engine, engine.name, why))
            else:
                found.append(_handed(engine, recorded, sheet, finals))
        waiting = again
    return found, left_out


def _handed(engine: Begun, recorded: Recorded, sheet: BuildSheet | None, finals: Finals) -> HandedOver:
    header = recorded.header
    build = Build(
        engine.engine,
        f"{header.engine_name or engine.name or engine.engine}{', rebuilt' if engine.after else ''}",
        recorded.test_id,
        header.date or recorded.opened_at[:10],
        len(finals.finals),
        finals.deviation,
        finals.scatter,
        header.gauge.name if header.gauge else "",
    )
    return HandedOver(build, finals.finals, sheet, header.by or recorded.entries[0].who, engine.after)


def _sheet(recorded: Recorded) -> BuildSheet | None:
    try:
        return parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    except SheetRefused:
        # Kept by another edition, which took what this one does not: its finals are what they are.
        return None


def _is_a_family(named: str, found: Iterable[HandedOver]) -> None:
    there = {family_of(each.sheet) for each in found} - {""}
    if not named or not there or named.casefold() in {each.casefold() for each in there}:
        return
    several = "name one of these" if len(there) > 1 else "the only one is"
    listed = ", ".join(f"“{each}”" for each in sorted(there, key=str.casefold))
    raise NotInBook.of(f"“{named}”", "no build is of such a family", f"{several}: {listed}", "family")


def _sifted(found: Iterable[HandedOver], asked: Asked) -> list[HandedOver]:
    family, builder = asked.family.casefold(), asked.builder.casefold()
    return [
        each
        for each in found
        if (not family or family_of(each.sheet).casefold() == family) and (not builder or each.by.casefold() == builder)
    ]
