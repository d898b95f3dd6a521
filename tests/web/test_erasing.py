"""Erasing a photograph from the pages and over the interface: the owner's alone, and gone for everybody at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.photographed import photograph
from tests.web.shop import Shop, key
from tests.web.test_photographs import put

from ringtrue.web.photographs import _made
from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

WHY = "the owner asked for it"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield a shop with an empty book."""
    with Shop(tmp_path) as opened:
        yield opened


# If this failed, somebody who only enters readings could destroy evidence, or would be offered to.
def test_only_the_owner_erases(shop: Shop) -> None:
    test, enters = shop.test(), shop.device(Who.ENTERS)
    told = put(enters, test, photograph()).json["photograph"]
    entry = told["entry"]
    address, form = f"/api/tests/{test}/photographs/{entry}/erase", {"key": key(), "entry": str(entry), "why": WHY}
    for device, status in ((enters, 403), (shop.device(Who.LOOKS_ON), 403), (shop.client(), 401)):
        assert device.post(address, {"key": key(), "why": WHY}).status == status
        assert device.send(f"/tests/{test}/photos/erase", form).status == status
    assert "Erase it for ever" not in enters.get(f"/tests/{test}/photos").text
    assert enters.get(told["file"]).status == 200
    owner = shop.device(Who.OWNER)
    assert owner.post(address, {"key": key(), "why": WHY}).json == {"test": test, "photographs": []}


# If this failed, an erased picture would still be shown, from the disk or from memory; or nobody would see who did it.
def test_it_is_gone_for_everybody_at_once(shop: Shop) -> None:
    test, owner = shop.test(), shop.device(Who.OWNER, person="Birch")
    looks = shop.device(Who.LOOKS_ON)
    told = put(owner, test, photograph()).json["photograph"]
    assert looks.get(told["small"]).status == 200
    assert told["sha256"] in _made
    page = owner.get(f"/tests/{test}/photos").text
    assert "Backups, exports and sheets made earlier still have it" in page
    sent = owner.send(f"/tests/{test}/photos/erase", {"key": key(), "entry": str(told["entry"]), "why": WHY})
    assert (sent.status, sent.header("location")) == (303, f"/tests/{test}/photos")
    assert told["sha256"] not in _made
    assert not list((shop.folder / "ringtrue-photographs").iterdir())
    for address in (told["file"], told["small"]):
        assert looks.get(address).status == 404
    after = looks.get(f"/tests/{test}/photos").text
    assert "<img" not in after
    assert "Erased by <bdi>Birch</bdi> at " in after
    assert f"<bdi>{WHY}</bdi>" in after
    assert [each.damage for each in shop.book.verify()] == [False]


# If this failed, a photograph that was taken back could not be erased on the page, or what was typed would be lost.
def test_one_taken_back_is_erased_on_the_page_with_a_reason(shop: Shop) -> None:
    test, owner = shop.test(), shop.device(Who.OWNER)
    entry = str(put(owner, test, photograph()).json["entry"])
    owner.send(f"/tests/{test}/photos", {"key": key(), "entry": entry, "do": "back", "why": "another cylinder"})
    address = f"/tests/{test}/photos/erase"
    assert address in owner.get(f"/tests/{test}/photos").text
    for entered, why, says in ((entry, " ", "has a reason, which stays"), ("99", WHY, "no photograph in it")):
        refused = owner.send(address, {"key": key(), "entry": entered, "why": why})
        shown = owner.get(refused.header("location")) if refused.status == 303 else refused
        assert says in shown.text
    assert list((shop.folder / "ringtrue-photographs").iterdir())
    assert owner.send(address, {"key": key(), "entry": entry, "why": WHY}).status == 303
    assert not list((shop.folder / "ringtrue-photographs").iterdir())
    assert address not in owner.get(f"/tests/{test}/photos").text
