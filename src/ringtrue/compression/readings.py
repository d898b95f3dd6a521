"""
What was done at the engine, and what was read.

These are the facts of a compression test: pulls in the order they were taken, leak-down readings, the gauge, the
conditions of the day. Nothing here judges. A figure that nobody saw is ``None``, never zero.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from ringtrue.compression.calibration import Calibration, Study
from ringtrue.compression.reading import Reading
from ringtrue.quantities import Measured


class Kind(StrEnum):
    """The kind of a reading."""

    DRY = "dry"
    WET = "wet"
    LEAKDOWN = "leakdown"


class CheckValve(StrEnum):
    """Where the check valve of a gauge sits."""

    PLUG_END = "plug end"
    GAUGE_END = "gauge end"


@dataclass(frozen=True, slots=True)
class Gauge:
    """
    A compression gauge, as far as its owner knows it.

    Parameters
    ----------
    name : str
        What the shop calls it.
    range : Measured or None
        Full scale, from zero. [Pa gauge]
    resolution : Measured or None
        The smallest step that can be read. [Pa]
    grade : str
        ASME B40.100 grade ("B") or EN 837-1 class ("1.6"); empty when not known.
    check_valve : CheckValve or None
        Where the check valve sits.
    adapter_volume, hose_volume : Measured or None
        Volume between plug hole and hose, and of the hose. [m3]
    opening_pressure : Measured or None
        Pressure at which the check valve opens. [Pa gauge]
    repeatability : float or None
        Relative standard deviation of one pull, from a study; None when there was no study. [-]
    calibration : Calibration or None
        The last one; None when there was none.
    study : Study or None
        The study that the repeatability comes from; None where somebody only said it.
    """

    name: str
    range: Measured | None = None
    resolution: Measured | None = None
    grade: str = ""
    check_valve: CheckValve | None = None
    adapter_volume: Measured | None = None
    hose_volume: Measured | None = None
    opening_pressure: Measured | None = None
    repeatability: float | None = None
    calibration: Calibration | None = None
    study: Study | None = None

    @property
    def face(self) -> tuple[str, float | None]:
        """By what a gauge is known again: what else is known of it may have been added later."""
        return self.name.casefold(), None if self.range is None else self.range.value


@dataclass(frozen=True, slots=True)
class Conditions:
    """
    The day: everything that moves the level and belongs to no engine.

    Parameters
    ----------
    altitude : Measured or None
        Height above the sea. [m]
    barometer : Measured or None
        Pressure of the surrounding air, as it is on the spot. [Pa]
    inlet_air, oil : Measured or None
        Temperatures. [K]
    cranking_speed : Measured or None
        Mean cranking speed. [rad/s]
    battery : Measured or None
        Battery voltage. [V]
    """

    altitude: Measured | None = None
    barometer: Measured | None = None
    inlet_air: Measured | None = None
    oil: Measured | None = None
    cranking_speed: Measured | None = None
    battery: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """
    What every reading carries, whatever its kind.

    Parameters
    ----------
    cylinder : str
        The cylinder's name, as text.
    repeat : int or None
        Number of a declared repeat, from 1; None when it is the only one.
    plug : str
        The look of the plug: dry, oily, sooty, white, wet with fuel; empty when not looked at.
    note, read_by, at : str
        Free text; who read it; when, as written.
    rpm, battery, lift_loss : Measured or None
        Cranking speed [rad/s], battery [V], measured loss of valve lift [m].
    extra : tuple of (str, str)
        Columns that ringtrue does not know, kept as they were written.
    """

    cylinder: str
    repeat: int | None = None
    plug: str = ""
    note: str = ""
    read_by: str = ""
    at: str = ""
    rpm: Measured | None = None
    battery: Measured | None = None
    lift_loss: Measured | None = None
    extra: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull(Taken):
    """
    One cylinder cranked once, from fitting the gauge to venting it.

    Parameters
    ----------
    kind : Kind
        Dry or wet.
    first, final : Reading or None
        Pressure after the first compression stroke, and where the needle stopped; None when nobody saw it.
    first_spoiled : bool
        The pull began part-way up compression: the first stroke is kept and used for nothing.
    first_from_film : bool
        Nobody saw the first stroke at the engine: it was read later, off the builder's own film of the pull.
    drift : bool
        This pull repeats the first cylinder at the end to show the day's drift; it is in no mean.
    strokes : int or None
        How many compression strokes.
    oil : Measured or None
        Oil put in for a wet pull. [m3]
    cylinder, repeat, plug, note, read_by, at, rpm, battery, lift_loss, extra
        As in `Taken`.
    """

    kind: Kind = Kind.DRY
    first: Reading | None = None
    final: Reading | None = None
    first_spoiled: bool = False
    drift: bool = False
    strokes: int | None = None
    oil: Measured | None = None
    first_from_film: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakdownReading(Taken):
    """
    One leak-down reading: supply against what the cylinder holds.

    Parameters
    ----------
    supply, held : Reading or None
        Regulated supply, and what the cylinder holds.
    restrictor : Measured or None
        Bore of the restrictor. [m]
    heard : tuple of str
        Where the air was heard: crankcase, intake, exhaust, coolant, "cylinder N", nothing.
    cylinder, repeat, plug, note, read_by, at, rpm, battery, lift_loss, extra
        As in `Taken`.
    """

    supply: Reading | None = None
    held: Reading | None = None
    restrictor: Measured | None = None
    heard: tuple[str, ...] = ()

    @property
    def kind(self) -> Kind:
        """Always leak-down."""
        return Kind.LEAKDOWN


@dataclass(frozen=True, slots=True)
class Series:
    """
    The pulls of one kind, in the order they were taken.

    Parameters
    ----------
    kind : Kind
        Dry or wet.
    pulls : tuple of Pull
        Without the drift pull.
    drift_pulls : tuple of Pull
        The first cylinder once more at the end; usually one or none.
    """

    kind: Kind
    pulls: tuple[Pull, ...]
    drift_pulls: tuple[Pull, ...] = ()

    @property
    def cylinders(self) -> tuple[str, ...]:
        """Cylinders that have a row, in the order in which they were first pulled."""
        return tuple(dict.fromkeys(pull.cylinder for pull in self.pulls))

    def of(self, cylinder: str) -> tuple[Pull, ...]:
        """
        Return the pulls of one cylinder.

        Parameters
        ----------
        cylinder : str
            Its name.

        Returns
        -------
        tuple of Pull
            In the order they were taken; empty when there is none.
        """
        return tuple(pull for pull in self.pulls if pull.cylinder == cylinder)


@dataclass(frozen=True, slots=True)
class CompressionTest:
    """
    Everything taken on one engine on one day.

    Parameters
    ----------
    taken : tuple of Pull or LeakdownReading
        In the order taken.
    date : str
        ISO date; empty when not said.
    by : str
        Who took it.
    run_since_build : Measured or None
        Distance [m] or running time [s] since the build.
    gauge : Gauge or None
        The gauge, when it is known.
    conditions : Conditions
        The day.
    as_read : tuple of Pull or LeakdownReading or None
        The same rows as the gauge showed them, where ``taken`` has been corrected by its calibration; None where it
        has not.
    """

    taken: tuple[Pull | LeakdownReading, ...]
    date: str = ""
    by: str = ""
    run_since_build: Measured | None = None
    gauge: Gauge | None = None
    conditions: Conditions = field(default_factory=Conditions)
    as_read: tuple[Pull | LeakdownReading, ...] | None = None

    def series(self, kind: Kind) -> Series | None:
        """
        Return the pulls of one kind.

        Parameters
        ----------
        kind : Kind
            Dry or wet.

        Returns
        -------
        Series or None
            None when there is no such pull.
        """
        pulls = tuple(row for row in self.taken if isinstance(row, Pull) and row.kind is kind)
        if not pulls:
            return None
        return Series(kind, tuple(p for p in pulls if not p.drift), tuple(p for p in pulls if p.drift))

    @property
    def leakdowns(self) -> tuple[LeakdownReading, ...]:
        """The leak-down readings in the order taken."""
        return tuple(row for row in self.taken if isinstance(row, LeakdownReading))

    @property
    def unit(self) -> str:
        """The unit of the first final (else of the first pressure written); empty when there is none."""
        return next(iter(_units_written(self.taken)), "")


def _units_written(taken: Iterable[Pull | LeakdownReading]) -> Iterable[str]:
    rows = tuple(taken)
    for row in rows:
        if isinstance(row, Pull) and row.final is not None:
            yield row.final.unit
    for row in rows:
        figures = (row.first,) if isinstance(row, Pull) else (row.supply, row.held)
        for figure in figures:
            if figure is not None:
                yield figure.unit
