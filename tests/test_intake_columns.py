"""The columns of a readings file and the unit of each figure: said once, never guessed, and asked for where missing."""

from __future__ import annotations

from typing import Any

import pytest
from tests.written import lines, read, refused

from ringtrue.compression import LeakdownReading, Pull
from ringtrue.intake.columns import KNOWN, NAMED_UNITS
from ringtrue.quantities import PaAbs
from ringtrue.units import Dimension, Unit, find_unit


def unit(name: str) -> Unit:
    """Return a unit of pressure."""
    return find_unit(name, Dimension.PRESSURE)


def finals(raw: bytes, **how: Any) -> list[str]:  # noqa: ANN401 - as HowWritten
    """Return the finals of a file, each with its unit."""
    return [str(taken.final) for taken in read(raw, **how).taken if isinstance(taken, Pull)]


# If this failed, the unit that a file, a row, a cell or the person names would not be the unit of the figure.
@pytest.mark.parametrize(
    ("raw", "how", "expected"),
    [
        (lines("cylinder,final [psi]", "1,150"), {}, ["150 psi"]),
        (lines("cylinder,final [PSIG]", "1,150 lb/in2"), {}, ["150 psi"]),
        (
            lines("cylinder,final,unit", "1,150,psi", "2,10.4,bar", "3,1040,kPa"),
            {},
            ["150 psi", "10.4 bar", "1040 kPa"],
        ),
        (lines("cylinder,final,unit", "1,150,psi", "2,10.4 bar,", "3,,"), {}, ["150 psi", "10.4 bar", "None"]),
        (lines("cylinder,final", "1,150 psi", "2,10.4 kg/cm2"), {}, ["150 psi", "10.4 kg/cm2"]),
        (lines("cylinder,final", "1,150", "2,150 psi"), {"unit": unit("psi")}, ["150 psi", "150 psi"]),
        (lines("cylinder,final [psi]", "1,150"), {"unit": unit("psi")}, ["150 psi"]),
        (lines("cylinder,final [psi],unit", "1,150,PSI"), {"unit": unit("psi")}, ["150 psi"]),
        # The gauge's or the shop's unit is for figures that come without one; what the file says is right.
        (lines("cylinder,final", "1,150", "2,10.4 bar"), {"usual_unit": unit("psi")}, ["150 psi", "10.4 bar"]),
        (lines("cylinder,final [bar]", "1,10.4"), {"usual_unit": unit("psi")}, ["10.4 bar"]),
        (lines("cylinder,final,unit", "1,10.4,bar", "2,150,"), {"usual_unit": unit("psi")}, ["10.4 bar", "150 psi"]),
        (lines("cylinder,final", "1,10.4"), {"unit": unit("bar"), "usual_unit": unit("psi")}, ["10.4 bar"]),
    ],
)
def test_where_a_unit_comes_from(raw: bytes, how: dict[str, Any], expected: list[str]) -> None:
    assert finals(raw, **how) == expected


NO_UNIT = (
    "A pressure needs its unit. Write for example final [psi] in the header, add a column “unit”, or say --unit psi."
)


# If this failed, a figure would be given a unit that nobody said, or the same question would be put for every cell.
@pytest.mark.parametrize(
    ("raw", "messages"),
    [
        (
            lines("cylinder,first,final", *(f"{n},95,150" for n in range(200))),
            [
                f"column first: 200 figures without a unit: {NO_UNIT.replace('final', 'first')}",
                f"column final: 200 figures without a unit: {NO_UNIT}",
            ],
        ),
        (
            lines("cylinder,Final", "1,150 psi", "2,151"),
            [f"column Final: 1 figure without a unit: {NO_UNIT.replace('final', 'Final')}"],
        ),
        (lines("cylinder,final,unit", "1,150,psi", "2,151,"), [f"column final: 1 figure without a unit: {NO_UNIT}"]),
        (
            lines("cylinder,final [psi],kind,oil", "1,150,wet,5", "2,150,wet,5 cc"),
            [
                (
                    "column oil: 1 figure without a unit: A volume needs its unit. "
                    "Write for example oil [cc] in the header, or cc in each cell."
                )
            ],
        ),
        (
            lines("cylinder,kind,supply [psi],held [psi],restrictor", "1,leakdown,80,70,0.040"),
            [
                (
                    "column restrictor: 1 figure without a unit: A length needs its unit. "
                    "Write for example restrictor [mm] in the header, or mm in each cell."
                )
            ],
        ),
        # Other faults are found all the same, and nothing is said in a unit that nobody named.
        (
            lines("cylinder,first,final", "1,150,95", "2,x,1600"),
            [
                f"column first: 1 figure without a unit: {NO_UNIT.replace('final', 'first')}",
                f"column final: 2 figures without a unit: {NO_UNIT}",
                (
                    "row 2, column first: first 150 above final 95: The needle holds the highest, so the final is "
                    "never "
                    "below the first. Check whether the two were swapped, or one was misread."
                ),
                'row 3, column first: read "x": A number has no letters in it. Type the digits alone, such as 151.',
            ],
        ),
    ],
)
def test_figures_without_a_unit(raw: bytes, messages: list[str]) -> None:
    assert refused(raw) == messages


