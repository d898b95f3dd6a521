"""Whatever is changed behind the book's back is found, before a verdict and from the paper."""

from __future__ import annotations

import contextlib
import logging
import random
import shutil
import sqlite3
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select
from sqlalchemy.exc import DBAPIError
from tests.records.making import WHO, behind, file_of, full_pull, header, key, pull, tell

from ringtrue.errors import BookDamaged, BookUnusable, InputRefused, RingtrueError
from ringtrue.records import Book, Finding, Owner
from ringtrue.records._chain import check, rows_of
from ringtrue.records._tables import entries, metadata
from ringtrue.wording import short_head

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

LOG = logging.getLogger(__name__)


def flips(value: object) -> Iterator[object]:
    """Yield the value with each of its bits changed; a text as its UTF-8 bytes, a number as 32 bits."""
    if isinstance(value, int):
        yield from (value ^ (1 << bit) for bit in range(31))
        return
    assert isinstance(value, str)
    raw = value.encode()
    for place in range(len(raw)):
        for bit in range(8):
            changed = bytearray(raw)
            changed[place] ^= 1 << bit
            yield bytes(changed).decode("utf-8", "surrogateescape")


# If this failed, one bit of a stored reading could change, on a bad disk or by hand, and the verdict with it.
def test_every_single_bit_of_every_column_of_every_entry(file_book: Book) -> None:
    test_id = file_book.start(header(), sheet_text=None, key="first", **WHO)
    file_book.add(test_id, full_pull(), key="second", **WHO)
    last = file_book.add(test_id, pull("1", 150), key="third", **WHO)
    rows = [tuple(row) for row in file_book._door.read(lambda connection: rows_of(connection, test_id))]
    assert not any(isinstance(each, Finding) for each in check(test_id, rows, 3, last.hash))
    tried = missed = 0
    for number, row in enumerate(rows):
        for place, (column, value) in enumerate(zip(entries.columns.keys(), row, strict=True)):
            for changed in flips(value):
                stored: list[Sequence[Any]] = [*rows]
                stored[number] = (*row[:place], changed, *row[place + 1 :])
                if column == "chain":
                    del stored[number]  # another chain's entry is not among those of this one
                elif column == "seq":
                    stored.sort(key=lambda each: int(each[place]))
                found = any(isinstance(each, Finding) for each in check(test_id, stored, 3, last.hash))
                tried += 1
                missed += not found
    assert tried > 15_000
    assert missed == 0


def everything(book: Book) -> list[tuple[str, list[str], dict[str, Any]]]:
    """Return every row of every table: the table, the columns that name the row, and the row."""
    found = []
    for table in metadata.sorted_tables:
        if table.name == "ringtrue_version":
            continue
        names = [column.name for column in table.primary_key]
        rows = book._door.read(lambda connection, table=table: connection.execute(select(table)).mappings().all())  # type: ignore[misc]
        found += [(table.name, names, dict(row)) for row in rows]
    return found


# If this failed, a bit could change where the chains do not reach: a sheet, an owner, a list, a count.
def test_a_bit_changed_in_any_table_is_found(book: Book, soaking: bool) -> None:
    chance = random.Random(1)
    story = tell(book)
    book.set_owner("0417", Owner("An Owner", "0000 / 1", "a street", "note"))
    postgres = book._door.engine.dialect.name == "postgresql"
    changes = [
        (table, names, row, column, changed)
        for table, names, row in everything(book)
        for column, value in row.items()
        for changed in flips(value)
    ]
    missed, tried = [], 0
    for table, names, row, column, changed in chance.sample(changes, 6_000 if soaking else 60):
        mark = "%s" if postgres else "?"
        value: object = changed
        if isinstance(changed, str) and not postgres:
            value = changed.encode("utf-8", "surrogateescape")
        cast = f"CAST({mark} AS TEXT)" if isinstance(changed, str) and not postgres else mark
        which = " AND ".join(f"{name} = {mark}" for name in names)
        change = f"UPDATE {table} SET {column} = {cast} WHERE {which}"  # noqa: S608 - names of our own tables
        try:
            with behind(book) as connection:
                connection.exec_driver_sql(change, (value, *(row[name] for name in names)))
        except (DBAPIError, UnicodeEncodeError):
            continue  # the database itself does not take it
        tried += 1
        if not book.verify():
            missed.append((table, column, changed))
        back = " AND ".join(f"{name} = {cast if name == column else mark}" for name in names)
        now = [value if name == column else row[name] for name in names]
        with behind(book) as connection:
            change = f"UPDATE {table} SET {column} = {mark} WHERE {back}"  # noqa: S608 - names of our own tables
            connection.exec_driver_sql(change, (row[column], *now))
    assert missed == []
    assert tried > 30
    assert book.verify() == ()
    assert book.verify(story.test_id) == ()


