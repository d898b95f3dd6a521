"""Pages of a shop for tests: engines in its book, and what stands in a page, read as a browser reads it."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from tests.web.shop import SHEET, Shop, key

from ringtrue.shop.at_engine import add_pull
from ringtrue.shop.beginning import Beginning, begin
from ringtrue.shop.entering import enter_file
from ringtrue.shop.judging import FileAndWords
from ringtrue.shop.pull_said import PullSaid, Stamped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tests.web.client import Answer, Client

STORY = SHEET.parent
HOSTILE = "<script>alert(1)</script> \"two\" 'one' \u05d0\u05d1\u05d2 &amp; {{ 7*7 }} " + "w" * 300
"""What nobody types and a page has to bear: a script, quotes, letters from right to left, a word without an end."""
_EMPTY = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}


@dataclass(slots=True)
class Element:
    """One element of a page."""

    tag: str
    attributes: dict[str, str]
    within: tuple[str, ...]
    text: str = ""


@dataclass(slots=True)
class Page:
    """What stands in a page."""

    elements: list[Element] = field(default_factory=list)
    text: str = ""

    def all(self, *tags: str) -> Iterator[Element]:
        """Return the elements of these tags."""
        return (each for each in self.elements if each.tag in tags)

    def value(self, name: str) -> str:
        """Return what stands in a field of a form."""
        for each in self.all("input", "textarea"):
            if each.attributes.get("name") == name:
                return each.text.removeprefix("\n") if each.tag == "textarea" else each.attributes.get("value", "")
        raise AssertionError(f"there is no field {name}")

    def faults(self, name: str) -> list[str]:
        """Return what is said beside a field."""
        return [
            each.text.strip() for each in self.elements if each.attributes.get("id", "").startswith(f"{name}-fault")
        ]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self._open: list[Element] = []

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(set(names)) == len(names), f"an attribute of {tag} stands there twice: {names}"
        made = Element(tag, {name: value or "" for name, value in attrs}, tuple(each.tag for each in self._open))
        self.page.elements.append(made)
        if tag not in _EMPTY and not self.get_starttag_text().rstrip(">").endswith("/"):  # type: ignore[union-attr]
            self._open.append(made)

    def handle_endtag(self, tag: str) -> None:
        if tag in {"p", "li"} and all(each.tag != tag for each in self._open):
            raise AssertionError(f"{tag} ends and never began")
        while self._open and self._open.pop().tag != tag:
            pass

    def handle_data(self, data: str) -> None:
        self.page.text += data
        for each in self._open:
            each.text += data


def read(answer: Answer) -> Page:
    """Read a page."""
    reader = _Reader()
    reader.feed(answer.text)
    reader.close()
    return reader.page


def look(client: Client, path: str, status: int = 200) -> Page:
    """Look at a page, and see that it is one that a browser and a reader aloud can use."""
    answer = client.get(path, accept="text/html")
    assert answer.status == status, (path, answer.status, re.sub(r"<[^>]+>", " ", answer.text)[-400:])
    page = read(answer)
    sound(page, path)
    return page


def sound(page: Page, path: str) -> None:
    """See that a page has no id twice, a label for every field, and neither script nor style of its own."""
    ids = [each.attributes["id"] for each in page.elements if "id" in each.attributes]
    assert len(set(ids)) == len(ids), (path, [each for each in ids if ids.count(each) > 1])
    labelled = {each.attributes.get("for", "") for each in page.all("label")}
    for each in page.all("input", "select", "textarea"):
        hidden = each.attributes.get("type") == "hidden"
        assert hidden or "label" in each.within or each.attributes.get("id") in labelled, (path, each.attributes)
    for each in page.elements:
        inline = [name for name in each.attributes if name == "style" or name.startswith("on")]
        assert not inline, (path, each.tag, inline)
        assert each.tag != "style", path
        data = each.attributes.get("type") == "application/json"  # nothing that runs
        ours = each.attributes.get("src", "").startswith("/static/") and not each.text
        assert each.tag != "script" or data or ours, path
    known = set(ids)
    for each in page.elements:
        for name in each.attributes.get("aria-describedby", "").split():
            assert name in known, (path, name)
        if each.tag == "a" and each.attributes.get("href", "").startswith("#"):
            assert each.attributes["href"][1:] in known, (path, each.attributes["href"])
    assert sum(1 for _ in page.all("h1")) == 1, path


def sent(client: Client, path: str, fields: dict[str, str | list[str]]) -> Answer:
    """Send a form as a browser does, with fields of which several are ticked."""
    headers = {
        **client._as_page("POST"),
        "content-type": "application/x-www-form-urlencoded",
        "accept": "text/html",
    }
    return client.on(client.ask("POST", path, urlencode(fields, doseq=True).encode(), headers.items()))


@dataclass(frozen=True, slots=True)
class Filled:
    """A shop with an engine that was tested in June, and another test of it that is open."""

    shop: Shop
    june: str
    open: str


def stamped(who: str = "Alder", device: str = "phone") -> Stamped:
    """Return a stamp with a key of its own."""
    return Stamped(key(), who, device)


def filled(shop: Shop) -> Filled:
    """Fill a shop's book."""
    words = FileAndWords(readings=STORY / "june.csv", sheet=STORY / "launch-six.toml", test=STORY / "june.toml")
    june = enter_file(shop.book, words, who="Alder", device="shop PC").test_id
    test = begin(shop.book, shop.place, Beginning("0417", note="cold"), stamped())
    for name, (first, final) in zip("12345", ((95, 150), (96, 151), (60, 120), (94, 149), (93, 148)), strict=True):
        add_pull(shop.book, test, PullSaid(name, str(first), str(final), "psi"), stamped())
    return Filled(shop, june, test)


def hostile_sheet(name: str = "") -> str:
    """Return the build sheet of an engine whose every text is hostile."""

    said = json.dumps(name or HOSTILE[:200], ensure_ascii=False)
    return (
        f'[engine]\nname = {said}\nreference = "12/4 <b>"\nlayout = "V"\ncylinders = ["<b>1", "2\'", "L&3", "R\\"4"]\n'
        f'banks = [["<b>1", "L&3"], ["2\'", "R\\"4"]]\nhazards = ["<img src=x onerror=alert(1)>"]\n'
    )


def folder(tmp_path: Path, name: str) -> Path:
    """Return a folder for one more shop."""
    made = tmp_path / name
    made.mkdir()
    return made
