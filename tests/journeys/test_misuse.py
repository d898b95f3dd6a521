"""Every way to mistype a command: an exit code, plain words, and nothing of Python."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from tests.journeys.conftest import Types

# What is typed, the exit code, and a word that the answer has to mention.
MISTYPED = [
    ("judgement june.csv", 2, "judgement"),
    ("judge", 2, "file"),
    ("judge june.csv more.csv", 2, "more.csv"),
    ("judge nowhere.csv", 2, "nowhere.csv"),
    ("judge .", 2, "folder"),
    ("judge june.csv --sheets launch-six.toml", 2, "--sheets"),
    ("judge june.csv --sheet nowhere.toml", 2, "nowhere.toml"),
    ("judge june.csv --sheet june.csv", 2, "TOML"),
    ("judge june.csv --sheet", 2, "--sheet"),
    ("judge june.csv --test june.csv", 2, "TOML"),
    ("judge june.csv --test launch-six.toml", 2, "“engine”"),
    ("judge june.csv --unit parsec", 2, "parsec"),
    ("judge june.csv --unit kPa", 2, "kPa"),
    ("judge june.csv --unit mm", 2, "mm"),
    ("judge june.csv --decimal dot", 2, "dot"),
    ("judge june.csv --gauge nobody", 2, "nobody"),
    ("judge june.csv --encoding klingon", 2, "klingon"),
    ("judge june.csv --confirm-unit=perhaps", 2, "perhaps"),
    ("judge launch-six.toml", 2, "launch-six.toml"),
    ("judge 2222-2222", 3, "book"),
    ("judge june.csv --book nowhere://x", 0, ""),
    ("enter june.csv", 2, "--sheet"),
    ("enter nowhere.csv --sheet launch-six.toml", 2, "nowhere.csv"),
    ("enter june.csv --sheet launch-six.toml --book nowhere://x", 2, "nowhere"),
    ("enter june.csv --sheet launch-six.toml --book .", 3, "."),
    ("report june.csv -o june.docx", 2, "june.docx"),
    ("report june.csv -o june.pdf --paper A3", 2, "A3"),
    ("report 2222-2222 -o x.pdf", 3, "book"),
    ("report nowhere.csv -o x.pdf", 2, "nowhere.csv"),
    ("report june.csv -o launch-six.toml/x.pdf", 2, "x.pdf"),
    ("plan", 2, "sheet"),
    ("plan nowhere.toml", 2, "nowhere.toml"),
    ('plan launch-six.toml --order "1 2 3"', 2, "1 2 3"),
    ('plan launch-six.toml --order "1 2 3 4 5 7"', 2, "7"),
    ("plan launch-six.toml -o plan.txt", 2, "plan.txt"),
    ("plan launch-six.toml --paper B5 -o plan.pdf", 2, "B5"),
    ("sheet", 0, ""),
    ("sheet show", 2, "file"),
    ("sheet show june.csv", 2, "TOML"),
    ("sheet check nowhere.toml", 2, "nowhere.toml"),
    ("sheet new launch-six.toml", 2, "launch-six.toml"),
    ("pull --sheet nowhere.toml", 2, "nowhere.toml"),
    ("pull --go-on 2222-2222", 2, "2222-2222"),
    ("pull --sheet launch-six.toml --gauge nobody", 2, "nobody"),
    ("pull --sheet launch-six.toml --unit parsec", 2, "parsec"),
    ("gauge add", 2, "name"),
    ('gauge add x --range "300"', 2, "300"),
    ('gauge add x --range "300 mm"', 2, "mm"),
    ("gauge add x --grade B", 2, "range"),
    ('gauge add x --range "300 psi" --grade Q', 2, "Q"),
    ('gauge add x --range "300 psi" --resolution="-2 psi"', 2, "-2"),
    ('gauge add x --check-valve "in the middle"', 2, "in the middle"),
    ('gauge add x --repeatability "80 %"', 2, "80 %"),
    ("gauge remove x", 2, "remove"),
    ("settings set shop.nome x", 2, "shop.nome"),
    ("settings set units.pressure parsec", 2, "parsec"),
    ("settings set sheet.paper A3", 2, "A3"),
    ("settings set limits.mean_deviation_target often", 2, "often"),
    ("settings set limits.mean_deviation_target 400", 2, "400"),
    ("settings set limits.no_such_rule 4", 2, "no_such_rule"),
    ("book show 2222-2222", 3, "book"),
    ("book backup", 2, "file"),
    ("book import nowhere.json", 2, "nowhere.json"),
    ("book restore nowhere.db", 2, "nowhere.db"),
    ("book correct 2222-2222 1", 3, "book"),
    ('event 0417 "oil change" --at "700 parsec"', 2, "parsec"),
    ("event 0417", 2, "text"),
    ("book verify 2222-2222 --head 1234", 3, "book"),
]


# If this failed, a slip of the finger would be answered with a page of Python, with the wrong code, or with silence.
@pytest.mark.parametrize(("command", "code", "mentions"), MISTYPED)
def test_a_mistyped_command(types: Types, command: str, code: int, mentions: str) -> None:
    said = types(command)
    told = said.out + said.err
    assert said.code == code, told
    assert "Traceback" not in told
    assert "fault of ringtrue" not in told
    if code:
        assert said.err.strip()
        assert mentions.casefold() in " ".join(said.err.split()).casefold()


# If this failed, a book that another edition wrote, that is damaged, or is no book, would be judged from, or changed.
def test_a_book_that_cannot_be_used(types: Types, tmp_path: Path) -> None:
    book = tmp_path / "book.db"
    for content in (b"these are no readings", b"", b"SQLite format 3\x00" + bytes(4000)):
        book.write_bytes(content)
        said = types("book list")
        if content:
            assert said.code == 3, content
            assert book.read_bytes() == content
        assert "Traceback" not in said.err
    book.unlink()
    assert types("enter june.csv --sheet launch-six.toml").code == 0
    with sqlite3.connect(book) as connection:
        connection.execute("PRAGMA journal_mode")
        connection.execute("UPDATE ringtrue_version SET version_num = 'ffff'")
    connection.close()
    later = book.read_bytes()
    said = types("book list")
    assert said.code == 3
    assert book.read_bytes() == later


# If this failed, a command would wait for ever on a book that another program holds.
def test_a_book_that_another_program_holds(types: Types, tmp_path: Path) -> None:
    assert types("enter june.csv --sheet launch-six.toml").code == 0
    with sqlite3.connect(tmp_path / "book.db", isolation_level=None) as connection:
        connection.execute("BEGIN EXCLUSIVE")
        said = types('event 0417 "oil change"')
        connection.execute("ROLLBACK")
    connection.close()
    assert said.code == 3
    assert "Traceback" not in said.err
    assert types('event 0417 "oil change"').code == 0


# If this failed, broken settings would stop the program with a page of Python, or be passed over.
def test_broken_settings(types: Types, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[units]\npressure = "parsec"\n[shop]\nnome = "x"\n', "utf-8")
    said = types("judge june.csv")
    assert said.code == 2
    assert "parsec" in said.err
    assert "did you mean name?" in said.err.casefold()


# If this failed, output that nobody reads any more, or a console of another alphabet, would end in a page of Python.
def test_a_pipe_that_closes_and_a_console_of_another_alphabet(types: Types, tmp_path: Path) -> None:
    del types
    environment = {**os.environ, "PYTHONIOENCODING": "ascii", "RINGTRUE_BOOK": str(tmp_path / "b.db")}
    command = [sys.executable, "-m", "ringtrue", "judge", "june.csv"]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=False)
    assert (done.returncode, b"Traceback" in done.stderr) == (0, False)
    process = subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    assert b"Traceback" not in process.stderr.read()
    process.stderr.close()
    process.wait()
