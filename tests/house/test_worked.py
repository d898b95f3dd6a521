"""The pages that show commands and figures are run: what they show is what the program says."""

from __future__ import annotations

import doctest
from pathlib import Path

import pytest
from tests.shown import Workshop, pieces

DOCS = Path(__file__).resolve().parents[2] / "docs"
WORKED = sorted(path for path in (DOCS / "worked").glob("*.md") if path.name != "index.md")
PAGES = [*sorted((DOCS / "guide").glob("*.md")), *WORKED]


def name(page: Path) -> str:
    """Return a page's name within the documentation."""
    return page.relative_to(DOCS).as_posix()


# If this failed, a builder who types what the page shows would be answered something else.
@pytest.mark.parametrize("page", PAGES, ids=name)
def test_commands_answer_as_shown(page: Path, tmp_path: Path) -> None:
    wrong = Workshop(tmp_path).follow(page.read_text("utf-8"))
    assert not wrong, f"{name(page)}\n" + "\n\n".join(wrong)


# If this failed, a figure on the page would not be what the program computes.
@pytest.mark.parametrize("page", PAGES, ids=name)
def test_snippets_compute_as_shown(page: Path) -> None:
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    known: dict[str, object] = {}
    said: list[str] = []
    for piece in pieces(page.read_text("utf-8")):
        if piece.what == "python" and ">>>" in piece.text:
            test = doctest.DocTestParser().get_doctest(piece.text, known, name(page), str(page), piece.line)
            runner.run(test, out=said.append, clear_globs=False)
            known.update(test.globs)
    assert runner.summarize(verbose=False).failed == 0, "".join(said)


# If this failed, an example would be told as worked that nothing works.
@pytest.mark.parametrize("page", WORKED, ids=name)
def test_every_worked_page_works_something(page: Path) -> None:
    done = list(pieces(page.read_text("utf-8")))
    assert any(piece.what == "console" or (piece.what == "python" and ">>>" in piece.text) for piece in done)


# If this failed, a page could show anything, and the tests above would be content.
def test_an_answer_that_is_another_is_found(tmp_path: Path) -> None:
    shown = "```console\n$ ringtrue settings\n...\nsheet.paper  A3  ...\n...\n```\n"
    wrong = Workshop(tmp_path).follow(shown)
    assert len(wrong) == 1
    assert "sheet.paper" in wrong[0]
    assert Workshop(tmp_path).follow(shown.replace("A3", "A4")) == []
