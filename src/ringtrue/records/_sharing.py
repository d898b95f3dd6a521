"""
Writers that wait for the disk together: their readings share one commit. Who looks waits for its end, and no longer.

A commit that survives a power cut waits for the disk several times over. Where several writers stand in line, the one
whose turn it is takes along what the others have brought: one transaction, each piece of work between savepoints of its
own, one commit, and only then is anybody told.
"""

from __future__ import annotations

import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from ringtrue.errors import BookLocked, RingtrueError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sqlalchemy import Connection

T = TypeVar("T")


LOOKING_AT_ONCE = 2
"""
So many of one program look at once. Python does one thing at a time: more of them would not be done sooner, and spend
most of the time on taking turns. One alone would keep a phone waiting behind a long list.
"""
PATIENCE_S = 0.3
"""
So long somebody waits for one of those places, then he looks all the same: where another program holds the book,
everybody is told so in the time of one. [s]
"""


class Passage:
    """
    Lets those who look through, two at a time, and who commits alone.

    SQLite keeps them apart by itself, but has whoever is in the way try again after longer and longer pauses; and a
    stream of lookers can keep a commit waiting. Within one program they wait for one another instead. Whose patience
    ends goes on to SQLite, which decides.
    """

    def __init__(self) -> None:
        self._free = threading.Condition()
        self._looking = 0
        self._committing = 0
        self._few = threading.Semaphore(LOOKING_AT_ONCE)

    @contextmanager
    def looking(self, until: float) -> Iterator[None]:
        """
        Look, once nobody commits and few look.

        Parameters
        ----------
        until : float
            How long to wait for that, by the monotonic clock. [s]

        Yields
        ------
        None
            For as long as it is looked.
        """
        mine = self._few.acquire(timeout=PATIENCE_S)
        with self._free:
            self._free.wait_for(lambda: not self._committing, max(until - time.monotonic(), 0.0))
            self._looking += 1
        try:
            yield
        finally:
            with self._free:
                self._looking -= 1
                self._free.notify_all()
            if mine:
                self._few.release()

    @contextmanager
    def committing(self, until: float) -> Iterator[None]:
        """
        Commit, once nobody looks any more; who comes to look meanwhile waits.

        Parameters
        ----------
        until : float
            How long to wait for that, by the monotonic clock. [s]

        Yields
        ------
        None
            For as long as the commit takes.
        """
        with self._free:
            self._committing += 1
            self._free.wait_for(lambda: not self._looking, max(until - time.monotonic(), 0.0))
        try:
            yield
        finally:
            with self._free:
                self._committing -= 1
                self._free.notify_all()


MOST_TOGETHER = 64
"""No more share one commit, so that the first of them is not kept waiting by the last."""


@dataclass(slots=True)
class Waiting(Generic[T]):
    """
    One writer in line.

    Parameters
    ----------
    work : callable
        What is to be written.
    since : float
        When it was brought, by the monotonic clock. [s]
    found : tuple or None
        What `work` returned, alone in it; None until it is on disk.
    error : Exception or None
        Why it was not written.
    """

    work: Callable[[Connection], T]
    since: float
    found: tuple[T] | None = None
    error: Exception | None = None

    @property
    def over(self) -> bool:
        """Tell whether it is known what became of it."""
        return self.found is not None or self.error is not None


class Line:
    """
    The writers of one book in this program, in the order in which they came.

    Parameters
    ----------
    whole : callable
        Does a piece of work in one transaction, not trying longer than until a moment by the monotonic clock; what it
        returns is on disk.
    """

    def __init__(self, whole: Callable[[Callable[[Connection], None], float], None]) -> None:
        self._whole = whole
        self._turn = threading.Lock()
        self._guard = threading.Lock()
        self._waiting: list[Waiting[object]] = []

    def write(self, work: Callable[[Connection], T], patience: float) -> T:
        """
        Write, perhaps together with others.

        Parameters
        ----------
        work : callable
            What is to be written; it may be called again after a conflict.
        patience : float
            How long to try. [s]

        Returns
        -------
        object
            What `work` returned; it is on disk.

        Raises
        ------
        RingtrueError
            Of `work`, or because the book cannot be used; nothing of this work was written.
        """
        mine: Waiting[T] = Waiting(work, time.monotonic())
        with self._guard:
            self._waiting.append(mine)  # type: ignore[arg-type]
        with self._turn:
            while not mine.over:
                self._together(mine, patience)
        if mine.error is not None:
            raise mine.error
        assert mine.found is not None  # noqa: S101 - it is over
        return mine.found[0]

    def _together(self, mine: Waiting[T], patience: float) -> None:
        with self._guard:
            batch, self._waiting = self._waiting[:MOST_TOGETHER], self._waiting[MOST_TOGETHER:]
        began = False

        def work(connection: Connection) -> None:
            nonlocal began
            began = True
            for each in batch:
                _between_savepoints(connection, each)

        try:
            if len(batch) == 1:
                self._alone(batch[0], patience)
            else:
                self._whole(work, batch[0].since + patience)
        except BookLocked as error:
            _told(batch, error)
        except Exception as error:  # noqa: BLE001 - each of them is told below, or tried by itself
            _told(batch, error)
            if began:
                for each in batch:
                    self._alone(each, patience)
        except BaseException:
            # This writer is stopped; what the others have brought is done by the next of them.
            for each in batch:
                each.found = each.error = None
            with self._guard:
                self._waiting[:0] = [each for each in batch if each is not mine]
            raise

    def _alone(self, each: Waiting[object], patience: float) -> None:
        """Write without the others: what stopped them together may have been the fault of one."""

        def work(connection: Connection) -> None:
            each.found = (each.work(connection),)

        each.error = None
        try:
            self._whole(work, max(each.since + patience, time.monotonic()))
        except Exception as error:  # noqa: BLE001 - whoever brought it is told
            each.found, each.error = None, error


def _told(batch: list[Waiting[object]], error: Exception) -> None:
    for each in batch:
        each.found = None
        each.error = type(error)(*error.faults) if isinstance(error, RingtrueError) else error


def _between_savepoints(connection: Connection, each: Waiting[object]) -> None:
    each.found = each.error = None
    connection.exec_driver_sql("SAVEPOINT one_of_several")
    try:
        each.found = (each.work(connection),)
    except RingtrueError as error:
        connection.exec_driver_sql("ROLLBACK TO SAVEPOINT one_of_several")
        each.error = error
    connection.exec_driver_sql("RELEASE SAVEPOINT one_of_several")
