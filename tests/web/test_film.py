"""A first stroke that nobody saw is filled in from the builder's own film, and is marked wherever it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.web.shop import Shop, key

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from tests.web.client import Answer, Client


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield a shop with an empty book."""
    with Shop(tmp_path) as opened:
        yield opened


def pull(device: Client, test: str, cylinder: str, first: str, final: str, **more: object) -> int:
    """Take a pull; its entry."""
    said = {"key": key(), "cylinder": cylinder, "unit": "psi", "first": first, "final": final, **more}
    entry: int = device.post(f"/api/tests/{test}/readings", said).json["entry"]
    return entry


def fill_in(device: Client, test: str, entry: int, first: str, **more: str) -> Answer:
    """Send the form."""
    said = {"key": key(), "entry": str(entry), "first": first, "why": "read off my film"} | more
    return device.send(f"/tests/{test}/film", said)


# If this failed, a first stroke off a film would not count, or could not be told from one that was seen at the engine.
def test_a_first_stroke_is_filled_in_and_marked(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.OWNER)
    pull(device, test, "1", "95", "150")
    entry = pull(device, test, "5", "", "149")
    assert "Cylinder 5, dry, final 149 psi" in device.get(f"/tests/{test}/film").text
    assert fill_in(device, test, entry, "94").status == 303
    assert "Every pull of this test has its first stroke" in device.get(f"/tests/{test}/film").text
    live = device.get(f"/api/tests/{test}").json
    told = {each["name"]: each for each in live["cylinders"]}
    assert (told["5"]["first"], told["5"]["first_from_film"]) == ("94.0 psi", True)
    assert [each["first_from_film"] for each in told["5"]["readings"]] == [True]
    assert (told["1"]["first_from_film"], told["1"]["readings"][0]["first_from_film"]) == (False, False)
    sheet = device.get(f"/tests/{test}/sheet.html").text
    assert sheet.count("<small>from film</small>") == 2
    assert "nobody saw this first stroke at the engine" in sheet
    assert (
        "first nothing -&gt; 94 psi; first from film nothing -&gt; yes" in device.get(f"/tests/{test}/corrections").text
    )


# If this failed, a form sent twice by a bad line would be told as a fault, or write twice.
def test_a_form_sent_twice_is_written_once(shop: Shop) -> None:
    test, device, once = shop.test(), shop.device(Who.ENTERS), key()
    entry = pull(device, test, "5", "", "149")
    assert [fill_in(device, test, entry, "94", key=once).status for _ in range(2)] == [303, 303]
    assert len(shop.book.test(test).corrections) == 1


# If this failed, a film could replace what was seen, mend what was spoiled, or say what cannot be.
def test_what_a_film_cannot_do(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    seen = pull(device, test, "1", "95", "150")
    spoiled = pull(device, test, "3", "120", "150", spoiled=True)
    missing = pull(device, test, "5", "", "149")
    for entry, first, more, says in (
        (seen, "94", {}, "has a first stroke by now"),
        (spoiled, "94", {}, "has a first stroke by now"),
        (missing, "", {}, "No figure is said"),
        (missing, "180", {}, "the final is never below the first"),
        (missing, "ninety", {}, "ninety"),
        (missing, "94", {"why": " "}, "has a reason"),
    ):
        refused = fill_in(device, test, entry, first, **more)
        assert (refused.status, says in refused.text) == (422, True), (first, says)
    assert shop.book.test(test).corrections == ()


# If this failed, the same would be let in by another door.
def test_the_interface_refuses_it_too(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    seen = pull(device, test, "1", "95", "150")
    said = {"key": key(), "why": "film", "first": "94", "final": "150", "unit": "psi", "first_from_film": True}
    refused = device.post(f"/api/tests/{test}/readings/{seen}/correct", said)
    assert (refused.status, "seen at the engine" in refused.json["says"]) == (422, True)
    missing = pull(device, test, "5", "", "149")
    said |= {"key": key(), "final": "149"}
    kept = device.post(f"/api/tests/{test}/readings/{missing}/correct", said)
    assert (kept.status, kept.json["readings"][0]["first_from_film"]) == (201, True)
    again = device.post(f"/api/tests/{test}/readings/{missing}/correct", said)
    assert (again.status, again.json["entry"]) == (201, kept.json["entry"])


# If this failed, a mark would stay on a figure that is not the one off the film, or be lost with another correction.
def test_the_mark_goes_with_its_figure(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    entry = pull(device, test, "5", "", "149")
    fill_in(device, test, entry, "94")

    def correct(first: str, final: str) -> bool:
        (at,) = shop.book.test(test).standing
        said = {"key": key(), "why": "misread", "first": first, "final": final, "unit": "psi"}
        marked: bool = device.post(f"/api/tests/{test}/readings/{at}/correct", said).json["readings"][0][
            "first_from_film"
        ]
        return marked

    assert correct("94", "150")
    assert not correct("93", "150")


# If this failed, a device that only looks on could change readings.
def test_who_may(shop: Shop) -> None:
    test = shop.test()
    entry = pull(shop.device(Who.ENTERS), test, "5", "", "149")
    for device, status in ((shop.device(Who.LOOKS_ON), 403), (shop.client(), 401)):
        assert device.get(f"/tests/{test}/film").status == status
        assert fill_in(device, test, entry, "94").status == status
