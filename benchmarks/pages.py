"""
How soon a reading is in the book and on another screen, with a shop full of phones, line by line beside its bar.

Run it as ``python -m benchmarks.pages`` from the top of the project; ``--seconds 60`` for the full run. The server is
``ringtrue serve`` in a process of its own, on loopback, with a book on this machine's disk. Every phone is a line that
stays open; two phones share a test, and a screen follows each. The gauge is known, so that every state of a test is
judged with its uncertainty. After 48 readings they begin another test, as people would. Exit 1 when a bar is broken.
"""

from __future__ import annotations

import argparse
import gzip
import itertools
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http import HTTPStatus
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.lines import Line, as_installed, told
from tests.served import SIX, Phone, key

from ringtrue.compression import Gauge
from ringtrue.engine import BuildSheet
from ringtrue.intake import parse_sheet
from ringtrue.quantities import Measured
from ringtrue.records import Book, Header
from ringtrue.units import Dimension, find_unit, to_si

if TYPE_CHECKING:
    from collections.abc import Sequence

READINGS_A_TEST = 48
MOST_BYTES = 150_000
PROGRAMS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@dataclass(slots=True)
class Shop:
    """The server, and the book behind it."""

    port: int
    owner: Phone
    book: Path
    pid: int


@contextmanager
def serving(where: str = "") -> Iterator[Shop]:
    """Run the server, with a new book unless one is named; let the owner in."""
    with tempfile.TemporaryDirectory(prefix="ringtrue-pages-") as folder:
        book = Path(where or Path(folder) / "book.ringtrue")
        settings = Path(folder) / "settings.toml"
        environment = as_installed(RINGTRUE_SETTINGS=str(settings))
        command = [sys.executable, "-m", "ringtrue", "serve", "--port", "0", "--json", "--book", where or str(book)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, env=environment, text=True) as server:
            said = json.loads((server.stdout or sys.stdin).readline())
            port = int(said["here"].rpartition(":")[2])
            stranger = Phone(port, "")
            entered = {"secret": said["owner"].partition("#")[2], "device": "shop PC", "person": "owner"}
            answer = stranger.post("/api/pair", entered)
            token = answer.headers["set-cookie"].partition("=")[2].partition(";")[0]
            stranger.hang_up()
            owner = Phone(port, token)
            try:
                yield Shop(port, owner, book, server.pid)
            finally:
                owner.hang_up()
                server.terminate()
                server.wait(10)


def test_of(book: Book, sheet: BuildSheet) -> str:
    """Begin a test, with a gauge of 300 psi, grade B."""
    psi = find_unit("psi", Dimension.PRESSURE)
    span, step = (Measured(to_si(value, psi), f"{value:g}", "psi") for value in (300.0, 2.0))
    gauge = Gauge("shop gauge", span, step, "B")
    header = Header(sheet.reference or sheet.name, sheet.name, gauge=gauge, plan_order=sheet.pull_order)
    return book.start(header, sheet_text=SIX, key=key(), who="owner", device="shop PC")


@dataclass(slots=True)
class Load:
    """What came of it; all times are by the monotonic clock. [s]."""

    sent: dict[str, float] = field(default_factory=dict)
    written: list[float] = field(default_factory=list)
    seen: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    acknowledged: list[tuple[str, int]] = field(default_factory=list)
    begin: threading.Barrier = field(default_factory=lambda: threading.Barrier(1))
    stop: threading.Event = field(default_factory=threading.Event)


