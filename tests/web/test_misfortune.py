"""A disk that is full, a book that another program holds: answered soon, never as saved, and nothing is lost."""

from __future__ import annotations

import contextlib
import sqlite3
import time
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest
from tests.records.making import behind
from tests.served import Served, key

from ringtrue.records import _place, _sqlite

if TYPE_CHECKING:
    from collections.abc import Iterator

SOON = 5.0
"""A phone is told within this time that its reading could not be kept. [s]"""
HELD, HELD_IN_SHORT = 30.0, 2.0


# If this failed, a full disk would be told as "saved", or the phone would have to be told to send again by hand.
def test_a_full_disk(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    test, phone = served.test(), served.phone()
    path = f"/api/tests/{test}/readings"
    with behind(served.book) as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    queue: list[dict[str, Any]] = [
        {"key": key(), "cylinder": "1", "unit": "psi", "final": "150", "repeat": True} for _ in range(60)
    ]
    monkeypatch.setitem(_sqlite.WANTED, "max_page_count", pages + 2)
    answers = [phone.post(path, said) for said in queue]
    kept = [said["key"] for said, answer in zip(queue, answers, strict=True) if answer.status == 201]
    assert {answer.status for answer in answers} == {201, 507}
    assert 0 < len(kept) < len(queue)
    full = next(answer for answer in answers if answer.status == 507).json
    assert "no room left; nothing was written" in full["says"]
    assert [entry.key for entry in served.book.test(test).entries[1:]] == kept
    # Looking on still works, and so does writing once there is room, without a start anew.
    assert len(phone.state(test)["cylinders"][0]["readings"]) == len(kept)
    monkeypatch.delitem(_sqlite.WANTED, "max_page_count")
    assert [phone.post(path, said).status for said in queue] == [201] * len(queue)
    assert sorted(entry.key for entry in served.book.test(test).entries[1:]) == sorted(said["key"] for said in queue)
    assert served.book.verify() == ()


@contextlib.contextmanager
def held(served: Served, how: str) -> Iterator[None]:
    """Hold the book as another program would that hangs."""
    with contextlib.closing(sqlite3.connect(served.book_path, isolation_level=None)) as other:
        other.execute(f"BEGIN {how}")
        yield
        other.execute("ROLLBACK")


# If this failed, a program that hangs would leave every phone waiting, or let one believe that its reading is kept.
@pytest.mark.parametrize("how", ["IMMEDIATE", "EXCLUSIVE"])
def test_a_book_held_by_another_program(
    served: Served, how: str, soaking: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not soaking:
        monkeypatch.setattr(_place, "WAIT_S", 0.4)
    assert _place.WAIT_S < SOON
    test = served.test()
    phones = [served.phone(device=f"phone {number}") for number in range(12)]
    queue = [
        {"key": key(), "cylinder": str(number % 6 + 1), "unit": "psi", "final": "150"} for number in range(len(phones))
    ]

    def send(number: int) -> tuple[int, float]:
        began = time.monotonic()
        answer = phones[number].post(f"/api/tests/{test}/readings", queue[number])
        return answer.status, time.monotonic() - began

    with ThreadPoolExecutor(len(phones)) as hands:
        with held(served, how):
            until = time.monotonic() + (HELD if soaking else HELD_IN_SHORT)
            while time.monotonic() < until:
                for status, waited in hands.map(send, range(len(phones))):
                    assert status == 503
                    assert waited <= SOON
            if how == "IMMEDIATE":
                assert phones[0].state(test)["version"] == 1
            else:
                assert phones[0].get(f"/api/tests/{test}").status == 503
        assert [status for status, _ in hands.map(send, range(len(phones)))] == [201] * len(phones)
    assert sorted(entry.key for entry in served.book.test(test).entries[1:]) == sorted(said["key"] for said in queue)


# If this failed, a screen across the shop would stay blank after a moment in which the book was held, or show old
# figures as new ones.
def test_a_screen_that_follows_through_it(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_place, "WAIT_S", 0.1)
    test, phone = served.test(), served.phone()
    with phone.stream(test) as states:
        assert next(states)["version"] == 1
        with held(served, "EXCLUSIVE"):
            assert phone.pull(test, "1", 150).status == 503
            time.sleep(0.7)
        assert phone.pull(test, "1", 150).status == 201
        assert next(states)["version"] == 2
    with held(served, "EXCLUSIVE"):
        answer = phone.ask("GET", f"/api/tests/{test}/events")
        assert answer.status == 503


# If this failed, a book that is taken away under the server would be made anew, empty, or a phone told "saved".
def test_a_book_that_goes_away(served: Served) -> None:
    test, phone = served.test(), served.phone()
    aside = served.book_path.with_name("elsewhere")
    served.book_path.rename(aside)
    said = {"key": key(), "cylinder": "1", "unit": "psi", "final": "150"}
    assert phone.post(f"/api/tests/{test}/readings", said).status == 503
    assert not served.book_path.exists()
    aside.rename(served.book_path)
    assert phone.post(f"/api/tests/{test}/readings", said).status == 201
