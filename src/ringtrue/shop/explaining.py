"""Explain a readings file, or any test that was taken: which cause, how sure, and which check next."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

from ringtrue.compression import CompressionTest, Kind
from ringtrue.diagnosis import PatternKey, patterns
from ringtrue.diagnosis.causes import Practice
from ringtrue.diagnosis.explanation import CylinderExplanation, Explanation
from ringtrue.engine import BuildSheet
from ringtrue.errors import BookUnusable, CannotExpect, CannotExplain, Fault, InputRefused, NotInBook
from ringtrue.measure import Outcome, judge
from ringtrue.shop.expecting import must_be_a_drawing
from ringtrue.shop.judging import FileAndWords, read_test
from ringtrue.shop.workplace import write_file
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit
from ringtrue.wording import Explained, again_sentence, calibrated_notes, loss_text, pattern_words, rule_sentence

if TYPE_CHECKING:
    from ringtrue.records import Book, Recorded

WHOLE = 1e-9
"""How far the odds of one cylinder, or of the engine, may be from a sum of 1. [-]"""

MOST_EARLIER = 10
"""How many earlier tests of an engine are looked at, the latest ones. [-]"""

AS_BUILT = 0.03
"""
An earlier final says how a cylinder was built where it lay this close to the median of its engine (a choice of this
program: three times what sound cylinders usually differ); further off it had a fault, which may be mended since. [-]
"""

_FEWEST = 2
"""Cylinders that an earlier test has to say something of."""


@dataclass(frozen=True, slots=True)
class ExplainedTest:
    """
    A test, and what may be behind it.

    Parameters
    ----------
    test : CompressionTest
        What was taken.
    sheet : BuildSheet or None
        The engine, when it is known.
    found : Explanation
        Facts and odds.
    practice : Practice
        What was taken for granted.
    not_used : str
        Why the model could not use the sheet, as a sentence; empty where it could, or where there is none.
    test_id : str
        Its id in the book; empty for a file.
    earlier : tuple of str
        Ids of the earlier tests that were looked at.
    warnings : tuple of str
        What the person should know of the file.
    """

    test: CompressionTest
    sheet: BuildSheet | None
    found: Explanation
    practice: Practice
    not_used: str = ""
    test_id: str = ""
    earlier: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def unit(self) -> Unit:
        """The unit in which pressures are told: that of the first final."""
        return gauge_unit(find_unit(self.test.unit or "psi", Dimension.PRESSURE))

    def words(self, only: str = "") -> Explained:
        """
        Return the explanation in words.

        Parameters
        ----------
        only : str
            Tell one cylinder alone; empty for all.

        Returns
        -------
        Explained
            Sentences.

        Raises
        ------
        NotInBook
            There is no such cylinder.
        """
        if only:
            self.cylinder(only)
        return Explained(self.found, self.unit, self.sheet, only)

    def beside_odds(self, only: str = "") -> tuple[str, ...]:
        """
        Tell what holds whatever the odds are.

        Parameters
        ----------
        only : str
            Tell one cylinder alone; empty for all.

        Returns
        -------
        tuple of str
            The engine's own minimum where it is not kept, or where the gauge cannot tell; of a cylinder alone what that
            means and what to check; and a leak-down reading that is to be repeated hot before anything is taken apart.
        """
        judgement = judge(self.test, sheet=self.sheet)
        dry, told = judgement.dry, []
        minimum = next((rule for rule in dry.rules if rule.rule == "sheet_minimum"), None) if dry else None
        about = minimum is not None and only in {"", minimum.cylinder}
        if (
            dry is not None
            and minimum is not None
            and about
            and minimum.outcome in {Outcome.NOT_MET, Outcome.TOO_CLOSE}
        ):
            told.append(rule_sentence(minimum, self.unit))
            low = (each for each in patterns(judgement, self.test, self.sheet) if each.key is PatternKey.ALL_LOW)
            for found in low if dry.count == 1 else ():
                words = pattern_words(found, self.unit, self.sheet)
                told += filter(None, (words.means, f"Check next: {words.next_check}", words.caution))
        last = {row.cylinder: row for row in judgement.leakdown}
        read = Counter(row.cylinder for row in judgement.leakdown)
        for name, row in last.items() if not only else [(only, last[only])] if only in last else []:
            again = again_sentence(row) if read[name] == 1 else ""
            told += [f"Leak-down on cylinder {name} loses {loss_text(row)}. {again}"] if again else []
        return tuple(told)

    def cylinder(self, name: str) -> CylinderExplanation:
        """
        Find a cylinder.

        Parameters
        ----------
        name : str
            Its name.

        Returns
        -------
        CylinderExplanation
            What was found of it.

        Raises
        ------
        NotInBook
            There is no such cylinder.
        """
        for each in self.found.cylinders:
            if each.cylinder == name:
                return each
        names = ", ".join(each.cylinder for each in self.found.cylinders)
        raise NotInBook.of(f"--cylinder {name}", "this test has no such cylinder", f"name one of {names}")


def explain_file(words: FileAndWords, practice: Practice) -> ExplainedTest:
    """
    Explain a readings file.

    Parameters
    ----------
    words : FileAndWords
        The file and what is said with it.
    practice : Practice
        What the shop takes for granted.

    Returns
    -------
    ExplainedTest
        What may be behind it.

    Raises
    ------
    InputRefused
        One of the files cannot be used; all their faults are told at once.
    CannotExplain
        The odds cannot be worked out.
    """
    taken = read_test(words)
    return replace(
        explain_test(taken.test, taken.sheet, practice), warnings=(*taken.warnings, *calibrated_notes(taken.test))
    )


def explain_recorded(book: Book, test_id: str, practice: Practice) -> ExplainedTest:
    """
    Explain a test of the book, with the sheet of its day and what was sound in earlier tests that were taken under it.

    Parameters
    ----------
    book : Book
        The record book.
    test_id : str
        The test.
    practice : Practice
        What the shop takes for granted.

    Returns
    -------
    ExplainedTest
        What may be behind it.

    Raises
    ------
    NotInBook
        There is no such test.
    SheetRefused
        The sheet that was entered with it cannot be used.
    CannotExplain
        The odds cannot be worked out.
    BookUnusable
        The book cannot be used.
    """
    from ringtrue.intake import parse_sheet

    recorded = book.test(test_id)
    sheet = parse_sheet(recorded.sheet_text) if recorded.sheet_text else None
    before, warnings = _before(book, recorded)
    made = explain_test(recorded.test, sheet, practice, tuple(before.values()))
    return replace(
        made, test_id=recorded.test_id, earlier=tuple(before), warnings=(*warnings, *calibrated_notes(recorded.test))
    )


def _before(book: Book, recorded: Recorded) -> tuple[dict[str, CompressionTest], list[str]]:
    """Find what was sound in tests opened before this one, of the same engine under the same sheet."""
    of_engine = book.tests(recorded.header.engine)
    ids = [each.test_id for each in of_engine if not each.put_aside or each.test_id == recorded.test_id]
    found: dict[str, CompressionTest] = {}
    warnings: list[str] = []
    for test_id in reversed(ids[: ids.index(recorded.test_id)]):
        if len(found) == MOST_EARLIER:
            break
        try:
            earlier = book.test(test_id)
        except BookUnusable:
            warnings.append(f"the earlier test {test_id} is damaged and left aside; see ringtrue book verify")
            continue
        if earlier.sheet_text == recorded.sheet_text and (as_built := _as_built(earlier.test)) is not None:
            found[test_id] = as_built
    return dict(reversed(found.items())), warnings


def _as_built(test: CompressionTest) -> CompressionTest | None:
    """Keep of an earlier test the cylinders that were sound then; None where that leaves none to compare."""
    series = judge(test).dry
    finals = {} if series is None else {each.cylinder: each.final for each in series.cylinders if each.final}
    if len(finals) < _FEWEST:
        return None
    middle = median(finals.values())
    sound = {name for name, final in finals.items() if abs(final / middle - 1) <= AS_BUILT}
    kept = tuple(row for row in test.taken if row.cylinder in sound and row.kind is Kind.DRY)
    return replace(test, taken=kept) if len(sound) >= _FEWEST else None


def explain_test(
    test: CompressionTest, sheet: BuildSheet | None, practice: Practice, earlier: Sequence[CompressionTest] = ()
) -> ExplainedTest:
    """
    Explain a test that is in hand.

    Parameters
    ----------
    test : CompressionTest
        What was taken.
    sheet : BuildSheet or None
        The engine; one that the model cannot use is no error: the cylinders are then compared with one another.
    practice : Practice
        What the shop takes for granted.
    earlier : sequence of CompressionTest
        Earlier tests of the same engine.

    Returns
    -------
    ExplainedTest
        What may be behind it.

    Raises
    ------
    CannotExplain
        The odds cannot be worked out.
    """
    import ringtrue.diagnosis

    not_used = _why_not(sheet, test)
    found = ringtrue.diagnosis.explain(test, sheet, practice=practice, earlier=tuple(earlier))
    check_odds(found)
    return ExplainedTest(test, sheet, found, practice, "" if found.with_sheet else not_used)


def _why_not(sheet: BuildSheet | None, test: CompressionTest) -> str:
    """Say why the model cannot be asked about an engine; empty where it can."""
    if sheet is None:
        return ""
    from ringtrue.physics.cylinders import check

    try:
        check(sheet, test.gauge, test.conditions)
    except CannotExpect as cannot:
        return str(cannot).replace("\n", " ")
    except InputRefused:
        return ""
    return ""


def check_odds(found: Explanation) -> None:
    """
    Refuse odds that are none, before anybody reads them.

    Parameters
    ----------
    found : Explanation
        What is to be shown.

    Raises
    ------
    CannotExplain
        A probability is not a number from 0 to 1, or those that exclude one another do not sum to 1.
    """
    faults = []
    for each in found.cylinders:
        alone = [odd.probability for odd in each.also] + [each.answer.probability]
        sums = [[odd.probability for odd in each.causes]] if each.causes else []
        sums += [[odd.probability for odd in step.causes] for step in each.steps]
        factors = [why.factor for why in each.because]
        if not (_are_odds(alone, *sums) and all(map(_sum_to_one, sums)) and all(f >= 0 for f in factors)):
            faults.append(f"cylinder {each.cylinder}")
    engine = [each.probability for each in found.engine]
    if not (_are_odds(engine, [each.probability for each in found.banks]) and (not engine or _sum_to_one(engine))):
        faults.append("the whole engine")
    for check in found.next:
        results = [result.probability for result in check.results]
        if not (_are_odds(results, [result.then for result in check.results]) and math.isfinite(check.gain)):
            faults.append(f"the check {check.check}")
    if faults:
        raise CannotExplain(
            Fault(
                ", ".join(faults),
                "the odds of the causes do not come to a whole, and odds that are none are not shown",
                "look through the readings for a figure that cannot be; ringtrue judge goes on without odds",
            )
        )


def _are_odds(*groups: Iterable[float]) -> bool:
    return all(math.isfinite(each) and 0 <= each <= 1 + WHOLE for group in groups for each in group)


def _sum_to_one(probabilities: Sequence[float]) -> bool:
    return abs(math.fsum(probabilities) - 1) <= WHOLE


def write_causes(made: ExplainedTest, path: Path, only: str = "") -> None:
    """
    Draw the cylinders in plan with the share of each cause, or how each reading moved the odds of one cylinder.

    Parameters
    ----------
    made : ExplainedTest
        The explanation.
    path : Path
        Ends in ``.svg``.
    only : str
        The one cylinder; empty for the engine in plan.

    Raises
    ------
    NotInBook
        There is no such cylinder.
    CannotWrite
        The file does not end so, or cannot be written.
    """
    from ringtrue.report.causes_figure import causes_svg, causes_view
    from ringtrue.report.moved_figure import moved_svg, moved_view

    must_be_a_drawing(path)
    engine = made.sheet.name if made.sheet else f"Test {made.test_id}" if made.test_id else "This engine"
    if only:
        svg = moved_svg(moved_view(made.cylinder(only), made.unit, engine), "moved")
    else:
        svg = causes_svg(causes_view(made.found, made.sheet, engine), "causes")
    write_file(path, svg.encode())
