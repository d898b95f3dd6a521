"""Several people, several programs, one book."""

from __future__ import annotations

import logging
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import psycopg
import pytest
from sqlalchemy import make_url
from tests.postgres import running_server
from tests.records.appender import append_some, open_and_start, start
from tests.records.making import WHO, header, key, pull

from ringtrue.errors import BookUnusable
from ringtrue.records import Book, _postgres

if TYPE_CHECKING:
    from pathlib import Path


LOG = logging.getLogger(__name__)
CUT = """
    SELECT pg_terminate_backend(pid) FROM pg_stat_activity
    WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'
"""


# If this failed, two phones at one engine would overwrite each other's readings, or share a number.
def test_threads_on_one_test(book: Book) -> None:
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)

    def write(phone: int) -> list[int]:
        return [book.add(test_id, pull(f"{phone}", n), key=f"{phone}/{n}", **WHO).seq for n in range(1, 11)]

    with ThreadPoolExecutor(4) as phones:
        seqs = list(phones.map(write, range(4)))
    assert sorted(seq for each in seqs for seq in each) == list(range(2, 42))
    assert all(each == sorted(each) for each in seqs)
    recorded = book.test(test_id)
    assert {entry.key for entry in recorded.entries[1:]} == {f"{phone}/{n}" for phone in range(4) for n in range(1, 11)}
    assert book.verify() == ()


# If this failed, the shop PC and the phone, each with a program of its own, would spoil the book for each other.
def test_processes_on_one_test(book: Book, where: str) -> None:
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
    keys = [[f"{phone}/{n}" for n in range(10)] for phone in range(4)]
    running = [start(append_some, where, test_id, each) for each in keys]
    seqs = [listen.recv() for _, listen in running]
    for process, _ in running:
        process.join()
        assert process.exitcode == 0
    assert sorted(seq for each in seqs for seq in each) == list(range(2, 42))
    assert book.verify() == ()


# If this failed, a reading sent twice at the same moment, over Wi-Fi and over the cable, would be in the book twice.
def test_the_same_key_at_the_same_moment(book: Book) -> None:
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)

    def write(n: int) -> tuple[int, str]:
        seq = book.add(test_id, pull("1", 150), key=f"reading {n // 4}", **WHO).seq
        return seq, book.start(header(), sheet_text="a sheet\n", key=f"test {n // 4}", **WHO)

    with ThreadPoolExecutor(4) as phones:
        found = list(phones.map(write, range(40)))
    assert len({seq for seq, _ in found}) == 10
    assert len({test for _, test in found}) == 10
    assert len(book.tests()) == 11
    assert len(book.sheets("0417")) == 1
    assert book.verify() == ()


# If this failed, two programs started at the same moment would each make a book, and one would write into nothing.
def test_two_programs_make_the_same_book(where: str) -> None:
    running = [start(open_and_start, where, f"key {n % 2}") for n in range(6)]
    ids = [listen.recv() for _, listen in running]
    for process, _ in running:
        process.join()
        assert process.exitcode == 0
    with Book.open(where, create=False) as book:
        assert len(set(ids)) == 2
        assert {summary.test_id for summary in book.tests()} == set(ids)
        assert book.verify() == ()


# If this failed, half-made books would be left lying beside the book.
def test_nothing_is_left_beside_a_book(tmp_path: Path) -> None:
    where = tmp_path / "book.ringtrue"
    running = [start(open_and_start, str(where), "key") for _ in range(3)]
    for process, listen in running:
        listen.recv()
        process.join()
    assert [path.name for path in tmp_path.iterdir()] == ["book.ringtrue"]


# If this failed, a conflict between two transactions on the server would lose the reading of one of them.
def test_a_transaction_the_server_gave_up_is_done_again(postgres_url: str) -> None:
    with Book.open(postgres_url) as book:
        test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
        tries = []

        def work(connection: object) -> int:
            tries.append(connection)
            if len(tries) < 3:
                code = "40001" if len(tries) == 1 else "40P01"
                connection.exec_driver_sql(f"DO $$ BEGIN RAISE EXCEPTION 'again' USING ERRCODE = '{code}'; END $$")  # type: ignore[attr-defined]
            return len(tries)

        assert book._door.write(work) == 3
        assert book.test(test_id).entries[0].seq == 1


# If this failed, a connection that the server cut, before or after the commit, would lose a reading or double it.
def test_connections_cut_by_the_server(postgres_url: str, soaking: bool) -> None:
    rounds = 100 if soaking else 10
    address = make_url(postgres_url).set(drivername="postgresql").render_as_string(False)
    with Book.open(postgres_url) as book, psycopg.connect(address, autocommit=True) as axe:
        test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
        cut = 0

        def write(n: int) -> int:
            return book.add(test_id, pull("1", 150), key=f"reading {n}", **WHO).seq

        with ThreadPoolExecutor(3) as phones:
            for round_ in range(rounds):
                written = phones.map(write, range(round_ * 12, round_ * 12 + 12))
                cut += len(axe.execute(CUT).fetchall())
                assert len(set(written)) == 12
        assert cut > 0
        assert [entry.seq for entry in book.test(test_id).entries] == list(range(1, rounds * 12 + 2))
        assert len({entry.key for entry in book.test(test_id).entries}) == rounds * 12 + 1
        assert book.verify() == ()


# If this failed, a server whose machine goes off would take acknowledged readings with it, or double those it was asked
# for again.
@pytest.mark.soak
def test_a_server_that_crashes() -> None:
    with running_server() as running, Book.open(running.server.url("postgres")) as book:
        test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
        refused = 0

        def write(n: int) -> int:
            nonlocal refused
            while True:
                try:
                    return book.add(test_id, pull("1", 150), key=f"reading {n}", **WHO).seq
                except BookUnusable:
                    refused += 1

        with ThreadPoolExecutor(4) as phones:
            for round_ in range(100):
                written = phones.map(write, range(round_ * 24, round_ * 24 + 24))
                running.crash()
                assert len(set(written)) == 24
        entries = book.test(test_id).entries
        assert [entry.seq for entry in entries] == list(range(1, 2_402))
        assert {entry.key for entry in entries[1:]} == {f"reading {n}" for n in range(2_400)}
        assert book.verify() == ()
        LOG.info("100 crashes, %d times told that the server does not answer, 0 lost, 0 doubled", refused)


# If this failed, what a transaction reads would be two states of the book at once, and a whole test would look damaged.
def test_reading_while_others_write(book: Book) -> None:
    test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
    with ThreadPoolExecutor(2) as pool:
        writer = pool.submit(
            lambda: [book.add(test_id, pull("1", n), key=f"reading {n}", **WHO).seq for n in range(1, 41)]
        )
        while not writer.done():
            recorded = book.test(test_id)
            assert [entry.seq for entry in recorded.entries] == list(range(1, len(recorded.entries) + 1))
            assert book.verify() == ()
        assert writer.result() == list(range(2, 42))


# If this failed, every add would wait for a new connection to the server.
def test_a_server_s_connections_are_kept(postgres_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made = []
    wanted = dict(_postgres._WANTED)

    class Counted(dict[str, str]):
        def items(self) -> object:  # type: ignore[override]
            made.append(1)
            return wanted.items()

    monkeypatch.setattr(_postgres, "_WANTED", Counted())
    with Book.open(postgres_url) as book:
        for _ in range(5):
            book.tests()
    assert len(made) == 1
