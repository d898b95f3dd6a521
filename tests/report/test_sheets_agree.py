"""The content, the page and the PDF of a sheet say the same, and are the same every time."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.report.examples import CORRECTION, SHEETS, handover_of, psi, sound, taken_on, weak_six
from tests.report.reading import outside_pictures, page, pdf, pdf_text, squeezed, tree

from ringtrue.compression import CompressionTest, Conditions, Pull
from ringtrue.report import Paper, WorkPlan, as_html, as_pdf, content, worksheet

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringtrue.report import SheetContent

ROOT = Path(__file__).resolve().parents[2]


def no_sheet() -> SheetContent:
    """Return the sheet of four readings of which nothing else is known."""
    taken = tuple(Pull(cylinder=str(number), final=psi(150 + number)) for number in range(1, 5))
    return content(replace(handover_of(CompressionTest(taken=taken), None), test_id="", head=""))


def much_wrong() -> SheetContent:
    """Return a sheet with low, high, missing and spoiled, many corrections, and no gauge."""
    sheet = SHEETS["V8"]
    test = taken_on(
        sheet, low=("L2",), high=("R3",), missing=("R4",), spoiled=("L1", "R1"), gauge=None, day=Conditions()
    )
    return content(replace(handover_of(test, sheet), corrections=(CORRECTION,) * 12, paper=Paper.LETTER))


def two_groups() -> SheetContent:
    """Return the sheet of an engine of which one bank reads lower."""
    sheet = SHEETS["flat 6"]
    return content(handover_of(taken_on(sheet, low=("2", "4", "6")), sheet))


CONTENTS: dict[str, Callable[[], SheetContent]] = {
    "weak six": lambda: content(weak_six()),
    "no sheet": no_sheet,
    "much wrong": much_wrong,
    "two groups": two_groups,
    "worksheet": lambda: worksheet(WorkPlan(sheet=SHEETS["V8"], unit="psi", builder="J. Example")),
    "worksheet, nothing known": lambda: worksheet(WorkPlan(sheet=SHEETS["radial 9"])),
    "single": lambda: content(sound(SHEETS["single"])),
    "radial 18": lambda: content(sound(SHEETS["radial 18"])),
    "V24": lambda: content(sound(SHEETS["V24"])),
    "inline 24": lambda: content(sound(SHEETS["inline 24"])),
}


@dataclass(frozen=True)
class Made:
    """One sheet in its three forms."""

    content: SheetContent
    html: str
    pdf: bytes


@pytest.fixture(scope="module", params=list(CONTENTS))
def made(request: pytest.FixtureRequest) -> Made:
    """Return one sheet after the other."""
    found: SheetContent = CONTENTS[request.param]()
    return Made(found, as_html(found), as_pdf(found))


# If this failed, the owner's PDF would lack a figure or a sentence that the builder saw.
def test_the_pdf_says_all_of_the_content(made: Made) -> None:
    text = pdf_text(made.pdf)
    assert [said for said in outside_pictures(made.content) if squeezed(said) not in text] == []


# If this failed, the page would lack a figure or a sentence that the PDF has.
def test_the_page_says_all_of_the_content(made: Made) -> None:
    text = squeezed(page(made.html).text)
    assert [said for said in outside_pictures(made.content) if squeezed(said) not in text] == []


# If this failed, two prints of one test could not be told to be the same paper.
def test_the_same_content_gives_the_same_bytes(made: Made) -> None:
    assert as_pdf(made.content) == made.pdf
    assert as_html(made.content) == made.html


# If this failed, a sheet printed elsewhere would be another file, and nobody could say why.
@pytest.mark.in_part(2)
@pytest.mark.parametrize("hash_seed", ["0", "4711"])
def test_another_process_gives_the_same_bytes(hash_seed: str, tmp_path: Path) -> None:
    code = (
        "import hashlib\n"
        "from ringtrue.report import as_html, as_pdf, content\n"
        "from tests.report.examples import weak_six\n"
        "made = content(weak_six())\n"
        "print(hashlib.sha256(as_pdf(made)).hexdigest(), hashlib.sha256(as_html(made).encode()).hexdigest())\n"
    )
    surroundings = {
        "PYTHONPATH": str(ROOT),
        "PYTHONHASHSEED": hash_seed,
        "TZ": "Asia/Tokyo",
        "MPLCONFIGDIR": str(tmp_path),
    }
    there = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        cwd=tmp_path,
        env=surroundings,
        capture_output=True,
        text=True,
        check=True,
    )
    here = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(ROOT)},
    )
    assert there.stdout == here.stdout != ""


# If this failed, a blind owner's reader would find no order, no headings and no pictures described.
# PDF/UA-1, ISO 14289-1 (from memory): marked, a language, a title that is shown, every figure with words for it.
def test_the_pdf_is_tagged(made: Made) -> None:
    reader = pdf(made.pdf)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]  # type: ignore[index]
    assert str(root["/Lang"]).startswith("en")  # type: ignore[index]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]  # type: ignore[index]
    assert reader.xmp_metadata is not None
    assert b"<pdfuaid:part>1</pdfuaid:part>" in reader.xmp_metadata.stream.get_data()
    kinds = [str(element.get("/S", "")) for element in tree(reader)]
    assert {"/Table", "/TH", "/TD", "/H1", "/Figure"} <= set(kinds)
    figures = [element for element in tree(reader) if element.get("/S") == "/Figure"]
    assert all(element.get("/Alt") for element in figures)


# If this failed, a PDF would tell when it was printed, which is no fact of the test, and differ every time.
def test_the_pdf_is_dated_as_the_test() -> None:
    meta = pdf(as_pdf(content(weak_six()))).metadata
    assert meta is not None
    assert meta.creation_date is not None
    assert meta.creation_date.date().isoformat() == "2026-05-14"
    assert pdf(as_pdf(no_sheet())).metadata.creation_date is None  # type: ignore[union-attr]


# If this failed, the sheet would not come out of the shop's printer as it stands on the screen.
# A4 is 210 mm by 297 mm (ISO 216), Letter 8.5 in by 11 in: from memory; points by hand, 72 to the inch of 25.4 mm.
@pytest.mark.parametrize(
    ("paper", "width", "height"), [(Paper.A4, 210 / 25.4 * 72, 297 / 25.4 * 72), (Paper.LETTER, 8.5 * 72, 11 * 72)]
)
def test_paper_sizes(paper: Paper, width: float, height: float) -> None:
    made = content(replace(weak_six(), paper=paper))
    for each in pdf(as_pdf(made)).pages:
        assert float(each.mediabox.width) == pytest.approx(width, abs=0.1)
        assert float(each.mediabox.height) == pytest.approx(height, abs=0.1)
    assert f"@page{{size:{paper};" in page(as_html(made)).style


# If this failed, the sheet would look other on a machine with other fonts.
def test_only_type_that_comes_with_the_program() -> None:
    names = set()
    for each in pdf(as_pdf(content(weak_six()))).pages:
        for font in each["/Resources"]["/Font"].values():  # type: ignore[index]
            names.add(str(font.get_object()["/BaseFont"]).partition("+")[2])
    assert names
    assert {name for name in names if not name.startswith(("LibertinusSerif", "DejaVuSans"))} == set()


# If this failed, an ordinary engine with nothing wrong would need more paper than one sheet, printed on both sides.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("name", ["single", "inline 4", "inline 6", "V8", "flat 6"])
@pytest.mark.parametrize("paper", list(Paper))
def test_a_usual_engine_takes_two_pages(name: str, paper: Paper) -> None:
    assert len(pdf(as_pdf(content(replace(sound(SHEETS[name]), paper=paper)))).pages) <= 2
    assert len(pdf(as_pdf(worksheet(WorkPlan(sheet=SHEETS[name], paper=paper)))).pages) <= 2
