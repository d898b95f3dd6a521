"""A book gives everything out, and takes it in again to the byte."""

from __future__ import annotations

import hashlib
import json
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest
from tests.records.making import (
    SHEET,
    WHO,
    behind,
    gauge,
    header,
    key,
    photograph,
    pull,
    six_pulls,
    take_pictures,
    tell,
)

from ringtrue.errors import BookDamaged, InputRefused
from ringtrue.records import Book, Owner
from ringtrue.records._schema import schema

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ROOT = Path(__file__).resolve().parents[2]
PUBLISHED = ROOT / "docs" / "schemas" / "book-export.schema.json"
GUIDE = ROOT / "docs" / "guide" / "record-book.md"


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Book]:
    """Yield a second, empty book."""
    with Book.open(tmp_path / "other.ringtrue") as opened:
        yield opened


# If this failed, moving to another machine would lose something.
def test_a_book_goes_round_to_the_byte(book: Book, other: Book) -> None:
    story = tell(book)
    book.set_owner("0417", Owner("An Owner", "0000 / 1"))
    document = book.export(owners=True)
    assert book.export(owners=True) == document
    done = other.import_(document)
    assert (done.added, done.extended, done.unchanged) == (tuple(each.test_id for each in book.tests()), (), ())
    assert (done.entries, done.owners) == (sum(len(each["entries"]) for each in json.loads(document)["chains"]), 1)
    assert other.export(owners=True) == document
    assert other.test(story.test_id) == book.test(story.test_id)
    assert other.tests() == book.tests()
    assert other.engines() == book.engines()
    assert other.gauge_history("shop gauge") == book.gauge_history("shop gauge")
    assert other.events("0417") == book.events("0417")
    assert other.owner("0417") == book.owner("0417")
    assert other.verify() == ()


# If this failed, one test handed to an owner could not be read back by anybody.
def test_one_test_goes_round_to_the_byte(book: Book, other: Book) -> None:
    story = tell(book)
    document = book.export(story.test_id)
    other.import_(document)
    assert other.export(story.test_id) == document
    assert other.export() == document
    assert other.test(story.test_id) == book.test(story.test_id)


# If this failed, the empty book would be the only one that cannot be kept.
def test_an_empty_book_goes_round(book: Book, other: Book) -> None:
    assert other.import_(book.export()).entries == 0
    assert other.export() == book.export()


# If this failed, a file taken in twice by mistake would double every reading.
def test_taking_in_twice_adds_nothing(book: Book, other: Book) -> None:
    tell(book)
    book.set_owner("0417", Owner("An Owner"))
    document = book.export(owners=True)
    other.import_(document)
    again = other.import_(document)
    assert (again.added, again.extended, again.entries, again.owners) == ((), (), 0, 0)
    assert again.unchanged == tuple(each.test_id for each in book.tests())
    assert other.export(owners=True) == document
    assert book.import_(document).entries == 0


# If this failed, an owner's address would leave the shop with every test that is handed on.
def test_owners_go_out_only_when_asked_for(book: Book) -> None:
    story = tell(book)
    book.set_owner("0417", Owner("Unmistakable Name"))
    assert b"Unmistakable" not in book.export()
    assert b"Unmistakable" not in book.export(story.test_id)
    assert b"Unmistakable" in book.export(story.test_id, owners=True)


# If this failed, a laptop's later entries would not come home, or earlier exports would take them away again.
def test_a_test_that_went_on_elsewhere_is_carried_on(book: Book, other: Book) -> None:
    test_id = book.start(header(), sheet_text=SHEET, key=key(), **WHO)
    early = book.export()
    other.import_(early)
    other.add_all(test_id, six_pulls(), key=key(), **WHO)
    other.change_header(test_id, header("0500", "Green four"), why="wrong engine", key=key(), **WHO)
    done = book.import_(other.export())
    assert (done.added, done.extended, done.entries) == ((), (test_id,), 7)
    assert book.test(test_id) == other.test(test_id)
    assert book.tests("0417") == ()
    assert book.import_(early).unchanged == (test_id,)
    assert (book.export(), book.verify()) == (other.export(), ())


