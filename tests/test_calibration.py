"""The correction of a gauge, what it leaves open, its grade, and where it is applied. Figures are invented."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from tests.calibrated import DOWN, PSI, UP, calibration, gauge, points
from tests.pulled import pulls

from ringtrue.compression import Band, CompressionTest, Kind, LeakdownReading, Pull
from ringtrue.diagnosis import explain
from ringtrue.history import carry
from ringtrue.measure import Outcome, judge
from ringtrue.measure.calibration import Form, curve_of
from ringtrue.measure.correcting import Standing, corrected, gauge_curve, standing
from ringtrue.measure.gauges import gauge_error
from ringtrue.measure.grade import beside_grade

FINALS = [150, 152, 150, 148, 124, 151]


def taken(finals: list[float] | None = None, **more: object) -> CompressionTest:
    """Return a test read with a calibrated gauge, on a day on which that is in date."""
    rows = pulls(FINALS if finals is None else finals, [95] * 6)
    return CompressionTest(rows, **{"gauge": gauge(), "date": "2026-05-14", **more})  # type: ignore[arg-type]


# If this failed, the curve would not be the one through the middle of rising and falling (computed by hand).
def test_from_point_to_point() -> None:
    curve = curve_of(calibration(), PSI)
    assert curve.form is Form.POINTS
    # 120 psi: 122 rising and 124 falling, so the middle is 123 and 3 has to come off.
    assert [(round(x / PSI, 6), round(y / PSI, 6)) for x, y in curve.nodes] == [
        (0, 0), (61.5, -1.5), (123, -3), (183, -3), (242, -2), (299, 1)
    ]  # fmt: skip
    assert curve.correction(123 * PSI) / PSI == pytest.approx(-3)
    assert curve.correction(92.25 * PSI) / PSI == pytest.approx(-2.25)
    assert curve.hysteresis == pytest.approx(2 * PSI)


# If this failed, a gauge that is off by a share and an offset would get corners where it has none.
def test_a_line_is_enough_where_reading_explains_the_rest() -> None:
    off = [(x, round(1.01 * x + 1)) for x in range(0, 300, 30)]
    line = curve_of(calibration(points(off, ())), PSI)
    assert line.form is Form.LINE
    assert line.correction(152 * PSI) / PSI == pytest.approx(150 - 152, abs=0.5)
    # The same points read to a tenth are not explained by reading any more: rounding to 1 psi is then a bend.
    assert curve_of(calibration(points(off, ())), 0.1 * PSI).form is Form.POINTS


# If this failed, a correction would be carried on where nobody held the gauge against anything.
def test_nothing_is_carried_on_beyond_the_ends() -> None:
    for known in (calibration(), calibration(points([(x, x + 1) for x in (60, 120, 180)], ()))):
        curve = curve_of(known, PSI)
        assert curve.correction(curve.high + 50 * PSI) == curve.correction(curve.high)
        assert curve.correction(curve.low - 50 * PSI) == curve.correction(curve.low)
        assert not curve.covers(curve.high + 2 * PSI, PSI)
        assert curve.covers(curve.high + 0.4 * PSI, PSI)


# If this failed, something that is not known would be missing from the interval (by hand: JCGM 100, 4.3.7 and 5.1.2).
def test_the_budget() -> None:
    curve = curve_of(calibration(), PSI)
    parts = {part.name: part.standard / PSI for part in curve.budget(150 * PSI)}
    assert parts["the reference"] == pytest.approx(0.2)
    assert parts["reading the points"] == pytest.approx(1 / math.sqrt(12))
    assert parts["hysteresis"] == pytest.approx(2 / math.sqrt(12))
    assert curve.uncertainty(150 * PSI) / PSI == pytest.approx(math.hypot(*parts.values()))
    blind = curve_of(calibration(points(UP, ()), reference=None), PSI)
    assert {part.name for part in blind.budget(150 * PSI)} == {"reading the points", "lack of fit"}


# If this failed, the uncertainty of a correction would not hold what a gauge with a known error really does: over many
# invented gauges (a bend, an offset, hysteresis, rounding), the truth lies within two standard uncertainties about as
# often as it should (JCGM 100, G: about 95 %; at least that, for the parts are taken at their largest).
def test_coverage_over_invented_gauges() -> None:
    chance = random.Random(20260514)
    inside = total = 0
    for _ in range(400):
        bend, share, offset, apart = (chance.gauss(0, s) for s in (1.5, 0.01, 1.0, 0.8))

        def shown(true: float, side: int) -> float:
            smooth = true * (1 + share) + offset + bend * math.sin(math.pi * true / 300)  # noqa: B023 - used at once
            return smooth + side * apart * math.sin(math.pi * true / 300)  # noqa: B023 - used at once

        error = chance.gauss(0, 0.2)
        rows = [(x + 0.0, round(shown(x + error, -1))) for x in range(20, 301, 40)]
        back = [(x + 0.0, round(shown(x + error, 1))) for x in range(260, 20, -40)]
        curve = curve_of(calibration(points(rows, back)), PSI)
        true = chance.uniform(60, 260)
        read = shown(true, chance.choice([-1, 1])) * PSI
        inside += abs(read + curve.correction(read) - true * PSI) <= 2 * curve.uncertainty(read)
        total += 1
    assert inside / total >= 0.94


# If this failed, a gauge would be called good by a grade it breaks, bad by one it keeps, or sure where nobody can be.
@pytest.mark.parametrize(
    ("at_150", "outcome"),
    [
        (150, Outcome.MET),
        (155, Outcome.MET),
        (156, Outcome.TOO_CLOSE),
        (157, Outcome.NOT_MET),
        (144, Outcome.TOO_CLOSE),
    ],
)
def test_the_grade(at_150: float, outcome: Outcome) -> None:
    # Grade B allows 6 psi in the middle half; reference 0.2 psi and reading 0.29 psi make 0.58 psi one-sided at 95 %.
    found = beside_grade(gauge(calibration(points([(0, 0), (150, at_150), (300, 300)], ()))))
    assert found is not None
    assert found.outcome is outcome
    assert at_150 == 150 or found.worst.point.reference.written == "150"
    assert beside_grade(gauge(grade="")) is None


# If this failed, a figure would be corrected twice, or what was read would be lost.
def test_correcting_is_done_once_and_keeps_what_was_read() -> None:
    test = taken()
    once = corrected(test)
    assert corrected(once) is once
    assert once.as_read == test.taken
    first = once.taken[0]
    assert isinstance(first, Pull)
    assert first.final is not None
    assert first.final.written == "150"
    assert first.final.pressure / PSI == pytest.approx(147)
    plain = replace(test, gauge=replace(gauge(), calibration=None))
    assert corrected(plain) is plain


# If this failed, a needle that did not move would show a pressure, or another tester's gauges would be corrected.
def test_what_is_not_corrected() -> None:
    (row,) = pulls([0])
    leak = LeakdownReading(cylinder="1", supply=row.final, held=row.final)
    offset = gauge(calibration(points([(10, 5), (150, 145), (300, 295)], ())))
    assert corrected(CompressionTest((row, leak), gauge=offset)).taken == (row, leak)


# If this failed, judging, explaining or carrying would see other figures than one another.
def test_everything_sees_the_same_corrected_figures() -> None:
    test = taken()
    by_hand = replace(corrected(test), as_read=None, gauge=replace(gauge(), calibration=None, grade=""))
    dry = judge(test).dry
    plain = judge(by_hand).dry
    assert dry is not None
    assert plain is not None
    assert [each.final for each in dry.cylinders] == [each.final for each in plain.cylinders]
    assert [each.first_over_final for each in dry.cylinders] == [each.first_over_final for each in plain.cylinders]
    assert [round((each.final_as_read or 0) / PSI) for each in dry.cylinders] == FINALS
    assert dry.correction is not None
    assert (dry.correction.gauge, dry.correction.standing) == ("face-1", Standing.IN_DATE)
    assert dry.correction.most / PSI == pytest.approx(-3)
    band = Band(1.0, 1.0, 1.0)
    one, other = (carry(each, "123456", band) for each in (test, by_hand))
    assert one is not None
    assert other is not None
    assert one.middle_read == other.middle_read
    low = [explain(each, None).cylinders[4] for each in (test, by_hand)]
    causes = [{each.cause: each.probability for each in of.causes} for of in low]
    assert causes[0] == pytest.approx(causes[1], abs=0.02)


# If this failed, the grade would go on widening what a calibration has narrowed.
def test_what_the_calibration_leaves_takes_the_place_of_the_grade() -> None:
    error = gauge_error(gauge(), "2026-05-14")
    curve = gauge_curve(gauge())
    assert error is not None
    assert curve is not None
    shift = error.tolerance(147 * PSI) / math.sqrt(3)
    assert shift == pytest.approx(curve.uncertainty(150 * PSI), rel=1e-6)
    dry, by_grade = (judge(taken(gauge=g)).dry for g in (gauge(), replace(gauge(), calibration=None)))
    assert dry is not None
    assert by_grade is not None
    assert dry.cylinders[0].interval is not None
    assert by_grade.cylinders[0].interval is not None
    width = dry.cylinders[0].interval.high - dry.cylinders[0].interval.low
    assert width < (by_grade.cylinders[0].interval.high - by_grade.cylinders[0].interval.low) / 2
    assert any("corrected by the calibration of 2026-03-01" in note for note in dry.uncertainty_notes)
    assert not any("grade B" in note for note in dry.uncertainty_notes)


# If this failed, a calibration that has run out, or was made later, would be trusted like a fresh one.
@pytest.mark.parametrize(
    ("date", "held", "grade_counts"),
    [
        ("2026-02-28", Standing.LATER, True),
        ("2026-03-01", Standing.IN_DATE, False),
        ("2027-03-01", Standing.IN_DATE, False),
        ("2027-03-02", Standing.OVERDUE, True),
        ("", Standing.NO_DAY, False),
    ],
)
def test_in_date(date: str, held: Standing, grade_counts: bool) -> None:
    assert standing(calibration(), date) is held
    error, plain = gauge_error(gauge(), date), gauge_error(replace(gauge(), calibration=None))
    assert error is not None
    assert plain is not None
    wide = error.tolerance(150 * PSI) == plain.tolerance(150 * PSI)
    assert wide is grade_counts
    dry = judge(taken(date=date)).dry
    assert dry is not None
    assert dry.correction is not None
    assert dry.correction.standing is held
    said = {
        Standing.OVERDUE: "due again on 2027",
        Standing.LATER: "made after this test",
        Standing.NO_DAY: "no date",
    }
    assert said.get(held, "next is due on") in dry.uncertainty_notes[0]


# If this failed, a reading beyond the last point would be given for as sure as one between two.
def test_beyond_the_calibration_the_grade_counts_again_and_it_is_said() -> None:
    short = gauge(calibration(points([(x, x + 1) for x in (60, 100, 140)], ())))
    dry = judge(taken(gauge=short)).dry
    assert dry is not None
    assert dry.correction is not None
    assert dry.correction.beyond == ("1", "2", "3", "4", "6")
    assert "beyond the ends of the calibration, so corrected as at its end: 1, 2, 3, 4, 6" in dry.uncertainty_notes
    error = gauge_error(short, "2026-05-14")
    assert error is not None
    assert error.tolerance(150 * PSI) == pytest.approx(6 * PSI)
    assert error.tolerance(124 * PSI) < 2 * PSI
    bare = gauge_error(replace(short, grade=""), "2030-01-01")
    assert bare is not None
    assert "no grade with a range says how far" in bare.notes[0]


# If this failed, wet over dry would be a ratio of a corrected figure and one that is not.
def test_wet_is_corrected_too() -> None:
    rows = (*pulls([123]), *pulls([242], kind=Kind.WET))
    (found,) = judge(CompressionTest(rows, gauge=gauge())).wet_over_dry
    assert found.ratio == pytest.approx(240 / 120)


# If this failed, runs that differ would not make a level any less sure, or twenty runs would hide the step of the dial.
def test_repeated_runs() -> None:
    far = curve_of(calibration(points([*UP, *((x, y + 3) for x, y in UP)], DOWN)), PSI)
    assert far.reading == pytest.approx(math.sqrt(4.5) * PSI / math.sqrt(2))
    same = curve_of(calibration(points([*UP, *UP], DOWN)), PSI)
    assert same.reading == pytest.approx(PSI / math.sqrt(12))
