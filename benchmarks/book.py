"""
How soon a book of 2,000 engines and 200,000 readings answers, on SQLite and on PostgreSQL, line by line beside its bar.

Run it as ``python -m benchmarks.book`` from the top of the project; ``--on sqlite`` or ``--on postgresql`` for one of
them. Commands are timed twice: their work, in a Python that has loaded what they need, the middle of nine, each of
another engine or test, beside the bar; and as whole processes, the best of five, without one, for most of that is
Python loading libraries, whatever the book. Pages come from ``ringtrue serve`` in a process of its own, on loopback:
the middle of nine, each of another engine or test, after one that is not counted. Beside each stands how long the
processor was at work, which other programs on the machine change less. Bars are for a machine on which the physics
keeps its own (benchmarks.physics); on one that is slower at this hour each is as much longer, and the first line tells
by how much. The book is made once, which takes some minutes, and kept in the system's folder for temporary files.
Exit 1 when a bar is broken.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from http import HTTPStatus
from pathlib import Path

import psycopg
from benchmarks.big_book import stored
from benchmarks.lines import Line, as_installed, seconds, told
from benchmarks.pages import serving
from benchmarks.physics import ENGINES, STROKES
from sqlalchemy import create_engine, select
from tests.cranked_kernel import many
from tests.engines import draws
from tests.postgres import find_program, running_server

from ringtrue.records import Book
from ringtrue.records._tables import metadata

BAR = 0.300
"""Any page, trend or list. [s]"""
WORKMANSHIP_BAR = 2.0
TESTS_A_SECOND = 5_000
"""Tests of ten strokes a second on one core of the machine that the bars are for, as benchmarks.physics has it."""
RUNS, PAGES = 5, 9


@dataclass(frozen=True, slots=True)
class Command:
    """A command, what it is asked of, and the longest it may take. [s]."""

    words: tuple[str, ...]
    of: str = ""
    bar: float = BAR


@dataclass(frozen=True, slots=True)
class Page:
    """A page: its address with ``{engine}`` or ``{test}`` in it, and the longest it may take. [s]."""

    path: str
    bar: float = BAR


COMMANDS = (
    Command(("book", "list")),
    Command(("book", "list"), "engine"),
    Command(("book", "show"), "test"),
    Command(("judge",), "test"),
    Command(("trend",), "engine"),
    Command(("workmanship",), bar=WORKMANSHIP_BAR),
    Command(("gauge", "list")),
)
PAGES_SHOWN = (
    Page("/"),
    Page("/?find=engine+19"),
    Page("/engines/{engine}"),
    Page("/engines/{engine}/history"),
    Page("/engines/{engine}/trend"),
    Page("/engines/{engine}/sheet"),
    Page("/engines/{engine}/plan"),
    Page("/engines/{engine}/expect"),
    Page("/tests/{test}"),
    Page("/tests/{test}/explain"),
    Page("/tests/{test}/sheet"),
    Page("/tests/{test}/view"),
    Page("/tests/{test}/pull"),
    Page("/tests/{test}/leakdown"),
    Page("/tests/{test}/photos"),
    Page("/tests/{test}/corrections"),
    Page("/workmanship", WORKMANSHIP_BAR),
    Page("/gauges"),
    Page("/settings"),
)


@dataclass(frozen=True, slots=True)
class Sample:
    """Engines and tests to ask about."""

    engines: tuple[str, ...]
    tests: tuple[str, ...]

    def filled(self, path: str, number: int) -> str:
        """Put the name of an engine, or of a test, in its place."""
        return path.format(engine=self.engines[number], test=self.tests[number])


def sample(where: str) -> Sample:
    """Choose some, the same ones every time."""
    draw = random.Random(11)  # noqa: S311 - chooses engines, keeps no secret
    with Book.open(where) as book:
        engines = draw.sample([each.key for each in book.engines()], PAGES + 1)
        tests = [draw.choice(book.tests(engine)).test_id for engine in engines]
    return Sample(tuple(engines), tuple(tests))


WORK = """
import contextlib, io, json, sys, time
from ringtrue.cli import run
times = []
for words in json.loads(sys.argv[1]):
    began, busy = time.perf_counter(), time.process_time()
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()) as said:
        code = run(words)
    times.append((time.perf_counter() - began, time.process_time() - busy))
    if code:
        sys.exit(f"{words}: {code} {said.getvalue()}")
