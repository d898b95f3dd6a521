"""
One strict parser for every number of the program.

A number is made of the digits 0 to 9, with at most one sign in front, at most one decimal mark, and signs between the
thousands that part the digits in threes. Python's own ``float`` also takes ``1_80``, ``nan`` and other scripts'
digits, so nothing reaches it here before its shape is known.
"""

from __future__ import annotations

import math
import re
from enum import StrEnum

from ringtrue.errors import NumberRefused

LONGEST = 40
"""Characters in the longest text that is read as a number."""

BLANKS = " \u00a0\u2007\u2009\u202f"
"""Ordinary, no-break, figure, thin and narrow no-break space: what a person or a spreadsheet puts between thousands."""

_HIGHEST = 10**LONGEST
_AROUND = BLANKS + "\t\r\n"
_APOSTROPHES = "'\u2019"
_SIGNS = "+-\u2212"
_NO_FIGURE = frozenset({"nan", "inf", "infinity", "none", "null", "true", "false", "yes", "no", "n/a", "na", "-", "?"})
_TWO_READINGS = re.compile(r"[1-9][0-9]{2}(?: [0-9]{3})+")
_EXPONENT = re.compile(r"([0-9]+(?:[.,][0-9]+)?)[eE]([+-]?[0-9]{1,2})")
_LEADING_NUMBER = re.compile(rf"[{_AROUND}]*([{_SIGNS}]?[0-9{BLANKS}{_APOSTROPHES}.,]*[0-9])")


class DecimalMark(StrEnum):
    """What stands before the tenths: settled by the person, or asked about where it matters."""

    ASK = "ask"
    POINT = "point"
    COMMA = "comma"


def _shape(mark: str, other: str) -> re.Pattern[str]:
    parts = f"[{other}{BLANKS}{_APOSTROPHES}]"
    grouped = rf"[1-9][0-9]{{0,2}}(?P<parts>{parts})[0-9]{{3}}(?:(?P=parts)[0-9]{{3}})*"
    return re.compile(rf"(?P<whole>{grouped}|[0-9]+)?(?:[{mark}](?P<rest>[0-9]+))?")


_SHAPES = {DecimalMark.POINT: _shape(".", ","), DecimalMark.COMMA: _shape(",", ".")}


def _read(digits: str, mark: DecimalMark) -> str | None:
    """Return the number in plain figures with a point, when the text is one under this mark."""
    found = _SHAPES[mark].fullmatch(digits)
    if found is None or (found["whole"] is None and found["rest"] is None):
        return None
    whole = "".join(each for each in found["whole"] or "0" if "0" <= each <= "9")
    return whole if found["rest"] is None else f"{whole}.{found['rest']}"


def _split_sign(text: str) -> tuple[str, str]:
    if text[:1] and text[0] in _SIGNS:
        return ("" if text[0] == "+" else "-"), text[1:]
    return "", text


def parse_number(text: str, *, mark: DecimalMark = DecimalMark.ASK, comma_seen: bool = False, where: str = "") -> float:
    """
    Read a number as a person writes it.

    Parameters
    ----------
    text : str
        The number alone, without a unit; blanks around it do not matter.
    mark : DecimalMark
        What the person said about decimal marks. ASK takes a text that can be read in one way only, and a lone point
        as the decimal mark; ``1,234`` is asked about.
    comma_seen : bool
        Another number of the same file has shown a decimal comma (`has_decimal_comma`): under ASK a text like
        ``1.234`` is then asked about too.
    where : str
        File, row and column, or the field, for the message.

    Returns
    -------
    float
        A finite number. [-]

    Raises
    ------
    NumberRefused
        The text is no number, or could be two different ones.

    Notes
    -----
    Thousands may be parted by the mark that is not the decimal one, by a blank (ordinary, no-break, narrow, thin,
    figure) or by an apostrophe, always in threes and always the same sign. Two or more figures of three digits with
    ordinary blanks between them (``150 155``) may be two readings in one place and are asked about. A typographic
    minus (U+2212), which spreadsheets and word processors write, counts as a minus; a dash does not. There is no
    exponent: no gauge shows one.

    Examples
    --------
    >>> parse_number("12,5"), parse_number("1.234,5"), parse_number("1,234", mark=DecimalMark.COMMA)
    (12.5, 1234.5, 1.234)
    """
    stripped = text.strip(_AROUND)
    sign, digits = _split_sign(stripped)
    if not digits or len(stripped) > LONGEST:
        raise _refused(stripped, mark, where)
    if mark is DecimalMark.ASK:
        plain = _ask(stripped, digits, comma_seen=comma_seen, where=where)
    else:
        plain = _read(digits, mark)
    if plain is None:
        raise _refused(stripped, mark, where)
    if _TWO_READINGS.fullmatch(digits):
        raise NumberRefused.of(
            told(text),
            "this can be one large number or several readings in one place",
            f"write {sign}{plain} for one number, or each reading in a place of its own",
            where,
        )
    return float(sign + plain) + 0.0  # minus nothing is nothing


