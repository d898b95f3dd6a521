"""The page of the shop's builds, without a browser: what it says, to whom, and of hostile names."""

from __future__ import annotations

import json
import random
from typing import TYPE_CHECKING

import pytest
from tests.built import fill, finals, hand_over
from tests.web.pages import HOSTILE, look
from tests.web.shop import Shop

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from pathlib import Path


# If this failed, an empty book, or one of few builds, would have no page, or limits that mean nothing.
def test_few_builds(tmp_path: Path) -> None:
    with Shop(tmp_path) as shop:
        assert "There is no build yet" in look(shop.device(Who.LOOKS_ON), "/workmanship").text
        fill(shop.book, 3)
        page = look(shop.device(Who.LOOKS_ON), "/workmanship")
        assert "There are 3 builds: limits are drawn from 10 on" in page.text
        assert not list(page.all("figure"))
        tests = [
            each.attributes["href"] for each in page.all("a") if each.attributes.get("href", "").startswith("/tests/")
        ]
        assert len(tests) == 3


# If this failed, page and drawing would tell of other builds than the command does.
def test_the_charts_stand_in_the_page(tmp_path: Path) -> None:
    with Shop(tmp_path) as shop:
        fill(shop.book, 40, out=31)
        page = look(shop.device(Who.LOOKS_ON), "/workmanship?baseline=15")
        drawn = [json.loads(each.text) for each in page.all("script") if each.text.strip()]
        assert len(drawn) == 4
        assert [spot["name"] for spot in drawn[0]["lines"][0]["spots"] if "name" in spot] == ["31: Engine 31"]
        assert "Baseline: the first 15 builds" in page.text
        assert "need not cause one another" in page.text


# If this failed, the page would not say that there are more builds than it shows, or have no way to them.
def test_all_builds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringtrue.shop.workmanship.MOST", 3)
    with Shop(tmp_path) as shop:
        fill(shop.book, 5)
        looks_on = shop.device(Who.LOOKS_ON)
        page = look(looks_on, "/workmanship")
        assert "The last 3 builds" in page.text
        assert "There are more builds than these" in page.text
        assert "5 builds, 20" in look(looks_on, "/workmanship?all=yes").text


# If this failed, something mistyped in the address would be a fault of the program, or lose what else was typed.
@pytest.mark.parametrize(
    ("asked", "field"), [("since=soon", "since"), ("baseline=9", "baseline"), ("baseline=%00", "baseline")]
)
def test_mistyped(tmp_path: Path, asked: str, field: str) -> None:
    with Shop(tmp_path) as shop:
        page = look(shop.device(), f"/workmanship?{asked}&family=V", 422)
        assert page.faults(field)
        assert page.value("family") == "V"


# If this failed, the page would tell somebody who mistypes a family that the shop has built nothing.
def test_a_family_that_is_not_there(tmp_path: Path) -> None:
    with Shop(tmp_path) as shop:
        fill(shop.book, 12)
        page = look(shop.device(), "/workmanship?family=diesels", 422)
        assert page.faults("family")
        assert page.value("family") == "diesels"
        assert "“inline, 6 cylinders”" in page.text
        assert "There is no build yet" not in page.text


# If this failed, a name that somebody gave an engine would run as a program, end the figures, or break the page.
def test_hostile_names(tmp_path: Path) -> None:
    six = {str(at): 70.0 for at in range(1, 7)}
    draw = random.Random(4)
    with Shop(tmp_path) as shop:
        name = HOSTILE[:90]
        for number in range(1, 13):
            spread = 0.2 if number == 12 else 0.01
            hand_over(shop.book, number, finals(draw, six, spread), None, f"2026-02-{number:02d}", HOSTILE[:80], name)
        page = look(shop.device(), "/workmanship")
        assert not list(page.all("img", "b", "u"))
        data = [each.text for each in page.all("script") if each.text.strip()]
        assert len(data) == 2
        assert all(not set("<>&") & set(each) for each in data)
        assert json.loads(data[0])["lines"][0]["spots"][11]["says"].startswith(f"Build 12, {name}")
