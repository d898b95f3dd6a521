"""What is written or read many at a time is what it would be one at a time."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from tests.records.making import SHEET, WHO, behind, header, key, leakdown, pull, six_pulls, tell

from ringtrue.errors import BookDamaged, InputRefused, NotInBook
from ringtrue.records import Book, BroughtIn, EntryKind, Recorded, Whole

if TYPE_CHECKING:
    from ringtrue.compression import LeakdownReading, Pull

FROM = BroughtIn("notebook.csv", "ab" * 32, "rows 2 to 7")


def whole(engine: str, number: int, rows: tuple[Pull | LeakdownReading, ...] | None = None) -> Whole:
    """Return a test that was brought in."""
    said = replace(header(engine, f"engine {engine}"), date=f"2019-05-{number:02d}", brought_in=FROM)
    return Whole(said, six_pulls() if rows is None else rows, None, f"{engine}/{number}/test")


# If this failed, tests that came in together would have chains that nobody can check, or say something else.
def test_many_tests_written_at_once_are_those_written_one_by_one(book: Book) -> None:
    given = [whole("0417", 1), whole("0417", 2, (pull("1", 150), leakdown("1", 70))), whole("0500", 3)]
    given[2] = replace(given[2], sheet_text=SHEET.replace("0417", "0500").replace("Launch six", "engine 0500"))
    made = book.enter_all(given, **WHO)
    assert [new for _, new in made] == [True, True, True]
    assert [each.test_id for each in book.tests()] == [test_id for test_id, _ in made]
    for each, (test_id, _) in zip(given, made, strict=True):
        recorded = book.test(test_id)
        assert (recorded.header, recorded.test.taken, recorded.finished) == (each.header, each.rows, True)
        assert [entry.key for entry in recorded.entries[1:-1]] == [f"{each.key}/{n + 1}" for n in range(len(each.rows))]
        assert recorded.sheet_text == each.sheet_text
        assert {(entry.who, entry.device) for entry in recorded.entries} == {(WHO["who"], WHO["device"])}
    assert book.verify() == ()
    later = book.add(made[0][0], pull("6", 149), key=key(), **WHO)
    assert (later.seq, book.test(made[0][0]).test.taken[-1]) == (9, pull("6", 149))


# If this failed, bringing in the same years again would double them, or lose a test that is new among them.
def test_keys_that_are_there_make_no_second_test(book: Book) -> None:
    first = book.enter_all([whole("0417", 1), whole("0417", 2)], **WHO)
    again = book.enter_all([whole("0417", 2), whole("0417", 3), whole("0417", 1)], **WHO)
    assert [new for _, new in again] == [False, True, False]
    assert (again[0][0], again[2][0]) == (first[1][0], first[0][0])
    assert book.count_tests("0417") == 3
    with pytest.raises(InputRefused, match="already stands on the opened entry"):
        book.enter_all([whole("0417", 4), replace(whole("0500", 1), key="0417/1/test")], **WHO)
    assert (book.count_tests(), [each.key for each in book.engines()]) == (3, ["0417"])


# If this failed, a test that cannot be written would leave those before it in the book.
def test_all_or_nothing(book: Book) -> None:
    unprintable = replace(whole("0417", 9), header=replace(header("0417"), engine="a\tb", engine_name=""))
    with pytest.raises(InputRefused, match="cannot be printed"):
        book.enter_all([whole("0417", 1), unprintable], **WHO)
    with pytest.raises(InputRefused, match="wo of the tests have one key"):
        book.enter_all([whole("0417", 1), whole("0417", 1)], **WHO)
    assert (book.tests(), book.engines()) == ((), ())


# If this failed, a page would show a test of which one entry was changed, or withhold those that are whole beside it.
def test_many_tests_read_at_once_are_those_read_one_by_one(book: Book) -> None:
    story = tell(book)
    ids = [each.test_id for each in book.tests()]
    book.enter_all([whole("0600", number) for number in range(1, 6)], **WHO)
    ids = [each.test_id for each in book.tests()][::-1]
    assert book.tests_read(ids) == tuple(book.test(each) for each in ids)
    assert book.tests_read([story.test_id.upper(), story.test_id]) == (book.test(story.test_id),) * 2
    with behind(book) as connection:
        connection.exec_driver_sql(f"UPDATE entries SET who = 'another' WHERE chain = '{ids[0]}' AND seq = 3")  # noqa: S608 - an id of our own
    found = book.tests_read(ids)
    assert isinstance(found[0], BookDamaged)
    assert str(found[0]).startswith(book.where)
    with pytest.raises(BookDamaged) as alone:
        book.test(ids[0])
    assert str(alone.value) == str(found[0])
    assert [each.test_id for each in found[1:] if not isinstance(each, BookDamaged)] == ids[1:]
    with pytest.raises(NotInBook, match="no such test"):
        book.tests_read([ids[1], "k3v9-t2mq"])


# If this failed, a page of a long list would leave tests out, show them twice, or call a finished one open.
def test_lists_in_portions(book: Book) -> None:
    tell(book)
    book.enter_all([whole("0600", number) for number in range(1, 8)], **WHO)
    begun = book.start(header("0600", "engine 0600"), sheet_text=None, key=key(), **WHO)
    everything = book.tests()
    assert len(everything) == book.count_tests() == 10
    assert book.tests(latest=4) == everything[-4:]
    assert book.tests(latest=4, skip=4) == everything[-8:-4]
    assert book.tests(latest=4, skip=8) == everything[:2]
    assert book.tests("engine 0600", latest=2) == everything[-2:]
    assert [each.test_id for each in book.open_tests()] == [begun]
    assert book.open_tests(latest=1) == book.tests(latest=1)
    assert [each.readings for each in everything] == [len(book.test(each.test_id).test.taken) for each in everything]


# If this failed, an engine could not be found by what is written on its tag.
def test_engines_are_found_by_part_of_name_or_reference(book: Book) -> None:
    for number, name in enumerate(("Launch six", "launch 4", "Saloon eight", "Straße vier"), 1):
        said = replace(header(f"04{number}"), engine_name=name)
        book.enter_all([Whole(said, (pull("1", 150),), None, f"key {number}")], **WHO)
    assert [each.key for each in book.engines_found("LAUNCH", first=0, most=9)[0]] == ["041", "042"]
    assert [each.key for each in book.engines_found("043", first=0, most=9)[0]] == ["043"]
    assert [each.key for each in book.engines_found("strasse 04", first=0, most=9)[0]] == ["044"]
    shown, total = book.engines_found("", first=1, most=2)
    assert ([each.key for each in shown], total) == (["042", "043"], 4)
    assert [(each.tests, each.sheets) for each in shown] == [(1, 0), (1, 0)]
    assert book.engines_found("", first=9, most=2) == ((), 4)
    assert (book.engine("LAUNCH SIX").key, book.engine("042").name) == ("041", "launch 4")
    with pytest.raises(NotInBook, match="no such engine"):
        book.engine("lunch six")


# If this failed, an earlier ringtrue would read past where a test came from, or refuse books that hold nothing new.
def test_only_what_was_brought_in_needs_the_newer_edition(book: Book, tmp_path_factory: pytest.TempPathFactory) -> None:
    plain = book.enter(header(), [pull("1", 150)], sheet_text=None, key=key(), **WHO)
    assert json.loads(book.export())["edition"] == 1
    assert "brought_in" not in book.test(plain).entries[0].body
    ((test_id, _),) = book.enter_all([whole("0500", 1)], **WHO)
    assert (json.loads(book.export(plain))["edition"], json.loads(book.export(test_id))["edition"]) == (1, 3)
    with Book.open(tmp_path_factory.mktemp("other") / "book.ringtrue") as other:
        other.import_(book.export())
        assert other.test(test_id).header.brought_in == FROM
        assert other.export() == book.export()


# If this failed, hashes would be other than record-book.md tells people to work them out.
def test_hashes_are_those_of_the_guide_for_any_alphabet(book: Book) -> None:
    said = replace(header(), note="Öl, 80 °C, 氣缸")
    test_id = book.enter(said, [pull("1", 150)], sheet_text=None, key=key(), **WHO)
    for entry in book.test(test_id).entries:
        fields = (entry.chain, str(entry.seq), entry.kind.value, entry.key, entry.who, entry.device, entry.at)
        digest = hashlib.sha256()
        for part in ("ringtrue entry 1", *fields, entry.body, entry.previous):
            digest.update(f"{len(part.encode())}:".encode() + part.encode() + b",")
        assert digest.hexdigest() == entry.hash
    assert book.test(test_id).entries[0].kind is EntryKind.OPENED


READ_AT_ONCE = """
import sys, threading
sys.setswitchinterval(1e-6)
from ringtrue.records import Book
book = Book.open(sys.argv[1])
together = threading.Barrier(16)
read = []
def look():
    together.wait()
    read.append(book.test(sys.argv[2]).head)
