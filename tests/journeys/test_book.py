"""The record book, as it is typed: listing, showing, putting right, keeping safe, owners and events."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.journeys.conftest import Types

WITH_ALL = (
    "cylinder,kind,first [psi],final [psi],drift,oil,supply [psi],held [psi],restrictor,heard\n"
    "1,,95,150,,,,,,\n2,,94,149,,,,,,\n3,,70,121,,,,,,\n1,,95,149,yes,,,,,\n"
    "3,wet,88,147,,4 cc,,,,\n3,leakdown,,,,,80,50,0.040 in,crankcase\n"
)


def entered(types: Types) -> str:
    """Enter a file and return the test's id."""
    said = types("enter june.csv --sheet launch-six.toml --test june.toml")
    assert said.code == 0, said.err
    return said.out.strip()


def told(types: Types, command: str) -> Any:  # noqa: ANN401 - JSON is of any form
    said = types(f"{command} --json")
    assert (said.code, said.err) == (0, ""), said.err
    return json.loads(said.out)


def judged(types: Types, test: str) -> dict[str, dict[str, Any]]:
    return {row["cylinder"]: row for row in told(types, f"judge {test}")["cylinders"]}


# If this failed, a person could not find a test again, or would not see which ones are still open.
def test_listing(types: Types) -> None:
    assert "There is no test" in types("book list").out
    assert told(types, "book list") == []
    test = entered(types)
    types("pull --sheet launch-six.toml --unit psi", "yes\nyes\n95 150\n")
    types("pull --unit psi", "Mower\n1\nyes\nyes\n95 150\ndone\n")
    rows = told(types, "book list")
    assert [(row["engine"], row["name"], row["readings"], row["finished"]) for row in rows] == [
        ("0417", "Launch six", 7, True),
        ("0417", "Launch six", 1, False),
        ("Mower", "", 1, True),
    ]
    assert rows[0] | {"test": test, "date": "2025-06-20"} == rows[0]
    for engine, count in (("0417", 2), ("'Launch six'", 2), ("Mower", 1)):
        assert len(told(types, f"book list {engine}")) == count
    assert types("book list 9999").code == 2
    assert types("book list").out.count("open") == 1


