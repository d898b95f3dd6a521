"""The record book, sheets, gauges, settings, paper and the demonstration, as they are typed."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pypdf
import pytest
from tests.journeys.conftest import Types


def entered(types: Types) -> str:
    """Enter a file and return the test's id."""
    said = types("enter june.csv --sheet launch-six.toml --test june.toml")
    assert said.code == 0, said.err
    return said.out.strip()


# If this failed, a correction would overwrite, or leave no trace, or not reach the judgement.
def test_a_correction(types: Types) -> None:
    test = entered(types)
    assert types(f'book correct {test} 3 --final "120 psi"').code == 2
    assert types(f'book correct {test} 3 --final "152 psi" --why "nothing new"').code == 2
    assert types(f'book correct {test} 9 --final "120 psi" --why x').code == 2
    assert types(f'book correct {test} 3 --final "12 psi" --why "first is above"').code == 2
    assert types(f'book correct {test} 3 --final "120 psi" --first "90 psi" --why "read the wrong line"').code == 0
    shown = types(f"book show {test}").out
    assert re.search(r"152 psi -> 120 psi", " ".join(shown.split()))
    assert json.loads(types(f"judge {test} --json").out)["lowest"]["cylinder"] == "3"
    assert types(f'book correct {test} 3 --first "not seen" --why "nobody saw it"').code == 0
    cylinders = json.loads(types(f"judge {test} --json").out)["cylinders"]
    assert cylinders[2]["first"] is None
    assert types("book verify").code == 0


# If this failed, a reading on the wrong cylinder could not be moved, or one that never was could not be taken back.
def test_moving_and_taking_back(types: Types) -> None:
    test = entered(types)
    entries = json.loads(types(f"book show {test} --json").out)["readings"]
    assert types(f'book withdraw {test} {entries[0]["entry"]} --why "the engine had kicked back"').code == 0
    assert types(f'book withdraw {test} {entries[0]["entry"]} --why ""').code == 2
    after = json.loads(types(f"book show {test} --json").out)
    assert len(after["readings"]) == len(entries) - 1
    assert after["corrections"][0]["withdrawn"] is True


