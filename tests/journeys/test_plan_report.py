"""Paper as it is asked for: the worksheet for the pencil, and the hand-over sheet."""

from __future__ import annotations

import json
from pathlib import Path

import pypdf
import pytest
from tests.journeys.conftest import Types

A4, LETTER = (595, 842), (612, 792)
"""In points, of which 72 make an inch: ISO 216 gives 210 x 297 mm, ANSI Y14.1 gives 8.5 x 11 in. Derived by hand."""

_BANKS = [[str(n) for n in range(1, 25, 2)], [str(n) for n in range(2, 25, 2)]]
TWENTY_FOUR = f'layout = "V"\ncylinders = {json.dumps([*_BANKS[0], *_BANKS[1]])}\nbanks = {json.dumps(_BANKS)}\n'


def entered(types: Types, words: str = "") -> str:
    said = types(f"enter june.csv --sheet launch-six.toml --test june.toml {words}")
    assert said.code == 0, said.err
    return said.out.strip()


def pdf_text(path: str) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(path).pages).split())


def size(path: str) -> tuple[int, int]:
    box = pypdf.PdfReader(path).pages[0].mediabox
    return round(float(box.width)), round(float(box.height))


# If this failed, a builder would go to the engine without the order, the cautions or the checklists.
def test_a_plan(types: Types) -> None:
    said = types("plan launch-six.toml")
    assert (said.code, said.err) == (0, "")
    parts = ["Make it comparable", "Make it safe", "How to pull", "Order of the cylinders", "low: with oil"]
    parts += ["low: with air", "Turning the crank", "Put it back", "Cautions"]
    places = [said.out.index(part) for part in parts]
    assert places == sorted(places)
    assert "1, 2, 3, 4, 5, 6 and 1 once more" in " ".join(said.out.split())
    assert "does not certify" in said.out
    told = json.loads(types("plan launch-six.toml --json").out)
    assert (told["engine"], told["order"]) == ("0417", ["1", "2", "3", "4", "5", "6"])
    assert [part["part"] for part in told["parts"]] == [
        "Make it comparable",
        "Make it safe",
        "How to pull",
        "After the dry series, where a cylinder is low: with oil",
        "After the dry series, where a cylinder is low: with air",
        "Put it back",
    ]
    assert [(stop["cylinder"], stop["turn_deg"]) for stop in told["turning"]][:3] == [
        ("1", 0.0),
        ("5", 120),
        ("3", 120),
    ]
    assert all(item["key"] and item["text"] for part in told["parts"] for item in part["items"])


# If this failed, a plan would propose oil where oil can lock or bend, or keep quiet about the dose where it cannot.
def test_the_oil_of_a_plan(types: Types, tmp_path: Path) -> None:
    assert "here 4.4 cc (0.9 teaspoon of 5 cc); never more than 15 %, here 13.2 cc" in " ".join(
        types("plan launch-six.toml").out.split()
    )
    sheet = (tmp_path / "launch-six.toml").read_text("utf-8").replace('"spark"', '"compression"')
    (tmp_path / "diesel.toml").write_text(sheet.replace("0417", "0418"), "utf-8")
    said = types("plan diesel.toml")
    assert (said.code, "low: with oil" in said.out, "low: with air" in said.out) == (0, False, True)
    assert "never put oil into a cylinder" in " ".join(said.out.split())
    types("plan launch-six.toml -o plan.pdf")
    text = pdf_text("plan.pdf")
    assert "Oil: 4.4 cc (0.9 teaspoon of 5 cc), never more than 13.2 cc." in text
    assert "in firing order 1-5-3-6-2-4, 120 deg (1/3 turn) apart" in text
    assert len(pypdf.PdfReader("plan.pdf").pages) == 2


# If this failed, another order would be on one half of the worksheet, and the usual one on the other.
def test_a_plan_in_another_order(types: Types) -> None:
    said = types('plan launch-six.toml --order "6 5 4 3 2 1" -o plan.html --json')
    assert said.code == 0
    assert json.loads(said.out)["order"] == ["6", "5", "4", "3", "2", "1"]
    shown = types('plan launch-six.toml --order "6 5 4 3 2 1"').out
    assert "Go in this order: 6, 5, 4, 3, 2, 1." in shown
    assert "At the end pull cylinder 6 once more" in shown
    page = Path("plan.html").read_text("utf-8")
    assert "Go in this order: 6, 5, 4, 3, 2, 1." in page
    assert "front to rear: 1, 2" not in page


# If this failed, the worksheet would not fit the printer, name the shop, its gauge and unit, or be the same twice.
@pytest.mark.parametrize(("words", "paper"), [("", A4), ("--paper A4", A4), ("--paper letter", LETTER)])
def test_a_worksheet(types: Types, words: str, paper: tuple[int, int]) -> None:
    types('settings set shop.name "Alder & Quay"')
    types('gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B')
    command = f"plan launch-six.toml --gauge face-1 --unit kPa {words} -o"
    said = types(f"{command} plan.pdf")
    assert (said.code, said.out) == (0, "")
    assert "plan.pdf" in said.err
    assert size("plan.pdf") == paper
    text = pdf_text("plan.pdf")
    for word in ("Launch six", "Alder & Quay", "face-1", "kPa"):
        assert word in text
    types(f"{command} again.pdf")
    assert Path("again.pdf").read_bytes() == Path("plan.pdf").read_bytes()


