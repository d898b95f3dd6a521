"""Judge a readings file, or any test that was taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ringtrue.compression import Band, CompressionTest, Expectation, Gauge, Kind, Pull
from ringtrue.diagnosis import Pattern, patterns
from ringtrue.engine import BuildSheet
from ringtrue.errors import InputRefused
from ringtrue.intake import Day, HowWritten, read_day, read_readings, read_sheet
from ringtrue.measure import Interval, Judgement, Outcome, SeriesJudgement, judge
from ringtrue.measure.limits import thresholds
from ringtrue.quantities import PaAbs, PaGauge
from ringtrue.shop.gauge_on_day import GaugeOverTime
from ringtrue.shop.leaks import Leak, air_of, leak_of, loss_through
from ringtrue.shop.typed import decimal_mark
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit

_NOTHING = (Pull(cylinder="", drift=True),)
"""A dry series in which nothing was read: rows of drift name no cylinder of their own."""


@dataclass(frozen=True, slots=True)
class Judged:
    """
    A test, what it was judged against, and what was found.

    Parameters
    ----------
    test : CompressionTest
        What was taken.
    sheet : BuildSheet or None
        The engine, when it is known.
    judgement : Judgement
        The figures and outcomes.
    top : SeriesJudgement
        The dry series, or the only one; of a leak-down alone, a dry series in which nothing was read.
    patterns : tuple of Pattern
        What the figures look like to the trade.
    expected : Expectation or None
        What the engine should show that day; None without a sheet, or where it cannot be said.
    not_expected : str
        Why it cannot be said; empty where it can, or where there is no sheet.
    leaks : tuple of Leak
        Size of the leak behind each leak-down reading.
    warnings : tuple of str
        What the person should know of the file.
    """

    test: CompressionTest
    sheet: BuildSheet | None
    judgement: Judgement
    top: SeriesJudgement
    patterns: tuple[Pattern, ...]
    expected: Expectation | None = None
    not_expected: str = ""
    leaks: tuple[Leak, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def strokes(self) -> int | None:
        """After how many compression strokes the dry finals were read; None where nobody counted."""
        return strokes_counted(self.test)

    @property
    def unit(self) -> Unit:
        """The unit in which results are told: that of the first final, above the surrounding air."""
        return unit_of(self.test)

    @property
    def breaks_a_limit(self) -> bool:
        """Some limit of the dry series or of a leak-down reading is not met; a target that is missed does not count."""
        series = self.judgement.dry
        rules = () if series is None else series.rules
        outcomes = [rule.outcome for rule in rules if rule.level == "limit"] + [
            row.outcome for row in self.judgement.leakdown
        ]
        return Outcome.NOT_MET in outcomes


@dataclass(frozen=True, slots=True)
class FileAndWords:
    """
    A readings file, and what the person says with it.

    Parameters
    ----------
    readings : Path
        CSV, XLSX or JSON.
    sheet : Path or None
        The build sheet.
    test : Path or None
        The test file.
    gauge : Gauge, GaugeOverTime or None
        A gauge, or one of the register with all that was said of it, which is taken as it was on the day of the test;
        the test file's own where none is named.
    unit : str
        Pressure unit where the file names none; empty when not said.
    usual_unit : str
        The shop's unit, where neither file, person nor gauge names one; empty when not settled.
    decimal : str
        "comma", "point" or "ask".
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.
    confirm_unit : bool
        The figures are meant as they are.
    limits : mapping of str to float
        Thresholds that the shop has changed.
    """

    readings: Path
    sheet: Path | None = None
    test: Path | None = None
    gauge: Gauge | GaugeOverTime | None = None
    unit: str = ""
    usual_unit: str = ""
    decimal: str = "ask"
    encoding: str = ""
    confirm_unit: bool = False
    limits: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taken:
    """
    What a readings file, a build sheet and a test file come to.

    Parameters
    ----------
    test : CompressionTest
        What was taken.
    sheet : BuildSheet or None
        The engine.
    sheet_text : str
        The sheet as it was written; empty without one.
    warnings : tuple of str
        What the person should know of the file.
    """

    test: CompressionTest
    sheet: BuildSheet | None
    sheet_text: str
    warnings: tuple[str, ...]


def read_test(words: FileAndWords) -> Taken:
    """
    Read a readings file with its sheet and its test file.

    Parameters
    ----------
    words : FileAndWords
        Where they are.

    Returns
    -------
    Taken
        The test.

    Raises
    ------
    InputRefused
        One of the files cannot be used; all their faults are told at once.
    """
    refused: list[InputRefused] = []
    sheet, text, day = None, "", Day()
    if words.sheet is not None:
        try:
            sheet, text = read_sheet(words.sheet)
        except InputRefused as error:
            refused.append(error)
    if words.test is not None:
        try:
            day = read_day(words.test, confirmed=words.confirm_unit)
        except InputRefused as error:
            refused.append(error)
    gauge, as_it_was = _of_day(words.gauge, day)
    try:
        barometer = day.conditions.barometer
        how = HowWritten(
            unit=find_unit(words.unit, Dimension.PRESSURE) if words.unit else None,
            usual_unit=usual_unit(gauge, words.usual_unit),
            decimal=decimal_mark(words.decimal),
            encoding=words.encoding,
            barometer=None if barometer is None else PaAbs(barometer.value),
            confirm_unit=words.confirm_unit,
        )
        readings = read_readings(words.readings, how, sheet)
    except InputRefused as error:
        refused.append(error)
        raise type(error)(*(fault for each in refused for fault in each.faults)) from None
    if refused:
        raise type(refused[0])(*(fault for each in refused for fault in each.faults))
    test = CompressionTest(
        taken=readings.taken,
        date=day.date,
        by=day.by,
        run_since_build=day.run_since_build,
        gauge=gauge,
        conditions=day.conditions,
    )
    return Taken(test, sheet, text, (*readings.warnings, *as_it_was))


def _of_day(named: Gauge | GaugeOverTime | None, day: Day) -> tuple[Gauge | None, tuple[str, ...]]:
    """Return the gauge of a test, and what is to be said of it."""
    if isinstance(named, GaugeOverTime):
        found = named.on(day.date)
        return found.gauge, ((found.says,) if found.says else ())
    return named or day.gauge, ()


def usual_unit(gauge: Gauge | None, settled: str) -> Unit | None:
    """
    Find the unit of figures that come without one: the gauge's, else the shop's.

    Parameters
    ----------
    gauge : Gauge or None
        The gauge that was used.
    settled : str
        The unit in the shop's settings; empty when there is none.

    Returns
    -------
    Unit or None
        None when neither says.
    """
    face = gauge.range or gauge.resolution if gauge else None
    name = face.unit if face else settled
    return find_unit(name, Dimension.PRESSURE) if name else None


def judge_test(test: CompressionTest, sheet: BuildSheet | None, limits: Mapping[str, float]) -> Judged:
    """
    Judge a test that is in hand.

    Parameters
    ----------
    test : CompressionTest
        What was taken.
    sheet : BuildSheet or None
        The engine.
    limits : mapping of str to float
        Thresholds that the shop has changed.

    Returns
    -------
    Judged
        What was found.
    """
    expected, why_not = _expected(test, sheet)
    final = None if expected is None else expected.final
    judgement = _judgement(test, sheet, limits, final)
    top = judgement.main or judge(replace(test, taken=_NOTHING), sheet=sheet, thresholds=thresholds(limits)).dry
    if top is None:  # pragma: no cover - _NOTHING is a series
        raise AssertionError
    air = air_of(test.conditions)
    leaks = tuple(leak_of(row, air) for row in judgement.leakdown)
    level = None if final is None else Interval(final.low, final.high)
    found = patterns(judgement, test, sheet, expected=level)
    return Judged(test, sheet, judgement, top, found, expected, why_not, leaks)


def unit_of(test: CompressionTest) -> Unit:
    """
    Return the unit in which results of a test are told.

    Parameters
    ----------
    test : CompressionTest
        The test.

    Returns
    -------
    Unit
        That of the first final, above the surrounding air.
    """
    return gauge_unit(find_unit(test.unit or "psi", Dimension.PRESSURE))


def judge_so_far(test: CompressionTest, sheet: BuildSheet | None, limits: Mapping[str, float]) -> Judgement:
    """
    Judge in the middle of a test, at once: what the engine should show, which takes a moment, waits for the end.

    Parameters
    ----------
    test : CompressionTest
        What was taken so far.
    sheet : BuildSheet or None
        The engine.
    limits : mapping of str to float
        Thresholds that the shop has changed.

    Returns
    -------
    Judgement
        The same figures as at the end; only the rules are without the engine's expected level.
    """
    return _judgement(test, sheet, limits, None)


def _judgement(
    test: CompressionTest, sheet: BuildSheet | None, limits: Mapping[str, float], expected: Band | None
) -> Judgement:
    air = air_of(test.conditions)

    def through(supply: PaGauge, held: PaGauge, used: float, wanted: float) -> float | None:
        return loss_through(supply, held, used, wanted, air)

    return judge(test, sheet=sheet, thresholds=thresholds(limits), equivalent_loss=through, expected=expected)


def _expected(test: CompressionTest, sheet: BuildSheet | None) -> tuple[Expectation | None, str]:
    """Return what the engine should show that day, or why that cannot be said; neither without a sheet."""
    if sheet is None or test.series(Kind.DRY) is None:
        return None, ""
    from ringtrue.physics import STROKES, expect

    strokes = strokes_counted(test)
    try:
        return expect(sheet, test.gauge, test.conditions, in_short=True, strokes=strokes or STROKES), ""
    except InputRefused as cannot:
        return None, str(cannot).replace("\n", " ")


def strokes_counted(test: CompressionTest) -> int | None:
    """
    Return after how many compression strokes the dry finals were read.

    Parameters
    ----------
    test : CompressionTest
        What was taken.

    Returns
    -------
    int or None
        The middle of what was counted; None where nobody counted.
    """
    dry = test.series(Kind.DRY)
    counted = sorted(pull.strokes for pull in (dry.pulls if dry else ()) if pull.strokes)
    return counted[len(counted) // 2] if counted else None


def judge_file(words: FileAndWords) -> Judged:
    """
    Judge a readings file.

    Parameters
    ----------
    words : FileAndWords
        The file and what is said with it.

    Returns
    -------
    Judged
        What was found.

    Raises
    ------
    InputRefused
        One of the files cannot be used; all their faults are told at once, and nothing is judged.
    """
    taken = read_test(words)
    return replace(judge_test(taken.test, taken.sheet, words.limits), warnings=taken.warnings)
