"""``ringtrue why`` as it is typed."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.journeys.conftest import Types

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "schemas" / "why.schema.json").read_text(encoding="utf-8"))
JUNE = "june.csv --sheet launch-six.toml --test june.toml --gauge face-1"
Json = dict[str, Any]


@pytest.fixture
def budgets(types: Types) -> dict[str, Json]:
    """Return the budgets of a test by the figure's short name."""
    types('gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B')
    found = json.loads(types(f"why {JUNE} --json").out)
    jsonschema.validate(found, SCHEMA)
    return {each["figure"]: each for each in found["budgets"]}


# If this failed, a part of a budget would be missing, or weigh other than by hand. Final of 152 psi on a grade B gauge
# to 300 psi (6 psi in the middle half: docs/worked/gauge-grade.md) with steps of 2 psi and the assumed 0.6 %: 6 over
# root 3 is 3.464 psi, 2 over root 12 is 0.577, 0.6 % is 0.912; together 3.628, times 1.645.
def test_a_final_by_hand(budgets: dict[str, Json]) -> None:
    final = budgets["final-3"]
    parts = {part["name"].split(",")[0]: part for part in final["parts"]}
    assert parts["how far the gauge is off"]["standard"] == pytest.approx(6 / math.sqrt(3), rel=1e-6)
    assert parts["reading the gauge to its step"]["standard"] == pytest.approx(2 / math.sqrt(12), rel=1e-6)
    assert parts["how a pull repeats"]["standard"] == pytest.approx(0.912, rel=1e-6)
    whole = math.hypot(6 / math.sqrt(3), 2 / math.sqrt(12), 0.912)
    assert final["first_order"]["standard"] == pytest.approx(whole, rel=1e-6)
    assert sum(part["share"] for part in final["parts"]) == pytest.approx(1.0)
    # The budget is that of the interval which stands in the judgement.
    assert final["interval"]["high"] == pytest.approx(152 + 1.6449 * whole, rel=1e-4)
    assert final["first_order"]["high"] == pytest.approx(final["interval"]["high"], rel=1e-6)


# If this failed, the gauge's own error would be told to make a spread, or more pulls to narrow a level.
def test_what_drops_out(budgets: dict[str, Json], types: Types) -> None:
    spread = budgets["mean-deviation"]
    gauge = next(part for part in spread["parts"] if part["name"].startswith("how far the gauge"))
    assert gauge["share"] < 0.01
    words = " ".join(types(f'why {JUNE} "mean deviation"').out.split())
    assert "More pulls of each cylinder narrow it" in words
    assert "counts that push twice" in words
    assert "more pulls do not" in " ".join(types(f"why {JUNE} 3").out.split())


# If this failed, a budget would be made up for a gauge of which nothing is known, or a slip end in a traceback.
def test_misuse(types: Types) -> None:
    types('gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B')
    for typed, said in (
        ("why june.csv --sheet launch-six.toml", "How the gauge errs is not known"),
        (f"why {JUNE} 9", "Name one of mean, final-1"),
        ("why nothing.csv", "There is no such file"),
        ("why", "missing"),
    ):
        refused = types(typed)
        assert refused.code == 2, typed
        assert said in refused.err, refused.err
