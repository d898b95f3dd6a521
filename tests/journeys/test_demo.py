"""The demonstration: the first thing a new user types."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pypdf
from tests.journeys.conftest import Types

from ringtrue.cli.demo import MADE, MARK, STORY


def leads_somewhere(folder: Path) -> None:
    """Check that the page of the demonstration is whole, and that what it links to is there."""
    page = (folder / "index.html").read_text("utf-8")
    links = re.findall(r'(?:href|src)="([^"#]+)"', page)
    assert links
    assert [link for link in links if not (folder / link).exists()] == []
    assert not re.search(r"@[A-Z]+@", page)


def shows_the_story(types: Types, folder: Path) -> list[str]:
    """
    Check the story: a weak cylinder in May, right in June, oil, drift, a correction; a loss in the next season.

    Return its tests.
    """
    book = f"--book '{folder.name}/book.db'"
    tests = json.loads(types(f"book list --json {book}").out)
    assert [(row["engine"], row["finished"]) for row in tests] == [("0417", True)] * 4
    may, june, _, autumn = (row["test"] for row in tests)
    found = json.loads(types(f"judge {may} --json {book}").out)
    assert {row["cylinder"]: row["place"] for row in found["cylinders"] if row["place"] != "in line"} == {"5": "low"}
    assert set(found["series"]) == {"dry", "wet", "leakdown"}
    assert found["drift"] is not None
    assert any(row["first"] is None for row in found["cylinders"])
    assert len(json.loads(types(f"book show {may} --json {book}").out)["corrections"]) == 1
    found = json.loads(types(f"judge {june} --json {book}").out)
    assert {row["place"] for row in found["cylinders"]} == {"in line"}
    assert found["rules"][0]["outcome"] == "met"
    course = json.loads(types(f"trend 0417 --json {book}").out)
    assert (course["baseline"], course["tests"][-1]["test"]) == (june, autumn)
    changes = course["tests"][-1]["since_baseline"]["cylinders"]
    assert [row["cylinder"] for row in changes if row["says"] != "no change that these readings could show"] == ["2"]
    paper = {
        name: " ".join(page.extract_text() for page in pypdf.PdfReader(folder / f"{name}.pdf").pages)
        for name in ("june", "autumn")
    }
    assert "Cylinder 2 is lower beside its siblings" in " ".join(paper["autumn"].split())
    assert "Since the baseline" not in paper["june"]
    for name, test in (("may", may), ("june", june)):
        text = "".join(page.extract_text() for page in pypdf.PdfReader(folder / f"{name}.pdf").pages)
        assert test in text
        assert test in (folder / f"{name}.html").read_text("utf-8")
        assert test in (folder / "index.html").read_text("utf-8")
    return [row["test"] for row in tests]


# If this failed, the first thing a new user types would not run, would touch his own book, leave pages that lead
# nowhere, or show another story than it tells; an empty folder, or one with blanks in its name, could not hold it; a
# program that runs it could not tell what it said from what it left; it could be run but once; or what somebody put
# beside it would go when it is made anew, or its own leavings stay.
def test_the_whole_story_and_the_same_again(types: Types, tmp_path: Path, *, soaking: bool) -> None:
    folder = tmp_path / "größer und leer"
    folder.mkdir()
    said = types("demo 'größer und leer' --json")
    assert said.code == 0, said.err
    assert "Cylinder 1 (1 of 6)" in said.err
    assert {path.name for path in folder.iterdir()} == {*MADE, *STORY, MARK}
    assert {"book.db", "settings.toml", "plan.pdf", "may.pdf", "june.html", "index.html"} <= {*MADE, *STORY}
    assert not (tmp_path / "book.db").exists()
    assert not (tmp_path / "settings.toml").exists()
    leads_somewhere(folder)
    assert json.loads(said.out)["tests"] == shows_the_story(types, folder)
    assert types("book verify --book 'größer und leer/book.db'").code == 0
    assert types("demo ''").code == 2
    if not soaking:
        return
    (folder / "may.pdf").unlink()
    (folder / "my notes.txt").write_text("years of work", "utf-8")
    again = types("demo 'größer und leer'")
    assert (again.code, "Everything is in größer und leer." in " ".join(again.out.split())) == (0, True)
    leads_somewhere(folder)
    assert (folder / "my notes.txt").read_text("utf-8") == "years of work"
    assert (folder / "may.pdf").exists()
    assert len(json.loads(types("book list --json --book 'größer und leer/book.db'").out)) == 4


# If this failed, it would wipe a folder that somebody works in.
def test_a_folder_with_other_things_is_left_alone(types: Types, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("years of work", "utf-8")
    for folder in ("mine", "launch-six.toml", "."):
        said = types(f"demo {folder}")
        assert (said.code, said.out) == (2, "")
        assert folder in said.err
    assert (tmp_path / "mine" / "notes.txt").read_text("utf-8") == "years of work"
    assert (tmp_path / "launch-six.toml").stat().st_size > 0
    (tmp_path / "file").write_text("", "utf-8")
    assert types("demo file/within").code == 2
