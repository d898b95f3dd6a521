"""``ringtrue gauge study``: planned, filled in, worked out, kept, used. All readings are invented."""

from __future__ import annotations

import csv
import io
import json
import math
import random
from pathlib import Path
from typing import Any

import pytest
from tests.calibrated import FILE
from tests.journeys.conftest import Types

LEVELS = {"1": 150, "2": 153, "3": 149, "4": 147}
PEOPLE = {"JA": 0.0, "KM": 0.006, "RS": -0.004}
FACE = 'gauge add face-1 --range "300 psi" --resolution "1 psi" --grade B'


def filled(order: str) -> str:
    """Return a plan with invented finals: 0.6 % scatter, and what each person reads more or less."""
    chance = random.Random(5)
    rows = list(csv.DictReader(io.StringIO(order)))
    for row in rows:
        off = PEOPLE.get(row.get("read_by", ""), 0.0) + chance.gauss(0, 0.006)
        row["final [psi]"] = f"{LEVELS[row['cylinder']] * math.exp(off):.0f}"
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0].keys(), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def told(types: Types, command: str) -> Any:  # noqa: ANN401 - JSON is of any form
    said = types(f"{command} --json")
    assert said.code == 0, said.err
    return json.loads(said.out)


@pytest.fixture
def shop(types: Types, tmp_path: Path) -> Types:
    """Return a shop with a gauge and a study that was planned and taken."""
    types(FACE)
    said = types('gauge study --plan --cylinders "1;2;3;4" --people "JA;KM;RS" --seed 7 -o study.csv')
    assert said.code == 0, said.err
    path = tmp_path / "study.csv"
    path.write_text(filled(path.read_text(encoding="utf-8")), encoding="utf-8")
    (tmp_path / "points.csv").write_text(FILE, encoding="utf-8")
    return types


# If this failed, a study would be pulled in an order that lets the day's drift pass for people or cylinders.
def test_the_plan(types: Types) -> None:
    plan = 'gauge study --plan --cylinders "1;2;3;4" --people "JA;KM"'
    first, again, other = (told(types, f"{plan} --seed {seed}") for seed in (7, 7, 8))
    assert first == again
    assert first["pulls"] != other["pulls"]
    for number in (1, 2, 3):
        in_round = first["pulls"][8 * (number - 1) : 8 * number]
        assert {p["repeat"] for p in in_round} == {number}
        assert len({(p["cylinder"], p["read_by"]) for p in in_round}) == 8
    assert told(types, plan)["seed"] >= 0
    of_sheet = told(types, "gauge study --plan --sheet launch-six.toml --repeats 2")
    assert len(of_sheet["pulls"]) == 12
    said = types("gauge study --plan --sheet launch-six.toml --repeats 2 --unit bar").out
    assert "pull,cylinder,repeat,final [bar]" in said
    assert "Rotating parts" in said


# If this failed, a builder would not learn what his gauge, and his hand, are worth.
def test_the_study(shop: Types) -> None:
    said = shop("gauge study study.csv")
    assert said.code == 0, said.err
    for words in (
        "4 cylinders, 3 people, 3 repeats",
        "worked out of logarithms",
        "Nothing was kept",
        "By averages and",
    ):
        assert words in " ".join(said.out.split())
    found = told(shop, "gauge study study.csv")
    assert found["pooled"] is True
    assert 0.004 < found["one_pull"] < 0.009
    assert found["components"]["interaction"] is None
    assert found["components"]["between_people"]["sd"] > 0
    assert found["repeats_for_one_percent"] >= 3
    assert told(shop, "gauge list")[0]["repeatability"] == ""


