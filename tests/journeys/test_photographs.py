"""Photographs and first strokes off a film, as they are typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.journeys.conftest import Types
from tests.photographed import SECRETS, photograph

READINGS = "cylinder,first [psi],final [psi]\n1,95,150\n2,94,149\n3,,151\n4,96,152\n5,95,150\n6,95,151\n"


def entered(types: Types, readings: str = READINGS) -> str:
    """Enter a table and return the test's id."""
    Path("readings.csv").write_text(readings, encoding="utf-8")
    Path("plug.jpg").write_bytes(photograph(orientation=6))
    said = types("enter readings.csv --sheet launch-six.toml")
    assert said.code == 0, said.err
    return said.out.strip()


# If this failed, a photograph given at the terminal would not reach the sheet, or would tell where it was taken.
def test_a_photograph_reaches_the_sheet(types: Types) -> None:
    test = entered(types)
    said = types(f'book photograph {test} plug.jpg --cylinder 3 --note "sooty on one side" --sheet')
    assert (said.code, said.err) == (0, "")
    assert "Kept with cylinder 3, as entry 9" in said.out
    assert "kept before, as entry 9" in types(f"book photograph {test} plug.jpg --cylinder 3").out
    shown = types(f"book show {test}").out
    assert "photograph of a plug" in shown
    assert "on the sheet; sooty on one side; 640 x 480" in shown
    for name in ("sheet.html", "again.html", "sheet.pdf", "again.pdf"):
        assert types(f"report {test} -o {name}").code == 0
    assert Path("sheet.html").read_bytes() == Path("again.html").read_bytes()
    assert Path("sheet.pdf").read_bytes() == Path("again.pdf").read_bytes()
    sheet = Path("sheet.html").read_text(encoding="utf-8")
    assert "Cylinder 3, plug. Sooty on one side. Kept " in sheet
    assert 'width="480" height="640"' in sheet
    for name in ("sheet.html", "sheet.pdf", *(str(each) for each in Path("ringtrue-photographs").iterdir())):
        assert not [secret for secret in SECRETS if secret in Path(name).read_bytes()]
    assert types(f"book on-sheet {test} 9 --off").code == 0
    types(f"report {test} -o sheet.html")
    assert "<img" not in Path("sheet.html").read_text(encoding="utf-8")
    assert "is taken back" in types(f"book withdraw {test} 9 --why 'another engine'").out
    assert json.loads(types(f"book show {test} --json").out)["photographs"][0]["taken_back"] == "another engine"
    assert types("book verify").code == 0


# If this failed, a builder who was asked to forget a picture could not, would not learn where it still is, or would
# afterwards hear that his book is damaged.
def test_a_photograph_is_erased(types: Types) -> None:
    test = entered(types)
    types(f"book photograph {test} plug.jpg --cylinder 3 --sheet")
    types(f"book photograph {test} plug.jpg --cylinder 4")
    (file,) = Path("ringtrue-photographs").iterdir()
    refused = types(f"book erase-photograph {test} 9")
    assert (refused.code, "erasing a photograph has a reason" in refused.err.lower()) == (2, True)
    refused = types(f"book erase-photograph {test} 2 --why 'a face'")
    assert (refused.code, "no photograph in it" in refused.err) == (2, True)
    assert file.exists()
    done = types(f"book erase-photograph {test} 9 --why 'a face is on it' --by 'a builder'")
    assert (done.code, file.exists()) == (0, False)
    assert f"in entry 9 of test {test} is erased, as entry 11; its hash stays there." in done.out
    assert f"erased there as well: test {test} (entry 12)" in done.out
    assert "Backups, exports and sheets made earlier still have it" in done.out
    again = json.loads(types(f"book erase-photograph {test} 9 --why 'a face' --json").out)
    assert again == {"test": test, "photograph": 9, "entry": 11}
    assert "was erased before, as entry 11" in types(f"book erase-photograph {test} 9 --why 'a face'").out
    shown = types(f"book show {test}").out
    assert "its file was erased, see entry 11" in shown
    assert "photograph erased" in shown
    assert "of entry 9, why: a face is on it" in shown
    erased = json.loads(types(f"book show {test} --json").out)["photographs"][0]["erased"]
    assert (erased["entry"], erased["why"], erased["who"]) == (11, "a face is on it", "a builder")
    verified = types("book verify")
    assert verified.code == 0
    told = " ".join(verified.out.split())
    assert f"{test}, entry 9: the file of its photograph, {file.name}, was erased on " in told
    assert "by a builder, why: a face is on it; its hash stays in the chain." in told
    assert "The book is what was written." in told
    assert types(f"report {test} -o sheet.html").code == 0
    assert "<img" not in Path("sheet.html").read_text(encoding="utf-8")


