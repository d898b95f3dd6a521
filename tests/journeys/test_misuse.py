"""Every way to mistype a command: an exit code, plain words, and nothing of Python."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from tests.journeys.conftest import Types

NOBODY = 65534
# What is typed, the exit code, and a word that the answer has to mention.
MISTYPED = [
    ("book show", 2, "TEST is missing. See ringtrue book list for the tests"),
    ("trend", 2, "ENGINE is missing. See ringtrue book list for the engines"),
    ("judgement june.csv", 2, "judgement"),
    ("jugde june.csv", 2, "judge"),
    ("judge", 2, "file"),
    ("judge ''", 2, "file"),
    ("judge june.csv more.csv", 2, "more.csv"),
    ("judge nowhere.csv", 2, "nowhere.csv"),
    ("judge nowhere/at/all.csv", 2, "nowhere"),
    ("judge .", 2, "folder"),
    ("judge -- --unit", 2, "--unit"),
    ("judge june.csv --sheets launch-six.toml", 2, "--sheet"),
    ("judge june.csv --sheet nowhere.toml", 2, "nowhere.toml"),
    ("judge june.csv --sheet june.csv", 2, "TOML"),
    ("judge june.csv --sheet .", 2, "folder"),
    ("judge june.csv --sheet", 2, "--sheet"),
    ("judge june.csv --sheet ''", 2, "--sheet"),
    ("judge june.csv --sheet launch-six.toml --sheet may.toml", 2, "--sheet"),
    ("judge june.csv --test june.csv", 2, "TOML"),
    ("judge june.csv --test launch-six.toml", 2, "“engine”"),
    ("judge june.csv --unit parsec", 2, "parsec"),
    ("judge june.csv --unit kPa", 2, "kPa"),
    ("judge june.csv --unit mm", 2, "mm"),
    ("judge june.csv --unit ''", 2, "--unit"),
    ("judge june.csv --decimal dot", 2, "dot"),
    ("judge june.csv --decimal ''", 2, "--decimal"),
    ("judge june.csv --gauge nobody", 2, "nobody"),
    ("judge june.csv --encoding klingon", 2, "klingon"),
    ("judge june.csv --confirm-unit=perhaps", 2, "perhaps"),
    ("judge june.csv --json=maybe", 2, "maybe"),
    ("judge launch-six.toml", 2, "launch-six.toml"),
    ("judge june.csv --book ''", 2, "--book"),
    ("judge 2222-2222", 3, "book"),
    ("judge 222-2222", 2, "222-2222"),
    ("judge june.csv --book nowhere://x", 0, ""),
    ("enter", 2, "file"),
    ("enter june.csv", 2, "--sheet"),
    ("enter nowhere.csv --sheet launch-six.toml", 2, "nowhere.csv"),
    ("enter june.csv --sheet launch-six.toml --book nowhere://x", 2, "nowhere"),
    ("enter june.csv --sheet launch-six.toml --book .", 3, "."),
    ("enter june.csv --sheet launch-six.toml --book june.csv", 3, "june.csv"),
    ("enter june.csv --sheet launch-six.toml --book june.csv/b.db", 3, "june.csv"),
    ("enter june.csv --sheet launch-six.toml --book postgresql://127.0.0.1:1/x", 3, "127.0.0.1"),
    ("report", 2, "test"),
    ("report june.csv -o june.docx", 2, "june.docx"),
    ("report june.csv -o nowhere/june.pdf", 2, "There is no folder “nowhere”."),
    ("plan launch-six.toml -o nowhere/plan.pdf", 2, "There is no folder “nowhere”."),
    ("sheet new nowhere/new.toml", 2, "There is no folder “nowhere”."),
    ("judge readings", 2, "no file of that name"),
    ("book withdraw 2222-2222 first --why x", 2, "A whole number is wanted here."),
    ("report june.csv -o june", 2, "june"),
    ("report june.csv -o .", 2, "“.”"),
    ("report june.csv -o ''", 2, "-o"),
    ("report june.csv -o june.pdf --paper A3", 2, "A3"),
    ("report 2222-2222 -o x.pdf", 3, "book"),
    ("report nowhere.csv -o x.pdf", 2, "nowhere.csv"),
    ("report june.csv -o launch-six.toml/x.pdf", 2, "x.pdf"),
    ("plan", 2, "sheet"),
    ("plan nowhere.toml", 2, "nowhere.toml"),
    ("plan june.csv", 2, "TOML"),
    ('plan launch-six.toml --order "1 2 3"', 2, "1 2 3"),
    ('plan launch-six.toml --order "1 2 3 4 5 7"', 2, "7"),
    ('plan launch-six.toml --order "1 2 3 4 5 6 6"', 2, "6 6"),
    ("plan launch-six.toml --unit parsec", 2, "parsec"),
    ("plan launch-six.toml --gauge nobody", 2, "nobody"),
    ("plan launch-six.toml -o plan.txt", 2, "plan.txt"),
    ("plan launch-six.toml -o launch-six.toml/plan.pdf", 2, "plan.pdf"),
    ("plan launch-six.toml --paper B5 -o plan.pdf", 2, "B5"),
    ("sheet", 0, ""),
    ("sheet draw launch-six.toml", 2, "draw"),
    ("sheet show", 2, "file"),
    ("sheet show june.csv", 2, "TOML"),
    ("sheet show .", 2, "folder"),
    ("sheet check nowhere.toml", 2, "nowhere.toml"),
    ("sheet new launch-six.toml", 2, "launch-six.toml"),
    ("sheet new one.toml two.toml", 2, "two.toml"),
    (f"sheet new {'y' * 300}.toml", 2, "yyy"),
    (f"judge {'y' * 300}.csv", 2, "yyy"),
    (f"demo {'y' * 300}", 2, "yyy"),
    ("pull --sheet nowhere.toml", 2, "nowhere.toml"),
    ("pull launch-six.toml", 2, "launch-six.toml"),
    ("pull --go-on 2222-2222", 2, "2222-2222"),
    ("pull --go-on", 2, "--go-on"),
    ("pull --go-on last --new", 2, "--new"),
    ("pull --sheet launch-six.toml --gauge nobody", 2, "nobody"),
    ("pull --sheet launch-six.toml --unit parsec", 2, "parsec"),
    ("pull --sheet launch-six.toml --test june.csv", 2, "TOML"),
    ("pull --sheet launch-six.toml --order '1 2 9'", 2, "9"),
    ("gauge", 0, ""),
    ("gauge add", 2, "name"),
    ("gauge add ' '", 2, "name"),
    ("gauge add a b", 2, "b"),
    ('gauge add x --range "300"', 2, "300"),
    ('gauge add x --range "300 mm"', 2, "mm"),
    ('gauge add x --range "0 psi"', 2, "0 psi"),
    ("gauge add x --grade B", 2, "range"),
    ('gauge add x --range "300 psi" --grade Q', 2, "Q"),
    ('gauge add x --range "300 psi" --resolution="-2 psi"', 2, "-2"),
    ('gauge add x --check-valve "in the middle"', 2, "in the middle"),
    ('gauge add x --adapter-volume "2 psi"', 2, "psi"),
    ('gauge add x --repeatability "80 %"', 2, "80 %"),
    ("gauge remove x", 2, "remove"),
    ("gauge list everything", 2, "everything"),
    ("settings show", 2, "show"),
    ("settings set", 2, "key"),
    ("settings set shop.name", 2, "value"),
    ("settings set shop x", 2, "shop"),
    ("settings set shop.nome x", 2, "shop.nome"),
    ("settings set units.pressure parsec", 2, "parsec"),
    ("settings set sheet.paper A3", 2, "A3"),
    ("settings set limits.mean_deviation_target often", 2, "often"),
    ("settings set limits.mean_deviation_target 400", 2, "400"),
    ("settings set limits.mean_deviation_target nan", 2, "nan"),
    ("settings set limits.no_such_rule 4", 2, "no_such_rule"),
    ("book", 0, ""),
    ("book burn", 2, "burn"),
    ("book list 0417 0502", 2, "0502"),
    ("book show", 2, "test"),
    ("book show 2222-2222", 3, "book"),
    ("book backup", 2, "file"),
    ("book backup safe.db", 3, "book"),
    ("book export", 3, "book"),
    ("book import nowhere.json", 2, "nowhere.json"),
    ("book import june.csv", 2, "june.csv"),
    ("book import .", 2, "folder"),
    ("book restore", 2, "file"),
    ("book restore nowhere.db", 2, "nowhere.db"),
    ("book correct", 2, "test"),
    ("book correct 2222-2222", 3, "book"),
    ("book correct 2222-2222 1", 3, "book"),
    ("book withdraw 2222-2222", 2, "entry"),
    ("book withdraw 2222-2222 first", 2, "first"),
    ("book verify 2222-2222 --head 1234", 3, "book"),
    ("book owner", 2, "engine"),
    ("book forget-owner", 2, "engine"),
    ("demo one two", 2, "two"),
    ("demo launch-six.toml", 2, "launch-six.toml"),
    ("demo launch-six.toml/here", 2, "here"),
    ('event 0417 "oil change" --at "700 parsec"', 2, "parsec"),
    ("event 0417", 3, "book"),
    ("event '' x", 2, "engine"),
    ("--no-such-option", 2, "--no-such-option"),
]
# The same with a book that has a test.
MISTYPED_WITH_A_BOOK = [
    ("judge 2222-2222", 2, "2222-2222"),
    ("report 2222-2222", 2, "2222-2222"),
    ("book list 9999", 2, "9999"),
    ("book show 2222-2222", 2, "2222-2222"),
    ("book show june.csv", 2, "june.csv"),
    ("book export 2222-2222", 2, "2222-2222"),
    ("book export -o .", 2, "“.”"),
    ("book export -o june.csv/x.json", 2, "x.json"),
    ("book correct 2222-2222 1 --final 150 --why x", 2, "2222-2222"),
    ("book withdraw 2222-2222 1 --why x", 2, "2222-2222"),
    ("book verify 2222-2222", 3, "2222-2222"),
    ("book verify --head 1234", 2, "1234"),
    ("book backup june.csv", 2, "june.csv"),
    ("book backup june.csv/x.db", 2, "x.db"),
    ("book restore june.csv", 2, "june.csv"),
    ("book owner 9999", 2, "9999"),
    ("book owner 9999 --name x", 2, "9999"),
    ("book forget-owner 9999", 2, "9999"),
    ("event 9999 x", 2, "9999"),
    ("event 0417 ' '", 2, "log"),
    ("event 0417 --at '700 mile'", 2, "log"),
    ("event 0417 x --date 31-12-2999", 2, "2999-12-31"),
    ("event 0417 x --date 2026-02-30", 2, "2026-02-30"),
    ("pull --go-on last", 2, "last"),
    ("plan launch-six.toml --gauge nobody", 2, "nobody"),
]


def answers_plainly(types: Types, command: str, code: int, mentions: str) -> None:
    said = types(command)
    told = said.out + said.err
    assert said.code == code, told
    assert "Traceback" not in told
    assert "fault of ringtrue" not in told
    if code:
        words = " ".join(told.split())
        assert words
        assert mentions.casefold() in words.casefold()
        assert said.out == "" or command.startswith("book verify")


# If this failed, a slip of the finger would be answered with a page of Python, with the wrong code, or with silence.
@pytest.mark.in_part(2)
@pytest.mark.parametrize(("command", "code", "mentions"), MISTYPED)
def test_a_mistyped_command(types: Types, command: str, code: int, mentions: str) -> None:
    answers_plainly(types, command, code, mentions)


# If this failed, the same would happen to somebody who has a book.
@pytest.mark.in_part(3)
@pytest.mark.parametrize(("command", "code", "mentions"), MISTYPED_WITH_A_BOOK)
def test_a_mistyped_command_with_a_book(types: Types, command: str, code: int, mentions: str) -> None:
    assert types("enter june.csv --sheet launch-six.toml").code == 0
    answers_plainly(types, command, code, mentions)


# ------------------------------------------------------------------------------------------------ the book


READS = ["book list", "judge {test}", "report {test} -o x.pdf", "book show {test}", "book export", "book verify"]
WRITES = [
    'event 0417 "oil change"',
    "enter may.csv --sheet launch-six.toml",
    "gauge add x",
    'book owner 0417 --name "x"',
]


def entered(types: Types, tmp_path: Path) -> str:
    (tmp_path / "may.csv").write_text("cylinder,final [psi]\n1,150\n", "utf-8")
    said = types("enter june.csv --sheet launch-six.toml")
    assert said.code == 0, said.err
    return said.out.strip()


# If this failed, a book that is damaged, empty, or no book would be judged from, written over, or end in a page of
# Python.
@pytest.mark.parametrize("content", [b"these are no readings", b"", b"SQLite format 3\x00" + bytes(4000)])
def test_what_is_no_book(types: Types, tmp_path: Path, content: bytes) -> None:
    test = entered(types, tmp_path)
    (tmp_path / "book.db").write_bytes(content)
    for command in (*READS, *WRITES, "pull --sheet launch-six.toml --unit psi"):
        answers_plainly(types, command.format(test=test), 3, "book.db")
        assert (tmp_path / "book.db").read_bytes() == content


# If this failed, an older ringtrue would read, or change, what a later one wrote.
def test_a_book_of_a_later_edition(types: Types, tmp_path: Path) -> None:
    test = entered(types, tmp_path)
    connection = sqlite3.connect(tmp_path / "book.db")
    connection.execute("UPDATE ringtrue_version SET version_num = 'ffff'")
    connection.commit()
    connection.close()
    later = (tmp_path / "book.db").read_bytes()
    for command in (*READS, *WRITES):
        answers_plainly(types, command.format(test=test), 3, "book.db")
    assert (tmp_path / "book.db").read_bytes() == later


# If this failed, a command would wait for ever on a book that another program holds, or say that it wrote.
def test_a_book_that_another_program_holds(types: Types, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    test = entered(types, tmp_path)
    monkeypatch.setattr("ringtrue.records._place.WAIT_S", 0.2)
    connection = sqlite3.connect(tmp_path / "book.db", isolation_level=None)
    connection.execute("BEGIN EXCLUSIVE")
    for command in (*READS, *WRITES, f'book correct {test} 1 --final "149 psi" --why x'):
        answers_plainly(types, command.format(test=test), 3, "book.db")
    connection.execute("ROLLBACK")
    connection.close()
    assert types('event 0417 "oil change"').code == 0


@contextmanager
def as_somebody_else() -> Iterator[None]:
    """Type as a user who may not write what is another's; root may write everything."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.fixture
