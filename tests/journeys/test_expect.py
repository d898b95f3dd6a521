"""``ringtrue expect`` as it is typed: what is said, what is drawn, what programs read, every way to get it wrong."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from unittest import mock

import jsonschema
import pytest
from tests.expectations import V8
from tests.journeys.conftest import Types

import ringtrue.physics

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "schemas" / "expect.schema.json").read_text(encoding="utf-8"))
TOP = {"unit", "strokes", "final", "first_over_final", "inputs", "narrow_it", "cylinders"}
BAND = {"median", "low", "high"}

Json = dict[str, Any]

SHEET = """\
[engine]
name = "Quay four"
layout = "inline"
cylinders = ["1", "2", "3", "4"]

[geometry]
bore = "86 mm"
stroke = "86 mm"
compression_ratio = 9.0
"""


@pytest.fixture
def hand_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the hand-made V8 in the place of what physics works out."""
    monkeypatch.setattr(ringtrue.physics, "expect", lambda *_: V8)


def expected(types: Types, words: str) -> Json:
    """Type the command, and return its JSON, which is held against its schema."""
    said = types(f"expect {words} --json")
    assert said.code == 0, said.err
    found: Json = json.loads(said.out)
    jsonschema.validate(found, SCHEMA)
    return found


# ------------------------------------------------------------------------------------------------ the form


# If this failed, the schema would hold for anything, and the checks against it would say nothing.
@pytest.mark.usefixtures("hand_made")
def test_the_schema_has_teeth(types: Types) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    found = expected(types, "launch-six.toml")
    for key in SCHEMA["required"]:
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({name: value for name, value in found.items() if name != key}, SCHEMA)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**found, "final": 184}, SCHEMA)


# If this failed, a program that reads the expectation would break: these keys are promised. Figures as hand-made.
@pytest.mark.usefixtures("hand_made")
def test_every_promised_key_is_there(types: Types) -> None:
    found = expected(types, "launch-six.toml")
    assert set(found) >= TOP
    assert found["unit"] == "psi"
    assert found["final"] == pytest.approx({"median": 184, "low": 157, "high": 205})
    assert found["first_over_final"] == pytest.approx({"median": 0.50, "low": 0.334, "high": 0.663})
    assert [row["stroke"] for row in found["strokes"]] == [1, 2, 3, 4, 5, 6]
    assert all(set(row) == BAND | {"stroke"} for row in found["strokes"])
    ratio = next(row for row in found["inputs"] if row["name"] == "compression_ratio")
    assert (ratio["low"], ratio["high"]) == pytest.approx((177, 191))
    assert (ratio["at_low"], ratio["at_high"], ratio["at_unit"]) == (8.7, 9.3, "")
    law = next(row for row in found["inputs"] if row["name"] == "heat_law")
    assert (law["at_low"], law["at_high"], law["at_unit"]) == (None, None, "")
    assert found["narrow_it"].startswith("Lift the cam card counts at.")
    assert found["narrowing"]["name"] == "quoted_lift"
    assert [row["cylinder"] for row in found["cylinders"]][:2] == ["L1", "L2"]
    assert (found["measured"], found["explained_percent"]) == (False, None)


# If this failed, a person would not be told what to look for, how far to trust it, or what to measure, in this order.
@pytest.mark.usefixtures("hand_made")
def test_what_a_person_reads(types: Types) -> None:
    said = types("expect launch-six.toml")
    assert (said.code, said.err) == (0, "")
    headings = [
        row for row, below in zip(said.out.split("\n"), said.out.split("\n")[1:], strict=False) if set(below) == {"-"}
    ]
    assert headings == [
        "Launch six: what to look for on the starter, in psi",
        "How far to trust it",
        "What moves the final most, in psi",
        "What a change would do to the final",
        "Cylinder by cylinder",
        "What would narrow it most",
    ]
    text = " ".join(said.out.split())
    for sentence in (
        "After ten strokes the needle should stand at 157 to 205 psi, 9 times in 10; 184 psi is the middle of that",
        "The absolute level cannot be predicted closely",
        "No gauge was named",
        "compression ratio 8.70 to 9.30 177 to 191 given",
        "all of them together 157 to 205",
        "compression ratio up by 1 1.125 1.117 to 1.133",
        "No cylinder was measured beside others that were",
        "common practice: common practice of the trade, no single source",
        "ringtrue advises; it does not certify.",
    ):
        assert sentence in text
    assert text.endswith("moved by what is found.")


