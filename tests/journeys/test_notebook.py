"""Years of notebooks come into the book: all of what is not there yet, or nothing. Every engine in them is invented."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from tests.journeys.conftest import Types

from ringtrue.records import Book, _bulk
from ringtrue.shop.notebook import bring_in, notebook_words
from ringtrue.shop.workplace import workplace

NOTEBOOK = (
    "Engine,Date,Miles,1,2,3,4,5,6,Notes\n"
    "0417,2019-05-14,500,150,151,149,150,152,150,after the build\n"
    "0417,2020-06-20,4200,149,150,149,150,151,149,\n"
    "Pump four,2018-03-01,,160,161,159,160,,,\n"
)


def told(types: Types, command: str, code: int = 0) -> Any:  # noqa: ANN401 - JSON is of any form
    said = types(f"{command} --json")
    assert said.code == code, said.err
    return json.loads(said.out)


def mapped(types: Types, text: str, *changes: tuple[str, str], name: str = "notes.csv") -> str:
    """Write a notebook and its proposed mapping, with some of it said otherwise; return what to type."""
    Path(name).write_text(text, encoding="utf-8")
    Path("map.toml").unlink(missing_ok=True)
    types(f"notebook look {name} -o map.toml")
    made = (
        Path("map.toml")
        .read_text(encoding="utf-8")
        .replace('unit = ""  # of pressures', 'unit = "psi"  # of pressures')
    )
    for before, after in changes:
        assert before in made
        made = made.replace(before, after)
    Path("map.toml").write_text(made, encoding="utf-8")
    return f"{name} --map map.toml"


# If this failed, looking would write, next year's file would need a second explanation, or the same file come in twice.
def test_look_bring_in_and_next_year(types: Types) -> None:
    types("sheet check launch-six.toml")
    assert types("enter june.csv --sheet launch-six.toml --test june.toml").code == 0
    Path("notes.csv").write_text(NOTEBOOK, encoding="utf-8")
    first = types("notebook bring-in notes.csv")
    assert first.code == 2
    assert "27 figures without a unit" not in first.out
    words = mapped(types, NOTEBOOK)
    said = types(f"notebook look {words}")
    assert said.code == 0, said.err
    for line in (
        "A row is one test",
        "“3” is the final of cylinder 3",
        "new to the book: 1 test",
        "Nothing is in the way",
    ):
        assert line in said.out
    assert len(told(types, "book list")) == 1
    looked = told(types, f"notebook look {words}")
    assert (looked["tests"], looked["readings"], looked["faults"]) == (3, 16, [])
    made = told(types, f"notebook bring-in {words} --by Alder")
    assert (made["tests"], made["readings"], made["new_engines"]) == (3, 16, 1)
    listed = told(types, "book list")
    assert [(each["engine"], each["date"], each["finished"]) for each in listed[1:]] == [
        ("Pump four", "2018-03-01", True),
        ("0417", "2019-05-14", True),
        ("0417", "2020-06-20", True),
    ]
    shown = told(types, f"book show {listed[2]['test']}")
    assert shown["header"]["brought in from"].startswith("notes.csv (")
    assert "row 2; by Alder on " in shown["header"]["brought in from"]
    assert (shown["header"]["note"], shown["header"]["build sheet"]) == ("after the build", "revision 1")
    again = told(types, "notebook bring-in notes.csv")
    assert (again["tests"], len(again["left_out"])) == (0, 3)
    Path("next.csv").write_text(NOTEBOOK + "Pump four,2021-02-03,,158,159,158,157,,,\n", encoding="utf-8")
    assert (made := told(types, "notebook bring-in next.csv"))["tests"] == 1, made
    assert types("book verify").code == 0
    for test in told(types, "book list"):
        assert types(f"judge {test['test']}").code == 0


# If this failed, one bad row would let the others in, or a person would be told of one fault at a time.
def test_one_fault_brings_nothing_and_every_fault_is_told(types: Types) -> None:
    bad = (
        NOTEBOOK + "0417,2099-01-01,9000,150,151,149,150,152,150,\n"
        "0417,2021-01-01,100,148,147,149,150,151,152,\nPump four,2019-01-01,,160,161,159,160,170,,\n"
    )
    words = mapped(types, bad)
    for command in ("look", "bring-in"):
        said = types(f"notebook {command} {words}")
        assert said.code == 2
        assert "row 5: 2099-01-01: That day has not come yet" in said.err
        assert "row 6: 100 mile on 2021-01-01" in said.err
        assert "no engine runs backwards" in said.err
        assert "row 7: cylinder 5" in said.err
        assert "its layout changed, or it is another engine" in said.err
    assert told(types, "book list") == []
    asked = bad.replace("0417,2099-01-01,9000,150,151,149,150,152,150,\n", "")
    words = mapped(types, asked, ("accept = []", 'accept = ["run", "cylinders"]'))
    assert told(types, f"notebook bring-in {words}")["tests"] == 5


# If this failed, an engine whose name was written in two ways would become two engines without a word.
def test_names_that_are_nearly_one(types: Types) -> None:
    text = (
        "engine,date,1,2\nLaunch six,2019-05-14,150,151\nlaunch 6,2020-05-14,149,150\nLaunch eight,2020-05-14,149,151\n"
    )
    words = mapped(types, text)
    warned = told(types, f"notebook look {words}")["warnings"]
    assert len(warned) == 1
    assert "launch 6 would be new, and there is Launch six" in warned[0]
    words = mapped(types, text, ("[engines]", '[engines]\n"launch 6" = "Launch six"'))
    made = told(types, f"notebook bring-in {words}")
    assert (made["warnings"], made["new_engines"]) == ([], 2)
    assert [each["date"] for each in told(types, "book list 'Launch six'")] == ["2019-05-14", "2020-05-14"]


# If this failed, a line of [engines] that was copied from the advice would not be a line.
def test_what_is_told_can_be_copied(types: Types) -> None:
    text = "engine,date,1,2\nFerry six,2019-05-14,150,151\nFerry six,2020-05-14,150,152\nFerry sx,2021-05-14,149,151\n"
    words = mapped(types, text)
    (warned,) = told(types, f"notebook look {words}")["warnings"]
    line = '"Ferry sx" = "Ferry six"'
    assert warned.endswith(line)
    words = mapped(types, text, ("[engines]", f"[engines]\n{line}"))
    assert told(types, f"notebook look {words}")["warnings"] == []
    assert "Engine Ferry sx of the notebook is Ferry six." in types(f"notebook look {words}").out
    for name, typed in (("near.csv", "near.csv"), ("my years.csv", "'my years.csv'")):
        Path(name).write_text(text.replace("1,2", "1 [psi],2 [psi]", 1), encoding="utf-8")
        first = f"ringtrue notebook look {typed} -o map.toml"
        assert first in " ".join(types(f"notebook look {typed}").out.split())
        assert first in " ".join(types(f"notebook bring-in {typed}").err.split())
        Path("map.toml").unlink()
        types(first.removeprefix("ringtrue "))
        looked = types(f"notebook look {typed} --map map.toml").out
        assert f"ringtrue notebook bring-in {typed} --map map.toml" in " ".join(looked.split())


# If this failed, cells in which nothing was read would be counted as readings.
def test_what_was_read_is_counted(types: Types) -> None:
    words = mapped(types, "engine,date,1,2,3\nFerry six,2019-05-14,150,-,n/a\nSaloon,2019-05-14,150,nil,\n")
    assert "2 tests with 2 readings." in types(f"notebook look {words}").out
    assert told(types, f"notebook look {words}")["readings"] == 2
    assert told(types, f"notebook bring-in {words}")["readings"] == 2
    words = mapped(types, "engine,date,1,2,3\nFerry six,2020-05-14,150,-,\n")
    said = types(f"notebook bring-in {words}")
    assert "Brought in: 1 test with 1 reading; engines new to the book: 0." in said.out


# If this failed, the hours of a test that is in the book without them would be left out, and nobody would know.
def test_what_a_test_that_is_left_out_has_more(types: Types) -> None:
    plain = "engine,date,{}1,2,notes\nFerry six,2019-05-14,{}150,151,{}\n"
    assert told(types, f"notebook bring-in {mapped(types, plain.format('', '', ''))}")["tests"] == 1
    (test,) = (each["test"] for each in told(types, "book list"))
    command = more = ""
    for hours, typed in (("20", "'20 h'"), ('"1,500"', "'1500 h'")):
        more = mapped(types, plain.format("hours,", f"{hours},", "after a rain"), ('decimal = ""', 'decimal = "point"'))
        (left,) = told(types, f"notebook look {more}")["left_out"]
        command = f"book correct {test} --run {typed} --why 'it stands in the notebook'"
        assert f"is not in the book: ringtrue {command} puts it there" in left
        assert left.endswith("; its note, “after a rain”, is not in the book")
    assert types(command).code == 0
    (left,) = told(types, f"notebook look {more}")["left_out"]
    assert "what it had run" not in left
    twice = "engine,date,hours,1,2\nSaloon,2019-05-14,,150,151\nSaloon,2019-05-14,20,150,151\n"
    (left,) = told(types, f"notebook look {mapped(types, twice)}")["left_out"]
    assert left.endswith("row 2; what it had run, 20 h, is not in row 2: write it there too")


# If this failed, what was allowed for one file would be allowed for all, or one engine's name be given to the next.
def test_what_holds_for_one_file_is_asked_again(types: Types) -> None:
    text = "date,hours,1,2\n2019-05-14,500,150,151\n2020-05-14,20,150,149\n"
    said = ('engine = ""', 'engine = "Ferry six"'), ("accept = []", 'accept = ["run"]')
    words = mapped(types, text, *said, ("leave_rows = []", 'leave_rows = ["mean"]'))
    first = types(f"notebook bring-in {words}")
    assert "held for this file alone" in first.out
    Path("next.csv").write_text(text.replace("2019", "2021"), encoding="utf-8")
    again = types("notebook bring-in next.csv")
    assert again.code == 2
    assert 'write engine = "Launch six" in the mapping' in again.err.replace("Write", "write")
    assert "ringtrue notebook look next.csv -o map.toml" in " ".join(again.err.split())
    looked = types("notebook look next.csv -o again.toml")
    assert (looked.code, "remembered from the last file" in looked.out) == (2, True)
    kept = Path("again.toml").read_text(encoding="utf-8")
    assert "accept = []" in kept
    assert 'leave_rows = ["mean"]' in kept
    assert "Rows named mean are left out." in looked.out


# If this failed, what is not going to come in as it stands would look as if it were.
def test_headings_say_what_stands_below(types: Types) -> None:
    once = "Saloon,2019-05-14,150,151\n"
    words = mapped(types, f"engine,date,1,2\n{once}{once}Saloon,2099-01-01,150,149\n")
    said = types(f"notebook look {words}").out
    assert "What would come in, once that is put right\n" in said
    assert "Left out, in the book or in this file already\n" in said
    words = mapped(types, f"engine,date,1,2\n{once}{once}")
    assert "What would come in\n" in types(f"notebook look {words}").out
    assert "Left out, in the book or in this file already: 1 test." in types(f"notebook bring-in {words}").out


# If this failed, a test that was typed in twice would be two tests, or one that differs would be dropped in silence.
def test_twice_in_the_file_and_nearly_twice(types: Types) -> None:
    once = "A,2019-05-14,150,151,149\n"
    words = mapped(types, f"engine,date,1,2,3\n{once}B,2019-05-14,150,151,149\n{once}")
    looked = told(types, f"notebook look {words}")
    assert (looked["tests"], looked["left_out"]) == (2, ["row 4: A on 2019-05-14 is there already, row 2"])
    near = f"engine,date,1,2,3\n{once}A,2019-05-14,150,151,139\n"
    words = mapped(types, near)
    said = types(f"notebook look {words}")
    assert said.code == 2
    why = "Row 2 is a test of the same engine and day, and most of its readings are the same"
    assert f"row 3: A on 2019-05-14: {why}" in said.err
    for answer, count in (("leave out", 1), ("bring in", 2)):
        words = mapped(types, near, ('nearly_same = ""', f'nearly_same = "{answer}"'))
        assert told(types, f"notebook look {words}")["tests"] == count


# If this failed, what was put aside as wrong would keep the right figures out of the book, or come back by itself.
def test_a_test_that_was_put_aside_is_in_nobodys_way(types: Types) -> None:
    words = mapped(types, NOTEBOOK)
    assert types(f"notebook bring-in {words}").code == 0
    [wrong] = [each["test"] for each in told(types, "book list 'Pump four'")]
    assert types(f"book put-aside {wrong} --why 'another engine'").code == 0
    said = types(f"notebook look {words}")
    assert f"is there already, test {wrong} of the book, put aside: another engine" in " ".join(said.out.split())
    words = mapped(types, NOTEBOOK.replace("160,161,159,160", "160,161,159,158"))
    assert told(types, f"notebook bring-in {words}")["tests"] == 1


# If this failed, build sheets in a folder would not be filed, or a cylinder that an engine does not have would come in.
def test_build_sheets_of_a_folder(types: Types) -> None:
    Path("sheets").mkdir()
    Path("launch-six.toml").rename("sheets/launch-six.toml")
    words = mapped(types, "engine,date,1,2,7\nLaunch six,2019-05-14,150,151,149\n")
    said = types(f"notebook look {words} --sheets sheets")
    assert said.code == 2
    assert "cylinder 7: The build sheet knows cylinders 1, 2, 3, 4, 5, 6 alone" in said.err
    words = mapped(types, "engine,date,1,2,3\nLaunch six,2019-05-14,150,151,149\n")
    assert told(types, f"notebook bring-in {words} --sheets sheets")["tests"] == 1
    (test,) = told(types, "book list")
    assert (test["engine"], test["name"]) == ("0417", "Launch six")
    assert told(types, f"book show {test['test']}")["header"]["build sheet"] == "revision 1"


# If this failed, a slip on the command line would end in the program's own words.
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("look nowhere.csv", "here is no such file"),
        ("look june.toml", "ts format is not known"),
        ("look empty.csv", "he file is empty"),
        ("look words.csv", "no row of it has two headings that are known|o row of it has two headings that are known"),
        ("look june.csv --map nowhere.toml", "here is no such file"),
        ("look june.csv --map june.csv", "it is not written as TOML|t is not written as TOML"),
        ("bring-in june.csv --sheets nowhere", "here is no such folder"),
        ("bring-in good.csv", "obody has seen yet how its columns are understood"),
    ],
)
def test_misuse(types: Types, typed: str, said: str) -> None:
    Path("empty.csv").write_text("\n", encoding="utf-8")
    Path("words.csv").write_text("dear diary\ntoday it rained\n", encoding="utf-8")
    Path("good.csv").write_text("engine,date,1 [psi],2 [psi]\nA,2019-05-14,150,151\n", encoding="utf-8")
    answered = types(f"notebook {typed}")
    assert answered.code == 2
    assert any(each in answered.err for each in said.split("|")), answered.err
    assert "Traceback" not in answered.err


# If this failed, a power cut or a full disk in the middle would leave some years in the book and others out of it.
@pytest.mark.parametrize("table", ["chains", "tests", "entries"])
def test_a_fault_in_the_middle_leaves_nothing(types: Types, table: str, monkeypatch: pytest.MonkeyPatch) -> None:
    mapped(types, NOTEBOOK)
    whole = _bulk._insert

    def torn(connection: Any, into: Any, rows: Any) -> None:  # noqa: ANN401 - whatever is handed on
        whole(connection, into, rows[: len(rows) // 2] if into.name == table else rows)
        if into.name == table:
            raise KeyboardInterrupt

    monkeypatch.setattr(_bulk, "_insert", torn)
    words = notebook_words(Path("notes.csv"), Path("map.toml"))
    with Book.open("book.db") as book:
        with pytest.raises(KeyboardInterrupt):
            bring_in(book, workplace(), words, who="Alder", device="bench")
        monkeypatch.setattr(_bulk, "_insert", whole)
        assert (book.tests(), book.engines(), book.verify()) == ((), (), ())
        assert bring_in(book, workplace(), words, who="Alder", device="bench").tests == 3


# If this failed, a process that was killed would leave half a notebook.
def test_killed_while_it_comes_in(types: Types, *, soaking: bool) -> None:
    many = 600 if soaking else 240
    days = [f"{2000 + n // 120}-{n // 10 % 12 + 1:02d}-{n % 10 + 1:02d}" for n in range(many)]
    lines = [f"Engine {n % 9},{day},{150 + n % 7},151,{140 + n % 11}" for n, day in enumerate(days)]
    words = mapped(
        types, "engine,date,1,2,3\n" + "\n".join(lines) + "\n", ('nearly_same = ""', 'nearly_same = "bring in"')
    )
    total = told(types, f"notebook look {words}")["tests"]
    assert total == many
    draw = random.Random(5)
    seen = set()
    book = Path("killed.db")
    Book.open(book).close()
    command = [sys.executable, "-m", "ringtrue", "notebook", "bring-in", *words.split(), "--book", str(book)]
    began = time.monotonic()
    subprocess.run([*command[:-1], "whole.db"], check=True, capture_output=True)
    took = time.monotonic() - began
    for _ in range(10 if soaking else 2):
        child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            child.wait(draw.uniform(0.3, 1.0) * took)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
        with Book.open(book) as opened:
            seen.add(opened.count_tests())
            assert opened.verify() == ()
    assert seen <= {0, total}


# If this failed, a mapping that somebody put right line by line would be gone because the notebook was looked at again.
def test_a_mapping_never_takes_the_place_of_another(types: Types) -> None:
    mapped(types, NOTEBOOK)
    kept = Path("map.toml").read_text(encoding="utf-8")
    said = types("notebook look notes.csv -o map.toml")
    assert said.code == 2
    assert "there is one of that name already" in " ".join(said.err.lower().split())
    assert Path("map.toml").read_text(encoding="utf-8") == kept
    assert types("notebook look notes.csv -o other.toml").code == 2  # written, and the unit is still asked for
    assert Path("other.toml").exists()