def locked_up(types: Types, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Path, str]]:
    """Yield a book with a test in it that may be read by everybody and written by nobody, and the test's id."""
    folder = Path(tempfile.mkdtemp(prefix="ringtrue-book-"))
    for name in ("RINGTRUE_BOOK", "RINGTRUE_SETTINGS"):
        monkeypatch.setenv(name, str(folder / name[9:].lower()))
    test = types("enter june.csv --sheet launch-six.toml").out.strip()
    (folder / "book").chmod(0o444)
    folder.chmod(0o555)
    yield folder / "book", test
    folder.chmod(0o755)
    shutil.rmtree(folder)


# If this failed, a book that may only be read could not be read, or a write to it would end in a page of Python.
@pytest.mark.skipif(os.name != "posix", reason="no POSIX: no file can be kept from its user")
def test_a_book_that_may_only_be_read(types: Types, locked_up: tuple[Path, str]) -> None:
    book, test = locked_up
    reads = [command.format(test=test) for command in READS if "report" not in command]
    # Somebody else may not read this folder's files, so nothing is entered from one.
    writes = [command for command in WRITES if "enter" not in command]
    # Once as the owner: what these commands load is loaded before the user changes.
    for command in (*reads, *(f"{command} --book own.db" for command in writes)):
        types(command)
    before = book.read_bytes()
    with as_somebody_else():
        for command in reads:
            said = types(command)
            assert said.code == 0, said.err
        for command in writes:
            answers_plainly(types, command, 3, "may not be written")
    assert book.read_bytes() == before


