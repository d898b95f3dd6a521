"""
Figures in a unit that was mistaken for another: asked about before anything is judged.

The limits are common practice: a median dry final of 40 to 400 psi (spark), 150 to 800 psi (compression ignition), 40
to 800 psi (not stated), and no single figure above 1500 psi.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.written import as_csv, lines, read, refused

from ringtrue.compression import Pull
from ringtrue.engine import BuildSheet, Ignition, Layout
from ringtrue.intake import implausible
from ringtrue.units import Dimension, find_unit, from_si, to_si

SPARK, DIESEL = Ignition.SPARK, Ignition.COMPRESSION
LIMITS = {SPARK: (40.0, 400.0), DIESEL: (150.0, 800.0), None: (40.0, 800.0)}
UNITS = ("psi", "kPa", "bar", "kg/cm2", "MPa")


def engine(ignition: Ignition | None, cylinders: int = 6) -> BuildSheet:
    """Return an engine that is lit in this way."""
    names = tuple(str(number + 1) for number in range(cylinders))
    return BuildSheet(name="invented", layout=Layout.INLINE, cylinders=names, ignition=ignition)


def readings(finals: list[float], unit: str) -> bytes:
    """Return a file of these finals, with every digit they have."""
    return as_csv([("cylinder", f"final [{unit}]"), *((n + 1, f"{final:.17f}") for n, final in enumerate(finals))])


def questioned(finals: list[float], unit: str, ignition: Ignition | None) -> bool:
    """Tell whether a file is refused for its unit."""
    taken = read(readings(finals, unit), confirm_unit=True).taken
    return bool(implausible(taken, ignition))


# If this failed, a speed or a voltage that was mistyped in one row would make that cylinder's fault of a slip.
@pytest.mark.parametrize(("column", "figure"), [("rpm", "19"), ("battery", "124")])
def test_a_row_that_is_hard_to_believe_is_asked_about(column: str, figure: str) -> None:
    rows = as_csv([("cylinder", "final [psi]", column), ("1", "150", figure), ("2", "151", "")])
    (message,) = refused(rows)
    assert message.startswith(f"row 2, column {column}: {figure}")
    assert "(common practice)" in message
    assert len(read(rows, confirm_unit=True).taken) == 2


# If this failed, a median on its limit would be believed in one unit and not in another, or the limits would be others.
@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("ignition", list(LIMITS), ids=str)
def test_the_limits_of_the_median(ignition: Ignition | None, unit: str) -> None:
    psi, other = find_unit("psi", Dimension.PRESSURE), find_unit(unit, Dimension.PRESSURE)
    low, high = (from_si(to_si(limit, psi), other) for limit in LIMITS[ignition])
    sheet = engine(ignition)
    for final in (low, high):
        assert len(read(readings([final] * 5, unit), sheet=sheet).taken) == 5
    for final in (low * (1 - 1e-6), high * (1 + 1e-6)):
        (message,) = refused(readings([final] * 5, unit), sheet=sheet)
        assert message.startswith(f"column final [{unit}]: a median final of ")
        assert len(read(readings([final] * 5, unit), sheet=sheet, confirm_unit=True).taken) == 5


# If this failed, what is told would not say what was read, what such an engine shows, or what to do. Words frozen.
@pytest.mark.parametrize(
    ("ignition", "engines", "limits"),
    [
        (SPARK, "A spark-ignition", "40 to 400"),
        (DIESEL, "A compression-ignition", "150 to 800"),
        (None, "An", "40 to 800"),
    ],
)
def test_what_is_told(ignition: Ignition | None, engines: str, limits: str) -> None:
    assert refused(lines("cylinder,final [psi]", "1,10.5", "2,10", "3,11"), sheet=engine(ignition)) == [
        (
            f"column final [psi]: a median final of 10.5 psi: {engines} engine shows {limits} psi on the starter. "
            "Check the unit (--unit, or the header); say --confirm-unit if the figures are meant as they are."
        )
    ]


# If this failed, a figure that no gauge on a starter shows would be judged, or asked about without its place.
@pytest.mark.parametrize(
    ("raw", "places"),
    [
        (lines("cylinder,first [psi],final [psi]", "1,95,1500", "2,95,150", "3,95,150"), []),
        (
            lines("cylinder,first [psi],final [psi]", "1,95,1500.001", "2,95,150", "3,95,150"),
            ["row 2, column final [psi]"],
        ),
        (
            lines("cylinder,first [psi],final [psi]", "1,95,150", "2,1501,1600", "3,95,150"),
            ["row 3, column first [psi]", "row 3, column final [psi]"],
        ),
        (lines("cylinder,final [bar]", "1,10", "2,103.43", "3,10"), ["row 3, column final [bar]"]),
        (lines("cylinder,final [bar]", "1,10", "2,103.42", "3,10"), []),
        (
            lines("cylinder,kind,supply [psi],held [psi]", "1,leakdown,2000,1900"),
            ["row 2, column supply [psi]", "row 2, column held [psi]"],
        ),
        (lines("cylinder,final", "1,150 psi", "2,150 bar", "3,150 psi"), ["row 3, column final"]),
    ],
)
def test_single_figures(raw: bytes, places: list[str]) -> None:
    if not places:
        read(raw)
        return
    found = refused(raw)
    assert [message.partition(": ")[0] for message in found] == places
    assert all(
        message.endswith(
            ": That is more than 1500 psi, which no engine shows on the starter. "
            "Check the figure and its unit; say --confirm-unit if it is meant."
        )
        for message in found
    )
    read(raw, confirm_unit=True)


# If this failed, an engine with a dead cylinder, the very one to be tested, would be taken for a slip of the unit.
@pytest.mark.parametrize("finals", [[150, 0, 149, 151], [0, 150, 151], [150, 12, 149, 151, 0, 150]])
def test_a_dead_cylinder_is_believed(finals: list[float]) -> None:
    assert len(read(readings(finals, "psi"), sheet=engine(SPARK)).taken) == len(finals)


# If this failed, the day's last check, oil, or what nobody saw would count as a cylinder.
def test_what_the_median_is_taken_of() -> None:
    header = "cylinder,final [psi],kind,drift"
    # Dry 45, 30, 45 has the median 45; the drift pull, the wet ones and the blank would pull it below 40.
    rows = ["1,45,,", "2,30,,", "3,45,,", "1,30,,yes", "1,20,wet,", "2,20,wet,", "3,20,wet,", "4,,,"]
    assert len(read(lines(header, *rows)).taken) == 8
    # Of wet pulls alone, those.
    (message,) = refused(lines(header, "1,20,wet,", "2,20,wet,"))
    assert "a median final of 20 psi" in message
    # Of firsts and leak-down alone, nothing is asked.
    assert len(read(lines("cylinder,first [psi],final [psi]", "1,9,", "2,9,")).taken) == 2


# If this failed, a file typed in a wrong unit would hide that behind another slip, or half a file of slips would be
# called implausible for what little is left of it.
def test_beside_other_faults() -> None:
    rows = ["1,10", "2,11", "3,x", "4,10"]
    assert [message.partition(":")[0] for message in refused(lines("cylinder,final [psi]", *rows))] == [
        "column final [psi]",
        "row 4, column final [psi]",
    ]
    rows = ["1,0", "2,x", "3,y", "4,z"]
    assert len(refused(lines("cylinder,final [psi]", *rows))) == 3


FINALS = st.lists(st.floats(0.95, 1.05), min_size=1, max_size=24)


# If this failed, bar typed as psi would be judged: the finals of any sound engine, in the unit of another gauge. Spark
# engines show 6 to 17 bar (85 to 250 psi), diesels 20 to 45 bar (290 to 650 psi): common practice, generously drawn.
@given(
    FINALS,
    st.floats(0, 1),
    st.sampled_from(
        [
            (SPARK, 85, 250, "bar", "psi"),
            (SPARK, 85, 250, "kg/cm2", "psi"),
            (SPARK, 85, 250, "psi", "bar"),
            (SPARK, 120, 250, "psi", "kg/cm2"),
            (SPARK, 85, 250, "kPa", "psi"),
            (SPARK, 85, 250, "psi", "kPa"),
            (SPARK, 85, 250, "kPa", "bar"),
            (DIESEL, 290, 650, "bar", "psi"),
            (DIESEL, 290, 650, "kg/cm2", "psi"),
            (DIESEL, 290, 650, "psi", "bar"),
            (DIESEL, 290, 650, "kPa", "psi"),
            (DIESEL, 290, 650, "psi", "kPa"),
            (None, 85, 550, "bar", "psi"),
            (None, 85, 550, "psi", "bar"),
            (None, 85, 240, "psi", "kPa"),
            (None, 130, 550, "kPa", "psi"),
        ]
    ),
)
def test_one_unit_typed_as_another_is_asked_about(
    spread: list[float], place: float, case: tuple[Ignition | None, float, float, str, str]
) -> None:
    ignition, low, high, meant, said = case
    level = to_si(low + place * (high - low), find_unit("psi", Dimension.PRESSURE))
    finals = [from_si(level * each, find_unit(meant, Dimension.PRESSURE)) for each in spread]
    assert questioned(finals, said, ignition)
    assert not questioned(finals, meant, ignition)


# If this failed, the guided test would believe a figure that a file of it would not, or the other way round.
@given(st.lists(st.floats(0, 2_000), min_size=1, max_size=12), st.sampled_from([SPARK, DIESEL, None]))
def test_a_file_is_asked_about_as_a_typed_reading_is(finals: list[float], ignition: Ignition | None) -> None:
    raw = readings(finals, "psi")
    taken = read(raw, confirm_unit=True).taken
    assert all(isinstance(pull, Pull) for pull in taken)
    if implausible(taken, ignition):
        refused(raw, sheet=engine(ignition, 12))
    else:
        assert read(raw, sheet=engine(ignition, 12)).taken == taken
