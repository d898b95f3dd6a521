"""``ringtrue judge`` and ``ringtrue enter``."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.cli import options

# As the book spells them, or as they are typed off the paper: no vowels, so that no word is taken for one.
_TEST_ID = re.compile(r"^[2-9b-df-hj-km-np-tv-xz]{4}[ -]?[2-9b-df-hj-km-np-tv-xz]{4}$", re.IGNORECASE)

if TYPE_CHECKING:
    from ringtrue.shop.judging import FileAndWords, Judged
    from ringtrue.shop.workplace import Workplace


def judge(
    file: options.Word,
    /,
    *,
    sheet: options.Sheet = None,
    test: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    confirm_unit: options.ConfirmUnit = False,
    json: options.AsJson = False,
    exit_code: options.ExitCode = False,
    book: options.BookPlace = None,
) -> int:
    """
    Judge a readings file, or a test of the record book.

    Parameters
    ----------
    file
        Readings file (CSV, XLSX, JSON), or a test's id.
    """
    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    words = file_and_words(
        place, file, sheet, test, gauge, unit=unit, decimal=decimal, encoding=encoding, confirm_unit=confirm_unit
    )
    found = judged_file_or_test(place, file, words)
    if names_a_test(file):
        note_unused(sheet=sheet, test=test, gauge=gauge, unit=unit)
    if json:
        from ringtrue.shop.as_json import judged

        show.as_json(judged(found))
    else:
        show.warnings(found.warnings)
        show.judged(found)
    return int(exit_code and found.breaks_a_limit)


def enter(
    file: options.Word,
    /,
    *,
    sheet: options.Sheet = None,
    test: options.TestFile = None,
    gauge: options.GaugeName = None,
    unit: options.UnitName = None,
    decimal: options.Decimal = "ask",
    encoding: options.Encoding = "",
    confirm_unit: options.ConfirmUnit = False,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> int:
    """
    Take a readings file into the record book, and print the test's id.

    Parameters
    ----------
    file
        Readings file (CSV, XLSX, JSON).
    """
    from ringtrue.cli import show
    from ringtrue.shop.entering import enter_file
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    words = file_and_words(
        place, file, sheet, test, gauge, unit=unit, decimal=decimal, encoding=encoding, confirm_unit=confirm_unit
    )
    with place.open_book() as opened:
        entered = enter_file(opened, words, who=this_person(place.settings, by), device=this_device())
    if json:
        show.as_json(
            {
                "test": entered.test_id,
                "head": entered.head,
                "readings": entered.readings,
                "already": entered.already,
                "warnings": list(entered.warnings),
            }
        )
        return 0
    show.warnings(entered.warnings)
    show.line(entered.test_id)
    again = (
        "the same file was entered before; nothing was added"
        if entered.already
        else f"{entered.readings} {'reading is' if entered.readings == 1 else 'readings are'} in the book"
    )
    show.remark(f"{again}. Next: ringtrue judge {entered.test_id}, or ringtrue report {entered.test_id} -o sheet.pdf")
    return 0


def file_and_words(
    place: Workplace,
    file: str,
    sheet: str | None,
    test: str | None,
    gauge: str | None,
    *,
    unit: str | None,
    decimal: str,
    encoding: str,
    confirm_unit: bool,
) -> FileAndWords:
    """
    Gather what was typed with a readings file.

    Parameters
    ----------
    place : Workplace
        The shop.
    file, sheet, test, gauge, unit, decimal, encoding, confirm_unit
        As typed.

    Returns
    -------
    FileAndWords
        For the shop.
    """
    from ringtrue.shop.judging import FileAndWords

    return FileAndWords(
        readings=Path(file),
        sheet=Path(sheet) if sheet else None,
        test=Path(test) if test else None,
        gauge=place.gauge_over_time(gauge or ""),
        unit=unit or "",
        usual_unit=place.settings.pressure,
        decimal=decimal,
        encoding=encoding,
        confirm_unit=confirm_unit,
        limits=place.settings.limits,
    )


def judged_file_or_test(place: Workplace, file: str, words: FileAndWords) -> Judged:
    """
    Judge what was named: a file when there is one of that name, else a test of the book.

    Parameters
    ----------
    place : Workplace
        The shop.
    file : str
        As typed.
    words : FileAndWords
        What was typed with it.

    Returns
    -------
    Judged
        What was found.

    Raises
    ------
    InputRefused
        There is neither, or it cannot be used.
    """
    from ringtrue.shop.entering import judge_recorded
    from ringtrue.shop.judging import judge_file

    if not names_a_test(file):
        must_be_a_file(file)
        return judge_file(words)
    with place.open_book(create=False) as book:
        return judge_recorded(book.test(file), place.settings.limits)


def note_unused(**said: str | None) -> None:
    """
    Tell which options have no effect on a test of the book.

    Parameters
    ----------
    **said : str or None
        What was typed, by option.
    """
    from ringtrue.cli import show

    unused = [f"--{option}" for option, value in said.items() if value]
    if unused:
        show.warnings(
            [f"a test of the book keeps its own sheet, day, gauge and unit; {' and '.join(unused)} changed nothing"]
        )


def must_be_a_file(file: str) -> None:
    """
    Refuse a word that is neither a file nor the id of a test.

    Parameters
    ----------
    file : str
        As typed; not of the form of an id.

    Raises
    ------
    NotInBook
        It names nothing, and does not look like a file.
    """
    from ringtrue.errors import NotInBook

    path = Path(file)
    if not path.suffix and path.name == file and not path.exists():
        why = "there is no file of that name, and no test has such an id"
        raise NotInBook.of(f"“{file}”", why, "name a readings file, or look for the test's id with ringtrue book list")


def names_a_test(file: str) -> bool:
    """
    Tell whether a word is the id of a test rather than a file.

    Parameters
    ----------
    file : str
        As typed.

    Returns
    -------
    bool
        True when there is no such file and the word has the form of an id.
    """
    return bool(_TEST_ID.match(file)) and not os.path.exists(file)  # noqa: PTH110 - a folder that is closed to us has none
