"""The record book."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.records import _bulk, _chain, _endings, _register, _write
from ringtrue.records._bodies import Corrected
from ringtrue.records._chain import Stamp
from ringtrue.records._looking import Looking
from ringtrue.records.facts import Entry, Header, SheetRevision
from ringtrue.records.wholes import Whole

if TYPE_CHECKING:
    from sqlalchemy import Connection


class Book(Looking):
    """
    A record book: append-only, hashed, in a file or on a server.

    What a method returns is on disk. A method that raises has written nothing. The same `key` never writes twice: after
    a kill, a lost line or a `BookLocked`, do the same again with the same key.

    Every method may raise one of the `BookUnusable` family: locked, full, read-only, damaged, too new, out of reach.
    A book may be used by several threads and several programs at once.

    Parameters
    ----------
    door : Door
        From `Book.open`; not made by hand.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from ringtrue.quantities import PaGauge
    >>> from ringtrue.compression import Pull, Reading
    >>> from ringtrue.records import Book, Header
    >>> stamp = {"who": "a builder", "device": "shop PC"}
    >>> pull = Pull(cylinder="1", final=Reading(PaGauge(1_034_213.6), "150", "psi"))
    >>> with TemporaryDirectory() as folder, Book.open(Path(folder) / "book.ringtrue") as book:
    ...     test_id = book.start(Header("0417", "Launch six"), sheet_text=None, key="a", **stamp)
    ...     entry = book.add(test_id, pull, key="b", **stamp)
    ...     book.test(test_id).test.taken == (pull,), entry.seq
    (True, 2)
    """

    def start(self, header: Header, *, sheet_text: str | None, key: str, who: str, device: str) -> str:
        """
        Open a test.

        Parameters
        ----------
        header : Header
            The engine, the day, the gauge.
        sheet_text : str or None
            The build sheet, to the letter; another text than last time is kept as a new revision.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        str
            The test's id, such as "k3v9-t2mq"; the same key gives the same id.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _write.start(c, header, sheet_text, stamp, self.where))

    def add(self, test_id: str, row: Pull | LeakdownReading, *, key: str, who: str, device: str) -> Entry:
        """
        Write a reading.

        Parameters
        ----------
        test_id : str
            The test; a finished one may still get a reading that comes late.
        row : Pull or LeakdownReading
            What was read.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            As it stands in the book; the same key gives the same entry.
        """
        stamp = Stamp(key, who, device)
        return self._added(self._door.write(lambda c: _write.add(c, test_id, row, stamp, self.where)), row)

    def add_all(
        self, test_id: str, rows: Sequence[Pull | LeakdownReading], *, key: str, who: str, device: str
    ) -> tuple[Entry, ...]:
        """
        Write many readings, all or none.

        Parameters
        ----------
        test_id : str
            The test.
        rows : sequence of Pull or LeakdownReading
            In the order taken.
        key, who, device : str
            As in `Entry`; row n gets the key ``key/n``.

        Returns
        -------
        tuple of Entry
            One a row.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _write.add_rows(c, test_id, rows, stamp, self.where))

    def enter(
        self,
        header: Header,
        rows: Sequence[Pull | LeakdownReading],
        *,
        sheet_text: str | None,
        key: str,
        who: str,
        device: str,
    ) -> str:
        """
        Write a whole test at once, opened, read and finished, all or nothing.

        Parameters
        ----------
        header : Header
            The engine, the day, the gauge.
        rows : sequence of Pull or LeakdownReading
            In the order taken.
        sheet_text : str or None
            The build sheet, to the letter.
        key, who, device : str
            As in `Entry`; row n gets the key ``key/n``, the last entry ``key/finished``.

        Returns
        -------
        str
            The test's id; the same key gives the same id.
        """
        whole = Whole(header, tuple(rows), sheet_text, key)
        return self._door.write(lambda c: _bulk.again(c, whole, who, device, self.where))

    def enter_all(self, tests: Sequence[Whole], *, who: str, device: str) -> tuple[tuple[str, bool], ...]:
        """
        Write many whole tests in one transaction, all or nothing; a hundred a second and more.

        Parameters
        ----------
        tests : sequence of Whole
            In the order in which the book is to have them.
        who, device : str
            As in `Entry`.

        Returns
        -------
        tuple of (str, bool)
            The id of each, and whether it is new; a key that is there already gives the test that it made.
        """
        return self._door.write(lambda c: _bulk.enter_all(c, tests, who, device, self.where))

    def correct(
        self, test_id: str, target_seq: int, row: Pull | LeakdownReading, *, why: str, key: str, who: str, device: str
    ) -> Entry:
        """
        Put a reading right: a new entry that names the one it replaces by its hash.

        Parameters
        ----------
        test_id : str
            The test, finished or not.
        target_seq : int
            The entry in which the reading stands, from ``Recorded.standing``.
        row : Pull or LeakdownReading
            The whole reading, as it stands from here on.
        why : str
            The reason.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            The new entry.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _write.replace(c, test_id, target_seq, row, why, stamp, self.where))

    def withdraw(self, test_id: str, target_seq: int, *, why: str, key: str, who: str, device: str) -> Entry:
        """
        Take a reading back: it stays in the book and stands no more.

        Parameters
        ----------
        test_id : str
            The test, finished or not.
        target_seq : int
            The entry in which the reading stands, from ``Recorded.standing``.
        why : str
            The reason, such as "gauge was on the wrong cylinder".
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            The entry that says so.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _write.replace(c, test_id, target_seq, None, why, stamp, self.where))

    def change_header(
        self,
        test_id: str,
        header: Header,
        *,
        why: str,
        key: str,
        who: str,
        device: str,
        sheet_text: str | None = None,
    ) -> Entry:
        """
        Say anew what belongs to the whole test: the gauge, the conditions, the engine it was filed under.

        Parameters
        ----------
        test_id : str
            The test, finished or not.
        header : Header
            The whole of it, as it stands from here on.
        why : str
            The reason.
        key, who, device : str
            As in `Entry`.
        sheet_text : str or None
            Another build sheet; None keeps the one it has.

        Returns
        -------
        Entry
            The entry that says so.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _write.change_header(c, test_id, header, sheet_text, why, stamp, self.where))

    def finish(self, test_id: str, *, key: str, who: str, device: str, note: str = "") -> Entry:
        """
        Say that a test is done.

        Parameters
        ----------
        test_id : str
            The test.
        key, who, device : str
            As in `Entry`.
        note : str
            Free text.

        Returns
        -------
        Entry
            The entry that says so; the earlier one when it was said last thing already.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _endings.finish(c, test_id, note, stamp, self.where))

    def put_aside(self, test_id: str, *, why: str, key: str, who: str, device: str) -> Entry:
        """
        Put a test aside, begun by mistake or wrong as a whole: it stays in the book, and counts nowhere.

        Parameters
        ----------
        test_id : str
            The test. A reading that comes later all the same, from a phone that was away, takes it up again.
        why : str
            The reason, such as "begun on the wrong engine".
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            The entry that says so.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _endings.put_aside(c, test_id, why, stamp, self.where))

    def made_with(self, key: str) -> tuple[Entry, Pull | LeakdownReading | None] | None:
        """
        Return what a key has written, so that what comes twice is acknowledged twice and written once.

        Parameters
        ----------
        key : str
            As in `Entry`.

        Returns
        -------
        (Entry, Pull or LeakdownReading or None) or None
            The entry, and the reading as it was written with it; None for the reading where the entry is none. None
            alone when the key is new.
        """

        def look(connection: Connection) -> tuple[Entry, Pull | LeakdownReading | None] | None:
            made = _chain.made_by(connection, key, self.where)
            if made is None:
                return None
            entry, said = made
            if isinstance(said, Corrected):
                return entry, said.row
            return entry, said if isinstance(said, Pull | LeakdownReading) else None

        return self._door.read(look)

    def file_sheet(self, engine: str, name: str, text: str, *, key: str, who: str, device: str) -> SheetRevision:
        """
        File a build sheet before any test is made under it; the engine is known to the book from here on.

        The engine's log says who filed it, and when. A book's export holds the sheets that tests were made under, so
        that a sheet without a test stays in this book and its backups.

        Parameters
        ----------
        engine, name : str
            The engine's reference, else its name; and its name, as the sheet has them.
        text : str
            The sheet, to the letter. The very text of the present revision makes no new one.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        SheetRevision
            The revision that now holds; the same key gives the same one.
        """
        stamp = Stamp(key, who, device)

        def whole(connection: Connection) -> int:
            return _register.file_sheet(connection, (engine, name), text, stamp, self.where)

        revision = self._door.write(whole)
        return self.sheets(engine)[revision - 1]
