"""A test at the engine: one pull after another, each in the book before the next is asked for."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ringtrue.compression import Kind, Pull
from ringtrue.engine import BuildSheet
from ringtrue.errors import InputRefused, NotInBook
from ringtrue.intake import beside_others, implausible
from ringtrue.quantities import Measured
from ringtrue.records import Header
from ringtrue.shop.film import marked
from ringtrue.shop.judging import Judged, judge_so_far, judge_test
from ringtrue.shop.typed import Typed
from ringtrue.shop.with_oil import wet_is_wrong

if TYPE_CHECKING:
    from ringtrue.measure import Judgement
    from ringtrue.records import Book, Recorded


@dataclass(slots=True)
class Session:
    """
    One test, open in the book.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    sheet : BuildSheet or None
        The engine.
    who, device : str
        Who reads, on which machine.
    limits : mapping of str to float
        Thresholds that the shop has changed.

    Notes
    -----
    ``recorded`` is the test as it stands in the book; it is read again after every entry.
    """

    book: Book
    test_id: str
    sheet: BuildSheet | None
    who: str
    device: str
    limits: Mapping[str, float]
    recorded: Recorded = field(init=False)

    def __post_init__(self) -> None:
        """Read the test."""
        self.recorded = self.book.test(self.test_id)

    @classmethod
    def begin(
        cls,
        book: Book,
        header: Header,
        sheet: BuildSheet | None,
        sheet_text: str,
        *,
        note: str,
        person: tuple[str, str],
        limits: Mapping[str, float],
    ) -> Session:
        """
        Open a new test.

        Parameters
        ----------
        book : Book
            The record book.
        header : Header
            What belongs to the whole test; its plan says the order of cylinders.
        sheet : BuildSheet or None
            The engine.
        sheet_text : str
            The sheet as it was written; empty without one.
        note : str
            What the builder said at the checklists; empty when all was done.
        person : tuple of str
            Who reads, and on which machine.
        limits : mapping of str to float
            Thresholds that the shop has changed.

        Returns
        -------
        Session
            With nothing read.
        """
        who, device = person
        test_id = book.start(
            replace(header, note=note), sheet_text=sheet_text or None, key=_key(), who=who, device=device
        )
        return cls(book, test_id, sheet, who, device, limits)

    @property
    def order(self) -> tuple[str, ...]:
        """The cylinders in the order in which they are pulled."""
        return self.recorded.header.plan_order

    def has_row(self, cylinder: str, kind: Kind = Kind.DRY) -> bool:
        """
        Tell whether a cylinder was pulled, or left out on purpose.

        Parameters
        ----------
        cylinder : str
            Its name.
        kind : Kind
            Dry or wet.

        Returns
        -------
        bool
            True when the book has a row of it.
        """
        series = self.recorded.test.series(kind)
        return series is not None and bool(series.of(cylinder))

    @property
    def next_cylinder(self) -> str | None:
        """The next cylinder of the dry series; None when every one was pulled or left out."""
        return next((name for name in self.order if not self.has_row(name)), None)

    @property
    def drift_cylinder(self) -> str | None:
        """The cylinder that is to be pulled once more at the end; None when it was or will not be, or stands alone."""
        series = self.recorded.test.series(Kind.DRY)
        if series is None or series.drift_pulls:
            return None
        read = tuple(dict.fromkeys(pull.cylinder for pull in series.pulls if pull.final is not None))
        return read[0] if len(read) > 1 else None

    def doubt(self, typed: Typed) -> str:
        """
        Say why a figure is hard to believe in its unit.

        Parameters
        ----------
        typed : Typed
            What was typed.

        Returns
        -------
        str
            A sentence; empty when it can be believed.
        """
        ignition = self.sheet.ignition if self.sheet else None
        pull = Pull(cylinder="", first=typed.first, final=typed.final)
        faults = implausible((pull,), ignition)
        dry = self.recorded.test.series(Kind.DRY)
        odd = None if faults or dry is None else beside_others(pull, dry.pulls, self.recorded.header.gauge)
        if odd is not None:
            return f"{odd.why[0].upper()}{odd.why[1:]}."
        return f"{faults[0].why[0].upper()}{faults[0].why[1:]}." if faults else ""

    def take(
        self, cylinder: str, typed: Typed, *, kind: Kind = Kind.DRY, oil: Measured | None = None, drift: bool = False
    ) -> Pull:
        """
        Put one pull into the book.

        Parameters
        ----------
        cylinder : str
            Its name.
        typed : Typed
            What was typed.
        kind : Kind
            Dry or wet.
        oil : Measured or None
            Oil put in for a wet pull.
        drift : bool
            It repeats the first cylinder at the end.

        Returns
        -------
        Pull
            What stands in the book when this returns.

        Raises
        ------
        InputRefused
            The engine has no such cylinder.
        BookUnusable
            The book cannot be written; nothing was acknowledged.
        """
        self.known(cylinder)
        series = self.recorded.test.series(kind)
        before = () if series is None or drift else series.of(cylinder)
        pull = Pull(
            cylinder=cylinder,
            kind=kind,
            first=typed.first,
            final=typed.final,
            first_spoiled=typed.spoiled,
            strokes=typed.strokes,
            oil=oil,
            drift=drift,
            repeat=max((row.repeat or 1 for row in before), default=0) + 1 if before else None,
            read_by=self.who,
        )
        self._add(pull)
        return pull

    def skip(self, cylinder: str, why: str = "", *, drift: bool = False) -> None:
        """
        Leave a cylinder out on purpose, or the pull that would repeat it at the end.

        Parameters
        ----------
        cylinder : str
            Its name.
        why : str
            The reason, if there is one.
        drift : bool
            The one at the end.

        Raises
        ------
        InputRefused
            The engine has no such cylinder.
        """
        self.known(cylinder)
        self._add(Pull(cylinder=cylinder, drift=drift, note=why or "left out", read_by=self.who))

    @property
    def drift_pulled(self) -> str:
        """
        The cylinder that was pulled once more at the end.

        Raises
        ------
        NotInBook
            None was.
        """
        series = self.recorded.test.series(Kind.DRY)
        if series is None or not series.drift_pulls:
            raise NotInBook.of("drift", "no cylinder was pulled again at the end yet", "do that first")
        return series.drift_pulls[-1].cylinder

    def correct(self, cylinder: str, typed: Typed, why: str, *, kind: Kind = Kind.DRY, drift: bool = False) -> None:
        """
        Put the last pull of a cylinder right: a new entry that names the one it replaces.

        Parameters
        ----------
        cylinder : str
            Its name.
        typed : Typed
            What should have been written.
        why : str
            The reason.
        kind : Kind
            Dry or wet.
        drift : bool
            The one that repeats the first cylinder at the end.

        Raises
        ------
        InputRefused
            It says what stands there already.
        NotInBook
            There is no such pull.
        """
        index, pull = last_pull(self.recorded, cylinder, kind, drift=drift)
        changed = replace(
            pull,
            first=typed.first,
            final=typed.final,
            first_spoiled=typed.spoiled,
            strokes=typed.strokes or pull.strokes,
            # The note of a pull without a final says why the cylinder was left out, which it no longer is.
            note="" if pull.final is None else pull.note,
        )
        changed = marked(pull, changed, from_film=False)
        seq = self.recorded.standing[index]
        self.book.correct(self.test_id, seq, changed, why=why, key=_key(), who=self.who, device=self.device)
        self.recorded = self.book.test(self.test_id)

    def finish(self) -> None:
        """Say in the book that the test is done."""
        self.book.finish(self.test_id, key=_key(), who=self.who, device=self.device)
        self.recorded = self.book.test(self.test_id)

    def so_far(self) -> Judgement:
        """
        Judge what was read so far, at once.

        Returns
        -------
        Judgement
            The figures; without what the engine should show.
        """
        return judge_so_far(self.recorded.test, self.sheet, self.limits)

    def judged(self) -> Judged:
        """
        Judge what was read.

        Returns
        -------
        Judged
            What was found.
        """
        return judge_test(self.recorded.test, self.sheet, self.limits)

    def last(self, cylinder: str, kind: Kind, *, drift: bool = False) -> Pull:
        """
        Return the last pull of a cylinder that stands.

        Parameters
        ----------
        cylinder : str
            Its name.
        kind : Kind
            Dry or wet.
        drift : bool
            The one that repeats the first cylinder at the end.

        Returns
        -------
        Pull
            As it stands in the book.

        Raises
        ------
        NotInBook
            There is none.
        """
        return last_pull(self.recorded, cylinder, kind, drift=drift)[1]

    @property
    def wet_is_wrong(self) -> bool:
        """Oil in this engine could lock or bend it: compression ignition."""
        return wet_is_wrong(self.sheet)

    def known(self, cylinder: str) -> None:
        """
        Refuse a cylinder that the engine does not have.

        Parameters
        ----------
        cylinder : str
            Its name.

        Raises
        ------
        InputRefused
            It does not have it.
        """
        if cylinder not in self.order:
            raise InputRefused.of(
                f"cylinder “{cylinder}”", "this engine does not have it", f"type one of {', '.join(self.order)}"
            )

    def _add(self, pull: Pull) -> None:
        self.book.add(self.test_id, pull, key=_key(), who=self.who, device=self.device)
        self.recorded = self.book.test(self.test_id)


def last_pull(recorded: Recorded, cylinder: str, kind: Kind, *, drift: bool = False) -> tuple[int, Pull]:
    """
    Find the last pull of a cylinder that stands.

    Parameters
    ----------
    recorded : Recorded
        The test.
    cylinder : str
        Its name.
    kind : Kind
        Dry or wet.
    drift : bool
        The one that repeats the first cylinder at the end; no other one otherwise.

    Returns
    -------
    tuple of int and Pull
        Its place in ``recorded.test.taken``, and the pull.

    Raises
    ------
    NotInBook
        There is none.
    """
    taken: Sequence[object] = recorded.test.taken
    for index in range(len(taken) - 1, -1, -1):
        row = taken[index]
        if isinstance(row, Pull) and row.cylinder == cylinder and row.kind is kind and row.drift is drift:
            return index, row
    raise NotInBook.of(
        f"cylinder “{cylinder}”",
        f"the test {recorded.test_id} has no {kind} pull of it",
        "look with ringtrue book show",
    )


def _key() -> str:
    return f"pull-{secrets.token_hex(16)}"