# If this failed, a bar would not show where the middle is, or would not be as long as its figures.
@pytest.mark.usefixtures("hand_made")
def test_the_printed_bars(types: Types) -> None:
    rows = {
        row[:25].strip(): row.rsplit("  ", 1)[-1].strip() for row in types("expect launch-six.toml").out.splitlines()
    }
    # By hand: from 157 to 208 psi in 24 places, 184 is at place 12 (from 0), 164 at 3, 204 at 21.
    assert rows["lift the cam card counts"] == "...=========|=========.."


# If this failed, a unit that was asked for, settled, or that of the gauge's face would not be used.
@pytest.mark.usefixtures("hand_made")
def test_which_unit(types: Types) -> None:
    assert expected(types, "launch-six.toml --unit bar")["final"]["median"] == pytest.approx(12.686, abs=0.001)
    types('gauge add face-2 --range "20 kg/cm2" --resolution "0.2 kg/cm2"')
    found = expected(types, "launch-six.toml --gauge face-2")
    assert (found["unit"], found["gauge"]) == ("kg/cm2", "face-2")
    types("settings set units.pressure kPa")
    assert expected(types, "launch-six.toml")["unit"] == "kPa"
    assert expected(types, "launch-six.toml --unit psia")["unit"] == "psi"


# If this failed, the drawing would not be written, or would get in the way of what other programs read.
@pytest.mark.usefixtures("hand_made")
def test_the_drawing(types: Types, tmp_path: Path) -> None:
    said = types("expect launch-six.toml -o tornado.svg --json")
    assert said.code == 0
    assert said.err == "The drawing is in tornado.svg.\n"
    assert json.loads(said.out)["unit"] == "psi"
    assert (tmp_path / "tornado.svg").read_text("utf-8").startswith("<svg")
    (tmp_path / "a b").mkdir()
    assert "What moves the final most" in types('expect launch-six.toml -o "a b/tornado.SVG"').out
    assert (tmp_path / "a b" / "tornado.SVG").exists()


# If this failed, the command line would load the physics to show its help.
def test_help_needs_no_physics() -> None:
    code = "import sys; from ringtrue.cli import run; run(['--help']); print({'numba', 'numpy'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, encoding="utf-8")
    assert done.stdout.splitlines()[-1] == "set()"


# ------------------------------------------------------------------------------------------------ the real thing


# If this failed, physics and face would not fit: a real needle rises, and intervals hold their middle.
def test_a_real_engine(types: Types) -> None:
    found = expected(types, "launch-six.toml --test may.toml")
    needle = [row["median"] for row in found["strokes"]]
    assert needle == sorted(needle)
    assert all(row["low"] < row["median"] < row["high"] for row in (*found["strokes"], found["final"]))
    assert found["measured"] is True
    assert found["explained_percent"] > 0
    assert [row["cylinder"] for row in found["cylinders"]] == ["1", "2", "3", "4", "5", "6"]
    text = " ".join(types("expect launch-six.toml --test may.toml").out.split())
    assert "The measured volumes by themselves make a mean deviation of" in text
    assert "3 8.42" in text


# If this failed, height would raise a reading, or a typed condition would change nothing.
def test_conditions_count(types: Types) -> None:
    low = expected(types, 'launch-six.toml --altitude "0 m"')["final"]["median"]
    high = expected(types, 'launch-six.toml --altitude "1500 m"')["final"]["median"]
    assert high < 0.9 * low
    barometers = [
        row for row in expected(types, 'launch-six.toml --altitude "0 m"')["inputs"] if row["name"] == "barometer"
    ]
    assert barometers[0]["known"] is True
    cold = expected(types, 'launch-six.toml --inlet-air "-10 C" --oil "-5 C"')
    assert next(row for row in cold["inputs"] if row["name"] == "inlet_air")["at_low"] < -10


# If this failed, the advice to write an angle at the seat with a lift of 0 mm would lead nowhere.
def test_what_is_advised_can_be_written(types: Types, tmp_path: Path) -> None:
    cam = '\n[camshaft]\nintake_closes = "62 deg after BDC"\nquoted_at_lift = "{}"\n'
    for lift, uncertain in (("0 mm", False), ("0.050 in", True)):
        (tmp_path / "quay.toml").write_text(SHEET + cam.format(lift), "utf-8")
        names = {row["name"] for row in expected(types, "quay.toml")["inputs"]}
        assert ("quoted_lift" in names) is uncertain
        assert "intake_closing" in names


