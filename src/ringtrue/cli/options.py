"""Options that several commands share, each said once."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter


def not_empty(kind: object, value: str | None) -> None:
    """
    Refuse an empty word: most often it is a variable of a script that was never set.

    Parameters
    ----------
    kind : object
        The type of the option.
    value : str or None
        What was typed.

    Raises
    ------
    ValueError
        There is nothing in it.
    """
    del kind
    if value is not None and not value.strip():
        raise ValueError("nothing stands there")


Word = Annotated[str, Parameter(validator=not_empty)]
"""A file, a test's id or a name that has to be there."""
Given = Annotated[str | None, Parameter(validator=_not_empty, negative=())]
"""A figure or a name that may be left out."""
Sheet = Annotated[
    str | None,
    Parameter(name=["--sheet", "-s"], help="The engine's build sheet (TOML).", negative=(), validator=not_empty),
]
TestFile = Annotated[
    str | None,
    Parameter(
        name="--test", help="Test file (TOML): the day, the gauge, the conditions.", negative=(), validator=not_empty
    ),
]
GaugeName = Annotated[
    str | None,
    Parameter(name="--gauge", help="A gauge of the register, by name.", negative=(), validator=not_empty),
]
UnitName = Annotated[
    str | None,
    Parameter(
        name="--unit",
        help="Unit of the pressures where the file names none: psi, kPa, bar, kg/cm2.",
        negative=(),
        validator=not_empty,
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
    Parameter(name="--book", help="Record book: a file or a PostgreSQL address.", negative=(), validator=not_empty),
]
Output = Annotated[
    str | None, Parameter(name=["--output", "-o"], help="File to write.", negative=(), validator=not_empty)
]
Person = Annotated[str, Parameter(name="--by", help="Who takes or enters it.")]
ExitCode = Annotated[bool, Parameter(name="--exit-code", help="Leave with 1 when a limit is not met.", negative=())]
