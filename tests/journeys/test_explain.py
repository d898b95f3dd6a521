"""``ringtrue explain`` as it is typed: what is said, what programs read, what is drawn, every way to get it wrong."""

from __future__ import annotations

import itertools
import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import jsonschema
import pytest
from tests.explained import ALL_SOUND, EIGHT, SIX
from tests.journeys.conftest import Types

import ringtrue.diagnosis
from ringtrue.compression import CompressionTest
from ringtrue.diagnosis.explanation import Explanation

SCHEMA = json.loads(
    (Path(__file__).parents[2] / "docs" / "schemas" / "explain.schema.json").read_text(encoding="utf-8")
)

Json = dict[str, Any]

WEAK = """\
cylinder,kind,first [psi],final [psi],oil,supply [psi],held [psi],restrictor,heard
1,dry,95,150,,,,,
2,dry,94,149,,,,,
3,dry,96,151,,,,,
4,dry,96,152,,,,,
5,dry,70,121,,,,,
6,dry,95,150,,,,,
5,wet,92,150,4 cc,,,,
6,wet,99,158,4 cc,,,,
5,leakdown,,,,80,50,0.040 in,crankcase
"""
"""Invented: an inline six whose cylinder 5 is low, clearly better with oil, and hisses at the oil filler."""


@pytest.fixture
def weak(types: Types, tmp_path: Path) -> Types:
    """Put the readings of a weak cylinder beside the story's files."""
    (tmp_path / "weak.csv").write_text(WEAK, "utf-8")
    return types


def hand_made(monkeypatch: pytest.MonkeyPatch, found: Explanation) -> list[Json]:
    """Put a hand-made explanation in the place of what is worked out; return what it was asked."""
    asked: list[Json] = []

    def explain(test: CompressionTest, sheet: object, **more: Any) -> Explanation:  # noqa: ANN401 - passed through
        asked.append({"test": test, "sheet": sheet, **more})
        return found

    monkeypatch.setattr(ringtrue.diagnosis, "explain", explain)
    return asked


def explained(types: Types, words: str) -> Json:
    """Type the command, and return its JSON, which is held against its schema."""
    said = types(f"explain {words} --json")
    assert said.code == 0, said.err
    found: Json = json.loads(said.out)
    jsonschema.validate(found, SCHEMA)
    return found


def headings(text: str) -> list[str]:
    """Return the headings of what was printed."""
    rows = text.split("\n")
    return [row for row, below in itertools.pairwise(rows) if below and set(below) == {"-"}]


# ------------------------------------------------------------------------------------------------ the form


