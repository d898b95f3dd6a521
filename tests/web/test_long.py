"""
A server that runs for a quarter of an hour with phones that come and go: it keeps no threads, no files and no memory.

A slope of memory of 1 MiB an hour cannot be told from noise in so short a time. What is looked at is how much more the
process holds at the end than after the first third; what grows with every reading, or every stream, shows in that.
"""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.records.making import WHO, header
from tests.served import SIX, Phone, key

from ringtrue.records import Book

if TYPE_CHECKING:
    from tests.web.serving import Serve

MINUTES = 15.0
MOST_GROWTH = 16 * 1024
"""What it may hold more at the end. [kB]"""


def held(pid: int) -> tuple[int, int, int]:
    """Return the resident memory [kB], the open files and the threads of a process."""
    process = Path(f"/proc/{pid}")
    rows = (line.partition(":") for line in (process / "status").read_text(encoding="utf-8").splitlines())
    status = {name: value for name, _, value in rows}
    return int(status["VmRSS"].split()[0]), sum(1 for _ in (process / "fd").iterdir()), int(status["Threads"])


# If this failed, the shop PC would have to be started anew every few days.
@pytest.mark.soak
@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="no POSIX: nothing tells what a process holds")
def test_a_quarter_of_an_hour(serve: Serve) -> None:
    took: list[tuple[float, int, int, int]] = []
    began = time.monotonic()
    while time.monotonic() - began < 60 * MINUTES:
        with Book.open(serve.book) as book:
            test = book.start(header(), sheet_text=SIX, key=key(), **WHO)
        phone = Phone(serve.port, serve.token)
        with phone.stream(test) as states:
            next(states)
            for number in range(12):
                assert phone.pull(test, str(number % 6 + 1), 150, repeat=number > 5).status == 201
                next(states)
        for path in ("/", f"/tests/{test}", f"/tests/{test}/pull", "/engines/0417"):
            assert phone.get(path).status == 200
        phone.hang_up()
        time.sleep(0.6)  # the server has seen that nobody watches
        took.append((time.monotonic() - began, *held(serve.pid)))
    early, last = next(each for each in took if each[0] > 60 * MINUTES / 3), took[-1]
    print(f"{len(took)} tests; memory [kB], files, threads: {early[1:]} after a third, {last[1:]} at the end")  # noqa: T201 - told
    assert last[1] - early[1] <= MOST_GROWTH
    assert last[2] - early[2] <= 2
    assert last[3] - early[3] <= 2
