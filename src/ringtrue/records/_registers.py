"""The part of a book that is about no single test: gauges, engines' logs, owners."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from ringtrue.compression import Gauge
from ringtrue.quantities import Measured
from ringtrue.records import _builds, _lists, _register
from ringtrue.records._bodies import Happened
from ringtrue.records._chain import Stamp
from ringtrue.records._kept import Kept
from ringtrue.records.engine_tests import EngineTests
from ringtrue.records.event import Event
from ringtrue.records.facts import Entry, GaugeRevision, Owner

if TYPE_CHECKING:
    from sqlalchemy import Connection


def _for_use(gauge: Gauge) -> Gauge:
    return gauge if gauge.study is None else replace(gauge, study=replace(gauge.study, readings=()))


class Registers(Kept):
    """
    A book, with its registers.

    Parameters
    ----------
    door : Door
        From `Kept.open`; not made by hand.
    """

    def add_gauge(self, gauge: Gauge, *, key: str, who: str, device: str) -> None:
        """
        Describe a gauge. Another description of the same name counts from here on; tests keep the one they had.

        Parameters
        ----------
        gauge : Gauge
            The description.
        key, who, device : str
            As in `Entry`.
        """
        stamp = Stamp(key, who, device)
        self._door.write(lambda c: _register.add_gauge(c, gauge, stamp, self.where))

    def keep_gauge(self, gauge: Gauge, *, key: str, who: str, device: str) -> None:
        """
        Keep what is now known of a gauge; the newest of its calibrations counts on, in one transaction.

        Parameters
        ----------
        gauge : Gauge
            The description. A calibration in it that is older than the one in force goes into the history only.
        key, who, device : str
            As in `Entry`.
        """
        stamp = Stamp(key, who, device)
        self._door.write(lambda c: _register.keep_gauge(c, gauge, stamp, self.where))

    def gauges(self) -> tuple[Gauge, ...]:
        """Return the gauges as they are described now, in the order of their names, as `gauge` does."""
        described = self._door.read(lambda c: _register.gauges_in(c, self.where))
        return tuple(_for_use(described[name][-1].gauge) for name in sorted(described))

    def gauge(self, name: str) -> Gauge:
        """
        Return a gauge as it is described now, for use at a test: without the single readings of its study.

        Parameters
        ----------
        name : str
            What the shop calls it.

        Returns
        -------
        Gauge
            The latest description.
        """
        return _for_use(self.gauge_history(name)[-1].gauge)

    def gauge_history(self, name: str) -> tuple[GaugeRevision, ...]:
        """
        Return every description of a gauge.

        Parameters
        ----------
        name : str
            What the shop calls it.

        Returns
        -------
        tuple of GaugeRevision
            Oldest first.
        """
        return tuple(self._door.read(lambda c: _register.gauge_in(c, name, self.where)))

    def add_event(  # noqa: PLR0913 - three of them say who, on what, and once only
        self,
        engine: str,
        text: str,
        *,
        key: str,
        who: str,
        device: str,
        at: Measured | None = None,
        date: str = "",
        new_engine: bool = False,
        new_baseline: bool = False,
    ) -> None:
        """
        Write a line in an engine's log.

        Parameters
        ----------
        engine : str
            Reference or name.
        text : str
            What was done.
        key, who, device : str
            As in `Entry`.
        at : Measured or None
            Distance [m] or running time [s] since the build.
        date : str
            ISO date; empty when not said.
        new_engine : bool
            The book may not know the engine yet, and is to know it from here on.
        new_baseline : bool
            The work made another engine of it: the next test is what later ones are compared with.
        """
        stamp, event = Stamp(key, who, device), Happened(engine, text, at, date, new_baseline)
        self._door.write(lambda c: _register.add_event(c, event, stamp, self.where, new_engine=new_engine))

    def take_back_event(self, engine: str, seq: int, *, why: str, key: str, who: str, device: str) -> Entry:
        """
        Take a line of an engine's log back: it stays in the book, and stands no more.

        Parameters
        ----------
        engine : str
            Reference or name.
        seq : int
            Number of the line's entry, as `Event` has it.
        why : str
            The reason.
        key, who, device : str
            As in `Entry`.

        Returns
        -------
        Entry
            The entry that says so.
        """
        stamp = Stamp(key, who, device)
        return self._door.write(lambda c: _register.take_back_event(c, (engine, seq), why, stamp, self.where))

    def events(self, engine: str, *, taken_back: bool = False) -> tuple[Event, ...]:
        """
        Return an engine's log.

        Parameters
        ----------
        engine : str
            Reference or name.
        taken_back : bool
            With the lines that were taken back.

        Returns
        -------
        tuple of Event
            In the order written.
        """

        def look(connection: Connection) -> tuple[Event, ...]:
            key = _lists.engine_key(connection, engine, self.where)
            log = _lists.events_in(connection, self.where, key)
            return tuple(each for each in log if taken_back or not each.taken_back)

        return self._door.read(look)

    def set_owner(self, engine: str, owner: Owner) -> None:
        """
        Keep whose engine it is, outside every chain.

        Parameters
        ----------
        engine : str
            Reference or name.
        owner : Owner
            In place of what was kept before.
        """
        self._door.write(lambda c: _register.set_owner(c, engine, owner, self.where))

    def owner(self, engine: str) -> Owner | None:
        """
        Return whose engine it is.

        Parameters
        ----------
        engine : str
            Reference or name.

        Returns
        -------
        Owner or None
            None when nothing is kept.
        """
        return self._door.read(lambda c: _register.owner_in(c, engine, self.where))

    def forget_owner(self, engine: str) -> bool:
        """
        Erase what is kept of an owner, and overwrite where it stood. Backups and exports made earlier still have it.

        Parameters
        ----------
        engine : str
            Reference or name.

        Returns
        -------
        bool
            Whether there was anything.
        """
        had = self._door.write(lambda c: _register.forget_owner(c, engine, self.where))
        self._door.sweep("owners")
        return had

    def rebuilt(self) -> tuple[str, ...]:
        """Return the keys of engines whose log has work that made a new baseline; `events` tells which."""
        return self._door.read(_builds.rebuilt)

    def engines_by_first_test(
        self, *, latest: int | None = None, since: str = "", only: Iterable[str] | None = None
    ) -> tuple[EngineTests, ...]:
        """
        Return engines with their finished tests, in the order of their first ones.

        Parameters
        ----------
        latest : int or None
            So many engines at most, those whose first test is the latest; None for all.
        since : str
            ISO date: those whose first test is of that day or later; empty for all.
        only : iterable of str or None
            Keys of the engines that are looked at; None for all.

        Returns
        -------
        tuple of EngineTests
            The engine last whose first test is the latest.
        """
        return self._door.read(lambda c: _builds.engines_by_first_test(c, latest, since, only))
