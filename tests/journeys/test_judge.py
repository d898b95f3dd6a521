"""``ringtrue judge`` on real files, as other programs read its answer: keys, types, units, figures, exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.journeys.conftest import Types

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "schemas" / "judge.schema.json").read_text(encoding="utf-8"))
HEADER = (
    "cylinder,kind,first [psi],final [psi],first_spoiled,drift,repeat,oil,supply [psi],held [psi],restrictor,heard\n"
)
WHOLE = HEADER + (
    "1,,96,150,,,,,,,,\n"
    "2,,,149,,,,,,,,\n"
    "3,,20,151,yes,,,,,,,\n"
    "4,,96,150,,,1,,,,,\n"
    "4,,97,152,,,2,,,,,\n"
    "5,,70,121,,,,,,,,\n"
    "1,,95,149,,yes,,,,,,\n"
    "5,wet,88,147,,,,4 cc,,,,\n"
    "5,leakdown,,,,,,,80,50,0.040 in,crankcase\n"
)
# The published form of the judgement. Keys may be added; none is renamed or removed.
TOP = {"unit", "gauge_known", "count", "not_read", "mean", "mean_deviation", "mean_deviation_percent", "lowest"}
TOP |= {"highest", "lowest_over_highest", "running", "cylinders", "rules"}
RUNNING = {"cylinder", "final", "mean", "mean_deviation", "mean_deviation_percent"}
CYLINDER = {"cylinder", "first", "final", "deviation", "deviation_percent", "first_over_final", "place"}
RULE = {"rule", "level", "outcome", "value", "limit", "unit", "cylinder", "source", "reason"}
LEAKDOWN = {"loss", "outcome", "rule", "limit", "source"}
RULES = ["mean_deviation_target", "mean_deviation_limit", "cylinder_deviation_limit"]
RULES += ["first_stroke_half", "lowest_over_highest", "below_mean"]

Json = dict[str, Any]


def judged(types: Types, tmp_path: Path, text: str, words: str = "") -> Json:
    """Write a readings file, judge it, and return the JSON, which is held against its schema."""
    (tmp_path / "r.csv").write_text(text, "utf-8")
    said = types(f"judge r.csv --json {words}")
    assert (said.code, said.err) == (0, ""), said.err
    found: Json = json.loads(said.out)
    jsonschema.validate(found, SCHEMA)
    return found


def finals(*figures: float | str, unit: str = "psi") -> str:
    """Return a readings file of finals alone, for cylinders 1, 2, 3 and on."""
    return f"cylinder,final [{unit}]\n" + "".join(f"{n},{figure}\n" for n, figure in enumerate(figures, start=1))


def places(found: Json) -> list[str]:
    return [row["place"] for row in found["cylinders"]]


def outcomes(found: Json) -> dict[str, str]:
    return {rule["rule"]: rule["outcome"] for rule in found["rules"]}


# ------------------------------------------------------------------------------------------------ the form


# If this failed, the schema would hold for anything, and the checks against it would say nothing.
def test_the_schema_has_teeth(types: Types, tmp_path: Path) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    found = judged(types, tmp_path, WHOLE)
    for key in (*TOP, "series", "patterns", "warnings"):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({name: value for name, value in found.items() if name != key}, SCHEMA)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**found, "mean": "144.4"}, SCHEMA)


# If this failed, a program that reads the judgement would break: its keys are promised.
def test_every_promised_key_is_there(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, WHOLE, "--sheet launch-six.toml --test may.toml")
    assert set(found) >= TOP | {"series"}
    assert set(found["series"]) == {"dry", "wet", "leakdown"}
    assert all(set(found["series"][kind]) >= TOP for kind in ("dry", "wet"))
    assert all(set(row) >= RUNNING for row in found["running"])
    assert all(set(row) >= CYLINDER for row in found["cylinders"])
    assert all(set(row) >= RULE for row in found["rules"])
    assert all(set(row) >= LEAKDOWN for row in found["series"]["leakdown"])
    assert all(set(row) >= {"cylinder", "ratio"} for row in found["series"]["wet"]["wet_over_dry"])
    assert {key: found[key] for key in TOP} == {key: found["series"]["dry"][key] for key in TOP}


# If this failed, a program that takes the top level for granted would stop at a wet series or a leak-down alone.
@pytest.mark.parametrize(
    ("row", "count"), [("5,wet,88,147,,,,4 cc,,,,\n", 1), ("5,leakdown,,,,,,,80,50,0.040 in,\n", 0)]
)
def test_the_top_level_is_the_only_series(types: Types, tmp_path: Path, row: str, count: int) -> None:
    found = judged(types, tmp_path, HEADER + row)
    assert set(found) >= TOP
    assert (found["count"], found["unit"]) == (count, "psi")
    assert [rule["rule"] for rule in found["rules"]] == RULES
    assert set(outcomes(found).values()) <= {"not judged", "met"}


# If this failed, what a script pipes on would be another thing than what is tested here, or would hold more than JSON.
def test_the_real_command_line(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(WHOLE, "utf-8")
    command = [sys.executable, "-m", "ringtrue", "judge", "r.csv", "--json", "--exit-code"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, check=False, env={**os.environ})
    assert (done.returncode, done.stderr) == (1, b"")
    assert done.stdout.decode("utf-8").replace("\r\n", "\n") == types("judge r.csv --json").out


# ------------------------------------------------------------------------------------------------ the figures


# If this failed, a blank would count as zero, a spoiled first in a mean, or a repeat twice. Derived by hand: cylinder 4
# is (150 + 152)/2 = 151, mean (150 + 149 + 151 + 151 + 121)/5 = 144.4, mean deviation (5.6+4.6+6.6+6.6+23.4)/5 = 9.36.
def test_the_figures(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, WHOLE, "--sheet launch-six.toml")
    assert (found["unit"], found["count"], found["not_read"], found["gauge_known"]) == ("psi", 5, ["6"], False)
    assert found["mean"] == pytest.approx(144.4, rel=1e-12)
    assert found["mean_deviation"] == pytest.approx(9.36, rel=1e-12)
    assert found["mean_deviation_percent"] == pytest.approx(100 * 9.36 / 144.4, rel=1e-12)
    assert found["lowest"] == {"cylinder": "5", "value": pytest.approx(121, rel=1e-12)}
    assert found["highest"]["value"] == pytest.approx(151, rel=1e-12)
    assert found["lowest_over_highest"] == pytest.approx(121 / 151, rel=1e-12)
    cylinders = {row["cylinder"]: row for row in found["cylinders"]}
    assert list(cylinders) == ["1", "2", "3", "4", "5", "6"]
    assert cylinders["5"]["deviation"] == pytest.approx(-23.4, rel=1e-12)
    assert cylinders["5"]["deviation_percent"] == pytest.approx(-100 * 23.4 / 144.4, rel=1e-12)
    assert cylinders["2"]["first"] is None
    assert (cylinders["3"]["first"], cylinders["3"]["first_over_final"]) == (None, None)
    assert cylinders["4"]["first_over_final"] == pytest.approx((96 / 150 + 97 / 152) / 2, rel=1e-12)
    six = {key: value for key, value in cylinders["6"].items() if key in CYLINDER - {"cylinder", "place"}}
    assert set(six.values()) == {None}
    assert places(found) == ["in line"] * 4 + ["low", "not read"]


# If this failed, the running figures would skip a repeat, count it as a cylinder, or take drift and oil in. By hand:
# after the repeat the means so far are 150, 149, 151, 151.
def test_running_follows_the_rows(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, WHOLE)
    assert [row["cylinder"] for row in found["running"]] == ["1", "2", "3", "4", "4", "5"]
    assert [row["final"] for row in found["running"]] == pytest.approx([150, 149, 151, 150, 152, 121], rel=1e-12)
    means = [150, 149.5, 150, 150, 150.25, 144.4]
    assert [row["mean"] for row in found["running"]] == pytest.approx(means, rel=1e-12)
    assert found["running"][0]["mean_deviation"] == 0
    assert found["running"][4]["mean_deviation"] == pytest.approx((0.25 + 1.25 + 0.75 + 0.75) / 4, rel=1e-12)
    wet = found["series"]["wet"]["running"]
    assert [(row["cylinder"], row["mean"]) for row in wet] == [("5", pytest.approx(147, rel=1e-12))]


# If this failed, 0 would be taken for missing, or missing for 0: a dead cylinder and one that nobody read.
def test_nought_is_a_reading_and_blank_is_none(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, "cylinder,first [psi],final [psi]\n1,95,150\n2,0,0\n3,,\n4,95,149\n5,96,151\n")
    assert (found["count"], found["not_read"]) == (4, ["3"])
    assert found["mean"] == pytest.approx(450 / 4, rel=1e-12)
    assert found["lowest"] == {"cylinder": "2", "value": 0}
    assert found["lowest_over_highest"] == 0
    dead, unread = found["cylinders"][1:3]
    assert (dead["first"], dead["final"], dead["place"], dead["first_over_final"]) == (0, 0, "low", None)
    assert (unread["first"], unread["final"], unread["place"]) == (None, None, "not read")
    assert [row["cylinder"] for row in found["running"]] == ["1", "2", "4", "5"]


# If this failed, figures would be rounded on the way out, and the same test would judge otherwise in another unit.
def test_nothing_is_rounded_and_the_unit_is_that_of_the_first_final(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, finals(150, 150, 151))
    assert found["mean"] == pytest.approx(150 + 1 / 3, rel=1e-13)
    assert found["mean_deviation"] == pytest.approx(4 / 9, rel=1e-12)
    mixed = judged(types, tmp_path, "cylinder,final,unit\n1,10.0,bar\n2,150,psi\n3,1034,kPa\n")
    assert mixed["unit"] == "bar"
    # 1 psi = 0.0689475729... bar: NIST SP 811, appendix B.8 (6.894 757 E+03 Pa).
    assert [row["final"] for row in mixed["cylinders"]] == pytest.approx([10, 150 * 0.06894757, 10.34], rel=1e-6)


# If this failed, readings in another unit would be judged otherwise. 1 psi = 6.894757 kPa (NIST SP 811, B.8).
def test_the_same_engine_in_another_unit(types: Types, tmp_path: Path) -> None:
    figures = (150, 149, 151, 121)
    in_psi = judged(types, tmp_path, finals(*figures))
    in_kpa = judged(types, tmp_path, finals(*(f"{figure * 6.894757:.6f}" for figure in figures), unit="kPa"))
    assert in_kpa["unit"] == "kPa"
    assert in_kpa["mean"] == pytest.approx(in_psi["mean"] * 6.894757, rel=1e-7)
    assert in_kpa["mean_deviation_percent"] == pytest.approx(in_psi["mean_deviation_percent"], rel=1e-6)
    assert (outcomes(in_kpa), places(in_kpa)) == (outcomes(in_psi), places(in_psi))


# If this failed, a cylinder would be out of line where it is not, or nobody would be told that two groups stand apart.
# Off the median by more than 10 %: low or high; two cylinders, or halves, parted by more than 10 %: cannot tell.
@pytest.mark.parametrize(
    ("figures", "where"),
    [
        ((150, 151, 149, 150), ["in line"] * 4),
        ((150, 151, 149, 120), ["in line"] * 3 + ["low"]),
        ((150, 151, 149, 175), ["in line"] * 3 + ["high"]),
        ((150, 120), ["cannot tell"] * 2),
        ((150, 149, 120, 121), ["cannot tell"] * 4),
        ((150, 149), ["in line"] * 2),
        ((150,), ["in line"]),
        ((150, "", 149), ["in line", "not read", "in line"]),
        ((150, 100, 149, 110, 151), ["in line", "low", "in line", "low", "in line"]),
    ],
)
def test_places(types: Types, tmp_path: Path, figures: tuple[float | str, ...], where: list[str]) -> None:
    assert places(judged(types, tmp_path, finals(*figures))) == where


# If this failed, one reading would be judged as if it had siblings.
def test_one_reading(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, "cylinder,first [psi],final [psi]\npot,60,100\n")
    assert (found["mean_deviation"], found["mean_deviation_percent"], found["lowest_over_highest"]) == (0, 0, 1)
    assert {rule: outcome for rule, outcome in outcomes(found).items() if outcome != "not judged"} == {
        "first_stroke_half": "met"
    }


# ------------------------------------------------------------------------------------------------ rules


# If this failed, a program would find a rule in another place, or take a target for a limit.
def test_rules_their_order_and_level(types: Types, tmp_path: Path) -> None:
    sheet = (tmp_path / "launch-six.toml").read_text("utf-8")
    sheet += 'lowest_over_highest = 0.8\nadopt = ["CT-07", "CT-04"]\n'
    (tmp_path / "s.toml").write_text(sheet, "utf-8")
    found = judged(types, tmp_path, WHOLE, "--sheet s.toml")
    own = ["sheet_minimum", "sheet_spread", "sheet_lowest_over_highest", "CT-07", "CT-04"]
    level = ["whole_engine_low", "whole_engine_high"]
    assert [rule["rule"] for rule in found["rules"]] == [*RULES, *own, *level]
    assert [rule["level"] for rule in found["rules"]] == ["target"] + ["limit"] * 10 + ["expectation"] * 2
    assert [rule["source"] for rule in found["rules"][:6]] == ["common practice"] * 4 + ["CT-01", "CT-03"]
    assert {rule["source"] for rule in found["rules"][6:9]} == {"service data"}
    minimum = found["rules"][6]
    assert (minimum["unit"], minimum["limit"], minimum["cylinder"]) == ("psi", pytest.approx(120), "5")
    assert [rule["unit"] for rule in found["rules"][:6]] == ["%", "%", "%", "", "", "%"]
    # The worst cylinder stands where the rule is about one, and nothing where it is about all.
    assert [rule["cylinder"] for rule in found["rules"][:3]] == [None, None, "5"]


# If this failed, a figure on its limit would fall to the other side. Common practice and CT-01, CT-03: exactly 10 % and
# 20 % are not met, exactly 0.75 and half are met. By hand: of 90, 100, 110 the outer ones are 10 % off the mean; of
# 80, 110, 110 the lowest is 20 % below; 75 is 0.75 of 100.
@pytest.mark.parametrize(
    ("rows", "rule", "outcome"),
    [
        ("1,,90\n2,,100\n3,,110\n", "cylinder_deviation_limit", "not met"),
        ("1,,90.1\n2,,100\n3,,109.9\n", "cylinder_deviation_limit", "met"),
        ("1,,80\n2,,110\n3,,110\n", "below_mean", "not met"),
        ("1,,75\n2,,100\n3,,100\n", "lowest_over_highest", "met"),
        ("1,,74.9\n2,,100\n3,,100\n", "lowest_over_highest", "not met"),
        ("1,50,100\n2,,100\n3,,100\n", "first_stroke_half", "met"),
        ("1,49.9,100\n2,,100\n3,,100\n", "first_stroke_half", "not met"),
        ("1,,99\n2,,101\n", "mean_deviation_target", "not met"),
        ("1,,99.1\n2,,100.9\n", "mean_deviation_target", "met"),
    ],
)
def test_on_the_limit(types: Types, tmp_path: Path, rows: str, rule: str, outcome: str) -> None:
    assert outcomes(judged(types, tmp_path, "cylinder,first [psi],final [psi]\n" + rows))[rule] == outcome


# If this failed, a missing cylinder would let an engine pass, or hide a limit that is broken already.
def test_a_missing_cylinder(types: Types, tmp_path: Path) -> None:
    good = judged(types, tmp_path, finals(150, 151, "", 149))
    spread = next(rule for rule in good["rules"] if rule["rule"] == "lowest_over_highest")
    assert (spread["outcome"], spread["reason"]) == ("not judged", "cylinder 3 not read")
    assert outcomes(judged(types, tmp_path, finals(150, 100, "", 149)))["lowest_over_highest"] == "not met"


# If this failed, a script could not tell a broken limit from a missed target, or would stop at every judgement.
@pytest.mark.parametrize(
    ("text", "words", "code"),
    [
        (finals(150, 150, 155), "--exit-code", 0),
        (finals(150, 150, 120), "--exit-code", 1),
        (finals(150, 150, 120), "", 0),
        (finals(150, 150, 120), "--exit-code --json", 1),
        (finals(150, "", 151), "--exit-code", 0),
        (HEADER + "1,wet,88,147,,,,4 cc,,,,\n2,wet,20,60,,,,4 cc,,,,\n", "--exit-code", 0),
        (HEADER + "5,leakdown,,,,,,,80,50,0.040 in,\n", "--exit-code", 1),
        (HEADER + "5,leakdown,,,,,,,80,76,0.040 in,\n", "--exit-code", 0),
        (HEADER + "5,leakdown,,,,,,,80,50,,\n", "--exit-code", 0),
    ],
)
def test_exit_code_obeys_limits_only(types: Types, tmp_path: Path, text: str, words: str, code: int) -> None:
    (tmp_path / "r.csv").write_text(text, "utf-8")
    assert types(f"judge r.csv {words}").code == code


# If this failed, a gauge that cannot decide would be made to: with steps of 20 psi nobody knows on which side 10 % is.
def test_too_close_to_call_is_no_broken_limit(types: Types, tmp_path: Path) -> None:
    assert types('gauge add coarse --range "300 psi" --resolution "20 psi" --grade D').code == 0
    text = finals(150, 150, 150, 131)
    assert outcomes(judged(types, tmp_path, text))["cylinder_deviation_limit"] == "met"
    found = judged(types, tmp_path, text, "--gauge coarse")
    assert outcomes(found)["cylinder_deviation_limit"] == "too close to call"
    assert types("judge r.csv --gauge coarse --exit-code").code == 0


# ------------------------------------------------------------------------------------------------ oil and air


# If this failed, the wet series would be held against itself, or the oil's own volume taken for rings.
def test_oil_and_air(types: Types, tmp_path: Path) -> None:
    series = judged(types, tmp_path, WHOLE, "--sheet launch-six.toml")["series"]
    (row,) = series["wet"]["wet_over_dry"]
    assert row["ratio"] == pytest.approx(147 / 121, rel=1e-12)
    assert 1.0 < row["net_ratio"] < row["ratio"]
    spread = set(RULES) - {"first_stroke_half"}
    assert {rule["outcome"] for rule in series["wet"]["rules"] if rule["rule"] in spread} == {"not judged"}
    (leak,) = series["leakdown"]
    assert leak["loss"] == pytest.approx(30 / 80, rel=1e-12)
    assert (leak["outcome"], leak["rule"], leak["limit"]) == ("not met", "leakdown_suspect", pytest.approx(0.2))
    assert leak["heard"] == ["crankcase"]
    assert judged(types, tmp_path, WHOLE)["series"]["wet"]["wet_over_dry"][0]["net_ratio"] is None


# If this failed, a leak-down through a hole that nobody knows would be judged by the rule for another one.
def test_an_unknown_restrictor(types: Types, tmp_path: Path) -> None:
    (leak,) = judged(types, tmp_path, HEADER + "5,leakdown,,,,,,,80,50,,\n")["series"]["leakdown"]
    assert (leak["outcome"], leak["restrictor_mm"]) == ("not judged", None)
    assert leak["loss"] == pytest.approx(0.375, rel=1e-12)


# ------------------------------------------------------------------------------------------- beside the build sheet


# If this failed, a whole engine could read low or high for its build sheet and nobody be told, or be told two things at
# once; or finals read after five strokes be held against ten. The figures are invented.
@pytest.mark.parametrize(
    ("level", "low", "high"), [(60, "not met", "met"), (155, "met", "met"), (300, "met", "not met")]
)
def test_the_whole_engine_beside_its_sheet(types: Types, tmp_path: Path, level: int, low: str, high: str) -> None:
    rows = "\n".join(f"{name},{level},5" for name in "123456")
    command = "judge whole.csv --sheet launch-six.toml --confirm-unit"
    found = judged(types, tmp_path, f"cylinder,final [psi],strokes\n{rows}\n", "--sheet launch-six.toml --confirm-unit")
    assert outcomes(found)["whole_engine_low"] == low
    assert outcomes(found)["whole_engine_high"] == high
    (tmp_path / "whole.csv").write_text(f"cylinder,final [psi],strokes\n{rows}\n", "utf-8")
    said = " ".join(types(command).out.split())
    assert "is expected after 5 strokes, 9 times in 10" in said
    assert ("the whole engine reads low" in said) == (low == "not met")
    assert ("reads low for its build sheet: it does" in said) == (low == "not met")
    assert ("reads high for its build sheet: it does" in said) == (high == "not met")
    assert found["expected"]["final"]["low"] < found["expected"]["final"]["high"]


# If this failed, a sheet that says too little would stop the judging, or be silent about what it lacks.
def test_a_thin_sheet_is_no_hindrance(types: Types, tmp_path: Path) -> None:
    (tmp_path / "thin.toml").write_text(
        '[engine]\nname = "Thin"\nlayout = "inline"\ncylinders = ["1", "2", "3", "4", "5", "6"]\n', "utf-8"
    )
    found = judged(types, tmp_path, WHOLE, "--sheet thin.toml")
    assert found["expected"] is None
    assert "whole_engine_low" not in outcomes(found)
    said = " ".join(types("judge r.csv --sheet thin.toml").out.split())
    assert "What this engine should show cannot be said" in said
    assert "no compression ratio" in said
