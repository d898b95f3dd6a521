"""The type that drawings and printed sheets are set in, and what it cannot show."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

SANS = "DejaVu Sans"
"""Comes with matplotlib, so that a drawing is the same on every machine."""

POINT = 25.4 / 72
"""One typographic point. [mm]"""

_FILES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")


def font_folder() -> Path:
    """
    Return the folder with the fonts that matplotlib ships.

    Returns
    -------
    Path
        DejaVu Sans is in it.
    """
    import matplotlib as mpl

    return Path(mpl.get_data_path()) / "fonts" / "ttf"


@cache
def _known() -> frozenset[int]:
    from matplotlib.ft2font import FT2Font

    tables = [frozenset(FT2Font(str(font_folder() / name)).get_charmap()) for name in _FILES]
    return tables[0] & tables[1]


def printable(text: str) -> str:
    r"""
    Write out what the printed type has no shape for.

    Parameters
    ----------
    text : str
        A text of the sheet.

    Returns
    -------
    str
        The same, with the code point in square brackets for every character that cannot be printed.

    Examples
    --------
    >>> printable("Żaneta Ångström"), printable("\u5c71")
    ('Żaneta Ångström', '[U+5C71]')
    """
    known = _known()
    return "".join(each if ord(each) in known else f"[U+{ord(each):04X}]" for each in text)


@lru_cache(maxsize=4096)
def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """
    Measure a line of type.

    Parameters
    ----------
    text : str
        A printable text.
    size : float
        Type size. [pt]
    bold : bool
        In the heavy weight.

    Returns
    -------
    float
        Its width. [mm]
    """
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    face = FontProperties(family=SANS, weight="bold" if bold else "normal", size=size)
    width, _, _ = text_to_path.get_text_width_height_descent(text, face, ismath=False)
    return float(width) * POINT


def fitted(text: str, room: float, size: float, smallest: float, *, bold: bool = False) -> tuple[str, float]:
    """
    Make a line of type fit: smaller first, then shorter.

    Parameters
    ----------
    text : str
        A printable text.
    room : float
        Width that there is. [mm]
    size, smallest : float
        Type size that is wanted, and the smallest that may be used. [pt]
    bold : bool
        In the heavy weight.

    Returns
    -------
    tuple of (str, float)
        The text, cut short with an ellipsis where it must be, and its size. [pt]
    """
    width = width_of(text, size, bold=bold)
    if width <= room:
        return text, size
    if (smaller := size * room / width) >= smallest:
        return text, smaller
    while text and width_of(f"{text}…", smallest, bold=bold) > room:
        text = text[:-1]
    return f"{text}…", smallest
