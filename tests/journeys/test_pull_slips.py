"""The guided test, its answers mistyped: every slip is answered, and none of it reaches the book."""

from __future__ import annotations

import json

import pytest
from tests.journeys.at_the_engine import BEGUN, PULL, readings, told
from tests.journeys.conftest import Types


# If this failed, a slip of the finger would end the test or be taken for a reading. What to type stands in the answer.
@pytest.mark.in_part(3)
@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("", "A pull has a first and a final figure."),
        ("150", "A pull has a first and a final figure."),
        ("95 150 6 7", "A pull has a first and a final figure."),
        ("95 abc", '"abc"'),
        ("95/150", "A pull has a first and a final figure."),
        ("1_80 190", "ype 180"),
        ("nan 150", '"nan"'),
        ("95 inf", '"inf"'),
        ("-5 150", "-5"),
        ("95 -150", "-150"),
        ("\u0669\u0665 150", "\u0669\u0665"),
        ("1e2 150", "1e2"),
        ("150 95", "The needle holds the highest, so the final is never below the first."),
        ("s -", "A pull without its final says nothing."),
        ("s 60 150", "Type s60 150, or s- 60 150 when nobody saw the first."),
        ("s 5 10", "Type s5 10, or s- 5 10 when nobody saw the first."),
        ("95 150 152", "The strokes are a whole number from 1 to 40."),
        ("95 -", "A pull without its final says nothing."),
        ("95 150 0", "The strokes are a whole number from 1 to 40."),
        ("95 150 5.5", "The strokes are a whole number from 1 to 40."),
        ("1,234 1,300", "1,234"),
        ("95 150 bar", "bar"),
        ("95psi 150mm", "mm"),
        ("correct", "This engine does not have it."),
        ("correct 3", "has no dry pull of it"),
        ("correct 9", "This engine does not have it."),
        ("correct 1 soaked", "A pull is dry or wet"),
        ("correct drift", "No cylinder was pulled again at the end yet."),
        ("again", "This engine does not have it."),
        ("again 1", "That cylinder was not pulled yet."),
        ("again 9", "This engine does not have it."),
        ("again 1 96 151", "The figures are asked for on a line of their own. Type again 1."),
        ("correct 1 96 151", "its figures are asked for on a line of their own. Type correct 1"),
        ("skip 2", "This would leave out cylinder 1, which is asked for."),
        ("skip 2 no thread", "cylinder 2 is left out when it is asked for."),
        ("undo", "What is saved stays. Type correct and the cylinder."),
        ("wet", "The cylinder and the volume of oil are needed."),
        ("wet 1", "The cylinder and the volume of oil are needed."),
        ("wet 1 5", "5"),
        ("wet 1 0 cc", "A wet pull has some oil."),
        ("wet 1 5 psi", "psi"),
        ("wet 9 5 cc", "This engine does not have it."),
        ("wet 1 5 cc", "Pull cylinder 1 dry first, or skip it."),
        ("\ufffd5 150", "Some signs of that cannot be read."),
    ],
)
def test_a_slip_is_answered_with_what_to_type(types: Types, typed: str, answer: str) -> None:
    said = types(PULL, BEGUN + typed + "\n95 150\nstop\n")
    assert answer in " ".join(said.out.split())
    assert said.out.count("Cylinder 1 (1 of 6), first and final [psi]:") == 2
    assert [row["final"] for row in readings(types)] == ["150 psi"]


# If this failed, a reading that is typed before the lists are done would end as a remark on the sheet, and be lost.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("early", ["95 150", "- 150", "s60 150 6", "5,1 9,2", "150", "help"])
def test_a_reading_is_no_answer_to_a_list(types: Types, early: str) -> None:
    said = types(PULL, f"{early}\nok\nno\n{early}\nthrottle half open\n95 150\nstop\n")
    assert " ".join(said.out.split()).count("readings are asked for after it.") == 2
    assert told(types)["header"]["note"] == "Make it safe: throttle half open"
    assert [row["final"] for row in readings(types)] == ["150 psi"]


# If this failed, a question asked for by mistake could be left only by giving it figures, or by leaving the test.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("way", [["again 1"], ["wet 1 4 cc"], ["correct 1"], ["correct 1", "97 152"]])
@pytest.mark.parametrize("word", ["back", "Undo"])
def test_back_out_of_a_question(types: Types, way: list[str], word: str) -> None:
    said = types(PULL, BEGUN + "\n".join(["95 150", *way, word, "96 151", "stop"]) + "\n")
    assert "Nothing was written." in said.out
    test = told(types)
    assert [(row["cylinder"], row["kind"], row["final"]) for row in test["readings"]] == [
        ("1", "dry", "150 psi"),
        ("2", "dry", "151 psi"),
    ]
    assert test["corrections"] == []


