"""Cylinders and lists, as they stand in a sentence."""

from __future__ import annotations

from collections.abc import Sequence


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
