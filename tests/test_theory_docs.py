"""The pages of the theory say what the code does."""

from __future__ import annotations

import re
from pathlib import Path

from tests.test_physics_expecting import DAY, EIGHT, GAUGE

from ringtrue.compression import Conditions
from ringtrue.physics.inputs import inputs_of

PAGE = Path(__file__).parents[1] / "docs" / "theory" / "expecting.md"


# If this failed, an input would move the level with nobody told how far it is trusted, or the page would speak of one
# that no longer exists.
def test_every_input_stands_in_the_table_of_ranges() -> None:
    table = set(re.findall(r"^\| `(\w+)` \|", PAGE.read_text("utf-8"), flags=re.MULTILINE))
    known = {each.key for each in inputs_of(EIGHT, GAUGE, DAY)} | {
        each.key for each in inputs_of(EIGHT, None, Conditions())
    }
    assert table == known
