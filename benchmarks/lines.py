"""Figures beside their bars, and the time of a run, as every benchmark prints and takes them."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass

RUNS = 5


@dataclass(frozen=True, slots=True)
class Line:
    """A figure and its bar; a figure without a bar is told and not judged."""

    what: str
    value: float
    bar: float | None = None
    at_least: bool = False

    @property
    def broken(self) -> bool:
        """Tell whether the bar is broken."""
        return self.bar is not None and not (self.value >= self.bar if self.at_least else self.value <= self.bar)

    def __str__(self) -> str:
        shown = f"{self.what:66} {self.value:9.3g}"
        if self.bar is None:
            return shown
        side = ">=" if self.at_least else "<="
        return f"{shown}, bar {side} {self.bar:7.3g}: {'BROKEN' if self.broken else 'kept'}"


def as_installed(**more: str) -> dict[str, str]:
    """
    Return the environment of a command that somebody has installed.

    There Python keeps what it has compiled, also where PYTHONDONTWRITEBYTECODE forbids it to this process.
    """
    return {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | more


def seconds(run: Callable[[], object], runs: int = RUNS) -> float:
    """Return the least processor time of several runs, the first of which warms up. [s]."""
    run()
    times = []
    for _ in range(runs):
        began = time.process_time()
        run()
        times.append(time.process_time() - began)
    return min(times)


def told(lines: Iterable[Line | str]) -> int:
    """Print each line as it comes, words between them too; return how many bars are broken."""
    broken = 0
    for line in lines:
        print(line, flush=True)
        broken += isinstance(line, Line) and line.broken
    return broken