# If this failed, a builder would hand over an export, or trust a backup, that lacks the photographs, and not know it.
def test_what_goes_along_is_said(types: Types) -> None:
    test = entered(types)
    types(f"book photograph {test} plug.jpg --cylinder 3")
    assert "Photographs that are not in it: 1." in types("book export").err
    assert "in the folder all.json.photographs: 1." in types("book export -o all.json").err
    assert "in a folder beside it: 1." in types("book backup stick/monday.db").out
    assert "Photographs: 1." in types("book import all.json --book elsewhere/other.db").out
    assert types("book verify --book elsewhere/other.db").code == 0
    assert "photographs: 1." in types("book restore stick/monday.db --book new/book.db").out
    (file,) = Path("ringtrue-photographs").iterdir()
    file.write_bytes(b"something else")
    found = types("book verify")
    assert (found.code, file.name in found.out) == (3, True)
    assert "Note: the file of the photograph in entry 9" in types("book backup stick/tuesday.db").err
    types(f"book on-sheet {test} 9")
    refused = types(f"report {test} -o sheet.pdf")
    assert (refused.code, "missing or is not what was kept" in refused.err) == (3, True)


# If this failed, what cannot be kept would be kept, or refused without a word that helps.
@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("plug.jpg --cylinder 9", "does not have it"),
        ("nothing.jpg", "no such file"),
        ("readings.csv", "neither JPEG nor PNG nor WebP"),
        ("plug.jpg --shows piston", "plug, gauge, other"),
    ],
)
def test_what_cannot_be_kept(types: Types, words: str, says: str) -> None:
    said = types(f"book photograph {entered(types)} {words}")
    assert (said.code, says in said.err) == (2, True)


# If this failed, a first stroke off a film would not be told from one that was seen, where a person or a program looks.
def test_a_first_stroke_off_a_film(types: Types) -> None:
    test = entered(types)
    refused = types(f'book correct {test} 1 --first "94 psi" --from-film --why film')
    assert (refused.code, "was seen at the engine" in refused.err) == (2, True)
    refused = types(f"book correct {test} 3 --final '152 psi' --from-film --why film")
    assert (refused.code, "no first stroke is said" in refused.err.lower()) == (2, True)
    assert types(f'book correct {test} 3 --first "97 psi" --from-film --why "read off my film"').code == 0
    assert "97.0 psi (from film)" in types(f"judge {test}").out
    told = json.loads(types(f"judge {test} --json").out)["cylinders"]
    assert [each["first_from_film"] for each in told] == [False, False, True, False, False, False]
    assert "first from film nothing -> yes" in types(f"book show {test}").out
    types(f"report {test} -o sheet.html")
    sheet = Path("sheet.html").read_text(encoding="utf-8")
    assert sheet.count("<small>from film</small>") == 2
    assert "dry first from film" in sheet


# If this failed, a table in which a first stroke off a film is marked would lose the mark, or mark what is not there.
def test_a_table_says_which_first_is_off_a_film(types: Types) -> None:
    marked = "cylinder,first [psi],final [psi],first_from_film\n1,95,150,\n2,94,149,yes\n"
    Path("marked.csv").write_text(marked, encoding="utf-8")
    assert "94.0 psi (from film)" in types("judge marked.csv").out
    Path("wrong.csv").write_text(marked.replace("94,", ","), encoding="utf-8")
    refused = types("judge wrong.csv")
    assert (refused.code, "no first stroke that counts was read off a film here" in refused.err.lower()) == (2, True)