# If this failed, the schema would hold for anything, and the checks against it would say nothing.
def test_the_schema_has_teeth(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    hand_made(monkeypatch, EIGHT)
    found = explained(weak, "weak.csv")
    for key in SCHEMA["required"]:
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({name: value for name, value in found.items() if name != key}, SCHEMA)
    for cylinder in ({"cylinder": "1"}, {**found["cylinders"][0], "causes": [{"cause": "rust", "probability": 1}]}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({**found, "cylinders": [cylinder]}, SCHEMA)


# If this failed, a program that reads the explanation would break: these keys are promised. Figures as hand-made.
def test_every_promised_key_is_there(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, SIX)
    found = explained(weak, "weak.csv --sheet launch-six.toml")
    five = found["cylinders"][4]
    assert set(five) >= {"cylinder", "causes", "answer", "leak_area_mm2", "because"}
    assert five["answer"] == {"says": "rings", "probability": 0.81}
    assert five["causes"][0] == {"cause": "rings", "probability": 0.81}
    assert five["leak_area_mm2"] == pytest.approx({"median": 0.62, "low": 0.4, "high": 0.95})
    heard, leak, *_, final = five["because"]
    assert (heard["item"], heard["read"], heard["words"]) == ("heard", None, ["crankcase"])
    assert (leak["read"], leak["unit"], leak["factor"], leak["for"]) == (0.24, "", 4.0, "rings")
    assert leak["ruled_out"] == ["sound", "not_filling", "exhaust_valve"]
    assert (final["read"], final["unit"]) == (pytest.approx(121), "psi")
    assert five["steps"][0]["item"] is None
    assert found["engine"][0]["cause"] == "none"
    first = found["next"][0]
    assert set(first) >= {"check", "cylinder", "gain_bits", "minutes", "why"}
    assert (first["check"], first["cylinder"], first["gain_bits"], first["minutes"]) == ("leak_down", "5", 0.42, 15.0)
    assert found["next"][1]["cylinder"] is None
    assert found["banks"] == []
    assert found["without_sheet"] == []


# If this failed, contradictions, banks and what a sheet would add would be lost to a program.
def test_what_else_a_program_reads(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, EIGHT)
    found = explained(weak, "weak.csv")
    assert [(each["bank"], each["cause"]) for each in found["banks"]] == [(2, "cam_timing"), (2, "gasket")]
    (slip,) = found["contradictions"]
    assert (slip["between"], slip["slip"], slip["read"]) == (["leakdown", "heard"], "heard_elsewhere", 0.0)
    assert [each["cylinder"] for each in found["cylinders"] if not each["read"]] == ["R3"]
    assert "Say --sheet" in found["without_sheet"][0]
    assert [each["cylinder"] for each in explained(weak, "weak.csv --cylinder L2")["cylinders"]] == ["L2"]


# ------------------------------------------------------------------------------------------------ what is said


# If this failed, a builder would not be told what is likeliest first, then why, then what to do, and with what care.
def test_what_a_person_reads(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, SIX)
    said = weak("explain weak.csv --sheet launch-six.toml")
    assert (said.code, said.err) == (0, "")
    assert headings(said.out) == [
        "Launch six: what it is likely to be",
        "Cylinder 5",
        "The engine as a whole",
        "Next check, the one that tells most for its minutes first",
        "With care",
    ]
    text = " ".join(said.out.split())
    for sentence in (
        "Cylinder 5: most likely rings or bore, about 4 in 5.",
        "Cylinders 1, 2, 3, 4 and 6: sound as far as these readings tell, each about 9 in 10 or better.",
        "Ruled out by The air heard at the oil filler or dipstick: intake valve or its seat;",
        "Would settle it Leak-down on cylinder 5, 15 min.",
        "Air turns the crank: hold it with a bar",
        "ringtrue advises; it does not certify.",
    ):
        assert sentence in text


# If this failed, contradictory readings would be read past, or a sheet that is missing not be missed.
def test_contradictions_come_first(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, EIGHT)
    said = weak("explain weak.csv")
    assert headings(said.out)[:3] == ["What it is likely to be", "Read these again first", "Cylinder L2"]
    assert headings(said.out)[-1] == "Without the build sheet"
    assert "After these: Look into cylinder R2 (15 min); Take cylinder R2 apart (8 h)." in said.out


# If this failed, the owner of a sound engine would pay for looking.
def test_a_sound_engine_is_left_alone(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, ALL_SOUND)
    said = weak("explain weak.csv --sheet launch-six.toml")
    assert "Nothing here is worth taking apart: stop." in said.out
    assert headings(said.out) == ["Launch six: what it is likely to be", "The engine as a whole"]
    assert explained(weak, "weak.csv --sheet launch-six.toml")["nothing_to_do"] is True


# If this failed, the pattern of the trade's table, low, clearly better with oil, air at the oil filler, would not come
# out as rings or bore (common practice).
@pytest.mark.parametrize("sheet", ["", " --sheet launch-six.toml"])
def test_weak_rings(weak: Types, sheet: str) -> None:
    found = explained(weak, f"weak.csv{sheet}")
    five = found["cylinders"][4]
    assert five["causes"][0]["cause"] == "rings"
    assert five["answer"]["says"] == "rings"
    assert found["with_sheet"] is bool(sheet)
    assert {each["answer"]["says"] for each in found["cylinders"] if each["cylinder"] != "5"} == {"sound"}
    for each in found["cylinders"]:
        assert sum(odd["probability"] for odd in each["causes"]) == pytest.approx(1, abs=1e-9)
    assert sum(odd["probability"] for odd in found["engine"]) == pytest.approx(1, abs=1e-9)


# If this failed, an engine whose cylinders read alike would send its builder looking.
def test_alike_is_sound(weak: Types) -> None:
    found = explained(weak, "june.csv --sheet launch-six.toml --test june.toml")
    assert {each["answer"]["says"] for each in found["cylinders"]} == {"sound"}
    assert found["nothing_to_do"] is True


# If this failed, the same readings would be explained in two ways.
def test_the_same_every_time(weak: Types) -> None:
    words = "weak.csv --sheet launch-six.toml"
    assert explained(weak, words) == explained(weak, words)


# If this failed, a sheet that the model cannot use would stop an explanation, or be passed over in silence.
@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("cycle = 4", "cycle = 2"), "read valve as port, reed or crankcase seal"),
        (('bore = "92 mm"', ""), "no bore"),
    ],
)
def test_a_sheet_that_the_model_cannot_use(weak: Types, tmp_path: Path, change: tuple[str, str], told: str) -> None:
    text = (tmp_path / "launch-six.toml").read_text("utf-8")
    assert change[0] in text
    (tmp_path / "odd.toml").write_text(text.replace(*change), "utf-8")
    said = weak("explain weak.csv --sheet odd.toml")
    assert (said.code, said.err) == (0, "")
    assert "The build sheet could not be used for the model" in said.out
    assert told in " ".join(said.out.split())
    found = explained(weak, "weak.csv --sheet odd.toml")
    assert found["with_sheet"] is False
    assert found["without_sheet"]


