"""Tests carried to agreed conditions, so that different days, heights and starters can be laid over one another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringtrue.compression import Conditions, Gauge, Kind
from ringtrue.engine import BuildSheet
from ringtrue.errors import Fault, InputRefused, RingtrueError
from ringtrue.history import Carried, Change
from ringtrue.shop.carried import STANDARD, OneTest, carry_together
from ringtrue.shop.expecting import option_of, together, typed_conditions
from ringtrue.shop.judging import FileAndWords, read_test
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit
from ringtrue.wording import calibrated_notes

if TYPE_CHECKING:
    from ringtrue.records import Book, Recorded


@dataclass(frozen=True, slots=True)
class CarriedTest:
    """
    A test, and what became of it.

    Parameters
    ----------
    of : OneTest
        The test.
    carried : Carried
        Its finals, carried.
    """

    of: OneTest
    carried: Carried


_DRAWS = 160
"""Draws behind the factors of the few tests that are named. [-]"""


@dataclass(frozen=True, slots=True)
class Normalised:
    """
    Tests of one engine, carried to the same conditions.

    Parameters
    ----------
    to : Conditions
        The agreed conditions; what is None stays as it was on each day.
    to_gauge : Gauge or None
        The gauge they are carried to; None when no gauge is known.
    tests : tuple of CarriedTest
        In the order in which they were named.
    changes : tuple of Change
        Every later one beside the first.
    warnings : tuple of str
        What the person should know of what was said.
    """

    to: Conditions
    to_gauge: Gauge | None
    tests: tuple[CarriedTest, ...]
    changes: tuple[Change, ...]
    warnings: tuple[str, ...] = ()

    @property
    def unit(self) -> Unit:
        """The unit in which pressures are told: that of the first test."""
        return gauge_unit(find_unit(self.tests[0].of.test.unit or "psi", Dimension.PRESSURE))

    @property
    def rebuilt(self) -> bool:
        """The tests stand under different build sheets."""
        return len({each.of.sheet_text for each in self.tests}) > 1


def normalise_file(words: FileAndWords, said: Mapping[str, str]) -> Normalised:
    """
    Carry the test of a readings file.

    Parameters
    ----------
    words : FileAndWords
        The file, its sheet and what is said with it.
    said : mapping of str to str
        The agreed conditions as they were typed, by the name of the field; empty ones are those of `STANDARD`.

    Returns
    -------
    Normalised
        The test, carried.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or the sheet lacks what it takes.
    InputRefused
        A file or a condition cannot be used, there is no sheet, or nothing dry was read.
    """
    refused: list[InputRefused] = []
    to, taken, warnings = STANDARD, None, tuple[str, ...]()
    try:
        to, warnings = _agreed(said, confirmed=words.confirm_unit)
    except InputRefused as error:
        refused.append(error)
    try:
        taken = read_test(words)
    except InputRefused as error:
        refused.append(error)
    if refused or taken is None:
        raise type(refused[0])(*(fault for error in refused for fault in error.faults))
    if taken.sheet is None:
        raise _no_sheet(words.readings.name)
    one = OneTest(words.readings.name, taken.test, taken.sheet, taken.sheet_text)
    return replace(_normalise((one,), to), warnings=(*taken.warnings, *warnings, *calibrated_notes(taken.test)))


def normalise_recorded(
    book: Book,
    ids: Sequence[str],
    sheet: tuple[BuildSheet, str] | None,
    said: Mapping[str, str],
    *,
    confirmed: bool = False,
) -> Normalised:
    """
    Carry tests of the book, and compare every later one with the first.

    Parameters
    ----------
    book : Book
        The record book.
    ids : sequence of str
        The tests, the baseline first.
    sheet : (BuildSheet, str) or None
        A sheet and its text for tests that were kept without one; the others keep their own.
    said : mapping of str to str
        As for `normalise_file`.
    confirmed : bool
        They are meant as they are, plausible or not.

    Returns
    -------
    Normalised
        The tests, carried.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or a sheet lacks what it takes.
    InputRefused
        A test is not in the book, is of another engine, has no sheet, or holds nothing dry.
    BookUnusable
        The book cannot be used.
    """
    to, warnings = _agreed(said, confirmed=confirmed)
    recorded = [book.test(test_id) for test_id in ids]
    _one_engine(recorded)
    tests = tuple(_of_book(each, sheet) for each in recorded)
    own = [each.test_id for each in recorded if each.sheet_text]
    if sheet is not None and own:
        warnings += (f"the sheet that was typed is left aside for {', '.join(own)}: kept with a sheet of its day",)
    return replace(_normalise(tests, to), warnings=(*warnings, *calibrated_notes(*(each.test for each in tests))))


def _agreed(said: Mapping[str, str], *, confirmed: bool) -> tuple[Conditions, tuple[str, ...]]:
    typed = typed_conditions(said, confirmed=confirmed)
    usual = STANDARD if typed.barometer is None else replace(STANDARD, altitude=None)
    return together(usual, typed)


def _one_engine(recorded: Sequence[Recorded]) -> None:
    first = recorded[0]
    seen: set[str] = set()
    for each in recorded:
        if each.header.engine != first.header.engine:
            raise InputRefused.of(
                f"test {each.test_id}",
                f"it is of another engine, {_engine(each)}; test {first.test_id} is of {_engine(first)}",
                f"name tests of one engine; ringtrue book list {first.header.engine} shows them",
            )
        if each.test_id in seen:
            raise InputRefused.of(
                f"test {each.test_id}", "it is named twice", "name each test once, the baseline first"
            )
        seen.add(each.test_id)


def _engine(recorded: Recorded) -> str:
    key, name = recorded.header.engine, recorded.header.engine_name
    return f"{key} ({name})" if name not in {"", key} else key


def _of_book(recorded: Recorded, sheet: tuple[BuildSheet, str] | None) -> OneTest:
    from ringtrue.intake import parse_sheet

    label = f"test {recorded.test_id}"
    if recorded.sheet_text:
        known, text = parse_sheet(recorded.sheet_text), recorded.sheet_text
    elif sheet is not None:
        known, text = sheet
        if recorded.header.engine not in {known.key, known.name}:
            raise InputRefused.of(
                "--sheet",
                f"it is the sheet of {known.name}, and the test is of {_engine(recorded)}",
                "name the sheet of that engine",
                label,
            )
    else:
        raise _no_sheet(label)
    return OneTest(label, recorded.test, known, text, recorded.test_id)


def _no_sheet(label: str) -> InputRefused:
    return InputRefused.of(
        label,
        "how a final moves with day, height and starter depends on the engine, and there is no build sheet",
        "say --sheet and the engine's build sheet",
    )


def _normalise(tests: Sequence[OneTest], to: Conditions) -> Normalised:
    gauge = next((each.test.gauge for each in tests if each.test.gauge is not None), None)
    for each in tests:
        _must_be_carried(each, to)
    found = carry_together(tests, gauge, to, draws=_DRAWS)
    carried = tuple(CarriedTest(*each) for each in zip(tests, found.tests, strict=True))
    return Normalised(to, gauge, carried, tuple(found.change(0, at) for at in range(1, len(tests))))


def _must_be_carried(one: OneTest, to: Conditions) -> None:
    from ringtrue.physics.cylinders import check

    series = one.test.series(Kind.DRY)
    if series is None or all(pull.final is None for pull in series.pulls):
        raise InputRefused.of(
            one.label,
            "no dry final was read, and it is the dry finals that are carried",
            "name a test with a dry series",
        )
    # What was agreed is looked at by itself, so that a fault in it is told of its option and not of the test's day.
    for conditions, agreed in ((to, True), (one.test.conditions, False)):
        try:
            check(one.sheet, None if agreed else one.test.gauge, conditions)
        except InputRefused as error:
            raise _placed(error, one.label, agreed=agreed) from None


def _placed(error: InputRefused, label: str, *, agreed: bool) -> RingtrueError:
    """Name the option of an agreed condition, or the test, that a fault stands in."""

    def place(fault: Fault) -> Fault:
        table, _, key = fault.where.partition(" ")
        if agreed and table == "[conditions]":
            return replace(fault, where=option_of(key))
        return fault.at(label) if fault.where else replace(fault, where=label)

    return type(error)(*(place(fault) for fault in error.faults))