TAMPERINGS = {
    "a figure": "UPDATE entries SET body = replace(body, '118', '148') WHERE chain = '{test}'",
    "who": "UPDATE entries SET who = 'another' WHERE chain = '{test}' AND seq = 3",
    "a device": "UPDATE entries SET device = 'another' WHERE chain = '{test}' AND seq = 3",
    "a time": "UPDATE entries SET at = '2026-05-14T00:00:00.000000Z' WHERE chain = '{test}' AND seq = 3",
    "a key": "UPDATE entries SET key = 'another' WHERE chain = '{test}' AND seq = 3",
    "a kind": "UPDATE entries SET kind = 'leak-down' WHERE chain = '{test}' AND seq = 3",
    "a link": "UPDATE entries SET previous = repeat('0', 64) WHERE chain = '{test}' AND seq = 3",
    "a hash": "UPDATE entries SET hash = repeat('0', 64) WHERE chain = '{test}' AND seq = 3",
    "an entry out of the middle": "DELETE FROM entries WHERE chain = '{test}' AND seq = 3",
    "the first entry": "DELETE FROM entries WHERE chain = '{test}' AND seq = 1",
    "the last entry": "DELETE FROM entries WHERE chain = '{test}' AND seq = 13",
    "all entries": "DELETE FROM entries WHERE chain = '{test}'",
    "the count": "UPDATE chains SET length = 12 WHERE name = '{test}'",
    "the head": "UPDATE chains SET head = repeat('0', 64) WHERE name = '{test}'",
    "the engine": "UPDATE tests SET engine = 'small single' WHERE test_id = '{test}'",
    "the sheet": "UPDATE sheets SET text = 'another' WHERE revision = 2",
    "the sheet's fingerprint": "UPDATE sheets SET sha256 = repeat('0', 64) WHERE revision = 2",
    "the sheet away": "DELETE FROM sheets WHERE revision = 2",
}


# If this failed, somebody with a database tool could change a test, and it would still be judged and printed.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("change", TAMPERINGS.values(), ids=TAMPERINGS.keys())
def test_a_changed_test_is_not_given_out(book: Book, change: str) -> None:
    story = tell(book)
    change = change.format(test=story.test_id)
    if book._door.engine.dialect.name == "sqlite":
        change = change.replace("repeat('0', 64)", "'" + "0" * 64 + "'")
    with behind(book) as connection:
        connection.exec_driver_sql(change)
    with pytest.raises(BookDamaged, match=r"(?s)book restore.*book verify"):
        book.test(story.test_id)
    assert [finding for finding in book.verify() if finding.damage]
    assert [finding for finding in book.verify(story.test_id) if finding.damage]
    assert len(book.tests()) == 2


# If this failed, two readings could change places, and with them the order in which they were taken.
def test_entries_that_changed_places_are_found(book: Book) -> None:
    story = tell(book)
    with behind(book) as connection:
        for old, new in ((3, 99), (4, 3), (99, 4)):
            connection.exec_driver_sql(
                f"UPDATE entries SET seq = {new} WHERE chain = '{story.test_id}' AND seq = {old}"  # noqa: S608 - our own numbers
            )
    with pytest.raises(BookDamaged, match="entry 3"):
        book.test(story.test_id)
    assert {finding.seq for finding in book.verify(story.test_id)} >= {3, 4}


