"""What does not fit into an engine's history is said in the same words, whichever way it comes in."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.journeys.conftest import Types

from ringtrue.errors import InputRefused
from ringtrue.shop.heading import read_date

TEST = '[test]\ndate = {date}\nrun_since_build = "{run}"\n'


def enter(types: Types, date: str, run: str, level: int, code: int = 0) -> str:
    """Enter a test of that day, or be refused; return what is said beside it."""
    Path("day.toml").write_text(TEST.format(date=date, run=run), encoding="utf-8")
    rows = "".join(f"{cylinder},{level + cylinder}\n" for cylinder in range(1, 7))
    Path("day.csv").write_text("cylinder,final [psi]\n" + rows, encoding="utf-8")
    said = types("enter day.csv --sheet launch-six.toml --test day.toml")
    assert said.code == code, said.err
    return said.err


# If this failed, a slip of a year or a digit would stand in an engine's history for ever without a word at the time.
# A counter that runs backwards may be a new counter, and is kept; a day that has not come is refused, as on the pages.
def test_a_test_that_is_entered(types: Types) -> None:
    assert "engine runs" not in enter(types, "2019-05-14", "500 mile", 150)
    assert "no engine runs backwards" in enter(types, "2020-05-14", "400 mile", 149)
    assert "has not come yet" in enter(types, "2999-05-14", "900 mile", 148, code=2)
    five = Path("launch-six.toml").read_text(encoding="utf-8").replace('"6"', '"7"')
    Path("launch-six.toml").write_text(five, encoding="utf-8")
    Path("day.csv").write_text("cylinder,final [psi]\n1,150\n2,151\n", encoding="utf-8")
    Path("day.toml").write_text(TEST.format(date="2021-05-14", run="800 mile"), encoding="utf-8")
    said = types("enter day.csv --sheet launch-six.toml --test day.toml")
    assert "cylinder 6: earlier tests of this engine have them" in said.err, said.err


# If this failed, a line of the log could lie before the tests that it came after.
def test_a_line_of_the_log(types: Types) -> None:
    enter(types, "2019-05-14", "500 mile", 150)
    assert types("event 0417 'oil change' --at '700 mile' --date 2019-06-01").err == ""
    assert "no engine runs backwards" in types("event 0417 'oil change' --at '300 mile' --date 2019-06-02").err
    early = types("event 0417 'oil change' --date 2999-06-02")
    assert (early.code, "has not come yet" in early.err) == (2, True)


# If this failed, a page would take a day that has not come.
def test_a_date_on_a_page() -> None:
    assert (read_date("2019-06-01"), read_date("")) == ("2019-06-01", "")
    with pytest.raises(InputRefused, match="hat day has not come yet"):
        read_date("2999-06-01")
