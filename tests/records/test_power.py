"""Power cuts and disks that fail: what was acknowledged is there, whatever the disk did not yet have to keep."""

from __future__ import annotations

import logging
import random
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.records.making import WHO, file_of, header, key
from tests.records.power import CALLS, Disk, calls_in

from ringtrue.errors import BookUnusable
from ringtrue.records import Book

if TYPE_CHECKING:
    from collections.abc import Sequence

LOG = logging.getLogger(__name__)
ROOT = Path(__file__).resolve().parents[2]
OFF, FULL, EXTRA = 0, 2, 3
pytestmark = pytest.mark.soak


@pytest.fixture
def strace() -> str:
    """Return the program that looks on, and interferes."""
    found = shutil.which("strace")
    if found is None:
        pytest.skip("no strace on this machine (Debian: apt-get install strace)")
    return found


def run(strace: str, options: Sequence[str], path: Path, test_id: str, readings: int, synchronous: int) -> str:
    """Run the writing program under strace; return what it said."""
    program = [sys.executable, "-m", "tests.records.under_strace", str(path), test_id, str(readings), str(synchronous)]
    command = [strace, "-f", "--seccomp-bpf", *options, *program]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout


def saved(said: str) -> set[str]:
    """Return the keys of the readings that were acknowledged."""
    return {f"reading {number}" for number in re.findall(r"^saved (\d+)$", said, re.MULTILINE)}


def outcome(path: Path, test_id: str, promised: set[str]) -> str:
    """Tell how a book came through: good, lost (an acknowledged reading is not there) or corrupt."""
    try:
        with Book.open(path, create=False) as book:
            if book.verify():
                return "corrupt"
            keys = [entry.key for entry in book.test(test_id).entries[1:]]
    except BookUnusable:
        return "corrupt"
    if keys != [f"reading {number}" for number in range(1, len(keys) + 1)]:
        return "corrupt"
    return "good" if promised <= set(keys) else "lost"


def cut(strace: str, book: Book, tmp_path: Path, synchronous: int, cuts: int, readings: int) -> Counter[str]:
    """Cut the power again and again, and count how the book came through."""
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
    path = file_of(book)
    disk = Disk({str(path): path.read_bytes()})
    trace = tmp_path / "trace"
    run(
        strace, ["-o", str(trace), "-xx", "-s", "1000000", "-e", f"trace={CALLS}"], path, test_id, readings, synchronous
    )
    ops = list(calls_in(trace, path.parent))
    trace.unlink()
    chance = random.Random(synchronous)
    moments = Counter(chance.randrange(len(ops)) for _ in range(cuts // 3))
    found: Counter[str] = Counter()
    ruins = tmp_path / "ruins"
    for number, op in enumerate(ops):
        disk.do(op)
        for _ in range(moments[number]):
            for how in ("dropped", "torn", "reordered"):
                shutil.rmtree(ruins, ignore_errors=True)
                ruins.mkdir()
                for name, content in disk.after_a_cut(how, chance).items():
                    (ruins / Path(name).name).write_bytes(content)
                found[outcome(ruins / path.name, test_id, saved(disk.said))] += 1
    assert len(saved(disk.said)) == readings
    LOG.info("synchronous=%d: %s of %d cuts", synchronous, dict(found), found.total())
    return found


# If this failed, a power cut could take away a reading that the builder was told is saved.
def test_power_cuts(strace: str, file_book: Book, tmp_path: Path) -> None:
    assert cut(strace, file_book, tmp_path, EXTRA, 3_000, 100) == {"good": 3_000}


# If this failed, the test above would prove nothing: with a weaker setting of the same journal readings must get lost.
def test_power_cuts_with_full_lose_readings(strace: str, file_book: Book, tmp_path: Path) -> None:
    found = cut(strace, file_book, tmp_path, FULL, 900, 60)
    assert found["lost"] > 30
    assert found["corrupt"] == 0


# If this failed, the test above would prove nothing: without any syncing most books must come out corrupt.
def test_power_cuts_without_syncing_corrupt_the_book(strace: str, file_book: Book, tmp_path: Path) -> None:
    found = cut(strace, file_book, tmp_path, OFF, 900, 60)
    assert found["corrupt"] > 300
    assert found["good"] < 100


# If this failed, a write or a sync that the disk refuses would be told as saved, or spoil what was saved before.
@pytest.mark.parametrize("error", ["EIO", "ENOSPC"])
@pytest.mark.parametrize("for_ever", [False, True])
def test_every_call_fails_once_and_for_ever(
    strace: str, file_book: Book, tmp_path: Path, error: str, for_ever: bool
) -> None:
    path, calls = file_of(file_book), "pwrite64,fsync,fdatasync,ftruncate,unlink"
    test_id = file_book.start(header(), sheet_text=None, key=key(), **WHO)
    before = path.read_bytes()
    counted = tmp_path / "counted"
    assert len(saved(run(strace, ["-o", str(counted), "-e", f"trace={calls}"], path, test_id, 2, EXTRA))) == 2
    total = len(re.findall(rf"\b({calls.replace(',', '|')})\(", counted.read_text()))
    assert total > 20
    refused = 0
    for number in range(1, total + 1):
        for left in path.parent.glob(f"{path.name}*"):
            left.unlink()
        path.write_bytes(before)
        inject = f"inject={calls}:error={error}:when={number}{'+' if for_ever else ''}"
        said = run(strace, ["-o", "/dev/null", "-e", f"trace={calls}", "-e", inject], path, test_id, 2, EXTRA)
        assert outcome(path, test_id, saved(said)) == "good", (number, said)
        refused += said.count("refused")
        if not for_ever:
            assert len(saved(said)) == 2, (number, said)
    assert refused > 10
    LOG.info("%s, %d calls, for ever: %s: %d refusals, 0 lost", error, total, for_ever, refused)
