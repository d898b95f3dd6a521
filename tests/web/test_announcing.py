"""What is written comes to every screen, whoever writes it."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from tests.records.making import WHO, pull
from tests.served import Served, key

from ringtrue.errors import BookUnusable
from ringtrue.records import Book
from ringtrue.web import announcer
from ringtrue.web.announcer import Announcer

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import pytest


# If this failed, a screen would show last minute's figures beside an engine that is being tested from another phone.
def test_another_phone_s_reading_comes_to_the_screen(served: Served) -> None:
    test, one, two = served.test(), served.phone(), served.phone(device="other phone")
    with one.stream(test) as states:
        assert next(states)["version"] == 1
        assert two.pull(test, "3", 150).status == 201
        state = next(states)
    assert (state["version"], state["cylinders"][2]["readings"][0]["final"]) == (2, "150")


# If this failed, what is typed at a terminal of the shop PC would not come to the screens.
def test_another_program_s_reading_comes_to_the_screen(served: Served) -> None:
    test, phone = served.test(), served.phone()
    with phone.stream(test) as states:
        assert next(states)["version"] == 1
        with Book.open(served.book_path) as other:
            for number in (1, 2):
                other.add(test, pull(str(number), 150), key=key(), **WHO)
                assert next(states)["version"] == 1 + number


class Watched:
    """A test that others write into."""

    def __init__(self) -> None:
        self.head, self.looks, self.worked_out, self.fails = "a", 0, 0, False

    def state(self, test: str, having: object = None) -> tuple[str, bytes]:
        del having
        self.worked_out += 1
        return self.head, f"{test} {self.head}".encode()

    def heads(self, tests: Iterable[str]) -> Mapping[str, str]:
        self.looks += 1
        if self.fails:
            raise BookUnusable.of("", "it is away", "wait")
        return dict.fromkeys(tests, self.head)


# If this failed, screens would be told the same thing over and over, the book be asked when nobody looks, or a book
# that was away for a moment never be looked at again.
def test_the_book_is_asked_while_somebody_watches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(announcer, "LOOK_EVERY", 0.01)
    book = Watched()

    async def watch() -> list[bytes | None]:
        told = Announcer(book.state, book.heads)
        stream = told.watch("t", 0.1)
        heard = [await anext(stream), await anext(stream)]
        book.head = "b"
        heard.append(await anext(stream))
        book.fails = True
        heard.append(await anext(stream))
        book.head, book.fails = "c", False
        heard.append(await anext(stream))
        # What this server has written and told is not found again by looking.
        worked_out, book.head = book.worked_out, "d"
        told.changed("t")
        heard += [await anext(stream), await anext(stream)]
        assert book.worked_out == worked_out + 1
        await stream.aclose()
        assert told.watched == frozenset()
        await asyncio.sleep(0.05)
        looks = book.looks
        await asyncio.sleep(0.05)
        assert looks == book.looks
        return heard

    heard = asyncio.run(watch())
    assert heard == [b"t a", None, b"t b", None, b"t c", b"t d", None]
