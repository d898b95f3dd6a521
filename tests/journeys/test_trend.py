"""``ringtrue trend`` as it is typed: an engine over two seasons, every way to get it wrong, and what cannot be told."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.journeys.conftest import Types

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "schemas" / "trend.schema.json").read_text(encoding="utf-8"))
GAUGE = 'gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B --repeatability "0.9 %"'
SHEET = """\
[engine]
name = "Quay eight"
layout = "inline"
cylinders = ["1", "2", "3", "4", "5", "6", "7", "8"]

[geometry]
bore = "86 mm"
stroke = "86 mm"
compression_ratio = 9.0

[limits]
minimum = "100 psi"
"""
Json = dict[str, Any]


def taken(types: Types, folder: Path, name: str, day: str, finals: Sequence[float], repeats: int = 3) -> str:
    """Enter a test of the engine, and return its id."""
    rows = [f"{n + 1},{repeat + 1},{final:g}" for n, final in enumerate(finals) for repeat in range(repeats)]
    (folder / f"{name}.csv").write_text("\n".join(["cylinder,repeat,final [psi]", *rows]), "utf-8")
    conditions = '[conditions]\naltitude = "4 m"\ninlet_air = "16 C"\ncranking_speed = "200 rpm"\n'
    (folder / f"{name}.toml").write_text(f"[test]\n{day}\n{conditions}", "utf-8")
    (folder / "eight.toml").write_text(SHEET, "utf-8")
    return types(f"enter {name}.csv --sheet eight.toml --test {name}.toml --gauge face-1").out.strip()


def shown(types: Types, more: str = "") -> Json:
    """Return what the engine's course is as JSON."""
    said = types(f'trend "Quay eight" --json {more}')
    assert said.code == 0, said.err
    found: Json = json.loads(said.out)
    jsonschema.validate(found, SCHEMA)
    return found