# If this failed, the paper of the settings would not be used, or could not be left for once.
def test_paper_of_the_shop(types: Types) -> None:
    types("settings set sheet.paper Letter")
    test = entered(types)
    types("plan launch-six.toml -o plan.pdf")
    types(f"report {test} -o sheet.pdf")
    types(f"report {test} -o other.pdf --paper A4")
    assert [size(name) for name in ("plan.pdf", "sheet.pdf", "other.pdf")] == [LETTER, LETTER, A4]


# If this failed, the hand-over sheet would not carry the test, its head, or the way to check it.
def test_a_hand_over_sheet(types: Types) -> None:
    test = entered(types)
    types('settings set shop.name "Alder & Quay"')
    types('settings set shop.builder "J. Alder"')
    types('book owner 0417 --name "Q. Fennimore-Test"')
    types(f'book correct {test} 3 --final "151 psi" --why "read the wrong line"')
    told = json.loads(types(f"report {test} -o sheet.pdf --json").out)
    head = json.loads(types(f"book show {test} --json").out)["head"]
    assert told == {"file": "sheet.pdf", "test": test, "head": head}
    text = pdf_text("sheet.pdf")
    for word in (test, "Launch six", "0417", "Alder & Quay", "J. Alder", "Q. Fennimore-Test", "read the wrong line"):
        assert word in text
    for word in ("2025-06-20", "38 h", "does not certify", "common practice"):
        assert word in text
    assert "-".join((head[:4], head[4:8], head[8:12], head[12:16])) in text.replace(" ", "")
    before = Path("sheet.pdf").read_bytes()
    types(f"report {test} -o sheet.pdf")
    assert Path("sheet.pdf").read_bytes() == before


# If this failed, page and PDF would say different things, or the sheet go where nobody looks for it.
def test_where_and_in_which_form(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    assert f"{test}.pdf" in types(f"report {test}").out
    assert (tmp_path / f"{test}.pdf").exists()
    (tmp_path / "deep" / "er").mkdir(parents=True)
    assert types(f"report {test} -o deep/er/größer.HTML").code == 0
    page = (tmp_path / "deep" / "er" / "größer.HTML").read_text("utf-8")
    for word in (test, "Launch six", "does not certify"):
        assert word in page
    assert types(f"report {test.upper().replace('-', '')} -o id.pdf").code == 0
    assert pdf_text("id.pdf") == pdf_text(f"{test}.pdf")


# If this failed, a test that is in no book could not be printed, or its warnings would be lost.
def test_a_sheet_of_a_file(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder,final [psi],mood\n1,150,good\n2,149,bad\n3,120,bad\n", "utf-8")
    said = types("report r.csv")
    assert said.code == 0
    assert "mood" in said.err
    assert "r.pdf" in said.out
    assert "120.0" in pdf_text("r.pdf")
    assert types("report june.csv --sheet launch-six.toml --test june.toml -o june.html").code == 0
    assert "2025-06-20" in (tmp_path / "june.html").read_text("utf-8")


# If this failed, an engine with one cylinder, with many, a two-stroke, or a series without one reading had no paper.
@pytest.mark.parametrize(
    ("sheet", "rows"),
    [
        ('layout = "single"\ncylinders = ["pot"]\ncycle = 2\n', "pot,,100\n"),
        (TWENTY_FOUR, "".join(f"{n},,{140 + n}\n" for n in range(1, 25))),
        ('layout = "radial"\ncylinders = ["1", "2", "3", "4", "5"]\n', "1,,\n2,,\n"),
        (
            'layout = "flat"\ncylinders = ["left front", "right"]\nbanks = [["left front"], ["right"]]\n',
            "right,60,100\n",
        ),
    ],
)
def test_engines_of_every_form(types: Types, tmp_path: Path, sheet: str, rows: str) -> None:
    (tmp_path / "s.toml").write_text(f'[engine]\nname = "Any"\n{sheet}', "utf-8")
    (tmp_path / "r.csv").write_text("cylinder,first [psi],final [psi]\n" + rows, "utf-8")
    test = types("enter r.csv --sheet s.toml").out.strip()
    for command in (
        f"report {test} -o a.pdf",
        f"report {test} -o a.html",
        "plan s.toml -o b.pdf",
        "plan s.toml -o b.html",
    ):
        said = types(command)
        assert said.code == 0, said.err
    assert "Any" in pdf_text("a.pdf")


# If this failed, an open test could not be printed, or a leak-down without pulls.
def test_an_unfinished_test_and_a_leak_down_alone(types: Types, tmp_path: Path) -> None:
    types("pull --sheet launch-six.toml --unit psi", "yes\nyes\n95 150\nstop\n")
    (row,) = json.loads(types("book list --json").out)
    assert types(f"report {row['test']} -o open.pdf").code == 0
    (tmp_path / "l.csv").write_text(
        "cylinder,kind,supply [psi],held [psi],restrictor\n1,leakdown,80,70,0.040 in\n", "utf-8"
    )
    assert types("report l.csv -o l.pdf").code == 0
    assert "12.5" in pdf_text("l.pdf")


# If this failed, who signs a sheet could not be said where it is printed, or would be taken for who tested.
def test_who_signs_the_sheet(types: Types) -> None:
    test = entered(types)
    assert types(f"report {test} -o none.html").code == 0
    assert types(f"report {test} -o one.html --builder ' Rowan & Sons '").code == 0
    plain, signed = (Path(name).read_text(encoding="utf-8") for name in ("none.html", "one.html"))
    assert "Rowan" not in plain
    assert "Rowan &amp; Sons" in signed
    assert types("report june.csv --sheet launch-six.toml -o two.pdf --builder 'Rowan & Sons'").code == 0
    assert "Rowan & Sons" in pdf_text("two.pdf")