# If this failed, what was found would change no verdict, or change those that were given.
def test_kept_it_feeds_judging(shop: Types) -> None:
    early = told(shop, "enter june.csv --gauge face-1 --sheet launch-six.toml")["test"]
    was = told(shop, f"judge {early}")
    found = told(shop, "gauge study study.csv --gauge face-1 --keep --date 2026-04-02")
    assert found["kept"] is True
    (listed,) = told(shop, "gauge list")
    assert listed["studied"] == "2026-04-02"
    assert listed["repeatability"] == f"{100 * found['one_pull']:.3g} %"
    now = told(shop, "judge june.csv --gauge face-1")
    (note,) = (each for each in now["uncertainty"] if "repeatability" in each)
    assert note.startswith(f"repeatability {100 * found['one_pull']:.2f} % of the reading, from a study of this gauge")
    assert "(2026-04-02: 4 cylinders x 3 people x 3 repeats)" in note
    assert told(shop, f"judge {early}") == was
    shop("gauge calibrate points.csv --date 2026-03-01")
    assert told(shop, "gauge list")[0]["studied"] == "2026-04-02"
    shop(f'{FACE} --hose-volume "20 cc"')
    assert told(shop, "gauge list")[0]["studied"] == "2026-04-02"
    said = shop(f'{FACE} --repeatability "0.9 %"')
    assert "no more that of its study" in said.err
    assert told(shop, "gauge list")[0]["studied"] == ""


# If this failed, a builder who works alone could not do a study, or one whose file has no numbers of repeats.
def test_alone_and_without_numbers(shop: Types) -> None:
    rows = ["cylinder,final [psi]", "1,150", "2,153", "3,149", "1,151", "2,152", "3,149", ""]
    Path("alone.csv").write_text("\n".join(rows), encoding="utf-8")
    found = told(shop, "gauge study alone.csv")
    assert (found["people"], found["repeats"], found["pooled"]) == (1, 2, None)
    assert any("few readings" in each for each in found["warnings"])


HEAD = "cylinder,read_by,repeat,final [psi]\n"
GOOD = "1,JA,1,150\n1,JA,2,151\n2,JA,1,153\n2,JA,2,152\n1,KM,1,150\n1,KM,2,152\n2,KM,1,153\n2,KM,2,154\n"
REFUSED = {
    "missing cell": (HEAD + GOOD.replace("2,KM,2,154\n", ""), "1 reading is missing: cylinder 2, KM, repeat 2"),
    "blank cell": (HEAD + GOOD.replace("154", ""), "1 reading is missing: cylinder 2, KM, repeat 2"),
    "missing person": (HEAD + GOOD.replace("2,KM,1,153\n2,KM,2,154\n", ""), "2 readings are missing"),
    "one repeat": ("cylinder,final [psi]\n1,150\n2,151\n", "nothing was pulled twice"),
    "one cylinder": ("cylinder,repeat,final [psi]\n1,1,150\n1,2,151\n", "with one cylinder nothing is known"),
    "same reading": (HEAD + GOOD + "2,KM,2,155\n", "row 9 is the same reading"),
    "spelling": (HEAD + GOOD.replace("1,KM,1", "1,k.m.,1"), "may be the same person as “k.m.”"),
    "no unit": (HEAD.replace(" [psi]", "") + GOOD, "a pressure needs its unit"),
    "zero": (HEAD + GOOD.replace("154", "0"), "scatter is a share of the reading"),
    "no name": (HEAD + GOOD.replace("2,KM,2", "2,,2"), "who read it is missing"),
    "no final": ("cylinder,read_by\n1,JA\n", "a column “final” is missing"),
    "letters": (HEAD + GOOD.replace("154", "high"), "a number has no letters"),
    "not filled in": ("cylinder,repeat,final [psi]\n1,1,\n1,2,\n2,1,\n2,2,\n", "no final is filled in yet"),
    "changed places": (
        "cylinder,final [psi]\n150,1\n151,1\n153,2\n152,2\n",
        "the two columns may have changed places",
    ),
}


