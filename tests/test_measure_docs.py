"""The page about judging says what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ringtrue.measure.limits import ADOPTABLE, GENERAL, LEAKDOWN_ADOPTED, LEAKDOWN_SUSPECT, Rule, Side
from ringtrue.units import Dimension, find_unit, to_si

PAGE = Path(__file__).resolve().parents[1] / "docs" / "theory" / "judging.md"
WORDS = {Side.UNDER: "under", Side.AT_MOST: "at most", Side.AT_LEAST: "at least"}


def row(key: str) -> str:
    """Return what the table of rules says a rule is met by."""
    found = re.search(rf"^\| `{key}` \| [^|]+ \| ([^|]+) \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert found is not None, key
    return found.group(1).strip()


# If this failed, a builder would read one limit and be judged by another.
@pytest.mark.parametrize(
    "rule", [*GENERAL, *ADOPTABLE.values(), LEAKDOWN_SUSPECT, LEAKDOWN_ADOPTED], ids=lambda r: r.key
)
def test_every_limit_is_told_as_it_is(rule: Rule) -> None:
    if rule.dimension == "pressure":
        words, number, unit = row(rule.key).rsplit(" ", 2)
        assert to_si(float(number), find_unit(unit, Dimension.PRESSURE)) == pytest.approx(rule.limit, rel=1e-12)
    else:
        words, number = row(rule.key).removesuffix(" %").rsplit(" ", 1)
        assert float(number) == rule.limit
        assert row(rule.key).endswith("%") == (rule.dimension == "percent")
    assert words == WORDS[rule.side]