# ------------------------------------------------------------------------------------------------ the console


def run(tmp_path: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "ringtrue", *words]
    place = {"RINGTRUE_BOOK": str(tmp_path / "b.db"), "RINGTRUE_SETTINGS": str(tmp_path / "s.toml")}
    return subprocess.run(
        command, cwd=tmp_path, env={**os.environ, **place, **environment}, capture_output=True, check=False
    )


# If this failed, a console of another alphabet, as Windows has them, would stop the program in mid-sentence.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("alphabet", ["ascii", "cp1252", "cp437"])
def test_a_console_of_another_alphabet(types: Types, tmp_path: Path, alphabet: str) -> None:
    del types
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n前一,150\n前二,120\nnaïve,151\n", "utf-8")
    done = run(tmp_path, "judge", "r.csv", PYTHONIOENCODING=alphabet)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"150.0 psi" in done.stdout
    assert run(tmp_path, "judge", "前.csv", PYTHONIOENCODING=alphabet).returncode == 2


# If this failed, output that nobody reads any more would end in a page of Python, or be called a failure.
@pytest.mark.parametrize("words", [("judge", "june.csv"), ("--help",), ("judge", "june.csv", "--json")])
def test_a_pipe_that_closes(types: Types, tmp_path: Path, words: tuple[str, ...]) -> None:
    del types
    command = [sys.executable, "-m", "ringtrue", *words]
    process = subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    assert (process.wait(), said) == (0, b"")


