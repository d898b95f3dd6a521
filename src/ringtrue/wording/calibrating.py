"""A calibration, and what it did to readings, in words."""

from __future__ import annotations

from collections.abc import Iterator

from ringtrue.compression import Approach, CompressionTest, Gauge, Kind
from ringtrue.measure import Outcome
from ringtrue.measure.calibration import Curve, Form
from ringtrue.measure.correcting import Correction, Standing
from ringtrue.measure.grade import BesideGrade
from ringtrue.sources import source
from ringtrue.units import Unit, from_si
from ringtrue.wording.names import cylinders

_MINUS = "\u2212"


def difference(value: float, unit: Unit, *, signed: bool = True) -> str:
    """
    Write a small difference of pressures, with its unit.

    Parameters
    ----------
    value : float
        [Pa]
    unit : Unit
        In which it is told; one digit finer than a gauge is read.
    signed : bool
        With its sign.

    Returns
    -------
    str
        For example "+1.5 psi".
    """
    number = f"{abs(value) / unit.factor:.{unit.decimals + 1}f}"
    none = not any(digit in number for digit in "123456789")
    sign = "" if none or not signed else _MINUS if value < 0 else "+"
    return f"{sign}{number} {unit.name}"


def as_read(test: CompressionTest) -> str:
    """
    Say whether the finals of a test are as they were read.

    Parameters
    ----------
    test : CompressionTest
        The test.

    Returns
    -------
    str
        "as read", or "corrected" where its gauge's calibration has corrected them.
    """
    return "as read" if test.gauge is None or test.gauge.calibration is None else "corrected"


def corrected_by(done: Correction, unit: Unit) -> str:
    """
    Say in few words by how much finals are corrected, and by which calibration.

    Parameters
    ----------
    done : Correction
        What was done.
    unit : Unit
        In which it is told.

    Returns
    -------
    str
        What follows *corrected*.
    """
    return f"{_by(done, unit)}: calibration of {done.date}"


def correction_sentences(done: Correction, unit: Unit) -> tuple[str, ...]:
    """
    Say that readings are corrected, by what and by how much.

    Parameters
    ----------
    done : Correction
        What was done.
    unit : Unit
        In which it is told.

    Returns
    -------
    tuple of str
        Sentences.
    """
    says = [
        f"Readings are corrected by the calibration of gauge {done.gauge} of {done.date}: finals {_by(done, unit)}.",
        "What was read stays in the record and stands beside.",
    ]
    if done.standing is Standing.OVERDUE:
        says.append(f"The gauge was due for calibration on {done.due}, before this test.")
    if done.standing is Standing.LATER:
        says.append("The calibration was made after this test: the gauge may have been another then.")
    if done.beyond:
        which = cylinders(list(done.beyond))
        says.append(f"Beyond the ends of the calibration, so corrected as at its end: {which}.")
    return tuple(says)


def _by(done: Correction, unit: Unit) -> str:
    least, most = difference(done.least, unit), difference(done.most, unit)
    return f"by {least}" if least == most else f"by {least} to {most}"


def calibrated_notes(*tests: CompressionTest) -> tuple[str, ...]:
    """
    Note of each test that its readings are corrected.

    Parameters
    ----------
    *tests : CompressionTest
        As read.

    Returns
    -------
    tuple of str
        Sentences without their full stop, each once.
    """
    known = [
        f"finals read with gauge {test.gauge.name} are corrected by its calibration of {test.gauge.calibration.date}; "
        "what was read stays in the record"
        for test in tests
        if test.gauge is not None and test.gauge.calibration is not None and test.series(Kind.DRY) is not None
    ]
    return tuple(dict.fromkeys(known))


def calibration_sentences(gauge: Gauge, curve: Curve, unit: Unit) -> tuple[str, ...]:
    """
    Say what a calibration came to.

    Parameters
    ----------
    gauge : Gauge
        With its calibration.
    curve : Curve
        Its correction.
    unit : Unit
        In which it is told.

    Returns
    -------
    tuple of str
        Sentences.
    """
    return tuple(_calibration(gauge, curve, unit))