# If this failed, two statements about one thing would be mixed in silence.
@pytest.mark.parametrize(
    ("typed", "note"),
    [
        (
            '--altitude "1500 m" --barometer "840 hPa"',
            "Note: the altitude, 1500 m, is left aside: the barometer tells more.\n",
        ),
        (
            '--cranking-speed "190 rpm" --battery "12.4 V"',
            "Note: the battery's voltage, 12.4 V, is left aside: the cranking speed tells more.\n",
        ),
        (
            '--test day.toml --altitude "1500 m"',
            "Note: the barometer of the test file, 1003 hPa, is left aside: the altitude was typed.\n",
        ),
        (
            '--test day.toml --barometer "980 hPa"',
            "Note: the altitude, 120 m, is left aside: the barometer tells more.\n",
        ),
        ("--test may.toml", ""),
        ('--test may.toml --oil "60 C" --altitude "5 m"', ""),
    ],
)
@pytest.mark.usefixtures("hand_made")
def test_the_same_thing_said_twice(types: Types, tmp_path: Path, typed: str, note: str) -> None:
    (tmp_path / "day.toml").write_text('[conditions]\naltitude = "120 m"\nbarometer = "1003 hPa"\n', "utf-8")
    said = types(f"expect launch-six.toml {typed}")
    assert (said.code, said.err) == (0, note)
    found = json.loads(types(f"expect launch-six.toml {typed} --json").out)
    assert [f"Note: {warning}.\n" for warning in found["warnings"]] == ([note] if note else [])


# If this failed, what is typed would not win over the file, or the file would be forgotten.
def test_what_is_typed_wins_over_the_file(types: Types) -> None:
    seen: dict[str, Any] = {}

    def watch(_sheet: object, gauge: object, conditions: Any) -> object:  # noqa: ANN401 - whatever the shop hands over
        seen.update(gauge=gauge, conditions=conditions)
        return V8

    types('gauge add face-3 --hose-volume "30 cc"')
    with mock.patch.object(ringtrue.physics, "expect", watch):
        types('expect launch-six.toml --test may.toml --oil "60 C" --gauge face-3')
    day = seen["conditions"]
    assert (str(day.oil), str(day.inlet_air), str(day.cranking_speed)) == ("60 C", "16 C", "195 rpm")
    assert seen["gauge"].name == "face-3"


# ------------------------------------------------------------------------------------------------ what cannot be used


# If this failed, a two-stroke would get figures that are not its own, or its owner would not know what is left to him.
def test_a_two_stroke(types: Types, tmp_path: Path) -> None:
    (tmp_path / "two.toml").write_text(SHEET.replace("[geometry]", "cycle = 2\n\n[geometry]"), "utf-8")
    said = types("expect two.toml")
    assert (said.code, said.out) == (2, "")
    assert "two.toml: a two-stroke engine" in said.err
    assert "judging and recording work without an expectation" in said.err


# If this failed, somebody with a thin sheet would not learn at once what it lacks, or would think that he cannot test.
def test_a_thin_sheet(types: Types, tmp_path: Path) -> None:
    (tmp_path / "thin.toml").write_text(SHEET.partition("[geometry]")[0], "utf-8")
    said = types("expect thin.toml --json")
    assert (said.code, said.out) == (2, "")
    for lacks in ("no bore", "no stroke", "no compression ratio"):
        assert f"thin.toml, [geometry]: {lacks}" in said.err
    assert said.err.endswith(
        "Judging and recording go on without an expectation. Type ringtrue judge FILE --sheet thin.toml.\n"
    )
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n1,150\n2,151\n3,149\n4,150\n", "utf-8")
    assert types("judge r.csv --sheet thin.toml").code == 0


# If this failed, an impossible engine would get a pressure.
@pytest.mark.parametrize(
    ("was", "becomes", "said"),
    [
        ("compression_ratio = 9.0", "compression_ratio = 3.5", "4 to 30"),
        ("compression_ratio = 9.0", "compression_ratio = 35", "4 to 30"),
        (
            "compression_ratio = 9.0",
            'compression_ratio = 9.0\n[camshaft]\nintake_closes = "170 deg after BDC"',
            "170 deg",
        ),
        ('bore = "86 mm"', 'bore = "0 mm"', "bore"),
        ('bore = "86 mm"', "bore = 86", "unit"),
    ],
)
def test_an_impossible_engine(types: Types, tmp_path: Path, was: str, becomes: str, said: str) -> None:
    (tmp_path / "odd.toml").write_text(SHEET.replace(was, becomes), "utf-8")
    refused = types("expect odd.toml")
    assert (refused.code, refused.out) == (2, "")
    assert refused.err.startswith("odd.toml")
    assert said in refused.err


