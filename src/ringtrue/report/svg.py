"""A drawing as SVG that is the same every time, and safe and themable inside a page."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from ringtrue.report.palette import TINTS

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_SVG = "http://www.w3.org/2000/svg"
_LINK = "http://www.w3.org/1999/xlink"
_TINT_NAMES = {tint.light: tint.name for tint in TINTS}


def drawn(figure: Figure, name: str, says: str = "") -> str:
    """
    Write a figure as SVG.

    Parameters
    ----------
    figure : Figure
        The drawing.
    name : str
        Put before every id, so that two drawings can stand in one page.
    says : str
        What it shows, for whoever cannot see it; empty where the page around it says so.

    Returns
    -------
    str
        An ``svg`` element without style attributes, comments, metadata or dates. Every colour of the palette also is a
        class ("fill-ink", "stroke-ink"), which a page may restyle.
    """
    import matplotlib as mpl

    with mpl.rc_context({"svg.hashsalt": "ringtrue", "svg.fonttype": "path"}):
        made = io.BytesIO()
        figure.savefig(
            made, format="svg", transparent=True, metadata=dict.fromkeys(("Date", "Creator", "Format", "Type"))
        )
    return _plain(made.getvalue(), name, says)


def _plain(raw: bytes, name: str, says: str) -> str:
    root = ET.fromstring(raw)  # noqa: S314 - written by matplotlib a line ago; comments are dropped here
    # Its one style sheet would reach the whole page: what it says is inherited from the root instead.
    unwanted = {f"{{{_SVG}}}metadata", f"{{{_SVG}}}style"}
    for parent in list(root.iter()):
        for part in [child for child in parent if child.tag in unwanted]:
            parent.remove(part)
    root.attrib.update({"stroke-linejoin": "round", "stroke-linecap": "butt"})
    for element in root.iter():
        _tidy(element, name)
    if says:
        root.set("role", "img")
        told = ET.Element(f"{{{_SVG}}}title")
        told.text = says
        root.insert(0, told)
    ET.register_namespace("", _SVG)
    return ET.tostring(root, encoding="unicode")


def _tidy(element: ET.Element, name: str) -> None:
    for declaration in (element.attrib.pop("style", "")).split(";"):
        key, colon, value = declaration.partition(":")
        if colon:
            element.set(key.strip(), value.strip())
    classes = [f"{key}-{tint}" for key in ("fill", "stroke") if (tint := _TINT_NAMES.get(element.get(key, "").lower()))]
    if classes:
        element.set("class", " ".join(classes))
    if "id" in element.attrib:
        element.set("id", f"{name}-{element.get('id')}")
    if (target := element.attrib.pop(f"{{{_LINK}}}href", "")).startswith("#"):
        element.set("href", f"#{name}-{target[1:]}")
    for key, value in element.attrib.items():
        if value.startswith("url(#"):
            element.set(key, f"url(#{name}-{value[5:]}")
