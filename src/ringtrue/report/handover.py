"""The hand-over sheet: from the facts of a judged test to what stands on paper."""

from __future__ import annotations

from ringtrue.compression import Conditions, Gauge
from ringtrue.measure import SeriesJudgement
from ringtrue.report.engine_part import as_taken_sections, engine_sections
from ringtrue.report.facts import HandOver
from ringtrue.report.model import (
    Block,
    Cell,
    Column,
    Fact,
    Facts,
    Finding,
    Fingerprint,
    Picture,
    Section,
    Sentences,
    SheetContent,
    Signatures,
    Table,
)
from ringtrue.report.photographs import photographs
from ringtrue.report.tables import corrections_table, leakdown_table, remarks_table, rules_table, wet_table
from ringtrue.report.texts import cleaned
from ringtrue.report.told import Told, sentence, unit_of
from ringtrue.wording import (
    Explained,
    beside_sheet,
    cautions,
    deferral,
    figures_sentence,
    how_sure,
    pattern_words,
    percent,
    short_head,
    summary,
)

KIND = "Hand-over sheet of a compression test"
_BARS = "Upright lines through a point: its 95 % interval, where it says something."


def content(handover: HandOver) -> SheetContent:
    """
    Put a hand-over sheet into words.

    Parameters
    ----------
    handover : HandOver
        The facts.

    Returns
    -------
    SheetContent
        Everything that stands on the sheet, for HTML and PDF alike. Pressures are in psi where no unit was ever
        written.
    """
    series = handover.judgement.main
    unit = unit_of(handover.unit or (series.unit if series else "") or handover.test.unit)
    told = Told(unit, series.rules if series else ())
    sheet = handover.sheet
    return cleaned(
        SheetContent(
            kind=KIND,
            shop=handover.shop_name,
            heading=handover.engine_name or (sheet.name if sheet else "") or "Engine without a name",
            facts=_heading(handover),
            sections=tuple(_sections(handover, series, told)),
            foot=_foot(handover),
            date=handover.test.date,
            paper=handover.paper,
        )
    )


def _sections(handover: HandOver, series: SeriesJudgement | None, told: Told) -> list[Section]:
    wet, remarks = wet_table(handover.test, handover.judgement, told), remarks_table(handover.test)
    leakdown = handover.judgement.leakdown
    tables = (
        ("The rules", rules_table(series, told) if series else None),
        ("With oil", wet),
        (
            "With air: leak-down",
            leakdown_table(handover.test.leakdowns, leakdown, told.unit, handover.leak_areas) if leakdown else None,
        ),
    )
    return [
        _in_short(series, told, handover.put_aside),
        *engine_sections(handover, told),
        *_meaning(handover, series, told),
        *_likeliest(handover, told),
        *_over_time(handover),
        *_beside_sheet(handover, told),
        *(Section(title, (table,)) for title, table in tables if table),
        *as_taken_sections(handover, told),
        *([Section("Beside the readings", (remarks,))] if remarks else []),
        *([Section("Photographs", (photographs(handover.photographs),))] if handover.photographs else []),
        *_how_sure(series, told),
        _gauge_and_day(handover.test.gauge, handover.test.conditions, handover.note),
        *([Section("Corrections", (corrections_table(handover.corrections),))] if handover.corrections else []),
        _record(handover),
        _cautions(handover),
        _signatures(handover),
    ]


def _heading(handover: HandOver) -> tuple[Fact, ...]:
    test, sheet = handover.test, handover.sheet
    known = (
        ("reference", handover.engine_reference or (sheet.reference if sheet else "")),
        ("date of the test", test.date or "not said"),
        ("run since the build", str(test.run_since_build) if test.run_since_build else "not said"),
        ("builder", handover.builder),
        ("tested by", test.by),
        ("owner", handover.owner_name),
    )
    return tuple(Fact(label, value) for label, value in known if value)


def _foot(handover: HandOver) -> str:
    if not handover.test_id:
        return "In no record book"
    return f"Test {handover.test_id}" + (f", head {short_head(handover.head)}" if handover.head else "")


def _in_short(series: SeriesJudgement | None, told: Told, put_aside: str) -> Section:
    # The figures have a place of their own on the sheet.
    figures = "" if series is None else figures_sentence(series, told.unit)
    first, *more = (each for each in summary(series, told.unit) if each != figures)
    blocks: list[Block] = [Sentences((first,), "lead")]
    if put_aside:
        blocks.insert(0, Sentences((sentence(f"this test was put aside and counts nowhere: {put_aside}"),), "lead"))
    if more:
        blocks.append(Sentences(tuple(more)))
    return Section("", tuple(blocks))