# If this failed, a disk that is full would swallow the answer and the program say that all is well.
def test_output_that_cannot_be_written(types: Types, tmp_path: Path) -> None:
    del types
    full = Path("/dev/full")
    command = [sys.executable, "-m", "ringtrue", "judge", "june.csv"]
    with (full if full.exists() else tmp_path / "june.csv").open("wb" if full.exists() else "rb") as nowhere:
        done = subprocess.run(command, cwd=tmp_path, stdout=nowhere, stderr=subprocess.PIPE, check=False)
    assert b"Traceback" not in done.stderr
    if full.exists():
        assert (done.returncode, done.stderr.count(b"cannot be written")) == (2, 1)


# If this failed, a program that has no input, output or place for remarks to give, as a timer's, could not run it.
@pytest.mark.skipif(os.name != "posix", reason="no POSIX: no stream can be closed before the program begins")
@pytest.mark.in_part(2)
@pytest.mark.parametrize("closed", [0, 1, 2])
def test_a_stream_that_is_closed(types: Types, tmp_path: Path, closed: int) -> None:
    del types
    program = f"import os, sys; os.close({closed}); os.execv(sys.executable, [sys.executable, '-m', *sys.argv[1:]])"
    for words, code in ((["judge", "nowhere.csv"], 2), (["pull", "--sheet", "launch-six.toml"], 0)):
        done = subprocess.run(
            [sys.executable, "-c", program, "ringtrue", *words],
            cwd=tmp_path,
            env={**os.environ, "RINGTRUE_BOOK": str(tmp_path / "b.db")},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
        )
        assert (done.returncode, b"Traceback" in done.stderr) == (code, False)
        assert (done.stdout == b"") is (closed == 1 or words[0] == "judge")


