"""Is the fault library what its generator makes, and is what it makes what it says?"""

from __future__ import annotations

import math
from collections import Counter
from functools import cache

import pytest
from scipy.stats import binom
from tests.simulated.faults import ENGINE_WIDE, NINE, PATHS, held_of, simulate
from tests.simulated.library import FILE, PSI, RESTRICTOR, SUPPLY, Case, Evidence, Group, read, written
from tests.simulated.make_library import CASES, seeds
from tests.simulated.shares import bounds

from ringtrue.compression import Kind
from ringtrue.diagnosis.causes import Cause, EngineCause


@cache
def library() -> tuple[Case, ...]:
    """Return the whole library, read once."""
    return read()


# If this failed, the readings that the program is held against would not be those of the simulation in this project.
@pytest.mark.parametrize(
    ("group", "cause", "number"),
    [("nine", "gasket_neighbour", 7), ("differs", "not_filling", 3), ("engine", "general_wear", 5)],
)
def test_a_case_can_be_made_again(group: str, cause: str, number: int) -> None:
    kept = next(case for case in library() if (case.group, case.cause, case.number) == (group, cause, number))
    made = simulate(group, cause, number)
    assert made.exact == pytest.approx(kept.exact, rel=1e-6)
    assert made.area == pytest.approx(kept.area, rel=1e-6)
    assert made.sheet == kept.sheet
    # A reading on the edge of two steps of the gauge may fall to either side on another machine.
    assert [row.final for row in made.dry] == pytest.approx([row.final for row in kept.dry], abs=2)
    assert [row.held for row in made.leakdown] == pytest.approx([row.held for row in kept.leakdown], abs=0.5)


# If this failed, cases would have been chosen after their outcome was seen, or be too few for what is claimed of them.
def test_every_seed_is_there_and_no_other() -> None:
    assert [(case.group, case.cause, case.number) for case in library()] == seeds()
    assert min(CASES[Group.NINE], CASES[Group.DIFFERS]) >= 200


# If this failed, the same library would be another file each time, or lose something on its way through the file.
def test_the_file_holds_what_was_made() -> None:
    some = library()[::97]
    data = written(some)
    assert read(data) == some
    assert data == written(some)
    assert FILE.read_bytes()[4:8] == bytes(4)


# If this failed, a cause of the library would be one that the program has no word for.
def test_causes_are_the_programs_own() -> None:
    assert {Cause(cause).value for cause in NINE} == set(NINE)
    assert {EngineCause(cause).value for cause in ENGINE_WIDE} == set(ENGINE_WIDE)


# If this failed, a sheet of the library would be one that the program refuses, or a test one that it cannot read.
def test_sheets_and_tests_are_whole() -> None:
    for case in library()[::41]:
        sheet, test = case.build_sheet(), case.test()
        dry, wet = test.series(Kind.DRY), test.series(Kind.WET)
        assert dry is not None
        assert wet is not None
        assert dry.cylinders == sheet.cylinders
        assert wet.cylinders == (case.target,)
        assert [row.cylinder for row in test.leakdowns] == [case.target, case.sibling]
        bare = case.test(frozenset())
        assert len(bare.taken) == len(sheet.cylinders)
        assert all(row.rpm is None and row.lift_loss is None and not row.plug for row in bare.taken)
        assert [row.first for row in bare.taken if hasattr(row, "first")] == [None] * len(bare.taken)
        deaf = case.test(frozenset({Evidence.LEAKDOWN}))
        assert {row.heard for row in deaf.leakdowns} == {()}


# If this failed, a gasket would leak between cylinders that do not share one.
def test_gaskets_leak_between_neighbours() -> None:
    leaking = [case for case in library() if case.cause == "gasket_neighbour"]
    assert all(case.partner in case.build_sheet().bridge_neighbours(case.target) for case in leaking)
    assert all(case.sibling not in {case.target, case.partner} for case in library())


# If this failed, a leak would cost no pressure, or carbon and oil bring none. Common practice.
def test_faults_move_the_final_the_way_they_do() -> None:
    for case in library():
        sound, dry, wet = case.exact
        if case.cause in PATHS or case.cause == "late_closing":
            assert dry < 1.03 * sound
        if case.group in {Group.NINE, Group.DIFFERS} and case.cause == "carbon":
            assert dry > 0.97 * sound
        if case.cause in {"rings", "general_wear", "fuel_washed"}:
            assert wet > dry


# If this failed, the library's own leak-down would not be that of 80 psi through 0.040 in: a fifth is lost through an
# effective 0.60 mm2. Derived by hand: both sides of the restrictor choked or nearly, area times sqrt(7 (r^(2/g) -
# r^(1+1/g))) times the pressure before it is the same through both.
def test_a_fifth_is_lost_through_six_tenths_of_a_square_millimetre() -> None:
    held = held_of(0.60e-6, 0.8 * math.pi / 4 * RESTRICTOR**2, 101325.0)
    assert held == pytest.approx(0.8 * SUPPLY, rel=0.003)


# If this failed, spoiled first strokes would be rarer or commoner than random starts make them: 130 deg of 720.
def test_first_strokes_are_spoiled_as_often_as_starts_are() -> None:
    pulls = [row for case in library() for row in case.dry]
    flagged = Counter(row.flagged for row in pulls)[True]
    low, high = (float(binom.ppf(chance, len(pulls), 130 / 720 / 2)) for chance in (1e-4, 1 - 1e-4))
    assert low <= flagged <= high


# If this failed, a gauge of 300 psi would show what it cannot, or numbers between its marks.
def test_readings_are_on_the_gauge() -> None:
    for case in library():
        for row in case.dry:
            assert 0 <= row.first <= row.final <= 300
            assert row.final % 2 == 0
    assert all(case.exact[0] > 14.7 * PSI for case in library())


# If this failed, the bounds beside a share would not be those of Clopper and Pearson: of none among n the upper one is
# 1 - 0.025^(1/n). Derived by hand.
def test_bounds_of_a_share() -> None:
    assert bounds(0, 20) == pytest.approx((0.0, 1 - 0.025 ** (1 / 20)))
    assert bounds(20, 20) == pytest.approx((0.025 ** (1 / 20), 1.0))


# If this failed, the library would be too big to carry along.
def test_the_library_is_small() -> None:
    assert FILE.stat().st_size < 2_000_000
