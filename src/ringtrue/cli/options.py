"""Options that several commands share, each said once."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter

Sheet = Annotated[str | None, Parameter(name=["--sheet", "-s"], help="The engine's build sheet (TOML).", negative=())]
TestFile = Annotated[
    str | None, Parameter(name="--test", help="Test file (TOML): the day, the gauge, the conditions.", negative=())
]
GaugeName = Annotated[str | None, Parameter(name="--gauge", help="A gauge of the register, by name.", negative=())]
UnitName = Annotated[
    str | None,
    Parameter(
        name="--unit", help="Unit of the pressures where the file names none: psi, kPa, bar, kg/cm2.", negative=()
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
BookPlace = Annotated[str, Parameter(name="--book", help="Record book: a file or a PostgreSQL address.")]
Output = Annotated[str | None, Parameter(name=["--output", "-o"], help="File to write.", negative=())]
Person = Annotated[str, Parameter(name="--by", help="Who takes or enters it.")]
ExitCode = Annotated[bool, Parameter(name="--exit-code", help="Leave with 1 when a limit is not met.", negative=())]
