"""
How print reads a wet test.

CT-02: US Army TM 5-4210-230-14&P-1, addendum 2 (read): a clear rise with oil says rings, none says valves, none and two
neighbours low says head gasket. The readings are worked by hand; the manual's dose of about a tablespoon is more than
the twentieth of the clearance that common practice asks for, so a rise is held against that of sound cylinders.
"""

from __future__ import annotations

import pytest
from tests.pulled import pulled, pulls

from ringtrue.compression import Kind
from ringtrue.diagnosis import PatternKey, patterns
from ringtrue.engine import BuildSheet, Ignition, Layout
from ringtrue.measure import judge
from ringtrue.units import Dimension, find_unit
from ringtrue.wording import pattern_words

PSI = find_unit("psi", Dimension.PRESSURE)
SIX = BuildSheet(
    name="invented",
    layout=Layout.INLINE,
    cylinders=tuple("123456"),
    banks=(tuple("123456"),),
    ignition=Ignition.SPARK,
)


# If this failed, the tool would read a wet test otherwise than the manual does.
@pytest.mark.parametrize(
    ("dry", "wet", "key", "cylinders", "means"),
    [
        (
            [140, 141, 110, 139, 140, 142],
            {"3": 142, "1": 155},
            PatternKey.LOW_BETTER_WITH_OIL,
            ("3",),
            "Usually rings or bore.",
        ),
        (
            [140, 141, 110, 139, 140, 142],
            {"3": 121, "1": 155},
            PatternKey.LOW_OIL_CHANGES_LITTLE,
            ("3",),
            "Usually a valve or its seat.",
        ),
        (
            [140, 141, 110, 108, 140, 142],
            {"3": 121, "4": 119, "1": 155},
            PatternKey.NEIGHBOURS_LOW,
            ("3", "4"),
            "Usually the head gasket between them.",
        ),
    ],
)
def test_ct02_a_wet_test_tells_rings_valves_and_gasket_apart(
    dry: list[float], wet: dict[str, float | None], key: PatternKey, cylinders: tuple[str, ...], means: str
) -> None:
    test = pulled(*pulls(dry), *pulls(wet, kind=Kind.WET))
    seen = [each for each in patterns(judge(test, sheet=SIX), test, SIX) if each.key is not PatternKey.WET_OIL_VOLUME]
    assert [(each.key, each.cylinders) for each in seen] == [(key, cylinders)]
    assert pattern_words(seen[0], PSI, SIX).means == means
