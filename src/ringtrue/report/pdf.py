"""A sheet as a PDF: tagged, the same bytes for the same content, set in type that comes with the program."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from enum import StrEnum
from functools import cache
from importlib.resources import files
from itertools import count
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from ringtrue.report.figures import picture
from ringtrue.report.glyphs import font_folder, printable
from ringtrue.report.model import Paper, Photo, Picture, Section, Sentences, SheetContent
from ringtrue.report.palette import LOOKS, SIZES, TINTS
from ringtrue.report.texts import texts

if TYPE_CHECKING:
    from typst import Fonts

_PAPERS = {Paper.A4: "a4", Paper.LETTER: "us-letter"}
_LONG_WORD = re.compile(r"\S{25,}")
_MAY_BREAK = "\u200b"
_PIECE = 12

_NOT_PRINTABLE = (
    "A character that the printed type does not have stands as its number, such as [U+5C71]; the HTML sheet shows it."
)


def as_pdf(content: SheetContent) -> bytes:
    """
    Print a sheet as a PDF.

    Parameters
    ----------
    content : SheetContent
        What stands on it.

    Returns
    -------
    bytes
        A tagged PDF (PDF/UA-1), the same for the same content. It is dated as the sheet is, not as it was made.
    """
    import typst

    template = files("ringtrue.report") / "templates" / "sheet.typ"
    return typst.compile(
        template.read_bytes(),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        format="pdf",
        pdf_standards=["ua-1"],
        sys_inputs={"sheet": json.dumps(_data(_with_note(content)), ensure_ascii=False)},
    )


@cache
def _fonts() -> Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False, font_paths=[font_folder()])


def _with_note(content: SheetContent) -> SheetContent:
    if all(text == printable(text) for text in texts(content)):
        return content
    note = Section("", (Sentences((_NOT_PRINTABLE,), "quiet"),))
    return replace(content, sections=(*content.sections, note))


def _data(content: SheetContent) -> dict[str, Any]:
    """Turn a sheet into what the template reads: plain texts, numbers and drawings."""
    names = (f"p{number}" for number in count())
    looks = {
        mark.value: {"shape": look.shape, "fill": look.fill.name, "line": look.line.name, "text": look.text.name}
        for mark, look in LOOKS.items()
    }
    return {
        **_plain(content, names),
        "title": _set(content.title),
        "paper": _PAPERS[content.paper],
        "date": _day(content.date),
        "tints": {tint.name: tint.light for tint in TINTS},
        "looks": looks,
        "sizes": dict(SIZES),
    }


def _plain(thing: Any, names: Iterator[str]) -> Any:  # noqa: ANN401 - any part of a sheet
    if isinstance(thing, Picture):
        drawing = picture(thing.shows, next(names))
        return {"block": "Picture", "svg": drawing.svg, "width": drawing.width, **_said_of(thing)}
    if isinstance(thing, Photo):
        return {"svg": _framed(thing), "upright": thing.height > thing.width, **_said_of(thing)}
    if is_dataclass(thing) and not isinstance(thing, type):
        inner = {each.name: _plain(getattr(thing, each.name), names) for each in fields(thing)}
        return {"block": type(thing).__name__, **inner}
    if isinstance(thing, tuple):
        return [_plain(each, names) for each in thing]
    return _set(thing) if isinstance(thing, str) and not isinstance(thing, StrEnum) else thing


def _said_of(picture: Picture | Photo) -> dict[str, str]:
    return {"says": _set(picture.says), "caption": _set(picture.caption)}


def _framed(photo: Photo) -> str:
    """Put a photograph into a drawing, for the template reads texts and no bytes; in the PDF it is the same JPEG."""
    size = f'width="{photo.width}" height="{photo.height}"'
    jpeg = f"data:image/jpeg;base64,{b64encode(photo.jpeg).decode()}"
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}><image {size} href="{jpeg}"/></svg>'


def _set(text: str) -> str:
    """Write out what the type lacks, and let long words break."""
    return _LONG_WORD.sub(lambda word: _MAY_BREAK.join(wrap(word.group(), _PIECE)), printable(text))


def _day(text: str) -> dict[str, int] | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return {"year": day.year, "month": day.month, "day": day.day}
