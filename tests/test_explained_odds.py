"""Odds that are none never reach a page."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from tests.explained import ALL_SOUND, EIGHT, RINGS, SIX, named

import ringtrue.diagnosis
from ringtrue.compression import CompressionTest, Pull
from ringtrue.diagnosis.causes import BankCause, Cause, EngineCause, Practice
from ringtrue.diagnosis.explanation import (
    Answer,
    BankOdds,
    CheckResult,
    EngineOdds,
    Explanation,
    Item,
    Odds,
    Step,
)
from ringtrue.errors import CannotExplain
from ringtrue.shop.explaining import check_odds, explain_test

TEST = CompressionTest((Pull(cylinder="1"),))


# If this failed, a sound explanation would be kept from its builder.
@pytest.mark.parametrize("found", [SIX, EIGHT, ALL_SOUND, named(SIX, "1234"), replace(SIX, engine=(), cylinders=())])
def test_odds_that_are_whole_are_shown(found: Explanation) -> None:
    check_odds(found)


def with_causes(*odds: Odds) -> Explanation:
    return replace(SIX, cylinders=(replace(RINGS, causes=odds),))


# If this failed, odds that are no odds would stand on a page: not a number, below 0, above 1, or not a whole together.
# The slack is a thousand-millionth, as the format promises.
@pytest.mark.parametrize(
    "found",
    [
        with_causes(Odds(Cause.RINGS, math.nan), Odds(Cause.SOUND, 1.0)),
        with_causes(Odds(Cause.RINGS, math.inf)),
        with_causes(Odds(Cause.RINGS, 0.6), Odds(Cause.SOUND, 0.3)),
        with_causes(Odds(Cause.RINGS, 1.0 + 1e-8)),
        with_causes(Odds(Cause.RINGS, 1.1), Odds(Cause.SOUND, -0.1)),
        with_causes(Odds(Cause.RINGS, 0.0)),
        replace(SIX, cylinders=(replace(RINGS, answer=Answer(Cause.RINGS, math.nan)),)),
        replace(SIX, cylinders=(replace(RINGS, also=(Odds(Cause.RINGS, 1.2),)),)),
        replace(SIX, cylinders=(replace(RINGS, steps=(Step(Item.FINAL, (Odds(Cause.RINGS, 0.9),)),)),)),
        replace(SIX, cylinders=(replace(RINGS, because=(replace(RINGS.because[0], factor=math.nan),)),)),
    ],
)
def test_odds_of_a_cylinder_that_are_none(found: Explanation) -> None:
    with pytest.raises(CannotExplain, match="cylinder 5: The odds of the causes do not come to a whole") as refusal:
        check_odds(found)
    assert "ringtrue judge goes on without odds" in str(refusal.value)
    assert refusal.value.exit_code == 2


# If this failed, the same could happen with what all cylinders share, or with a check.
@pytest.mark.parametrize(
    ("found", "where"),
    [
        (replace(SIX, engine=(EngineOdds(EngineCause.NONE, 0.9),)), "the whole engine"),
        (replace(SIX, banks=(BankOdds(0, BankCause.GASKET, math.nan),)), "the whole engine"),
        (replace(SIX, next=(replace(SIX.next[0], gain=math.nan),)), "the check leak_down"),
        (replace(SIX, next=(replace(SIX.next[1], results=(CheckResult("right", 2.0, Cause.RINGS, 0.1),)),)), "battery"),
    ],
)
def test_odds_of_the_engine_that_are_none(found: Explanation, where: str) -> None:
    with pytest.raises(CannotExplain, match=where):
        check_odds(found)


# If this failed, the guard would stand beside the way that an explanation takes.
def test_every_explanation_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    broken = with_causes(Odds(Cause.RINGS, 0.6))
    monkeypatch.setattr(ringtrue.diagnosis, "explain", lambda *_, **__: broken, raising=False)
    with pytest.raises(CannotExplain):
        explain_test(TEST, None, Practice())