# If this failed, a scatter would be worked out of a table with holes, or of one person counted as two.
@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused(name: str, types: Types) -> None:
    text, says = REFUSED[name]
    Path("study.csv").write_text(text, encoding="utf-8")
    said = types("gauge study study.csv")
    assert said.code == 2
    assert says.casefold() in said.err.casefold(), said.err
    assert "study.csv" in said.err
    assert said.out == ""


# If this failed, one slip in a heading would be told once for every row, and the slip itself in none of them.
def test_one_slip_is_told_once(shop: Types) -> None:
    Path("bar.csv").write_text((HEAD + GOOD).replace("[psi]", "[bar]"), encoding="utf-8")
    said = shop("gauge study bar.csv --gauge face-1")
    assert said.code == 2
    assert said.err.casefold().count("the gauge goes to") == 1, said.err
    assert "check the unit in the heading" in said.err.casefold()


MISUSE = (
    ("gauge study", "there is nothing to work out"),
    ("gauge study study.csv --plan", "a plan is written, not read"),
    ("gauge study none.csv", "there is no such file"),
    ("gauge study study.csv --gauge face-2", "the register has no such gauge"),
    ("gauge study study.csv --date 2096-01-01", "that is in the future"),
    ("gauge study study.csv --date spring", "write year, month, day"),
    ("gauge study --plan", "two cylinders and more"),
    ('gauge study --plan --cylinders "1;2" --repeats 1', "2 to 50 repeats"),
    ('gauge study --plan --cylinders "1;2" --people "JA;JA"', "twice"),
)


# If this failed, a slip would end in a traceback or in a study that nobody meant.
@pytest.mark.parametrize(("command", "says"), MISUSE)
def test_misuse(command: str, says: str, shop: Types) -> None:
    said = shop(command)
    assert said.code == 2
    assert says.casefold() in said.err.casefold(), said.err
    assert "Traceback" not in said.err


# If this failed, two people whose names look alike could not say so.
def test_two_people_with_one_name(types: Types) -> None:
    Path("study.csv").write_text(HEAD + GOOD.replace("KM", "j.a."), encoding="utf-8")
    assert types("gauge study study.csv").code == 2
    assert told(types, "gauge study study.csv --names-right")["people"] == 2


# If this failed, a gauge read too coarsely would be kept as one without scatter, and verdicts be far too sure.
def test_no_scatter_is_not_kept(shop: Types) -> None:
    Path("alike.csv").write_text("cylinder,final [psi]\n1,150\n2,152\n1,150\n2,152\n", encoding="utf-8")
    assert shop("gauge study alike.csv").code == 0
    said = shop("gauge study alike.csv --keep")
    assert said.code == 2
    assert "the gauge's step hides its scatter" in said.err
    assert told(shop, "gauge list")[0]["repeatability"] == ""


# If this failed, nobody could see which reading of a study stands alone, or whose.
def test_the_drawing(shop: Types, tmp_path: Path) -> None:
    assert "study.svg" in shop("gauge study study.csv -o study.svg").err
    assert (tmp_path / "study.svg").read_text("utf-8").startswith("<svg")
    refused = shop("gauge study study.csv -o study.png")
    assert (refused.code, "SVG" in refused.err) == (2, True)


# If this failed, finals that took an afternoon to read would be gone because a plan was asked for once more.
def test_a_plan_never_takes_the_place_of_a_file(types: Types, tmp_path: Path) -> None:
    plan = 'gauge study --plan --cylinders "1;2;3;4" --seed 7 -o filled.csv'
    assert types(plan).code == 0
    assert types(plan).code == 0  # the same plan to the letter takes nothing away
    path = tmp_path / "filled.csv"
    whole = filled(path.read_text(encoding="utf-8"))
    path.write_text(whole, encoding="utf-8")
    said = types(plan)
    assert said.code == 2
    assert "filled.csv" in said.err
    assert "name another file with -o, or move that one away" in " ".join(said.err.lower().split())
    assert path.read_text(encoding="utf-8") == whole
