"""The guided test at the terminal, its answers piped in."""

from __future__ import annotations

import json
import re
import sqlite3
from itertools import accumulate, chain
from pathlib import Path
from typing import Any
from unittest.mock import Mock

import pytest
from tests.journeys.at_the_engine import BEGUN, PULL, readings, told
from tests.journeys.conftest import STORY, Types

import ringtrue.physics

ANSWERS = (STORY / "answers.txt").read_text("utf-8").splitlines()
# The same answers in the pieces that the book takes whole: what is cut off within a piece is asked for anew.
PIECES = [ANSWERS[:2], *([line] for line in ANSWERS[2:8]), ANSWERS[8:11], [ANSWERS[11]], ANSWERS[12:14]]
PIECES += [ANSWERS[14:16], [ANSWERS[16]], [ANSWERS[17]]]


def without_chance(test: dict[str, Any]) -> dict[str, Any]:
    """Return what does not depend on when and under which id a test was taken."""
    corrections = [{key: row[key] for key in row if key != "at"} for row in test["corrections"]]
    return {"readings": test["readings"], "corrections": corrections, "finished": test["finished"]}


# If this failed, the guided test would not take a whole test: a missed first, a spoiled one, a correction, drift, oil.
def test_a_whole_test(types: Types) -> None:
    assert [*chain(*PIECES)] == ANSWERS
    said = types(f"{PULL} --test may.toml --by 'J. Alder'", "\n".join(ANSWERS) + "\n")
    assert (said.code, said.err) == (0, "")
    assert "Cylinder 6 (6 of 6), first and final [psi]:" in said.out
    assert "So far: mean 144.2 psi, mean deviation 9.28 psi (6.44 % of the mean)." in said.out
    assert "Saved. The day's drift is -0.7 %." in said.out
    assert "[ ] Plugs gapped, and torqued by the service data." in said.out
    test = told(types)
    assert test["finished"] is True
    assert test["header"] | {"date": "2025-05-14", "by": "J. Alder", "oil": "78 C"} == test["header"]
    rows = test["readings"]
    assert [(row["cylinder"], row["kind"], row["first"], row["final"], row["drift"]) for row in rows] == [
        ("1", "dry", "96 psi", "150 psi", False),
        ("2", "dry", "95 psi", "149 psi", False),
        ("3", "dry", None, "151 psi", False),
        ("4", "dry", "40 psi", "150 psi", False),
        ("5", "dry", "70 psi", "121 psi", False),
        ("6", "dry", "96 psi", "149 psi", False),
        ("1", "dry", "95 psi", "149 psi", True),
        ("5", "wet", "88 psi", "147 psi", False),
        ("4", "wet", "101 psi", "158 psi", False),
    ]
    assert [row["first_spoiled"] for row in rows] == [False] * 3 + [True] + [False] * 5
    assert {row["strokes"] for row in rows} == {6}
    assert [row["oil"] for row in rows] == [None] * 7 + ["4 cc"] * 2
    (correction,) = test["corrections"]
    assert (correction["cylinder"], correction["why"]) == ("6", "read the line below the needle")
    assert correction["changes"] == [{"field": "final", "before": "139 psi", "after": "149 psi"}]


# If this failed, somebody who is called away in the middle would lose a reading, enter one twice, or end with another
# book than one who was left in peace. Cut after every line; then the rest, from the piece that was not whole.
@pytest.mark.in_part(4)
@pytest.mark.parametrize("cut", range(len(ANSWERS)))
def test_stopped_after_any_line_it_goes_on_where_it_was(types: Types, cut: int) -> None:
    first = types(PULL, "".join(f"{line}\n" for line in ANSWERS[:cut]))
    assert first.code == 0
    ends = list(accumulate(len(piece) for piece in PIECES))
    whole = sum(end <= cut for end in ends)
    rest = "".join(f"{line}\n" for line in chain(*PIECES[whole:]))
    if whole == 0:
        assert "nothing was recorded" in first.err
        assert types(PULL, rest).code == 0
    else:
        test = told(types)["test"]
        assert f"Go on with: ringtrue pull --go-on {test}" in first.err
        acknowledged = readings(types)
        assert len(acknowledged) == first.out.count("Saved")
        second = types(f"pull --go-on {test} --unit psi", rest)
        assert (second.code, second.err) == (0, "")
        if whole <= 6:
            assert f"Cylinder {whole} (" in second.out
            assert f"Cylinder {whole - 1} (" not in second.out
        if whole >= 8:
            assert readings(types)[: len(acknowledged)] == acknowledged
    cut_up = without_chance(told(types))
    types(f"{PULL} --book whole.db", "\n".join(ANSWERS) + "\n")
    (uncut,) = json.loads(types("book list --json --book whole.db").out)
    assert cut_up == without_chance(json.loads(types(f"book show {uncut['test']} --json --book whole.db").out))


