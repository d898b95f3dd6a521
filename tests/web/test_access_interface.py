"""The description of the HTTP interface: true, whole, and stood up to by the server (A8)."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import openapi_spec_validator
import pytest
from tests.web.shop import Shop, key

from ringtrue.web.app import ROUTES
from ringtrue.web.openapi import description
from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from collections.abc import Iterator

GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "serve.md"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield an application."""
    with Shop(tmp_path) as opened:
        yield opened


def told() -> dict[str, Any]:
    """Return the description."""
    return description(ROUTES)


# If this failed, no program that reads such descriptions could read ours. The schema is the OpenAPI Initiative's own
# for 3.1 (2022-10-07), as openapi-spec-validator carries it.
def test_it_is_a_description_as_openapi_3_1_has_them() -> None:
    openapi_spec_validator.OpenAPIV31SpecValidator(told()).validate()


# If this failed, the validation above would let anything through.
@pytest.mark.parametrize(
    "broken", [{"info": {}}, {"paths": {"x": {}}}, {"components": {"schemas": {"x": {"type": "text"}}}}]
)
def test_a_wrong_description_is_noticed(broken: dict[str, Any]) -> None:
    made = {"openapi": "3.1.0", "info": {"title": "x", "version": "1"}, "paths": {}, **broken}
    assert list(openapi_spec_validator.OpenAPIV31SpecValidator(made).iter_errors())


# If this failed, there would be a way in that programs could use and nobody told them of.
def test_the_whole_interface_is_described() -> None:
    paths = told()["paths"]
    there = {(each.method.lower(), re.sub(r":\w+", "", each.path)) for each in ROUTES if each.path.startswith("/api/")}
    assert {(method, path) for path, methods in paths.items() for method in methods} == there
    names = [operation["operationId"] for methods in paths.values() for operation in methods.values()]
    assert len(names) == len(set(names))


# If this failed, a program would not know what it needs to be let in, or would ask for what anybody may have.
def test_who_may_is_described() -> None:
    paths = told()["paths"]
    for each in ROUTES:
        if each.summary:
            operation = paths[re.sub(r":\w+", "", each.path)][each.method.lower()]
            anybody = each.who is Who.ANYBODY
            assert operation["security"] == ([] if anybody else [{"program": []}, {"browser": []}])
            assert ("401" in operation["responses"]) is not anybody


# If this failed, a field would stand on the wire that no description names.
def test_what_is_sent_is_what_is_described(shop: Shop) -> None:
    schemas = told()["components"]["schemas"]
    owner, test = shop.device(Who.OWNER), shop.test()
    pull = {"key": key(), "cylinder": "1", "unit": "psi", "first": "90", "final": "150"}
    for name, answer in (
        ("Saved", owner.post(f"/api/tests/{test}/readings", pull)),
        ("LiveTest", owner.get(f"/api/tests/{test}")),
        ("TestList", owner.get("/api/tests")),
        ("DevicesOut", owner.get("/api/devices")),
        ("InvitationOut", owner.post("/api/devices/invite")),
        ("Me", owner.get("/api/me")),
        ("Refused", owner.get("/api/tests/none")),
    ):
        assert set(answer.json) == set(schemas[name]["properties"]), name


# If this failed, a shop's programmer would not find the description, or would need a token to read what it says of
# tokens.
def test_it_stands_at_a_stable_address(shop: Shop) -> None:
    answer = shop.client().get("/api/openapi.json")
    assert answer.status == 200
    assert answer.json == told()
    assert "/api/openapi.json" in GUIDE.read_text("utf-8")