# If this failed, one damaged test would keep all others from being read, judged or shown in the list.
def test_the_other_tests_stay_readable(book: Book) -> None:
    story = tell(book)
    other = book.tests()[1]
    with behind(book) as connection:
        change = f"UPDATE entries SET body = '{{}}' WHERE chain = '{story.test_id}' AND seq = 1"  # noqa: S608 - our own id
        connection.exec_driver_sql(change)
    assert [summary.header is None for summary in book.tests()] == [True, False]
    assert book.test(other.test_id).test_id == other.test_id
    with pytest.raises(BookDamaged):
        book.correct(story.test_id, 2, pull("1", 155), why="misread", key=key(), **WHO)


def cut_off(book: Book, test_id: str, keep: int) -> None:
    """Take the end of a test away and make everything else fit, as somebody who knows the book would."""
    with behind(book) as connection:
        connection.execute(entries.delete().where(entries.c.chain == test_id, entries.c.seq > keep))
        connection.exec_driver_sql(
            f"UPDATE chains SET length = {keep}, head = (SELECT hash FROM entries WHERE chain = '{test_id}' "  # noqa: S608 - our own id
            f"AND seq = {keep}) WHERE name = '{test_id}'"
        )


# If this failed, a low reading at the end could be cut off without a trace, the owner's paper notwithstanding.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("keep", [12, 7, 1])
def test_a_tail_cut_off_is_found_from_the_paper(book: Book, keep: int) -> None:
    story = tell(book)
    head = book.test(story.test_id).head
    assert book.verify(story.test_id, head) == ()
    cut_off(book, story.test_id, keep)
    assert book.verify(story.test_id) == ()  # control: the chain alone cannot know
    for printed in (head, head.upper(), short_head(head), short_head(head).replace("-", " "), head[:16]):
        (finding,) = book.verify(story.test_id, printed)
        assert finding.damage
        assert "no entry has the head that was given" in str(finding)


# If this failed, a whole test could vanish, and the paper would say nothing.
def test_a_test_taken_out_whole_is_found_from_the_paper(book: Book) -> None:
    story = tell(book)
    head = book.test(story.test_id).head
    with behind(book) as connection:
        for table, column in (("tests", "test_id"), ("entries", "chain"), ("chains", "name")):
            connection.exec_driver_sql(f"DELETE FROM {table} WHERE {column} = '{story.test_id}'")  # noqa: S608 - our own id
    (finding,) = book.verify(story.test_id, head)
    assert "the book has no such test" in str(finding)
    assert any("not numbered one after the other" in str(each) for each in book.verify())


# If this failed, a sheet printed before an honest correction would be taken for a sign of fraud.
def test_what_came_after_the_paper_is_told_and_is_no_damage(book: Book) -> None:
    story = tell(book)
    head = book.test(story.test_id).head
    book.correct(story.test_id, 2, pull("1", 155), why="misread", key=key(), **WHO)
    (finding,) = book.verify(story.test_id, short_head(head))
    assert (finding.damage, finding.seq) == (False, 13)
    assert "entry 13 of 14; those after it were made later" in str(finding)


# If this failed, a slip in typing a head would be taken for damage.
@pytest.mark.parametrize("typed", ["", "abc", "0123-4567-89ab", "g" * 20, "0" * 65, "not a head at all"])
def test_what_is_no_head_is_refused(file_book: Book, typed: str) -> None:
    story = tell(file_book)
    with pytest.raises(InputRefused, match="not the head of a test"):
        file_book.verify(story.test_id, typed)
    with pytest.raises(InputRefused, match="belongs to one test"):
        file_book.verify(head="0" * 64)


# If this failed, a slip with a database tool would change what the book keeps, and only verify would tell afterwards.
@pytest.mark.parametrize("table", ["entries", "sheets"])
@pytest.mark.parametrize("deed", ["UPDATE {} SET {} = 'x'", "DELETE FROM {}", "TRUNCATE {}"])
def test_the_database_itself_refuses_changes(book: Book, table: str, deed: str) -> None:
    tell(book)
    if deed.startswith("TRUNCATE") and book._door.engine.dialect.name == "sqlite":
        deed = "DELETE FROM {}"
    words = deed.format(table, "who" if table == "entries" else "text")
    with behind(book, guards=True) as connection, pytest.raises(DBAPIError, match="never changed"):
        connection.exec_driver_sql(words)
    assert book.verify() == ()


