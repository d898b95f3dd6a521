"""
Tells every open page what has changed: one state of a test is worked out once, however many screens show it.

What this server writes it tells at once; what another program writes into the same book it finds by looking at the
chains' heads now and then, while somebody watches.
"""

from __future__ import annotations

import asyncio
from collections import defaultdict
from typing import TYPE_CHECKING

from anyio import CapacityLimiter, to_thread
from starlette.concurrency import run_in_threadpool

from ringtrue.errors import RingtrueError

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator, Callable, Iterable, Mapping

    from ringtrue.records import Entry

LOOK_EVERY = 0.5
"""How often the book is asked whether another program has written into a test that is watched. [s]"""


class _Watcher:
    """One open page: the newest state that it has not been sent, and the last that it was told."""

    def __init__(self) -> None:
        self.queue: asyncio.Queue[bytes] = asyncio.Queue()
        self.last: bytes | None = None

    def hear(self, state: bytes) -> None:
        if state == self.last:
            return
        self.last = state
        while not self.queue.empty():  # only the newest counts
            self.queue.get_nowait()
        self.queue.put_nowait(state)


class Announcer:
    """
    Hands the newest state of each test to everybody who watches it.

    Parameters
    ----------
    state : callable
        Works out the state of a test, with an entry that was written into it just now or None: the last hash of its
        chain, and what is told; runs in a thread.
    heads : callable
        Returns the last hash of each of several tests; runs in a thread.

    Notes
    -----
    Several changes in a row are one: while a state is worked out, what changes meanwhile waits for the next. A state
    that is the same as the last one is not told again.
    """

    def __init__(
        self,
        state: Callable[[str, Entry | None], tuple[str, bytes]],
        heads: Callable[[Iterable[str]], Mapping[str, str]],
    ) -> None:
        self._state = state
        self._heads = heads
        self._seen: dict[str, str] = {}
        # Working out a state keeps a core busy: several at once would only keep readings from being written. A place of
        # its own, so that it does not stand in line with those who write.
        self._one_at_a_time = CapacityLimiter(1)
        self._looking: asyncio.Task[None] | None = None
        self._watchers: dict[str, set[_Watcher]] = defaultdict(set)
        self._dirty: dict[str, Entry | None] = {}
        self._running: dict[str, asyncio.Task[None]] = {}

    @property
    def watched(self) -> frozenset[str]:
        """Tests that somebody watches."""
        return frozenset(test for test, watchers in self._watchers.items() if watchers)

    def changed(self, test: str, by: Entry | None = None) -> None:
        """
        Say that a test has changed; its watchers get its new state soon.

        Parameters
        ----------
        test : str
            Its id.
        by : Entry or None
            The entry that was written; None where the book has to be asked.
        """
        if not self._watchers.get(test):
            return
        self._dirty[test] = by
        if test not in self._running:
            self._running[test] = asyncio.get_running_loop().create_task(self._tell(test))

    def _newest(self, test: str) -> tuple[str, bytes]:
        # What came while it waited for its turn is told with it.
        return self._state(test, self._dirty.pop(test))

    async def _tell(self, test: str) -> None:
        try:
            while test in self._dirty:
                try:
                    head, state = await to_thread.run_sync(self._newest, test, limiter=self._one_at_a_time)
                except RingtrueError:  # a page that asks is told why; the next change tries again
                    break
                watchers = self._watchers.get(test, ())
                if watchers:
                    self._seen[test] = head
                for watcher in watchers:
                    watcher.hear(state)
        finally:
            self._running.pop(test, None)

    async def _look(self) -> None:
        """Tell what other programs have written; ends when nobody watches any more."""
        while self._watchers:
            await asyncio.sleep(LOOK_EVERY)
            try:
                heads = await run_in_threadpool(self._heads, self.watched)
            except RingtrueError:  # a book that cannot be read now is looked at again
                continue
            for test, head in heads.items():
                if test in self._watchers and self._seen.get(test) != head:
                    self._seen[test] = head
                    self.changed(test)

    async def watch(self, test: str, every: float) -> AsyncGenerator[bytes | None]:
        """
        Follow a test.

        Parameters
        ----------
        test : str
            Its id.
        every : float
            None comes after so long without news. [s]

        Yields
        ------
        bytes or None
            A state, or None: the moment to see whether the watcher may still watch.
        """
        watcher = _Watcher()
        self._watchers[test].add(watcher)
        if self._looking is None or self._looking.done():
            self._looking = asyncio.get_running_loop().create_task(self._look())
        try:
            _, state = await run_in_threadpool(self._state, test, None)
            watcher.last = watcher.last or state
            yield state
            while True:
                try:
                    yield await asyncio.wait_for(watcher.queue.get(), every)
                except TimeoutError:
                    yield None
        finally:
            self._watchers[test].discard(watcher)
            if not self._watchers[test]:
                del self._watchers[test]
                self._seen.pop(test, None)