# If this failed, an export would not be what was recorded, or would double what is there.
def test_export_and_import(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    assert types("book export -o all.json").code == 0
    first = (tmp_path / "all.json").read_bytes()
    assert types("book import all.json --book other.db").out.startswith("Tests added: 1;")
    assert types("book import all.json --book other.db").out.startswith("Tests added: 0;")
    types("book export -o again.json --book other.db")
    assert (tmp_path / "again.json").read_bytes() == first
    head = json.loads(types(f"book show {test} --json").out)["head"]
    assert types(f"book verify {test} --head {head} --book other.db").code == 0
    assert types(f"book verify {test} --head {'0' * 64} --book other.db").code == 3


# If this failed, a backup would be no help on the day it is needed.
def test_backup_and_restore(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    assert types("book backup safe.db").code == 0
    (tmp_path / "book.db").write_bytes(b"spilled coffee")
    assert types("book list").code == 3
    assert types("book restore safe.db").code == 0
    assert test in types("book list").out


# If this failed, an owner who asks to be forgotten would not be.
def test_an_owner_is_forgotten(types: Types, tmp_path: Path) -> None:
    entered(types)
    types('book owner 0417 --name "Q. Fennimore-Test"')
    assert "Q. Fennimore-Test" in types("book owner 0417").out
    assert types("book forget-owner 0417").code == 0
    assert b"Fennimore" not in (tmp_path / "book.db").read_bytes()
    assert types("book verify").code == 0


# If this failed, the guided sheet would not come out as it was answered, or lose answers when it is broken off.
def test_a_guided_sheet(types: Types, tmp_path: Path) -> None:
    answers = [
        "Pier eight",
        "0502",
        "W",
        "V",
        "8",
        "1 3 5 7 / 2 4 6 8",
        "",
        "spark",
        "1 5 4 2 6 3 7 9",
        "1 5 4 2 6 3 7 8",
    ]
    answers += ["", "shared", "liquid", "", "102 furlong", "102 mm", "88 mm", "40 mm", "150 mm", "9,6"]
    said = types("sheet new", "\n".join(answers) + "\n")
    assert said.code == 0, said.err
    assert said.out.count("!") >= 4
    shown = json.loads(types("sheet show pier-eight.toml --json").out)
    assert shown["displacement_cc"] == pytest.approx(5752.6, rel=1e-4)
    assert shown["cylinders"][0]["compression_ratio"] == pytest.approx(9.6)
    assert shown["cylinders"][0]["companions"] == ["6"]
    assert types("sheet check pier-eight.toml").code == 0
    assert types("sheet new short.toml", "Only a name\n").code == 2
    assert not (tmp_path / "short.toml").exists()


# If this failed, what a shop has settled would not be used, or could not be taken back.
def test_settings_are_used(types: Types) -> None:
    assert types('settings set shop.name "Alder & Quay"').code == 0
    assert types("settings set limits.mean_deviation_target 0.3").code == 0
    assert types("settings set sheet.paper Letter").code == 0
    told = json.loads(types("settings --json").out)
    assert told["settings"]["shop.name"] == "Alder & Quay"
    rules = json.loads(types("judge june.csv --json").out)["rules"]
    assert (rules[0]["limit"], rules[0]["outcome"], rules[0]["source"]) == (0.3, "not met", "shop settings")
    types('settings set limits.mean_deviation_target ""')
    assert json.loads(types("judge june.csv --json").out)["rules"][0]["limit"] == 1.0
    assert types("plan launch-six.toml -o plan.pdf").code == 0
    page = pypdf.PdfReader("plan.pdf").pages[0]
    assert [round(float(side)) for side in page.mediabox[2:]] == [612, 792]
    assert "Alder & Quay" in page.extract_text()


# If this failed, the gauges a shop has could not be listed, or one described anew would stand twice.
def test_gauges(types: Types) -> None:
    assert "no gauge in the register" in types("gauge list").out
    types('gauge add face-1 --range "300 psi" --resolution "5 psi"')
    types('gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B --check-valve "plug end"')
    assert [(each["name"], each["resolution"]) for each in json.loads(types("gauge list --json").out)] == [
        ("face-1", "2 psi")
    ]


# If this failed, the paper would not carry the test, its head, or the way to check it.
def test_paper(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    types('book owner 0417 --name "Q. Fennimore-Test"')
    assert types(f"report {test} -o sheet.pdf").code == 0
    assert types(f"report {test} -o sheet.html").code == 0
    text = " ".join(page.extract_text() for page in pypdf.PdfReader("sheet.pdf").pages)
    head = json.loads(types(f"book show {test} --json").out)["head"]
    assert head[:4] + "-" + head[4:8] in text
    assert "Q. Fennimore-Test" in text
    assert test in (tmp_path / "sheet.html").read_text("utf-8")
    before = (tmp_path / "sheet.pdf").read_bytes()
    types(f"report {test} -o sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes() == before


# If this failed, the first thing a new user types would not run, would not run twice, or would wipe his own folder.
def test_the_demonstration(types: Types, tmp_path: Path) -> None:
    for _ in range(2):
        said = types("demo shown")
        assert said.code == 0, said.err
    made = {path.name for path in (tmp_path / "shown").iterdir()}
    assert {"book.db", "may.pdf", "may.html", "june.pdf", "plan.pdf", "index.html", "conversation.txt"} <= made
    assert not (tmp_path / "book.db").exists()
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("years of work", "utf-8")
    assert types("demo mine").code == 2
    assert (tmp_path / "mine" / "notes.txt").read_text("utf-8") == "years of work"
    assert types("demo launch-six.toml").code == 2


# If this failed, work on the engine would leave no line in its log.
def test_an_event(types: Types) -> None:
    entered(types)
    assert types('event 0417 "oil change" --at "700 mile" --date 2026-07-01').code == 0
    assert types('event 9999 "oil change"').code == 2
    assert types('event 0417 "oil change" --date yesterday').code == 2
