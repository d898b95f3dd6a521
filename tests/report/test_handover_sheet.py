"""The hand-over sheet holds what an owner needs, and what a builder has to be able to defend."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta, timezone
from importlib.resources import files

import pytest
from tests.report.examples import CORRECTION, HEAD, PSI, SHEETS, handover_of, psi, sound, taken_on, weak_six
from tests.report.reading import pictures

from ringtrue import wording
from ringtrue.compression import CompressionTest, Kind, Pull, Reading
from ringtrue.engine import Limits
from ringtrue.errors import UnitRefused
from ringtrue.measure import Outcome, Place
from ringtrue.quantities import PaGauge
from ringtrue.report import HandOver, SheetContent, content, tables
from ringtrue.report.model import Facts, Finding, Fingerprint, Sentences, Signatures, Table
from ringtrue.report.texts import texts
from ringtrue.report.views import EngineView, Mark, RunningView
from ringtrue.units import Dimension, Unit, find_unit
from ringtrue.wording import cautions, deferral, pattern_words, source_text, title


def blocks(made: SheetContent, kind: type) -> list[object]:
    """Return the blocks of one kind."""
    return [each for section in made.sections for each in section.blocks if isinstance(each, kind)]


def table(made: SheetContent, caption: str) -> Table:
    """Return the table whose caption begins so."""
    found = [each for each in blocks(made, Table) if isinstance(each, Table) and each.caption.startswith(caption)]
    assert len(found) == 1, caption
    return found[0]


def column(found: Table, heading: str) -> list[str]:
    """Return the texts of one column."""
    at = [each.title for each in found.columns].index(heading)
    return [row[at].text for row in found.rows]


def all_of(made: SheetContent) -> str:
    """Return all texts of a sheet in one line."""
    return " ".join(texts(made))


WEAK = weak_six()
MADE = content(WEAK)


# If this failed, a sheet of a test that counts nowhere could pass for one that does.
def test_a_test_that_was_put_aside_says_so_first() -> None:
    made = content(replace(WEAK, put_aside="taken on the wrong engine"))
    first, second, *_ = blocks(made, Sentences)
    assert first == Sentences(("This test was put aside and counts nowhere: taken on the wrong engine.",), "lead")
    assert second == blocks(MADE, Sentences)[0]


# If this failed, the owner would not see which cylinder read what, how it compares, or what that means.
def test_every_cylinder_with_its_figures() -> None:
    found = table(MADE, "First stroke and final of every cylinder")
    assert column(found, "cylinder") == ["1", "2", "3", "4", "5", "6"]
    assert column(found, "first [psi]") == ["84", "85", "spoiled", "83", "63", "83"]
    assert column(found, "final [psi]") == ["150", "152", "151", "149", "113", "148"]
    # By hand: 84 / 150 = 0.56, 63 / 113 = 0.5575; mean 863 / 6 = 143.83.
    assert column(found, "first over final") == ["0.56", "0.56", "", "0.56", "0.56", "0.56"]
    assert column(found, "from mean [psi]") == ["+6.2", "+8.2", "+7.2", "+5.2", "\u221230.8", "+4.2"]
    assert column(found, "from mean [%]")[4] == "\u221221.4"
    assert column(found, "place") == ["in line"] * 4 + ["low", "in line"]
    assert [row[-1].mark for row in found.rows] == [*[Mark.IN_LINE] * 4, Mark.LOW, Mark.IN_LINE]


# If this failed, nobody could tell from the paper how the figures came about, pull by pull.
def test_running_figures_in_the_order_taken() -> None:
    found = table(MADE, "Pulls in the order taken")
    assert column(found, "cylinder") == ["1", "2", "3", "4", "5", "6", "1, again"]
    assert column(found, "final [psi]")[-1] == "149"
    # By hand: 150; (150 + 152) / 2 = 151; 453 / 3; 602 / 4 = 150.5; 715 / 5; 863 / 6 = 143.83; the drift pull in none.
    assert column(found, "mean [psi]") == ["150.0", "151.0", "151.0", "150.5", "143.0", "143.8", ""]
    view = next(each.shows for each in pictures(MADE) if isinstance(each.shows, RunningView))
    assert [pull.name for pull in view.pulls] == ["1", "2", "3", "4", "5", "6"]
    assert [round(pull.final) for pull in view.pulls] == [150, 152, 151, 149, 113, 148]
    assert view.pulls[-1].mean == pytest.approx(863 / 6)
    assert [at for at, _ in view.lines] == [1.0, 10.0]


# If this failed, a verdict would not name its rule, its limit or who made it.
def test_every_rule_with_outcome_value_limit_and_source() -> None:
    assert WEAK.judgement.dry is not None
    rules = WEAK.judgement.dry.rules
    found = table(MADE, "Every rule with its outcome")
    assert len(found.rows) == len(rules) >= 6
    for row, rule in zip(found.rows, rules, strict=True):
        outcome, name, value, limit, source = row
        assert outcome.text.startswith(rule.outcome)
        assert outcome.mark == Mark(rule.outcome)
        assert name.text == title(rule.rule)
        assert source.detail == source_text(rule.source)
        assert (value.text != "") == (rule.value is not None)
        assert (limit.text != "") == (rule.limit is not None)
        if rule.reason:
            assert rule.reason.lower() in found.note.lower()


# If this failed, the sheet's own limits, which come first, would be missing where the engine has some.
def test_the_engines_own_limits_stand_among_the_rules() -> None:
    own = Limits(minimum=PaGauge(120 * PSI), lowest_over_highest=0.8, adopt=("CT-07",))
    sheet = replace(SHEETS["inline 6"], limits=own)
    found = table(content(handover_of(taken_on(sheet, low=("5",)), sheet)), "Every rule with its outcome")
    names = [row[1].text for row in found.rows]
    assert [title(key) in names for key in ("sheet_minimum", "sheet_lowest_over_highest", "CT-07")] == [True] * 3


# If this failed, an owner would be told that something is wrong, and not what it means or what to do.
def test_what_it_means_and_what_to_check_next() -> None:
    found = [each for each in blocks(MADE, Finding) if isinstance(each, Finding)]
    assert WEAK.patterns
    assert len(found) == len(WEAK.patterns)
    unit_words = [pattern_words(each, _psi()).next_check for each in WEAK.patterns]
    assert [each.next_check for each in found] == [" ".join(words.split()) for words in unit_words]
    lead = next(each for each in blocks(MADE, Sentences) if isinstance(each, Sentences) and each.style == "lead")
    assert "Cylinder 5 is low" in lead.items[0]


def _psi() -> Unit:
    return find_unit("psi", Dimension.PRESSURE)


# If this failed, nobody could say later with which gauge and on what day the figures were taken.
def test_gauge_and_day() -> None:
    facts = {fact.label: fact.value for each in blocks(MADE, Facts) if isinstance(each, Facts) for fact in each.rows}
    assert facts["gauge"] == "shop gauge"
    assert facts["range"] == "0 to 300 psi"
    assert facts["smallest step"] == "2 psi"
    assert facts["grade or class"] == "B"
    assert facts["check valve"] == "plug end"
    assert (facts["altitude"], facts["oil"], facts["battery"]) == ("120 m", "80 C", "12.4 V")
    assert facts["not said"] == "barometer"
    assert WEAK.judgement.dry is not None
    assert all(note.lower().rstrip(".") in all_of(MADE).lower() for note in WEAK.judgement.dry.uncertainty_notes)


# If this failed, readings with oil or air would be taken and then not handed over.
def test_oil_and_air_where_taken() -> None:
    oil = table(MADE, "Dry and wet finals")
    assert column(oil, "dry final [psi]")[4] == "113"
    assert column(oil, "wet final [psi]")[4] == "145"
    # By hand: 145 / 113 = 1.283.
    assert column(oil, "wet over dry")[4] == "1.28"
    assert column(oil, "oil") == ["3 cc"] * 6
    air = table(MADE, "Leak-down readings")
    # By hand: (80 - 58) / 80 = 27.5 %; (80 - 75) / 80 = 6.25 %.
    assert column(air, "lost") == ["27.5 %", "6.3 %"]
    assert column(air, "restrictor") == ["0.040 in", "0.040 in"]
    assert [row[-1].mark for row in air.rows] == [Mark(each.outcome) for each in WEAK.judgement.leakdown]
    plain = content(sound(SHEETS["inline 6"]))
    assert not [each for each in blocks(plain, Table) if isinstance(each, Table) and "wet" in each.caption]


# If this failed, a reading could have been changed and the owner would not know.
def test_corrections() -> None:
    found = table(MADE, "Readings that were put right")
    (row,) = found.rows
    assert [cell.text for cell in row] == [
        "2",
        "dry final",
        "115 psi",
        "151 psi",
        CORRECTION.why,
        "J. Example, 2026-05-14",
    ]


# If this failed, an owner would have to read a computer's time stamp, or one of another clock than that on the wall.
@pytest.mark.parametrize(
    ("when", "told"),
    [
        ("2026-11-25T13:02:27.721856Z", "2026-11-25 15:32 UTC+02:30"),
        ("2026-05-14T09:30", "2026-05-14 09:30"),
        ("2026-05-14", "2026-05-14"),
        ("Tuesday", "Tuesday"),
        ("", ""),
    ],
)
def test_times_are_told_to_the_minute(when: str, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    half_past_two_ahead = timezone(timedelta(hours=2, minutes=30))
    monkeypatch.setattr(tables, "to_the_minute", lambda at: wording.to_the_minute(at, half_past_two_ahead))
    made = content(replace(WEAK, corrections=(replace(CORRECTION, who="", when=when),)))
    assert table(made, "Readings that were put right").rows[0][-1].text == told


# If this failed, whoever holds the paper could not check the record against it.
def test_the_head_of_the_chain_and_how_to_check_it() -> None:
    (found,) = blocks(MADE, Fingerprint)
    assert isinstance(found, Fingerprint)
    assert found.whole == HEAD
    assert found.short == "9f2c-41d0-77ab-03e9-5d1e"
    assert HEAD.startswith(found.short.replace("-", ""))
    assert found.command == "ringtrue book verify 0417-2026-05-14 --head 9f2c-41d0-77ab-03e9-5d1e"
    outside = content(replace(WEAK, test_id="", head=""))
    assert blocks(outside, Fingerprint) == []
    assert "in no record book" in all_of(outside)


# If this failed, the sheet would claim more than a tool may: it advises, others come first, and work can hurt.
def test_cautions_deferral_names_and_signatures() -> None:
    said = all_of(MADE)
    assert deferral() in said
    assert all(each.short.lower() in said.lower() for each in cautions(WEAK.sheet))
    (lines,) = blocks(MADE, Signatures)
    assert isinstance(lines, Signatures)
    assert [(each.label, each.value) for each in lines.lines] == [
        ("Builder", "J. Example"),
        ("Received by", "A. Owner"),
    ]
    facts = {each.label: each.value for each in MADE.facts}
    assert facts["date of the test"] == "2026-05-14"
    assert facts["run since the build"] == "500 mile"
    assert facts["owner"] == "A. Owner"
    assert MADE.shop == "Example Engine Works"


# If this failed, a cylinder that nobody read would be passed over in silence, or stand with a zero.
def test_what_was_not_read_is_said() -> None:
    sheet = SHEETS["V8"]
    made = content(handover_of(taken_on(sheet, missing=("R4",), spoiled=("L1",)), sheet))
    found = table(made, "First stroke and final of every cylinder")
    row = dict(zip((each.title for each in found.columns), found.rows[-1], strict=True))
    assert row["final [psi]"].text == "not read"
    assert row["place"].mark is Mark.NOT_READ
    assert row["from mean [psi]"].text == ""
    view = next(each.shows for each in pictures(made) if isinstance(each.shows, EngineView))
    assert view.stations[-1].mark is Mark.NOT_READ
    assert view.stations[-1].final == ""
    pulls = table(made, "Pulls in the order taken")
    assert pulls.rows[0][1].detail == "spoiled"


# If this failed, a shown figure would be on the other side of the limit that it is judged by.
def test_no_figure_is_rounded_over_a_limit() -> None:
    # By hand: finals 100.4, 100, 100, 79.96; mean 95.09; the low one is 15.91 % below it; lowest over highest 0.7964.
    # With 0.7499 of the highest, 0.75 would be the wrong side.
    finals = (100.0, 100.0, 100.0, 74.996)
    taken = tuple(
        Pull(cylinder=str(n), first=psi(0.4999 * final), final=psi(final)) for n, final in enumerate(finals, 1)
    )
    made = content(handover_of(CompressionTest(taken=taken), None))
    facts = {fact.label: fact.value for each in blocks(made, Facts) if isinstance(each, Facts) for fact in each.rows}
    assert float(facts["lowest over highest"]) < 0.75
    ratios = column(table(made, "First stroke and final of every cylinder"), "first over final")
    assert all(float(each) < 0.5 for each in ratios)


# If this failed, a shop that works in bar would hand over figures in psi, or figures in the wrong unit.
def test_figures_are_told_in_the_unit_that_is_asked_for() -> None:
    found = table(content(replace(WEAK, unit="bar")), "First stroke and final of every cylinder")
    # By hand: 150 psi is 150 x 0.06894757 = 10.342 bar.
    assert column(found, "final [bar]")[0] == "10.34"
    own = CompressionTest(
        taken=tuple(
            Pull(cylinder=str(n), final=Reading(PaGauge(value * 98066.5), f"{value:g}", "kg/cm2"))
            for n, value in enumerate((10.5, 10.6, 10.4), 1)
        )
    )
    read = table(content(handover_of(own, None)), "First stroke and final of every cylinder")
    assert column(read, "final [kg/cm2]") == ["10.5", "10.6", "10.4"]
    with pytest.raises(UnitRefused):
        content(replace(WEAK, unit="fathom"))


# If this failed, a series with oil alone, or a leak-down alone, could not be handed over.
@pytest.mark.parametrize("kinds", [(Kind.WET,), (Kind.LEAKDOWN,), ()])
def test_whatever_was_taken_can_be_handed_over(kinds: tuple[Kind, ...]) -> None:
    sheet = SHEETS["inline 4"]
    whole = taken_on(sheet, wet=True, leakdown=("1", "2"))
    taken = tuple(row for row in whole.taken if row.kind in kinds)
    made = content(handover_of(replace(whole, taken=taken), sheet))
    assert [each for each in pictures(made) if isinstance(each.shows, EngineView)]
    assert deferral() in all_of(made)


# If this failed, a place or an outcome that judging can find would stop the sheet from being made.
def test_every_place_and_outcome_has_a_mark() -> None:
    assert {Mark(each) for each in (*Place, *Outcome)} == set(Mark) - {Mark.NONE}


# If this failed, a program installed from its wheel could not print.
def test_templates_come_with_the_package() -> None:
    folder = files("ringtrue.report") / "templates"
    assert all((folder / name).is_file() for name in ("sheet.typ", "sheet.css", "sheet.html.j2"))


# If this failed, the facts of a sheet could be changed between being judged and being printed.
def test_facts_and_content_cannot_be_changed() -> None:
    for thing, name in ((WEAK, "head"), (MADE, "paper"), (MADE.sections[0], "title")):
        with pytest.raises(AttributeError):
            setattr(thing, name, "")
    assert isinstance(hash(MADE), int)
    assert isinstance(WEAK, HandOver)