print(json.dumps(times))
"""
"""Runs one command after the other, and tells how long each took and kept the processor."""


def commands(where: str, asked: Sample) -> Iterator[Line]:
    """Time what commands do, and whole processes."""
    for each in COMMANDS:
        of = ["{" + each.of + "}"] if each.of else []
        all_words = [[*each.words, *(asked.filled(name, number) for name in of)] for number in range(PAGES + 1)]
        name = f"ringtrue {' '.join(each.words)} {each.of}".rstrip()
        work = json.loads(_run([sys.executable, "-c", WORK, json.dumps(all_words)], where)[2])[1:]
        busy = sum(kept for _, kept in work) / PAGES
        yield Line(_named(name, busy), statistics.median(taken for taken, _ in work), each.bar)
        whole = [_run([sys.executable, "-m", "ringtrue", *all_words[0]], where) for _ in range(RUNS)]
        yield Line(_named("  as a whole process", min(kept for _, kept, _ in whole)), min(each[0] for each in whole))


def _named(what: str, busy: float) -> str:
    return f"  {what} [s], of it processor {busy:.2f}"


def _run(command: list[str], where: str) -> tuple[float, float, bytes]:
    environment = as_installed(RINGTRUE_BOOK=where)
    began, before = time.perf_counter(), os.times()
    done = subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, check=True)
    after = os.times()
    busy = after.children_user + after.children_system - before.children_user - before.children_system
    return time.perf_counter() - began, busy, done.stdout


def pages(where: str, asked: Sample) -> Iterator[Line]:
    """Time pages."""
    with serving(where) as shop:
        for each in PAGES_SHOWN:
            paths = [asked.filled(each.path, number) for number in range(PAGES + 1)]
            times, before = list[float](), 0.0
            for number, path in enumerate(paths):
                if number == 1:
                    before = _busy(shop.pid)
                began = time.perf_counter()
                answer = shop.owner.get(path)
                times.append(time.perf_counter() - began)
                if answer.status != HTTPStatus.OK:
                    raise RuntimeError(f"{path}: {answer.status} {answer.body[:300]!r}")
            yield Line(_named(each.path, (_busy(shop.pid) - before) / PAGES), statistics.median(times[1:]), each.bar)


def _busy(process: int) -> float:
    """Return how long a process has kept the processor; 0 where the system does not tell. [s]."""
    try:
        told = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


@contextmanager
def on_server() -> Iterator[str]:
    """Run a PostgreSQL server with the big book on it, row by row as it stands in the file."""
    with running_server() as running:
        with psycopg.connect(running.server.address(), autocommit=True) as connection:
            connection.execute("CREATE DATABASE book")
        url = running.server.url("book")
        Book.open(url).close()
        file = create_engine(f"sqlite:///{stored()}")
        with file.connect() as book, psycopg.connect(running.server.address("book")) as server:
            for table in metadata.sorted_tables:
                if table.name == "ringtrue_version":
                    continue
                names = ", ".join(f'"{column.name}"' for column in table.c)
                with server.cursor().copy(f"COPY {table.name} ({names}) FROM STDIN".encode()) as copied:
                    for row in book.execute(select(table)):
                        copied.write_row(row)
            server.commit()
            server.autocommit = True
            server.execute("ANALYZE")
        file.dispose()
        yield url


def pace() -> float:
    """Return how many times longer this machine takes at this hour than the one that the bars are for; 1 at least."""
    engines = draws(ENGINES, 2e-6, seed=1)
    return max(1.0, TESTS_A_SECOND * seconds(lambda: many(engines, STROKES)) / ENGINES)


def measured(where: str) -> Iterator[Line | str]:
    """Time everything on one book."""
    asked = sample(where)
    for part in (commands, pages):
        longer = pace()
        yield Line("times slower than the machine that the bars are for", longer)
        for line in part(where, asked):
            yield replace(line, bar=longer * line.bar if line.bar else None)


def lines(kinds: tuple[str, ...]) -> Iterator[Line | str]:
    """Measure one kind of book after the other."""
    if "sqlite" in kinds:
        yield "a book in a file"
        with tempfile.TemporaryDirectory(prefix="ringtrue-big-book-") as folder:
            # A copy: what is measured is no book that an earlier run wrote into.
            copy = Path(folder) / "book.ringtrue"
            copy.write_bytes(stored().read_bytes())
            yield from measured(str(copy))
    if "postgresql" in kinds:
        if find_program("initdb") is None:
            yield "SKIPPED: no PostgreSQL server on this machine (Debian: apt-get install postgresql)"
            return
        yield "a book on a PostgreSQL server"
        with on_server() as url:
            yield from measured(url)


def main() -> int:
    """Tell each figure beside its bar."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").strip().splitlines()[0])
    parser.add_argument("--on", choices=("sqlite", "postgresql"), help="one kind of book alone")
    on = parser.parse_args().on
    return 1 if told(lines((on,) if on else ("sqlite", "postgresql"))) else 0


if __name__ == "__main__":
    sys.exit(main())