# If this failed, what is wrong inside would be blamed on the person, or could not be looked into.
def test_a_fault_of_our_own(types: Types, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("the wheels came off")

    monkeypatch.setattr("ringtrue.shop.judging.judge_file", broken)
    said = types("judge june.csv")
    assert (said.code, said.out) == (70, "")
    assert "fault of ringtrue" in said.err
    assert "the wheels came off" in said.err
    monkeypatch.setenv("RINGTRUE_TRACE", "1")
    with pytest.raises(RuntimeError, match="wheels"):
        types("judge june.csv")


# If this failed, help would not answer, or the edition not be told.
def test_help_and_version(types: Types) -> None:
    assert types("--version").out.strip()
    for command in ("", "--help", "-h", "judge --help", "book correct --help", "settings --help", "settings set -h"):
        said = types(command)
        assert (said.code, said.err) == (0, "")
        assert said.out.strip().startswith("Usage: ringtrue")
    assert json.loads(types("settings --json").out)


# If this failed, a program on a machine with another alphabet would read a name with its letters gone.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_json_keeps_every_letter_on_every_pipe(tmp_path: Path, encoding: str) -> None:
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\nGrößte,150\nłódź,151\n", "utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "RINGTRUE_SETTINGS": str(tmp_path / "s.toml")}
    command = [sys.executable, "-m", "ringtrue", "judge", "r.csv", "--json"]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=True)
    found = json.loads(done.stdout.decode(encoding))
    assert [row["cylinder"] for row in found["cylinders"]] == ["Größte", "łódź"]


# If this failed, a leak-down alone would end in a heading with nothing below it.
def test_a_leakdown_alone_has_no_empty_heading(types: Types, tmp_path: Path) -> None:
    rows = "cylinder,kind,supply [psi],held [psi],restrictor\n1,leakdown,80,76,0.040 in\n"
    (tmp_path / "leak.csv").write_text(rows, "utf-8")
    said = types("judge leak.csv")
    assert said.code == 0
    assert "5.0 % lost" in said.out
    assert "What it looks like" not in said.out
