"""What ``ringtrue explain`` says whatever the odds are: the sheet's own minimum, and the reading to repeat hot."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.journeys.conftest import Types
from tests.journeys.test_explain import WEAK

AGAIN = "run the engine at least 3 min, and repeat the reading hot, at true top dead centre"
"""FAA AC 43.13-1B, 8-14 (DT-05), and DT-04 as it is quoted there: before anything is taken apart."""


def explained(types: Types, readings: str, words: str = "") -> str:
    """Explain a table; what is said, on one line."""
    Path("readings.csv").write_text(readings, "utf-8")
    said = types(f"explain readings.csv --sheet launch-six.toml {words}")
    assert said.code == 0, said.err
    return " ".join(said.out.split())


# If this failed, a builder would be told to open an engine on one cold reading, or to run it again for the same reading
# that he has already repeated, or for one that is not suspect (common practice: over 20 per cent is).
def test_a_suspect_leak_down_is_repeated_hot_first(types: Types) -> None:
    told = explained(types, WEAK)
    assert "Leak-down on cylinder 5 loses 37.5 %" in told
    assert told.count(AGAIN) >= 1
    assert "Leak-down on cylinder 5" in explained(types, WEAK, "--cylinder 5")
    assert "Leak-down on cylinder 5 loses" not in explained(types, WEAK, "--cylinder 3")
    assert "Leak-down on cylinder 5 loses" not in explained(types, WEAK.replace("80,50,", "80,76,"))


# If this failed, odds would be told of an engine that its own service data turn down, and not a word of that.
@pytest.mark.parametrize(("final", "said"), [("98", True), ("149", False)])
def test_the_sheets_own_minimum_is_told(types: Types, final: str, *, said: bool) -> None:
    told = explained(types, WEAK.replace("70,121,", f"70,{final},"))
    assert ("120 psi" in told) is said
