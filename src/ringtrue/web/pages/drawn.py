"""Drawings and sections of the printed sheets, for pages: the same content, so that page and paper say the same."""

from __future__ import annotations

import re
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from ringtrue.report import content, sections_of
from ringtrue.report.engine_part import view_caption, view_of
from ringtrue.report.views import EngineView

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringtrue.engine import BuildSheet
    from ringtrue.report import HandOver

_ONE_AT_A_TIME = threading.Lock()
"""The library that draws keeps its settings for the whole program."""
LARGER = 2.1
"""An engine on a screen is drawn so much larger than on paper, where its smallest type is 6 pt. [px/pt]"""
_SIZE = re.compile(r'<svg width="([0-9.]+)pt" height="([0-9.]+)pt"')


@dataclass(frozen=True, slots=True)
class Shown:
    """
    A drawing on a page.

    Parameters
    ----------
    svg : Markup
        The drawing; what people wrote is in it as outlines of letters.
    says : str
        The same for whoever cannot see it.
    caption : str
        What stands under it.
    """

    svg: Markup
    says: str
    caption: str


def sheet_drawing(sheet: BuildSheet) -> Shown:
    """
    Draw an engine from above without figures.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    Shown
        Its cylinders where they stand, with their names.
    """
    from ringtrue.report.figures import picture

    view = view_of(sheet, sheet.cylinders)
    names = ", ".join(sheet.cylinders)
    caption = view_caption(view, sheet)
    drawing = _larger(svg(lambda: picture(view, "engine").svg))
    return Shown(drawing, f"The engine with cylinders {names}. {caption}", caption)


def svg(draw: Callable[[], str]) -> Markup:
    """
    Draw something that stands inside a page.

    Parameters
    ----------
    draw : callable
        Returns the drawing as SVG.

    Returns
    -------
    Markup
        Its element.
    """
    with _ONE_AT_A_TIME:
        made = draw()
    # Not user text: what people wrote is in it as outlines of letters, or escaped by the writer of the drawing.
    return Markup(made.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1))  # noqa: S704


def _larger(drawing: Markup) -> Markup:
    def size(found: re.Match[str]) -> str:
        return f'<svg width="{float(found[1]) * LARGER:.0f}" height="{float(found[2]) * LARGER:.0f}"'

    return Markup(_SIZE.sub(size, drawing, count=1))  # noqa: S704 - a drawing, as it was


def sections(facts: HandOver) -> dict[str, list[dict[str, Any]]]:
    """
    Return the sections of a hand-over sheet by their titles.

    Parameters
    ----------
    facts : HandOver
        The facts of it.

    Returns
    -------
    dict of str to list of dict
        A section without a title belongs to the one before it.
    """
    with _ONE_AT_A_TIME:
        made = sections_of(content(facts))
    found: dict[str, list[dict[str, Any]]] = {}
    title = ""
    for each in made:
        title = each["title"] or title
        for block in each["blocks"]:
            if isinstance(block.get("shows"), EngineView):
                block["svg"] = _larger(block["svg"])
        found.setdefault(title, []).extend(each["blocks"])
    return found


def one_at_a_time(make: Callable[[], bytes | str]) -> bytes | str:
    """
    Make a sheet of paper, while nothing else is drawn.

    Parameters
    ----------
    make : callable
        Makes it.

    Returns
    -------
    bytes or str
        What it returns.
    """
    with _ONE_AT_A_TIME:
        return make()
