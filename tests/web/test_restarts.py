"""The server started anew in the middle of tests, killed or stopped: back soon, and every reading where it belongs."""

from __future__ import annotations

import contextlib
import http.client
import os
import random
import signal
import threading
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import pytest
from tests.records.making import WHO, header
from tests.served import ANSWERED, EIGHT, Phone, key
from tests.web.serving import BACK

from ringtrue.records import Book

if TYPE_CHECKING:
    from tests.web.serving import Serve

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no POSIX: no process can be killed with signal 9")

RESTARTS, SOAK_RESTARTS = 2, 50
SEED = 20_260_514


@dataclass(slots=True)
class Hands:
    """People who go on typing, each at his own cylinder of his own test, whatever becomes of the server."""

    serve: Serve
    done: threading.Event = field(default_factory=threading.Event)
    acknowledged: dict[str, tuple[str, str, str]] = field(default_factory=dict)
    followed: set[str] = field(default_factory=set)
    faults: list[str] = field(default_factory=list)

    def type(self, test: str, cylinder: str) -> None:
        """Send one reading after the other, each until it is acknowledged."""
        phone, number = Phone(self.serve.port, self.serve.token), 0
        while not self.done.is_set():
            number += 1
            final = str(140 + number % 20)
            said: dict[str, Any] = {"key": key(), "cylinder": cylinder, "unit": "psi", "final": final, "repeat": True}
            while not self.done.is_set():
                try:
                    answer = phone.post(f"/api/tests/{test}/readings", said)
                except (OSError, http.client.HTTPException):
                    time.sleep(0.05)
                    continue
                if answer.status == 201:
                    self.acknowledged[said["key"]] = (test, cylinder, final)
                    break
                if answer.status != 503:
                    self.faults.append(f"{answer.status}: {answer.body!r}")
                    return
        phone.hang_up()

    def follow(self, test: str) -> None:
        """Follow a test; the stream is taken up again whenever it breaks."""
        while not self.done.is_set():
            with (
                contextlib.suppress(OSError, http.client.HTTPException, ValueError),
                Phone(self.serve.port, self.serve.token).stream(test) as states,
            ):
                for state in states:
                    self._look(test, state)
                    if self.done.is_set():
                        return
            time.sleep(0.05)

    def _look(self, test: str, state: dict[str, Any]) -> None:
        if state["test"] != test:
            self.faults.append(f"{state['test']} on the screen of {test}")
        self.followed.add(test)


# If this failed, a power failure of the shop PC, or a new start, would lose readings, or put them under another
# cylinder.
def test_restarts_in_the_middle_of_tests(serve: Serve, soaking: bool) -> None:
    draw = random.Random(SEED)
    with Book.open(serve.book) as book:
        order = tuple(str(number) for number in range(1, 9))
        tests = [
            book.start(header(plan_order=order), sheet_text=EIGHT, key=key(), **WHO),
            book.start(header("8801", "Saloon eight", plan_order=order), sheet_text=EIGHT, key=key(), **WHO),
        ]
    hands = Hands(serve)
    threads = [
        *(threading.Thread(target=hands.type, args=(test, cylinder)) for test in tests for cylinder in ("1", "5")),
        *(threading.Thread(target=hands.follow, args=(test,)) for test in tests),
    ]
    for thread in threads:
        thread.start()
    times = []
    try:
        for _ in range(SOAK_RESTARTS if soaking else RESTARTS):
            time.sleep(draw.uniform(0.1, 0.6))
            serve.stop(draw.choice([signal.SIGKILL, signal.SIGINT]))
            times.append(serve.start())
            hands.followed.clear()
            until = time.monotonic() + ANSWERED
            while hands.followed != set(tests):
                assert time.monotonic() < until, "a stream does not come back"
                time.sleep(0.01)
    finally:
        hands.done.set()
        serve.stop(signal.SIGINT)
        for thread in threads:
            thread.join()
    assert hands.faults == []
    # How fast it is back is a figure of the long run, on a machine that does nothing else.
    assert not soaking or max(times) <= BACK
    with Book.open(serve.book) as book:
        assert book.verify() == ()
        standing: dict[str, tuple[str, str, str]] = {}
        for test in tests:
            recorded = book.test(test)
            keys = [entry.key for entry in recorded.entries[1:]]
            assert len(keys) == len(set(keys))
            rows = zip(keys, recorded.test.taken, strict=True)
            standing |= {each: (test, row.cylinder, row.final.written) for each, row in rows if row.final}  # type: ignore[union-attr]
        assert {each: standing.get(each) for each in hands.acknowledged} == hands.acknowledged
        assert len(hands.acknowledged) > len(times)
