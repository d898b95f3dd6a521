"""Cylinders and lists, as they stand in a sentence."""

from __future__ import annotations

import re
from collections.abc import Sequence

_HEAD_DIGITS = 20
"""How many of the 64 digits of a head are printed large: 80 bits; a record book takes 64 bits and more for a head."""


def listed(words: Sequence[str], joint: str = "and") -> str:
    """
    Put words in a row.

    Parameters
    ----------
    words : sequence of str
        May be empty.
    joint : str
        What stands before the last.

    Returns
    -------
    str
        With commas, and the joint before the last; empty for none.

    Examples
    --------
    >>> listed(["1", "2", "4"])
    '1, 2 and 4'
    """
    if len(words) < 2:  # noqa: PLR2004 - nothing to join
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"


def cylinders(names: Sequence[str]) -> str:
    """
    Name cylinders.

    Parameters
    ----------
    names : sequence of str
        At least one.

    Returns
    -------
    str
        For the inside of a sentence.

    Examples
    --------
    >>> cylinders(["3"]), cylinders(["L1", "L2"])
    ('cylinder 3', 'cylinders L1 and L2')
    """
    return f"cylinder{'s' if len(names) > 1 else ''} {listed(names)}"


def capital(text: str) -> str:
    """
    Begin a sentence.

    Parameters
    ----------
    text : str
        The sentence, without its capital.

    Returns
    -------
    str
        With it.

    Examples
    --------
    >>> capital("cylinder 3 was not read.")
    'Cylinder 3 was not read.'
    """
    return text[:1].upper() + text[1:]


def short_head(head: str) -> str:
    """
    Write the head of a chain as it goes on paper: 80 bits in groups of four, to be compared by eye.

    Parameters
    ----------
    head : str
        64 hexadecimal digits.

    Returns
    -------
    str
        Five groups of four digits.

    Examples
    --------
    >>> short_head("0123456789abcdef0123" + 44 * "f")
    '0123-4567-89ab-cdef-0123'
    """
    return "-".join(re.findall("....", head[:_HEAD_DIGITS]))
