"""A gauge's own page: what is known of it, a calibration and a study put in as tables. All figures are invented."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.calibrated import FILE, STUDY, calibration, gauge
from tests.web.pages import HOSTILE, look, read, sound
from tests.web.shop import Shop, key

from ringtrue.web.pages.where import gauge_path
from ringtrue.web.routes import Who

PLAIN = replace(gauge(), calibration=None)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield a shop with one gauge that nobody has calibrated."""
    with Shop(tmp_path) as made:
        made.book.add_gauge(PLAIN, key=key(), who="Alder", device="shop PC")
        yield made


def form(shop: Shop, **fields: str) -> dict[str, str]:
    """Return a form of the gauge's page, with its key."""
    device = shop.device(Who.ENTERS)
    return {"key": look(device, "/gauges/face-1").value("key"), **fields}


# If this failed, a calibration would be kept twice, or a page would not show what the book has.
def test_a_calibration_is_kept_once_and_shown(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    said = form(shop, points=FILE, date="2026-03-01", reference_uncertainty="0.4 psi", do="keep")
    for _ in range(2):
        assert device.send("/gauges/face-1/calibration", said).status == 303
    assert len(shop.book.gauge_history("face-1")) == 2
    known = shop.book.gauge("face-1").calibration
    assert known is not None
    assert (known.date, known.due, known.by) == ("2026-03-01", "2027-03-01", shop.book.gauge_history("face-1")[-1].who)
    page = look(device, "/gauges/face-1")
    for words in (
        "10 points, 6 rising and 4 falling",
        "Grade B",
        "The same figures as a table",
        "calibrated on 2026-03-01",
    ):
        assert words in page.text
    assert '"label":"grade B allows"' in page.text
    assert "2027-03-01" in look(device, "/gauges").text


# If this failed, somebody who only looks what a table comes to would change every test after it.
def test_shown_is_not_kept(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    answer = device.send("/gauges/face-1/calibration", form(shop, points=FILE, date="2026-03-01", do="show"))
    page = read(answer)
    sound(page, "calibration")
    assert answer.status == 200
    assert "Nothing is kept yet" in page.text
    assert page.value("points") == FILE.strip()
    assert shop.book.gauge("face-1") == PLAIN
    answer = device.send("/gauges/face-1/study", form(shop, readings=STUDY, do="show"))
    assert "One pull repeats to" in read(answer).text
    assert shop.book.gauge("face-1") == PLAIN


# If this failed, what is wrong with a table would stand away from it, without its row, or the table would be lost.
@pytest.mark.parametrize(
    ("what", "field", "typed", "says"),
    [
        ("calibration", "points", FILE.replace("60,61", "60,x"), "row 3, column shown [psi]"),
        ("calibration", "points", "", "the table is missing"),
        ("calibration", "points", "nonsense", "a column “reference” is missing"),
        ("study", "readings", STUDY.replace("1,JA,150\n", ""), "1 reading is missing: cylinder 1, JA, repeat 2"),
        ("study", "readings", STUDY.replace("KM", "j.a.", 1), "may be the same person"),
    ],
)
def test_refused_beside_its_field(what: str, field: str, typed: str, says: str, shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    answer = device.send(f"/gauges/face-1/{what}", form(shop, **{field: typed}, do="keep"))
    assert answer.status == 422
    page = read(answer)
    sound(page, what)
    assert page.value(field) == typed.strip()
    beside = " ".join(page.faults(field))
    assert says.casefold() in beside.casefold(), (beside, page.text[:600])
    assert shop.book.gauge("face-1") == PLAIN


# If this failed, a mistyped day or uncertainty would be told where nobody looks.
def test_other_fields(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    said = form(shop, points=FILE, date="soon", reference_uncertainty="0.4", months="x", do="keep")
    page = read(device.send("/gauges/face-1/calibration", said))
    for name in ("date", "reference_uncertainty", "months"):
        assert page.faults(name), name
    said = form(shop, readings=STUDY, study_date="soon", do="keep")
    assert read(device.send("/gauges/face-1/study", said)).faults("study_date")


# If this failed, the mean on the phone would not be that of the figures beside it, and nobody would know why.
def test_figures_at_the_engine_say_that_they_are_corrected(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    said = form(shop, points=FILE, date="2026-03-01", do="keep")
    assert device.send("/gauges/face-1/calibration", said).status == 303
    test = shop.test()
    here = f"/tests/{test}/corrections"
    said = {"key": look(device, here).value("key"), "gauge": "face-1", "date": "2026-05-14", "why": "not said"}
    assert device.send(here, said).status == 303
    assert "of 2026-03-01" in look(device, here).text
    pull = {"key": key(), "cylinder": "1", "final": "150", "unit": "psi"}
    assert device.post(f"/api/tests/{test}/readings", pull).status == 201
    figures = device.get(f"/api/tests/{test}").json["figures"]
    assert figures["mean"] == "147.0 psi"
    assert figures["corrected"] == "by \u22123.00 psi: calibration of 2026-03-01"


# If this failed, a study would be kept twice, or what it found would not be used.
def test_a_study_is_kept_once_and_shown(shop: Shop) -> None:
    device = shop.device(Who.ENTERS)
    said = form(shop, readings=STUDY, study_date="2026-04-02", do="keep")
    for _ in range(2):
        assert device.send("/gauges/face-1/study", said).status == 303
    history = shop.book.gauge_history("face-1")
    assert len(history) == 2
    assert history[-1].gauge.study is not None
    assert len(history[-1].gauge.study.readings) == 8
    used = shop.book.gauge("face-1")
    assert used.study is not None
    assert used.study.readings == ()
    assert used.repeatability == history[-1].gauge.repeatability
    page = look(device, "/gauges/face-1")
    assert "2026-04-02: 2 cylinders, 2 people, 2 repeats" in page.text
    assert "studied on 2026-04-02" in page.text


# If this failed, who only looks on could change what every test is judged by.
def test_who_looks_on_only_looks(shop: Shop) -> None:
    looks_on = shop.device(Who.LOOKS_ON)
    page = look(looks_on, "/gauges/face-1")
    assert not list(page.all("textarea"))
    said = form(shop, points=FILE, do="keep")
    assert looks_on.send("/gauges/face-1/calibration", said).status == 403
    assert looks_on.get("/gauges/none", accept="text/html").status == 404


# If this failed, a calibration that has run out would look like a fresh one.
def test_overdue_is_said(shop: Shop) -> None:
    old = replace(PLAIN, calibration=calibration(date="2020-03-01", due="2021-03-01"))
    shop.book.add_gauge(old, key=key(), who="Alder", device="shop PC")
    assert "Calibration was due on 2021-03-01" in look(shop.device(Who.LOOKS_ON), "/gauges/face-1").text


# If this failed, a gauge with an awkward name would have no page, or its name would be taken for a part of one.
@pytest.mark.parametrize("name", ["a/b", "..", "~2F", HOSTILE[:150]])
def test_awkward_names(name: str, shop: Shop) -> None:
    name = name.strip()
    made = replace(gauge(), name=name)
    shop.book.add_gauge(made, key=key(), who="<b>", device="shop PC")
    page = look(shop.device(Who.ENTERS), gauge_path(name))
    assert name in page.text
    hrefs = [each.attributes.get("href", "") for each in look(shop.device(Who.ENTERS), "/gauges").all("a")]
    assert gauge_path(name) in hrefs
