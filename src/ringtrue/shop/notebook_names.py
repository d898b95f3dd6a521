"""Names of engines in a notebook that are nearly one: two engines, or one that was written in two ways."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

ALIKE = 0.87
"""Names that are so alike are asked about. [-]"""
_NUMBERS = {
    word: str(number)
    for number, word in enumerate(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"), 1
    )
}


@dataclass(frozen=True, slots=True)
class Name:
    """
    A name of an engine, and how sure it is that it is one.

    Parameters
    ----------
    name : str
        As the book or the notebook has it.
    new : bool
        The book does not know it yet.
    sheet : bool
        It has a build sheet.
    tests : int
        How many tests of the notebook are of it.
    """

    name: str
    new: bool
    sheet: bool = False
    tests: int = 0

    @property
    def rank(self) -> tuple[bool, bool, int]:
        """The higher, the more likely it is the name that the other one should be."""
        return (not self.new, self.sheet, self.tests if self.new else 0)


def nearly_one(names: Iterable[Name]) -> Iterator[tuple[str, str]]:
    """
    Find the new names that are nearly another.

    Parameters
    ----------
    names : iterable of Name
        All there are, in the order in which they were met; those of the book first.

    Yields
    ------
    (str, str)
        A new name, once; and that of the book, else the one most used, which it is nearly.
    """
    # Of names that stand equal the one met first is taken for the right one.
    ranked = sorted(names, key=lambda each: each.rank, reverse=True)
    near = {
        name: [other for other in ranked if other is not name and likeness(name.name, other.name)]
        for name in ranked
        if name.new
    }
    at = {name: place for place, name in enumerate(ranked)}
    meant: dict[Name, Name] = {}
    for place, name in enumerate(ranked):
        better = [other for other in near.get(name, ()) if at[other] < place]
        if better:
            best = max(better, key=lambda each: (each.rank, likeness(name.name, each.name)))
            meant[name] = meant.get(best, best)
    # A slip of a slip is a slip of what that one should be.
    for name, others in near.items():
        further = [meant[other] for other in others if other in meant and meant[other].rank > name.rank]
        if name not in meant and further:
            meant[name] = max(further, key=lambda each: each.rank)
    for name, other in meant.items():
        yield name.name, other.name


def likeness(one: str, other: str) -> float:
    """
    Tell how alike two names are, as they are written and with number words turned into figures.

    Parameters
    ----------
    one, other : str
        The names.

    Returns
    -------
    float
        Zero where they are two engines'; 1 where they are the same but for blanks and number words. [-]
    """
    first, second = _read(one), _read(other)
    if first.figured == second.figured:
        return 1.0
    # Names that differ in a number alone are those of different engines.
    if first.numbers == second.numbers:
        return max(_ratio(first.written, second.written), _ratio(first.figured, second.figured))
    if (first.numbers and second.numbers) or first.digits != second.digits or first.rest == second.rest:
        return 0.0
    return _ratio(first.written, second.written)


def _ratio(one: tuple[str, ...], other: tuple[str, ...]) -> float:
    matcher = difflib.SequenceMatcher(None, "".join(one), "".join(other))
    # A book of thousands of engines is gone through; most names are ruled out at once.
    if matcher.real_quick_ratio() < ALIKE or matcher.quick_ratio() < ALIKE:
        return 0.0
    found = matcher.ratio()
    return found if found >= ALIKE else 0.0


class _Read(NamedTuple):
    """A name taken apart: as written, with number words as figures, and the figures of either."""

    written: tuple[str, ...]
    figured: tuple[str, ...]
    numbers: tuple[str, ...]
    digits: tuple[str, ...]
    rest: str


@lru_cache(maxsize=10_000)
def _read(name: str) -> _Read:
    written = tuple(re.sub(r"[\W_]+", " ", name.casefold()).split())
    figured = tuple(_NUMBERS.get(word, word) for word in written)
    numbers, digits = (tuple(re.findall(r"\d+", " ".join(words))) for words in (figured, written))
    return _Read(written, figured, numbers, digits, re.sub(r"\d+", "", "".join(figured)))