# If this failed, two histories of one test would be mixed into one that nobody wrote.
def test_a_test_that_went_two_ways_is_refused_whole(book: Book, other: Book) -> None:
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
    other.import_(book.export())
    book.add(test_id, pull("1", 150), key=key(), **WHO)
    other.add(test_id, pull("1", 149), key=key(), **WHO)
    other.enter(header("0500", "Green four"), six_pulls()[:4], sheet_text=None, key=key(), **WHO)
    before = book.export()
    with pytest.raises(InputRefused, match=rf"{test_id}: The book has this test too, and from entry 2 on"):
        book.import_(other.export())
    assert book.export() == before


# If this failed, two shops' gauges and logs could not be put together, or the older would win.
def test_registers_of_two_books_are_joined(book: Book, other: Book) -> None:
    for each, grade in ((book, 0.01), (other, 0.02)):
        each.add_event("0417", "heat cycle", new_engine=True, key=key(), **WHO)
        each.add_gauge(gauge(repeatability=grade), key=key(), **WHO)
    other.add_gauge(gauge("loan gauge"), key=key(), **WHO)
    document = other.export()
    assert book.import_(document).entries == 2
    assert book.gauges() == (gauge("loan gauge"), gauge(repeatability=0.01))
    assert len(book.events("0417")) == 2
    assert book.import_(document).entries == 0
    assert book.verify() == ()


# If this failed, another engine of the same name would slip in by way of a file.
def test_an_engine_of_the_same_name_is_refused_whole(book: Book, other: Book) -> None:
    book.start(header(), sheet_text=None, key=key(), **WHO)
    other.enter(header("0500", "Green four"), six_pulls()[:4], sheet_text=None, key=key(), **WHO)
    other.start(header("0417", "Red six"), sheet_text=None, key=key(), **WHO)
    before = book.export()
    with pytest.raises(InputRefused, match="the engine 0417 is called Launch six"):
        book.import_(other.export())
    assert book.export() == before


def changed(document: bytes, change: Callable[[Any], object]) -> bytes:
    """Return the document after a change to its parsed form."""
    read = json.loads(document)
    change(read)
    return json.dumps(read).encode()


def no_op(_: object) -> None:
    """Change nothing."""


# If this failed, a file that somebody had worked on would be taken for what the book gave out.
@pytest.mark.in_part(3)
@pytest.mark.parametrize(
    "change",
    [
        lambda d: d["chains"][0]["entries"][1].update(body=d["chains"][0]["entries"][1]["body"].replace("151", "161")),
        lambda d: d["chains"][0]["entries"][1].update(who="another"),
        lambda d: d["chains"][0]["entries"][1].update(device="another"),
        lambda d: d["chains"][0]["entries"][1].update(key="another"),
        lambda d: d["chains"][0]["entries"][1].update(at="2026-05-14T00:00:00.000000Z"),
        lambda d: d["chains"][0]["entries"][1].update(kind="leak-down"),
        lambda d: d["chains"][0]["entries"][1].update(kind="drawing"),
        lambda d: d["chains"][0]["entries"][1].update(seq=7),
        lambda d: d["chains"][0]["entries"][1].update(previous="0" * 64),
        lambda d: d["chains"][0]["entries"][1].update(hash="0" * 64),
        lambda d: d["chains"][0]["entries"].pop(1),
        lambda d: d["chains"][0]["entries"].pop(0),
        lambda d: d["chains"][0]["entries"].reverse(),
        lambda d: d["chains"][0]["entries"].insert(1, d["chains"][0]["entries"][1]),
        lambda d: d["chains"][0]["entries"].clear(),
        lambda d: d["chains"][0].update(name="2345-6789"),
        lambda d: d["chains"][0].update(name="gauges"),
        lambda d: d["chains"].append(d["chains"][0]),
        lambda d: d["chains"][0].pop("name"),
        lambda d: d["sheets"].clear(),
        lambda d: d["sheets"][0].update(text="another"),
        lambda d: d["sheets"].append({"engine": "0417", "text": "of no test"}),
        lambda d: d["sheets"].append(d["sheets"][0]),
        lambda d: d.pop("sheets"),
        lambda d: d.update(format="another program's file"),
        lambda d: d.update(extra=1),
        lambda d: d["sheets"][0].update(text="\0"),
        lambda d: d.update(owners=[{"engine": "0417", "name": "\0", "contact": "", "address": "", "note": ""}]),
        lambda d: d["chains"][0]["entries"][1].update(who=""),
        lambda d: d["chains"][0]["entries"][1].update(device="a\0b"),
    ],
)
def test_a_changed_document_is_refused_whole(file_book: Book, other: Book, change: Callable[[Any], object]) -> None:
    tell(file_book)
    document = file_book.export()
    other.add_gauge(gauge("its own"), key=key(), **WHO)
    before = other.export()
    with pytest.raises(InputRefused, match="nothing was taken in"):
        other.import_(changed(document, change))
    assert other.export() == before
    assert other.import_(changed(document, no_op)).entries > 0


