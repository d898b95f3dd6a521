"""Build sheets at the terminal: made question by question, checked, shown."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.journeys.conftest import Types

# Each question of a V eight, with what was typed: slips first, then what can be used.
TALK: list[tuple[str, ...]] = [
    ("", "Pier eight"),  # what it is called
    ("0502",),
    ("", "W", "V"),  # layout
    ("0", "25", "1-8", "1 1", "8"),  # cylinders
    ("1 3 5 7 / 2 4 6", "1 3 5 7 / 2 4 6 9", "1 3 5 7 / 2 4 6 8"),  # banks
    ("3", "four", "4"),  # cycle
    ("petrol", '"spark"'),
    ("1 5 4 2 6 3 7 9", "1 5 4 2 6 3 7", "1-5-4-2-6-3-7-8"),  # firing order
    ("90 90", ""),  # firing intervals
    ("both", "shared"),
    ("water", "liquid"),
    ("direct injection",),
    ("102", "102 furlong", "102 mm"),  # bore
    ("-88 mm", "88 mm"),
    ("40 mm", "150 mm"),  # rod
    ("0.5", "9,6"),  # compression ratio
    ("done",),
]
SLIPS = sum(len(answers) - 1 for answers in TALK)


def typed(talk: list[tuple[str, ...]]) -> str:
    return "".join(f"{answer}\n" for answers in talk for answer in answers)


def sheet(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


# If this failed, the guided sheet would not come out as it was answered, or a slip would end it.
def test_a_guided_sheet(types: Types, tmp_path: Path) -> None:
    said = types("sheet new", typed(TALK))
    assert said.code == 0, said.err
    assert said.out.count("  ! ") == SLIPS, said.out
    assert "The build sheet is in pier-eight.toml." in said.out
    assert sheet(tmp_path / "pier-eight.toml") == {
        "engine": {
            "name": "Pier eight",
            "reference": "0502",
            "layout": "V",
            "cylinders": ["1", "2", "3", "4", "5", "6", "7", "8"],
            "banks": [["1", "3", "5", "7"], ["2", "4", "6", "8"]],
            "cycle": 4,
            "ignition": "spark",
            "firing_order": ["1", "5", "4", "2", "6", "3", "7", "8"],
            "heads": "shared",
            "cooling": "liquid",
            "hazards": ["direct injection"],
        },
        "geometry": {"bore": "102 mm", "stroke": "88 mm", "rod": "150 mm", "compression_ratio": 9.6},
    }


# If this failed, what follows from a sheet would be wrong. Derived by hand: 8 x pi/4 x 10.2^2 x 8.8 cm3 = 5752.6 cc; a
# cylinder of 719.07 cc at 9.6 leaves 719.07/8.6 = 83.61 cc; eight cylinders fire 720/8 = 90 deg apart; companions are
# 360 deg apart in the order: 1 5 4 2 | 6 3 7 8.
def test_what_follows_is_shown(types: Types) -> None:
    types("sheet new", typed(TALK))
    shown = json.loads(types("sheet show pier-eight.toml --json").out)
    assert shown["displacement_cc"] == pytest.approx(5752.6, rel=1e-4)
    assert shown["pull_order"] == ["1", "3", "5", "7", "2", "4", "6", "8"]
    rows = {row["cylinder"]: row for row in shown["cylinders"]}
    assert rows["1"]["clearance_cc"] == pytest.approx(83.61, rel=1e-3)
    assert {name: row["companions"] for name, row in rows.items() if name in "1542"} == {
        "1": ["6"],
        "5": ["3"],
        "4": ["7"],
        "2": ["8"],
    }
    assert [rows[name]["compression_top_dead_centre_deg"] for name in "15426378"] == [90 * n for n in range(8)]
    assert rows["3"]["gasket_neighbours"] == ["1", "5"]
    text = types("sheet show pier-eight.toml").out
    for words in ("V, 8 cylinders, 4-stroke, spark ignition.", "5753 cc", "Order of the test: 1, 3, 5, 7, 2, 4, 6, 8."):
        assert words in text


# If this failed, somebody who is called away would lose what he has answered, or leave half a sheet behind.
@pytest.mark.parametrize("cut", range(len(TALK)))
def test_stopping_early(types: Types, tmp_path: Path, cut: int) -> None:
    said = types("sheet new", typed(TALK[:cut]))
    path = tmp_path / "pier-eight.toml"
    if cut < 4:
        assert (said.code, path.exists()) == (2, False)
        assert "a name, a layout and cylinders" in said.err
        return
    assert (said.code, said.err) == (0, "")
    whole = types("sheet new whole.toml", typed(TALK))
    assert whole.code == 0
    assert types("sheet check pier-eight.toml").code == 0
    last, full = sheet(path), sheet(tmp_path / "whole.toml")
    assert all(full[table][key] == value for table in last for key, value in last[table].items())
    answered = sum(bool(answers[-1]) for answers in TALK[:cut])
    assert sum(len(table) for table in last.values()) == answered


# If this failed, "stop" would be taken for the name of an engine, or throw away what was answered.
def test_stop(types: Types, tmp_path: Path) -> None:
    assert types("sheet new", "stop\n").code == 2
    assert types("sheet new", "Pier\n\nV\n4\nstop\n").code == 0
    assert sheet(tmp_path / "pier.toml")["engine"]["cylinders"] == ["1", "2", "3", "4"]


# If this failed, a sheet that somebody worked on would be written over, or answers be lost because its name is taken.
def test_no_file_is_written_over(types: Types, tmp_path: Path) -> None:
    before = (tmp_path / "launch-six.toml").read_bytes()
    assert types("sheet new launch-six.toml").code == 2
    for name in ("launch-six-2.toml", "launch-six-3.toml"):
        said = types("sheet new", "Launch six\n\nV\n4\ndone\n")
        assert said.code == 0
        assert name in said.out
    assert (tmp_path / "launch-six.toml").read_bytes() == before
    refused = types("sheet new deep/down/here.toml", "Launch six\n\nV\n4\ndone\n")
    assert (refused.code, refused.out) == (2, "")
    assert not (tmp_path / "deep").exists()


# If this failed, an engine of another form would be asked what makes no sense for it, or could not be described.
@pytest.mark.parametrize(
    ("answers", "engine"),
    [
        (["Mower", "", "single", "1", "2", "spark", "", "done"], {"layout": "single", "cylinders": ["1"], "cycle": 2}),
        (
            ["Boxer", "", "flat", "left, right", "left / right", "", "", "right left", "180 540", "done"],
            {"layout": "flat", "banks": [["left"], ["right"]], "firing_intervals": [180, 540]},
        ),
        (
            ["Star", "", "radial", "5", "", "", "", "1 3 5 2 4", "done"],
            {"layout": "radial", "firing_order": ["1", "3", "5", "2", "4"]},
        ),
        (
            ["Twin", "", "V", "left 1, right 1", "left 1 / right 1", "", "compression", "left 1 - right 1", "done"],
            {"cylinders": ["left 1", "right 1"], "firing_order": ["left 1", "right 1"], "ignition": "compression"},
        ),
        (
            ["Hyphens", "", "V", "L-1 R-1", "L-1 / R-1", "", "", "L-1, R-1", "done"],
            {"cylinders": ["L-1", "R-1"], "banks": [["L-1"], ["R-1"]], "firing_order": ["L-1", "R-1"]},
        ),
        (["Großer „Stern“ \\ 9", "", "radial", "9", "done"], {"name": "Großer „Stern“ \\ 9"}),
    ],
)
def test_engines_of_every_form(types: Types, tmp_path: Path, answers: list[str], engine: dict[str, Any]) -> None:
    said = types("sheet new s.toml", "\n".join(answers) + "\n")
    assert (said.code, said.err) == (0, "")
    assert "  ! " not in said.out
    made = sheet(tmp_path / "s.toml")["engine"]
    assert {key: made[key] for key in engine} == engine
    assert types("sheet show s.toml").code == 0
    assert types("plan s.toml").code == 0


# If this failed, a compression ratio could not be typed as the trade writes it.
@pytest.mark.parametrize("written", ["8.4:1", "8,4 : 1", "8.4 to 1", "8.4"])
def test_a_ratio_to_one(types: Types, tmp_path: Path, written: str) -> None:
    answers = ["One", "", "single", "1", "", "", "", "", "", "", "", "", written, "done"]
    said = types("sheet new s.toml", "\n".join(answers) + "\n")
    assert f"Compression ratio, for example 8.4? {written}" in said.out
    assert sheet(tmp_path / "s.toml")["geometry"] == {"compression_ratio": 8.4}


# If this failed, a sheet that contradicts itself would pass, its faults be told one at a time, or a hint be missing.
def test_checking(types: Types, tmp_path: Path) -> None:
    whole = json.loads(types("sheet check launch-six.toml --json").out)
    assert whole == {"engine": "0417", "missing": [], "warnings": []}
    (tmp_path / "s.toml").write_text('[engine]\nname = "x"\nlayout = "V"\ncylinders = ["1", "2"]\n', "utf-8")
    said = types("sheet check s.toml")
    assert said.code == 0
    for words in ("ignition is not given", "Bore or stroke", "firing order", "banks are not given", "service data"):
        assert words.casefold() in " ".join(said.out.split()).casefold()


# If this failed, a rod with its decimal mark or unit lost would shift what every cylinder should show, without a word.
# Rods of one to two strokes are usual, and six is far beyond any (common practice).
@pytest.mark.parametrize(
    ("rod", "words"),
    [
        ("144.8 cm", "rod of 1448 mm is longer than 6 strokes (stroke 86 mm)"),
        ("8 cm", "rod of 80 mm is shorter than the stroke (stroke 86 mm)"),
        ("144.8 mm", ""),
        ("86 mm", ""),
        ("51.6 cm", ""),
    ],
)
def test_a_rod_that_no_usual_engine_has_is_asked_about(types: Types, tmp_path: Path, rod: str, words: str) -> None:
    text = '[engine]\nname = "x"\nlayout = "inline"\ncylinders = ["1", "2"]\n[geometry]\nstroke = "86 mm"\n'
    (tmp_path / "s.toml").write_text(f'{text}rod = "{rod}"\n', "utf-8")
    said = types("sheet check s.toml")
    assert said.code == 0
    assert (words in " ".join(said.err.split())) if words else ("strokes" not in said.err and "shorter" not in said.err)
    asked = json.loads(types("sheet check s.toml --json").out)["warnings"]
    assert len(asked) == (1 if words else 0)
    assert words in " ".join(types("sheet show s.toml").err.split())


# If this failed, the faults of a sheet would be told one at a time: what cannot be read, then what cannot be together.
@pytest.mark.parametrize("command", ["check", "show"])
@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ('colour = "red"\nheads = "both"\n[geometry]\nbore = "92"\n', ["colour", "both", "bore"]),
        (
            'firing_order = ["1", "1"]\n[geometry]\nbore = "92 mm"\nstroke = "98 mm"\nrod = "40 mm"\n',
            ["firing_order", "rod"],
        ),
    ],
)
def test_every_fault_of_a_sheet(types: Types, tmp_path: Path, command: str, wrong: str, words: list[str]) -> None:
    start = '[engine]\nname = "x"\nlayout = "V"\ncylinders = ["1", "2"]\n'
    (tmp_path / "s.toml").write_text(start + wrong, "utf-8")
    refused = types(f"sheet {command} s.toml")
    assert (refused.code, refused.out) == (2, "")
    lines = refused.err.splitlines()
    assert len(lines) == len(words)
    assert all(line.startswith("s.toml") and line.endswith((".", "?")) for line in lines)
    assert all(word in refused.err for word in words)
