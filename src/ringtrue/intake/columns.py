"""The columns of a readings file: which there are, what each is called there, and which unit it names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from ringtrue.errors import Fault, InputRefused
from ringtrue.intake.cells import Row
from ringtrue.units import Dimension, Unit, find_unit, has_decimal_comma

PRESSURES = ("first", "final", "supply", "held")
MEASURES = {
    "oil": Dimension.VOLUME,
    "restrictor": Dimension.LENGTH,
    "lift_loss": Dimension.LENGTH,
    "rpm": Dimension.ROTATION,
    "battery": Dimension.VOLTAGE,
}
NAMED_UNITS = {"rpm": "rpm", "battery": "V"}
"""Columns whose name says the unit."""
PLAIN = (
    "cylinder",
    "kind",
    "drift",
    "repeat",
    "first_spoiled",
    "first_from_film",
    "strokes",
    "heard",
    "plug",
    "note",
    "read_by",
    "at",
    "unit",
)
FIGURES = (*PRESSURES, *MEASURES)
KNOWN = (*FIGURES, *PLAIN)

BRACKETS = re.compile(r"([^\[\]]{1,60})\[([^\[\]]{1,30})\]")
"""A header with its unit."""
_OTHER_BRACKETS = re.compile(r"([^()\[\]{},:]{1,60})[({,:]\s*([^()\[\]{}]{1,30}?)\s*[)}]?")


@dataclass(frozen=True, slots=True)
class Columns:
    """
    The columns of one file.

    Parameters
    ----------
    names : dict of str to str
        Header as written, by column name.
    units : dict of str to Unit
        Unit in the header's brackets, by column name.
    unknown : tuple of str
        Columns that ringtrue does not know, as written.
    faults : tuple of Fault
        What is wrong with the header.
    """

    names: dict[str, str] = field(default_factory=dict)
    units: dict[str, Unit] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()

    @classmethod
    def of(cls, header: tuple[str, ...]) -> Columns:
        """
        Sort a header into columns.

        Parameters
        ----------
        header : tuple of str
            As written.

        Returns
        -------
        Columns
            With its faults in it.
        """
        names: dict[str, str] = {}
        units: dict[str, Unit] = {}
        unknown: list[str] = []
        faults: list[Fault] = []
        for written in header:
            match = BRACKETS.fullmatch(written)
            name = _plain(match[1] if match else written)
            dimension = Dimension.PRESSURE if name in PRESSURES else MEASURES.get(name)
            if name not in KNOWN or (match and dimension is None):
                unknown.append(written)
                continue
            if name in names:
                given = f"columns “{names[name]}” and “{written}”"
                faults.append(Fault(given, "they are the same column", "keep one", "header"))
                continue
            names[name] = written
            if match and dimension is not None:
                try:
                    units[name] = find_unit(match[2], dimension, where=f"column {written}")
                except InputRefused as error:
                    faults.extend(error.faults)
        if "final" not in names and not ("supply" in names and "held" in names):
            near = next((meant for each in unknown if (meant := _meant(each)).startswith("final")), "")
            instead = f"did you mean {near}?" if near else "write for example final [psi] in the header"
            given = f"header “{', '.join(header)}”"
            faults.append(Fault(given, "a column “final” is missing", instead))
        return cls(names, units, tuple(unknown), tuple(faults))

    def place(self, row: Row, name: str) -> str:
        """
        Name a cell for a message.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.

        Returns
        -------
        str
            Row and column as the file has them.
        """
        return f"{row.where}, column {self.names.get(name, name)}"

    def contradictions(self, unit: Unit) -> Iterator[Fault]:
        """
        Find the pressure columns that name another unit than the person says.

        Parameters
        ----------
        unit : Unit
            What the person says.

        Yields
        ------
        Fault
            One a column.
        """
        for name, named in self.units.items():
            if name in PRESSURES and named != unit:
                yield Fault(
                    f"--unit {unit.name}",
                    f"the column says {named.name}",
                    "leave --unit out, or correct the header",
                    f"column {self.names[name]}",
                )

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the person should know: columns that are kept but not understood, with what may be meant."""
        told = []
        for written in self.unknown:
            meant = _meant(written)
            again = f"; did you mean {meant}?" if meant and _plain(meant.partition("[")[0]) not in self.names else ""
            told.append(f"column “{written}” is not known here: it is kept as written and used for nothing{again}")
        return tuple(told)

    def shows_decimal_comma(self, rows: tuple[Row, ...]) -> bool:
        """
        Tell whether any figure of a file has a decimal comma beyond doubt.

        Parameters
        ----------
        rows : tuple of Row
            The file's rows.

        Returns
        -------
        bool
            True when one has.
        """
        figures = [self.names[name] for name in FIGURES if name in self.names]
        return any(has_decimal_comma(row.cells[name].text) for row in rows for name in figures if name in row.cells)


def _plain(written: str) -> str:
    return written.strip().casefold().replace(" ", "_")


def _meant(written: str) -> str:
    """Guess which column an unknown header means, with its unit; empty when none is near."""
    match = BRACKETS.fullmatch(written) or _OTHER_BRACKETS.fullmatch(written)
    near = difflib.get_close_matches(_plain(match[1] if match else written), KNOWN, n=1, cutoff=0.75)
    if not near:
        return ""
    return f"{near[0]} [{match[2]}]" if match and near[0] in FIGURES else near[0]