# If this failed, somebody could take the guards off, work in peace, and leave no sign of it.
def test_a_guard_taken_off_is_found(book: Book) -> None:
    with behind(book, guards=True) as connection:
        if book._door.engine.dialect.name == "sqlite":
            connection.exec_driver_sql("DROP TRIGGER entries_no_update")
        else:
            connection.exec_driver_sql("ALTER TABLE entries DISABLE TRIGGER entries_kept")
        connection.commit()
    (finding,) = book.verify()
    assert "was taken off" in str(finding)


# If this failed, a key could be used twice behind the book's back, and a phone's reading would be taken for another.
def test_the_database_keeps_keys_apart(book: Book) -> None:
    test_id = book.start(header(), sheet_text=None, key="a", **WHO)
    book.add(test_id, pull("1", 150), key="b", **WHO)
    with pytest.raises(DBAPIError), behind(book) as connection:
        connection.exec_driver_sql("UPDATE entries SET key = 'a' WHERE seq = 2")


def contents(path: Path) -> list[Any]:
    """Return everything in a database file, and the names of what it is made of; raises where it cannot be read."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.text_factory = bytes
        tables = [
            name.decode() for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        ]
        rows = [sorted(connection.execute(f"SELECT * FROM {name}"), key=repr) for name in sorted(tables)]  # noqa: S608 - our tables
        return [sorted(tables), rows]


def readable(path: Path) -> list[Any] | None:
    """Return everything in a database file, or None where it cannot be read."""
    try:
        return contents(path)
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def says_nothing(path: Path) -> bool:
    """Tell whether the book finds nothing wrong; whatever else is asked of it, it answers in its own words."""
    try:
        with Book.open(path, create=False) as book:
            for ask in (book.tests, book.engines, book.gauges, book.export, lambda: book.events("0417")):
                with contextlib.suppress(RingtrueError):
                    ask()
            with contextlib.suppress(RingtrueError):
                book.add(book.start(header(), sheet_text=None, key=key(), **WHO), pull("1", 150), key=key(), **WHO)
            return book.verify() == ()
    except BookUnusable:
        return False


def passes_integrity_check(path: Path) -> bool:
    """Tell whether SQLite's own check finds nothing wrong."""
    try:
        with contextlib.closing(sqlite3.connect(path)) as connection:
            return connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    except (sqlite3.Error, UnicodeDecodeError):
        return False


# If this failed, a bad disk could change a reading, and the engine would be judged by it.
def test_damage_to_the_file_is_found(file_book: Book, tmp_path: Path, soaking: bool) -> None:
    tell(file_book)
    file_book.set_owner("0417", Owner("An Owner", "0000 / 1", "a street", "note " * 50))
    source = file_of(file_book)
    copied = tmp_path / "damaged.ringtrue"
    good = contents(source)
    raw = source.read_bytes()
    chance = random.Random(7)
    changed = missed = overlooked = 0
    rounds = 6_000 if soaking else 300
    for round_ in range(rounds):
        damaged = bytearray(raw)
        match round_ % 15:
            case 0:  # a page of nothing
                page = chance.randrange(len(raw) // 4096) * 4096
                damaged[page : page + 4096] = bytes(4096)
            case 1:  # the end is missing
                del damaged[chance.randrange(len(raw)) :]
            case 2:  # a sector from elsewhere
                here, there = (chance.randrange(len(raw) // 512) * 512 for _ in range(2))
                damaged[here : here + 512] = raw[there : there + 512]
            case _:
                damaged[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
        copied.write_bytes(damaged)
        if readable(copied) == good:
            continue
        changed += 1
        overlooked += passes_integrity_check(copied)
        missed += says_nothing(copied)
        copied.with_name(f"{copied.name}-journal").unlink(missing_ok=True)
    LOG.info("%d damages changed data, %d missed; SQLite's own check missed %d", changed, missed, overlooked)
    assert missed == 0
    assert changed > rounds // 8
    assert overlooked > 0  # control: SQLite's own check is no check sum
    shutil.copyfile(source, copied)
    assert says_nothing(copied)
