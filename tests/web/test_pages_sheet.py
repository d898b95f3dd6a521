"""The build sheet as a form: what is typed, what follows, what goes into the book."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.web.pages import HOSTILE, STORY, look, read, sound
from tests.web.shop import Shop

from ringtrue.intake import parse_sheet
from ringtrue.shop.sheet_form import fields_of, fill_in, what_follows
from ringtrue.web.pages.sheets import follows
from ringtrue.web.routes import Who

SIX = {
    "name": "Launch six",
    "reference": "0417",
    "layout": "inline",
    "cylinders": "6",
    "firing_order": "1-5-3-6-2-4",
    "bore": "92 mm",
    "stroke": "98 mm",
    "compression_ratio": "8.4:1",
}


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    with Shop(tmp_path) as made:
        yield made


# The form would make another engine of a sheet than the command line reads.
def test_a_sheet_taken_apart_and_put_together_is_the_same_engine() -> None:
    text = (STORY / "launch-six.toml").read_text("utf-8")
    said, carried = fields_of(text)
    made = fill_in(said, carried)
    assert made.faults == ()
    assert made.sheet == parse_sheet(text) == parse_sheet(made.text)
    assert said["chambers"] == "3: 70.2 cc\n4: 70.6 cc"


# Lines of a sheet that the form has no field for would be lost when it is changed.
def test_lines_without_a_field_stay() -> None:
    text = '[engine]\nname = "V"\nlayout = "V"\ncylinders = ["1", "2"]\n\n[measured."2"]\nbore = "92.02 mm"\n'
    said, carried = fields_of(text)
    made = fill_in({**said, "chambers": "2: 71 cc"}, carried)
    assert made.faults == ()
    assert '[measured."2"]\nbore = "92.02 mm"\nchamber = "71 cc"' in made.text


# A figure that cannot be used would take what follows from all others with it.
def test_what_follows_is_shown_from_what_can_be_used() -> None:
    made = what_follows({"layout": "inline", "cylinders": "4", "bore": "92", "stroke": "98 mm", "firing_order": "1 9"})
    assert made.sheet is not None
    assert made.sheet.cylinders == ("1", "2", "3", "4")
    assert sorted(made.left_out) == ["bore", "firing_order"]
    assert {each.where for each in made.faults} == {"name", "bore", "firing_order"}
    assert not any("bore" in each.casefold() for each in follows(made).lacks), "it was given, and refused"


# What is half typed would stop the page.
@pytest.mark.parametrize(
    "name", ["name", "cylinders", "layout", "banks", "bore", "intake_closes", "minimum", "chambers"]
)
@pytest.mark.parametrize("text", [HOSTILE, '"', "\\", "nan", "1_80 mm", "\uff19\uff12 mm", "[", "-", "\x00"])
def test_anything_may_be_half_typed(name: str, text: str) -> None:
    made = what_follows({**SIX, name: text})
    assert made.sheet is not None or made.faults


# The first sheet could not be kept before a test, so that a test could not begin on the phone.
def test_a_new_sheet_goes_into_the_book_once(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    key = look(device, "/sheets/new").value("key")
    form = {**SIX, "key": key, "do": "file"}
    for _ in range(2):
        answer = device.send("/sheets/new", form)
        assert (answer.status, answer.header("location")) == (303, "/engines/0417")
    revisions = shop.book.sheets("0417")
    assert [each.revision for each in revisions] == [1]
    assert parse_sheet(revisions[0].text).displacement == pytest.approx(
        3.909e-3, rel=1e-3
    )  # 6 x 92 mm x 98 mm, by hand
    assert [(each.text, each.who) for each in shop.book.events("0417")] == [("build sheet, revision 1", "Alder")]
    look(device, "/engines/0417")


# Somebody would have to type everything again for one figure without a unit.
def test_a_refusal_stands_beside_its_field_and_loses_nothing(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    key = look(device, "/sheets/new").value("key")
    answer = device.send("/sheets/new", {**SIX, "bore": "92", "minimum": "abc", "key": key, "do": "file"})
    assert answer.status == 422
    page = read(answer)
    sound(page, "/sheets/new")
    assert page.faults("bore") == ['read "92": A length needs its unit. Type 92 mm or 92 in or 92 thou.']
    assert len(page.faults("minimum")) == 1
    listed = {each.attributes.get("href", ""): each.text for each in page.all("a")}
    assert listed["#bore"].strip().startswith("Bore: read"), "the list above names the field as its label does"
    assert listed["#minimum"].strip().startswith("Least compression: ")
    assert page.value("bore") == "92"
    assert page.value("stroke") == "98 mm"
    assert page.value("name") == "Launch six"
    assert shop.book.engines() == ()


# A form of nothing would make an engine of nothing.
def test_an_empty_form_says_what_a_sheet_needs(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    answer = device.send("/sheets/new", {"key": look(device, "/sheets/new").value("key"), "do": "file"})
    page = read(answer)
    assert answer.status == 422
    assert all(page.faults(name) for name in ("name", "layout", "cylinders"))


# Without script nobody would see what follows before it is filed.
def test_what_follows_is_shown_without_script(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    key = look(device, "/sheets/new").value("key")
    answer = device.send("/sheets/new", {**SIX, "key": key, "do": "show"})
    page = read(answer)
    sound(page, "/sheets/new")
    text = " ".join(page.text.split())
    assert answer.status == 200
    assert "3909 cc (238.5 in3)" in text  # 6 x pi/4 x 9.2^2 x 9.8 cc, by hand
    assert "1 5 3 6 2 4, evenly, every 120 deg" in text  # 720 deg over six
    assert list(page.all("svg"))
    assert shop.book.engines() == ()
    part = device.send("/sheets/new/preview", {**SIX, "key": key})
    assert "<html" not in part.text
    assert "3909 cc" in part.text


# An uneven engine would be told as an even one.
def test_uneven_firing_is_told() -> None:
    from ringtrue.web.pages.sheets import follows

    made = what_follows({**SIX, "cylinders": "2", "firing_order": "1 2", "firing_intervals": "315 405"})
    assert ("fires", "1 2, unevenly: 315 405 deg") in follows(made).told


# A sheet that the shop has as a file would have to be typed anew.
def test_a_sheet_may_be_pasted(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    text = (STORY / "launch-six.toml").read_text("utf-8")
    key = look(device, "/sheets/new").value("key")
    answer = device.send("/sheets/new", {"sheet_text": text, "key": key, "do": "text"})
    assert answer.header("location") == "/engines/0417"
    assert shop.book.sheets("0417")[0].text.strip() == text.strip()
    assert "# The build sheet of an invented engine" in device.get("/engines/0417/sheet.toml").text


# A pasted file with a fault would be gone from the page.
def test_a_pasted_sheet_that_cannot_be_used_stays_on_the_page(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    key = look(device, "/sheets/new").value("key")
    answer = device.send("/sheets/new", {"sheet_text": "[engine]\nname = ", "key": key, "do": "text"})
    page = read(answer)
    assert answer.status == 422
    assert page.faults("sheet_text")
    assert page.value("sheet_text") == "[engine]\nname ="


# A changed sheet would fall on tests that were made before, or be filed under another engine.
def test_a_changed_sheet_is_a_new_revision(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    device.send("/sheets/new", {**SIX, "key": look(device, "/sheets/new").value("key"), "do": "file"})
    page = look(device, "/engines/0417/sheet")
    assert page.value("bore") == "92 mm"
    changed = {**SIX, "bore": "92.5 mm", "key": page.value("key"), "do": "file"}
    assert device.send("/engines/0417/sheet", changed).status == 303
    assert [each.revision for each in shop.book.sheets("0417")] == [1, 2]
    back = {**SIX, "key": look(device, "/engines/0417/sheet").value("key"), "do": "file"}
    assert device.send("/engines/0417/sheet", back).status == 303
    third = shop.book.sheets("0417")[-1]
    assert third.revision == 3
    assert third.text.rstrip().endswith("# As revision 1, which holds again.")
    assert parse_sheet(third.text) == parse_sheet(shop.book.sheets("0417")[0].text)
    other = {**SIX, "reference": "0999", "key": look(device, "/engines/0417/sheet").value("key"), "do": "file"}
    refused = device.send("/engines/0417/sheet", other)
    assert refused.status == 422
    assert read(refused).faults("reference")
    again = device.send("/sheets/new", {**SIX, "key": look(device, "/sheets/new").value("key"), "do": "file"})
    assert again.status == 422
    assert read(again).faults("name")


# A form that is no form, or has a field twice, would be half read.
@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (b"name=a&name=b&key=aaaaaaaaaaaaaaaaaaaaaa", "application/x-www-form-urlencoded"),
        (b"name=%ff&key=aaaaaaaaaaaaaaaaaaaaaa", "application/x-www-form-urlencoded"),
        (b"name=a", "application/x-www-form-urlencoded"),
        (b"name=a&key=short", "application/x-www-form-urlencoded"),
        (b"{}", "application/json"),
        (b"name=" + b"a" * 400_000, "application/x-www-form-urlencoded"),
        (b"&".join(b"f%d=1" % n for n in range(700)), "application/x-www-form-urlencoded"),
    ],
)
def test_what_is_no_form_is_refused(shop: Shop, body: bytes, kind: str) -> None:
    device = shop.device(Who.ENTERS)
    headers = {**device._as_page("POST"), "content-type": kind, "accept": "text/html"}
    assert device.on(device.ask("POST", "/sheets/new", body, headers.items())).status == 422
    assert shop.book.engines() == ()
