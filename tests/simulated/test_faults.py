"""
Are faults found, and is the program right as often as it says? A fixed slice of the fault library.

Bars are those of the benchmark of the diagnosis, which asks the whole library. A slice scatters: a test fails where
its count would be met once in a thousand if the bar were just kept.
"""

from __future__ import annotations

from functools import cache
from itertools import islice

import pytest
from scipy.stats import binom
from tests.simulated.library import EVERYTHING, Evidence, Group, read
from tests.simulated.scoring import FINALS, FIRSTS, HEARD_WET, Said, alarm, alike, asked, engine_odds, gained, leaking

EACH = {Group.NINE: 2, Group.DIFFERS: 1}
"""Cases of each of nine causes."""
WHOLE, ENGINES = 10, 3
"""Sound engines, and engines of each cause of their own."""
CHANCE = 1e-3
ASKED = (FINALS, HEARD_WET, EVERYTHING)


@cache
def answers(group: Group) -> dict[frozenset[Evidence], list[Said]]:
    """Return what is said of the first cases of each cause in a group, by evidence."""
    cases = [case for case in read() if case.group == group and case.number < EACH[group]]
    rows = [[asked(case, evidence) for evidence in ASKED] for case in cases]
    return dict(zip(ASKED, map(list, zip(*rows, strict=True)), strict=True))


def said(evidence: frozenset[Evidence], group: Group = Group.NINE) -> list[Said]:
    """Return what is said of the slice with that evidence."""
    return answers(group)[evidence]


def not_below(held: int, count: int, bar: float) -> bool:
    """Tell whether so many of a count may be had if the bar is kept."""
    return held >= binom.ppf(CHANCE, count, bar)


# If this failed, leak-down, the ear and oil, or everything together, would name the fault less often than they can.
@pytest.mark.parametrize(
    ("evidence", "bar"), [(HEARD_WET, 0.74), (EVERYTHING, 0.86)], ids=["heard and wet", "everything"]
)
def test_the_fault_is_named(evidence: frozenset[Evidence], bar: float) -> None:
    answers = said(evidence)
    assert not_below(sum(each.right for each in answers), len(answers), bar)


# If this failed, "about 9 in 10" would be said of what is right less often, on engines that are as their sheets say or
# on engines that are not.
@pytest.mark.parametrize(("group", "bar"), [(Group.NINE, 0.95), (Group.DIFFERS, 0.90)], ids=["as the sheet", "differs"])
def test_sure_answers_are_right(group: Group, bar: float) -> None:
    sure = [each.right for evidence in ASKED for each in said(evidence, group) if each.sure > 0.8]
    assert len(sure) > len(ASKED)
    assert not_below(sum(sure), len(sure), bar)


# If this failed, the interval of a leak's area would not hold it as often as nine times in ten, or nearly.
def test_the_leak_is_as_large_as_is_said() -> None:
    leaks = leaking(said(HEARD_WET))
    assert not_below(sum(each.covered for each in leaks), len(leaks), 0.87)


# If this failed, finals alone would name where the air goes, which they cannot: with all plugs out every leak of one
# area gives one final.
@pytest.mark.parametrize("group", [Group.NINE, Group.DIFFERS])
def test_finals_alone_name_no_path(group: Group) -> None:
    assert [each.case.cause for each in said(FINALS, group) if each.names_a_path] == []


# If this failed, a builder who did more work would be told less.
def test_more_evidence_tells_more() -> None:
    for some, more in ((FINALS, HEARD_WET), (HEARD_WET, EVERYTHING)):
        gain, error = gained(said(some), said(more))
        assert gain > -2 * error


# If this failed, builders of sound engines would be sent looking for nothing more often than once in twenty.
def test_sound_engines_are_left_alone() -> None:
    alarms = [
        alarm(case, FIRSTS)
        for case in islice((case for case in read() if case.group == Group.SOUND and alike(case)), WHOLE)
    ]
    quiet = sum(not each.false for each in alarms)
    assert len(alarms) == WHOLE
    assert not_below(quiet, len(alarms), 0.95)


# If this failed, an engine whose every cylinder lost its rings, or whose exhaust valves are held open, would be taken
# for a good one although the air was heard: neither cause would be among the first two.
@pytest.mark.parametrize("cause", ["general_wear", "decompression"])
def test_a_cause_of_the_whole_engine_is_seen(cause: str) -> None:
    cases = [case for case in read() if case.cause == cause and case.number < ENGINES]
    seen = [cause in list(engine_odds(case, EVERYTHING))[:2] for case in cases]
    assert sum(seen) > len(seen) / 2
