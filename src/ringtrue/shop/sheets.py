"""What follows from a build sheet, and a new sheet made question by question."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ringtrue.engine import BuildSheet, Layout, Stop
from ringtrue.errors import Fault, SheetRefused
from ringtrue.intake import parse_sheet
from ringtrue.shop.typed import cylinders_typed, row_typed
from ringtrue.units import number_from_cell

CC = 1e-6
"""Cubic metres in a cubic centimetre."""


@dataclass(frozen=True, slots=True)
class CylinderFacts:
    """
    What follows from the sheet for one cylinder; None or empty where the sheet does not hold enough.

    Parameters
    ----------
    cylinder : str
        Its name.
    compression_ratio : float or None
        Its ratio. [-]
    measured : bool
        Something was measured on this cylinder.
    clearance, swept : float or None
        Volumes. [m3]
    companions, neighbours : tuple of str
        Whose piston is up with this one's; who shares a gasket bridge.
    top_dead_centre : float or None
        Crank angle of its compression top dead centre, from the first in firing order. [deg]
    """

    cylinder: str
    compression_ratio: float | None
    measured: bool
    clearance: float | None
    swept: float | None
    companions: tuple[str, ...]
    neighbours: tuple[str, ...]
    top_dead_centre: float | None


def facts(sheet: BuildSheet) -> tuple[CylinderFacts, ...]:
    """
    Work out what follows from a sheet, cylinder by cylinder.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    tuple of CylinderFacts
        In the order of the sheet.
    """
    angles = sheet.compression_top_dead_centres
    return tuple(
        CylinderFacts(
            name,
            sheet.compression_ratio(name),
            name in sheet.measured,
            sheet.clearance_volume(name),
            sheet.swept_volume(name),
            sheet.companions(name),
            sheet.bridge_neighbours(name),
            angles.get(name),
        )
        for name in sheet.cylinders
    )


def missing(sheet: BuildSheet) -> tuple[str, ...]:
    """
    Say what the sheet leaves out, and what that costs.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    tuple of str
        Sentences without their full stop; empty for a sheet that has it all.
    """
    size, limits = sheet.geometry, sheet.limits
    found = []
    if sheet.ignition is None:
        found.append("ignition is not given: the check of units is wider, and the cautions cannot be the right ones")
    if size.bore is None or size.stroke is None:
        found.append("bore or stroke is not given: no displacement, no volumes, no oil dose for a wet test")
    elif sheet.clearance_volume(sheet.cylinders[0]) is None:
        found.append(
            "neither compression ratio nor its volumes are given: no oil dose, and no wet ratio net of the oil"
        )
    if not sheet.firing_order and len(sheet.cylinders) > 1:
        found.append("the firing order is not given: no crank angles, no companion cylinders")
    if sheet.banks_are_missing:
        rows = json.dumps([list(each) for each in _halves(sheet)], ensure_ascii=False)
        found.append(
            "the banks are not given: the engine is drawn as one row, and gasket neighbours are those of that row. "
            f"Which cylinder stands in which bank? Say it, each bank from front to rear, as in banks = {rows}"
        )
    if limits.minimum is None and limits.spread is None and limits.lowest_over_highest is None:
        found.append("no limits of the engine's own service data are given: only general rules apply")
    return tuple(found)


def banks_wanted(sheet: BuildSheet) -> Fault:
    """
    Ask for the banks of an engine that has two and whose sheet does not tell them apart.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    Fault
        At the field of a form.
    """
    rows = [" ".join(each) for each in _halves(sheet)]
    a = "a V" if sheet.layout is Layout.V else "a flat"
    return Fault(
        "",
        f"{a} engine has its cylinders in banks; until it is said which stands in which, it is drawn as one row, with "
        "the wrong gasket neighbours",
        f"write each bank from front to rear, for example {' / '.join(rows)} if they stand so",
        "banks",
    )


def _halves(sheet: BuildSheet) -> tuple[tuple[str, ...], tuple[str, ...]]:
    half = (len(sheet.cylinders) + 1) // 2
    return sheet.cylinders[:half], sheet.cylinders[half:]


def as_json(sheet: BuildSheet) -> dict[str, object]:
    """
    Put a sheet and what follows from it into a form for other programs.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.

    Returns
    -------
    dict
        Volumes in cc, angles in degrees.
    """
    displacement = sheet.displacement
    return {
        "name": sheet.name,
        "reference": sheet.reference,
        "layout": sheet.layout.value,
        "cycle": sheet.cycle,
        "ignition": None if sheet.ignition is None else sheet.ignition.value,
        "displacement_cc": None if displacement is None else displacement / CC,
        "pull_order": list(sheet.pull_order),
        "banks": [list(bank) for bank in sheet.banks],
        "firing_order": list(sheet.firing_order),
        "firing_intervals_deg": list(sheet.firing_intervals),
        "cylinders": [
            {
                "cylinder": row.cylinder,
                "compression_ratio": row.compression_ratio,
                "measured": row.measured,
                "clearance_cc": None if row.clearance is None else row.clearance / CC,
                "swept_cc": None if row.swept is None else row.swept / CC,
                "companions": list(row.companions),
                "gasket_neighbours": list(row.neighbours),
                "compression_top_dead_centre_deg": row.top_dead_centre,
            }
            for row in facts(sheet)
        ],
        "missing": list(missing(sheet)),
    }


def turning_as_json(stops: Sequence[Stop]) -> list[dict[str, object]]:
    """
    Put the order of turning into a form for other programs.

    Parameters
    ----------
    stops : sequence of Stop
        From `ringtrue.engine.turning`.

    Returns
    -------
    list of dict
        One a cylinder, angles in degrees.
    """
    return [
        {
            "cylinder": stop.cylinder,
            "turn_deg": stop.turn,
            "from_first_deg": stop.angle,
            "companions": list(stop.companions),
        }
        for stop in stops
    ]


@dataclass(frozen=True, slots=True)
class Question:
    """
    One question of the guided sheet.

    Parameters
    ----------
    table, key : str
        The field it fills.
    asks : str
        The question.
    form : str
        How the answer is written: "text", "number", "numbers", "cylinders", "banks", "word list".
    needed : bool
        It cannot be left out.
    """

    table: str
    key: str
    asks: str
    form: str = "text"
    needed: bool = False


QUESTIONS = (
    Question("engine", "name", "What do you call this engine?", needed=True),
    Question("engine", "reference", "Your own reference for it, on which the book files it?"),
    Question("engine", "layout", "Layout: single, inline, V, flat or radial?", needed=True),
    Question("engine", "cylinders", "How many cylinders? Or their names, parted by blanks or commas.", needed=True),
    Question("engine", "banks", "Banks, each front to rear, parted by a stroke, for example 1 3 5 / 2 4 6?", "banks"),
    Question("engine", "cycle", "Four-stroke or two-stroke: 4 or 2?", "number"),
    Question("engine", "ignition", "Ignition: spark or compression?"),
    Question("engine", "firing_order", "Firing order, for example 1 5 3 6 2 4?", "cylinders"),
    Question("engine", "firing_intervals", "Crank degrees after each of them, if it does not fire evenly?", "numbers"),
    Question("engine", "heads", "Do cylinders of a bank share head and gasket: shared or separate?"),
    Question("engine", "cooling", "Cooling: liquid or air?"),
    Question("engine", "hazards", "Hazards, parted by commas: direct injection, hybrid, decompressor?", "word list"),
    Question("geometry", "bore", "Bore, with its unit, for example 92 mm or 3.622 in?"),
    Question("geometry", "stroke", "Stroke?"),
    Question("geometry", "rod", "Length of the connecting rod between centres?"),
    Question("geometry", "compression_ratio", "Compression ratio, for example 8.4?", "number"),
    Question("geometry", "chamber", "Volume of the chamber in the head, if you measured it, for example 71 cc?"),
    Question("geometry", "deck_clearance", "Deck clearance, piston below deck positive?"),
    Question("geometry", "gasket_thickness", "Head gasket, thickness when crushed?"),
    Question("geometry", "gasket_bore", "Head gasket, bore?"),
    Question("geometry", "piston_dish", "Volume of the piston's dish, a dome negative?"),
    Question("camshaft", "quoted_at_lift", "At which lift does the cam card quote its angles, for example 0.050 in?"),
    Question("camshaft", "quoted_at", "Is that lift at the tappet or at the valve?"),
    Question("camshaft", "intake_closes", "Intake closes, for example 44 deg after BDC?"),
    Question("camshaft", "intake_opens", "Intake opens, for example 8 deg before TDC?"),
    Question("rings", "kind", "Rings: gapped or gapless?"),
    Question("rings", "top_gap", "End gap of the top ring?"),
    Question(
        "limits", "minimum", "Least compression of any cylinder in the engine's service data, for example 120 psi?"
    ),
    Question("limits", "spread", "Largest difference between cylinders in the service data?"),
    Question(
        "limits", "lowest_over_highest", "Least lowest over highest in the service data, for example 0.80?", "number"
    ),
)


_QUOTED = re.compile(r"^([\"'])(.*)\1$")


_TO_ONE = re.compile(r"\s*(?::|to)\s*1$")
"""Behind a ratio, as the trade writes it: 8.4:1."""


class NewSheet:
    """A build sheet that grows answer by answer; it holds together after each."""

    def __init__(self) -> None:
        self._answers: dict[tuple[str, str], str] = {}

    def questions(self) -> Iterator[Question]:
        """
        Yield the questions that still make sense.

        Yields
        ------
        Question
            In the order in which a builder would think of them.
        """
        for question in QUESTIONS:
            if question.key == "banks" and self._layout() in {"single", "inline"}:
                continue
            if question.key in {"firing_order", "firing_intervals"} and len(self._cylinders()) < 2:  # noqa: PLR2004 - one has no order
                continue
            if question.key == "firing_intervals" and ("engine", "firing_order") not in self._answers:
                continue
            yield question

    def answer(self, question: Question, text: str) -> None:
        """
        Take an answer, if the sheet still holds together with it.

        Parameters
        ----------
        question : Question
            Which question.
        text : str
            The answer; empty leaves the field out.

        Raises
        ------
        SheetRefused
            The sheet does not hold together with it; the sheet is as it was.
        InputRefused
            The answer cannot be read; the same.
        """
        text = _QUOTED.sub(r"\2", text)
        if not text:
            if question.needed:
                raise SheetRefused.of("", f"a sheet needs its {question.key}", "type it")
            return
        key = (question.table, question.key)
        self._answers[key] = toml_value(question, text, self._cylinders())
        try:
            parse_sheet(self._text(whole=True))
        except SheetRefused as error:
            del self._answers[key]
            raise SheetRefused(*(spoken(fault, question.key) for fault in error.faults)) from None

    @property
    def is_whole(self) -> bool:
        """Every question that cannot be left out has its answer."""
        return all((question.table, question.key) in self._answers for question in QUESTIONS if question.needed)

    @property
    def text(self) -> str:
        """The sheet as TOML."""
        return self._text(whole=False)

    @property
    def name(self) -> str:
        """A file name made of the engine's name."""
        name = json.loads(self._answers.get(("engine", "name"), '"engine"'))
        return re.sub(r"[^a-z0-9]+", "-", str(name).casefold()).strip("-") or "engine"

    def _text(self, *, whole: bool) -> str:
        answers = dict(self._answers)
        if whole:
            # Until they are answered, the fields that a sheet needs stand in with harmless ones.
            answers.setdefault(("engine", "name"), '"?"')
            answers.setdefault(("engine", "layout"), '"V"')
            answers.setdefault(("engine", "cylinders"), '["1"]')
        lines: list[str] = []
        for table in dict.fromkeys(table for table, _ in answers):
            lines += ["", f"[{table}]"] if lines else [f"[{table}]"]
            lines += [f"{key} = {value}" for (where, key), value in answers.items() if where == table]
        return "\n".join(lines) + "\n"

    def _layout(self) -> str:
        return str(json.loads(self._answers.get(("engine", "layout"), '""'))).casefold()

    def _cylinders(self) -> list[str]:
        return list(json.loads(self._answers.get(("engine", "cylinders"), "[]")))


