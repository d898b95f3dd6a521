"""The shop's builds, from the command line: what is charted, what is told, what is refused."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import pytest
from jsonschema import Draft202012Validator
from tests.built import fill, finals, hand_over, sheet
from tests.journeys.conftest import Said, Types
from tests.records.making import behind

from ringtrue.records import Book
from ringtrue.shop import workmanship as in_shop

if TYPE_CHECKING:
    from collections.abc import Callable

SCHEMA = json.loads(
    (Path(__file__).resolve().parents[2] / "docs" / "schemas" / "workmanship.schema.json").read_text(encoding="utf-8")
)


def flat(said: Said) -> str:
    """Return what was said, without the ends of lines."""
    assert said.code == 0, said.err
    return " ".join(said.out.split())


def with_builds(write: Callable[[Book], None]) -> None:
    """Write builds into the book of the folder in which the builder types."""
    with Book.open("book.db") as book:
        write(book)


def told(types: Types, options: str = "") -> Any:  # noqa: ANN401 - whatever JSON holds
    """Return what the command says to another program, held to its schema."""
    said = types(f"workmanship --json {options}")
    assert said.code == 0, said.err
    document = json.loads(said.out)
    Draft202012Validator(SCHEMA).validate(document)
    return document


# If this failed, a build that is far out, and a change that stays, would not be told, or be told of the wrong build.
def test_a_build_that_is_out_and_a_change_that_stays(types: Types) -> None:
    with_builds(lambda book: fill(book, 60, out=31, worse_from=45))
    document = told(types)
    signals = document["charted"]["signals"]
    assert ("single build", 31) in {(each["chart"], each["build"]) for each in signals}
    sums = next(each for each in signals if each["chart"] == "sums" and each["lasts"])
    assert sums["wider"]
    assert 42 <= sums["began"] <= 48
    said = flat(types("workmanship"))
    assert (
        "Build 31 (Engine 31, 2026-08-10) is outside what the builds of the baseline would lead one to expect" in said
    )
    assert "Ask what changed about then" in said
    assert "6.3.2.3, CUSUM chart" in said


# If this failed, a shop that goes on as before would be chased by its own charts.
def test_a_shop_that_stays_as_it_is(types: Types) -> None:
    with_builds(lambda book: fill(book, 45))
    document = told(types)
    assert document["charted"]["signals"] == []
    assert document["charted"]["baseline"]["count"] == 20
    assert "No chart tells of a change" in flat(types("workmanship"))


# If this failed, chambers that lower the finals by construction would not be found to do so, or things that have
# nothing to do with anything would.
def test_what_goes_together(types: Types) -> None:
    with_builds(lambda book: fill(book, 45))
    found = {each["what"]: each for each in told(types)["looked_at"]}
    assert found["chamber and final"]["told"]
    assert found["chamber and final"]["rank"] < -0.2
    assert not found["rings"]["told"]
    assert {"family", "rings", "builder"} == {each["by"] for each in told(types)["kinds"]}, "copper is Copper"
    said = flat(types("workmanship"))
    assert "Within an engine, a larger measured chamber goes with a lower final" in said
    assert "what goes together need not cause one another" in said


# If this failed, a handful of builds would get limits that mean nothing.
def test_too_few_builds(types: Types) -> None:
    with_builds(lambda book: fill(book, 7))
    assert told(types)["charted"] is None
    said = flat(types("workmanship -o charts.svg"))
    assert "There are 7 builds: limits are drawn from 10 on" in said
    assert "charts.svg was not written" in said
    assert not Path("charts.svg").exists()


# If this failed, an empty book would be a fault and no answer.
def test_no_build_yet(types: Types) -> None:
    with_builds(lambda _: None)
    assert told(types)["builds"] == []
    assert "There is no build yet" in flat(types("workmanship"))


# If this failed, an engine would be counted twice, or by a test that is not its hand-over: one that lacks a cylinder,
# one that nobody finished, or a later one.
def test_which_test_is_the_hand_over(types: Types) -> None:
    six = {str(at): 70.0 for at in range(1, 7)}
    text = sheet(1, 6, six)
    ids = {}

    def write(book: Book) -> None:
        read = finals(random.Random(1), six, 0.01)
        lacking = {name: value for name, value in read.items() if name != "4"}
        ids["lacks a cylinder"] = hand_over(book, 1, lacking, text, "2026-02-01")
        ids["later"] = hand_over(book, 1, read, text, "2027-02-01")
        ids["hand-over"] = hand_over(book, 1, read, text, "2026-03-01")
        two = {"1": 150.0, "2": 149.0}
        hand_over(book, 2, two, sheet(2, 2, dict.fromkeys(two, 70.0)), "2026-03-02")
        hand_over(book, 3, lacking, sheet(3, 6, six), "2026-03-03")

    with_builds(write)
    document = told(types)
    assert [each["test"] for each in document["builds"]] == [ids["hand-over"]]
    reasons = {each["engine"]: each["why"] for each in document["left_out"]}
    assert "too little" in reasons["0002"]
    assert "no finished test" in reasons["0003"]
    said = flat(types("workmanship"))
    assert "Engine 3 (0003): no finished test of it has a dry final of every cylinder." in said


# If this failed, an engine that the shop has rebuilt would count once only, by what it was before the work, or its
# re-tests would be taken for builds; or a rebuild of this year would be lost behind the day of the first build.
def test_a_rebuilt_engine_is_a_build_of_its_own(types: Types) -> None:
    six = {str(at): 70.0 for at in range(1, 7)}
    text, ids = sheet(1, 6, six), {}

    def write(book: Book) -> None:
        read = finals(random.Random(1), six, 0.01)
        for day in ("2024-03-01", "2025-03-01", "2026-03-01", "2026-09-01"):
            ids[day] = hand_over(book, 1, read, text, day)
        said: dict[str, Any] = {"who": "a builder", "device": "shop PC"}
        book.add_event("0001", "oil change", date="2024-06-01", key="oil", **said)
        book.add_event("0001", "new rings", date="2026-02-01", key="rings", new_baseline=True, **said)
        book.add_event("0001", "valve job", date="2026-10-01", key="valves", new_baseline=True, **said)
        hand_over(book, 2, read, sheet(2, 6, six), "2025-06-01")

    with_builds(write)
    found = told(types)["builds"]
    assert [(each["engine"], each["test"], each["rebuilt"]) for each in found] == [
        ("0001", ids["2024-03-01"], None),
        ("0002", found[1]["test"], None),
        ("0001", ids["2026-03-01"], "new rings"),
    ]
    assert "Engine 1, rebuilt (0001)" in flat(types("workmanship"))
    assert [each["rebuilt"] for each in told(types, "--since 2026-01-01")["builds"]] == ["new rings"]


# If this failed, somebody with many builds would take the last of them for all, or could not see the others.
def test_the_last_builds_and_all_of_them(types: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(in_shop, "MOST", 12)
    with_builds(lambda book: fill(book, 15))
    assert (len(told(types)["builds"]), told(types)["only_last"]) == (12, True)
    said = flat(types("workmanship"))
    assert "the last 12 builds" in said
    assert "There are more builds than these" in said
    assert (len(told(types, "--all")["builds"]), told(types, "--all")["only_last"]) == (15, False)


# If this failed, a family or a person could not be looked at alone, or a day would be passed over.
def test_some_builds_alone(types: Types) -> None:
    with_builds(lambda book: fill(book, 30))
    fours = told(types, '--family "Inline, 4 cylinders"')["builds"]
    assert {each["cylinders"] for each in fours} == {4}
    assert len(fours) == 6
    assert {each["by"] for each in told(types, '--builder "b. other"')["builds"]} == {"B. Other"}
    late = told(types, "--since 2026-06-01")["builds"]
    assert min(each["date"] for each in late) >= "2026-06-01"
    assert 0 < len(late) < 30
    assert told(types, "--baseline 12")["charted"]["baseline"]["count"] == 12


# If this failed, somebody who mistypes a family would be told that the shop has built nothing.
def test_a_family_that_is_not_there_is_answered_with_those_that_are(types: Types) -> None:
    with_builds(lambda book: fill(book, 30))
    said = types("workmanship --family diesels")
    assert said.code == 2
    words = " ".join(said.err.split())
    assert "“diesels”: No build is of such a family." in words
    assert "“inline, 4 cylinders”" in words
    assert "“inline, 6 cylinders”" in words


# If this failed, something mistyped would end in a fault of the program, or be taken for something else.
@pytest.mark.parametrize(
    ("options", "says"),
    [
        ("--since 3/4/26", "This is no day with its month and a year of four figures"),
        ("--since 2026-02-30", "There is no such day"),
        ("--baseline few", "limits are made of 10 to 1000 builds"),
        ("--baseline 5", "limits are made of 10 to 1000 builds"),
        ("--baseline \u0662\u0660", "limits are made of 10 to 1000 builds"),
        ("--baseline -20", "limits are made of 10 to 1000 builds"),
        ("-o nowhere/charts.svg", "cannot be written"),
    ],
)
def test_mistyped(types: Types, options: str, says: str) -> None:
    with_builds(lambda book: fill(book, 12))
    said = types(f"workmanship {options}")
    assert said.code == 2
    assert says.casefold() in " ".join(said.err.split()).casefold()
    assert "Traceback" not in said.err


# If this failed, the charts could not be printed: the drawing holds all four of them, and is the same every time.
def test_the_charts_on_paper(types: Types) -> None:
    with_builds(lambda book: fill(book, 30))
    assert types("workmanship -o charts.svg").code == 0
    text = Path("charts.svg").read_text(encoding="utf-8")
    root = ET.fromstring(text)  # noqa: S314 - drawn just now
    charts = [each for each in root if each.tag.endswith("svg")]
    assert len(charts) == 4
    tops = [float(each.get("y", "nan")) for each in charts]
    heights = [float(each.get("height", "").removesuffix("pt")) for each in charts]
    assert all(top + height <= later for top, height, later in zip(tops, heights, tops[1:], strict=False))
    types("workmanship -o again.svg")
    assert Path("again.svg").read_text(encoding="utf-8") == text


# If this failed, one damaged test would hide all builds, or be charted as if it were whole.
def test_a_damaged_test(types: Types) -> None:
    with_builds(lambda book: fill(book, 14))
    with Book.open("book.db") as book, behind(book) as connection:
        chain = connection.exec_driver_sql("SELECT test_id FROM tests ORDER BY number LIMIT 1").scalar_one()
        changed = "UPDATE entries SET body = replace(body, '\"psi\"', '\"bar\"') WHERE kind = 'pull' AND chain = "
        connection.exec_driver_sql(f"{changed}'{chain}'")
    document = told(types)
    assert len(document["builds"]) == 13
    assert [each["why"] for each in document["left_out"]] == [f"test {chain} is damaged in the book"]