threads = [threading.Thread(target=look) for _ in range(16)]
for each in threads: each.start()
for each in threads: each.join()
print(*read)
"""


# If this failed, a server would die when every phone of the shop asks in its first moment, as after a restart. Met in
# one start of twenty; with switches this often, without what mends it, five of six of these died.
def test_the_first_things_that_a_program_reads_may_be_read_by_many(file_book: Book) -> None:
    test_id, _ = file_book.enter_all([whole("0417", 1)], **WHO)[0]
    head = file_book.test(test_id).head
    for _ in range(3):
        command = [sys.executable, "-X", "faulthandler", "-c", READ_AT_ONCE, file_book.where, test_id]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout.split()) == (0, [head] * 16), done.stderr[-2000:]


# If this failed, a phone would be shown a test from before another one's reading, or the server would read every
# reading of a test again for each that is added.
def test_a_test_as_it_was_read_last_is_the_one_in_the_book(
    book: Book, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    test_id, _ = book.enter_all([whole("0417", 1)], **WHO)[0]
    read: list[str] = []
    reading = Book.test

    def counted(self: Book, test_id: str) -> Recorded:
        read.append(test_id)
        return reading(self, test_id)

    monkeypatch.setattr(Book, "test", counted)
    with Book.open(where) as other:
        assert book.latest(test_id) == book.latest(test_id.upper().replace("-", " ")) == reading(other, test_id)
        assert len(read) == 1
        other.add(test_id, pull("6", 149), key=key(), **WHO)
        assert book.latest(test_id) == reading(other, test_id)
        assert book.latest(test_id).test.taken[-1] == pull("6", 149)
        assert len(read) == 2
    with pytest.raises(NotInBook, match="no such test"):
        book.latest("2222-2222")


# If this failed, a phone would be told that its reading stands otherwise than it does: what is kept in memory of a test
# has to be, after every reading, what the book would read.
def test_a_test_kept_in_memory_grows_as_the_one_in_the_book(book: Book, where: str) -> None:
    test_id = book.start(header(), sheet_text=SHEET, key=key(), **WHO)
    with Book.open(where) as other:
        book.test(test_id)
        rows: tuple[Pull | LeakdownReading, ...] = (*six_pulls(), leakdown("1", 70), pull("1", 151))
        for number, row in enumerate(rows):
            entry = book.add(test_id, row, key=key(), **WHO)
            assert book.latest(test_id, entry) == book.latest(test_id) == other.test(test_id)
            if number == 3:
                other.correct(test_id, entry.seq, pull("4", 148), why="said later", key=key(), **WHO)
            elif number == 5:
                other.put_aside(test_id, why="begun on the wrong engine", key=key(), **WHO)
            elif number == 6:
                book.finish(test_id, key=key(), **WHO)
        # The same key once more is the entry of before, which stands in the middle.
        once = book.add(test_id, pull("2", 150), key="once", **WHO)
        book.add(test_id, pull("3", 150), key=key(), **WHO)
        assert book.add(test_id, pull("2", 150), key="once", **WHO) == once
        assert book.latest(test_id, once) == book.latest(test_id) == other.test(test_id)
    assert book.verify() == ()
