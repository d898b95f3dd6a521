"""A phone whose line breaks sends again until it is acknowledged; the book has every reading once."""

from __future__ import annotations

import http.client
import json
import random
from typing import TYPE_CHECKING, Any

import pytest
from tests.served import Phone, Served, key
from tests.web.lossy import Fault, Lossy

if TYPE_CHECKING:
    from tests.served import Answer

SCRIPTS, SOAK_SCRIPTS = 40, 1_000
SEED = 20_260_514
CYLINDERS = ("1", "2", "3", "4", "5", "6")
MOST_TRIES = 20


def queued(count: int, draw: random.Random) -> list[dict[str, Any]]:
    """Return what waits on a phone, in the order taken; now and then a cylinder comes twice."""
    return [
        {"key": key(), "cylinder": draw.choice(CYLINDERS), "unit": "psi", "final": str(draw.randint(140, 160))}
        for _ in range(count)
    ]


def replay(phone: Phone, test: str, queue: list[dict[str, Any]], lossy: Lossy) -> list[Answer]:
    """Send what waits, each until it is acknowledged, as the pull page does."""
    through = Phone(lossy.port, phone.token)
    acknowledged = []
    try:
        for said in queue:
            for _ in range(MOST_TRIES):
                try:
                    answer = through.ask("POST", f"/api/tests/{test}/readings", encoded(said), **as_page(phone))
                except (OSError, http.client.HTTPException):
                    continue
                acknowledged.append(answer)
                break
    finally:
        through.hang_up()
    return acknowledged


def encoded(said: dict[str, Any]) -> bytes:
    """Write JSON."""
    return json.dumps(said).encode()


def as_page(phone: Phone) -> dict[str, str]:
    """Return the headers of the page, which knows nothing of the line in between."""
    return {**phone.headers(), "content_type": "application/json"}


# If this failed, a reading would be lost or counted twice because the Wi-Fi went away in the wrong moment.
def test_every_script_leaves_every_reading_once(busy: Served, soaking: bool) -> None:
    draw = random.Random(SEED)
    phone = busy.phone()
    seen: set[Fault] = set()
    for number in range(SOAK_SCRIPTS if soaking else SCRIPTS):
        test = busy.test()
        queue = queued(4, draw)
        script = [draw.choice(list(Fault)) for _ in range(8)]
        seen |= set(script)
        with Lossy(busy.port, script) as lossy:
            answers = replay(phone, test, queue, lossy)
        assert [answer.status for answer in answers] == [201] * len(queue), (number, script)
        entries = busy.book.test(test).entries[1:]
        assert sorted(entry.key for entry in entries) == sorted(said["key"] for said in queue), (number, script)
        by_key = {entry.key: entry.seq for entry in entries}
        shown = {row["entry"]: row for each in phone.state(test)["cylinders"] for row in each["readings"]}
        for said, answer in zip(queue, answers, strict=True):
            assert answer.json["entry"] == by_key[said["key"]]
            row = shown[by_key[said["key"]]]
            assert (row["cylinder"], row["final"]) == (said["cylinder"], said["final"])
    assert seen == set(Fault)


# If this failed, the test above would prove nothing: a phone that makes a new key for each try must be found out.
def test_a_phone_with_new_keys_is_found_out(busy: Served) -> None:
    test, phone = busy.test(), busy.phone()
    with Lossy(busy.port, [Fault.AFTER]) as lossy:
        through = Phone(lossy.port, phone.token)
        said = {"key": key(), "cylinder": "1", "unit": "psi", "final": "150"}
        path = f"/api/tests/{test}/readings"
        with pytest.raises((OSError, http.client.HTTPException)):
            through.ask("POST", path, encoded(said), **as_page(phone))
        assert through.ask("POST", path, encoded({**said, "key": key()}), **as_page(phone)).status == 201
        through.hang_up()
    assert len(busy.book.test(test).entries) == 3


# If this failed, a phone that changes its mind under an old key would be told "saved" of what is not.
@pytest.mark.parametrize(
    "changed",
    [
        {"final": "151"},
        {"cylinder": "2"},
        {"unit": "kPa", "final": "1034"},
        {"note": "again"},
        {"kind": "wet"},
        {"first": "90"},
    ],
)
def test_other_words_under_the_same_key(busy: Served, changed: dict[str, str]) -> None:
    test, phone = busy.test(), busy.phone()
    said = {"key": key(), "cylinder": "1", "unit": "psi", "final": "150"}
    path = f"/api/tests/{test}/readings"
    assert phone.post(path, said).status == 201
    answer = phone.post(path, {**said, **changed})
    assert (answer.status, answer.json["faults"][0]["where"]) == (422, "key")
    assert phone.post(path, said).json["entry"] == 2
    assert len(busy.book.test(test).entries) == 2


# If this failed, a key could carry a reading from one engine's test into another's.
def test_a_key_of_another_test(busy: Served) -> None:
    one, two, phone = busy.test(), busy.test(), busy.phone()
    said = {"key": key(), "cylinder": "1", "unit": "psi", "final": "150"}
    assert phone.post(f"/api/tests/{one}/readings", said).status == 201
    assert phone.post(f"/api/tests/{two}/readings", said).status == 422
    assert busy.book.test(two).test.taken == ()


# If this failed, a phone that was away for the whole test would be told that its readings are too late, or unknown.
def test_keys_are_known_for_as_long_as_the_test_is(busy: Served) -> None:
    test, phone = busy.test(), busy.phone()
    said = {"key": key(), "cylinder": "1", "unit": "psi", "final": "150"}
    path = f"/api/tests/{test}/readings"
    assert phone.post(path, said).json["entry"] == 2
    for number in range(2, 7):
        assert phone.pull(test, str(number), 150).status == 201
    assert phone.post(f"/api/tests/{test}/finish", {"key": key()}).status == 200
    assert phone.post(path, said).json["entry"] == 2
    # One that was queued before the end, and comes after it, is taken too.
    assert phone.pull(test, "1", 149, repeat=True).status == 201
