"""The part of a book that looks: tests read back and checked, lists of tests, of engines and of sheets."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ringtrue.errors import BookDamaged, NotInBook
from ringtrue.records import _lists, _read
from ringtrue.records._lists import Wanted
from ringtrue.records._photographs import Photographs
from ringtrue.records._write import spelled
from ringtrue.records.facts import EngineInBook, Recorded, SheetRevision, Summary

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from ringtrue.compression import LeakdownReading, Pull
    from ringtrue.records._door import Door
    from ringtrue.records.facts import Entry

MOST_KEPT = 64
"""So many tests are kept in memory as they were read last; no shop makes more at once."""


class Looking(Photographs):
    """
    A book, as something to look into.

    Parameters
    ----------
    door : Door
        From `Kept.open`; not made by hand.
    """

    def __init__(self, door: Door) -> None:
        super().__init__(door)
        self._lately: dict[str, Recorded] = {}
        self._keeping = threading.Lock()

    def test(self, test_id: str) -> Recorded:
        """
        Return a test with every correction applied, once its chain has been found whole.

        Parameters
        ----------
        test_id : str
            However it was typed off the paper.

        Returns
        -------
        Recorded
            The test.
        """
        found = self._door.read(lambda c: _read.recorded(c, test_id, self.where))
        with self._keeping:
            self._keep(found)
        return found

    def _keep(self, found: Recorded) -> None:
        self._lately.pop(found.test_id, None)
        self._lately[found.test_id] = found
        if len(self._lately) > MOST_KEPT:
            del self._lately[next(iter(self._lately))]

    def _added(self, entry: Entry, row: Pull | LeakdownReading) -> Entry:
        """Keep in memory what was written; where somebody else wrote before, the test is read again."""
        with self._keeping:
            known = self._lately.get(entry.chain)
            if known is not None and known.head == entry.previous:
                self._keep(_read.followed(known, entry, row))
        return entry

    def latest(self, test_id: str, having: Entry | None = None) -> Recorded:
        """
        Return a test as `test` does, without reading again what this book object has read and nobody has added to.

        For who asks time and again how a test stands while it is being made. What was damaged on the disk since is
        found by `test`, or when somebody adds to it.

        Parameters
        ----------
        test_id : str
            However it was typed off the paper.
        having : Entry or None
            An entry that this book object wrote just now: the test as it was with this one will do.

        Returns
        -------
        Recorded
            The test.
        """
        known = self._lately.get(spelled(test_id))
        if known is not None and having is not None and having in known.entries[having.seq - 1 : having.seq]:
            return known
        if known is not None and self.heads((known.test_id,)) == {known.test_id: known.head}:
            return known
        return self.test(test_id)

    def tests_read(self, test_ids: Iterable[str]) -> tuple[Recorded | BookDamaged, ...]:
        """
        Return many tests at once, each checked as `test` does it; a thousand take little longer than their hashes.

        Parameters
        ----------
        test_ids : iterable of str
            However they were typed off the paper; one that is not in the book is an error.

        Returns
        -------
        tuple of Recorded or BookDamaged
            In the order asked for; in the place of one that is not what was written, the error that says so.
        """
        names = tuple(test_ids)
        return self._door.read(lambda c: _read.all_recorded(c, names, self.where))

    def heads(self, test_ids: Iterable[str]) -> dict[str, str]:
        """
        Return the last hash of each of several tests, to see whether anybody has written into one; nothing is checked.

        Parameters
        ----------
        test_ids : iterable of str
            As the book spells them.

        Returns
        -------
        dict of str to str
            By test; one that is not in the book is left out.
        """
        names = tuple(test_ids)
        return self._door.read(lambda c: _read.heads(c, names))

    def tests(self, engine: str | None = None, *, latest: int | None = None, skip: int = 0) -> tuple[Summary, ...]:
        """
        Return the tests, in the order in which they were opened.

        Parameters
        ----------
        engine : str or None
            Of this engine alone, by reference or name.
        latest : int or None
            So many at most, those opened last; None for all of them.
        skip : int
            So many of those opened last are left out.

        Returns
        -------
        tuple of Summary
            One a test; a damaged one has no header.
        """

        def look(connection: Connection) -> tuple[Summary, ...]:
            key = None if engine is None else _lists.engine_key(connection, engine, self.where)
            wanted = Wanted(key, latest=latest, skip=skip)
            return tuple(each.summary for each in _lists.listed(connection, wanted))

        return self._door.read(look)

    def count_tests(self, engine: str | None = None) -> int:
        """
        Count the tests.

        Parameters
        ----------
        engine : str or None
            Of this engine alone, by reference or name.

        Returns
        -------
        int
            How many the book has.
        """

        def look(connection: Connection) -> int:
            key = None if engine is None else _lists.engine_key(connection, engine, self.where)
            return _lists.counted(connection, Wanted(key))

        return self._door.read(look)

    def open_tests(self, engine: str | None = None, *, latest: int | None = None) -> tuple[Summary, ...]:
        """
        Return the tests that nobody finished or put aside, to go on with after a kill.

        Parameters
        ----------
        engine : str or None
            Of this engine alone, by reference or name; one that the book does not know has none.
        latest : int or None
            So many at most, those opened last; None for all of them.

        Returns
        -------
        tuple of Summary
            In the order in which they were opened.
        """

        def look(connection: Connection) -> tuple[Summary, ...]:
            try:
                key = None if engine is None else _lists.engine_key(connection, engine, self.where)
            except NotInBook:
                return ()
            listed = _lists.listed(connection, Wanted(key, still_open=True))
            found = [each.summary for each in listed if each.summary.is_open]
            return tuple(found if latest is None else found[max(len(found) - latest, 0) :])

        return self._door.read(look)

    def engines(self) -> tuple[EngineInBook, ...]:
        """Return the engines the book knows, in the order of their keys."""
        return self._door.read(lambda c: _lists.engines_in(c, self.where))

    def engines_found(self, words: str, *, first: int, most: int) -> tuple[tuple[EngineInBook, ...], int]:
        """
        Look for engines, some at a time.

        Parameters
        ----------
        words : str
            Each of them stands somewhere in the reference or in the name, in capitals or not; empty for every engine.
        first : int
            So many of those found are left out.
        most : int
            So many are returned at most.

        Returns
        -------
        (tuple of EngineInBook, int)
            In the order of their keys, the lines of their logs not counted; and how many there are in all.
        """
        return self._door.read(lambda c: _lists.engines_found(c, words, first, most))

    def engine(self, named: str) -> EngineInBook:
        """
        Return one engine; the lines of its log are not counted.

        Parameters
        ----------
        named : str
            Reference or name, in capitals or not.

        Returns
        -------
        EngineInBook
            The engine.
        """
        return self._door.read(lambda c: _lists.engine_in(c, named, self.where))

    def sheets(self, engine: str) -> tuple[SheetRevision, ...]:
        """
        Return the revisions of an engine's build sheet.

        Parameters
        ----------
        engine : str
            Reference or name.

        Returns
        -------
        tuple of SheetRevision
            Oldest first.
        """
        return self._door.read(lambda c: _lists.sheets_in(c, _lists.engine_key(c, engine, self.where), self.where))
