"""Photographs over the wire: who may send and see them, what is refused, and that none is lost or doubled."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest
from tests.photographed import SECRETS, photograph, png_of
from tests.web.shop import FAR, SHEET, Shop, key

from ringtrue.intake.photographs import LARGEST
from ringtrue.records import Header
from ringtrue.web.openapi import description
from ringtrue.web.photographs import ROUTES
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


def put(device: Client, test: str, raw: bytes, **said: str) -> Answer:
    """Send a photograph as the page does."""
    more = {"key": key(), "cylinder": "3", "shows": "plug"} | said
    address = f"/api/tests/{test}/photographs?{urlencode(more)}"
    return device.post(address, raw, content_type="application/octet-stream")


# If this failed, a photograph taken at the engine would not come to stand with its cylinder.
def test_a_photograph_is_kept_and_shown(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    kept = put(device, test, photograph(orientation=6), note="sooty on one side")
    assert kept.status == 201
    told = kept.json["photograph"]
    assert (told["cylinder"], told["shows"], told["note"], kept.json["before"]) == (
        "3",
        "plug",
        "sooty on one side",
        False,
    )
    assert (told["who"], told["device"]) == ("Alder", "phone")
    listed = device.get(f"/api/tests/{test}/photographs").json
    assert listed == {"test": test, "photographs": [told]}
    shown = device.get(told["file"])
    assert (shown.status, shown.header("content-type")) == (200, "image/jpeg")
    assert not [secret for secret in SECRETS if secret in shown.body]
    small = device.get(told["small"])
    assert (small.status, small.header("content-type")) == (200, "image/jpeg")
    assert len(small.body) < len(shown.body)


# If this failed, a lost answer would leave two of the same photograph, or the phone would never learn that it is kept.
def test_a_photograph_sent_again_is_kept_once(shop: Shop) -> None:
    test, device, once, raw = shop.test(), shop.device(Who.ENTERS), key(), photograph()
    first = put(device, test, raw, key=once)
    again = put(device, test, raw, key=once)
    other_key = put(device, test, raw)
    assert (first.status, again.status, other_key.status) == (201, 201, 201)
    assert first.json == again.json
    assert (other_key.json["entry"], other_key.json["before"]) == (first.json["entry"], True)
    assert put(device, test, photograph(size=(320, 240)), key=once).status == 422
    assert len(device.get(f"/api/tests/{test}/photographs").json["photographs"]) == 1


# If this failed, a device that only looks on could fill the book, or one that nobody let in could see its work.
def test_who_may(shop: Shop) -> None:
    test = shop.test()
    enters, looks, nobody = shop.device(Who.ENTERS), shop.device(Who.LOOKS_ON), shop.client()
    told = put(enters, test, photograph()).json["photograph"]
    entry = told["entry"]
    for address in (f"/api/tests/{test}/photographs", told["file"], told["small"], f"/tests/{test}/photos"):
        assert looks.get(address).status == 200
        assert nobody.get(address).status == 401
    on_sheet, back = (f"/api/tests/{test}/photographs/{entry}/{deed}" for deed in ("sheet", "take-back"))
    for device, status in ((looks, 403), (nobody, 401)):
        assert put(device, test, photograph()).status == status
        assert device.post(on_sheet, {"key": key(), "chosen": True}).status == status
        assert device.post(back, {"key": key(), "why": "no"}).status == status
        form = {"key": key(), "entry": str(entry), "do": "back", "why": "no"}
        assert device.send(f"/tests/{test}/photos", form).status == status
    assert enters.get(f"/api/tests/{test}/photographs").json["photographs"] == [told]


# If this failed, a page of another program on the network could put pictures into the book.
def test_a_photograph_comes_from_a_page_of_this_server(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    said = urlencode({"key": key(), "cylinder": "3"})
    for origin in ("http://evil.test", "null", "http://127.0.0.1:9999", FAR):
        refused = device.post(f"/api/tests/{test}/photographs?{said}", photograph(), origin=origin)
        assert refused.status == 403
    assert shop.book.test(test).photographs == ()


# If this failed, something that is no photograph would be kept, or take the server down, or its refusal not be told.
@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "empty"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "neither JPEG nor PNG nor WebP"),
        (png_of(60_000, 60_000), "pixels"),
        (photograph()[:400], "ends before the picture does"),
        (photograph() + b"\0" * LARGEST, "longer than"),
    ],
)
def test_what_is_refused(shop: Shop, raw: bytes, says: str) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    refused = put(device, test, raw)
    assert refused.status == 422
    assert says in refused.json["says"]
    assert shop.book.test(test).photographs == ()


# If this failed, what is said of a photograph would be guessed where it cannot be understood.
@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"cylinder": "9"}, "cylinder"),
        ({"shows": "piston"}, "shows"),
        ({"key": "short"}, "key"),
        ({"key": "../../../../etc/passwd"}, "key"),
        ({"note": "x" * 2001}, "note"),
        ({"sheet": "perhaps"}, "sheet"),
    ],
)
def test_what_is_said_of_it_is_read_strictly(shop: Shop, said: dict[str, str], field: str) -> None:
    refused = put(shop.device(Who.ENTERS), shop.test(), photograph(), **said)
    assert (refused.status, [each["where"] for each in refused.json["faults"]]) == (422, [field])


# If this failed, a field that stands there twice, or one that nobody knows, would be read past.
@pytest.mark.parametrize("more", ["&cylinder=4", "&colour=red"])
def test_nothing_in_the_address_is_read_past(shop: Shop, more: str) -> None:
    test = shop.test()
    said = urlencode({"key": key(), "cylinder": "3"}) + more
    refused = shop.device(Who.ENTERS).post(f"/api/tests/{test}/photographs?{said}", photograph())
    assert refused.status == 422


# If this failed, a photograph could be had from a book that does not have it, or a file be read that is none.
@pytest.mark.parametrize("name", ["0" * 64, "A" * 64, "..%2f..%2fbook.ringtrue", "x", "0" * 64 + ".jpg"])
def test_only_photographs_of_the_book_are_shown(shop: Shop, name: str) -> None:
    device = shop.device()
    assert device.get(f"/photographs/{name}").status == 404
    assert device.get(f"/photographs/{name}/small").status == 404


# If this failed, a picture that a browser takes for a page could run something in the shop's name, or be shown by a
# device that was shut out since.
def test_a_picture_is_never_a_page(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    told = put(device, test, photograph("PNG")).json["photograph"]
    for address in (told["file"], told["small"]):
        shown = device.get(address)
        assert shown.header("x-content-type-options") == "nosniff"
        assert "default-src 'none'" in shown.header("content-security-policy")
        assert "sandbox" in shown.header("content-security-policy")
        assert shown.header("cache-control") == "private, no-cache"
        again = device.get(address, if_none_match=shown.header("etag"))
        assert (again.status, again.body) == (304, b"")
    shut_out = shop.client()
    assert shut_out.get(told["file"], if_none_match=device.get(told["file"]).header("etag")).status == 401


# If this failed, choosing for the sheet on the phone would not reach the paper.
def test_a_chosen_photograph_stands_on_the_sheet(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.OWNER)
    entry = put(device, test, photograph()).json["entry"]
    assert "Photographs" not in device.get(f"/tests/{test}/sheet.html").text
    said = {"key": key(), "entry": str(entry), "do": "on"}
    chosen = device.send(f"/tests/{test}/photos", said)
    assert (chosen.status, chosen.header("location")) == (303, f"/tests/{test}/photos")
    sheet = device.get(f"/tests/{test}/sheet.html")
    assert "data:image/jpeg;base64," in sheet.text
    assert "img-src data:" in sheet.header("content-security-policy")
    assert device.get(f"/tests/{test}/sheet.pdf").body.startswith(b"%PDF")
    off = device.post(f"/api/tests/{test}/photographs/{entry}/sheet", {"key": key(), "chosen": False})
    assert [each["for_sheet"] for each in off.json["photographs"]] == [False]
    assert "data:image/jpeg" not in device.get(f"/tests/{test}/sheet.html").text


# If this failed, a picture of the wrong engine would go on being shown, or vanish without a word why.
def test_taking_back(shop: Shop) -> None:
    test, device = shop.test(), shop.device(Who.ENTERS)
    told = put(device, test, photograph()).json["photograph"]
    said = {"key": key(), "entry": str(told["entry"]), "do": "back", "why": ""}
    refused = device.send(f"/tests/{test}/photos", said)
    assert refused.status == 422
    assert "has a reason" in refused.text
    again = said | {"key": key(), "why": "shows <b>another</b> engine"}
    assert device.send(f"/tests/{test}/photos", again).status == 303
    shown = device.get(f"/tests/{test}/photos").text
    assert "shows &lt;b&gt;another&lt;/b&gt; engine" in shown
    assert told["file"] not in shown
    assert device.get(told["file"]).status == 404
    assert device.get(told["small"]).status == 404


# If this failed, the page would offer taking photographs to who may not, or not to who may; or run what it is not to.
def test_the_page(shop: Shop) -> None:
    test = shop.test()
    put(shop.device(Who.ENTERS), test, photograph(), note="<script>alert(1)</script>")
    enters = shop.device(Who.ENTERS).get(f"/tests/{test}/photos").text
    looks = shop.device(Who.LOOKS_ON).get(f"/tests/{test}/photos").text
    assert enters.count('type="file"') == 3 * (6 + 1)
    assert 'capture="environment"' in enters
    assert "<noscript>" in enters
    assert 'type="file"' not in looks
    assert "<form" not in looks
    for page in (enters, looks):
        assert "<script>alert" not in page
        assert " style=" not in page


# If this failed, a shop's own program could not learn how a photograph is sent.
def test_the_interface_tells_of_photographs() -> None:
    told = description(ROUTES)["paths"]["/api/tests/{test}/photographs"]
    sent = told["post"]
    assert sorted(sent["requestBody"]["content"]) == ["image/jpeg", "image/png", "image/webp"]
    assert {each["name"]: each["required"] for each in sent["parameters"]} == {
        "test": True,
        "key": True,
        "cylinder": False,
        "shows": False,
        "note": False,
        "sheet": False,
    }


# If this failed, a photograph of an engine whose cylinders nobody has listed could not be kept.
def test_an_engine_without_a_plan(shop: Shop) -> None:
    test = shop.book.start(Header("small single"), sheet_text=None, key=key(), who="Alder", device="shop PC")
    assert put(shop.device(Who.ENTERS), test, photograph(), cylinder="front").status == 201
    assert put(shop.device(Who.ENTERS), test, photograph(), cylinder="").status == 201
    assert SHEET.exists()