def load(shop: Shop, phones: int, rate: float, seconds: float) -> tuple[Load, int, int]:
    """Let so many phones write so often; return what was measured, what was acknowledged, what is in the book."""
    sheet = parse_sheet(SIX)
    pairs = max(phones // 2, 1)
    made = Load(begin=threading.Barrier(phones + pairs + 1))
    with Book.open(shop.book) as book:
        # All that will be needed, so that beginning a test does not count as writing a reading.
        each = int(seconds * rate * 2 / READINGS_A_TEST) + 2
        tests = [[test_of(book, sheet) for _ in range(each)] for _ in range(pairs)]
    screens = [threading.Thread(target=screen, args=(shop, tests[n], made)) for n in range(pairs)]
    hands = [
        threading.Thread(target=hand, args=(shop, n, tests[n % pairs], (rate, seconds), made)) for n in range(phones)
    ]
    for thread in (*screens, *hands):
        thread.start()
    made.begin.wait()
    for thread in hands:
        thread.join()
    time.sleep(1.0)
    made.stop.set()
    for thread in screens:
        thread.join()
    with Book.open(shop.book) as book:
        found = {(entry.chain, entry.seq) for group in tests for test in group for entry in book.test(test).entries[1:]}
    return made, len(set(made.acknowledged)), len(set(made.acknowledged) & found)


def hand(shop: Shop, number: int, tests: Sequence[str], pace: tuple[float, float], made: Load) -> None:
    """One phone: a reading every so often, at its own moments, whether or not the last one took long."""
    rate, seconds = pace
    draw = random.Random(number)  # noqa: S311 - chooses figures, keeps no secret
    phone = Phone(shop.port, shop.owner.token)
    made.begin.wait()
    began = time.monotonic() + draw.uniform(0, 1 / rate)
    for turn in range(int(seconds * rate)):
        time.sleep(max(began + turn / rate - time.monotonic(), 0))
        test = tests[turn * 2 // READINGS_A_TEST]
        said = {
            "key": key(),
            "cylinder": str(draw.randint(1, 6)),
            "unit": "psi",
            "final": str(draw.randint(145, 155)),
            "repeat": True,
        }
        at = time.monotonic()
        try:
            answer = phone.post(f"/api/tests/{test}/readings", said)
        except OSError as error:
            made.errors.append(repr(error))
            continue
        if answer.status != HTTPStatus.CREATED:
            made.errors.append(f"{answer.status} {answer.body[:200]!r}")
            continue
        made.written.append(time.monotonic() - at)
        entry = answer.json["entry"]
        made.acknowledged.append((test, entry))
        made.sent[f"{test}/{entry}"] = at
    phone.hang_up()


def screen(shop: Shop, tests: Sequence[str], made: Load) -> None:
    """Follow the tests of a pair of phones: when each entry is first on the screen."""
    seen: dict[str, float] = {}

    def follow(test: str) -> None:
        with Phone(shop.port, shop.owner.token).stream(test) as states:
            last = 1
            try:
                for state in states:
                    now = time.monotonic()
                    for entry in range(last + 1, state["version"] + 1):
                        seen[f"{test}/{entry}"] = now
                    last = max(last, state["version"])
                    if made.stop.is_set():
                        return
            except OSError:  # the stream is left open for longer than anything comes
                return

    following = [threading.Thread(target=follow, args=(test,), daemon=True) for test in tests]
    for each in following:
        each.start()
    time.sleep(1.0)
    made.begin.wait()
    made.stop.wait()
    for name, at in list(seen.items()):
        if name in made.sent:
            made.seen.append(at - made.sent[name])


def share(times: Sequence[float], part: float) -> float:
    """Return the time within which so large a part is done; endless where nothing was. [s]."""
    ordered = sorted(times)
    return ordered[min(int(part * len(ordered)), len(ordered) - 1)] if ordered else float("inf")


def loaded(
    shop: Shop, phones: int, rate: float, seconds: float, write: float, seen: float | None
) -> Iterator[Line | str]:
    """Measure under load."""
    yield f"{phones} phones, {rate:g} readings a second each, {seconds:g} s"
    made, acknowledged, kept = load(shop, phones, rate, seconds)
    yield Line("  written, half of them within [s]", share(made.written, 0.5))
    yield Line("  written, 99 in 100 within [s]", share(made.written, 0.99), write)
    yield Line("  on another screen, half of them within [s]", share(made.seen, 0.5))
    yield Line("  on another screen, 99 in 100 within [s]", share(made.seen, 0.99), seen)
    yield Line("  readings acknowledged", acknowledged)
    yield Line("  of those not in the book", acknowledged - kept, 0)
    yield Line("  never on the screen", acknowledged - len(made.seen), 0)
    yield Line("  errors", len(made.errors), 0)
    yield from sorted(set(made.errors))[:3]


def front_end() -> Iterator[Line]:
    """Weigh what a browser has to fetch, all of it."""
    weight = 0
    for path in (Path(str(files("ringtrue.web"))) / "static").rglob("*"):
        if path.is_file() and path.suffix != ".txt":
            weight += len(gzip.compress(path.read_bytes(), 9, mtime=0))
    yield Line("all files of the pages, compressed [kB]", weight / 1000, MOST_BYTES / 1000)


def first_page(shop: Shop) -> Iterator[Line | str]:
    """Measure how soon the first page, and the pull page, can be used in a browser that knows nothing of them."""
    program = next((path for name in PROGRAMS if (path := shutil.which(name))), None)
    if program is None:
        yield "SKIPPED: no Chromium here, so no page is opened (Debian: apt-get install chromium)"
        return
    from playwright.sync_api import sync_playwright

    with Book.open(shop.book) as book:
        test = test_of(book, parse_sheet(SIX))
    flags = ["--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
    if hasattr(os, "getuid") and os.getuid() == 0:
        flags.append("--no-sandbox")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=flags)
        for name, path, sign in (("first page", "/", "a.card"), ("pull page", f"/tests/{test}/pull", "[data-key='1']")):
            times = []
            for _ in range(5):
                context = browser.new_context()
                cookie = {"name": f"ringtrue-{shop.port}", "value": shop.owner.token, "url": shop.owner.origin}
                context.add_cookies([cookie])  # type: ignore[list-item]
                page = context.new_page()
                began = time.monotonic()
                page.goto(shop.owner.origin + path, wait_until="domcontentloaded")
                page.locator(sign).first.wait_for()
                times.append(time.monotonic() - began)
                context.close()
            yield Line(f"{name} can be used within, best of five [s]", min(times), 1.0)
        browser.close()


def lines(seconds: float) -> Iterator[Line | str]:
    """Measure one thing after the other."""
    yield from front_end()
    with serving() as shop:
        yield from itertools.chain(
            first_page(shop),
            loaded(shop, 20, 2.0, seconds, 0.250, 0.300),
            loaded(shop, 50, 4.0, seconds, 2.0, None),
        )


def main() -> int:
    """Tell each figure beside its bar."""
    parser = argparse.ArgumentParser(description=__doc__.strip().splitlines()[0])
    parser.add_argument("--seconds", type=float, default=8.0, help="how long each load lasts")
    return 1 if told(lines(parser.parse_args().seconds)) else 0


if __name__ == "__main__":
    sys.exit(main())
