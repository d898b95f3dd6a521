"""Options that several commands share, each said once."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter


def _not_empty(kind: object, value: str | None) -> None:
    """Refuse an empty word: most often it is a variable of a script that was never set."""
    del kind
    if value is not None and not value.strip():
        raise ValueError("nothing stands there")


def figure(name: str, says: str) -> Parameter:
    """
    Make an option for a figure with its unit, which may be below zero: ``--inlet-air "-5 C"``.

    Parameters
    ----------
    name : str
        As it is typed.
    says : str
        What it is, with an example.

    Returns
    -------
    Parameter
        For an annotation of ``str | None``.
    """
    return Parameter(name=name, help=says, negative=(), validator=_not_empty, allow_leading_hyphen=True)


Word = Annotated[str, Parameter(validator=_not_empty)]
"""A file, a test's id or a name that has to be there."""
Given = Annotated[str | None, Parameter(validator=_not_empty, negative=())]
"""A figure or a name that may be left out."""
Sheet = Annotated[
    str | None,
    Parameter(name=["--sheet", "-s"], help="The engine's build sheet (TOML).", negative=(), validator=_not_empty),
]
TestFile = Annotated[
    str | None,
    Parameter(
        name="--test", help="Test file (TOML): the day, the gauge, the conditions.", negative=(), validator=_not_empty
    ),
]
GaugeName = Annotated[
    str | None,
    Parameter(name="--gauge", help="A gauge of the register, by name.", negative=(), validator=_not_empty),
]
UnitName = Annotated[
    str | None,
    Parameter(
        name="--unit",
        help="Unit of the pressures where the file names none: psi, kPa, bar, kg/cm2.",
        negative=(),
        validator=_not_empty,
    ),
]
Decimal = Annotated[str, Parameter(name="--decimal", help="What the decimal mark is: comma or point.")]
Encoding = Annotated[
    str, Parameter(name="--encoding", help="Text encoding of a CSV file that is not UTF-8, for example cp1252.")
]
ConfirmUnit = Annotated[
    bool, Parameter(name="--confirm-unit", help="The figures are meant as they are, plausible or not.", negative=())
]
AsJson = Annotated[bool, Parameter(name="--json", help="Print JSON for other programs.", negative=())]
BookPlace = Annotated[
    str | None,
    Parameter(name="--book", help="Record book: a file or a PostgreSQL address.", negative=(), validator=_not_empty),
]
Output = Annotated[
    str | None, Parameter(name=["--output", "-o"], help="File to write.", negative=(), validator=_not_empty)
]
Person = Annotated[str, Parameter(name="--by", help="Who takes or enters it.")]
ExitCode = Annotated[bool, Parameter(name="--exit-code", help="Leave with 1 when a limit is not met.", negative=())]

Altitude = Annotated[str | None, figure("--altitude", 'Height above the sea, for example "120 m".')]
Barometer = Annotated[
    str | None, figure("--barometer", 'Air pressure on the spot, for example "1003 hPa"; wins over the altitude.')
]
InletAir = Annotated[str | None, figure("--inlet-air", 'Temperature of the air drawn in, for example "18 C".')]
Oil = Annotated[str | None, figure("--oil", 'Temperature of the oil, for example "80 C".')]
CrankingSpeed = Annotated[str | None, figure("--cranking-speed", 'Cranking speed, plugs out, for example "190 rpm".')]
