"""Reading sheets back: what stands in a page, what stands in a PDF, what a content says."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from io import BytesIO
from typing import TYPE_CHECKING, Any

from pypdf import PdfReader

from ringtrue.report.model import Picture, SheetContent
from ringtrue.report.texts import texts
from ringtrue.report.views import EngineView, RunningView

if TYPE_CHECKING:
    from collections.abc import Iterator

_EMPTY = {"meta", "link", "img", "input", "br", "hr", "base", "embed", "source", "area", "col", "track", "wbr"}


@dataclass
class Page(HTMLParser):
    """A page of HTML, taken apart."""

    tags: list[str] = field(default_factory=list)
    attributes: list[tuple[str, str, str]] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    style: str = ""
    open: list[str] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Start with nothing read."""
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.tags.append("/".join([*self.open, tag]))
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in _EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element that ends where it begins."""
        self.tags.append("/".join([*self.open, tag]))
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        """Every element is ended where it was begun."""
        assert self.open, tag
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Note what is said."""
        if self.open and self.open[-1] == "style":
            self.style += data
        else:
            self.said.append(data)

    def handle_comment(self, data: str) -> None:
        """Note a comment."""
        self.comments.append(data)

    @property
    def text(self) -> str:
        """What is said, in one line, labels of pictures included."""
        labels = [value for _, name, value in self.attributes if name == "aria-label"]
        return " ".join(" ".join([*self.said, *labels]).split())


def page(html: str) -> Page:
    """Take a page apart."""
    found = Page()
    found.feed(html)
    found.close()
    assert found.open == []
    return found


def pdf(raw: bytes) -> PdfReader:
    """Open a PDF."""
    return PdfReader(BytesIO(raw))


def squeezed(text: str) -> str:
    """Leave out blanks, and the marks at which long words may break."""
    return re.sub(r"[\s\u00a0\u200b]+", "", text)


def pdf_text(raw: bytes) -> str:
    """Return all text of a PDF, squeezed."""
    return squeezed("".join(each.extract_text() for each in pdf(raw).pages))


def outside_pictures(thing: object) -> Iterator[str]:
    """Go through the texts of a content that are set as type, not drawn."""
    if isinstance(thing, Picture):
        yield thing.caption
    elif isinstance(thing, tuple):
        for each in thing:
            yield from outside_pictures(each)
    elif hasattr(thing, "__dataclass_fields__") and not isinstance(thing, EngineView | RunningView):
        for name, part in [(each, getattr(thing, each)) for each in thing.__dataclass_fields__]:
            if isinstance(part, tuple) or hasattr(part, "__dataclass_fields__"):
                yield from outside_pictures(part)
            elif name not in {"align", "style", "span", "date"}:
                yield from texts(part)


def pictures(content: SheetContent) -> list[Picture]:
    """Return the pictures of a sheet."""
    return [block for section in content.sections for block in section.blocks if isinstance(block, Picture)]


def tree(reader: PdfReader) -> Iterator[Any]:
    """Go through the structure elements of a tagged PDF."""
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]]  # type: ignore[index]
    while waiting:
        element = waiting.pop()
        if not hasattr(element, "get"):
            continue
        yield element
        kids = element.get("/K", [])
        below = kids if isinstance(kids, list) else [kids]
        waiting += [kid.get_object() if hasattr(kid, "get_object") else kid for kid in below]
