"""What a builder types at the engine, read: a pull in one line, the cylinders, their order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.compression import Pull, Reading
from ringtrue.engine import MOST_CYLINDERS
from ringtrue.errors import InputRefused, ReadingImpossible
from ringtrue.intake import first_above_final
from ringtrue.quantities import PaAbs, PaGauge
from ringtrue.units import DecimalMark, Unit, parse_gauge_pressure, parse_number

NOT_SEEN = ("-", "?", "x")
MOST_STROKES = 40
"""Nobody cranks longer at one go; a greater third number is a pressure that stands in the wrong place."""

_ANSWERS = {"yes", "no", "done", "stop", "help", "skip", "back"}
_NO_NAMES = {"to", "and", "cyl", "cylinders"}
"""Words that stand between names, or behind their number."""
_NUMBER_WORDS = {"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve"}
_COUNTED = re.compile(r"^\s*(\d+)[\s-]*cyl(?:s|inders?)?\.?\s*$", re.IGNORECASE)
_SEVERAL = re.compile(r"^\d+(?:[ -]+\d+)+$")
"""Numbers in a row: more than one cylinder, though nothing parts them as names are parted."""
_ONLY_FIGURES = re.compile(r"^[\d\s.,+?xs-]+$", re.IGNORECASE)
"""What a pull is typed with, and no sentence is."""
_SPOILED = re.compile(r"^(?:spoiled|s)(|[-+.,0-9].*)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Typed:
    """
    What a builder typed for one pull.

    Parameters
    ----------
    first, final : Reading or None
        None when nobody saw it.
    spoiled : bool
        The pull began part-way up compression.
    strokes : int or None
        How many compression strokes.
    """

    first: Reading | None
    final: Reading | None
    spoiled: bool
    strokes: int | None


def parse_typed(text: str, unit: Unit, mark: DecimalMark = DecimalMark.ASK) -> Typed:
    """
    Read what was typed for one pull: the first, the final, and perhaps the strokes.

    Parameters
    ----------
    text : str
        ``95 150``; ``- 150`` when nobody saw the first; ``s 150`` or ``s60 150`` when it was spoiled; a third number
        is the count of compression strokes.
    unit : Unit
        The unit of the gauge.
    mark : DecimalMark
        What the decimal mark is.

    Returns
    -------
    Typed
        The figures.

    Raises
    ------
    InputRefused
        It cannot be used; the message says what to type.
    ReadingImpossible
        The first is above the final, or a figure is below zero.
    """
    words = text.replace(", ", " ").split()
    how = "type the first and the final, for example 95 150; - 150 when nobody saw the first; s 150 when it was spoiled"
    if len(words) not in {2, 3}:
        raise InputRefused.of(f"read “{text.strip()}”", "a pull has a first and a final figure", how)
    spoiled = _SPOILED.match(words[0])
    first_text = spoiled[1] if spoiled else words[0]
    first = None if not first_text or first_text in NOT_SEEN else _reading(first_text, unit, mark)
    if words[1] in NOT_SEEN:
        raise InputRefused.of(
            f"read “{text.strip()}”",
            "a pull without its final says nothing",
            "crank it again, or leave the cylinder out",
        )
    final = _reading(words[1], unit, mark)
    strokes = None
    if len(words) == 3:  # noqa: PLR2004 - first, final, strokes
        count = parse_number(words[2])
        if spoiled and not first_text and count > parse_number(words[1]):
            why = "this could be a spoiled first and a final, or a final and the strokes"
            clear = f"type s{words[1]} {words[2]}, or s- {words[1]} {words[2]} when nobody saw the first"
            raise InputRefused.of(f"read “{text.strip()}”", why, clear)
        if not (count.is_integer() and 1 <= count <= MOST_STROKES):
            why = f"the strokes are a whole number from 1 to {MOST_STROKES}"
            raise InputRefused.of(f"read “{words[2]}”", why, "type for example 95 150 6, or leave it out")
        strokes = int(count)
    fault = first_above_final(Pull(cylinder="", first=first, final=final))
    if fault is not None:
        raise ReadingImpossible(fault)
    return Typed(first, final, bool(spoiled), strokes)


def _reading(text: str, unit: Unit, mark: DecimalMark) -> Reading:
    figure = parse_gauge_pressure(text, unit=unit, mark=mark)
    return Reading(PaGauge(figure.value), figure.written, figure.unit)


def reading_typed(
    text: str, usual: Unit | None, barometer: PaAbs | None = None, mark: DecimalMark = DecimalMark.ASK
) -> Reading:
    """
    Read one pressure that was typed.

    Parameters
    ----------
    text : str
        ``80 psi``; the number alone where there is a usual unit.
    usual : Unit or None
        The unit that holds where none is typed.
    barometer : PaAbs or None
        The surrounding air; only absolute units need it. [Pa]
    mark : DecimalMark
        What the decimal mark is.

    Returns
    -------
    Reading
        As it was typed, and in SI.

    Raises
    ------
    InputRefused
        It cannot be used; the message says what to type.
    """
    unit = None if any(each.isalpha() for each in text) else usual
    figure = parse_gauge_pressure(text, unit=unit, barometer=barometer, mark=mark)
    return Reading(PaGauge(figure.value), figure.written, figure.unit)


def decimal_mark(text: str) -> DecimalMark:
    """
    Read what the decimal mark is said to be.

    Parameters
    ----------
    text : str
        "comma", "point" or "ask".

    Returns
    -------
    DecimalMark
        The mark.

    Raises
    ------
    InputRefused
        It is none of them.
    """
    try:
        return DecimalMark(text.strip().casefold())
    except ValueError:
        raise InputRefused.of(
            f"--decimal {text}", "the decimal mark is a comma or a point", "say --decimal comma or --decimal point"
        ) from None


def otherwise_typed(text: str) -> str:
    """
    Read what is otherwise than a list says.

    Parameters
    ----------
    text : str
        A few words; yes, no or nothing.

    Returns
    -------
    str
        The same.

    Raises
    ------
    InputRefused
        It is the figures of a pull, or help: a reading that is typed too early must not end as a remark.
    """
    if _ONLY_FIGURES.match(text) or text.casefold() in {"help", "show"}:
        why = "this is about the list above; readings are asked for after it"
        raise InputRefused.of(f"read “{text}”", why, "type yes when all of it is done, or what is otherwise in words")
    return text


def engine_typed(text: str) -> str:
    """
    Read under which name the book is to file an engine.

    Parameters
    ----------
    text : str
        A reference, or a name.

    Returns
    -------
    str
        The same.

    Raises
    ------
    InputRefused
        There is none.
    """
    if not text:
        raise InputRefused.of("", "the book files a test under its engine", "type a name or your reference")
    return text


def names_typed(text: str) -> list[str]:
    """
    Part names that were typed in a row.

    Parameters
    ----------
    text : str
        Names parted by commas, or by blanks where there is no comma.

    Returns
    -------
    list of str
        The names.
    """
    parts = re.split(r"[,;]", text) if re.search(r"[,;]", text) else text.split()
    return [" ".join(part.split()) for part in parts if part.strip()]


def cylinders_typed(text: str) -> tuple[str, ...]:
    """
    Read how many cylinders there are, or their names.

    Parameters
    ----------
    text : str
        "6", or names parted by blanks; by commas where a name has blanks in it.

    Returns
    -------
    tuple of str
        Their names.

    Raises
    ------
    InputRefused
        There are none, too many, or one twice.
    """
    names = tuple(names_typed(_COUNTED.sub(r"\1", text)))
    if len(names) == 1 and names[0].isascii() and names[0].isdigit():
        names = tuple(str(number) for number in range(1, int(names[0][:3]) + 1))
    how = "type for example 6, or 1 2 3 4 5 6, or left 1, left 2, right 1, right 2"
    if any(_SEVERAL.match(name) for name in names):
        raise InputRefused.of(f"read “{text}”", "it is not clear where one name ends", how)
    no_names = _ANSWERS | _NO_NAMES | (_NUMBER_WORDS if len(names) == 1 else set())
    answered = {name.casefold() for name in names} & no_names
    if not 1 <= len(names) <= MOST_CYLINDERS or len(set(names)) < len(names) or answered:
        why = f"an engine has 1 to {MOST_CYLINDERS} cylinders, each with its own name"
        raise InputRefused.of(f"read “{text}”", why, how)
    return names


def cylinder_typed(text: str, cylinders: Sequence[str]) -> tuple[str, str]:
    """
    Part a cylinder's name from what was typed behind it.

    Parameters
    ----------
    text : str
        Begins with a name; names may have blanks in them.
    cylinders : sequence of str
        The engine's cylinders.

    Returns
    -------
    tuple of str and str
        The cylinder, and the rest.

    Raises
    ------
    InputRefused
        It begins with no cylinder of this engine.
    """
    said = " ".join(text.split())
    for alike in (str, str.casefold):
        for name in sorted(cylinders, key=len, reverse=True):
            head, rest = said[: len(name)], said[len(name) :]
            if alike(head) == alike(name) and rest[:1] in {"", " "}:
                return name, rest.strip()
    named = said.split(" ")[0]
    raise InputRefused.of(f"cylinder “{named}”", "this engine does not have it", f"type one of {', '.join(cylinders)}")


def why_left_out(text: str, asked: str, cylinders: Sequence[str]) -> str:
    """
    Read why a cylinder is left out.

    Parameters
    ----------
    text : str
        What was typed behind skip; empty where no reason is given.
    asked : str
        The cylinder that is asked for.
    cylinders : sequence of str
        The engine's cylinders.

    Returns
    -------
    str
        The reason; empty for none.

    Raises
    ------
    InputRefused
        It names another cylinder.
    """
    try:
        named, rest = cylinder_typed(text, cylinders)
    except InputRefused:
        return text.strip()
    if named == asked:
        return rest
    why = f"this would leave out cylinder {asked}, which is asked for"
    instead = f"type skip and the reason in words; cylinder {named} is left out when it is asked for"
    raise InputRefused.of(f"skip {text}", why, instead)


def row_typed(text: str, cylinders: Sequence[str]) -> tuple[str, ...]:
    """
    Read cylinders of an engine that were typed in a row.

    Parameters
    ----------
    text : str
        Names parted by blanks, commas, or strokes as in 1-3-4-2.
    cylinders : sequence of str
        The engine's cylinders.

    Returns
    -------
    tuple of str
        The cylinders.

    Raises
    ------
    InputRefused
        One of them is not of this engine.
    """
    parting = r"[,;]" if any("-" in name for name in cylinders) else r"[,;-]"
    rest, row = re.sub(parting, " ", text), []
    while rest.strip():
        name, rest = cylinder_typed(rest, cylinders)
        row.append(name)
    return tuple(row)


def order_of(text: str, cylinders: tuple[str, ...]) -> tuple[str, ...]:
    """
    Read the order in which the cylinders are to be pulled.

    Parameters
    ----------
    text : str
        Names parted by blanks or commas; empty for the usual order.
    cylinders : tuple of str
        The engine's cylinders in the usual order.

    Returns
    -------
    tuple of str
        Every cylinder once.

    Raises
    ------
    InputRefused
        A cylinder is missing, unknown or named twice.
    """
    try:
        names = row_typed(text, cylinders)
    except InputRefused as error:
        raise error.at("--order") from None
    if names and sorted(names) != sorted(cylinders):
        why = "an order names every cylinder once"
        instead = f"type {', '.join(cylinders)} in the order you want"
        raise InputRefused.of(f"“{text}”", why, instead, "--order")
    return names or cylinders
