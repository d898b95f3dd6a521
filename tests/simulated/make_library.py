"""
Make the fault library: ``python -m tests.simulated.make_library [--cases N]`` from the top of the project.

The whole library takes some ten minutes of two cores. ``--cases`` makes at most so many of each kind, for a look.
"""

from __future__ import annotations

import argparse
import multiprocessing
from pathlib import Path

from tests.simulated.faults import ENGINE_WIDE, NINE, simulate
from tests.simulated.library import FILE, Case, Group, written

CASES = {Group.NINE: 220, Group.DIFFERS: 200, Group.SOUND: 400, Group.ENGINE: 25}
"""How many of each cause; wholly sound engines in all."""
CAUSES = {Group.NINE: NINE, Group.DIFFERS: NINE, Group.SOUND: ("sound",), Group.ENGINE: ENGINE_WIDE}


def seeds(most: int | None = None) -> list[tuple[str, str, int]]:
    """Return group, cause and number of every case, in the order of the library."""
    return [
        (group.value, cause, number)
        for group, count in CASES.items()
        for cause in CAUSES[group]
        for number in range(count if most is None else min(count, most))
    ]


def made(seed: tuple[str, str, int]) -> Case:
    """Return the case of a seed."""
    return simulate(*seed)


def main() -> None:
    """Make the library and write it."""
    parser = argparse.ArgumentParser(description="Make the fault library.")
    parser.add_argument("--cases", type=int, default=None, help="at most so many of each kind")
    parser.add_argument("--to", type=Path, default=FILE, help="the file")
    asked = parser.parse_args()
    with multiprocessing.Pool(2) as pool:
        cases = pool.map(made, seeds(asked.cases), chunksize=8)
    asked.to.write_bytes(written(cases))


if __name__ == "__main__":
    main()