# If this failed, of two units that are said for one figure one would be taken, in silence.
@pytest.mark.parametrize(
    ("raw", "how", "messages"),
    [
        (
            lines("cylinder,first [bar],final [psi]", "1,6,150"),
            {"unit": unit("bar")},
            ["column final [psi]: --unit bar: The column says psi. Leave --unit out, or correct the header."],
        ),
        (
            lines("cylinder,first [psi],final [psi],unit", "1,95,150,bar"),
            {},
            [
                (
                    'row 2, column unit: read "bar": It contradicts column first [psi] and column final [psi]. Keep '
                    "one of them."
                )
            ],
        ),
        (
            lines("cylinder,final,unit", "1,150,psi", "2,10.4,bar"),
            {"unit": unit("psi")},
            ['row 3, column unit: read "bar": It contradicts --unit. Keep one of them.'],
        ),
        (
            lines("cylinder,final [psi]", "1,10.4 bar"),
            {},
            [
                (
                    'row 2, column final [psi]: read "10.4 bar": It is in bar, and psi is said for this place. '
                    "Write the figure in psi, or say bar for the whole place."
                )
            ],
        ),
        (
            lines("cylinder,final", "1,10.4 bar"),
            {"unit": unit("psi")},
            [
                (
                    'row 2, column final: read "10.4 bar": It is in bar, and psi is said for this place. '
                    "Write the figure in psi, or say bar for the whole place."
                )
            ],
        ),
        (
            lines("cylinder,final,unit", "1,150,pis", "2,151,psi"),
            {},
            ['row 2, column unit: read "pis": This is no unit of pressure. Write psi.'],
        ),
        (
            lines("cylinder,first,final,unit", "1,95,150,mm"),
            {},
            [
                (
                    'row 2, column unit: read "mm": The unit mm is one of length, and a pressure is wanted here. '
                    "Write psi, kPa, bar, kg/cm2 or MPa."
                )
            ],
        ),
        (
            lines("cylinder,final [mm]", "1,150 psi"),
            {},
            [
                (
                    'column final [mm]: read "mm": The unit mm is one of length, and a pressure is wanted here. '
                    "Write psi, kPa, bar, kg/cm2 or MPa."
                )
            ],
        ),
        (
            lines("cylinder,final [psi],rpm", "1,150,190 V"),
            {},
            [
                (
                    'row 2, column rpm: read "V": The unit V is one of voltage, and a cranking speed is wanted here. '
                    "Write rpm."
                ),
            ],
        ),
    ],
)
def test_units_that_contradict_one_another(raw: bytes, how: dict[str, Any], messages: list[str]) -> None:
    assert refused(raw, **how) == messages


# If this failed, a reading from vacuum would be taken for one from the surrounding air. 165 psia less 14.5 is 150.5.
def test_absolute_pressures_need_the_barometer() -> None:
    raw = lines("cylinder,final [psia]", "1,165")
    assert refused(raw) == [
        (
            'row 2, column final [psia]: read "165": The unit psia is counted from vacuum, and the '
            "barometer of the day is "
            "not known. Give the barometer in the conditions of the test, or type what a gauge shows, in psi."
        )
    ]
    psi = unit("psi").factor
    (taken,) = read(raw, barometer=PaAbs(14.5 * psi)).taken
    assert isinstance(taken, Pull)
    assert taken.final is not None
    assert taken.final.pressure == pytest.approx(150.5 * psi, rel=1e-12)
    assert str(taken.final) == "165 psia"
    assert refused(lines("cylinder,final [psia]", "1,20"), barometer=PaAbs(14.5 * psi)) == [
        (
            "column final [psia]: a median final of 5.5 psi: An engine shows 40 to 800 psi on the starter. "
            "Check the unit (--unit, or the header); say --confirm-unit if the figures are meant as they are."
        )
    ]


