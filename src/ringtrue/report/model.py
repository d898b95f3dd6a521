"""
What stands on a sheet of paper, already worded: the one content model that HTML and PDF are both made from.

Nothing here computes, judges or knows a unit. A text is plain text; no character of it is ever markup.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import StrEnum
from typing import Any, Literal, TypeVar, cast

Align = Literal["left", "right"]
Span = Literal["wide", "narrow", "rest"]
Style = Literal["plain", "list", "boxes", "lead", "quiet"]


WIDEST_BESIDE = 4.5
"""Engines that are wider take the whole width of a page. [cylinder spacings]"""


class Paper(StrEnum):
    """The paper a sheet is printed on."""

    A4 = "A4"
    LETTER = "Letter"


class Mark(StrEnum):
    """A word that is shown with a shape of its own beside it, so that no meaning hangs on colour."""

    NONE = ""
    IN_LINE = "in line"
    LOW = "low"
    HIGH = "high"
    CANNOT_TELL = "cannot tell"
    NOT_READ = "not read"
    MET = "met"
    NOT_MET = "not met"
    TOO_CLOSE = "too close to call"
    NOT_JUDGED = "not judged"

    @property
    def slug(self) -> str:
        """The word as a name in a style sheet or a template."""
        return self.value.replace(" ", "-")


@dataclass(frozen=True, slots=True)
class Cell:
    """
    One cell of a table.

    Parameters
    ----------
    text : str
        What it says; empty where there is nothing to say.
    mark : Mark
        The shape beside it.
    strong : bool
        It is what the row is looked up for.
    detail : str
        What is said under it, smaller.
    """

    text: str
    mark: Mark = Mark.NONE
    strong: bool = False
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """
    One column of a table.

    Parameters
    ----------
    title : str
        Its head.
    align : str
        "left" for words, "right" for figures.
    share : float
        Share of the width that is left over once every column holds its content; 0 for none. [-]
    """

    title: str
    align: Align = "left"
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Table:
    """
    A table with a head; the first cell of a row names it.

    Parameters
    ----------
    caption : str
        What it shows, in words.
    columns : tuple of Column
        From the left.
    rows : tuple of tuple of Cell
        One cell for each column.
    note : str
        What has to be known to read it; empty when nothing.
    to_fill_in : bool
        Rows are tall enough to write in.
    """

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""
    to_fill_in: bool = False


@dataclass(frozen=True, slots=True)
class Fact:
    """
    A name and what belongs to it.

    Parameters
    ----------
    label : str
        Its name.
    value : str
        What it is; empty on a sheet that is filled in with a pencil.
    """

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Facts:
    """
    Names and values, one under the other.

    Parameters
    ----------
    rows : tuple of Fact
        In the order in which they are read.
    columns : int
        How many stand beside one another.
    to_fill_in : bool
        An empty value is a line to write on.
    """

    rows: tuple[Fact, ...]
    columns: int = 1
    to_fill_in: bool = False


@dataclass(frozen=True, slots=True)
class Sentences:
    """
    Sentences.

    Parameters
    ----------
    items : tuple of str
        One paragraph, or one item of a list, each.
    style : str
        "plain", "list", "boxes" (each with a box to tick), "lead" (what is read first) or "quiet".
    """

    items: tuple[str, ...]
    style: Style = "plain"


@dataclass(frozen=True, slots=True)
class Finding:
    """
    What stands out, and what to do about it.

    Parameters
    ----------
    seen : str
        What is seen.
    means : str
        What it usually means; may be empty.
    next_check : str
        What to check next; empty where nothing is to be done.
    caution : str
        What can hurt while doing so; may be empty.
    """

    seen: str
    means: str
    next_check: str
    caution: str


@dataclass(frozen=True, slots=True)
class StationShown:
    """
    One cylinder in the engine view.

    Parameters
    ----------
    name : str
        Its name.
    across, along : float
        Where it stands, as the engine's layout has it. [cylinder spacings]
    final, deviation : str
        Figures with their units; empty where there is none.
    mark : Mark
        Its place.
    """

    name: str
    across: float
    along: float
    final: str
    deviation: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class EngineView:
    """
    The engine drawn from above with its figures.

    Parameters
    ----------
    stations : tuple of StationShown
        Every cylinder.
    side : str
        What stands at the top of the view; empty when that is not known.
    round : bool
        The cylinders stand round a crankcase.
    """

    stations: tuple[StationShown, ...]
    side: str
    round: bool = False

    @property
    def across(self) -> float:
        """Distance from the leftmost to the rightmost cylinder. [cylinder spacings]."""
        places = [each.across for each in self.stations]
        return max(places) - min(places)

    @property
    def is_narrow(self) -> bool:
        """It leaves room for a table beside it."""
        return self.across <= WIDEST_BESIDE


@dataclass(frozen=True, slots=True)
class PullShown:
    """
    One pull in the running figure.

    Parameters
    ----------
    name : str
        The cylinder.
    final, mean : float
        What was read, and the mean so far. [in the unit of the view]
    deviation_percent : float
        Mean deviation so far. [% of the mean]
    mark : Mark
        The place its cylinder was given in the end.
    """

    name: str
    final: float
    mean: float
    deviation_percent: float
    mark: Mark


@dataclass(frozen=True, slots=True)
class RunningView:
    """
    Finals, mean and mean deviation in the order taken.

    Parameters
    ----------
    pulls : tuple of PullShown
        In the order taken.
    unit : str
        The unit of finals and mean.
    lines : tuple of (float, str)
        Limits of the mean deviation, each with what it is called. [% of the mean]
    """

    pulls: tuple[PullShown, ...]
    unit: str
    lines: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """
    A picture, and what it says for whoever cannot see it.

    Parameters
    ----------
    shows : EngineView or RunningView
        What is drawn.
    says : str
        The same in words.
    caption : str
        What stands under it.
    """

    shows: EngineView | RunningView
    says: str
    caption: str


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """
    The head of the record's chain, to be read off the paper.

    Parameters
    ----------
    short : str
        Its beginning, in groups, to be compared by eye.
    whole : str
        All of it.
    command : str
        What to type to check it.
    says : str
        What it is for.
    """

    short: str
    whole: str
    command: str
    says: str


@dataclass(frozen=True, slots=True)
class Signatures:
    """
    Lines to sign on.

    Parameters
    ----------
    lines : tuple of Fact
        Who signs, with a name that is already known.
    """

    lines: tuple[Fact, ...]


Block = Table | Facts | Sentences | Finding | Picture | Fingerprint | Signatures


@dataclass(frozen=True, slots=True)
class Section:
    """
    A part of a sheet.

    Parameters
    ----------
    title : str
        Its heading; empty for what needs none.
    blocks : tuple of Table, Facts, Sentences, Finding, Picture, Fingerprint or Signatures
        From the top.
    span : str
        "wide" takes the whole width; "narrow" stands at the left of the "rest" that follows it.
    new_page : bool
        It begins a page.
    """

    title: str
    blocks: tuple[Block, ...]
    span: Span = "wide"
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class SheetContent:
    """
    A whole sheet.

    Parameters
    ----------
    kind : str
        What sheet this is.
    shop : str
        Whose sheet it is; may be empty.
    heading : str
        The engine.
    facts : tuple of Fact
        What stands under the heading.
    sections : tuple of Section
        From the top.
    foot : str
        What stands at the foot of every page.
    date : str
        ISO date of what the sheet is about; empty when it has none.
    paper : Paper
        What it is printed on.
    """

    kind: str
    shop: str
    heading: str
    facts: tuple[Fact, ...]
    sections: tuple[Section, ...]
    foot: str
    date: str = ""
    paper: Paper = Paper.A4

    @property
    def title(self) -> str:
        """The title of the document."""
        return f"{self.kind}: {self.heading}"


T = TypeVar("T")

_KEPT = {"\u200c", "\u200d"}  # joiners: without them names in some scripts are spelled wrongly
_DROPPED = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
REPLACEMENT = "\ufffd"
"""Stands where a character cannot be shown."""


def shown(text: str) -> str:
    r"""
    Make a text fit to be shown on a line.

    Parameters
    ----------
    text : str
        As somebody wrote it.

    Returns
    -------
    str
        Blanks, tabs and line ends are one blank; what has no shape, or turns the order of letters around, is a
        replacement character, so that nothing on a signed sheet reads otherwise than it is.

    Examples
    --------
    >>> shown("left  bank\nnew")
    'left bank new'
    """
    line = " ".join(text.split())
    return "".join(
        REPLACEMENT if unicodedata.category(each) in _DROPPED and each not in _KEPT else each for each in line
    )


_HOW_SHOWN = {"align", "style", "span", "date"}  # fields that say how something is shown, and stand nowhere


def texts(thing: object) -> Iterator[str]:
    """
    Go through every text of a sheet.

    Parameters
    ----------
    thing : SheetContent or a part of one
        The sheet.

    Yields
    ------
    str
        Each text that is not empty, in the order in which it stands there.
    """
    if isinstance(thing, str):
        if thing and not isinstance(thing, StrEnum):
            yield thing
    elif isinstance(thing, tuple):
        for each in thing:
            yield from texts(each)
    elif is_dataclass(thing):
        for part in fields(thing):
            if part.name not in _HOW_SHOWN:
                yield from texts(getattr(thing, part.name))


def cleaned(content: T) -> T:
    """
    Make every text of a sheet fit to be shown.

    Parameters
    ----------
    content : SheetContent or a part of one
        As it was put together.

    Returns
    -------
    SheetContent or a part of one
        The same with every text as `shown` leaves it.
    """
    return cast("T", _cleaned(content))


def _cleaned(thing: Any) -> Any:  # noqa: ANN401 - any part of a sheet
    if isinstance(thing, StrEnum):
        return thing
    if isinstance(thing, str):
        return shown(thing)
    if isinstance(thing, tuple):
        return tuple(_cleaned(each) for each in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(thing, **{each.name: _cleaned(getattr(thing, each.name)) for each in fields(thing)})
    return thing
