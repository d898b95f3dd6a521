"""Invented engines and tests, from one cylinder to twenty-four, to print sheets of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ringtrue.compression import (
    CheckValve,
    CompressionTest,
    Conditions,
    Gauge,
    Kind,
    LeakdownReading,
    Pull,
    Reading,
)
from ringtrue.diagnosis import patterns
from ringtrue.engine import BuildSheet, Layout
from ringtrue.measure import judge
from ringtrue.quantities import Measured, PaGauge
from ringtrue.report import CorrectionShown, HandOver

PSI = 6894.757293168
HEAD = "9f2c41d077ab03e95d1e8846b0c2a7f3d41b6690aa5e7c1832f0d95b6c7e4a18"


def psi(number: float | None) -> Reading | None:
    """Return a reading in psi."""
    return None if number is None else Reading(PaGauge(number * PSI), f"{number:g}", "psi")


def numbered(count: int, before: str = "") -> tuple[str, ...]:
    """Return names of cylinders: 1, 2, 3, or L1, L2, L3."""
    return tuple(f"{before}{number}" for number in range(1, count + 1))


def sheet_of(layout: Layout, *banks: Sequence[str], name: str = "Launch engine") -> BuildSheet:
    """Return an engine of which only the cylinders are known."""
    whole = tuple(tuple(bank) for bank in banks)
    return BuildSheet(
        name=name, reference="0417", layout=layout, cylinders=tuple(n for bank in whole for n in bank), banks=whole
    )


SHEETS = {
    "single": sheet_of(Layout.SINGLE, numbered(1)),
    "inline 4": sheet_of(Layout.INLINE, numbered(4)),
    "inline 6": sheet_of(Layout.INLINE, numbered(6), name="Launch six"),
    "V8": sheet_of(Layout.V, numbered(4, "L"), numbered(4, "R")),
    "uneven V5": sheet_of(Layout.V, ("1", "3", "5"), ("2", "4")),
    "flat 6": sheet_of(Layout.FLAT, ("1", "3", "5"), ("2", "4", "6")),
    "radial 3": sheet_of(Layout.RADIAL, numbered(3)),
    "radial 9": sheet_of(Layout.RADIAL, numbered(9)),
    "radial 18": sheet_of(Layout.RADIAL, numbered(9, "A"), numbered(9, "B")),
    "three banks of 6": sheet_of(Layout.V, numbered(6, "L"), numbered(6, "M"), numbered(6, "R")),
    "V24": sheet_of(Layout.V, numbered(12, "L"), numbered(12, "R")),
    "inline 24": sheet_of(Layout.INLINE, numbered(24)),
    "radial 24": sheet_of(Layout.RADIAL, numbered(24)),
}

GAUGE = Gauge(
    name="shop gauge",
    range=Measured(300 * PSI, "300", "psi"),
    resolution=Measured(2 * PSI, "2", "psi"),
    grade="B",
    check_valve=CheckValve.PLUG_END,
    adapter_volume=Measured(2e-6, "2", "cc"),
    hose_volume=Measured(20e-6, "20", "cc"),
)
DAY = Conditions(
    altitude=Measured(120.0, "120", "m"),
    inlet_air=Measured(291.15, "18", "C"),
    oil=Measured(353.15, "80", "C"),
    cranking_speed=Measured(19.9, "190", "rpm"),
    battery=Measured(12.4, "12.4", "V"),
)
CORRECTION = CorrectionShown(
    cylinder="2",
    kind="dry",
    what="final",
    before="115 psi",
    after="151 psi",
    why="two digits read the wrong way round, seen on the photograph of the gauge",
    who="J. Example",
    when="2026-05-14",
)


def sound_final(place: int) -> float:
    """Return a final as alike as siblings are."""
    return 150.0 + (0, 2, 1, -1, 3, -2, 1, 0)[place % 8]


def taken_on(  # noqa: PLR0913 - each is one thing that a test may have
    sheet: BuildSheet,
    *,
    low: Sequence[str] = (),
    high: Sequence[str] = (),
    missing: Sequence[str] = (),
    spoiled: Sequence[str] = (),
    wet: bool = False,
    leakdown: Sequence[str] = (),
    gauge: Gauge | None = GAUGE,
    day: Conditions = DAY,
) -> CompressionTest:
    """Return a dry series, and what else is asked for."""

    def dry_final(place: int, name: str) -> float:
        return sound_final(place) - 40 * (name in low) + 32 * (name in high)

    def pulls(kind: Kind) -> list[Pull]:
        made = []
        for place, name in enumerate(sheet.pull_order):
            dry = dry_final(place, name)
            final = dry if kind is Kind.DRY else dry * (1.28 if name in low else 1.03)
            gone = name in missing
            made.append(
                Pull(
                    cylinder=name,
                    kind=kind,
                    first=None if gone or (name in spoiled and place % 2) else psi(round(0.56 * final)),
                    final=None if gone else psi(round(final)),
                    first_spoiled=name in spoiled,
                    strokes=6,
                    plug="oily" if name in low and kind is Kind.DRY else "",
                    oil=Measured(3e-6, "3", "cc") if kind is Kind.WET else None,
                )
            )
        return made

    taken: list[Pull | LeakdownReading] = [*pulls(Kind.DRY)]
    first = sheet.pull_order[0]
    if len(sheet.cylinders) > 1 and first not in missing:
        taken.append(Pull(cylinder=first, first=psi(84), final=psi(149), drift=True, strokes=6))
    if wet:
        taken += pulls(Kind.WET)
    taken += [
        LeakdownReading(
            cylinder=name,
            supply=psi(80),
            held=psi(58 if name in low else 75),
            restrictor=Measured(1.016e-3, "0.040", "in"),
            heard=("crankcase",) if name in low else ("nothing",),
        )
        for name in leakdown
    ]
    return CompressionTest(
        taken=tuple(taken),
        date="2026-05-14",
        by="J. Example",
        run_since_build=Measured(804672.0, "500", "mile"),
        gauge=gauge,
        conditions=day,
    )


def handover_of(test: CompressionTest, sheet: BuildSheet | None) -> HandOver:
    """Return what a sheet is made of, judged and explained."""
    judgement = judge(test, sheet=sheet)
    return HandOver(
        test=test,
        judgement=judgement,
        patterns=patterns(judgement, test, sheet),
        sheet=sheet,
        test_id="0417-2026-05-14",
        head=HEAD,
        shop_name="Example Engine Works",
        builder="J. Example",
        owner_name="A. Owner",
    )


def sound(sheet: BuildSheet) -> HandOver:
    """Return the sheet of an engine with nothing wrong."""
    return handover_of(taken_on(sheet), sheet)


def weak_six() -> HandOver:
    """Return the sheet of a six with one weak cylinder, with oil, with air, and with a correction."""
    sheet = SHEETS["inline 6"]
    test = taken_on(sheet, low=("5",), spoiled=("3",), wet=True, leakdown=("5", "4"))
    return replace(handover_of(test, sheet), corrections=(CORRECTION,))
