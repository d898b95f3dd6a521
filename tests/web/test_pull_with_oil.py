"""Oil before a wet pull: refused where it breaks an engine, asked about where it is much, never before the dry one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.served import SIX, Served, key

if TYPE_CHECKING:
    from tests.served import Phone

DIESEL = SIX.replace('ignition = "spark"', 'ignition = "compression"')


@pytest.fixture
def pulled(busy: Served) -> tuple[Phone, str]:
    """Return a device, and a test in which cylinder 1 was pulled dry."""
    phone, test = busy.phone(), busy.test(SIX)
    assert phone.pull(test, "1", 150).status == 201
    return phone, test


# If this failed, a builder would be led to put oil into an engine that it can lock or bend (common practice).
def test_no_oil_under_compression_ignition(busy: Served) -> None:
    assert 'ignition = "compression"' in DIESEL
    phone, test = busy.phone(), busy.test(DIESEL)
    assert phone.pull(test, "1", 400).status == 201
    answer = phone.pull(test, "1", 420, kind="wet", oil="5 cc")
    assert answer.status == 422
    assert "can lock or bend it" in answer.json["says"]
    assert phone.state(test)["sentences"]["oil_is_wrong"].startswith("Oil in a compression-ignition engine")
    assert phone.state(test)["sentences"]["with_oil"] == []


# If this failed, a dry reading could come after the oil, and be too high without anybody seeing why.
def test_dry_comes_first(pulled: tuple[Phone, str]) -> None:
    phone, test = pulled
    answer = phone.pull(test, "2", 160, kind="wet", oil="5 cc")
    assert (answer.status, answer.json["doubtful"]) == (422, False)
    assert "dry first" in answer.json["says"]


# If this failed, a wet pull would say nothing of what made it wet.
@pytest.mark.parametrize("oil", ["", "0 cc"])
def test_a_wet_pull_has_some_oil(pulled: tuple[Phone, str], oil: str) -> None:
    phone, test = pulled
    answer = phone.pull(test, "1", 160, kind="wet", oil=oil)
    assert answer.status == 422
    assert [fault["where"] for fault in answer.json["faults"]] == ["oil"]


# If this failed, so much oil that it can lock the engine would be written down without a question: above 15 % of the
# clearance volume (common practice).
def test_much_oil_is_asked_about(pulled: tuple[Phone, str]) -> None:
    phone, test = pulled
    same = key()
    asked = phone.pull(test, "1", 170, kind="wet", oil="40 cc", key=same)
    assert (asked.status, asked.json["doubtful"]) == (422, True)
    assert "can lock the engine" in asked.json["says"]
    assert phone.pull(test, "1", 170, kind="wet", oil="40 cc", key=same, confirmed=True).status == 201
    # What is in the book is acknowledged again, though the question is not answered again.
    assert phone.pull(test, "1", 170, kind="wet", oil="40 cc", key=same).status == 201


# If this failed, nobody at the engine would be told what the oil did.
def test_what_oil_did_is_told(pulled: tuple[Phone, str]) -> None:
    phone, test = pulled
    assert phone.pull(test, "1", 165, kind="wet", oil="5 cc").status == 201
    told = {each["name"]: each["oil"] for each in phone.state(test)["cylinders"]}
    assert told["1"].startswith("With oil, cylinder 1 read")
    assert told["2"] == ""


# If this failed, the question about the dose would come only after the engine was cranked on it.
@pytest.mark.parametrize(
    ("cylinder", "dose", "status", "doubtful"),
    [("1", "5 cc", 200, None), ("1", "40 cc", 422, True), ("1", "0 cc", 422, False), ("2", "5 cc", 422, False)],
)
def test_a_dose_is_asked_about_before_the_pull(
    pulled: tuple[Phone, str], cylinder: str, dose: str, status: int, *, doubtful: bool | None
) -> None:
    phone, test = pulled
    before = phone.state(test)["version"]
    asked = phone.post(f"/api/tests/{test}/oil", {"cylinder": cylinder, "oil": dose})
    assert (asked.status, asked.json.get("doubtful")) == (status, doubtful)
    assert phone.state(test)["version"] == before
    if status != 200:
        said = phone.pull(test, cylinder, 170, kind="wet", oil=dose).json["says"]
        assert asked.json["says"] == said


# If this failed, a dose that was said to be meant before the pull would be asked about once more after it.
def test_a_dose_that_is_meant_is_asked_about_once(pulled: tuple[Phone, str]) -> None:
    phone, test = pulled
    assert phone.pull(test, "1", 170, kind="wet", oil="40 cc", oil_meant=True).status == 201
