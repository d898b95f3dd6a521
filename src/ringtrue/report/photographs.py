"""Photographs on a hand-over sheet."""

from __future__ import annotations

from collections.abc import Iterable

from ringtrue.report.facts import PhotographShown
from ringtrue.report.model import Photo, Photos
from ringtrue.report.told import sentence
from ringtrue.wording import to_the_minute

_SHOWS = {"plug": "plug", "gauge": "gauge face"}


def photographs(chosen: Iterable[PhotographShown]) -> Photos:
    """
    Put the chosen photographs on the sheet.

    Parameters
    ----------
    chosen : iterable of PhotographShown
        In the order in which they are to stand.

    Returns
    -------
    Photos
        Each with whose it is, what it shows, when it was kept, and what was said of it.
    """
    return Photos(tuple(_photo(each) for each in chosen))


def _photo(each: PhotographShown) -> Photo:
    whose = f"cylinder {each.cylinder}" if each.cylinder else "whole engine"
    shows = _SHOWS.get(each.shows, "")
    what = ", ".join(filter(None, (whose, "plugs" if shows == "plug" and not each.cylinder else shows)))
    caption = " ".join(filter(None, map(sentence, (what, each.note, f"kept {to_the_minute(each.when)}"))))
    return Photo(each.jpeg, each.width, each.height, f"photograph: {what}", caption)
