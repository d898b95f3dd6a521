"""Every key of the JSON that commands print stands in the guide."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.built import fill, hand_over
from tests.calibrated import FILE, STUDY
from tests.photographed import photograph
from tests.shown import Workshop

from ringtrue.records import Book

PAGE = Path(__file__).resolve().parents[2] / "docs" / "guide" / "json.md"

# Figures of the readings are invented; between them they fill every part of a judgement that one engine can show.
READINGS = """\
cylinder,kind,first [psi],final [psi],oil,supply [psi],held [psi],restrictor,drift
1,dry,95,150,,,,,
2,dry,94,149,,,,,
3,dry,70,121,,,,,
4,dry,96,152,,,,,
1,dry,95,149,,,,,yes
3,wet,88,147,4 cc,,,,
3,leakdown,,,,80,61,0.040 in,
"""
HALVES = "cylinder,final [psi]\n1,150\n2,149\n3,120\n4,119\n"
# Names that people or engines give, and what the book tells of a test in words: not keys of the format.
NAMES = re.compile(r"(shop|units|sheet|book)\.[a-z]+|(mean_|cylinder_)?deviation_(target|limit)")
WORDS = {"header", "limits", "settings"}

COMMANDS = (
    "judge readings.csv --sheet launch-six.toml --gauge face-1",
    "judge halves.csv",
    "explain readings.csv --sheet launch-six.toml",
    "explain halves.csv",
    "enter readings.csv --sheet launch-six.toml",
    "sheet show launch-six.toml",
    "plan launch-six.toml",
    "leakdown --supply 80psi --held 61psi --restrictor 0.040in --sheet launch-six.toml --cylinder 3 --into new",
    "leakdown --order --sheet launch-six.toml",
    "expect launch-six.toml --gauge face-1",
    "normalise readings.csv --sheet launch-six.toml --gauge face-1",
    "trend 0417",
    "why readings.csv --sheet launch-six.toml --gauge face-1",
    "book list",
    "book verify",
    "gauge list",
    "gauge calibrate points.csv --only-show",
    "gauge study study.csv",
    "gauge study --plan --sheet launch-six.toml",
    "settings",
    "sheet check launch-six.toml",
    'gauge add face-2 --range "300 psi" --resolution "2 psi" --grade B --repeatability "1 %"',
    'event 0417 "oil change"',
    "book backup copy.db",
    "book owner 0417 --name Fennimore",
    "book forget-owner 0417",
    "settings set shop.name Quay",
    "report readings.csv -o sheet.html",
)


def keys(document: object) -> Iterator[str]:
    """Yield every key of a document, but those within parts that are told in words."""
    if isinstance(document, dict):
        for key, value in document.items():
            yield key
            if key not in WORDS:
                yield from keys(value)
    elif isinstance(document, list):
        for item in document:
            yield from keys(item)


def prepared(folder: Path) -> Workshop:
    """Return a workshop with an engine, a gauge, readings, and a book that has them."""
    shop = Workshop(folder)
    shop.follow("<!-- have: launch-six.toml -->\n")
    (folder / "readings.csv").write_text(READINGS, "utf-8")
    (folder / "halves.csv").write_text(HALVES, "utf-8")
    shop.type('ringtrue gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B')
    (folder / "points.csv").write_text(FILE, "utf-8")
    (folder / "study.csv").write_text(STUDY, "utf-8")
    shop.type("ringtrue enter readings.csv --sheet launch-six.toml")
    return shop


def unknown(said: str) -> list[str]:
    """Return the keys of a document that the guide does not name."""
    named = set(re.findall(r"`([^`\s]+)`", PAGE.read_text("utf-8")))
    return sorted({key for key in keys(json.loads(said)) if key not in named and not NAMES.fullmatch(key)})


# If this failed, another program would meet a key that nothing explains.
@pytest.mark.parametrize("command", COMMANDS)
def test_every_key_stands_in_the_guide(command: str, tmp_path: Path) -> None:
    assert unknown(prepared(tmp_path).type(f"ringtrue {command} --json")) == []


# If this failed, the same would happen to a program that puts a book right, moves it or brings it back.
def test_every_key_of_what_was_done_stands_in_the_guide(tmp_path: Path) -> None:
    shop = prepared(tmp_path)
    test = json.loads(shop.type("ringtrue enter readings.csv --sheet launch-six.toml --json"))["test"]
    shop.type("ringtrue book export -o all.json")
    shop.type("ringtrue book backup copy.db")
    (tmp_path / "plug.jpg").write_bytes(photograph())
    kept = json.loads(shop.type(f"ringtrue book photograph {test} plug.jpg --cylinder 3 --json"))
    assert unknown(json.dumps(kept)) == []
    for command in (
        f"book on-sheet {test} {kept['entry']}",
        f"book show {test}",
        f'book correct {test} 3 --final "122 psi" --why misread',
        f"book withdraw {test} 2 --why misread",
        "book import all.json --book other.db",
        "book restore copy.db --book other.db",
        "book restore copy.db",
    ):
        assert unknown(shop.type(f"ringtrue {command} --json")) == [], command


# If this failed, the same would happen to a program that compares two tests.
def test_every_key_of_a_comparison_stands_in_the_guide(tmp_path: Path) -> None:
    shop = prepared(tmp_path)
    typed = ("readings.csv", "halves.csv")
    ids = [json.loads(shop.type(f"ringtrue enter {name} --sheet launch-six.toml --json"))["test"] for name in typed]
    said = shop.type(f"ringtrue normalise {' '.join(ids)} --json")
    assert json.loads(said)["changes"]
    assert unknown(said) == []


# If this failed, the same would happen with readings that a calibration corrects.
def test_every_key_of_a_calibrated_gauge_stands_in_the_guide(tmp_path: Path) -> None:
    shop = prepared(tmp_path)
    shop.type("ringtrue gauge calibrate points.csv --columns-right")
    said = shop.type("ringtrue judge readings.csv --gauge face-1 --json")
    assert json.loads(said)["correction"]
    assert unknown(said) == []


# If this failed, the same would happen with a test of the book that was corrected.
def test_every_key_of_a_corrected_test_stands_in_the_guide(tmp_path: Path) -> None:
    shop = prepared(tmp_path)
    test = json.loads(shop.type("ringtrue enter readings.csv --sheet launch-six.toml --json"))["test"]
    shop.type(f'ringtrue book correct {test} 3 --final "122 psi" --why "misread"')
    said = shop.type(f"ringtrue book show {test} --json")
    assert json.loads(said)["corrections"]
    assert unknown(said) == []


# If this failed, the same would happen with the shop's builds.
def test_every_key_of_the_shops_builds_stands_in_the_guide(tmp_path: Path) -> None:
    shop = prepared(tmp_path)
    with Book.open(tmp_path / "builds.db") as book:
        fill(book, 30)
        hand_over(book, 31, {"1": 150.0, "2": 149.0}, None, "2026-12-01")
    said = shop.type("ringtrue workmanship --book builds.db --json")
    document = json.loads(said)
    assert document["charted"]["average"]
    assert document["kinds"]
    assert document["left_out"]
    assert {"rank", "mean_ranks"} <= {key for each in document["looked_at"] for key in each}
    assert unknown(said) == []
