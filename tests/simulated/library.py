"""
Cases of the fault library: what was read, what was wrong, and the tests that can be made of it.

The readings lie in `library.json.gz` beside this file; ``python -m tests.simulated.make_library`` makes it.
"""

from __future__ import annotations

import gzip
import json
import math
from collections.abc import Sequence
from dataclasses import astuple, dataclass, fields
from enum import StrEnum
from pathlib import Path
from typing import Any

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
from ringtrue.engine import BuildSheet
from ringtrue.intake import parse_sheet
from ringtrue.quantities import Measured, PaGauge

FILE = Path(__file__).with_name("library.json.gz")
PSI, RPM = 6894.757293168361, math.pi / 30
SUPPLY, RESTRICTOR = 80.0, 1.016e-3
"""Supply [psi] and bore of the restrictor, 0.040 in [m]."""


class Evidence(StrEnum):
    """What may be left out of a case; the finals and the number of strokes are always there."""

    FIRST = "first"
    WET = "wet"
    LEAKDOWN = "leakdown"
    HEARD = "heard"
    SPEED = "speed"
    LIFT = "lift"
    PLUG = "plug"


EVERYTHING = frozenset(Evidence)


class Group(StrEnum):
    """Which part of the library a case belongs to."""

    NINE = "nine"
    """One cylinder with one of nine causes; the sheet is right within usual errors."""
    DIFFERS = "differs"
    """The same, of engines that differ from their sheet."""
    SOUND = "sound"
    """Every cylinder sound."""
    ENGINE = "engine"
    """Every cylinder sound, and a cause of the whole engine, its day or its gauge."""


@dataclass(frozen=True, slots=True)
class DryPull:
    """A dry pull: pressures [psi], whether the first was seen to be spoiled, speed [rpm], look of the plug."""

    cylinder: str
    first: float
    final: float
    flagged: bool
    rpm: float | None
    plug: str


@dataclass(frozen=True, slots=True)
class WetPull:
    """A wet pull of the target: final [psi], oil [cc], speed [rpm]."""

    final: float
    oil: float
    rpm: float | None


@dataclass(frozen=True, slots=True)
class Leak:
    """A leak-down reading: what was held [psi], and where the air was heard."""

    cylinder: str
    held: float
    heard: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Case:
    """
    One engine with what is wrong with it, and everything that was read.

    `number` counts within group and cause; the three together are the seed. `cause` is a key of
    `ringtrue.diagnosis.causes.Cause`, or of `EngineCause` in that group. `target` has the fault; `sibling` is sound and
    was given the same checks; `partner` shares a gasket leak. `area` is the true effective area of all leaks of the
    target [mm2]. `day` holds barometer [Pa], altitude [m], inlet air [K], oil [K], cranking speed [rpm], battery [V].
    `lift` is the lift that was measured to be missing, of target and sibling [mm]. `exact` holds absolute finals by the
    full equations, before anybody read them: a sound cylinder, the target dry, the target wet [Pa].
    """

    group: str
    cause: str
    number: int
    sheet: str
    target: str
    sibling: str
    partner: str
    area: float
    day: tuple[float | None, ...]
    strokes: int
    dry: tuple[DryPull, ...]
    wet: WetPull
    leakdown: tuple[Leak, ...]
    lift: tuple[float, ...]
    exact: tuple[float, ...]

    def build_sheet(self) -> BuildSheet:
        """Return the engine as its builder wrote it down."""
        return parse_sheet(self.sheet)

    def test(self, evidence: frozenset[Evidence] = EVERYTHING) -> CompressionTest:
        """Return what was read, with no more than that evidence beside the finals."""
        lost = dict(zip((self.target, self.sibling), self.lift, strict=True)) if Evidence.LIFT in evidence else {}
        spoken = Evidence.SPEED in evidence
        taken: list[Pull | LeakdownReading] = [
            Pull(
                cylinder=row.cylinder,
                first=_psi(row.first) if Evidence.FIRST in evidence else None,
                final=_psi(row.final),
                first_spoiled=row.flagged and Evidence.FIRST in evidence,
                strokes=self.strokes,
                rpm=_measured(row.rpm, "rpm", RPM) if spoken else None,
                lift_loss=_measured(lost.get(row.cylinder), "mm", 1e-3),
                plug=row.plug if Evidence.PLUG in evidence else "",
            )
            for row in self.dry
        ]
        if Evidence.WET in evidence:
            taken.append(
                Pull(
                    kind=Kind.WET,
                    cylinder=self.target,
                    final=_psi(self.wet.final),
                    strokes=self.strokes,
                    oil=_measured(self.wet.oil, "cc", 1e-6),
                    rpm=_measured(self.wet.rpm, "rpm", RPM) if spoken else None,
                )
            )
        if Evidence.LEAKDOWN in evidence:
            taken += [
                LeakdownReading(
                    cylinder=row.cylinder,
                    supply=_psi(SUPPLY),
                    held=_psi(row.held),
                    restrictor=Measured(RESTRICTOR, "0.040", "in"),
                    heard=row.heard if Evidence.HEARD in evidence else (),
                )
                for row in self.leakdown
            ]
        air, altitude, inlet, oil, speed, battery = self.day
        return CompressionTest(
            tuple(taken),
            date="2026-05-14",
            gauge=GAUGE,
            conditions=Conditions(
                altitude=_measured(altitude, "m", 1.0),
                barometer=_measured(air, "Pa", 1.0),
                inlet_air=_measured(inlet, "K", 1.0),
                oil=_measured(oil, "K", 1.0),
                cranking_speed=_measured(speed, "rpm", RPM),
                battery=_measured(battery, "V", 1.0),
            ),
        )


def _measured(value: float | None, unit: str, size: float) -> Measured | None:
    return None if value is None else Measured(value * size, f"{value:g}", unit)


def _psi(value: float) -> Reading:
    return Reading(PaGauge(value * PSI), f"{value:g}", "psi")


GAUGE = Gauge(
    name="invented",
    range=_measured(300.0, "psi", PSI),
    resolution=_measured(2.0, "psi", PSI),
    grade="B",
    check_valve=CheckValve.PLUG_END,
    adapter_volume=_measured(2.0, "cc", 1e-6),
    hose_volume=_measured(20.0, "cc", 1e-6),
)
"""The one gauge of the library, as its owner describes it."""


def written(cases: Sequence[Case]) -> bytes:
    """Return cases as the bytes of the library; the same cases give the same bytes."""
    names = [field.name for field in fields(Case)]
    text = json.dumps([names, *(astuple(case) for case in cases)], separators=(",", ":"))
    return gzip.compress(text.encode(), compresslevel=9, mtime=0)


def read(data: bytes | None = None) -> tuple[Case, ...]:
    """Return the cases of the library, or of such bytes, in their order."""
    rows = json.loads(gzip.decompress(FILE.read_bytes() if data is None else data))
    names, *rest = rows
    return tuple(_case(dict(zip(names, row, strict=True))) for row in rest)


def _case(row: dict[str, Any]) -> Case:
    row |= {key: tuple(row[key]) for key in ("day", "lift", "exact")}
    row["dry"] = tuple(DryPull(*each) for each in row["dry"])
    row["wet"] = WetPull(*row["wet"])
    row["leakdown"] = tuple(Leak(name, held, tuple(heard)) for name, held, heard in row["leakdown"])
    return Case(**row)
