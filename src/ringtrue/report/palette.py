"""
Colours, shapes and type sizes of printed sheets, in one place.

Blue and burnt orange are told apart with every common kind of colour blindness, and differ in lightness, so that a grey
printer keeps them apart too. No meaning hangs on them: each has a shape and a word beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.report.views import Mark


@dataclass(frozen=True, slots=True)
class Tint:
    """
    One colour, on white paper and on a dark screen.

    Parameters
    ----------
    name : str
        Its name in style sheet and template.
    light, dark : str
        As #rrggbb.
    """

    name: str
    light: str
    dark: str


INK = Tint("ink", "#1d2a35", "#e4eaee")
QUIET = Tint("quiet", "#54626e", "#a3b1bc")
HAIR = Tint("hair", "#bfc9d0", "#42515d")
WASH = Tint("wash", "#eff3f5", "#1c2730")
PAPER = Tint("paper", "#ffffff", "#131b22")
ACCENT = Tint("accent", "#21506b", "#8fc1de")
LOW = Tint("low", "#8f3f14", "#f0a06c")
HIGH = Tint("high", "#1f5fa8", "#9cc7f2")
HIGH_WASH = Tint("high-wash", "#dbe9f8", "#1b3350")
UNSURE = Tint("unsure", "#5d4a85", "#c4b2ea")

TINTS = (INK, QUIET, HAIR, WASH, PAPER, ACCENT, LOW, HIGH, HIGH_WASH, UNSURE)
"""Every colour a sheet uses."""


@dataclass(frozen=True, slots=True)
class Look:
    """
    How a marked thing is drawn.

    Parameters
    ----------
    shape : str
        The shape beside the word.
    fill, line, text : Tint
        Colours of its field, of the line round it, and of what is written on it.
    dashes : tuple of float
        Dashes of the line round it; empty for a whole line. [line widths]
    weight : float
        Width of that line. [pt]
    """

    shape: str
    fill: Tint
    line: Tint
    text: Tint
    dashes: tuple[float, ...] = ()
    weight: float = 0.6


@dataclass(frozen=True, slots=True)
class CauseLook:
    """
    How the share of a cause is drawn.

    Parameters
    ----------
    fill, line : Tint
        Colours of its field, and of the line round it and the hatching.
    hatch : str
        Hatching, as matplotlib spells it; empty for none.
    """

    fill: Tint
    line: Tint
    hatch: str = ""


LOOKS: Mapping[Mark, Look] = MappingProxyType(
    {
        Mark.NONE: Look("", PAPER, QUIET, INK),
        Mark.IN_LINE: Look("\u25cf", PAPER, QUIET, INK),
        Mark.LOW: Look("\u25bc", LOW, LOW, PAPER, weight=1.4),
        Mark.HIGH: Look("\u25b2", HIGH_WASH, HIGH, INK, weight=1.4),
        Mark.CANNOT_TELL: Look("\u25c6", PAPER, UNSURE, INK, (4.0, 2.0), weight=1.2),
        Mark.NOT_READ: Look("\u25cb", WASH, QUIET, QUIET, (1.0, 2.0), weight=0.9),
        Mark.MET: Look("\u2713", PAPER, QUIET, INK),
        Mark.NOT_MET: Look("\u2715", LOW, LOW, PAPER),
        Mark.TOO_CLOSE: Look("\u2248", PAPER, UNSURE, UNSURE),
        Mark.NOT_JUDGED: Look("\u2013", WASH, QUIET, QUIET),
    }
)
"""Shape and colours of every mark."""

CAUSE_LOOKS: Mapping[str, CauseLook] = MappingProxyType(
    {
        "sound": CauseLook(PAPER, QUIET),
        "rings": CauseLook(LOW, LOW),
        "intake_valve": CauseLook(HIGH_WASH, HIGH, "/////"),
        "exhaust_valve": CauseLook(PAPER, LOW, "\\\\\\\\\\"),
        "gasket_neighbour": CauseLook(PAPER, UNSURE, "|||||"),
        "gasket_coolant": CauseLook(PAPER, HIGH, "-----"),
        "not_filling": CauseLook(HIGH, PAPER, "--"),
        "late_closing": CauseLook(PAPER, ACCENT, "xxxxx"),
        "carbon": CauseLook(INK, PAPER),
        "slow_cranking": CauseLook(QUIET, PAPER, "\\\\"),
        "gauge_or_fitting": CauseLook(HAIR, QUIET),
        "misread": CauseLook(PAPER, QUIET, "+++"),
    }
)
"""
How the share of each cause is drawn, by its key: no two are alike in grey. Lines alone, for a field of dots is hundreds
of curves.
"""

SMALLEST = 6.0
"""No type on a printed sheet is smaller. [pt]"""

SIZES: Mapping[str, float] = MappingProxyType(
    {"heading": 19.0, "lead": 11.0, "section": 8.0, "body": 9.5, "table": 8.5, "label": 7.0, "foot": 7.0}
)
"""Type sizes of a printed sheet. [pt]"""