# If this failed, a loss of 3 % in one of eight, with three repeats both times, would be missed, or be told of another
# cylinder; miles would not be told; or what was done in between would be lost.
def test_a_season(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    first = taken(types, tmp_path, "a", 'date = 2025-05-01\nrun_since_build = "500 mile"', [150] * 8)
    types('event "Quay eight" "oil change" --at "2000 mile" --date 2025-08-01')
    last = taken(types, tmp_path, "b", 'date = 2026-05-01\nrun_since_build = "4500 mile"', [150] * 7 + [145.5])
    found = shown(types)
    assert (found["baseline"], [row["test"] for row in found["tests"]]) == (first, [first, last])
    since = found["tests"][1]["since_baseline"]
    said = {row["cylinder"]: row["says"] for row in since["cylinders"]}
    assert said["8"] == "lower"
    assert set(said.values()) == {"lower", "no change that these readings could show"}
    rate = next(row for row in found["rates"]["cylinders"] if row["cylinder"] == "8")
    assert (found["rates"]["by"], found["rates"]["per"]) == ("distance", "mile")
    assert (1 + rate["median"]) ** 4000 == pytest.approx(0.97, rel=1e-3)
    assert found["between"][0]["events"] == ["oil change"]
    words = " ".join(types('trend "Quay eight" -o course.svg').out.split())
    assert "Cylinder 8 is lower beside its siblings, 0.97" in words
    assert "for every 1,000 mile" in words
    assert "oil change (2000 mile, 2025-08-01)" in words
    assert "1 sound cylinder in 20 looks lower" in words
    assert (tmp_path / "course.svg").read_text("utf-8").lstrip().startswith("<")


# If this failed, an engine that has not changed would be told of in many words and not in these.
def test_no_change(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    taken(types, tmp_path, "a", 'date = 2025-05-01\nrun_since_build = "25 h"', [150] * 8)
    words = " ".join(types('trend "Quay eight"').out.split())
    assert "One test so far: the baseline." in words
    assert "is found 9 times in 10 from" in words
    taken(types, tmp_path, "b", 'date = 2026-05-01\nrun_since_build = "125 h"', [150] * 8)
    assert "No change that the gauge could see" in " ".join(types('trend "Quay eight"').out.split())


# If this failed, a valve job would be told as wear that healed, and later tests be held against what was there before.
def test_work_makes_a_new_baseline(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    days = ("2025-05-01", "2025-09-01", "2026-05-01")
    ids = [
        taken(types, tmp_path, f"t{n}", f"date = {day}", [150] * 7 + [last])
        for n, (day, last) in enumerate(zip(days, (150, 120, 151), strict=True))
    ]
    assert shown(types)["baseline"] == ids[0]
    said = types('event "Quay eight" "valve job" --date 2025-10-10 --new-baseline')
    assert "The next test of it is its new baseline." in said.out
    found = shown(types)
    assert found["baseline"] == ids[2]
    assert found["baseline_why"] == "the first in which every cylinder was read after “valve job”"
    assert found["between"][0]["events"] == ["valve job"]
    assert shown(types, f"--baseline {ids[1]}")["baseline"] == ids[1]
    # The log is exported and comes back with it.
    types("book export -o all.json")
    assert types("book import all.json --book other.db").code == 0
    back = json.loads(types('trend "Quay eight" --json --book other.db').out)
    assert [row["new_baseline"] for row in back["events"]] == [True]


# If this failed, hours that run backwards would be made a rate of, or an engine be compared with what it became.
def test_what_cannot_be_laid_beside_one_another(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    taken(types, tmp_path, "a", 'date = 2025-05-01\nrun_since_build = "300 h"', [150] * 8)
    taken(types, tmp_path, "b", 'date = 2026-05-01\nrun_since_build = "20 h"', [150] * 8)
    said = types('trend "Quay eight"')
    assert "running time runs backwards, from 300 h" in said.err
    assert "for every year" in said.out
    refused = types('trend "Quay eight" --along time')
    assert refused.code == 2
    assert "--along time" in refused.err
    assert "runs backwards" in refused.err
    assert "has no distance" in types('trend "Quay eight" --along distance').err
    four = SHEET.replace('"1", "2", "3", "4", "5", "6", "7", "8"', '"1", "2", "3", "4"')
    (tmp_path / "four.toml").write_text(four, "utf-8")
    (tmp_path / "c.csv").write_text("cylinder,final [psi]\n1,150\n2,150\n3,150\n4,150\n", "utf-8")
    (tmp_path / "c.toml").write_text("[test]\ndate = 2026-06-01\n", "utf-8")
    other = types("enter c.csv --sheet four.toml --test c.toml --gauge face-1").out.strip()
    if other:
        left = shown(types)["left_out"]
        assert [row["test"] for row in left] == [other]
        assert "other cylinders" in left[0]["why"]


# If this failed, a slip of the fingers would end in a traceback, or in another engine's course.
def test_misuse(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    assert types("trend nobody").code == 2
    taken(types, tmp_path, "a", "date = 2025-05-01", [150] * 8)
    for typed, said in (
        ("trend nobody", "the book knows no such engine"),
        ('trend "Quay eight" --baseline nothing', "name one of"),
        ('trend "Quay eight" --along hours', "--along"),
        ('trend "Quay eight" -o course.png', "SVG"),
        ("trend", "missing"),
    ):
        refused = types(typed)
        assert refused.code == 2, typed
        assert said in refused.err.lower() or said in refused.err, (typed, refused.err)
        assert "Traceback" not in refused.err


# If this failed, an engine without a geometry on its sheet could not be followed at all; or its level be compared as if
# day and height were known.
def test_without_a_geometry_cylinders_are_followed(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    sheet = SHEET.replace('bore = "86 mm"\n', "")
    for name, day, last in (("a", "2025-05-01", 150), ("b", "2026-05-01", 140)):
        rows = "\n".join(f"{n},{final}" for n, final in zip(range(1, 9), [150] * 7 + [last], strict=True))
        (tmp_path / f"{name}.csv").write_text(f"cylinder,final [psi]\n{rows}\n", "utf-8")
        (tmp_path / f"{name}.toml").write_text(f"[test]\ndate = {day}\n", "utf-8")
        (tmp_path / "bare.toml").write_text(sheet, "utf-8")
        types(f"enter {name}.csv --sheet bare.toml --test {name}.toml --gauge face-1")
    found = shown(types)
    assert found["not_carried"]
    since = found["tests"][1]["since_baseline"]
    assert (since["engine"], since["says"]) == (None, "cannot tell")
    assert since["cylinders"][7]["says"] == "lower"
    assert "sheet_minimum" not in {row["rule"] for row in found["forecast"]["limits"]}


# If this failed, an old test without a gauge would become the baseline and hide a cylinder that has been lost since, or
# rates be told from readings of which nobody knows how they err.
def test_an_old_test_without_a_gauge_is_no_baseline(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    (tmp_path / "eight.toml").write_text(SHEET, "utf-8")
    rows = "\n".join(f"{n},150" for n in range(1, 9))
    (tmp_path / "old.csv").write_text(f"cylinder,final [psi]\n{rows}\n", "utf-8")
    (tmp_path / "old.toml").write_text("[test]\ndate = 2019-05-01\n", "utf-8")
    old = types("enter old.csv --sheet eight.toml --test old.toml").out.strip()
    first = taken(types, tmp_path, "a", "date = 2025-05-01", [150] * 7 + [148])
    alone = shown(types)
    assert (alone["baseline"], alone["baseline_why"]) == (old, "the first in which every cylinder was read")
    assert alone["tests"][1]["since_baseline"]["cylinders"][7]["ratio"] < 1
    taken(types, tmp_path, "b", "date = 2026-05-01", [150] * 7 + [135])
    found = shown(types)
    assert found["baseline"] == first
    assert "with a gauge of which is known how it errs" in found["baseline_why"]
    assert found["tests"][0]["test"] == old
    assert "Cylinder 8 is lower" in " ".join(types('trend "Quay eight"').out.split())
    asked = types(f'trend "Quay eight" --baseline {old}').out
    assert "Whether a cylinder has changed cannot be told" in " ".join(asked.split())
    rates = shown(types, f"--baseline {old}")["rates"]
    assert rates is not None
    assert rates["cylinders"][7]["median"] < -0.05  # from the two tests whose gauge is known


# If this failed, a cylinder that was bad at the baseline and put right would be told as one that grew, without a word.
def test_a_baseline_that_was_out_of_line_is_told(types: Types, tmp_path: Path) -> None:
    types(GAUGE)
    taken(types, tmp_path, "a", "date = 2025-05-01", [150] * 7 + [120])
    taken(types, tmp_path, "b", "date = 2026-05-01", [150] * 8)
    words = " ".join(types('trend "Quay eight"').out.split())
    assert "At the baseline cylinder 8 read more than 10 % from the middle of all." in words
