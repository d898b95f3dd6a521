"""Colours can be told apart in grey and read on every ground, and none of them means anything alone."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest

from ringtrue.report.glyphs import printable
from ringtrue.report.palette import (
    ACCENT,
    HIGH,
    INK,
    LOOKS,
    LOW,
    PAPER,
    QUIET,
    SIZES,
    SMALLEST,
    TINTS,
    UNSURE,
    WASH,
    Tint,
)
from ringtrue.report.views import Mark

# The least contrast for text, WCAG 2.1, success criterion 1.4.3 (from memory): 4.5 to 1; 1.4.11: 3 to 1 for shapes.
TEXT, SHAPE = 4.5, 3.0


def luminance(colour: str) -> float:
    """Return relative luminance: what a grey printer sees (WCAG 2.1, definition of relative luminance, from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, from 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


# If this failed, the contrasts below would be worked out wrongly: black on white is 21 to 1 (as defined).
def test_the_yardstick() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


# If this failed, what is written on a field could not be read there, on paper or on a dark screen.
@pytest.mark.parametrize("mark", list(Mark))
def test_what_is_written_on_a_field_can_be_read(mark: Mark) -> None:
    look = LOOKS[mark]
    assert contrast(look.text.light, look.fill.light) >= TEXT
    assert contrast(look.text.dark, look.fill.dark) >= TEXT
    assert max(contrast(look.line.light, PAPER.light), contrast(look.fill.light, PAPER.light)) >= SHAPE


# If this failed, running text or a heading would be too pale to read.
@pytest.mark.parametrize("tint", [INK, QUIET, ACCENT, LOW, HIGH, UNSURE], ids=lambda tint: tint.name)
def test_text_can_be_read_on_its_grounds(tint: Tint) -> None:
    for ground in (PAPER, WASH):
        assert contrast(tint.light, ground.light) >= TEXT
        assert contrast(tint.dark, ground.dark) >= TEXT


# If this failed, a low cylinder would look like a high one, or like one in line, on a printer that only prints grey.
def test_low_stands_out_in_grey() -> None:
    for other in (Mark.IN_LINE, Mark.HIGH, Mark.CANNOT_TELL, Mark.NOT_READ):
        assert contrast(LOOKS[Mark.LOW].fill.light, LOOKS[other].fill.light) >= SHAPE


# If this failed, two places or two outcomes would differ by colour alone.
def test_every_mark_has_a_word_and_a_shape_of_its_own() -> None:
    marks = [mark for mark in Mark if mark]
    assert set(LOOKS) == set(Mark)
    for one, other in combinations(marks, 2):
        assert LOOKS[one].shape != LOOKS[other].shape
        assert one.value != other.value
    assert all(len(LOOKS[mark].shape) == 1 and printable(LOOKS[mark].shape) == LOOKS[mark].shape for mark in marks)


# If this failed, a colour in a drawing could not follow the screen into the dark, or two would be taken for one.
def test_every_colour_is_told_from_the_others() -> None:
    assert len({tint.light for tint in TINTS}) == len({tint.name for tint in TINTS}) == len(TINTS)
    assert {each for look in LOOKS.values() for each in (look.fill, look.line, look.text)} <= set(TINTS)


# If this failed, a sheet would be set in type that is too small to read on paper.
def test_no_type_is_too_small() -> None:
    assert min(SIZES.values()) >= SMALLEST >= 6.0


# If this failed, the record of what was decided would tell other colours or sizes than are printed.
def test_the_decision_record_tells_the_palette() -> None:
    told = (Path(__file__).parents[2] / "docs" / "decisions" / "printed-sheets.md").read_text(encoding="utf-8")
    assert [tint.name for tint in TINTS if f"| {tint.name} | {tint.light} | {tint.dark} |" not in told] == []
    assert [size for size in SIZES.values() if not re.search(rf"\b{size:g}\b", told)] == []