def _ask(stripped: str, digits: str, *, comma_seen: bool, where: str) -> str | None:
    point, comma = _read(digits, DecimalMark.POINT), _read(digits, DecimalMark.COMMA)
    if point is None or comma is None or point == comma:
        return comma if point is None else point
    # One mark before three digits: thousands or thousandths.
    if "," not in digits and not comma_seen:
        return point
    sign, _ = _split_sign(stripped)
    whole = digits.replace(",", "").replace(".", "")
    if comma_seen:
        why = f"a decimal comma is used elsewhere, so this can be {sign}{point} or {sign}{comma}"
        instead = f"type {sign}{whole} if that is meant, or say --decimal comma or --decimal point"
    else:
        why = f"this can be {sign}{point} or {sign}{comma}"
        instead = f"type {sign}{point} or {sign}{comma}, or say --decimal comma or --decimal point"
    raise NumberRefused.of(told(stripped), why, instead, where)


def has_decimal_comma(text: str) -> bool:
    """
    Tell whether a text shows beyond doubt that its writer uses a decimal comma.

    Parameters
    ----------
    text : str
        A number, with or without a unit behind it.

    Returns
    -------
    bool
        True for ``12,5`` and ``1.234,5``; False for ``1,234`` (either), for ``12.5`` and for what is no number.

    Examples
    --------
    >>> has_decimal_comma("12,5 bar"), has_decimal_comma("1,234"), has_decimal_comma("1,234.5")
    (True, False, False)
    """
    found = _LEADING_NUMBER.match(text[: 2 * LONGEST])
    if found is None or "," not in found[1]:
        return False
    _, digits = _split_sign(found[1])
    return _read(digits, DecimalMark.POINT) is None and _read(digits, DecimalMark.COMMA) is not None


def number_from_cell(
    value: float | str, *, mark: DecimalMark = DecimalMark.ASK, comma_seen: bool = False, where: str = ""
) -> tuple[float, str]:
    """
    Read a typed cell: what a spreadsheet or a JSON file holds.

    Parameters
    ----------
    value : float, int, bool or str
        The cell. A bool is refused: yes or no is no number. A text is read by `parse_number`.
    mark : DecimalMark
        As in `parse_number`; a typed number has no decimal mark to ask about.
    comma_seen : bool
        As in `parse_number`.
    where : str
        File, row and column, or the field, for the message.

    Returns
    -------
    tuple of (float, str)
        The number, and how it is written: the text itself, or the shortest figures that are this number.

    Raises
    ------
    NumberRefused
        The cell holds no number, or one that no gauge shows.

    Examples
    --------
    >>> number_from_cell(151.0), number_from_cell("12,50")
    ((151.0, '151'), (12.5, '12,50'))
    """
    if isinstance(value, str):
        return parse_number(value, mark=mark, comma_seen=comma_seen, where=where), value.strip(_AROUND)
    if isinstance(value, bool):
        raise NumberRefused.of(
            told(str(value).lower()), "yes or no is no number", "type the number that was read", where
        )
    if value != value or value in {math.inf, -math.inf}:  # noqa: PLR0124 - only not-a-number is unlike itself
        raise _refused(str(value), mark, where)
    figures = _figures(value) if abs(value) < _HIGHEST else ""
    if not figures or len(figures) > LONGEST:
        raise NumberRefused.of(
            f"read a number of more than {LONGEST} figures",
            "no gauge shows such a number",
            "type the number that was read",
            where,
        )
    return float(value) + 0.0, figures


