"""
What a gauge's grade means.

ASME B40.100 and EN 837-1: the numbers are from memory, the form (three zones of the scale, per cent of span) was read.
JCGM 100:2008, F.2.2.1: from memory.
"""

from __future__ import annotations

import math

import pytest
from tests.pulled import gauge, si

from ringtrue.errors import GaugeRefused
from ringtrue.measure.gauges import accuracy, gauge_error
from ringtrue.measure.uncertainty import Final, beside_siblings


# If this failed, a grade would be given another tolerance than its standard gives (GG-01, from memory).
@pytest.mark.parametrize(
    ("grade", "zones"),
    [
        ("4A", (0.1, 0.1, 0.1)),
        ("3A", (0.25, 0.25, 0.25)),
        ("2A", (0.5, 0.5, 0.5)),
        ("1A", (1, 1, 1)),
        ("A", (2, 1, 2)),
        ("B", (3, 2, 3)),
        ("C", (4, 3, 4)),
        ("D", (5, 5, 5)),
    ],
)
def test_asme_grades(grade: str, zones: tuple[float, float, float]) -> None:
    found = accuracy(grade)
    assert (found.lower, found.middle, found.upper, found.source) == (*zones, "B40.100")


# If this failed, a class would be taken for another, or in another part of the scale (GG-02, from memory).
@pytest.mark.parametrize("klass", [0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0])
def test_en_classes_hold_over_the_whole_scale(klass: float) -> None:
    found = accuracy(f"{klass:g}")
    assert (found.lower, found.middle, found.upper, found.source) == (klass, klass, klass, "EN 837-1")


# If this failed, a gauge to 20 bar of class 1.6 would be trusted to another figure than 0.32 bar (GG-02, by hand).
def test_a_class_in_bar() -> None:
    tolerance = accuracy("1.6").tolerance(si(3, "bar"), si(20, "bar"))
    assert tolerance == pytest.approx(si(0.32, "bar"), rel=1e-12)
    assert tolerance / math.sqrt(3) == pytest.approx(si(0.185, "bar"), rel=2e-3)


# If this failed, the zones would lie elsewhere on the scale (GG-03: arithmetic on GG-01).
@pytest.mark.parametrize(("reading", "tolerance", "u"), [(50, 9, 5.196), (150, 6, 3.464), (260, 9, 5.196)])
def test_worked_figure_of_grade_b(reading: float, tolerance: float, u: float) -> None:
    found = accuracy("B").tolerance(reading, 300)
    assert found == pytest.approx(tolerance, abs=1e-9)
    assert found / math.sqrt(3) == pytest.approx(u, abs=1e-3)
    error = gauge_error(gauge(span=300, grade="B"))
    assert error is not None
    assert error.tolerance(si(reading, "psi")) == pytest.approx(si(tolerance, "psi"), rel=1e-9)


# If this failed, a reading that the gauge may have carried over the border of a zone would be trusted too far.
def test_near_a_border_the_wider_tolerance_holds() -> None:
    error = gauge_error(gauge(span=300, resolution=2, grade="B"))
    assert error is not None
    for near in (70, 75, 80, 220, 225, 230):
        assert error.tolerance(si(near, "psi")) == pytest.approx(si(9, "psi"), rel=1e-9)


# If this failed, a coarse scale would be read as a fine one (ST-19: d over the root of 12, from memory).
@pytest.mark.parametrize(("resolution", "u"), [(1, 0.288675), (2, 0.577350), (5, 1.443376)])
def test_resolution(resolution: float, u: float) -> None:
    error = gauge_error(gauge(resolution=resolution, repeatability=0.0))
    assert beside_siblings(error, 0.0, Final(si(150, "psi"), 1)) == pytest.approx(si(u, "psi"), abs=si(1e-6, "psi"))


# If this failed, a builder who writes the grade as the gauge's face has it would be turned away.
@pytest.mark.parametrize("written", ["b", " Grade B ", "ASME B40.100 grade B", "class 1,6", "EN 837-1 cl. 1.6", "1.60"])
def test_grades_as_people_write_them(written: str) -> None:
    assert accuracy(written).source in {"B40.100", "EN 837-1"}


# If this failed, a misspelt grade would be taken for none, and the gauge for a perfect one.
@pytest.mark.parametrize("written", ["E", "5A", "1.7", "good", "AB"])
def test_an_unknown_grade_is_refused_with_what_to_write(written: str) -> None:
    with pytest.raises(GaugeRefused, match=r"Write one of 4A, 3A, 2A, 1A, A, B, C, D or one of 0\.1, 0\.25") as refused:
        accuracy(written)
    assert f'grade = "{written}"' in str(refused.value)
