"""A test as it stands, in the form that pages show: every figure already in words, with its unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from ringtrue.compression import CompressionTest, Kind, LeakdownReading
from ringtrue.diagnosis import PatternKey, patterns
from ringtrue.diagnosis.seen import NEAR_ZERO
from ringtrue.engine import Layout, in_a_row, seen_from_above
from ringtrue.intake import (
    BEYOND_BELIEF,
    LARGEST_FINAL,
    MISREAD_OR_SWAPPED,
    NEVER_BELOW_THE_FIRST,
    PLAUSIBLE_MEDIAN,
    believed_finals,
    parse_sheet,
)
from ringtrue.measure.figures import two_claim_to_be_one
from ringtrue.shop.judging import judge_so_far
from ringtrue.shop.with_oil import DRY_FIRST, LEAKDOWN_INSTEAD, OIL_IS_WRONG, wet_is_wrong
from ringtrue.units import Dimension, find_unit, from_si, gauge_unit, to_si
from ringtrue.web.wire import BelievedOut, CylinderOut, FiguresOut, LiveTest, PullOut, RunningOut, SentencesOut
from ringtrue.wording import (
    Care,
    Shown,
    capital,
    care,
    corrected_by,
    dose_line,
    drift_asked,
    drift_sentence,
    oil_sentence,
    pattern_words,
    place_sentence,
    pressure,
    rule_sentence,
    summary,
    wet_test,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringtrue.diagnosis import Pattern
    from ringtrue.engine import BuildSheet
    from ringtrue.measure import CylinderFigures, Judgement, SeriesJudgement
    from ringtrue.records import Recorded
    from ringtrue.units import Unit

LOOK_FIRST = "Look before anybody cranks again: at the gauge's fitting, and through the plug hole."
"""What is said of a figure next to nothing that the book does not have yet."""
CONFLICT = "not judged (two readings)"
"""The place of a cylinder of which two readings claim to be the same one."""


def readings(recorded: Recorded) -> list[PullOut]:
    """
    Tell every pull that stands, in the order taken.

    Parameters
    ----------
    recorded : Recorded
        The test.

    Returns
    -------
    list of PullOut
        With the entry in which each stands.
    """
    by = {entry.seq: entry for entry in recorded.entries}
    corrected = {change.seq for change in recorded.corrections}
    found = []
    for seq, row in zip(recorded.standing, recorded.test.taken, strict=True):
        if isinstance(row, LeakdownReading):
            continue
        entry = by[seq]
        figure = row.final or row.first
        found.append(
            PullOut(
                entry=seq,
                kind=row.kind.value,
                cylinder=row.cylinder,
                first=row.first.written if row.first else "",
                final=row.final.written if row.final else "",
                unit=figure.unit if figure else "",
                spoiled=row.first_spoiled,
                drift=row.drift,
                repeat=row.repeat,
                strokes=row.strokes,
                oil=str(row.oil or ""),
                note=row.note,
                who=row.read_by or entry.who,
                device=entry.device,
                at=entry.at,
                corrected=seq in corrected,
                first_from_film=row.first_from_film,
            )
        )
    return found


def live(recorded: Recorded, limits: Mapping[str, float], usual_unit: str) -> LiveTest:
    """
    Tell a test as it stands.

    Parameters
    ----------
    recorded : Recorded
        The test, from the book.
    limits : mapping of str to float
        Thresholds that the shop has changed.
    usual_unit : str
        The shop's unit, for a test in which nothing is read yet; empty when not settled.

    Returns
    -------
    LiveTest
        Whole.
    """
    sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    test = recorded.test
    gauge = recorded.header.gauge
    face = gauge.range or gauge.resolution if gauge else None
    unit = gauge_unit(find_unit(test.unit or (face.unit if face else "") or usual_unit or "psi", Dimension.PRESSURE))
    judgement = judge_so_far(test, sheet, limits) if test.series(Kind.DRY) else None
    dry = judgement.dry if judgement is not None else None
    oil = {each.cylinder: oil_sentence(each) for each in judgement.wet_over_dry} if judgement is not None else {}
    told = readings(recorded)
    order = list(recorded.header.plan_order) or list(dict.fromkeys(row.cylinder for row in test.taken))
    cylinders = [
        msgspec.structs.replace(each, oil=oil.get(each.name, ""))
        for each in _cylinders(tuple(order), sheet, dry, told, test, unit)
    ]
    pulled = {row.cylinder for row in told if row.kind == Kind.DRY.value and not row.drift}
    drifted = [row for row in told if row.drift]
    read = list(dict.fromkeys(row.cylinder for row in told if row.kind == "dry" and row.final and not row.drift))
    drift = read[0] if len(read) > 1 and not drifted else None
    is_round = sheet is not None and sheet.layout is Layout.RADIAL
    stop = _stop(judgement, test, sheet)
    return LiveTest(
        test=recorded.test_id,
        version=len(recorded.entries),
        head=recorded.head,
        engine=recorded.header.engine,
        engine_name=recorded.header.engine_name or recorded.header.engine,
        unit=unit.name,
        by=recorded.header.by,
        date=recorded.header.date,
        gauge=gauge.name if gauge else "",
        finished=recorded.finished,
        order=order,
        next=next((name for name in order if name not in pulled), None),
        drift=drift,
        side="front" if sheet is not None and not is_round else "",
        round=is_round,
        cylinders=cylinders,
        drift_readings=drifted,
        figures=_figures(dry, unit),
        running=_running(dry, unit),
        says=list(summary(dry, unit)) if dry is not None else [],
        rules=[rule_sentence(rule, unit) for rule in dry.rules] if dry is not None else [],
        stop=[sentence for each in stop for sentence in _stop_words(each, unit, sheet)],
        stopped=[name for each in stop for name in each.cylinders],
        dose=dose_line(sheet),
        wet_is_wrong=wet_is_wrong(sheet),
        believed=_believed(sheet, unit),
        sentences=_sentences(sheet, drift, drift_sentence(dry, unit) if dry is not None else ""),
    )


def _stop(judgement: Judgement | None, test: CompressionTest, sheet: BuildSheet | None) -> list[Pattern]:
    """Find the cylinders that nobody cranks again before they have been looked into."""
    if judgement is None:
        return []
    return [each for each in patterns(judgement, test, sheet) if each.key is PatternKey.NEAR_ZERO]


def _stop_words(found: Pattern, unit: Unit, sheet: BuildSheet | None) -> tuple[str, ...]:
    """Say why, and what to look at."""
    words = pattern_words(found, unit, sheet)
    return (words.seen, words.next_check, words.caution)


def _believed(sheet: BuildSheet | None, unit: Unit) -> BelievedOut:
    ignition = sheet.ignition if sheet is not None else None
    psi = find_unit("psi", Dimension.PRESSURE)
    low, high, largest = (from_si(to_si(each, psi), unit) for each in (*PLAUSIBLE_MEDIAN[ignition], LARGEST_FINAL))
    says, says_largest = f"{capital(believed_finals(ignition))}.", f"{capital(BEYOND_BELIEF).removesuffix('.')}."
    return BelievedOut(low, high, largest, says, says_largest, near_zero=from_si(NEAR_ZERO, unit))


def _sentences(sheet: BuildSheet | None, drift: str | None, day: str) -> SentencesOut:
    return SentencesOut(
        first_above_final=f"{capital(NEVER_BELOW_THE_FIRST)}: {MISREAD_OR_SWAPPED}.",
        oil_is_wrong=f"{capital(OIL_IS_WRONG)}: {LEAKDOWN_INSTEAD}." if wet_is_wrong(sheet) else "",
        dry_first=f"{capital(DRY_FIRST)}: pull it dry first, or leave it out.",
        drift=drift_asked(drift) if drift else day,
        with_oil=[item.text for item in wet_test(sheet)],
        near_zero=[LOOK_FIRST, care(Care.LOOKING)],
    )


def _cylinders(
    order: tuple[str, ...],
    sheet: BuildSheet | None,
    dry: SeriesJudgement | None,
    told: list[PullOut],
    test: CompressionTest,
    unit: Unit,
) -> list[CylinderOut]:
    judged: dict[str, CylinderFigures] = {each.cylinder: each for each in dry.cylinders} if dry else {}
    rules = dry.rules if dry else ()
    shown = Shown(unit, rules)
    stations = seen_from_above(sheet) if sheet is not None else in_a_row(order)
    found = []
    for at in stations:
        mine = [row for row in told if row.cylinder == at.cylinder and not row.drift]
        conflict = any(two_claim_to_be_one(test, at.cylinder, kind) for kind in (Kind.DRY, Kind.WET))
        figures = judged.get(at.cylinder)
        has = figures is not None and figures.final is not None
        left_out = next((row.note for row in mine if row.kind == "dry" and not row.final), "")
        place = CONFLICT if conflict else figures.place.value if has and figures else "not read"
        found.append(
            CylinderOut(
                name=at.cylinder,
                across=at.across,
                along=at.along,
                bank=at.bank,
                final=_both(mine)
                if conflict
                else shown.final(figures.final)
                if figures and figures.final is not None
                else "",
                first=shown.final(figures.first) if figures and figures.first is not None else "",
                off=_off(shown, figures.deviation_percent) if figures and not conflict else "",
                place=place,
                says=place_sentence(figures, unit, rules) if figures and not conflict else "",
                conflict=conflict,
                left_out="" if has else left_out,
                oil="",
                readings=mine,
                first_from_film=figures is not None and figures.first_from_film,
            )
        )
    return found


def _both(mine: list[PullOut]) -> str:
    """Show readings that conflict as they were written, and not their mean, which nobody has read."""
    return " or ".join(f"{row.final} {row.unit}" for row in mine if row.kind == Kind.DRY.value and row.final)


def _off(shown: Shown, percent: float | None) -> str:
    """Write how far a cylinder is off the mean, short: a sign tells on which side, and `says` tells it in words."""
    if percent is None:
        return ""
    sign = "\N{MINUS SIGN}" if percent < 0 else "+" if percent > 0 else ""
    return f"{sign}{shown.deviation_percent(percent)}"


def _figures(dry: SeriesJudgement | None, unit: Unit) -> FiguresOut:
    if dry is None or dry.mean is None:
        return FiguresOut("", "", "", "", "", "")
    shown = Shown(unit, dry.rules)
    low, high, over = dry.lowest, dry.highest, dry.lowest_over_highest
    return FiguresOut(
        mean=shown.final(dry.mean),
        mean_deviation=pressure(dry.mean_deviation, unit, decimals=unit.decimals + 1)
        if dry.mean_deviation is not None
        else "",
        percent=shown.mean_deviation_percent(dry.mean_deviation_percent)
        if dry.mean_deviation_percent is not None
        else "",
        lowest=f"{low.cylinder}: {shown.final(low.value)}" if low else "",
        highest=f"{high.cylinder}: {shown.final(high.value)}" if high else "",
        lowest_over_highest=shown.lowest_over_highest(over) if over is not None and dry.count > 1 else "",
        corrected=corrected_by(dry.correction, unit) if dry.correction is not None else "",
    )


def _running(dry: SeriesJudgement | None, unit: Unit) -> list[RunningOut]:
    if dry is None:
        return []
    return [
        RunningOut(row.cylinder, from_si(row.final, unit), from_si(row.mean, unit), row.mean_deviation_percent)
        for row in dry.running
    ]
