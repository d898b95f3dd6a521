"""Tells every open page what has changed: one state of a test is worked out once, however many screens show it."""

from __future__ import annotations

import asyncio
from collections import defaultdict
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool

from ringtrue.errors import RingtrueError

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable


class Announcer:
    """
    Hands the newest state of each test to everybody who watches it.

    Parameters
    ----------
    state : callable
        Works out the state of a test, as bytes; runs in a thread.

    Notes
    -----
    Several changes in a row are one: while a state is worked out, what changes meanwhile waits for the next.
    """

    def __init__(self, state: Callable[[str], bytes]) -> None:
        self._state = state
        self._watchers: dict[str, set[asyncio.Queue[bytes]]] = defaultdict(set)
        self._dirty: set[str] = set()
        self._running: dict[str, asyncio.Task[None]] = {}

    @property
    def watched(self) -> frozenset[str]:
        """Tests that somebody watches."""
        return frozenset(test for test, queues in self._watchers.items() if queues)

    def changed(self, test: str) -> None:
        """
        Say that a test has changed; its watchers get its new state soon.

        Parameters
        ----------
        test : str
            Its id.
        """
        if not self._watchers.get(test):
            return
        self._dirty.add(test)
        if test not in self._running:
            self._running[test] = asyncio.get_running_loop().create_task(self._tell(test))

    async def _tell(self, test: str) -> None:
        try:
            while test in self._dirty:
                self._dirty.discard(test)
                try:
                    state = await run_in_threadpool(self._state, test)
                except RingtrueError:  # a page that asks is told why; the next change tries again
                    break
                for queue in self._watchers.get(test, ()):
                    while not queue.empty():  # only the newest counts
                        queue.get_nowait()
                    queue.put_nowait(state)
        finally:
            self._running.pop(test, None)

    async def watch(self, test: str, every: float) -> AsyncIterator[bytes | None]:
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
        queue: asyncio.Queue[bytes] = asyncio.Queue()
        self._watchers[test].add(queue)
        try:
            yield await run_in_threadpool(self._state, test)
            while True:
                try:
                    yield await asyncio.wait_for(queue.get(), every)
                except TimeoutError:
                    yield None
        finally:
            self._watchers[test].discard(queue)
            if not self._watchers[test]:
                del self._watchers[test]
