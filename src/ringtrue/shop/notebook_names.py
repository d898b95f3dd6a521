"""Names of engines in a notebook that are nearly one: two engines, or one that was written in two ways."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

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
    written, figured = (_words(one), _words(other)), (_figured(one), _figured(other))
    if figured[0] == figured[1]:
        return 1.0
    # Names that differ in a number alone are those of different engines.
    numbers = [re.sub(r"\D+", " ", " ".join(words)).split() for words in figured]
    if numbers[0] == numbers[1]:
        return max(_ratio(*written), _ratio(*figured))
    rest = [[re.sub(r"\d+", "", word) for word in words] for words in figured]
    same_digits = re.findall(r"\d+", " ".join(written[0])) == re.findall(r"\d+", " ".join(written[1]))
    if all(numbers) or not same_digits or "".join(rest[0]) == "".join(rest[1]):
        return 0.0
    return _ratio(*written)


def _ratio(one: list[str], other: list[str]) -> float:
    matcher = difflib.SequenceMatcher(None, "".join(one), "".join(other))
    # A book of thousands of engines is gone through; most names are ruled out at once.
    if matcher.real_quick_ratio() < ALIKE or matcher.quick_ratio() < ALIKE:
        return 0.0
    found = matcher.ratio()
    return found if found >= ALIKE else 0.0


@lru_cache(maxsize=10_000)
def _words(name: str) -> list[str]:
    return re.sub(r"[\W_]+", " ", name.casefold()).split()


@lru_cache(maxsize=10_000)
def _figured(name: str) -> list[str]:
    return [_NUMBERS.get(word, word) for word in _words(name)]