# If this failed, something that is no export would stop the program instead of being refused.
@pytest.mark.parametrize(
    "raw", [b"", b"{}", b"[]", b"null", b"\xff\xfe", b"[" * 100_000, b'{"format": "x"', b'{"format": 1}', b"\0" * 9]
)
def test_what_is_no_document_is_refused(file_book: Book, raw: bytes) -> None:
    with pytest.raises(InputRefused, match="his is no export of a record book"):
        file_book.import_(raw)


# If this failed, what a later edition writes would be taken in with parts of it read past.
def test_a_document_of_a_later_edition_is_refused(file_book: Book, other: Book) -> None:
    tell(file_book)
    document = file_book.export()
    with pytest.raises(InputRefused, match="se the newer ringtrue"):
        other.import_(changed(document, lambda d: d.update(edition=4)))
    assert other.tests() == ()


def resealed(document: bytes, change: Callable[[Any], object], instead: str = "") -> bytes:
    """Return the document with one body changed, or put in its place, and every hash after it made good again."""
    read = json.loads(document)
    chain = read["chains"][0]
    body = json.loads(chain["entries"][1]["body"])
    change(body)
    chain["entries"][1]["body"] = instead or json.dumps(body)
    previous = ""
    for entry in chain["entries"]:
        entry["previous"] = previous
        entry["hash"] = previous = digest_by_hand(chain["name"], entry)
    return json.dumps(read).encode()


def digest_by_hand(chain: str, entry: dict[str, Any]) -> str:
    """Return an entry's hash, computed from the words of the guide alone."""
    columns = [chain, str(entry["seq"]), *(entry[name] for name in ("kind", "key", "who", "device", "at", "body"))]
    raws = [part.encode() for part in ("ringtrue entry 1", *columns, entry["previous"])]
    return hashlib.sha256(b"".join(str(len(raw)).encode() + b":" + raw + b"," for raw in raws)).hexdigest()


# If this failed, a field that a later edition adds to a reading would be dropped in silence.
def test_a_body_that_says_more_is_refused(file_book: Book, other: Book) -> None:
    test_id = file_book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    document = file_book.export(test_id)
    with pytest.raises(InputRefused, match="which this ringtrue does not know"):
        other.import_(resealed(document, lambda body: body.update(temperature=80)))
    with pytest.raises(InputRefused, match="which this ringtrue does not know"):
        other.import_(resealed(document, lambda body: body["final"].update(temperature=80)))
    assert other.import_(resealed(document, no_op)).entries == len(file_book.test(test_id).entries)


# If this failed, a body made to break the program would break it.
@pytest.mark.parametrize("ending", ["", "]" * 99_999 + "}"])
def test_a_body_without_bottom_is_refused(file_book: Book, other: Book, ending: str) -> None:
    test_id = file_book.enter(header(), six_pulls(), sheet_text=None, key=key(), **WHO)
    body = '{"cylinder": "1", "x": ' + "[" * 99_999 + ending
    with pytest.raises(InputRefused, match="nothing was taken in"):
        other.import_(resealed(file_book.export(test_id), no_op, body))


