"""The guide says what the program says: pages and words cannot drift apart."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringtrue.diagnosis import Pattern, PatternKey
from ringtrue.diagnosis.oil import CHANGES_LITTLE, CLEAR_AS_READ, CLEARLY_BETTER, LITTLE_AS_READ
from ringtrue.diagnosis.seen import FIRST_STROKE_LOW, NEAR_ZERO, NEAR_ZERO_SHARE, NO_LOSS, SOUND_LOSS
from ringtrue.measure import OIL_SHARE_WARNING
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import Caution, cautions, deferral, pattern_words

GUIDE = Path(__file__).resolve().parents[1] / "docs" / "guide"
PSI = find_unit("psi", Dimension.PRESSURE)


def page(name: str) -> str:
    """Return a page of the guide with its lines joined."""
    return " ".join((GUIDE / name).read_text(encoding="utf-8").split())


# If this failed, a person would meet a pattern that the guide does not explain.
@pytest.mark.parametrize("key", list(PatternKey))
def test_every_pattern_stands_in_the_guide(key: PatternKey) -> None:
    title = pattern_words(Pattern(key, ("1",), 0, ()), PSI).title
    assert f"| {title} |" in page("reading-the-pattern.md")


# If this failed, the guide would give other figures than those that decide.
@pytest.mark.parametrize(
    "sentence",
    [
        f"wet over dry {CLEARLY_BETTER:.2f} or more",
        f"wet over dry up to {CHANGES_LITTLE:.2f}",
        f"up to {LITTLE_AS_READ:.2f} is little, {CLEAR_AS_READ:.2f} or more is clearly better",
        f"above {100 * OIL_SHARE_WARNING:.0f} % of the clearance volume",
        f"under {100 * NEAR_ZERO_SHARE:.0f} % of the median of all, or under {NEAR_ZERO / 1e3:.0f} kPa",
        f"{100 * SOUND_LOSS:.0f} % or less lost through 0.040 in",
        f"| {100 * NO_LOSS:.1f} % or less |",
        f"under {FIRST_STROKE_LOW:.2f} of the median",
    ],
)
def test_the_figures_of_the_guide_are_those_that_decide(sentence: str) -> None:
    assert sentence in page("reading-the-pattern.md")


# If this failed, a caution would be carried by every sheet and explained nowhere.
@pytest.mark.parametrize("caution", cautions(), ids=lambda each: each.key)
def test_every_caution_stands_in_the_guide(caution: Caution) -> None:
    assert f"| {caution.short} | {caution.text} |" in page("cautions.md")
    assert deferral() in page("cautions.md")
