"""Forms of the calm pages: what is typed goes into the book once, and what cannot be used is told beside its field."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.web.pages import Filled, filled, look, read, sent, sound
from tests.web.shop import Shop

from ringtrue.engine import BuildSheet
from ringtrue.intake import parse_sheet, read_settings
from ringtrue.web.routes import Who
from ringtrue.wording import preparation, safety


@pytest.fixture
def found(tmp_path: Path) -> Iterator[Filled]:
    with Shop(tmp_path) as made:
        yield filled(made)


def _ticks(sheet: BuildSheet) -> list[str]:
    return [f"safety.{each.key}" for each in safety(sheet)] + [f"preparation.{each.key}" for each in preparation(sheet)]


# ---------------------------------------------------------------------------------------------- plan


# A test would begin under another day, or the checklists be skipped without a word of it.
def test_a_test_begins_from_its_plan_once(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    sheet = parse_sheet(found.shop.book.sheets("0417")[-1].text)
    form: dict[str, str | list[str]] = {
        "key": look(device, "/engines/0417/plan").value("key"),
        "done": _ticks(sheet),
        "do": "begin",
        "altitude": "120 m",
        "oil": "80 C",
        "run_since_build": "500 mile",
        "order": "6 5 4 3 2 1",
        "by": "Bran",
        "note": "one plug seized",
    }
    places = {sent(device, "/engines/0417/plan", form).header("location") for _ in range(2)}
    assert len(places) == 1
    place = places.pop()
    assert place.endswith("/pull")
    recorded = found.shop.book.test(place.split("/")[2])
    header = recorded.header
    assert header.plan_order == ("6", "5", "4", "3", "2", "1")
    assert (header.by, header.note) == ("Bran", "one plug seized")
    assert (str(header.conditions.altitude), str(header.run_since_build)) == ("120 m", "500 mile")
    assert (recorded.entries[0].who, recorded.entries[0].device) == ("Alder", "phone")


# What was not done would stand nowhere.
def test_what_is_not_ticked_is_said_and_noted(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    sheet = parse_sheet(found.shop.book.sheets("0417")[-1].text)
    first, *others = _ticks(sheet)
    form: dict[str, str | list[str]] = {"key": look(device, "/engines/0417/plan").value("key"), "done": others}
    before = len(found.shop.book.tests())
    answer = sent(device, "/engines/0417/plan", {**form, "do": "begin", "note": "cold"})
    page = read(answer)
    sound(page, "plan")
    assert answer.status == 422
    assert "Not ticked:" in page.text
    assert page.value("note") == "cold"
    ticked = [each for each in page.all("input") if each.attributes.get("name") == "done"]
    assert sum("checked" in each.attributes for each in ticked) == len(others)
    assert len(found.shop.book.tests()) == before
    place = sent(device, "/engines/0417/plan", {**form, "do": "anyway", "note": "cold"}).header("location")
    note = found.shop.book.test(place.split("/")[2]).header.note
    assert note == f"cold; not ticked before the test: {safety(sheet)[0].text}"
    assert first == f"safety.{safety(sheet)[0].key}"


# A day that cannot be would widen or shift every interval.
@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("altitude", "120"),
        ("barometer", "3 hPa"),
        ("oil", "hot"),
        ("cranking_speed", "190 V"),
        ("battery", "1_2 V"),
        ("run_since_build", "soon"),
        ("order", "1 2 3"),
        ("gauge", "nobody's"),
    ],
)
def test_a_day_that_cannot_be_is_refused_beside_its_field(found: Filled, field: str, text: str) -> None:
    device = found.shop.device(Who.ENTERS)
    sheet = parse_sheet(found.shop.book.sheets("0417")[-1].text)
    form: dict[str, str | list[str]] = {"key": look(device, "/engines/0417/plan").value("key"), "done": _ticks(sheet)}
    before = len(found.shop.book.tests())
    answer = sent(device, "/engines/0417/plan", {**form, "do": "begin", field: text})
    page = read(answer)
    sound(page, "plan")
    assert answer.status == 422
    assert page.faults(field), page.text
    if field != "gauge":
        assert page.value(field) == text
    assert len(found.shop.book.tests()) == before


# What was ticked and typed would be gone because a gauge had to be described first.
def test_a_gauge_is_added_in_the_middle_of_a_plan(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    key = look(device, "/engines/0417/plan").value("key")
    form: dict[str, str | list[str]] = {"key": key, "do": "gauge", "oil": "80 C", "done": ["safety.chocks"]}
    answer = sent(device, "/engines/0417/plan", {**form, "gauge_name": "", "gauge_range": "300"})
    page = read(answer)
    assert answer.status == 422
    assert page.faults("gauge_name")
    assert page.faults("gauge_range")
    answer = sent(
        device, "/engines/0417/plan", {**form, "gauge_name": "shop gauge", "gauge_range": "300 psi", "gauge_grade": "B"}
    )
    page = read(answer)
    sound(page, "plan")
    assert answer.status == 200
    assert page.value("oil") == "80 C"
    chosen = [each.attributes["value"] for each in page.all("option") if "selected" in each.attributes]
    assert "shop gauge" in chosen
    assert [each.name for each in found.shop.book.gauges()] == ["shop gauge"]


# A gauge that was described on the way would be dropped without a word, and the test be judged bare.
def test_a_gauge_that_is_described_is_used_or_refused(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    sheet = parse_sheet(found.shop.book.sheets("0417")[-1].text)
    key = look(device, "/engines/0417/plan").value("key")
    form: dict[str, str | list[str]] = {"key": key, "do": "begin", "done": _ticks(sheet), "gauge_name": "dial two"}
    before = len(found.shop.book.tests())
    answer = sent(device, "/engines/0417/plan", {**form, "gauge_range": "300"})
    page = read(answer)
    assert answer.status == 422
    assert page.faults("gauge_range")
    assert page.value("gauge_name") == "dial two"
    assert (len(found.shop.book.tests()), found.shop.book.gauges()) == (before, ())
    form |= {"gauge_range": "300 psi", "gauge_resolution": "2 psi", "gauge_grade": "B"}
    places = {sent(device, "/engines/0417/plan", form).header("location") for _ in range(2)}
    assert len(places) == 1
    gauge = found.shop.book.test(str(places.pop()).split("/")[2]).header.gauge
    assert gauge is not None
    assert (gauge.name, gauge.grade, str(gauge.range)) == ("dial two", "B", "300 psi")
    assert [each.name for each in found.shop.book.gauges()] == ["dial two"]
    assert len(found.shop.book.tests()) == before + 1


# One of two gauges would be taken without a word; or one that was described would be gone with a box left unticked.
def test_a_gauge_that_is_described_beside_other_faults(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    form: dict[str, str | list[str]] = {"do": "begin", "gauge_name": "dial two", "gauge_range": "300 psi"}
    answer = sent(device, "/engines/0417/plan", {**form, "key": look(device, "/engines/0417/plan").value("key")})
    page = read(answer)
    sound(page, "plan")
    assert answer.status == 422
    assert "Not ticked:" in page.text
    assert "The gauge dial two is in the register, and chosen below" in page.text
    key = page.value("key")
    two = {**form, "key": key, "gauge": "dial two", "gauge_name": "dial three"}
    answer = sent(device, "/engines/0417/plan", two)
    assert answer.status == 422
    assert read(answer).faults("gauge")
    assert [each.name for each in found.shop.book.gauges()] == ["dial two"]


# The register would get a gauge twice, or one that no uncertainty can be made of.
def test_gauges_are_described_on_their_own_page_too(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    form = {"key": look(device, "/gauges").value("key"), "name": "dial", "range": "300 psi", "check_valve": "plug end"}
    assert device.send("/gauges", {**form, "grade": "Q"}).status == 422
    for _ in range(2):
        assert device.send("/gauges", form).status == 303
    assert len(found.shop.book.gauge_history("dial")) == 1
    assert "at the plug end" in look(device, "/gauges").text or "plug end" in look(device, "/gauges").text


# ---------------------------------------------------------------------------------------------- leak-down


# A reading sent twice by an impatient thumb would stand as a repeat that nobody took.
def test_a_leakdown_reading_is_kept_once(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = f"/tests/{found.open}/leakdown"
    form: dict[str, str | list[str]] = {
        "key": look(device, here).value("key"),
        "cylinder": "3",
        "supply": "80 psi",
        "held": "60",
        "restrictor": "0.040 in",
        "heard": ["exhaust", "crankcase"],
    }
    places = {sent(device, here, form).header("location") for _ in range(2)}
    assert len(places) == 1
    rows = found.shop.book.test(found.open).test.leakdowns
    assert [(row.cylinder, str(row.held), row.heard, row.repeat) for row in rows] == [
        ("3", "60 psi", ("exhaust", "crankcase"), None)
    ]
    page = look(device, places.pop().partition("#")[0])
    # (80 - 60) / 80 is a quarter, by hand; more than 20 % through 0.040 in is suspect (common practice).
    assert "25" in page.text
    assert "Cylinder 3: kept in the book" in " ".join(page.text.split())
    again = {**form, "key": look(device, here).value("key"), "held": "62 psi"}
    sent(device, here, again)
    assert [row.repeat for row in found.shop.book.test(found.open).test.leakdowns] == [None, 2]


# A figure that cannot be would be judged.
@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("cylinder", ""),
        ("cylinder", "9"),
        ("supply", ""),
        ("supply", "80"),
        ("supply", "900 psi"),
        ("held", ""),
        ("held", "90 psi"),
        ("restrictor", "40 mm"),
        ("heard", "the radio"),
        ("coefficient", "3"),
    ],
)
def test_a_leakdown_reading_that_cannot_be_is_refused(found: Filled, field: str, text: str) -> None:
    device = found.shop.device(Who.ENTERS)
    here = f"/tests/{found.open}/leakdown"
    good = {"cylinder": "3", "supply": "80 psi", "held": "60", "restrictor": "1 mm", "heard": "exhaust"}
    answer = device.send(here, {**good, "key": look(device, here).value("key"), field: text})
    page = read(answer)
    sound(page, here)
    assert answer.status == 422
    assert page.faults(field), page.text
    assert found.shop.book.test(found.open).test.leakdowns == ()


# A slip in the day would be taken without a word on the page, or what is meant could not be written there.
def test_a_day_that_is_hard_to_believe_is_asked_about(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    sheet = parse_sheet(found.shop.book.sheets("0417")[-1].text)
    form: dict[str, str | list[str]] = {"key": look(device, "/engines/0417/plan").value("key"), "done": _ticks(sheet)}
    form |= {"do": "begin", "cranking_speed": "19", "inlet_air": "180 C"}
    answer = sent(device, "/engines/0417/plan", form)
    assert answer.status == 422
    page = read(answer)
    assert page.faults("cranking_speed")
    assert page.faults("inlet_air")
    assert "--confirm" not in page.text
    assert "meant as they are" in page.text
    begun = sent(device, "/engines/0417/plan", {**form, "confirmed": "yes"})
    assert begun.status == 303
    here = begun.header("location").replace("/pull", "/corrections")
    other = {"key": look(device, here).value("key"), "cranking_speed": "2100", "inlet_air": "180 C", "why": "misread"}
    asked = read(device.send(here, other))
    assert asked.faults("cranking_speed")
    assert not asked.faults("inlet_air"), "what was left as it was is not asked about again"
    assert device.send(here, {**other, "confirmed": "yes"}).status == 303


# ---------------------------------------------------------------------------------------------- record


# What was put right would not be in the record, or take with it what was right.
def test_the_heading_of_a_test_is_put_right_with_a_reason(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = f"/tests/{found.june}/corrections"
    page = look(device, here)
    names = (
        "date",
        "by",
        "run_since_build",
        "altitude",
        "inlet_air",
        "oil",
        "cranking_speed",
        "battery",
        "note",
        "key",
    )
    form = {name: page.value(name) for name in names}
    before = found.shop.book.test(found.june)
    refused = device.send(here, {**form, "by": "B. Alder"})
    assert refused.status == 422
    assert read(refused).faults("why")
    assert read(refused).value("by") == "B. Alder"
    for _ in range(2):
        assert device.send(here, {**form, "by": "B. Alder", "why": "misspelt"}).status == 303
    after = found.shop.book.test(found.june)
    assert after.header.by == "B. Alder"
    assert after.header.conditions == before.header.conditions
    assert len(after.entries) == len(before.entries) + 1
    assert "misspelt" in look(device, here).text
    assert after.head in look(device, here).text


# A date or a day that cannot be would stand on paper.
def test_a_heading_that_cannot_be_is_refused_all_at_once(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = f"/tests/{found.june}/corrections"
    form = {"key": look(device, here).value("key"), "date": "2026-02-30", "oil": "80", "gauge": "nobody's", "why": "x"}
    page = read(device.send(here, form))
    sound(page, here)
    assert all(page.faults(name) for name in ("date", "oil", "gauge"))


# A line in the wrong log would stay there for ever, or go without a trace.
def test_a_line_of_the_log_is_taken_back_with_a_reason(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = "/engines/0417/history"
    form = {"key": look(device, here).value("key"), "text": "oil change of another engine"}
    assert device.send(here, form).status == 303
    line = found.shop.book.events("0417")[-1].seq
    back = {"key": f"{form['key']}-back", "do": "take back", "entry": str(line), "why": ""}
    refused = device.send(here, back)
    assert refused.status == 422
    assert read(refused).faults("why")
    for _ in range(2):
        assert device.send(here, {**back, "why": "wrong engine"}).status == 303
    assert line not in {each.seq for each in found.shop.book.events("0417")}
    assert "taken back: wrong engine" in look(device, here).text


# The log of an engine would hold a line twice, or one that says nothing.
def test_the_log_gets_a_line_once(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = "/engines/0417/history"
    form = {"key": look(device, here).value("key"), "text": "oil change", "at": "700 mile", "date": "2026-06-01"}
    for field, text in (("text", ""), ("at", "later"), ("date", "June")):
        page = read(device.send(here, {**form, field: text}))
        assert page.faults(field), page.text
    for _ in range(2):
        assert device.send(here, form).status == 303
    assert [(each.text, str(each.at)) for each in found.shop.book.events("0417")] == [("oil change", "700 mile")]
    assert "oil change" in look(device, here).text


# ---------------------------------------------------------------------------------------------- owner, settings


# Whoever enters readings could read or change whose engine it is; or what was forgotten would still be there.
def test_the_owner_of_an_engine_is_kept_and_forgotten_by_the_owner_alone(found: Filled) -> None:
    owner, enters = found.shop.device(Who.OWNER), found.shop.device(Who.ENTERS)
    page = look(owner, f"/tests/{found.june}/sheet")
    to = next(each.attributes["action"] for each in page.all("form") if "owner" in each.attributes.get("action", ""))
    form = {"key": page.value("key"), "owner_name": "A. Reader", "owner_contact": "", "do": "keep"}
    assert enters.send(to, form).status == 403
    assert read(owner.send(to, {**form, "owner_name": ""})).faults("owner_name")
    assert owner.send(to, form).status == 303
    assert "A. Reader" in look(owner, f"/tests/{found.june}/sheet").text
    assert owner.send(to, {"key": form["key"], "do": "forget"}).status == 303
    assert found.shop.book.owner("0417") is None


# A threshold would be changed in the file and not in the judgement, or half of several changes be kept.
def test_settings_hold_at_once_and_can_be_set_back(found: Filled) -> None:
    owner = found.shop.device(Who.OWNER)
    path = found.shop.folder / "settings.toml"
    key = look(owner, "/settings").value("key")
    wrong = {"key": key, "shop.name": "Harbour Lane", "limits.mean_deviation_target": "much", "units.pressure": "stone"}
    answer = owner.send("/settings", {**wrong, "do": "keep"})
    page = read(answer)
    sound(page, "/settings")
    assert answer.status == 422
    assert page.faults("limits.mean_deviation_target")
    assert page.faults("units.pressure")
    assert page.value("shop.name") == "Harbour Lane"
    assert not path.exists()
    form = {"key": key, "shop.name": "Harbour Lane", "limits.mean_deviation_target": "0.4", "sheet.paper": "Letter"}
    assert owner.send("/settings", {**form, "do": "keep"}).status == 303
    assert read_settings(path).limits == {"mean_deviation_target": 0.4}
    # The June test has a mean deviation of 0.44 % of its mean (frozen): under 1 %, not under 0.4 %.
    text = " ".join(look(owner, f"/tests/{found.june}").text.split())
    assert "0.4 %" in text
    assert next(look(owner, "/").all("h1")).text == "Harbour Lane"
    assert owner.send("/settings", {"key": key, "do": "usual"}).status == 303
    assert read_settings(path).limits == {}
    assert read_settings(path).shop == "Harbour Lane"


# Two pages of settings would not say the same as the command line of what is usual.
def test_every_figure_of_the_settings_has_its_usual_value_and_source(found: Filled) -> None:
    page = look(found.shop.device(), "/settings")
    keys = {each.attributes["name"] for each in page.all("input") if each.attributes.get("type") == "text"}
    place = found.shop.service.place
    rules = {f"limits.{key}" for key, *_ in place.rule_limits()}
    assert keys == {
        "shop.name",
        "shop.builder",
        "units.pressure",
        *rules,
        *(f"{table}.{key}" for table, key, *_ in place.practice_figures()),
    }
    helps = [each.text for each in page.all("p") if each.attributes.get("id", "").endswith("-help")]
    assert sum("Usual: " in each for each in helps) == len(keys) - 3