# ------------------------------------------------------------------------------------------------ the book, the shop


# If this failed, a test of the book would be explained without its sheet, or without what was read on the engine
# before.
def test_a_test_of_the_book_knows_the_earlier_ones(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    first = weak("enter june.csv --sheet launch-six.toml").out.strip()
    second = weak("enter weak.csv --sheet launch-six.toml").out.strip()
    asked = hand_made(monkeypatch, SIX)
    found = explained(weak, second)
    assert (found["test"], found["earlier"]) == (second, [first])
    assert found["cylinders"][0]["cylinder"] == "1"
    assert asked[-1]["sheet"].name == "Launch six"
    assert [earlier.unit for earlier in asked[-1]["earlier"]] == ["psi"]
    assert explained(weak, first)["earlier"] == []
    assert f"Earlier tests of this engine as it is built: {first}." in weak(f"explain {second}").out


# If this failed, a cylinder whose fault was mended would be told to have carbon, because it reads higher than it did.
def test_a_mended_cylinder_is_not_told_by_its_old_fault(weak: Types) -> None:
    first = weak("enter weak.csv --sheet launch-six.toml --test may.toml").out.strip()
    second = weak("enter june.csv --sheet launch-six.toml --test june.toml").out.strip()
    found = explained(weak, second)
    assert found["earlier"] == [first]
    assert {each["answer"]["says"] for each in found["cylinders"]} == {"sound"}
    assert found["nothing_to_do"] is True


# If this failed, an earlier test with nothing to compare would be called one that was looked at.
def test_an_earlier_test_with_one_cylinder_says_nothing(weak: Types, tmp_path: Path) -> None:
    (tmp_path / "one.csv").write_text("cylinder,final [psi]\n1,150\n", "utf-8")
    weak("enter one.csv --sheet launch-six.toml")
    second = weak("enter june.csv --sheet launch-six.toml").out.strip()
    assert explained(weak, second)["earlier"] == []


# If this failed, an engine that was rebuilt would be laid over its old self as if nothing had been done to it.
def test_a_rebuilt_engine_has_no_earlier_tests(weak: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    weak("enter june.csv --sheet launch-six.toml")
    text = (tmp_path / "launch-six.toml").read_text("utf-8")
    (tmp_path / "launch-six.toml").write_text(text + "\n# new rings\n", "utf-8")
    second = weak("enter weak.csv --sheet launch-six.toml").out.strip()
    hand_made(monkeypatch, SIX)
    assert explained(weak, second)["earlier"] == []


# If this failed, the id of a test that is not in the book would end in a fault, or in another test.
def test_an_id_that_is_not_in_the_book(weak: Types) -> None:
    weak("enter weak.csv --sheet launch-six.toml")
    said = weak("explain bcdf-2345")
    assert (said.code, said.out) == (2, "")
    assert "bcdf-2345" in said.err


# If this failed, options that a test of the book does not use would seem to be used.
def test_options_that_a_test_of_the_book_does_not_use(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    test = weak("enter weak.csv --sheet launch-six.toml").out.strip()
    hand_made(monkeypatch, SIX)
    assert "--sheet changed nothing" in weak(f"explain {test} --sheet launch-six.toml").err


# If this failed, what a shop has settled would change nothing.
def test_a_shops_own_practice(weak: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    weak("settings set causes.rings 0.2")
    weak("settings set minutes.leak_down 7")
    weak("settings set engine_causes.throttle 0")
    asked = hand_made(monkeypatch, SIX)
    found = explained(weak, "weak.csv")
    assert found["practice"]["causes"]["rings"] == 0.2
    assert found["practice"]["minutes"]["leak_down"] == 7
    assert asked[-1]["practice"].engine["throttle"] == 0
    assert "causes.rings 0.2 rings or bore this shop" in " ".join(weak("settings").out.split())
    assert json.loads(weak("settings --json").out)["practice"]["minutes"]["leak_down"] == 7


# If this failed, the hand-over sheet would keep to itself what is likeliest, or talk of causes on a sound engine.
def test_the_hand_over_sheet_has_it_in_short(weak: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, SIX)
    weak("report weak.csv --sheet launch-six.toml -o weak.html")
    page = (tmp_path / "weak.html").read_text("utf-8")
    assert "What is likeliest, and what would tell most" in page
    assert "Cylinder 5: most likely rings or bore, about 4 in 5." in page
    assert "Would tell most: leak-down on cylinder 5 (15 min)." in page
    weak("report june.csv --sheet launch-six.toml -o june.html")
    assert "What is likeliest" not in (tmp_path / "june.html").read_text("utf-8")
    test = weak("enter weak.csv --sheet launch-six.toml").out.strip()
    weak(f"report {test} -o book.html")
    assert "Cylinder 5: most likely rings or bore" in (tmp_path / "book.html").read_text("utf-8")


# ------------------------------------------------------------------------------------------------ the drawings


# If this failed, the drawing would not be where it was asked for, or not be a drawing of this engine.
def test_the_drawings(weak: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_made(monkeypatch, SIX)
    said = weak("explain weak.csv --sheet launch-six.toml -o causes.svg")
    assert said.err == "The drawing is in causes.svg.\n"
    plan = ET.fromstring((tmp_path / "causes.svg").read_text("utf-8"))  # noqa: S314 - drawn a line ago
    assert (plan[0].text or "").startswith("What each cylinder of Launch six may have. cylinder 1: sound")
    weak("explain weak.csv --sheet launch-six.toml --cylinder 5 -o moved.svg")
    moved = ET.fromstring((tmp_path / "moved.svg").read_text("utf-8"))  # noqa: S314 - drawn a line ago
    assert (moved[0].text or "").startswith("How each reading moved the odds of cylinder 5 of Launch six.")


# ------------------------------------------------------------------------------------------------ what goes wrong


# If this failed, somebody who mistypes would get a traceback, or an answer about something else.
@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("nothing.csv", "“nothing.csv”: There is no such file. Check the name and the folder."),
        ("nothing", "“nothing”: There is no file of that name, and no test has such an id."),
        ("bcdf-2345", "There is no book here. Name another with --book."),
        ("weak.csv --sheet nothing.toml", "“nothing.toml”: There is no such file."),
        ("nothing.csv --sheet nothing.toml", "“nothing.toml”: There is no such file."),
        ("weak.csv --test nothing.toml", "“nothing.toml”: There is no such file."),
        ("weak.csv --gauge face-9", "face-9"),
        ("weak.csv --unit mm", "The unit mm is one of length"),
        ("weak.csv --cylinder 9", "--cylinder 9: This test has no such cylinder. Name one of 1, 2, 3, 4, 5, 6."),
        ("weak.csv --cylinder", "the value behind --cylinder is missing"),
        ("weak.csv -o causes.png", "“causes.png”: The drawing is an SVG file. Name a file that ends in .svg."),
        ("weak.csv -o no/causes.svg", "There is no folder “no”"),
        ("weak.csv june.csv", "There is no place for it in ringtrue explain."),
        ("", "ringtrue explain"),
        ("launch-six.toml", "launch-six.toml"),
    ],
)
def test_what_cannot_be_explained(weak: Types, words: str, told: str) -> None:
    said = weak(f"explain {words}")
    assert said.code in {2, 3}
    assert said.out == ""
    assert told.casefold() in said.err.casefold()
    assert "Traceback" not in said.err


# If this failed, faults of a file and of its sheet would be told one at a time.
def test_all_faults_at_once(weak: Types, tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text("cylinder,final [psi]\n1,fifteen\n2,1_50\n", "utf-8")
    said = weak("explain bad.csv --sheet nothing.toml")
    assert said.code == 2
    assert said.err.count("\n") >= 3


# If this failed, few readings, or strange ones, would end in a fault of the program.
@pytest.mark.parametrize(
    "rows",
    [
        "1,dry,,150,,",
        "1,dry,,,,\n2,dry,,150,,",
        "1,dry,,,,\n2,dry,,,,",
        "1,dry,,0,,\n2,dry,,150,,\n3,dry,,150,,",
        "1,dry,,150,,\n2,dry,,120,,",
        "1,leakdown,,,80,60",
        "1,dry,80,150,,\n2,dry,80,150,,\n1,leakdown,,,80,80\n2,leakdown,,,80,0",
        "1,wet,80,150,,\n2,wet,80,150,,",
    ],
)
@pytest.mark.parametrize("sheet", ["", " --sheet launch-six.toml"])
def test_few_readings(types: Types, tmp_path: Path, rows: str, sheet: str) -> None:
    (tmp_path / "few.csv").write_text(
        f"cylinder,kind,first [psi],final [psi],supply [psi],held [psi]\n{rows}\n", "utf-8"
    )
    said = types(f"explain few.csv{sheet}")
    assert said.code in {0, 2}, said.err
    assert said.out if said.code == 0 else said.err
    if said.code == 0:
        explained(types, f"few.csv{sheet}")


# If this failed, the command would be slow to start: what is heavy would be loaded before anything is asked.
def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from ringtrue.cli.app import app; "
        "print([name for name in ('numpy', 'scipy', 'matplotlib', 'sqlalchemy') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