# If this failed, a hash made by another program after the guide would not be the book's.
def test_a_hash_made_by_hand_is_the_book_s(book: Book) -> None:
    tell(book)
    for chain in json.loads(book.export())["chains"]:
        for entry in chain["entries"]:
            assert digest_by_hand(chain["name"], entry) == entry["hash"]


# If this failed, the program in the guide, which an owner may run without ringtrue, would not do what is said of it.
def test_the_program_in_the_guide_checks_an_export(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (program,) = re.findall(r"```python\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.DOTALL)
    story = tell(book)
    good = book.export(story.test_id)
    path = tmp_path / "export.json"
    monkeypatch.setattr(sys, "argv", ["check.py", str(path)])
    path.write_bytes(good)
    exec(compile(program, "check.py", "exec"), {"__name__": "__main__"})  # noqa: S102 - our own guide
    assert book.test(story.test_id).head in capsys.readouterr().out
    path.write_bytes(good.replace(b"a builder", b"b builder", 1))
    with pytest.raises(SystemExit, match="entry 1"):
        exec(compile(program, "check.py", "exec"), {"__name__": "__main__"})  # noqa: S102 - our own guide


# If this failed, the published schema would describe another document than the book gives out. When a body changes on
# purpose, run tools/book_schema.py, and add an edition of the tables, so that an older ringtrue refuses such a book.
def test_the_published_schema_is_made_from_the_types() -> None:
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == schema()


# If this failed, another program could not rely on the schema.
def test_an_export_obeys_the_schema(book: Book) -> None:
    take_pictures(book, tell(book).test_id)
    empty = book.start(header(), sheet_text=None, key=key(), **WHO)
    book.put_aside(empty, why="begun by mistake", key=key(), **WHO)
    engine = book.tests()[0].header
    assert engine is not None
    book.add_event(engine.engine, "oil change", key=key(), **WHO)
    line = book.events(engine.engine)[-1].seq
    book.take_back_event(engine.engine, line, why="of another engine", key=key(), **WHO)
    seq = photograph(book, book.tests()[0].test_id, b"a number plate").seq
    book.erase_photograph(book.tests()[0].test_id, seq, why="a number plate is on it", key=key(), **WHO)
    book.set_owner("0417", Owner("An Owner"))
    told = schema()
    jsonschema.Draft202012Validator.check_schema(told)
    validator = jsonschema.Draft202012Validator(told)
    document = json.loads(book.export(owners=True))
    validator.validate(document)
    contents = {
        each["if"]["properties"]["kind"]["const"]: each["then"]["properties"]["body"]["contentSchema"]
        for each in told["$defs"]["EntryOut"]["allOf"]
    }
    seen = set()
    for chain in document["chains"]:
        for entry in chain["entries"]:
            seen.add(entry["kind"])
            body = {"$defs": told["$defs"], **contents[entry["kind"]]}
            jsonschema.Draft202012Validator(body).validate(json.loads(entry["body"]))
    assert seen == set(contents)
    document["chains"][0]["entries"][0]["hash"] = "short"
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(document)


# If this failed, a damaged book would hand its damage on under the name of an export.
def test_a_damaged_book_gives_nothing_out(book: Book) -> None:
    story = tell(book)
    with behind(book) as connection:
        connection.exec_driver_sql("UPDATE entries SET who = 'another' WHERE seq = 2")
    with pytest.raises(BookDamaged, match="entry 2: It is not what was written"):
        book.export()
    with pytest.raises(BookDamaged):
        book.export(story.test_id)


# If this failed, a build sheet could be changed after the test and go out as the one the test was made under.
def test_a_changed_sheet_does_not_go_out(book: Book) -> None:
    story = tell(book)
    with behind(book) as connection:
        connection.exec_driver_sql("UPDATE sheets SET text = 'another' WHERE revision = 1")
    for deed in (book.export, lambda: book.export(story.test_id), lambda: book.sheets("0417")):
        with pytest.raises(BookDamaged, match="sheet of 0417, revision 1"):
            deed()