# If this failed, a test without a build sheet would lose its place when it is broken off before or after it begins.
@pytest.mark.in_part(4)
@pytest.mark.parametrize("cut", range(9))
def test_without_a_sheet_stopped_after_any_line(types: Types, cut: int) -> None:
    answers = ["Mower", "2", "yes", "yes", "bar", "5.1 9.2", "5.0 9.3", "skip", "done"]
    assert types("pull", "".join(f"{line}\n" for line in answers[:cut])).code == 0
    # Before the first reading the book does not know the unit.
    left = {4: answers[4:], 5: answers[4:]}.get(cut, answers[cut:])
    rest = answers if cut < 4 else ["Mower", "yes", *left]
    said = types("pull", "".join(f"{line}\n" for line in rest))
    assert said.code == 0
    test = told(types)
    assert (test["finished"], [row["final"] for row in test["readings"]]) == (
        True,
        ["9.2 bar", "9.3 bar", None],
    )


# If this failed, the builder at the starter would wait after every pull for what the engine should show; it comes once,
# at the end.
def test_what_the_engine_should_show_waits_for_the_end(types: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    expect = Mock(wraps=ringtrue.physics.expect)
    monkeypatch.setattr("ringtrue.physics.expect", expect)
    types(PULL, BEGUN + "95 150\nshow\nwet 1 4 cc\n99 157\n" + "95 150\n" * 6 + "stop\n")
    assert expect.call_count == 0
    types(f"{PULL} --go-on last", "done\n")
    assert expect.call_count == 1


# If this failed, the pull at the end could not be put right, or the first pull would be changed in its place.
def test_drift_is_put_right(types: Types) -> None:
    said = types(PULL, BEGUN + "95 150\n" * 6 + "95 194\ncorrect drift\n95 149\nmisread\ndone\n")
    assert said.code == 0
    rows = readings(types)
    assert (rows[0]["final"], rows[6]["final"], rows[6]["drift"]) == ("150 psi", "149 psi", True)


# If this failed, oil would be put into an engine that it can lock.
def test_no_oil_in_a_compression_ignition_engine(types: Types, tmp_path: Path) -> None:
    (tmp_path / "d.toml").write_text(
        '[engine]\nname = "Pump"\nlayout = "single"\ncylinders = ["1"]\nignition = "compression"\n', "utf-8"
    )
    said = types("pull --sheet d.toml --unit psi", BEGUN + "200 400\nwet 1 5 cc\ndone\n")
    assert said.code == 0
    assert "Oil in a compression-ignition engine can lock or bend it." in " ".join(said.out.split())
    assert [row["kind"] for row in readings(types)] == ["dry"]


# If this failed, a dose that fills the chamber would go in without a question.
def test_too_much_oil_is_asked_about(types: Types) -> None:
    answers = BEGUN + "95 150\n" * 6 + "skip\nwet 1 20 cc\nno\nwet 1 4 cc\n99 157\ndone\n"
    said = types(PULL, answers)
    assert "20 cc is 23 % of the clearance volume; above 15 % it can lock the engine." in said.out
    assert [row["oil"] for row in readings(types) if row["kind"] == "wet"] == ["4 cc"]


# If this failed, a dry pull of a cylinder that still has oil in it would count as any other.
def test_a_dry_pull_after_oil_is_asked_about(types: Types) -> None:
    said = types(PULL, BEGUN + "95 150\nwet 1 4 cc\n99 157\nagain 1\nno\nagain 1\nyes\n96 152\nstop\n")
    assert said.out.count("Cylinder 1 was pulled with oil, which raises a dry reading.") == 2
    assert [(row["kind"], row["final"]) for row in readings(types)] == [
        ("dry", "150 psi"),
        ("wet", "157 psi"),
        ("dry", "152 psi"),
    ]


# If this failed, a cylinder left out would be asked for for ever, or stand as zero.
def test_a_cylinder_left_out(types: Types) -> None:
    said = types(PULL, BEGUN + "95 150\nskip plug seized\n" + "95 150\n" * 4 + "skip\ndone\n")
    assert said.code == 0
    row = readings(types)[1]
    assert (row["cylinder"], row["first"], row["final"]) == ("2", None, None)
    assert "Not read: cylinder 2" in said.out
    test = told(types)["test"]
    assert "plug seized" in types(f"book show {test}").out
    found = json.loads(types(f"judge {test} --json").out)
    assert (found["count"], found["not_read"]) == (5, ["2"])


# If this failed, the first that was left out could be pulled no more, or drift would be of a cylinder nobody read.
def test_drift_is_of_the_first_that_was_read(types: Types) -> None:
    said = types(PULL, BEGUN + "skip\n" + "95 150\n" * 5 + "again 1\n96 151\n95 149\ndone\n")
    assert said.code == 0
    rows = readings(types)
    assert [(row["cylinder"], row["final"]) for row in rows if row["drift"]] == [("2", "149 psi")]
    assert rows[6]["cylinder"] == "1"


# If this failed, a test that was given up half-way could not be closed.
def test_done_before_the_last_cylinder(types: Types) -> None:
    said = types(PULL, BEGUN + "95 150\n96 151\ndone\nno\ndone\nyes\n")
    assert said.code == 0
    assert (told(types)["finished"], len(readings(types))) == (True, 2)
    assert "Put it back" in said.out


# If this failed, a second pull of a cylinder would replace the first, or be refused.
def test_a_repeat_is_declared(types: Types) -> None:
    types(PULL, BEGUN + "95 150\nagain 1\n96 152\nagain 1\n97 151\ncorrect 1\n97 154\nmisread\nstop\n")
    assert [(row["cylinder"], row["repeat"], row["final"]) for row in readings(types)] == [
        ("1", None, "150 psi"),
        ("1", 2, "152 psi"),
        ("1", 3, "154 psi"),
    ]


# If this failed, a builder without a build sheet, in a shop that has settled nothing, could not take a test.
def test_without_a_sheet(types: Types) -> None:
    said = types("pull", "\nMower\n0\n25\n2\nno\noil is cold\nyes\nparsec\nbar\n5,1 9,2\n5.0 9.3\nskip\ndone\n")
    assert said.code == 0
    assert [row["final"] for row in readings(types)] == ["9,2 bar", "9.3 bar", None]
    test = told(types)
    assert test["header"]["note"] == "Make it comparable: oil is cold"
    assert json.loads(types(f"judge {test['test']} --json").out)["mean"] == pytest.approx(9.25)


# If this failed, a comma that can be read two ways would be guessed, or could not be settled as the answer asks.
@pytest.mark.parametrize(("mark", "final"), [("point", 1300.0), ("comma", 1.3)])
def test_a_decimal_comma_is_settled(types: Types, mark: str, final: float) -> None:
    asked = types("pull --sheet launch-six.toml --unit kPa", BEGUN + "1,034 1,300\nstop\n")
    assert f"--decimal {mark}" in asked.out
    types(f"pull --go-on last --unit kPa --decimal {mark}", "1,034 1,300\nyes\nstop\n")
    test = told(types)["test"]
    assert json.loads(types(f"judge {test} --json").out)["mean"] == pytest.approx(final)
    assert types("pull --decimal dot").code == 2


# If this failed, names with blanks in them could not be repeated, wetted, corrected or ordered.
def test_names_with_blanks(types: Types) -> None:
    names = "left 1, left 2, right 1, right 2"
    answers = ["Twin", names, "yes", "yes", "95 150", "96 151", "again right 2", "97 152", "correct right 2"]
    answers += ["97 153", "misread", "wet RIGHT 1 5 cc", "99 157", "correct right 1 wet", "99 158", "misread", "stop"]
    said = types('pull --unit psi --order "right 2, right 1 left 2, left 1"', "\n".join(answers) + "\n")
    assert "!" not in said.out
    assert [(row["cylinder"], row["kind"], row["repeat"], row["final"]) for row in readings(types)] == [
        ("right 2", "dry", None, "150 psi"),
        ("right 1", "dry", None, "151 psi"),
        ("right 2", "dry", 2, "153 psi"),
        ("right 1", "wet", None, "158 psi"),
    ]


# If this failed, the order of the test could not be the builder's own, could forget a cylinder, or the words would say
# another one.
def test_the_order_is_the_builders(types: Types) -> None:
    said = types(f'{PULL} --order "6 5 4-3,2 1"', BEGUN + "95 150\n" * 6 + "stop\n")
    assert "Cylinder 6 (1 of 6)" in said.out
    assert "Go in this order: 6, 5, 4, 3, 2, 1." in said.out
    assert "Pull cylinder 6 once more" in said.out
    for wrong, named in (("6 5 4 3 2", "6 5 4 3 2"), ("1 2 3 4 5 6 6", "1 2 3 4 5 6 6"), ("1 2 3 4 5 7", "“7”")):
        refused = types(f'{PULL} --new --order "{wrong}"', BEGUN)
        assert refused.code == 2
        assert named in refused.err


# If this failed, a test begun without a build sheet would be read against one that is not kept with it, and told
# otherwise a day later.
def test_a_test_keeps_the_sheet_it_was_begun_with(types: Types) -> None:
    types("pull --unit psi", f"0417\n8\n{BEGUN}95 150\nstop\n")
    said = types("pull --go-on last --sheet launch-six.toml", "wet 8 4 cc\nwet 1 20 cc\n99 158\nstop\n")
    assert said.code == 0
    assert "keeps no build sheet" in said.err
    assert "clearance volume, here" not in " ".join(said.out.split())
    assert [row["oil"] for row in readings(types)] == [None, "20 cc"]


# If this failed, a program that takes a test would read nothing where nothing was begun.
def test_json_of_a_test_that_never_began(types: Types) -> None:
    said = types("pull --json")
    assert (said.code, json.loads(said.out)) == (0, {"test": None, "finished": False, "head": None})


# If this failed, a builder who will not pull the first once more would be asked again each time he goes on, or could
# not pull it after all.
def test_a_drift_that_is_left_out(types: Types) -> None:
    types(PULL, BEGUN + "95 150\n" * 6 + "skip starter too hot\nstop\n")
    said = types(f"{PULL} --go-on last", "show\ndone\n")
    assert "once more" not in said.out
    assert "The day's drift" not in said.out
    test = told(types)
    assert (test["readings"][6]["drift"], test["readings"][6]["final"]) == (True, None)
    assert "starter too hot" in types(f"book show {test['test']}").out
    assert json.loads(types(f"judge {test['test']} --json").out)["drift"] is None
    assert types(f"report {test['test']} -o sheet.html").code == 0
    words = re.sub(r"<[^>]+>|\s+", " ", Path("sheet.html").read_text("utf-8")).split()
    assert "1, again dry starter too hot" in " ".join(words)
    after_all = types(PULL, BEGUN + "95 150\n" * 6 + "skip\ncorrect drift\n94 144\nit cooled\ndone\n")
    assert "read 150.0 psi in its turn and 144.0 psi at the end" in " ".join(after_all.out.split())


# If this failed, no drift at all would be told as one of 0.00 % in every interval.
def test_no_drift_is_told_as_none(types: Types) -> None:
    types('gauge add face --range "300 psi" --resolution "2 psi" --grade B')
    said = types(f"{PULL} --gauge face", BEGUN + "95 150\n" * 7 + "done\n")
    assert "Saved. No drift was seen." in said.out
    assert "No drift was seen: what was pulled again at the end read the same." in " ".join(said.out.split())
    assert "0.00 % is in every interval" not in said.out


# If this failed, "help" and "show" would be taken for readings.
def test_help_and_show(types: Types) -> None:
    said = types(PULL, BEGUN + "help\nshow\n95 150\nshow\nHELP\nstop\n")
    assert said.out.count("nobody saw the first") == 2
    assert "Nothing was read yet." in said.out
    assert "after cylinder" in said.out
    assert len(readings(types)) == 1


# If this failed, a test that nobody opened could be gone on with, or a new one begun over an open one unasked.
def test_going_on_is_asked_or_named(types: Types) -> None:
    assert types("pull --go-on 2222-2222").code == 2
    assert types("pull --go-on last").code == 2
    types(PULL, BEGUN + "95 150\n")
    (test,) = (row["test"] for row in json.loads(types("book list --json").out))
    asked = types(PULL, "no\nyes\nyes\nstop\n")
    assert f"Test {test} is open with 1 reading. Go on with it, yes or no?" in asked.out
    assert len(json.loads(types("book list --json").out)) == 2
    off_the_paper = test.replace("-", " ").upper()
    by_id = types(f"pull --go-on '{off_the_paper}' --order '6 5 4 3 2 1'", "96 151\nstop\n")
    assert "Cylinder 2 (2 of 6)" in by_id.out
    assert "the test keeps the order" in by_id.err
    assert types(f"pull --go-on {test} --new").code == 2
    assert types(PULL + " --new", BEGUN + "stop\n").code == 0
    assert len(json.loads(types("book list --json").out)) == 3
    types(f"pull --go-on {test}", "95 150\n" * 4 + "skip\ndone\n")
    assert types(f"pull --go-on {test}").code == 2


# If this failed, a book that another program holds would swallow a reading: it was typed, and stands nowhere.
def test_a_book_that_is_held_gives_the_reading_back(
    types: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ringtrue.records._place.WAIT_S", 0.2)
    types(PULL, BEGUN + "95 150\n")
    connection = sqlite3.connect(tmp_path / "book.db", isolation_level=None)
    connection.execute("BEGIN IMMEDIATE")
    said = types("pull --go-on last --unit psi", "96 151\n97 152\n")
    connection.execute("ROLLBACK")
    connection.close()
    assert said.code == 3
    assert "“96 151” was not acknowledged" in said.err
    assert "--go-on" in said.err
    assert "97 152" not in said.out
    assert len(readings(types)) == 1
    types("pull --go-on last --unit psi", "96 151\n")
    assert [row["final"] for row in readings(types)] == ["150 psi", "151 psi"]
