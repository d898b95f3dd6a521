"""``ringtrue gauge calibrate``, and tests that are read with a calibrated gauge."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.calibrated import FILE
from tests.journeys.at_the_engine import BEGUN
from tests.journeys.conftest import Types

from ringtrue.records import Book
from ringtrue.shop.gauge_history import know

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "schemas" / "judge.schema.json").read_text(encoding="utf-8"))
FACE = 'gauge add face-1 --range "300 psi" --resolution "1 psi" --grade B'
CALIBRATE = 'gauge calibrate points.csv --date 2026-03-01 --reference-uncertainty "0.4 psi"'
# Invented readings.
READINGS = "cylinder,first [psi],final [psi]\n1,95,150\n2,94,152\n3,93,150\n4,95,148\n5,80,124\n6,95,151\n"


def told(types: Types, command: str) -> Any:  # noqa: ANN401 - JSON is of any form
    said = types(f"{command} --json")
    assert said.code == 0, said.err
    return json.loads(said.out)


@pytest.fixture
def shop(types: Types, tmp_path: Path) -> Types:
    """Return a shop with a gauge, its calibration points and readings."""
    (tmp_path / "points.csv").write_text(FILE, encoding="utf-8")
    (tmp_path / "readings.csv").write_text(READINGS, encoding="utf-8")
    (tmp_path / "day.toml").write_text("[test]\ndate = 2026-05-14\n", encoding="utf-8")
    assert types(FACE).code == 0
    return types


# If this failed, a builder could not see what his gauge is worth, or what was made of his points.
def test_calibrate(shop: Types) -> None:
    said = shop(CALIBRATE)
    assert said.code == 0, said.err
    for words in (
        "10 points, 6 rising and 4 falling",
        "The next is due on 2027-03-01",
        "straight from point to point",
        "Between rising and falling the needle differs by 2.00 psi at most",
        "Grade B",
        ": met.",
        "Kept with gauge face-1",
    ):
        assert words in said.out
    (listed,) = told(shop, "gauge list")
    assert (listed["calibrated"], listed["due"]) == ("2026-03-01", "2027-03-01")
    found = told(shop, CALIBRATE)
    assert found["curve"][2] == pytest.approx({"shown": 123.0, "correction": -3.0})
    assert found["grade"]["outcome"] == "met"
    assert found["months"] == 12


# If this failed, last year's certificate, put in late to have it all together, would correct every test from here on.
def test_an_older_calibration_goes_into_the_history_only(shop: Types) -> None:
    older = CALIBRATE.replace("2026-03-01", "2025-02-01")
    assert shop(CALIBRATE).code == 0
    said = shop(older)
    assert said.code == 0, said.err
    assert "Kept in the history of gauge face-1" in said.out
    assert "its calibration of 2026-03-01, which is newer" in " ".join(said.out.split())
    (listed,) = told(shop, "gauge list")
    assert (listed["calibrated"], listed["due"]) == ("2026-03-01", "2027-03-01")
    with Book.open("book.db") as opened:
        told_of = [says for _, _, says in know(opened, "face-1").history]
    assert told_of[:2] == ["its calibration of 2026-03-01 counts on", "calibrated on 2025-02-01, 10 points"]
    assert shop(CALIBRATE.replace("2026-03-01", "2026-04-01")).code == 0
    (listed,) = told(shop, "gauge list")
    assert listed["calibrated"] == "2026-04-01"


# If this failed, a corrected figure would stand without a word of it, or what was read would be gone.
def test_what_is_judged_is_corrected_and_said_to_be(shop: Types) -> None:
    before = told(shop, "judge readings.csv --gauge face-1 --test day.toml")
    shop(CALIBRATE)
    after = told(shop, "judge readings.csv --gauge face-1 --test day.toml")
    jsonschema.validate(after, SCHEMA)
    jsonschema.validate(before, SCHEMA)
    assert before["correction"] is None
    assert [each["final_as_read"] for each in before["cylinders"]] == [None] * 6
    assert [each["final_as_read"] for each in after["cylinders"]] == pytest.approx([150, 152, 150, 148, 124, 151])
    assert after["cylinders"][0]["final"] == pytest.approx(147)
    assert after["correction"]["gauge"] == "face-1"
    assert after["correction"]["most"] == pytest.approx(-3)
    shown = shop("judge readings.csv --gauge face-1 --test day.toml").out
    assert "Readings are corrected by the calibration of gauge face-1 of 2026-03-01: finals by \u22123.00 psi." in shown
    assert "150.0 psi" in shown
    assert "147.0 psi" in shown


# If this failed, the means at the engine would not be those of the figures typed, and nobody would know why.
def test_a_pull_says_so(shop: Types) -> None:
    shop(CALIBRATE)
    said = shop("pull --sheet launch-six.toml --gauge face-1 --unit psi", BEGUN + "96 150\n97 152\ndone\n")
    assert "So far: mean 148.0 psi" in said.out
    assert "Corrected by \u22123.00 psi: calibration of 2026-03-01." in said.out
    again = shop("pull --sheet launch-six.toml --unit psi --book plain.db", BEGUN + "96 150\n97 152\ndone\n")
    assert "So far: mean 151.0 psi" in again.out
    assert "Corrected by" not in again.out


# If this failed, explaining or normalising would show corrected finals without a word of it.
def test_explain_and_normalise_say_so(shop: Types) -> None:
    shop(CALIBRATE)
    words = "finals read with gauge face-1 are corrected by its calibration of 2026-03-01"
    on = "readings.csv --gauge face-1 --test day.toml --sheet launch-six.toml"
    test = told(shop, f"enter {on}")["test"]
    for command in (f"explain {on}", f"explain {test}", f"normalise {on}", f"normalise {test}"):
        assert any(words in each for each in told(shop, command)["warnings"]), command
    assert not any(words in each for each in told(shop, "explain readings.csv")["warnings"])


# If this failed, a verdict that was given would change by itself, or the book would not say what was written.
def test_a_later_calibration_leaves_tests_as_they_were(shop: Types) -> None:
    early = told(shop, "enter readings.csv --gauge face-1 --test day.toml --sheet launch-six.toml")["test"]
    was = told(shop, f"judge {early}")
    shop(CALIBRATE)
    assert told(shop, f"judge {early}") == was
    Path("again.csv").write_text(READINGS.replace("124", "126"), encoding="utf-8")
    late = told(shop, "enter again.csv --gauge face-1 --test day.toml --sheet launch-six.toml")["test"]
    found = told(shop, f"judge {late}")
    assert found["correction"]["calibrated"] == "2026-03-01"
    assert found["cylinders"][0]["final"] == pytest.approx(147)
    written = told(shop, f"book show {late}")["readings"]
    assert [each["final"] for each in written] == ["150 psi", "152 psi", "150 psi", "148 psi", "126 psi", "151 psi"]
    said = shop(f"report {late} -o sheet.html")
    assert said.code == 0, said.err
    sheet = Path("sheet.html").read_text(encoding="utf-8")
    assert "final as read [psi]" in sheet
    assert "corrected by the calibration of gauge face-1" in sheet
    assert "2026-03-01, due 2027-03-01" in sheet
    document = told(shop, "book export -o all.json") and json.loads(Path("all.json").read_text(encoding="utf-8"))
    assert document["edition"] == 3
    shop("book import all.json --book other.db")
    assert told(shop, f"judge {late} --book other.db") == found


# If this failed, a builder would lose a calibration by correcting a hose volume, or keep that of another dial.
def test_described_anew(shop: Types) -> None:
    shop(CALIBRATE)
    said = shop(f'{FACE} --hose-volume "20 cc"')
    assert "it keeps its calibration of 2026-03-01" in said.err
    assert told(shop, "gauge list")[0]["calibrated"] == "2026-03-01"
    said = shop('gauge add face-1 --range "200 psi" --resolution "1 psi"')
    assert "the calibration of the old one counts no more" in said.err
    assert told(shop, "gauge list")[0]["calibrated"] == ""


# If this failed, trying a file out would change every test after it.
def test_only_show(shop: Types) -> None:
    said = shop(f"{CALIBRATE} --only-show")
    assert "Nothing was kept." in said.out
    assert told(shop, "gauge list")[0]["calibrated"] == ""


# If this failed, there would be no drawing for the folder in which certificates are kept, or one of something else.
def test_the_drawing(shop: Types) -> None:
    assert shop(f"{CALIBRATE} -o face-1.svg --only-show").code == 0
    drawn = Path("face-1.svg").read_text(encoding="utf-8")
    assert drawn.lstrip().startswith(("<svg", "<?xml"))
    assert Path("face-1.svg").stat().st_size > 5_000
    assert "name a file that ends in .svg" in shop(f"{CALIBRATE} -o face-1.png").err.lower()
    assert told(shop, "gauge list")[0]["calibrated"] == ""


# If this failed, a calibration would run for another time than was said.
def test_months(shop: Types) -> None:
    assert told(shop, f"{CALIBRATE} --months 6")["due"] == "2026-09-01"
    assert told(shop, CALIBRATE)["due"] == "2026-09-01"
    again = CALIBRATE.replace("2026-03-01", "2025-08-31")
    assert told(shop, f"{again} --months 18")["due"] == "2027-02-28"


MISUSE = (
    (f"{CALIBRATE} --gauge face-2", "The register has no such gauge. It has face-1"),
    (CALIBRATE.replace("2026-03-01", "2096-03-01"), "That is in the future"),
    (CALIBRATE.replace("2026-03-01", "soon"), "write year, month, day"),
    (f"{CALIBRATE} --months never", "a whole number of months from 1 to 120"),
    (CALIBRATE.replace("0.4 psi", "0.4"), "--reference-uncertainty"),
    (CALIBRATE.replace("0.4 psi", "0 psi"), "No reference is exact"),
    (CALIBRATE.replace("points.csv", "pints.csv"), "there is no such file"),
    (CALIBRATE.replace("points.csv", "readings.csv"), "a column “reference” is missing"),
    (f'{CALIBRATE} --temperature "20 psi"', "--temperature"),
)


# If this failed, a slip would end in a traceback, or in a calibration that nobody meant.
@pytest.mark.parametrize(("command", "says"), MISUSE)
def test_misuse(command: str, says: str, shop: Types) -> None:
    said = shop(command)
    assert said.code == 2
    assert says.casefold() in said.err.casefold(), said.err
    assert "Traceback" not in said.err
    assert told(shop, "gauge list")[0]["calibrated"] == ""


# If this failed, the gauge would be guessed where there are several, or asked for where there are none.
def test_which_gauge(shop: Types) -> None:
    shop('gauge add "long hose" --range "25 bar"')
    assert "the register has 2 gauges: face-1, long hose" in shop(CALIBRATE).err.lower()
    assert shop(f"{CALIBRATE} --gauge face-1").code == 0
    assert "there is no gauge in the register" in shop(f"{CALIBRATE} --book fresh.db").err.lower()


# If this failed, a gauge that nobody should trust would be trusted.
def test_what_weakens_it_is_said(shop: Types) -> None:
    said = shop("gauge calibrate points.csv --date 2026-03-01")
    assert "the reference's own uncertainty was not said" in said.err
    said = shop(CALIBRATE.replace("0.4 psi", "4 psi"))
    assert "common practice asks for four" in said.err
