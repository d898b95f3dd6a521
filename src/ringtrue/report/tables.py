"""The tables of a hand-over sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ringtrue.compression import CompressionTest, Kind, LeakdownReading, Pull, Reading, Series
from ringtrue.measure import CylinderFigures, Judgement, LeakdownFigures, RuleOutcome, RunningFigures, SeriesJudgement
from ringtrue.physics import RESTRICTOR_COEFFICIENT
from ringtrue.report.facts import CorrectionShown
from ringtrue.report.model import Cell, Column, Table
from ringtrue.report.told import FROM_FILM, NOT_SEEN, SPOILED, Told, is_corrected, sentence
from ringtrue.report.views import Mark
from ringtrue.units import Unit
from ringtrue.wording import asks, limit_text, percent, ratio, source_text, title, to_the_minute, value_text
from ringtrue.wording.leak import area_text
from ringtrue.wording.leakdown_and_oil import heard_text, loss_text

_ABOUT_FILM = "From film: nobody saw this first stroke at the engine; it was read later off the builder's own film."


def _right(heading: str) -> Column:
    return Column(heading, "right")


# ---------------------------------------------------------------------------------------------- cylinders


def finals(test: CompressionTest, kind: Kind, cylinder: str) -> tuple[Reading, ...]:
    """
    Return what the gauge showed at the end of a cylinder's pulls.

    Parameters
    ----------
    test : CompressionTest
        The test.
    kind : Kind
        Dry or wet.
    cylinder : str
        Its name.

    Returns
    -------
    tuple of Reading
        Without the drift pull; empty when it was not read, or where a calibration corrects it.
    """
    series = None if is_corrected(test) else test.series(kind)
    return tuple(pull.final for pull in series.of(cylinder) if pull.final) if series else ()


def _firsts(test: CompressionTest, kind: Kind, cylinder: str) -> tuple[Reading, ...]:
    series = None if is_corrected(test) else test.series(kind)
    return tuple(p.first for p in series.of(cylinder) if p.first and not p.first_spoiled) if series else ()


def cylinder_table(test: CompressionTest, series: SeriesJudgement, told: Told) -> Table:
    """
    Tell every cylinder's figures.

    Parameters
    ----------
    test : CompressionTest
        What was read.
    series : SeriesJudgement
        What was made of it.
    told : Told
        How figures are written.

    Returns
    -------
    Table
        One row a cylinder, in the order of the engine.
    """
    unit, gauge = told.unit.name, series.gauge_known
    columns = (
        Column("cylinder"),
        *((_right(f"final as read [{unit}]"),) if series.correction else ()),
        _right(f"first [{unit}]"),
        _right(f"final [{unit}]"),
        *((_right(f"90 % interval [{unit}]"),) if gauge else ()),
        _right("first over final"),
        _right(f"from mean [{unit}]"),
        _right("from mean [%]"),
        Column("place"),
    )
    rows = tuple(tuple(_cylinder_row(test, series, each, told)) for each in series.cylinders)
    notes = []
    if gauge:
        notes.append("90 % interval: where the final lies with 90 % probability, as far as the gauge is known.")
    if series.correction is not None:
        notes.append("First and final are corrected by the calibration of the gauge; all figures are made of them.")
    if any(each.pulls > 1 for each in series.cylinders):
        notes.append("A cylinder that was pulled more than once stands with the mean of its pulls.")
    if any(each.first_spoiled for each in series.cylinders):
        notes.append("A spoiled first stroke began part-way up compression; it is in no figure.")
    if any(each.first_from_film for each in series.cylinders):
        notes.append(_ABOUT_FILM)
    caption = f"First stroke and final of every cylinder, {series.kind} series"
    return Table(caption, columns, rows, " ".join(notes))


def _cylinder_row(test: CompressionTest, series: SeriesJudgement, each: CylinderFigures, told: Told) -> Iterator[Cell]:
    name, kind = each.cylinder, series.kind
    yield Cell(name, strong=True)
    if series.correction:
        yield Cell("" if each.final_as_read is None else told.final_number(each.final_as_read))
    missing = SPOILED if each.first_spoiled else NOT_SEEN
    film = FROM_FILM if each.first_from_film else ""
    yield Cell(told.as_read(_firsts(test, kind, name), each.first) or missing, detail=film)
    yield Cell(told.as_read(finals(test, kind, name), each.final) or "not read", strong=True)
    if series.gauge_known:
        yield Cell(told.between(each.interval))
    yield Cell("" if each.first_over_final is None else told.first_over_final(each.first_over_final))
    yield Cell(told.signed(each.deviation))
    yield Cell(told.signed_percent(each.deviation_percent).removesuffix(" %"))
    yield Cell(each.place, Mark(each.place))


# ---------------------------------------------------------------------------------------------- rules


def rules_table(series: SeriesJudgement, told: Told) -> Table:
    """
    Tell what became of every rule.

    Parameters
    ----------
    series : SeriesJudgement
        The judged series.
    told : Told
        How figures are written.

    Returns
    -------
    Table
        One row a rule; reasons are numbered below it. Where the level should be is told beside the build sheet.
    """
    rules = [rule for rule in series.rules if rule.level != "expectation"]
    reasons = list(dict.fromkeys(rule.reason for rule in rules if rule.reason))
    rows = tuple(_rule_row(rule, reasons, told) for rule in rules)
    note = " ".join(f"({number}) {sentence(reason)}" for number, reason in enumerate(reasons, 1))
    columns = (
        Column("outcome"),
        Column("rule", share=1.25),
        _right("found"),
        _right("limit"),
        Column("from", share=1.0),
    )
    return Table(f"Every rule with its outcome, {series.kind} series", columns, rows, note)


def _rule_row(rule: RuleOutcome, reasons: list[str], told: Told) -> tuple[Cell, ...]:
    number = f" ({reasons.index(rule.reason) + 1})" if rule.reason else ""
    worst = f" Decided by cylinder {rule.cylinder}." if rule.cylinder is not None else ""
    return (
        Cell(rule.outcome + number, Mark(rule.outcome)),
        Cell(title(rule.rule), strong=True, detail=asks(rule, told.unit) + worst),
        Cell(value_text(rule, told.unit)),
        Cell(limit_text(rule, told.unit)),
        Cell("", detail=source_text(rule.source)),
    )


# ---------------------------------------------------------------------------------------------- as taken


def running_table(series: Series, judged: SeriesJudgement, told: Told) -> Table:
    """
    Tell pulls and running figures in the order taken.

    Parameters
    ----------
    series : Series
        The pulls.
    judged : SeriesJudgement
        What was made of them.
    told : Told
        How figures are written.

    Returns
    -------
    Table
        One row a pull, the repeated first cylinder at the end.
    """
    unit = told.unit.name
    strokes = any(pull.strokes is not None for pull in (*series.pulls, *series.drift_pulls))
    columns = (
        Column("cylinder"),
        _right(f"first [{unit}]"),
        _right(f"final [{unit}]"),
        *((_right("strokes"),) if strokes else ()),
        _right(f"mean [{unit}]"),
        _right("mean deviation"),
    )
    figures = iter(judged.running)
    rows = [_pull_row(each, next(figures) if each.final else None, told, strokes=strokes) for each in series.pulls]
    rows += [_pull_row(each, None, told, strokes=strokes) for each in series.drift_pulls]
    note = "Mean and mean deviation are those of the cylinders so far."
    if judged.correction is not None:
        note = f"First and final as the gauge showed them; the rest is made of corrected figures. {note}"
    if any(pull.final is not None for pull in series.drift_pulls):
        note += " Pulled again at the end to show the day's drift: in no mean."
    return Table(f"Pulls in the order taken, {series.kind} series", columns, tuple(rows), note)


def _pull_row(pull: Pull, so_far: RunningFigures | None, told: Told, *, strokes: bool) -> tuple[Cell, ...]:
    first = told.as_read((pull.first,), pull.first.pressure) if pull.first else "" if pull.first_spoiled else NOT_SEEN
    return (
        Cell(_named(pull), strong=True),
        Cell(first, detail=SPOILED if pull.first_spoiled else FROM_FILM if pull.first_from_film else ""),
        Cell(told.as_read((pull.final,), pull.final.pressure) if pull.final else "not read"),
        *((Cell("" if pull.strokes is None else str(pull.strokes)),) if strokes else ()),
        Cell(told.final_number(so_far.mean) if so_far else ""),
        Cell(told.mean_deviation_percent(so_far.mean_deviation_percent) if so_far else ""),
    )


def _named(row: Pull | LeakdownReading) -> str:
    """Return the cylinder, and which of its readings this is."""
    again = ", again" if isinstance(row, Pull) and row.drift else ""
    return f"{row.cylinder}{f', repeat {row.repeat}' if row.repeat else ''}{again}"


def remarks_table(test: CompressionTest) -> Table | None:
    """
    Tell what was written down beside the readings.

    Parameters
    ----------
    test : CompressionTest
        The test.

    Returns
    -------
    Table or None
        Looks of plugs, measured lift losses, notes; None when nothing was written down.
    """
    rows = tuple(
        (Cell(_named(each), strong=True), Cell(each.kind), Cell(each.plug), Cell(_seen_beside(each)))
        for each in test.taken
        if each.plug or _seen_beside(each)
    )
    if not rows:
        return None
    columns = (Column("cylinder"), Column("reading"), Column("plug"), Column("note", share=1.0))
    return _without_blank_columns(Table("What was written down beside the readings", columns, rows))


def _seen_beside(row: Pull | LeakdownReading) -> str:
    lift = f"valve lift lost: {row.lift_loss}" if row.lift_loss else ""
    return "; ".join(
        part for part in (lift, row.note, *(f"{key}: {value}" for key, value in row.extra if value)) if part
    )


# ---------------------------------------------------------------------------------------------- oil, air


def wet_table(test: CompressionTest, judgement: Judgement, told: Told) -> Table | None:
    """
    Tell what oil did.

    Parameters
    ----------
    test : CompressionTest
        What was read.
    judgement : Judgement
        What was made of it.
    told : Told
        How figures are written.

    Returns
    -------
    Table or None
        One row for each cylinder with a dry and a wet final; None when there is none.
    """
    if judgement.dry is None or judgement.wet is None or not judgement.wet_over_dry:
        return None
    dry = {each.cylinder: each.final for each in judgement.dry.cylinders}
    wet = {each.cylinder: each for each in judgement.wet.cylinders}
    put_in = _oil_put_in(test)
    reasons = list(dict.fromkeys(each.reason for each in judgement.wet_over_dry if each.reason))
    unit, columns, rows = told.unit.name, [], []
    for each in judgement.wet_over_dry:
        name, figures = each.cylinder, wet[each.cylinder]
        row = {
            Column("cylinder"): Cell(name, strong=True),
            _right(f"dry final [{unit}]"): Cell(told.as_read(finals(test, Kind.DRY, name), dry.get(name))),
            _right(f"wet first [{unit}]"): Cell(
                told.as_read(_firsts(test, Kind.WET, name), figures.first) or NOT_SEEN,
                detail=FROM_FILM if figures.first_from_film else "",
            ),
            _right(f"wet final [{unit}]"): Cell(told.as_read(finals(test, Kind.WET, name), figures.final), strong=True),
            _right("oil"): Cell(put_in.get(name, "")),
            _right("wet over dry"): Cell("" if each.ratio is None else ratio(each.ratio)),
            _right("oil's volume taken out"): Cell("" if each.net_ratio is None else ratio(each.net_ratio)),
            _right("oil in clearance"): Cell("" if each.oil_share is None else percent(100 * each.oil_share)),
            Column("note"): Cell(f"({reasons.index(each.reason) + 1})" if each.reason and len(reasons) > 1 else ""),
        }
        columns = list(row)
        rows.append(tuple(row.values()))
    note = " ".join(
        sentence(reason) if len(reasons) == 1 else f"({number}) {sentence(reason)}"
        for number, reason in enumerate(reasons, 1)
    )
    return _without_blank_columns(Table("Dry and wet finals", tuple(columns), tuple(rows), note))


def _oil_put_in(test: CompressionTest) -> dict[str, str]:
    series = test.series(Kind.WET)
    return {pull.cylinder: str(pull.oil) for pull in series.pulls if pull.oil} if series else {}


def _without_blank_columns(table: Table) -> Table:
    kept = [at for at in range(len(table.columns)) if any(row[at].text for row in table.rows)]
    return replace(
        table,
        columns=tuple(table.columns[at] for at in kept),
        rows=tuple(tuple(row[at] for at in kept) for row in table.rows),
    )


def leakdown_table(
    taken: tuple[LeakdownReading, ...],
    judged: tuple[LeakdownFigures, ...],
    unit: Unit,
    areas: tuple[float | None, ...] = (),
) -> Table:
    """
    Tell leak-down readings.

    Parameters
    ----------
    taken : tuple of LeakdownReading
        As they were read, in the order taken.
    judged : tuple of LeakdownFigures
        What was made of each.
    unit : Unit
        Unit of pressures.
    areas : tuple of (float or None)
        Effective area of the leak behind each; empty where nobody worked it out. [m2]

    Returns
    -------
    Table
        One row a reading; rule, limit, source and reasons below it.
    """
    told = Told(unit)
    notes = dict.fromkeys(said for each in judged for said in (_leakdown_rule(each), each.reason) if said)
    sizes = areas or (None,) * len(judged)
    if any(area is not None for area in sizes):
        notes[f"leak: effective area, with a restrictor of coefficient {RESTRICTOR_COEFFICIENT:g}"] = None
    columns = (
        Column("cylinder"),
        _right(f"supply [{unit.name}]"),
        _right(f"held [{unit.name}]"),
        _right("lost"),
        _right("leak"),
        Column("restrictor"),
        Column("air heard", share=1.0),
        Column("outcome"),
    )
    rows = tuple(
        (
            Cell(each.cylinder, strong=True, detail=f"repeat {row.repeat}" if row.repeat else ""),
            Cell(told.as_read((row.supply,), each.supply) if row.supply else NOT_SEEN),
            Cell(told.as_read((row.held,), each.held) if row.held else NOT_SEEN),
            Cell(loss_text(each), strong=True),
            Cell("" if area is None else area_text(area)),
            Cell(str(row.restrictor or "not known")),
            Cell(heard_text(each.heard) or "not said"),
            Cell(each.outcome, Mark(each.outcome)),
        )
        for row, each, area in zip(taken, judged, sizes, strict=True)
    )
    return _without_blank_columns(Table("Leak-down readings", columns, rows, " ".join(map(sentence, notes))))


def _leakdown_rule(each: LeakdownFigures) -> str:
    return f"{title(each.rule)}: suspect is more than {percent(100 * each.limit)} ({source_text(each.source)})"


# ---------------------------------------------------------------------------------------------- corrections


def corrections_table(corrections: Iterable[CorrectionShown]) -> Table:
    """
    Tell what was put right.

    Parameters
    ----------
    corrections : iterable of CorrectionShown
        In the order in which they were made.

    Returns
    -------
    Table
        One row a correction.
    """
    columns = (
        Column("cylinder"),
        Column("figure"),
        _right("was"),
        _right("is"),
        Column("why", share=1.0),
        Column("by, when"),
    )
    rows = tuple(
        (
            Cell(each.cylinder, strong=True),
            Cell(f"{each.kind} {each.what}".strip()),
            Cell(each.before or "nothing"),
            Cell(each.after or "nothing", strong=True),
            Cell(each.why),
            Cell(", ".join(part for part in (each.who, to_the_minute(each.when)) if part)),
        )
        for each in corrections
    )
    return Table("Readings that were put right; the first entry is kept in the record", columns, rows)
