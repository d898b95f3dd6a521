"""What goes over the wire: the JSON of the HTTP interface, from which its description is made."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, Struct

Key = Annotated[
    str,
    Meta(
        min_length=16,
        max_length=80,
        pattern="^[A-Za-z0-9_-]+$",
        description="Made where the reading is taken, at random; the same key never writes twice.",
    ),
]
Figure = Annotated[
    str | int | float,
    Meta(description="A figure, as text as it was typed, or as a number; empty text where nobody saw it."),
]
Text = Annotated[str, Meta(max_length=2000)]
Name = Annotated[str, Meta(min_length=1, max_length=200)]
Seq = Annotated[int, Meta(ge=1, le=2**53, description="An entry of the test, as the book numbers it.")]


class In(Struct, frozen=True, forbid_unknown_fields=True):
    """What comes in: an unknown field is refused."""


class PullIn(In, frozen=True):
    """One pull. Cylinder, unit and key are always given; a pull without a final has a note that says why."""

    key: Key
    cylinder: Name
    unit: Annotated[str, Meta(max_length=20, description="Of first and final: psi, bar, kPa, kg/cm2.")]
    first: Figure = ""
    final: Figure = ""
    kind: str = "dry"
    spoiled: Annotated[bool, Meta(description="The pull began part-way up compression.")] = False
    strokes: Figure = ""
    oil: Annotated[str, Meta(max_length=40, description="Oil of a wet pull, with its unit: 5 cc.")] = ""
    drift: Annotated[bool, Meta(description="It repeats the first cylinder at the end.")] = False
    repeat: Annotated[bool, Meta(description="The cylinder was pulled again on purpose.")] = False
    note: Text = ""
    confirmed: Annotated[bool, Meta(description="The figures are meant as they are.")] = False
    oil_meant: Annotated[bool, Meta(description="The dose was asked about before the pull, and is meant.")] = False
    at: Annotated[str, Meta(max_length=64, description="When, by the clock of the device.")] = ""


class OilIn(In, frozen=True):
    """A dose of oil, asked about before the engine is cranked on it; nothing is written."""

    cylinder: Name
    oil: Annotated[str, Meta(max_length=40, description="With its unit: 5 cc.")]


class OilOut(Struct, frozen=True):
    """Nothing is wrong with a dose of oil."""

    cylinder: str
    oil: str


class CorrectionIn(In, frozen=True):
    """A reading put right: every figure as it should have been written, and why."""

    key: Key
    why: Text
    first: Figure = ""
    final: Figure = ""
    unit: Annotated[str, Meta(max_length=20)] = ""
    spoiled: bool = False
    strokes: Figure = ""
    cylinder: Annotated[str, Meta(max_length=200, description="Another cylinder; empty for the same.")] = ""
    confirmed: bool = False
    first_from_film: Annotated[bool, Meta(description="The first was read later, off the builder's own film.")] = False


class WithdrawalIn(In, frozen=True):
    """A reading taken back: it stays in the record and stands no more."""

    key: Key
    why: Text


class ChoiceIn(In, frozen=True):
    """Which of several readings of one cylinder stands; null keeps all of them, as repeats."""

    key: Key
    cylinder: Name
    keep: Seq | None
    kind: str = "dry"


class TestIn(In, frozen=True):
    """A test begins. The engine is one of the book, by reference or name; its last build sheet is used."""

    key: Key
    engine: Name
    by: Annotated[str, Meta(max_length=200)] = ""
    gauge: Annotated[str, Meta(max_length=200, description="By its name in the register.")] = ""
    order: Annotated[str, Meta(max_length=2000, description="Cylinders parted by commas; empty for the usual.")] = ""
    note: Annotated[Text, Meta(description="What is otherwise than the checklists say.")] = ""
    conditions: Annotated[
        dict[str, str],
        Meta(description="altitude, barometer, inlet_air, oil, cranking_speed, battery, each with its unit."),
    ] = {}
    run_since_build: Annotated[str, Meta(max_length=60)] = ""
    confirmed: Annotated[bool, Meta(description="The day's figures are meant as they are.")] = False


class KeyIn(In, frozen=True):
    """Something done that takes nothing but its key."""

    key: Key


class Fault(Struct, frozen=True):
    """One thing that cannot be used: what was given, why not, what to do instead, and in which field."""

    given: str
    why: str
    instead: str
    where: str


class Refused(Struct, frozen=True):
    """Why something was not done. `doubtful`: it is done once `confirmed` is sent with it."""

    says: str
    faults: list[Fault]
    doubtful: bool = False


class PullOut(Struct, frozen=True):
    """One reading that stands."""

    entry: int
    kind: str
    cylinder: str
    first: str
    final: str
    unit: str
    spoiled: bool
    drift: bool
    repeat: int | None
    strokes: int | None
    oil: str
    note: str
    who: str
    device: str
    at: str
    corrected: bool
    first_from_film: bool


class Saved(Struct, frozen=True):
    """A reading is in the book. `conflict`: another one of the same cylinder stands beside it; both are shown."""

    test: str
    entry: int
    key: str
    conflict: bool
    readings: list[PullOut]


class CylinderOut(Struct, frozen=True):
    """
    One cylinder: where it is drawn (in cylinder spacings), what it reads, and its place.

    `final`, `first` and `off` are texts with their units; empty where there is none. `conflict` withholds the verdict;
    `oil` tells what oil did.
    """

    name: str
    across: float
    along: float
    bank: int
    final: str
    first: str
    off: str
    place: str
    says: str
    conflict: bool
    left_out: str
    oil: str
    readings: list[PullOut]
    first_from_film: bool


class RunningOut(Struct, frozen=True):
    """The figures after one pull, in the unit of the test, for the chart."""

    cylinder: str
    final: float
    mean: float
    mean_deviation_percent: float


class FiguresOut(Struct, frozen=True):
    """
    Mean, mean deviation and per cent so far, as texts with their units; empty where nothing is read.

    Where a calibration corrects the readings, these are of corrected ones, and ``corrected`` says by how much.
    """

    mean: str
    mean_deviation: str
    percent: str
    lowest: str
    highest: str
    lowest_over_highest: str
    corrected: str = ""


class BelievedOut(Struct, frozen=True):
    """Finals that such an engine shows, in the unit of the test: another one is asked about before it is kept."""

    low: float
    high: float
    largest: float
    says: str
    says_largest: str
    near_zero: float


class SentencesOut(Struct, frozen=True):
    """What a page says while readings are taken, also where the server is out of reach."""

    first_above_final: str
    oil_is_wrong: str
    dry_first: str
    drift: str
    with_oil: list[str]
    near_zero: list[str]


class LiveTest(Struct, frozen=True):
    """A test as it stands, whole: pages show this and nothing else, and a later `version` replaces an earlier."""

    test: str
    version: int
    head: str
    engine: str
    engine_name: str
    unit: str
    by: str
    date: str
    gauge: str
    finished: bool
    order: list[str]
    next: str | None
    drift: str | None
    side: str
    round: bool
    cylinders: list[CylinderOut]
    drift_readings: list[PullOut]
    figures: FiguresOut
    running: list[RunningOut]
    says: list[str]
    rules: list[str]
    stop: Annotated[
        list[str], Meta(description="Before anybody cranks again: cylinders at or near zero, and what to look at.")
    ]
    stopped: Annotated[list[str], Meta(description="Names of those cylinders.")]
    dose: str
    wet_is_wrong: bool
    believed: BelievedOut
    sentences: SentencesOut


class TestLine(Struct, frozen=True):
    """A test in a list."""

    test: str
    engine: str
    engine_name: str
    date: str
    by: str
    readings: int
    finished: bool


class TestList(Struct, frozen=True):
    """Every test of the book, the latest first."""

    tests: list[TestLine]


class Begun(Struct, frozen=True):
    """A test is open."""

    test: str


encode = msgspec.json.encode
