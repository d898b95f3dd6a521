"""A sheet as one page of HTML: no script, nothing from elsewhere, every text escaped."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from dataclasses import fields
from functools import cache
from hashlib import sha256
from importlib.resources import files
from itertools import count
from typing import TYPE_CHECKING, Any

from ringtrue.report.figures import picture
from ringtrue.report.model import Block, Paper, Photos, Picture, Section, Sentences, SheetContent
from ringtrue.report.palette import LOOKS, TINTS

if TYPE_CHECKING:
    from jinja2 import Template

_NAMESPACE = ' xmlns="http://www.w3.org/2000/svg"'  # a page knows what an svg element is without it


def as_html(content: SheetContent) -> str:
    """
    Write a sheet as a page.

    Parameters
    ----------
    content : SheetContent
        What stands on it.

    Returns
    -------
    str
        A whole HTML document, the same for the same content. It holds its drawings and its style sheet, fetches
        nothing, runs nothing, and says so to the browser in a policy of its own.
    """
    from markupsafe import Markup

    names = (f"p{number}" for number in count())
    # Not user text: the style sheet is a file of this package.
    style = Markup(_style(content.paper))  # noqa: S704
    return _template().render(
        sheet=content,
        rows=[[_section(each, names) for each in row] for row in _rows(content.sections)],
        looks=LOOKS,
        style=style,
        policy=policy(content),
    )


def policy(content: SheetContent) -> str:
    """
    Return the content security policy under which a sheet works.

    Parameters
    ----------
    content : SheetContent
        The sheet.

    Returns
    -------
    str
        Nothing is allowed but the style sheet inside the page, known by its hash, and photographs inside the page where
        it has any. For the header of a server too.
    """
    digest = b64encode(sha256(_style(content.paper).encode()).digest()).decode()
    has_photographs = any(isinstance(block, Photos) for each in content.sections for block in each.blocks)
    pictures = " img-src data:;" if has_photographs else ""
    return f"default-src 'none';{pictures} style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def sections_of(content: SheetContent) -> tuple[dict[str, Any], ...]:
    """
    Return the sections of a sheet for a template that is not the sheet's own.

    Parameters
    ----------
    content : SheetContent
        What stands on it.

    Returns
    -------
    tuple of dict
        Title and blocks of each section; a block has the name of its class in `ringtrue.report.model`, its fields, and,
        where it is a picture, the drawing as ``svg``.
    """
    names = (f"p{number}" for number in count())
    return tuple(_section(each, names) for each in content.sections)


@cache
def _template() -> Template:
    from jinja2 import Environment

    text = (files("ringtrue.report") / "templates" / "sheet.html.j2").read_text(encoding="utf-8")
    return Environment(autoescape=True, trim_blocks=False, keep_trailing_newline=True).from_string(text)


@cache
def _style(paper: Paper) -> str:
    light = "".join(f"--{tint.name}:{tint.light};" for tint in TINTS)
    dark = "".join(f"--{tint.name}:{tint.dark};" for tint in TINTS)
    drawn = "".join(f".{key}-{t.name}{{{key}:var(--{t.name})}}" for t in TINTS for key in ("fill", "stroke"))
    rules = (files("ringtrue.report") / "templates" / "sheet.css").read_text(encoding="utf-8")
    # Paper is white whatever the screen is.
    return (
        f":root{{color-scheme:light dark;{light}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}"
        f"@page{{size:{paper};margin:13mm}}{drawn}\n{rules}"
    )


def _rows(sections: tuple[Section, ...]) -> Iterator[tuple[Section, ...]]:
    waiting: Section | None = None
    for each in sections:
        if waiting is not None:
            yield from ([(waiting, each)] if each.span == "rest" else [(waiting,), (each,)])
            waiting = None
        elif each.span == "narrow":
            waiting = each
        else:
            yield (each,)
    if waiting is not None:
        yield (waiting,)


def _section(section: Section, names: Iterator[str]) -> dict[str, Any]:
    return {
        "title": section.title,
        "span": section.span,
        "new_page": section.new_page,
        "pictured": any(isinstance(each, Picture) for each in section.blocks),
        "blocks": [_block(each, names) for each in section.blocks],
    }


def _block(block: Block, names: Iterator[str]) -> dict[str, Any]:
    plain = {each.name: getattr(block, each.name) for each in fields(block)}
    if isinstance(block, Sentences):
        plain["texts"] = plain.pop("items")  # a mapping in a template has items of its own
    if isinstance(block, Photos):
        plain["shown"] = [(each, f"data:image/jpeg;base64,{b64encode(each.jpeg).decode()}") for each in block.shown]
    if isinstance(block, Picture):
        from markupsafe import Markup

        # Not user text: what people wrote is in it as outlines of letters.
        plain["svg"] = Markup(picture(block.shows, next(names)).svg.replace(_NAMESPACE, "", 1))  # noqa: S704
    return {"name": type(block).__name__, **plain}
