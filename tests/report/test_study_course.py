"""A study, drawn."""

from __future__ import annotations

import pytest
from tests.pulled import reading

from ringtrue.compression import StudyReading
from ringtrue.report.study_course import study_course

TAKEN = (("1", "JA", 150), ("1", "JA", 152), ("1", "KM", 154), ("2", "JA", 100), ("2", "KM", 99), ("2", "KM", 101))


# If this failed, a reading would be drawn beside another cylinder's mean, or under another person's mark. By hand: 150
# of 152 is 1.316 % less, 154 as much more; 99 and 101 lie 1 % either side of 100.
def test_every_reading_beside_its_cylinder() -> None:
    readings = []
    for number, (cylinder, person, final) in enumerate(TAKEN):
        read = reading(final, "psi")
        assert read is not None
        readings.append(StudyReading(cylinder, person, number + 1, read))
    found = study_course(readings, "how it repeats")
    heights = {line.label: sorted(round(spot.y, 3) for spot in line.spots) for line in found.lines}
    assert heights["JA"] == pytest.approx([-1.316, 0.0, 0.0])
    assert heights["KM"] == pytest.approx([-1.0, 1.0, 1.316])
    assert len(found.figures.rows) == len(TAKEN)
    assert found.figures.rows[0] == ("1", "JA", "1", "150 psi", "-1.32 %")
