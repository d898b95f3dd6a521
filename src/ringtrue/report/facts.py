"""The facts that a sheet is made of."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.compression import CompressionTest, Expectation, Gauge
from ringtrue.diagnosis import Pattern
from ringtrue.diagnosis.explanation import Explanation
from ringtrue.engine import BuildSheet
from ringtrue.measure import Judgement
from ringtrue.report.course import Course
from ringtrue.report.model import Paper


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionShown:
    """
    A reading that was put right, as the record book keeps it.

    Parameters
    ----------
    cylinder : str
        Whose reading.
    kind : str
        "dry", "wet" or "leakdown".
    what : str
        Which figure: "final", "first".
    before, after : str
        What it was and what it is, with units; empty for nothing.
    why, who, when : str
        The reason given, by whom, and when.
    """

    cylinder: str
    kind: str
    what: str
    before: str
    after: str
    why: str
    who: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographShown:
    """
    A photograph that was chosen for the sheet.

    Parameters
    ----------
    cylinder : str
        Whose; empty for the whole engine.
    shows : str
        "plug", "gauge" or "other".
    note : str
        What was said of it; may be empty.
    when : str
        When the book took it.
    jpeg : bytes
        The picture, upright and as small as it is shown.
    width, height : int
        [pixel]
    """

    cylinder: str
    shows: str
    note: str
    when: str
    jpeg: bytes
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OverTime:
    """
    An engine beside its baseline, told and drawn.

    Parameters
    ----------
    sentences : tuple of str
        The first one says what became of it.
    course : Course or None
        Each cylinder beside its siblings; None where there is nothing to draw.
    """

    sentences: tuple[str, ...]
    course: Course | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPlan:
    """
    What a worksheet for pencil is made of.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    order : tuple of str
        Its cylinders in the order in which they are to be pulled, each once; empty for the sheet's own order.
    unit : str
        The unit in which readings are to be written; empty to leave it open.
    gauge : Gauge or None
        The gauge, where it is known which one will be used.
    sees : tuple of str
        What the test can see with it, in sentences; empty where nobody asked.
    shop_name, builder : str
        Whose sheet it is; empty leaves a line.
    paper : Paper
        What it is printed on.
    """

    sheet: BuildSheet
    order: tuple[str, ...] = ()
    unit: str = ""
    gauge: Gauge | None = None
    sees: tuple[str, ...] = ()
    shop_name: str = ""
    builder: str = ""
    paper: Paper = Paper.A4


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """
    What a hand-over sheet is made of.

    Parameters
    ----------
    test : CompressionTest
        What was done and read.
    judgement : Judgement
        What was made of it.
    patterns : tuple of Pattern
        What stands out in the readings, the most pressing first.
    sheet : BuildSheet or None
        The engine; None when nothing is known of it but its cylinders' names.
    expected : Expectation or None
        What the engine should show that day; None where that cannot be said.
    not_expected : str
        Why it cannot; empty where nobody asked.
    strokes : int or None
        Compression strokes after which the dry finals were read; None where nobody counted.
    unit : str
        The unit in which pressures are told; empty for that of the first final.
    test_id, head : str
        The test's name in the record book, and the head of its chain in hexadecimal; empty for a test that is in none.
    engine_name, engine_reference : str
        What the engine is called; empty for what the build sheet says.
    shop_name, builder, owner_name : str
        Who hands over to whom; empty leaves a line, or nothing for the owner.
    corrections : tuple of CorrectionShown
        In the order in which they were made.
    leak_areas : tuple of (float or None)
        Effective area of the leak behind each leak-down reading; None where it has none, empty where nobody worked it
        out. [m2]
    explanation : Explanation or None
        What may be behind it; None where nobody worked it out.
    note : str
        What was said before the test, for example at the checklists; empty for nothing.
    put_aside : str
        Why this test was put aside and counts nowhere; empty where it was not.
    photographs : tuple of PhotographShown
        Those chosen for the sheet, in the order in which they stand there.
    over_time : OverTime or None
        The engine beside its baseline; None where this is the baseline, or in no book.
    paper : Paper
        What it is printed on.
    """

    test: CompressionTest
    judgement: Judgement
    patterns: tuple[Pattern, ...] = ()
    sheet: BuildSheet | None = None
    expected: Expectation | None = None
    not_expected: str = ""
    strokes: int | None = None
    unit: str = ""
    test_id: str = ""
    head: str = ""
    engine_name: str = ""
    engine_reference: str = ""
    shop_name: str = ""
    builder: str = ""
    owner_name: str = ""
    corrections: tuple[CorrectionShown, ...] = ()
    leak_areas: tuple[float | None, ...] = ()
    explanation: Explanation | None = None
    note: str = ""
    put_aside: str = ""
    photographs: tuple[PhotographShown, ...] = ()
    over_time: OverTime | None = None
    paper: Paper = Paper.A4