def _meaning(handover: HandOver, series: SeriesJudgement | None, told: Told) -> list[Section]:
    rules = () if series is None else series.rules
    words = [pattern_words(each, told.unit, handover.sheet, rules) for each in handover.patterns]
    if not words:
        return []
    findings = tuple(Finding(each.seen, each.means, each.next_check, each.caution) for each in words)
    return [Section("What it means, and what to check next", findings)]


def _likeliest(handover: HandOver, told: Told) -> list[Section]:
    if handover.explanation is None:
        return []
    says = Explained(handover.explanation, told.unit, handover.sheet).in_short()
    return [Section("What is likeliest, and what would tell most", (Sentences(says, "list"),))] if says else []


def _over_time(handover: HandOver) -> list[Section]:
    over_time = handover.over_time
    if over_time is None:
        return []
    first, *more = over_time.sentences
    blocks: list[Block] = [Sentences((first,), "lead"), Sentences(tuple(more), "list")]
    if over_time.course is not None:
        figures = over_time.course.figures
        blocks.append(Picture(over_time.course, over_time.course.says, _BARS))
        columns = tuple(Column(title) for title in figures.columns)
        rows = tuple(tuple(Cell(text) for text in row) for row in figures.rows)
        blocks.append(Table(figures.caption, columns, rows))
    return [Section("Since the baseline", tuple(blocks))]


def _beside_sheet(handover: HandOver, told: Told) -> list[Section]:
    series = handover.judgement.dry
    if series is None:
        return []
    says = beside_sheet(series, handover.expected, handover.not_expected, told.unit, handover.strokes)
    return [Section("Beside the build sheet", (Sentences(says, "quiet"),))] if says else []


def _how_sure(series: SeriesJudgement | None, told: Told) -> list[Section]:
    if series is None:
        return []
    return [Section("How sure this is", (Sentences(how_sure(series, told.unit), "quiet"),))]


def _gauge_and_day(gauge: Gauge | None, day: Conditions, note: str) -> Section:
    blocks: list[Block] = [Facts((*_gauge(gauge), *_day(day)), columns=3)]
    if note:
        blocks.append(Sentences((sentence(f"said before the test: {note}"),)))
    return Section("Gauge and conditions", tuple(blocks))


def _gauge(gauge: Gauge | None) -> list[Fact]:
    if gauge is None:
        return [Fact("gauge", "not said")]
    known = (
        ("gauge", gauge.name or "not said"),
        ("range", f"0 to {gauge.range}" if gauge.range else "not said"),
        ("smallest step", str(gauge.resolution or "not said")),
        ("grade or class", gauge.grade or "not said"),
        ("check valve", str(gauge.check_valve or "")),
        ("adapter volume", str(gauge.adapter_volume or "")),
        ("hose volume", str(gauge.hose_volume or "")),
        ("check valve opens at", str(gauge.opening_pressure or "")),
        (
            "repeatability",
            "" if gauge.repeatability is None else f"{percent(100 * gauge.repeatability, decimals=2)} of the reading",
        ),
        ("study of it", "" if gauge.study is None else gauge.study.date),
        ("calibrated", "" if gauge.calibration is None else f"{gauge.calibration.date}, due {gauge.calibration.due}"),
    )
    return [Fact(label, value) for label, value in known if value]


def _day(day: Conditions) -> list[Fact]:
    known = (
        ("altitude", day.altitude),
        ("barometer", day.barometer),
        ("inlet air", day.inlet_air),
        ("oil", day.oil),
        ("cranking speed", day.cranking_speed),
        ("battery", day.battery),
    )
    said = [Fact(label, str(value)) for label, value in known if value is not None]
    missing = ", ".join(label for label, value in known if value is None)
    return [*said, *([Fact("not said", missing)] if missing else [])]


def _record(handover: HandOver) -> Section:
    if not (handover.test_id and handover.head):
        return Section("The record", (Sentences(("This test is in no record book, so nothing proves it unchanged.",)),))
    short = short_head(handover.head)
    says = (
        "Every entry of this test is sealed by the one after it; the seal of the last is its head. Whoever holds this "
        "paper can check the record, or an exported copy of it, against the head: a reading that was changed or "
        "removed since gives another one."
    )
    command = f"ringtrue book verify {handover.test_id} --head {short}"
    return Section("The record", (Fingerprint(short, handover.head, command, says),))


def _cautions(handover: HandOver) -> Section:
    short = sentence("; ".join(each.short for each in cautions(handover.sheet)))
    return Section("Cautions", (Sentences((deferral(), short), "quiet"),))


def _signatures(handover: HandOver) -> Section:
    lines = (Fact("Builder", handover.builder), Fact("Received by", handover.owner_name))
    return Section("", (Signatures(lines),))
