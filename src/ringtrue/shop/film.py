"""A first stroke that nobody saw at the engine and that was read later, off the builder's own film of the pull."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused

if TYPE_CHECKING:
    from ringtrue.compression import Pull


def marked(before: Pull, after: Pull, *, from_film: bool) -> Pull:
    """
    Mark a corrected pull whose first stroke was read off a film; a mark goes with the figure that it belongs to.

    Parameters
    ----------
    before : Pull
        As it stood.
    after : Pull
        As it is to stand, its mark not looked at.
    from_film : bool
        The first stroke of `after` was read off a film.

    Returns
    -------
    Pull
        `after`, marked or not.

    Raises
    ------
    InputRefused
        There is no first stroke to mark, or one that was seen at the engine would be replaced.
    """
    if not from_film:
        return replace(after, first_from_film=before.first_from_film and after.first == before.first)
    if after.first is None:
        raise InputRefused.of(
            "", "no first stroke is said, so none was read off the film", "say what it shows", "first"
        )
    if before.first is not None and not before.first_from_film:
        raise InputRefused.of(
            f"first {before.first}",
            "it was seen at the engine, and a film only fills in what nobody saw",
            "correct it without the film, and say in the reason what the film shows",
            "first",
        )
    if after.first_spoiled:
        raise InputRefused.of(
            f"first {after.first}",
            "this pull began part-way up compression, and a film of it shows the same spoiled stroke",
            "leave it spoiled, or say that it was not",
            "first",
        )
    return replace(after, first_from_film=True)
