"""Writers that wait share one commit, and nobody answers for another's work."""

from __future__ import annotations

import threading
import time
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import event
from tests.records.making import WHO, behind, header, key, pull

from ringtrue.errors import BookFull, BookLocked, InputRefused
from ringtrue.records import Book, _place, _sharing, _sqlite

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sqlalchemy import Connection

    from ringtrue.records import Entry


class Queue:
    """A book whose writers are made to wait until all of them stand in line."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
        self.commits = 0
        event.listen(book._door.engine, "commit", self._count)

    def _count(self, connection: Connection) -> None:
        del connection
        self.commits += 1

    def together(self, *deeds: Callable[[], Entry]) -> list[Entry | BaseException]:
        """Do all of it at once; what each got."""
        line = self.book._door._line
        futures: list[Future[Entry]] = []
        self.commits = 0
        with ThreadPoolExecutor(len(deeds)) as writers:
            with line._turn:
                for number, deed in enumerate(deeds, 1):
                    futures.append(writers.submit(deed))
                    while len(line._waiting) < number:
                        time.sleep(0.001)
            return [future.exception() or future.result() for future in futures]

    def add(self, final: float, cylinder: str = "1", with_key: str = "") -> Callable[[], Entry]:
        """Return what writes one reading."""
        name = with_key or key()
        return lambda: self.book.add(self.test_id, pull(cylinder, final), key=name, **WHO)

    def finals(self) -> list[str]:
        """Return what stands in the test, in the order written."""
        return [str(row.final.written) for row in self.book.test(self.test_id).test.taken if row.final]  # type: ignore[union-attr]


@pytest.fixture
def queue(book: Book) -> Iterator[Queue]:
    """Yield a book with a test in it."""
    yield Queue(book)
    assert book.verify() == ()


# If this failed, twenty phones would wait for twenty commits, one after the other, or be told of a commit that is not.
def test_those_who_wait_share_a_commit(queue: Queue) -> None:
    found = queue.together(*(queue.add(100 + number) for number in range(20)))
    assert [each.seq for each in found if not isinstance(each, BaseException)] == list(range(2, 22))
    assert queue.commits == 1
    assert queue.finals() == [str(100 + number) for number in range(20)]


# If this failed, a crowd would make the first of it wait for the last.
def test_no_commit_is_shared_by_too_many(queue: Queue, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_sharing, "MOST_TOGETHER", 3)
    queue.together(*(queue.add(100 + number) for number in range(8)))
    assert queue.commits == 3
    assert queue.finals() == [str(100 + number) for number in range(8)]


# If this failed, one phone's mistake would throw away another's reading, or part of what was refused would stay.
def test_a_refusal_is_his_who_made_it(queue: Queue) -> None:
    def half() -> Entry:
        def work(connection: Connection) -> Entry:
            del connection
            raise InputRefused.of("", "no", "do not", "final")

        return queue.book._door.write(work)

    def nobody() -> Entry:
        return queue.book.withdraw(queue.test_id, 99, why="it is not there", key=key(), **WHO)

    one, two, three, four = queue.together(queue.add(150), half, nobody, queue.add(151))
    assert isinstance(two, InputRefused)
    assert isinstance(three, Exception)
    assert (one.seq, four.seq) == (2, 3)  # type: ignore[union-attr]
    assert queue.commits == 1
    assert queue.finals() == ["150", "151"]


# If this failed, a reading that comes twice in one moment would be in the book twice.
def test_the_same_key_twice_in_one_commit(queue: Queue) -> None:
    again = key()
    one, two, three = queue.together(queue.add(150, with_key=again), queue.add(150, with_key=again), queue.add(151))
    assert one == two
    assert three.seq == 3  # type: ignore[union-attr]
    assert queue.finals() == ["150", "151"]


# If this failed, a fault of the program in one writer's work would be told to another, or lose his reading.
def test_a_fault_of_the_program_is_told_to_one(queue: Queue) -> None:
    def broken() -> Entry:
        def work(connection: Connection) -> Entry:
            del connection
            raise ZeroDivisionError

        return queue.book._door.write(work)

    one, two, three = queue.together(queue.add(150), broken, queue.add(151))
    assert isinstance(two, ZeroDivisionError)
    assert (one.seq, three.seq) == (2, 3)  # type: ignore[union-attr]
    assert queue.finals() == ["150", "151"]


# If this failed, the rest of the line would wait for ever when the writer whose turn it is is stopped.
def test_the_line_goes_on_when_one_is_stopped(queue: Queue, monkeypatch: pytest.MonkeyPatch) -> None:
    line = queue.book._door._line
    whole, stops = line._whole, [KeyboardInterrupt]

    def stopped_once(work: Callable[[Connection], None], until: float) -> None:
        if stops:
            raise stops.pop()
        whole(work, until)

    monkeypatch.setattr(line, "_whole", stopped_once)
    found = queue.together(*(queue.add(150 + number) for number in range(3)))
    assert sum(isinstance(each, KeyboardInterrupt) for each in found) == 1
    assert sorted(each.seq for each in found if not isinstance(each, BaseException)) == [2, 3]
    assert len(queue.finals()) == 2


# If this failed, a disk that has room for some of the readings would be told to have taken all, or none.
def test_a_disk_that_fills_up_in_a_shared_commit(file_book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    queue = Queue(file_book)
    with behind(file_book) as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    monkeypatch.setitem(_sqlite.WANTED, "max_page_count", pages + 2)
    found = queue.together(*(queue.add(100 + number) for number in range(40)))
    kept = [each for each in found if not isinstance(each, BaseException)]
    assert all(isinstance(each, BookFull) for each in found if isinstance(each, BaseException))
    assert 0 < len(kept) < 40
    assert file_book.test(queue.test_id).entries[1:] == tuple(kept)
    assert file_book.verify() == ()


# If this failed, a line of phones would wait for a program that hangs one after the other, each as long as the first.
def test_all_of_them_wait_no_longer_than_one(file_book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_place, "WAIT_S", 0.3)
    queue = Queue(file_book)
    with behind(file_book) as other:
        other.exec_driver_sql("UPDATE ringtrue_version SET version_num = version_num")
        began = time.monotonic()
        found = queue.together(*(queue.add(100 + number) for number in range(20)))
        assert time.monotonic() - began < 20 * 0.3 / 2
        assert all(isinstance(each, BookLocked) for each in found)
    assert queue.finals() == []


# If this failed, twenty phones would spend the processor on taking turns in the book, and wait for one another's turns.
def test_few_look_at_once_and_nobody_is_kept_out_for_ever(file_book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    inside, most = [0], [0]
    door = file_book._door

    def look(connection: Connection) -> int:
        del connection
        inside[0] += 1
        most[0] = max(most[0], inside[0])
        time.sleep(0.01)
        inside[0] -= 1
        return 1

    with ThreadPoolExecutor(12) as many:
        assert sum(many.map(lambda _: door.read(look), range(24))) == 24
    assert most[0] == _sharing.LOOKING_AT_ONCE
    monkeypatch.setattr(_place, "WAIT_S", 0.05)
    stay = threading.Event()
    with ThreadPoolExecutor(2) as slow:
        both = [slow.submit(door.read, lambda _: stay.wait(30)) for _ in range(2)]
        time.sleep(0.2)
        assert door.read(lambda _: "nobody waits longer than for a book that is locked") != ""
        assert not any(each.done() for each in both)
        stay.set()