# If this failed, a slip of the fingers would be taken for a condition, or be refused without saying why.
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("--oil 18", '--oil: read "18": A temperature needs its unit.'),
        ('--inlet-air "18 psi"', "--inlet-air: "),
        ('--inlet-air "18 psi"', "a temperature is wanted here"),
        ('--inlet-air "18 deg"', "degrees of which scale"),
        ('--oil "-300 C"', "nothing is below absolute zero".capitalize()),
        ('--oil "300 C"', "--oil: 300 C: The oil of an engine is at -40 to 150 C"),
        ('--inlet-air "80 C"', "--inlet-air: 80 C: The air where an engine is cranked is at -40 to 60 C"),
        (
            '--cranking-speed "0 rpm"',
            "--cranking-speed: 0 rpm: Cranking speed is above zero. Correct it, or leave it out.",
        ),
        ('--cranking-speed "-190 rpm"', "--cranking-speed: -190 rpm: Cranking speed is above zero."),
        ('--cranking-speed "1900 rpm"', "turns an engine at 50 to 600 rpm"),
        ("--cranking-speed 190", "needs its unit"),
        ('--cranking-speed "190 mph"', "no unit of cranking speed"),
        ('--altitude "9000 m"', "No engine is cranked at that height."),
        ('--altitude "120 psi"', "one of pressure"),
        ("--altitude high", "--altitude: "),
        ('--barometer "30 psi"', "No barometer shows that on the spot."),
        ('--barometer "0 hPa"', "No barometer shows that on the spot."),
        ('--battery "-12 V"', "--battery: -12 V: Battery is above zero."),
        ('--oil ""', "Nothing stands there."),
        ("--oil", "--oil"),
        ("--oil --json", "--oil: "),
        ("--unit parsec", "--unit: "),
        ("--unit mm", "one of length"),
        ("--gauge nobody", "nobody"),
        ("--test nowhere.toml", "nowhere.toml"),
        ("--test launch-six.toml", "launch-six.toml"),
        ("-o tornado.pdf", "“tornado.pdf”: The drawing is an SVG file. Name a file that ends in .svg."),
        ("-o tornado", "ends in .svg"),
        ("-o launch-six.toml/t.svg", "cannot be written"),
        ("--speed 190", "--speed"),
        ("more.toml", "more.toml"),
    ],
)
def test_what_is_mistyped(types: Types, typed: str, said: str) -> None:
    refused = types(f"expect launch-six.toml {typed}")
    assert refused.code == 2
    assert refused.out == ""
    assert said in refused.err
    assert "Traceback" not in refused.err


# If this failed, sheet, file and words would be corrected one at a time, each with its own try.
def test_all_faults_at_once(types: Types, tmp_path: Path) -> None:
    (tmp_path / "odd.toml").write_text(SHEET.replace('"86 mm"', "86"), "utf-8")
    said = types('expect odd.toml --test nowhere.toml --oil 18 --cranking-speed "0 rpm" --unit parsec')
    assert said.code == 2
    for part in (
        "odd.toml, [geometry] bore",
        "odd.toml, [geometry] stroke",
        "nowhere.toml",
        "--oil",
        "--cranking-speed",
        "--unit",
    ):
        assert part in said.err


# If this failed, a fault of the day or the gauge would be looked for in the wrong place.
def test_a_fault_is_placed_where_it_stands(types: Types, tmp_path: Path) -> None:
    (tmp_path / "hot.toml").write_text('[gauge]\nhose_volume = "2 L"\n\n[conditions]\noil = "300 C"\n', "utf-8")
    said = types("expect launch-six.toml --test hot.toml --confirm-unit")
    assert "hot.toml, [conditions] oil: 300 C" in said.err
    assert "hot.toml, [gauge] hose_volume: 2 L" in said.err
    types('gauge add barrel --hose-volume "2 L"')
    assert "gauge barrel, hose_volume: 2 L" in types("expect launch-six.toml --gauge barrel").err


# If this failed, no sheet, or one that is not there, would end in something else than plain words.
@pytest.mark.parametrize(
    ("typed", "said"), [("expect", "SHEET is missing"), ("expect nowhere.toml", "nowhere.toml"), ("expect .", "folder")]
)
def test_no_sheet(types: Types, typed: str, said: str) -> None:
    refused = types(typed)
    assert refused.code == 2
    assert said in refused.err