# If this failed, a cylinder that was left out by mistake and put right would still be called left out.
def test_a_cylinder_left_out_by_mistake(types: Types) -> None:
    types(PULL, BEGUN + "skip 1 no thread\ncorrect 1\ns40 150\nit has one\ncorrect 1\nback\nstop\n")
    test = told(types)
    assert (test["readings"][0]["final"], test["readings"][0]["first_spoiled"]) == ("150 psi", True)
    (correction,) = test["corrections"]
    assert {"field": "note", "before": "no thread", "after": ""} in [
        {**change, "after": change["after"] or ""} for change in correction["changes"]
    ]


# If this failed, a slip within a correction, a repeat or a wet pull would lose the thread, or what was typed before.
def test_slips_inside_a_longer_answer(types: Types) -> None:
    slips = ["correct 1", "150 95", "abc", "97 152", "", "", "misread", "again 1", "1_50", "96 151", "wet 1 4 cc"]
    said = types(PULL, BEGUN + "95 150\n" + "\n".join([*slips, "- -", "99 158", "stop"]) + "\n")
    assert said.code == 0
    test = told(types)
    assert [(row["kind"], row["repeat"], row["first"], row["final"]) for row in test["readings"]] == [
        ("dry", None, "97 psi", "152 psi"),
        ("dry", 2, "96 psi", "151 psi"),
        ("wet", None, "99 psi", "158 psi"),
    ]
    assert [row["why"] for row in test["corrections"]] == ["misread"]


# If this failed, a correction that changes nothing would stand in the record, or end the test.
def test_a_correction_that_changes_nothing(types: Types) -> None:
    said = types(PULL, BEGUN + "95 150\ncorrect 1\n95 150\nnothing\n96 151\nstop\n")
    assert said.code == 0
    assert told(types)["corrections"] == []
    assert len(readings(types)) == 2


# If this failed, a builder could not leave at a question, or what he did before it would be lost.
@pytest.mark.in_part(5)
@pytest.mark.parametrize("word", ["stop", "STOP", "quit", "exit"])
@pytest.mark.parametrize(
    ("before", "saved"),
    [
        ([], 0),
        (["yes"], 0),
        (["yes", "yes"], 0),
        (["yes", "yes", "95 150", "correct 1"], 1),
        (["yes", "yes", "95 150", "correct 1", "95 151"], 1),
        (["yes", "yes", "95 150", "wet 1 5 cc"], 1),
        (["yes", "yes", "95 150", "0 1"], 1),
        (["yes", "yes", "95 150", "done"], 1),
        (["yes", "yes", *["95 150"] * 6], 6),
        (["yes", "yes", *["95 150"] * 6, "skip"], 7),
    ],
)
def test_stop_at_any_question(types: Types, word: str, before: list[str], saved: int) -> None:
    said = types(PULL, "\n".join([*before, word, "95 155"]) + "\n")
    assert said.code == 0
    assert "95 155" not in said.out
    if before[:2] == ["yes", "yes"]:
        test = told(types)
        assert (len(test["readings"]), test["finished"], test["corrections"]) == (saved, False, [])
    else:
        assert json.loads(types("book list --json").out) == []


# If this failed, kPa typed into a psi test would be believed, or a dead cylinder could not be entered.
def test_a_figure_that_is_hard_to_believe_is_asked_about(types: Types) -> None:
    said = types(PULL, BEGUN + "650 1030\nno\n95 150\n0 5\nperhaps\nyes\nstop\n")
    assert "1030 psi: A spark-ignition engine shows 40 to 400 psi on the starter." in said.out
    assert "This is yes or no." in said.out
    assert [row["final"] for row in readings(types)] == ["150 psi", "5 psi"]


# If this failed, an engine could be asked for by its name and refused under it, after all the lists were gone through.
@pytest.mark.parametrize("named", ["Launch six", "launch SIX", "0417"])
def test_an_engine_is_known_by_its_name(types: Types, named: str) -> None:
    types(PULL, BEGUN + "95 150\nstop\n")
    said = types("pull --unit psi", f"{named}\nno\n2\n{BEGUN}95 150\nstop\n")
    assert said.code == 0
    assert [row["engine"] for row in json.loads(types("book list --json").out)] == ["0417", "0417"]


# If this failed, "6 cylinders" would be an engine of two, and "six" of one that is called so.
def test_how_many_cylinders(types: Types) -> None:
    answers = "Mower\nsix\nsix cylinders\n1 to 6\n1 and 2\n6 cylinders\nyes\nyes\nstop\n"
    said = types("pull --unit psi", answers)
    assert "Cylinder 1 (1 of 6)" in said.out
    assert said.out.count("Type for example 6") == 4
    assert "Cylinder one (1 of 2)" in types("pull --unit psi", f"Other\none two\n{BEGUN}stop\n").out