# If this failed, a length, a volume, a speed or a voltage would come out in another unit than its header says.
@pytest.mark.parametrize(
    ("column", "cell", "value"),
    [
        ("oil [cc]", "5", 5e-6),
        ("oil", "1/2 in", None),
        ("oil", "5 ml", 5e-6),
        ("lift_loss [mm]", "0.1", 1e-4),
        ("lift loss", "4 thou", 1.016e-4),
        ("Lift_Loss", "0.1 mm", 1e-4),
        ("rpm", "190", 19.896753),
        ("rpm [rev/min]", "190", 19.896753),
        ("battery", "12.4", 12.4),
        ("battery [V]", "12.4", 12.4),
    ],
)
def test_other_figures(column: str, cell: str, value: float | None) -> None:
    raw = lines(f"cylinder,kind,final [psi],{column}", f"1,wet,150,{cell}")
    if value is None:
        assert len(refused(raw)) == 1
        return
    (taken,) = read(raw).taken
    assert isinstance(taken, Pull)
    (found,) = [each for each in (taken.oil, taken.lift_loss, taken.rpm, taken.battery) if each is not None]
    assert found.value == pytest.approx(value, rel=1e-6)


# If this failed, a fraction of an inch would not do for a restrictor, or a restrictor of no size would.
def test_restrictors() -> None:
    header = "cylinder,kind,supply [psi],held [psi],restrictor [in]"
    (taken,) = read(lines(header, "1,leakdown,80,70,1/25")).taken
    assert isinstance(taken, LeakdownReading)
    assert taken.restrictor is not None
    assert taken.restrictor.value == pytest.approx(0.001016)
    (message,) = refused(lines(header, "1,leakdown,80,70,0"))
    assert message.endswith(
        'column restrictor [in]: read "0": Restrictor is above zero. Correct it, or leave it blank.'
    )
    (message,) = refused(lines("cylinder,final [psi],battery", "1,150,-12"))
    assert message.endswith('column battery: read "-12": Battery is not below zero. Correct it, or leave it blank.')


# If this failed, a column would be dropped without a word, or a misspelled one would go unnoticed.
@pytest.mark.parametrize(
    ("column", "again"),
    [
        ("colour", ""),
        ("frist [psi]", "; did you mean first [psi]?"),
        ("first (psi)", "; did you mean first [psi]?"),
        ("first, psi", "; did you mean first [psi]?"),
        ("nots", "; did you mean note?"),
        ("note [x]", "; did you mean note?"),
        ("rpm (rev/min)", "; did you mean rpm [rev/min]?"),
        # There is a final already: this is another thing.
        ("final (cold)", ""),
    ],
)
def test_unknown_columns_are_kept_and_named(column: str, again: str) -> None:
    found = read(lines(f'cylinder,final [psi],"{column}"', "1,150, As Written ", "2,150,"))
    assert found.warnings == (
        f"column “{column}” is not known here: it is kept as written and used for nothing{again}",
    )
    assert [taken.extra for taken in found.taken] == [((column, "As Written"),), ()]


# If this failed, a file whose readings stand under a name that is not known would be taken for an engine not read.
@pytest.mark.parametrize(
    ("header", "instead"),
    [
        ("cylinder,first [psi]", "Write for example final [psi] in the header."),
        ("cylinder,final (psi)", "Did you mean final [psi]?"),
        ("cylinder,FINAL {bar}", "Did you mean final [bar]?"),
        ("cylinder,finale", "Did you mean final?"),
        ("cylinder,supply [psi]", "Write for example final [psi] in the header."),
    ],
)
def test_a_file_without_readings(header: str, instead: str) -> None:
    assert refused(lines(header, "1,")) == [
        f"header “{header.replace(',', ', ')}”: A column “final” is missing. {instead}"
    ]


# If this failed, leak-down readings alone could not be read.
def test_leakdown_alone_needs_no_final() -> None:
    assert len(read(lines("cylinder,kind,supply [psi],held [psi]", "1,leakdown,80,70")).taken) == 1


# If this failed, two columns that are the same would leave it to chance which is read.
def test_a_column_twice() -> None:
    assert refused(lines("cylinder,final [psi],Final [bar]", "1,150,10")) == [
        "header: columns “final [psi]” and “Final [bar]”: They are the same column. Keep one."
    ]


# If this failed, a column of the documented list would have been lost.
def test_the_columns_are_those_that_are_documented() -> None:
    documented = (
        "cylinder kind drift repeat first final first_spoiled strokes oil supply held restrictor heard rpm battery"
    )
    assert set(KNOWN) == {*documented.split(), "first_from_film", "lift_loss", "plug", "note", "read_by", "at", "unit"}
    assert set(NAMED_UNITS) <= set(KNOWN)
