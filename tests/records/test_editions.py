"""Older books are brought up to date whole or not at all; the first release's book is read for ever."""

from __future__ import annotations

import random
import shutil
import sqlite3
import time
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import MetaData, select
from tests.records.appender import open_with_later_edition, start
from tests.records.making import WHO, behind, file_of, header, key, pull, tell

from ringtrue.compression import Kind, Pull
from ringtrue.errors import BookDamaged, BookTooNew
from ringtrue.records import Book, Shows, _versions
from ringtrue.records._tables import VERSION_TABLE, entries, metadata, server_only
from ringtrue.records.migrations.indices import INDICES

DATA = Path(__file__).resolve().parents[1] / "data"
LATER = '''
"""An edition of some later day."""
import time
import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade():
    op.add_column("engines", sa.Column("colour", sa.Text))
    for number in range(8):
        op.create_table(f"filler_{number}", sa.Column("text", sa.Text))
        op.execute(f"INSERT INTO filler_{number} SELECT body FROM entries")
        time.sleep(0.004)
    MORE
'''


@pytest.fixture
def later(tmp_path: Path) -> Path:
    """Return the scripts of a later ringtrue."""
    scripts = tmp_path / "later"
    shutil.copytree(_versions.SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    (scripts / "versions" / "edition_0004.py").write_text(LATER.replace("MORE", ""))
    return scripts


def be_later(monkeypatch: pytest.MonkeyPatch, scripts: Path) -> None:
    """Turn this program into the later one."""
    monkeypatch.setattr(_versions, "KNOWN", ("0001", "0002", "0003", "0004"))
    monkeypatch.setattr(_versions, "SCRIPTS", scripts)


def all_entries(book: Book) -> list[Any]:
    """Return what is stored of every entry."""
    with behind(book, guards=True) as connection:
        return list(connection.execute(select(entries).order_by(entries.c.key)))


def version_in(book: Book) -> str:
    """Return the edition that a book says it has."""
    with behind(book, guards=True) as connection:
        return str(connection.exec_driver_sql(f"SELECT version_num FROM {VERSION_TABLE}").scalar_one())  # noqa: S608 - our own table


# If this failed, the program and its scripts would disagree on which edition is the last.
def test_the_list_of_editions_is_that_of_the_scripts() -> None:
    settings = Config()
    settings.set_main_option("script_location", str(_versions.SCRIPTS))
    scripts = ScriptDirectory.from_config(settings)
    assert [script.revision for script in scripts.walk_revisions()] == list(reversed(_versions.KNOWN))


# If this failed, a new book would not have the tables that the program writes to.
def test_the_scripts_make_the_tables_of_the_program(book: Book) -> None:
    assert {index.name for index in INDICES} == {"engines_name", "tests_engine", "entries_finished"}
    with behind(book, guards=True) as connection:
        context = MigrationContext.configure(connection, opts={"version_table": "none", "compare_type": True})
        tables = MetaData()
        on_server = server_only.tables.values() if connection.dialect.name == "postgresql" else ()
        for table in (*metadata.tables.values(), *on_server):
            table.to_metadata(tables)
        assert compare_metadata(context, tables) == []


# If this failed, an update of the program would cost readings, or leave no way back.
def test_an_earlier_book_is_brought_up_to_date(
    book: Book, where: str, later: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    story = tell(book)
    document, stored = book.export(), all_entries(book)
    be_later(monkeypatch, later)
    with Book.open(where) as newer:
        assert newer.export() == document
        assert (all_entries(newer), version_in(newer)) == (stored, "0004")
        assert newer.verify() == ()
        newer.add(story.test_id, pull("6", 149), key=key(), **WHO)
    monkeypatch.undo()
    if where.startswith("postgresql"):
        with behind(book, guards=True) as connection:
            copied = connection.exec_driver_sql("SELECT count(*) FROM before_0004.entries").scalar_one()
            assert copied == len(stored)
        return
    path = Path(where)
    assert {each.name for each in path.parent.iterdir()} == {path.name, f"{path.name}.before-0004"}
    with Book.open(path.with_name(f"{path.name}.before-0004"), create=False) as copy:
        assert (copy.export(), version_in(copy)) == (document, "0003")


# If this failed, the older program on another machine would spoil the newer book.
def test_the_older_program_leaves_the_newer_book_alone(
    book: Book, where: str, later: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tell(book)
    be_later(monkeypatch, later)
    Book.open(where).close()
    monkeypatch.undo()
    before = all_entries(book)
    raw = None if where.startswith("postgresql") else Path(where).read_bytes()
    with pytest.raises(BookTooNew, match="se the newer ringtrue"):
        Book.open(where)
    with pytest.raises(BookTooNew):
        book.start(header(), sheet_text=None, key=key(), **WHO)
    assert all_entries(book) == before
    assert raw is None or Path(where).read_bytes() == raw


# If this failed, a program that was open while another brought the book up to date would go on writing the old way.
def test_a_program_left_open_sees_the_new_edition(
    file_book: Book, later: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    be_later(monkeypatch, later)
    Book.open(file_of(file_book)).close()
    monkeypatch.undo()
    with pytest.raises(BookTooNew):
        file_book.tests()


# If this failed, a script with a fault in it would rewrite what builders wrote.
@pytest.mark.parametrize(
    "fault",
    [
        "op.execute(\"UPDATE entries SET who = 'another'\")",
        'op.execute("DELETE FROM entries WHERE seq > 3")',
        'raise RuntimeError("a fault in the script")',
    ],
)
def test_a_script_that_would_change_entries_is_stopped(
    book: Book, where: str, later: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    tell(book)
    document = book.export()
    guards = "" if fault.startswith("raise") else drop_guards(where)
    (later / "versions" / "edition_0004.py").write_text(LATER.replace("MORE", f"{guards}\n    {fault}"))
    be_later(monkeypatch, later)
    with pytest.raises((BookDamaged, RuntimeError), match=r"would not have stayed as they were|a fault in the script"):
        Book.open(where)
    monkeypatch.undo()
    with Book.open(where) as again:
        assert again.export() == document
        assert (version_in(again), again.verify()) == ("0003", ())


def drop_guards(where: str) -> str:
    """Return the lines of a script that takes the guards off entries."""
    if where.startswith("postgresql"):
        return 'op.execute("ALTER TABLE entries DISABLE TRIGGER ALL")'
    return 'op.execute("DROP TRIGGER entries_no_update"); op.execute("DROP TRIGGER entries_no_delete")'


# If this failed, a machine that goes off during an update would leave a book that is neither old nor new.
def test_kill_while_a_book_is_brought_up_to_date(book: Book, where: str, later: Path, soaking: bool) -> None:
    chance = random.Random(5)
    tell(book)
    stored = all_entries(book)
    old = new = 0
    original = None if where.startswith("postgresql") else Path(where).read_bytes()
    for _ in range(100 if soaking else 6):
        process, listen = start(open_with_later_edition, where, str(later))
        assert listen.recv() == "ready"
        time.sleep(chance.uniform(0, 0.25))
        process.kill()
        process.join()
        out_of_the_server(book)
        version = version_in(book)
        old, new = old + (version == "0003"), new + (version == "0004")
        assert version in {"0003", "0004"}
        assert all_entries(book) == stored
        if version == "0004":
            go_back(book, where, original)
        assert book.verify() == ()
    process, listen = start(open_with_later_edition, where, str(later))
    process.join()
    assert [listen.recv(), listen.recv()] == ["ready", "done"]
    assert (version_in(book), all_entries(book)) == ("0004", stored)


def out_of_the_server(book: Book) -> None:
    """Wait until a server has ended what a program that was killed had asked of it: it may be in mid-commit."""
    if book.where.startswith("postgresql"):
        busy = "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
        with book._door.engine.connect() as connection:
            while connection.exec_driver_sql(f"{busy} AND state <> 'idle'").scalar_one():
                connection.rollback()
                time.sleep(0.01)


def go_back(book: Book, where: str, original: bytes | None) -> None:
    """Make the book an old one again, for the next round."""
    if original is not None:
        Path(where).write_bytes(original)
        return
    with behind(book, guards=True) as connection:
        connection.exec_driver_sql("ALTER TABLE engines DROP COLUMN colour")
        for number in range(8):
            connection.exec_driver_sql(f"DROP TABLE filler_{number}")
        connection.exec_driver_sql("UPDATE ringtrue_version SET version_num = '0003'")


# If this failed, a book that another program damaged in the middle of an update would be called up to date.
def test_two_programs_bring_a_book_up_to_date(book: Book, where: str, later: Path) -> None:
    tell(book)
    stored = all_entries(book)
    running = [start(open_with_later_edition, where, str(later)) for _ in range(3)]
    for process, listen in running:
        process.join()
        assert [listen.recv(), listen.recv()] == ["ready", "done"]
    assert (version_in(book), all_entries(book)) == ("0004", stored)


# If this failed, the books of the first release could no longer be read, or would read as something else. (frozen)
def test_the_book_of_release_0_1_0(tmp_path: Path) -> None:
    path = tmp_path / "book.ringtrue"
    shutil.copyfile(DATA / "book-0.1.0.ringtrue", path)
    document = (DATA / "book-0.1.0.json").read_bytes()
    with Book.open(path) as book:
        assert book.export(owners=True) == document
        assert book.verify() == ()
        first = book.tests()[0]
        recorded = book.test(first.test_id)
        assert (recorded.header.engine, recorded.header.engine_name, recorded.sheet_revision) == (
            "0417",
            "Launch six",
            2,
        )
        finals = [str(row.final) for row in recorded.test.taken if isinstance(row, Pull) and row.kind is Kind.DRY]
        assert finals == ["151 psi", "150 psi", "150 psi", "118 psi", "151 psi"]
        assert [(each.why, each.withdrawn) for each in recorded.corrections] == [
            ("misread by one mark", False),
            ("gauge was on cylinder 4", True),
            ("oil had cooled", False),
        ]
        assert book.verify(first.test_id, "4435-f068-c63d-2beb-8ada") == ()
    with Book.open(tmp_path / "new.ringtrue") as taken_in:
        taken_in.import_(document)
        assert taken_in.export(owners=True) == document


# If this failed, a book with photographs and firsts off a film, as edition 0002 wrote it, could no longer be read, or
# would read as something else, or would not be the same once brought up to date. (frozen: written by that edition)
def test_a_book_of_edition_0002(tmp_path: Path) -> None:
    path = tmp_path / "book.ringtrue"
    shutil.copyfile(DATA / "book-edition-0002.ringtrue", path)
    shutil.copytree(DATA / "ringtrue-photographs", tmp_path / "ringtrue-photographs")
    document = (DATA / "book-edition-0002.json").read_bytes()
    with Book.open(path) as book:
        assert version_in(book) == _versions.KNOWN[-1]
        assert book.export(owners=True) == document
        assert book.verify() == ()
        recorded = book.test(book.tests()[0].test_id)
        assert recorded.head == "8fc7812bd251f9a92cca788a13402a8a63bf95f8767d1c778d33c2eb4af0fe36"
        sooty, face = recorded.photographs
        assert (sooty.note, sooty.for_sheet, sooty.taken_back) == ("sooty on one side", True, "")
        assert (face.shows, face.for_sheet, face.taken_back) == (Shows.GAUGE, False, "shows another gauge")
        assert book.photograph(sooty.picture.sha256) == (sooty.picture, b"a sooty plug")
        film = [row for row in recorded.test.taken if isinstance(row, Pull) and row.first_from_film]
        assert [(row.cylinder, str(row.first)) for row in film] == [("6", "89.4 psi")]
    # What it was before stands beside it, still of its own edition.
    with sqlite3.connect(path.with_name(f"{path.name}.before-{_versions.KNOWN[-1]}")) as copy:
        assert copy.execute(f"SELECT version_num FROM {VERSION_TABLE}").fetchall() == [("0002",)]  # noqa: S608 - our own table
    copy.close()
    with Book.open(tmp_path / "new.ringtrue") as taken_in:
        done = taken_in.import_(document, DATA / "book-edition-0002.json")
        assert done.missing == ()
        assert taken_in.export(owners=True) == document