# If this failed, something that stands in the book would not be shown, or not as it was written.
def test_showing(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(WITH_ALL, "utf-8")
    test = types("enter r.csv --sheet launch-six.toml --test may.toml").out.strip()
    shown = " ".join(types(f"book show {test}").out.split())
    for words in ("first 95 psi, final 150 psi", "dry drift", "oil 4 cc", "supply 80 psi, held 50 psi", "crankcase"):
        assert words in shown
    for words in ("0417 (Launch six)", "2025-05-14", "J. Alder", "25 h", "195 rpm", "12.6 V", "Head of the chain"):
        assert words in shown
    found = told(types, f"book show {test}")
    assert [row["kind"] for row in found["readings"]] == ["dry"] * 4 + ["wet", "leakdown"]
    assert found["readings"][5] | {"heard": ["crankcase"], "restrictor": "0.040 in"} == found["readings"][5]
    assert types(f"book show {test.upper()}").code == 0


# If this failed, a correction would overwrite, or leave no trace, or not reach the judgement.
def test_a_correction(types: Types) -> None:
    test = entered(types)
    before = told(types, f"book show {test}")
    said = told(types, f'book correct {test} 3 --final "120 psi" --first "90 psi" --why "read the wrong line" --by M')
    after = told(types, f"book show {test}")
    assert said == {"test": test, "entry": after["corrections"][0]["entry"], "head": after["head"]}
    (correction,) = after["corrections"]
    assert (correction["of"], correction["who"]) == (before["readings"][2]["entry"], "M")
    assert {(row["field"], row["before"], row["after"]) for row in correction["changes"]} == {
        ("final", "152 psi", "120 psi"),
        ("first", "97 psi", "90 psi"),
    }
    assert "152 psi -> 120 psi" in " ".join(types(f"book show {test}").out.split())
    assert told(types, f"judge {test}")["lowest"]["cylinder"] == "3"
    assert types(f'book correct {test} 3 --first "not seen" --why "nobody saw it"').code == 0
    assert judged(types, test)["3"]["first"] is None
    assert types(f"book correct {test} 3 --first 91 --why remembered").code == 0
    assert judged(types, test)["3"]["first"] == pytest.approx(91)
    assert len(told(types, f"book show {test}")["corrections"]) == 3
    assert types(f'book correct {test} --date 2026-05-02 --run "700 mile" --why "the wrong page"').code == 0
    assert told(types, "book list 0417")[0]["date"] == "2026-05-02"
    assert types("book verify").code == 0


# If this failed, a line in the wrong log could not be found and taken back at the terminal.
def test_a_line_of_the_log_is_taken_back(types: Types) -> None:
    entered(types)
    assert types('event 0417 "oil change" --at "700 mile"').code == 0
    line = told(types, "event 0417")[-1]
    assert (line["event"], line["at"], line["taken_back"]) == ("oil change", "700 mile", "")
    assert types(f"event 0417 --take-back {line['entry']}").code == 2
    assert types(f'event 0417 --take-back {line["entry"]} --why "another engine"').code == 0
    assert told(types, "event 0417")[-1]["taken_back"] == "another engine"
    assert "taken back: another engine" in " ".join(types("event 0417").out.split())
    assert 'ringtrue event "0417"' in types("event 0417 --take-back 99 --why x").err


# If this failed, a correction that says nothing, contradicts itself or names nothing would stand in the record.
@pytest.mark.parametrize(
    ("words", "mentions"),
    [
        ('3 --final "120 psi"', "why"),
        ('3 --final "120 psi" --why " "', "why"),
        ('3 --final "152 psi" --why "nothing new"', "nothing"),
        ('3 --why "nothing at all"', "nothing"),
        ("--why x", "Name a cylinder"),
        ("--date 2026-02-30 --why x", "--date"),
        ('3 --run "500 mile" --why x', "belong to the whole test"),
        ('9 --final "120 psi" --why x', "“9”"),
        ('3 --final "12 psi" --why "first is above"', "12 psi"),
        ('3 --final "120 parsec" --why x', "parsec"),
        ("3 --final abc --why x", "abc"),
        ('3 --final="-5 psi" --why x', "-5"),
        ('3 --kind moist --final "120 psi" --why x', "moist"),
        ('3 --kind wet --final "120 psi" --why x', "wet"),
        ('3 --kind leakdown --final "120 psi" --why x', "leakdown"),
        ('3 --supply "80 psi" --why x', "supply"),
        ('3 --repeat 2 --final "120 psi" --why x', "repeat 2"),
        ('2 --drift --final "120 psi" --why x', "“2”"),
        ("3 --to-cylinder 9 --why x", "9"),
        ("3 --repeat two --why x", "two"),
    ],
)
def test_a_correction_that_cannot_be(types: Types, words: str, mentions: str) -> None:
    test = entered(types)
    head = told(types, f"book show {test}")["head"]
    said = types(f"book correct {test} {words}")
    assert (said.code, said.out) == (2, ""), said
    assert mentions in said.err
    assert told(types, f"book show {test}")["head"] == head


# If this failed, only dry first pulls could be put right.
def test_every_kind_can_be_put_right(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(WITH_ALL, "utf-8")
    test = types("enter r.csv --sheet launch-six.toml").out.strip()
    why = "--why misread"
    assert types(f'book correct {test} 3 --kind wet --final "146 psi" {why}').code == 0
    assert types(f'book correct {test} 3 --kind leak-down --held "60 psi" {why}').code == 0
    assert types(f'book correct {test} 1 --drift --final "148 psi" {why}').code == 0
    assert types(f"book correct {test} 2 --spoiled {why}").code == 0
    found = told(types, f"judge {test}")
    assert found["series"]["wet"]["mean"] == pytest.approx(146)
    assert found["series"]["leakdown"][0]["loss"] == pytest.approx(0.25)
    assert found["drift"]["after"] == pytest.approx(148)
    assert (found["cylinders"][1]["first_spoiled"], found["cylinders"][1]["first"]) == (True, None)
    assert types(f"book correct {test} 2 --not-spoiled {why}").code == 0
    assert judged(types, test)["2"]["first"] == pytest.approx(94)
    assert types(f'book correct {test} 3 --kind leakdown --held "90 psi" {why}').code == 2


# If this failed, a reading on the wrong cylinder could not be moved, or one that never was could not be taken back.
def test_moving_and_taking_back(types: Types) -> None:
    types("pull --sheet launch-six.toml --unit psi", "yes\nyes\n95 150\n94 121\nskip\nstop\n")
    (test,) = (row["test"] for row in told(types, "book list"))
    assert types(f'book correct {test} 2 --to-cylinder 4 --why "gauge was on 4"').code == 0
    assert {name: row["final"] for name, row in judged(types, test).items() if row["final"]} == {
        "1": pytest.approx(150),
        "4": pytest.approx(121),
    }
    entries = told(types, f"book show {test}")["readings"]
    assert types(f'book withdraw {test} {entries[0]["entry"]} --why ""').code == 2
    assert types(f"book withdraw {test} 99 --why x").code == 2
    said = told(types, f'book withdraw {test} {entries[0]["entry"]} --why "the engine had kicked back"')
    assert said == {"test": test, "withdrawn": entries[0]["entry"]}
    after = told(types, f"book show {test}")
    assert len(after["readings"]) == len(entries) - 1
    assert after["corrections"][-1]["withdrawn"] is True
    assert "taken back" in types(f"book show {test}").out
    assert types(f"book withdraw {test} {entries[0]['entry']} --why again").code == 2
    assert types("book verify").code == 0


# If this failed, an export would not be what was recorded, or would double what is there.
def test_export_and_import(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    types(f'book correct {test} 3 --final "120 psi" --why "größer geschätzt"')
    assert types("book export -o all.json").code == 0
    first = (tmp_path / "all.json").read_bytes()
    assert types("book export").out.encode() == first + b"\n"
    assert types("book import all.json --book other.db").out.startswith("Tests added: 1;")
    assert told(types, "book import all.json --book other.db") == {
        "added": [],
        "extended": [],
        "unchanged": [test],
        "photographs": 0,
        "missing": [],
    }
    types("book export -o again.json --book other.db")
    assert (tmp_path / "again.json").read_bytes() == first
    assert told(types, f"judge {test} --book other.db") == told(types, f"judge {test}")
    head = told(types, f"book show {test}")["head"]
    assert types(f"book verify {test} --head {head} --book other.db").code == 0
    short = re.search(r"Head of the chain: (\S+)", types(f"book show {test}").out)
    assert short is not None
    assert types(f"book verify {test} --head {short[1]} --book other.db").code == 0
    assert types(f"book verify {test} --head {'0' * 64} --book other.db").code == 3


# If this failed, a console of another alphabet would change what is exported, and the chains would not hold any more.
def test_an_export_in_a_console_of_another_alphabet(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    types(f'book correct {test} 3 --final "120 psi" --why "größer geschätzt"')
    types("book export -o all.json")
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    command = [sys.executable, "-m", "ringtrue", "book", "export"]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=True)
    assert done.stdout == (tmp_path / "all.json").read_bytes() + b"\n"


# If this failed, what was changed on its way would be taken in.
def test_a_changed_export_is_refused(types: Types, tmp_path: Path) -> None:
    entered(types)
    types("book export -o all.json")
    changed = (tmp_path / "all.json").read_text("utf-8").replace("152", "151", 1)
    (tmp_path / "all.json").write_text(changed, "utf-8")
    said = types("book import all.json --book other.db")
    assert said.code in {2, 3}
    assert "all.json" in said.err
    assert told(types, "book list --book other.db") == []


# If this failed, a backup would be no help on the day it is needed.
def test_backup_and_restore(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    assert told(types, "book backup safe.db") | {"tests": 1} == told(types, "book backup safe-2.db") | {
        "file": str(tmp_path / "safe.db")
    }
    assert types("book backup safe.db").code == 2
    types("pull --sheet launch-six.toml --unit psi", "yes\nyes\n95 150\n")
    restored = told(types, "book restore safe.db")
    assert (restored["tests"], len(restored["lost"])) == (1, 1)
    assert [row["test"] for row in told(types, "book list")] == [test]
    (tmp_path / "book.db").write_bytes(b"spilled coffee")
    assert types("book list").code == 3
    said = types("book restore safe.db")
    assert said.code == 0
    assert "is kept as" in said.out
    assert test in types("book list").out
    kept = [path for path in tmp_path.iterdir() if path.is_file() and path.read_bytes() == b"spilled coffee"]
    assert len(kept) == 1


# If this failed, a restore would speak of an import, and send somebody to the wrong command.
def test_what_is_no_backup_is_told_of_a_restore(types: Types, tmp_path: Path) -> None:
    entered(types)
    types("book export -o all.json")
    for name, raw in (("june.csv", None), ("cut.json", (tmp_path / "all.json").read_bytes()[:-40])):
        if raw is not None:
            (tmp_path / name).write_bytes(raw)
        said = types(f"book restore {name}")
        assert said.code == 2
        assert f"“{name}”, restore: " in said.err
        assert "The book is as it was." in said.err or "; the book is as it was." in said.err
        assert "import" not in said.err
    assert types("book verify").code == 0


# If this failed, what is known of an owner would go when one more thing is said, or be dropped without a word.
def test_what_is_not_said_of_an_owner_stays(types: Types) -> None:
    entered(types)
    refused = types('book owner 0417 --contact "555 0100"')
    assert (refused.code, refused.out) == (2, "")
    assert "An owner has a name." in refused.err
    types('book owner 0417 --name "Q. Fennimore-Test" --contact "555 0100"')
    types('book owner 0417 --address "Pier 8"')
    types('book owner 0417 --name "R. Fennimore-Test" --contact ""')
    assert told(types, "book owner 0417") == {
        "name": "R. Fennimore-Test",
        "contact": "",
        "address": "Pier 8",
        "note": "",
    }


# If this failed, a slip in a correction that the guided test asks about would go into the book without a question.
def test_a_correction_that_is_hard_to_believe(types: Types) -> None:
    test = entered(types)
    slip = f'book correct {test} 3 --final "1500 bar" --why misread'
    said = types(slip)
    assert (said.code, said.out) == (2, "")
    assert "say --confirm-unit if it is meant as it is" in said.err
    assert types(f"{slip} --confirm-unit").code == 0
    assert types(f'book correct {test} 3 --final "10.2 kg/cm2" --why misread').code == 0


# If this failed, a sheet or a gauge named beside a test's id would seem to have been used.
def test_what_changes_nothing_is_said(types: Types) -> None:
    test = entered(types)
    assert "--sheet and --unit changed nothing" in types(f"judge {test} --sheet launch-six.toml --unit bar").err
    assert "--gauge changed nothing" in types(f"report {test} --gauge nobodys -o sheet.html").err
    assert types(f"judge {test}").err == ""


# If this failed, one reading would be told as several.
def test_one_reading_is_told_as_one(types: Types, tmp_path: Path) -> None:
    (tmp_path / "one.csv").write_text("cylinder,final [psi]\n1,150\n", "utf-8")
    assert "1 reading is in the book." in types("enter one.csv --sheet launch-six.toml").err


# If this failed, a program would be told an id as it was typed, under which nothing is filed.
def test_an_id_off_the_paper_comes_back_as_the_book_spells_it(types: Types) -> None:
    test = entered(types)
    paper = test.replace("-", " ").upper()
    assert told(types, f'book correct "{paper}" 3 --final "151 psi" --why misread')["test"] == test
    assert told(types, f'book withdraw "{paper}" 3 --why misread')["test"] == test


# If this failed, an owner who asks to be forgotten would not be.
def test_an_owner_is_forgotten(types: Types, tmp_path: Path) -> None:
    entered(types)
    assert "No owner is known" in types("book owner 0417").out
    types('book owner 0417 --name "Q. Fennimore-Test" --contact "555 0100" --address "Pier 8" --note "after six"')
    assert told(types, "book owner 0417") == {
        "name": "Q. Fennimore-Test",
        "contact": "555 0100",
        "address": "Pier 8",
        "note": "after six",
    }
    assert "Fennimore" not in types("book export").out
    assert "Fennimore" in types("book export --owners").out
    assert told(types, "book forget-owner 0417") == {"erased": True}
    assert told(types, "book forget-owner 0417") == {"erased": False}
    assert b"Fennimore" not in (tmp_path / "book.db").read_bytes()
    assert types("book verify").code == 0


# If this failed, work on the engine would leave no line in its log.
def test_an_event(types: Types) -> None:
    entered(types)
    assert (
        told(types, 'event 0417 "oil change" --at "700 mile" --date 2026-07-01')["event"] == "oil change, at 700 mile"
    )
    assert types('event 0417 "re-torqued head" --at "30 h"').code == 0
    assert "oil change" in types("book export").out
    for wrong in ('9999 "oil change"', '0417 "oil change" --date yesterday', '0417 "oil change" --at "700 parsec"'):
        assert types(f"event {wrong}").code == 2


# If this failed, damage would go unseen, or a book in order would be called damaged.
def test_verify(types: Types, tmp_path: Path) -> None:
    test = entered(types)
    assert told(types, "book verify") == []
    assert types("book verify").out == "The book is what was written.\n"
    assert types(f"book verify {test}").out == f"Test {test} is what was written.\n"
    book = tmp_path / "book.db"
    assert b'"152"' in book.read_bytes()
    book.write_bytes(book.read_bytes().replace(b'"152"', b'"151"'))
    said = types("book verify")
    assert said.code == 3
    assert test in said.out
    assert types(f"judge {test}").code == 3
    assert types(f"report {test} -o sheet.pdf").code == 3
    assert not (tmp_path / "sheet.pdf").exists()
