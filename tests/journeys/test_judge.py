"""``ringtrue judge`` and ``ringtrue enter`` on real files, as other programs read them."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from tests.journeys.conftest import Said, Types

SCHEMA = Path(__file__).parents[2] / "docs" / "schemas" / "judge.schema.json"
HEADER = (
    "cylinder,kind,first [psi],final [psi],first_spoiled,drift,repeat,oil,supply [psi],held [psi],restrictor,heard\n"
)
RULES = ["mean_deviation_target", "mean_deviation_limit", "cylinder_deviation_limit"]
RULES += ["first_stroke_half", "lowest_over_highest", "below_mean"]
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


def judged(types: Types, tmp_path: Path, text: str, words: str = "") -> dict[str, object]:
    """Write a readings file, judge it, and return the JSON, which is held against its schema."""
    (tmp_path / "r.csv").write_text(text, "utf-8")
    said = types(f"judge r.csv --json {words}")
    assert (said.code, said.err) == (0, ""), said.err
    found: dict[str, object] = json.loads(said.out)
    jsonschema.validate(found, json.loads(SCHEMA.read_text("utf-8")))
    return found


# If this failed, a program that reads the judgement would break: keys, types and units are a contract.
def test_the_form_of_the_judgement(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, WHOLE, "--sheet launch-six.toml --test may.toml")
    top = {"unit", "gauge_known", "count", "not_read", "mean", "mean_deviation", "mean_deviation_percent", "lowest"}
    assert top | {"highest", "lowest_over_highest", "running", "cylinders", "rules", "series"} <= set(found)
    assert (found["unit"], found["count"], found["not_read"], found["gauge_known"]) == ("psi", 5, ["6"], False)
    series = found["series"]
    assert isinstance(series, dict)
    assert set(series) == {"dry", "wet", "leakdown"}
    assert series["wet"]["wet_over_dry"][0]["ratio"] == pytest.approx(147 / 121)
    assert series["wet"]["wet_over_dry"][0]["net_ratio"] < 147 / 121
    assert series["leakdown"][0]["loss"] == pytest.approx(0.375)
    assert series["leakdown"][0]["outcome"] == "not met"
    assert [rule["rule"] for rule in series["dry"]["rules"]] == [*RULES, "sheet_minimum", "sheet_spread"]
    assert all(rule["outcome"] == "not judged" for rule in series["wet"]["rules"] if "deviation" in rule["rule"])


# If this failed, a blank would count as zero, a spoiled first in a mean, or a repeat twice. Derived by hand: cylinder 4
# is (150 + 152)/2 = 151, mean (150 + 149 + 151 + 151 + 121)/5 = 144.4, mean deviation (5.6+4.6+6.6+6.6+23.4)/5 = 9.36.
def test_the_figures(types: Types, tmp_path: Path) -> None:
    found = judged(types, tmp_path, WHOLE)
    assert found["mean"] == pytest.approx(144.4)
    assert found["mean_deviation"] == pytest.approx(9.36)
    assert found["mean_deviation_percent"] == pytest.approx(100 * 9.36 / 144.4)
    cylinders = {row["cylinder"]: row for row in found["cylinders"]}  # type: ignore[attr-defined]
    assert cylinders["2"]["first"] is None
    assert cylinders["3"]["first_over_final"] is None
    assert cylinders["4"]["first_over_final"] == pytest.approx((96 / 150 + 97 / 152) / 2)
    assert cylinders["5"]["place"] == "low"
    assert [row["cylinder"] for row in found["running"]] == ["1", "2", "3", "4", "4", "5"]  # type: ignore[attr-defined]
    assert found["lowest"] == {"cylinder": "5", "value": pytest.approx(121)}
    assert found["lowest_over_highest"] == pytest.approx(121 / 151)


# If this failed, a script could not tell a broken limit from a missed target, or would stop at every judgement.
@pytest.mark.parametrize(
    ("finals", "words", "code"),
    [((150, 150, 153), "--exit-code", 0), ((150, 150, 120), "--exit-code", 1), ((150, 150, 120), "", 0)],
)
def test_exit_code_obeys_limits_only(
    types: Types, tmp_path: Path, finals: tuple[int, ...], words: str, code: int
) -> None:
    rows = "".join(f"{number},{final}\n" for number, final in enumerate(finals, start=1))
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n" + rows, "utf-8")
    assert types(f"judge r.csv {words}").code == code


# If this failed, one bad row would be judged around, or its faults told one at a time.
def test_every_fault_at_once_and_nothing_judged(types: Types, tmp_path: Path) -> None:
    rows = "cylinder,first [psi],final [psi]\n1,95,1_50\n2,150,95\n2,95,150\n9,95,nan\n"
    (tmp_path / "r.csv").write_text(rows, "utf-8")
    said = types("judge r.csv --sheet launch-six.toml --json")
    assert (said.code, said.out) == (2, "")
    places = [line.split(",")[1].strip() for line in said.err.splitlines()]
    # A number, a first above its final, a cylinder twice, and in the last row a number and a cylinder nobody knows.
    assert sorted(places) == ["row 2", "row 3", "row 4", "row 5", "row 5"]


# If this failed, a file without a unit would be taken for psi.
def test_the_unit_is_never_guessed(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder;final\n1;10,2\n2;10,3\n", "utf-8")
    assert types("judge r.csv").code == 2
    found = json.loads(types("judge r.csv --unit bar --json").out)
    assert (found["unit"], found["mean"]) == ("bar", pytest.approx(10.25))
    assert types("settings set units.pressure bar").code == 0
    assert json.loads(types("judge r.csv --json").out)["mean"] == pytest.approx(10.25)
    refused = types("judge r.csv --unit psi")
    assert refused.code == 2
    assert "--confirm-unit" in refused.err
    assert types("judge r.csv --unit psi --confirm-unit").code == 0


# If this failed, decimal commas would be guessed, or could not be said.
def test_decimal_commas_are_asked_about(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder;final [kPa]\n1;1,034\n2;1,027\n", "utf-8")
    asked = types("judge r.csv")
    assert asked.code == 2
    assert "--decimal comma" in asked.err
    found = json.loads(types("judge r.csv --decimal point --json").out)
    assert found["mean"] == pytest.approx(1030.5)


def entered(types: Types, words: str) -> Said:
    said = types(f"enter june.csv --sheet launch-six.toml --test june.toml {words}")
    assert said.code == 0, said.err
    return said


# If this failed, a file would be entered twice when a person is not sure whether he did it, or judged otherwise there.
def test_a_file_in_the_book_is_judged_like_the_file(types: Types) -> None:
    first, second = entered(types, ""), entered(types, "")
    test = first.out.strip()
    assert second.out.strip() == test
    assert "the same file was entered before" in second.err
    from_file = json.loads(types("judge june.csv --sheet launch-six.toml --test june.toml --json").out)
    assert json.loads(types(f"judge {test} --json").out) == from_file
    assert json.loads(types(f"judge {test.upper().replace('-', '')} --json").out) == from_file


# If this failed, a gauge from the register would not reach the judgement.
def test_a_gauge_of_the_register(types: Types) -> None:
    assert types('gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B').code == 0
    found = json.loads(types("judge june.csv --sheet launch-six.toml --gauge face-1 --json").out)
    assert found["gauge_known"] is True
    assert found["cylinders"][0]["interval"]["low"] < 152 < found["cylinders"][0]["interval"]["high"]
    assert types("judge june.csv --gauge face-2").code == 2
