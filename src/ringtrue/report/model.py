"""
What stands on a sheet of paper, already worded: the one content model that HTML and PDF are both made from.

Nothing here computes, judges or knows a unit. A text is plain text; no character of it is ever markup.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from ringtrue.report.course import Course
from ringtrue.report.views import EngineView, Mark, RunningView

Align = Literal["left", "right"]
Span = Literal["wide", "narrow", "rest"]
Style = Literal["plain", "list", "boxes", "lead", "quiet"]


class Paper(StrEnum):
    """The paper a sheet is printed on."""

    A4 = "A4"
    LETTER = "Letter"


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
class Picture:
    """
    A picture, and what it says for whoever cannot see it.

    Parameters
    ----------
    shows : EngineView, RunningView or Course
        What is drawn.
    says : str
        The same in words.
    caption : str
        What stands under it.
    """

    shows: EngineView | RunningView | Course
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


@dataclass(frozen=True, slots=True)
class Photo:
    """
    A photograph, already as small as it is shown.

    Parameters
    ----------
    jpeg : bytes
        The picture.
    width, height : int
        [pixel]
    says : str
        What it shows, for whoever cannot see it.
    caption : str
        What stands under it.
    """

    jpeg: bytes
    width: int
    height: int
    says: str
    caption: str


@dataclass(frozen=True, slots=True)
class Photos:
    """
    Photographs beside one another.

    Parameters
    ----------
    shown : tuple of Photo
        From the left, row by row.
    """

    shown: tuple[Photo, ...]


Block = Table | Facts | Sentences | Finding | Picture | Photos | Fingerprint | Signatures


@dataclass(frozen=True, slots=True)
class Section:
    """
    A part of a sheet.

    Parameters
    ----------
    title : str
        Its heading; empty for what needs none.
    blocks : tuple of Table, Facts, Sentences, Finding, Picture, Photos, Fingerprint or Signatures
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
