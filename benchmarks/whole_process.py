"""
Times of whole commands, as a person at the bench waits for them.

Each command runs several times in a process of its own; the best time counts, the rest is the machine's doing.
Exit 1 when a budget is broken.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from benchmarks.lines import as_installed

RUNS = 7


@dataclass(frozen=True, slots=True)
class Budget:
    """A command and the longest it may take."""

    arguments: tuple[str, ...]
    seconds: float


def twelve_cylinders() -> str:
    """Return a readings file of twelve cylinders; the figures are invented."""
    rows = [f"{number},{84 + number % 3},{150 + number % 4}" for number in range(1, 13)]
    return "\n".join(["cylinder,first [psi],final [psi]", *rows, ""])


def best_of(command: list[str]) -> float:
    """Return the shortest time of several runs, in seconds."""
    times = []
    for _ in range(RUNS):
        began = time.perf_counter()
        subprocess.run(command, env=as_installed(), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True)
        times.append(time.perf_counter() - began)
    return min(times)


def main() -> int:
    """Run every command and print its time beside its budget."""
    program = str(Path(sys.executable).with_name("ringtrue"))
    broken = 0
    with tempfile.TemporaryDirectory() as folder:
        readings = Path(folder) / "twelve.csv"
        readings.write_text(twelve_cylinders(), encoding="utf-8")
        for budget in (
            Budget(("--help",), 0.3),
            Budget(("judge", str(readings)), 1.0),
            Budget(("explain", str(readings)), 2.0),
        ):
            taken = best_of([program, *budget.arguments])
            kept = taken < budget.seconds
            broken += not kept
            shown = f"ringtrue {budget.arguments[0]}"
            print(f"{shown:16} {taken:6.3f} s, budget {budget.seconds:.1f} s: {'kept' if kept else 'BROKEN'}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