def _figures(value: float) -> str:
    """Return the shortest figures that are this number, without an exponent."""
    shortest = str(value) if isinstance(value, int) else repr(float(value) + 0.0)
    if "e" in shortest:
        from decimal import Decimal

        return format(Decimal(shortest), "f")
    return shortest.removesuffix(".0")


# ---------------------------------------------------------------------------------------------- what is told


def told(text: str) -> str:
    """
    Say what was read, fit for a message: quoted, shortened, with nothing in it that a terminal obeys.

    Parameters
    ----------
    text : str
        What a person or a file wrote.

    Returns
    -------
    str
        ``read "1_80"``, or ``nothing was written``.
    """
    shown = text.strip(_AROUND)
    if not shown:
        return "nothing was written"
    if len(shown) > LONGEST:
        shown = shown[: LONGEST - 3] + "..."
    return 'read "' + "".join(_visible(each) for each in shown) + '"'


def _visible(character: str) -> str:
    if character in BLANKS:
        return " "
    return character if character.isprintable() else ascii(character)[1:-1]


def _refused(text: str, mark: DecimalMark, where: str) -> NumberRefused:
    why, instead = _reason(text, mark)
    return NumberRefused.of(told(text), why, instead, where)


def _reason(text: str, mark: DecimalMark) -> tuple[str, str]:
    if not text:
        return "a number is needed here", "type a number such as 151"
    if len(text) > LONGEST:
        return f"a number here has at most {LONGEST} characters", "type the number that was read, such as 151"
    if text.casefold().lstrip(_SIGNS) in _NO_FIGURE or text.casefold() in _NO_FIGURE:
        return "this is not a number", "type the number that was read, or leave the place blank if nobody saw it"
    return _other_mark(text, mark) or _other_signs(text, mark) or _unlike_a_number(text, mark)


def _other_mark(text: str, mark: DecimalMark) -> tuple[str, str] | None:
    sign, digits = _split_sign(text)
    if mark is DecimalMark.POINT and (plain := _read(digits, DecimalMark.COMMA)) is not None:
        return "numbers were said to have a decimal point", f"type {sign}{plain}, or say --decimal comma"
    if mark is DecimalMark.COMMA and (plain := _read(digits, DecimalMark.POINT)) is not None:
        return (
            "numbers were said to have a decimal comma",
            f"type {sign}{plain.replace('.', ',')}, or say --decimal point",
        )
    return None


def _other_signs(text: str, mark: DecimalMark) -> tuple[str, str] | None:
    """Find the number that the text would be, had it been typed with the keys 0 to 9."""
    if any(each.isnumeric() and not each.isascii() for each in text):
        from unicodedata import decimal, normalize

        if any("\u2044" in normalize("NFKC", each) for each in text):
            return "a number is typed with the digits 0 to 9", "type 3.5, or for a length 3 1/2"
        meant = "".join(str(decimal(each, each)) for each in text)
        return "a number is typed with the digits 0 to 9", _type_this(meant, mark)
    if "_" in text:
        return "a number is digits with at most one decimal point", _type_this(text.replace("_", ""), mark)
    if found := _EXPONENT.fullmatch(text):
        from decimal import Decimal

        written_out = format(Decimal(found[1].replace(",", ".")).scaleb(int(found[2])), "f")
        if mark is DecimalMark.COMMA:
            written_out = written_out.replace(".", ",")
        return "a number is written without an exponent", _type_this(written_out, mark)
    return None


def _type_this(meant: str, mark: DecimalMark) -> str:
    """Offer a text only if it would be taken."""
    _, digits = _split_sign(meant)
    marks = (DecimalMark.POINT, DecimalMark.COMMA) if mark is DecimalMark.ASK else (mark,)
    readings = {plain for each in marks if (plain := _read(digits, each)) is not None}
    if len(readings) != 1 or len(meant) > LONGEST or _TWO_READINGS.fullmatch(digits):
        return "type the number that was read, such as 151"
    return f"type {meant}"


def _unlike_a_number(text: str, mark: DecimalMark) -> tuple[str, str]:
    if text[-1] in ".,":
        return "digits are missing after the decimal mark", _type_this(text[:-1], mark)
    if any(each.isalpha() for each in text):
        return "a number has no letters in it", "type the digits alone, such as 151"
    return "a number is digits with at most one decimal point", "type the number that was read, such as 151"