def _calibration(gauge: Gauge, curve: Curve, unit: Unit) -> Iterator[str]:
    known = gauge.calibration
    if known is None:
        return
    falling = sum(point.approach is Approach.FALLING for point in known.points)
    who = f" by {known.by}" if known.by else ""
    against = f" against {known.reference}" if known.reference else ""
    yield (
        f"Gauge {gauge.name}, calibrated on {known.date}{who}{against}: {len(known.points)} points, "
        f"{len(known.points) - falling} rising and {falling} falling. The next is due on {known.due}."
    )
    added = [y for _, y in curve.nodes] if curve.line is None else [curve.line.height(x) for x, _ in curve.nodes]
    why = (
        "what the points leave of it is no more than reading them explains"
        if curve.form is Form.LINE
        else "a line would leave more than reading the points explains"
    )
    yield (
        f"The correction is {curve.form} ({why}): {difference(min(added), unit)} to {difference(max(added), unit)}, "
        f"between {_plain(curve.low, unit)} and {_plain(curve.high, unit)}. It is held as at the ends beyond them."
    )
    if curve.hysteresis is not None:
        most = difference(curve.hysteresis, unit, signed=False)
        yield f"Between rising and falling the needle differs by {most} at most."
    worst = max((curve.uncertainty(x) for x, _ in curve.nodes), default=0.0)
    yield (
        f"What the correction leaves open: standard uncertainty {difference(worst, unit, signed=False)}, expanded "
        f"{difference(2 * worst, unit, signed=False)} (k = 2), at the point where it is largest."
    )


def _plain(value: float, unit: Unit) -> str:
    return f"{from_si(value, unit):.{unit.decimals}f} {unit.name}"


def grade_sentences(found: BesideGrade | None, gauge: Gauge, unit: Unit) -> tuple[str, ...]:
    """
    Say whether a gauge still meets its grade.

    Parameters
    ----------
    found : BesideGrade or None
        What was found; None where it cannot be asked.
    gauge : Gauge
        The gauge.
    unit : Unit
        In which it is told.

    Returns
    -------
    tuple of str
        Sentences.
    """
    if found is None:
        lacks = "grade" if not gauge.grade.strip() else "range"
        return (f"Grade: not judged (the {lacks} of the gauge is not in the register).",)
    worst = found.worst
    says = (
        f"Grade {found.grade} ({source(found.source)}): {found.outcome}. The worst point is {worst.point.reference} "
        f"{worst.point.approach}: off by {difference(worst.error, unit)} of "
        f"{difference(worst.tolerance, unit, signed=False)} allowed."
    )
    if found.outcome is Outcome.TOO_CLOSE:
        more = "Too close to call means that reference and reading leave either outcome open (95 %, one-sided)."
        return (says, more)
    if found.outcome is Outcome.NOT_MET:
        return (says, "Corrected it can still be used; what its grade promises it no longer keeps.")
    return (says,)


def point_rows(
    gauge: Gauge, curve: Curve, grade: BesideGrade | None, unit: Unit
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """
    Tell the points of a calibration, with what the correction makes of them.

    Parameters
    ----------
    gauge : Gauge
        With its calibration.
    curve : Curve
        Its correction.
    grade : BesideGrade or None
        The same points beside the grade.
    unit : Unit
        In which figures stand without it; the head of the table names it.

    Returns
    -------
    tuple of (tuple of str, list of tuple of str)
        The head, and a row a point in the order taken.
    """
    head: tuple[str, ...] = ("reference", "direction", "shown", "off by", "corrected", "left")
    if grade is not None:
        head += (f"grade {grade.grade}",)
    rows: list[tuple[str, ...]] = []
    points = () if gauge.calibration is None else gauge.calibration.points
    for index, point in enumerate(points):
        shown, reference = point.shown.pressure, point.reference.pressure
        made = shown + curve.correction(shown)
        row = (
            _number(reference, unit),
            str(point.approach),
            _number(shown, unit),
            _signed(shown - reference, unit),
            _number(made, unit),
            _signed(made - reference, unit),
        )
        rows.append(row if grade is None else (*row, str(grade.points[index].outcome)))
    return head, rows


def budget_rows(curve: Curve, unit: Unit) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """
    Tell what is not known of a correction, where that is most.

    Parameters
    ----------
    curve : Curve
        The correction.
    unit : Unit
        In which it is told.

    Returns
    -------
    tuple of (tuple of str, list of tuple of str)
        The head, and a row a part; the last is their sum in quadrature.
    """
    at = max((x for x, _ in curve.nodes), key=curve.uncertainty)
    head = ("part", f"standard uncertainty [{unit.name}]", "how", "from")
    rows = [
        (part.name, f"{part.standard / unit.factor:.{unit.decimals + 2}f}", part.how, part.source)
        for part in curve.budget(at)
    ]
    whole = f"{curve.uncertainty(at) / unit.factor:.{unit.decimals + 2}f}"
    return head, [*rows, ("all together", whole, "root of the sum of squares", "JCGM 100")]


def _number(value: float, unit: Unit) -> str:
    return f"{from_si(value, unit):z.{unit.decimals + 1}f}"


def _signed(value: float, unit: Unit) -> str:
    return difference(value, unit).removesuffix(unit.name).strip()
