"""What the pages are made of: small enough for a phone, nothing from outside, nothing that the policy forbids."""

from __future__ import annotations

import gzip
import json
import re
from typing import TYPE_CHECKING

import pytest
from tests.report.test_palette import contrast
from tests.web.shop import Shop

from ringtrue.report.palette import ACCENT, HIGH, HIGH_WASH, INK, LOW, PAPER, QUIET, TINTS, UNSURE, WASH, Tint
from ringtrue.web.static_files import FOLDER, TYPES, files, version

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LARGEST = 150_000
"""All front-end files together, compressed. [byte]"""
ROOT = FOLDER.parents[3]
TEMPLATES = FOLDER.with_name("templates")
IMPORTED = re.compile(r"""(?:from|import)\s*\(?\s*["']([^"']+)["']""")
FORBIDDEN = re.compile(
    r"""<style|<script(?![^>]*\b(?:src=|type="application/json">))|\sstyle\s*=|\son[a-z]+\s*=|javascript:""",
    re.IGNORECASE,
)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield a shop whose pages nobody has been let in to."""
    with Shop(tmp_path) as opened:
        yield opened


# If this failed, a phone on a poor Wi-Fi would wait for the pages.
def test_all_front_end_files_are_small() -> None:
    sizes = {name: len(gzip.compress(file.body, 9)) for name, file in files().items() if not name.endswith(".txt")}
    assert sum(sizes.values()) < LARGEST, sizes


# If this failed, something in the folder would never reach a browser, or reach it as something that it is not.
def test_every_file_has_a_kind() -> None:
    assert {path.name for path in FOLDER.rglob("*") if path.is_file() and path.suffix not in TYPES} == set()
    assert files()["pull.js"].kind == "text/javascript; charset=utf-8"
    assert files()["look.css"].kind == "text/css; charset=utf-8"


# If this failed, a browser would keep an old page after an update, or fetch everything at each visit.
def test_a_browser_keeps_a_file_while_it_is_the_same(shop: Shop) -> None:
    client = shop.client()
    first = client.get("/static/look.css")
    assert first.status == 200
    assert first.header("cache-control") == "no-cache"
    again = client.get("/static/look.css", if_none_match=f'W/"other", {first.header("etag")}')
    assert (again.status, again.body) == (304, b"")
    assert client.get("/static/look.css", if_none_match='"other"').status == 200
    assert first.text == (FOLDER / "look.css").read_text(encoding="utf-8")


# If this failed, what lies beside the folder could be read by anybody on the network.
@pytest.mark.parametrize(
    "name",
    [
        "../app.py",
        "..%2fapp.py",
        "%2e%2e/app.py",
        "vendor/../../app.py",
        "vendor",
        "",
        "LOOK.CSS",
        "look.css/",
        "look.css%00",
    ],
)
def test_no_other_name_leads_to_a_file(shop: Shop, name: str) -> None:
    assert shop.client().get(f"/static/{name}").status in {400, 404}


# If this failed, the service worker would keep files that are not there, and none at all then.
def test_the_service_worker_knows_its_edition_and_its_files(shop: Shop) -> None:
    answer = shop.client().get("/sw.js")
    assert answer.header("content-type").startswith("text/javascript")
    head, shell, *_ = answer.text.splitlines()
    assert head == f"const VERSION = {json.dumps(version())};"
    kept = json.loads(shell.removeprefix("const SHELL = ").removesuffix(";"))
    assert {"/static/pull.js", "/static/view.js", "/static/look.css", "/static/away.html"} <= set(kept)
    assert {path.removeprefix("/static/") for path in kept} <= set(files())
    assert not [path for path in kept if path.startswith("/api")]


# If this failed, a phone could not put the pages on its first screen.
def test_the_manifest_names_icons_that_are_there(shop: Shop) -> None:
    answer = shop.client().get("/manifest.webmanifest")
    assert answer.header("content-type") == "application/manifest+json"
    assert {icon["src"].removeprefix("/static/") for icon in answer.json["icons"]} <= set(files())


# If this failed, a module would be looked for under a name that no browser can find without an import map.
@pytest.mark.parametrize("name", [name for name in files() if name.endswith(".js")])
def test_modules_import_what_is_there(name: str) -> None:
    text = files()[name].body.decode()
    for wanted in IMPORTED.findall(text) if "vendor/uplot" not in name else []:
        assert wanted.startswith("./"), wanted
        assert (FOLDER / name).parent.joinpath(wanted).is_file(), wanted


# If this failed, a page would hold what the content security policy forbids, and not work.
def test_no_page_has_script_or_style_of_its_own() -> None:
    pages = [*TEMPLATES.glob("*.j2"), *FOLDER.glob("*.html")]
    assert {path.name: FORBIDDEN.findall(path.read_text(encoding="utf-8")) for path in pages} == {
        path.name: [] for path in pages
    }


# If this failed, a style sheet would dress no page, or a page would ask for one that is not there.
def test_every_style_sheet_is_asked_for() -> None:
    pages = [*TEMPLATES.glob("*.j2"), *FOLDER.glob("*.html")]
    texts = [path.read_text(encoding="utf-8") for path in pages]
    asked = {name for text in texts for name in re.findall(r'href="/static/([^"]+\.css)"', text)}
    assert asked == {name for name in files() if name.endswith(".css")}


# If this failed, a library would be handed on without its licence (MIT and Apache-2.0 ask for its text).
def test_every_library_stands_beside_its_licence() -> None:
    vendor = FOLDER / "vendor"
    told = (vendor / "README.txt").read_text(encoding="utf-8")
    for path in [*vendor.glob("*.js"), *vendor.glob("*.css")]:
        assert f"{path.name} " in told
    for name in ("preact", "htm", "uplot"):
        assert "ermission" in (vendor / f"{name}.LICENSE.txt").read_text(encoding="utf-8")
        assert name in (ROOT / "NOTICE").read_text(encoding="utf-8").lower()


def tokens(block: str) -> dict[str, str]:
    """Return the colours that a part of the style sheet sets."""
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


# If this failed, pages and printed sheets would differ in colour: one palette, written down once in report/palette.py.
def test_pages_have_the_colours_of_the_sheets() -> None:
    text = (files()["look.css"].body + files()["paper.css"].body).decode()
    light, dark, paper = (tokens(each) for each in re.findall(r":root \{(.*?)\}", text, re.DOTALL))
    assert light == paper == {tint.name: tint.light for tint in TINTS}
    assert dark == {tint.name: tint.dark for tint in TINTS}


PAIRS: tuple[tuple[str, Tint, Tint, float], ...] = (
    ("text", INK, PAPER, 7.0),
    ("text on a ground", INK, WASH, 7.0),
    ("labels", QUIET, PAPER, 4.5),
    ("labels on a ground", QUIET, WASH, 4.5),
    ("links", ACCENT, PAPER, 4.5),
    ("links on a ground", ACCENT, WASH, 4.5),
    ("the main button", PAPER, ACCENT, 4.5),
    ("low", PAPER, LOW, 4.5),
    ("faults", LOW, PAPER, 4.5),
    ("faults on a ground", LOW, WASH, 4.5),
    ("high", INK, HIGH_WASH, 4.5),
    ("cannot tell, on this phone", UNSURE, PAPER, 4.5),
    ("the field in hand", INK, HIGH_WASH, 7.0),
    ("lines round fields and buttons", QUIET, PAPER, 3.0),
    ("the line of high", HIGH, PAPER, 3.0),
    ("the ring of what has the focus", HIGH, PAPER, 3.0),
)
"""What stands on what: the least is WCAG 2, success criteria 1.4.3 and 1.4.11 (from memory); 7 is 1.4.6."""


# If this failed, a page could not be read in sunlight or by weak eyes, or its decision record would tell other figures.
@pytest.mark.parametrize(("what", "text", "ground", "least"), PAIRS, ids=[each[0] for each in PAIRS])
def test_contrasts_are_as_the_decision_record_tells_them(what: str, text: Tint, ground: Tint, least: float) -> None:
    light, dark = contrast(text.light, ground.light), contrast(text.dark, ground.dark)
    assert min(light, dark) >= least
    row = f"| {what} | {text.name} | {ground.name} | {light:.1f} | {dark:.1f} |"
    assert row in (ROOT / "docs" / "decisions" / "look-of-the-pages.md").read_text(encoding="utf-8")