def spoken(fault: Fault, key: str) -> Fault:
    """
    Say to somebody who answers a question what is said of a line in a file.

    Parameters
    ----------
    fault : Fault
        As the sheet was refused with it.
    key : str
        The field that was asked for.

    Returns
    -------
    Fault
        Without the marks of a TOML file, and without its place.
    """
    instead = fault.instead.replace(f"{key} = ", "").replace(" in quotes", "").replace("the line", "it")
    return Fault(fault.given, fault.why, instead)


def toml_value(question: Question, text: str, cylinders: Sequence[str]) -> str:
    """
    Write an answer as a build sheet has it.

    Parameters
    ----------
    question : Question
        Which question.
    text : str
        The answer.
    cylinders : sequence of str
        The engine's, which orders and banks are read by.

    Returns
    -------
    str
        The value of a line of TOML.

    Raises
    ------
    InputRefused
        It cannot be read.
    """
    if question.key == "compression_ratio":
        text = _TO_ONE.sub("", text)
    if question.form == "number":
        return _number(text)
    if question.form == "numbers":
        return f"[{', '.join(_number(word) for word in text.replace(';', ' ').replace(',', ' ').split())}]"
    value: object = text
    if question.key == "cylinders":
        value = cylinders_typed(text)
    elif question.form == "cylinders":
        value = row_typed(text, cylinders)
    elif question.form == "banks":
        value = [row_typed(bank, cylinders) for bank in text.split("/")]
    elif question.form == "word list":
        value = [word.strip() for word in text.split(",") if word.strip()]
    return json.dumps(value, ensure_ascii=False)


def _number(text: str) -> str:
    return f"{number_from_cell(text)[0]:.15g}"
