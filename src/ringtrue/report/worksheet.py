"""The worksheet: a plan on paper, filled in with a pencil in the order in which the cylinders are pulled."""

from __future__ import annotations

from ringtrue.engine import BuildSheet
from ringtrue.report.engine_part import view_caption, view_of
from ringtrue.report.facts import WorkPlan
from ringtrue.report.model import (
    Cell,
    Column,
    Fact,
    Facts,
    Picture,
    Section,
    Sentences,
    SheetContent,
    Signatures,
    Span,
    Table,
)
from ringtrue.report.texts import cleaned
from ringtrue.report.told import unit_of
from ringtrue.wording import (
    SEE_HEAD,
    Item,
    cautions,
    deferral,
    dose_line,
    preparation,
    pulling,
    putting_back,
    safety,
    turning_line,
)

KIND = "Worksheet of a compression test"
SPARE_ROWS = 3
"""Rows for readings with oil or air that nobody can plan."""


def worksheet(plan: WorkPlan) -> SheetContent:
    """
    Put a worksheet into words.

    Parameters
    ----------
    plan : WorkPlan
        The engine, the order of its cylinders, and what is known beforehand.

    Returns
    -------
    SheetContent
        Checklists, a row for every pull with the first cylinder once more at the end, and the engine to be filled in.

    Raises
    ------
    UnitRefused
        The unit in which readings are to be written is no unit of pressure.
    """
    sheet, unit = plan.sheet, f" [{unit_of(plan.unit).name}]" if plan.unit else ""
    view = view_of(sheet, sheet.cylinders)
    picture = Picture(view, f"Cylinders {', '.join(sheet.pull_order)}, to be filled in.", view_caption(view, sheet))
    day = Facts((*_gauge(plan), *map(_open, _CONDITIONS)), columns=2, to_fill_in=True)
    how = Sentences(_texts(pulling(sheet, plan.order)), "list")
    sees = (Sentences((f"{SEE_HEAD}. {' '.join(plan.sees)}",), "quiet"),) if plan.sees else ()
    beside: Span = "rest" if view.is_narrow else "wide"
    return cleaned(
        SheetContent(
            kind=KIND,
            shop=plan.shop_name,
            heading=sheet.name,
            facts=_heading(plan),
            sections=(
                Section("Cautions", (Sentences(_cautions(sheet), "quiet"),)),
                Section("Before: make it comparable", (_boxes(preparation(sheet)),), "narrow"),
                Section("Before: make it safe", (_boxes(safety(sheet)),), "rest"),
                Section("Afterwards: put it back", (_boxes(putting_back(sheet)),)),
                Section("The engine", (picture,), "narrow" if view.is_narrow else "wide", new_page=True),
                Section("Gauge, conditions, and how to pull", (day, how, *sees), beside),
                Section("Pulls", (_pulls(plan, unit),)),
                Section("After the dry series: with oil, or with air", (_more(sheet, unit),)),
                Section("", (Signatures((Fact("tested by", ""),)),)),
            ),
            foot=", ".join(part for part in ("Worksheet", sheet.name, sheet.reference) if part),
            paper=plan.paper,
        )
    )


_CONDITIONS = (
    "barometer or altitude",
    "inlet air",
    "oil temperature",
    "cranking speed",
    "battery",
)


def _open(label: str) -> Fact:
    return Fact(label, "")


def _heading(plan: WorkPlan) -> tuple[Fact, ...]:
    known = [Fact("reference", plan.sheet.reference)] if plan.sheet.reference else []
    blank = ["date", "tested by", "run since the build", *([] if plan.unit else ["unit of the readings"])]
    return (*known, Fact("builder", plan.builder), *map(_open, blank))


def _gauge(plan: WorkPlan) -> tuple[Fact, ...]:
    gauge = plan.gauge
    if gauge is None:
        return tuple(map(_open, ("gauge", "range", "smallest step", "grade or class", "check valve at")))
    return (
        Fact("gauge", gauge.name),
        Fact("range", f"0 to {gauge.range}" if gauge.range else ""),
        Fact("smallest step", str(gauge.resolution or "")),
        Fact("grade or class", gauge.grade),
        Fact("check valve at", str(gauge.check_valve or "")),
    )


def _texts(items: tuple[Item, ...]) -> tuple[str, ...]:
    return tuple(each.text for each in items)


def _boxes(items: tuple[Item, ...]) -> Sentences:
    return Sentences(_texts(items), "boxes")


def _cautions(sheet: BuildSheet) -> tuple[str, ...]:
    return (deferral(), *(each.text for each in cautions(sheet)))


def _pulls(plan: WorkPlan, unit: str) -> Table:
    order = plan.order or plan.sheet.pull_order
    titles = (
        f"first{unit}",
        "spoiled",
        f"final{unit}",
        "strokes",
        "mean so far",
        "mean deviation",
        "in % of the mean",
    )
    columns = (
        Column("cylinder"),
        *(Column(each, share=1.0) for each in titles),
        Column("plug", share=1.3),
        Column("note", share=2.6),
    )
    # One cylinder needs no second pull to show the day's drift, but may have one.
    names = (*order, f"{order[0]}, again")
    rows = tuple((Cell(name, strong=True), *(Cell(""),) * (len(columns) - 1)) for name in names)
    note = (
        "Mean deviation: the mean of the distances of the cylinders so far from their mean. A first stroke that nobody "
        "saw stays blank. The first cylinder is pulled again at the end: it is in no mean, and shows the day's drift."
    )
    return Table("One row a pull, in the order of pulling", columns, rows, note, to_fill_in=True)


def _more(sheet: BuildSheet, unit: str) -> Table:
    titles = ("oil put in", f"wet first{unit}", f"wet final{unit}", "supply", "held", "restrictor")
    columns = (
        Column("cylinder", share=1.0),
        *(Column(each, share=1.2) for each in titles),
        Column("air heard at", share=2.2),
    )
    rows = ((Cell(""),) * len(columns),) * SPARE_ROWS
    note = " ".join(filter(None, (dose_line(sheet), turning_line(sheet) if sheet.firing_order else "")))
    return Table(
        "Only where a cylinder is low, and one that is in line to compare with", columns, rows, note, to_fill_in=True
    )
