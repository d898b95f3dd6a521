"""The server under what nobody would send: every operation of its own description, by schemathesis, seed fixed (A8)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import hypothesis
import pytest
import schemathesis
from schemathesis.core.failures import FailureGroup
from schemathesis.generation import GenerationMode
from tests.web.shop import HERE, Shop

from ringtrue.web.app import ROUTES
from ringtrue.web.openapi import description
from ringtrue.web.routes import Route, Who

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SEED = 4208
TOLD = [each for each in ROUTES if each.summary and not each.stream]
"""A stream has no end that could be waited for; who may follow it is tested beside the gate."""
WRONG = [each for each in TOLD if "{" in each.path or each.takes is not None]
"""What takes nothing cannot be given something wrong."""
# JSON Schema cannot say that a cylinder is one of this engine, or that a name can be read: what fits the schema may
# still be refused with its reason. Everything else that schemathesis checks is checked.
MAY_BE_REFUSED = ["2xx", "401", "403", "404", "422"]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield an application."""
    with Shop(tmp_path) as opened:
        yield opened


def named(given: Route | GenerationMode) -> str:
    """Return what a case is called in a list of tests."""
    return f"{given.method} {given.path}" if isinstance(given, Route) else given.value


def hammered(shop: Shop, route: Route, mode: GenerationMode, examples: int) -> dict[int, int]:
    """Send an operation what its description allows, or what it forbids; how often each status came back."""
    schema = schemathesis.openapi.from_dict(description(ROUTES))
    schema.app = shop.app
    schema.config.checks.positive_data_acceptance.expected_statuses = MAY_BE_REFUSED
    path = route.path.replace(":int", "")
    operation = schema[path][route.method]
    token, test = shop.token(Who.OWNER), shop.test()
    seen: dict[int, int] = {}

    @hypothesis.seed(SEED)
    @hypothesis.settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=[hypothesis.Phase.generate],
        suppress_health_check=list(hypothesis.HealthCheck),
    )
    @hypothesis.given(case=operation.as_strategy(generation_mode=mode))
    def each(case: schemathesis.Case[Any]) -> None:
        turn = sum(seen.values())
        if "test" in case.path_parameters and turn % 4:  # most of them reach a test that is there
            case.path_parameters["test"] = test
        if mode is GenerationMode.POSITIVE and isinstance(case.body, dict) and turn % 2:
            case.body |= {name: value for name, value in SENSIBLE.items() if name in case.body}
        answer = case.call(base_url=HERE, headers={"Authorization": f"Bearer {token}"})
        seen[answer.status_code] = seen.get(answer.status_code, 0) + 1
        case.validate_response(answer)

    each()
    return seen


SENSIBLE: dict[str, Any] = {
    "cylinder": "1",
    "unit": "psi",
    "final": "150",
    "first": "90",
    "engine": "0417",
    "kind": "dry",
}


# If this failed, something that a phone or a program may send would break the server, be answered otherwise than the
# description says, or be taken though the description forbids it.
@pytest.mark.parametrize(
    ("route", "mode"),
    [(each, GenerationMode.POSITIVE) for each in TOLD] + [(each, GenerationMode.NEGATIVE) for each in WRONG],
    ids=named,
)
def test_whatever_is_sent(shop: Shop, route: Route, mode: GenerationMode, *, soaking: bool) -> None:
    seen = hammered(shop, route, mode, 1000 if soaking else 6)
    assert seen
    assert not {status for status in seen if status >= 500}


# If this failed, the test above would also pass for a server that falls over.
def test_a_server_that_falls_over_is_noticed(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(shop.service.door, "hear", broken)
    (route,) = (each for each in TOLD if each.path == "/api/pair/wait")
    with pytest.raises(FailureGroup, match="500"):
        hammered(shop, route, GenerationMode.POSITIVE, 5)
