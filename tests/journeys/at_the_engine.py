"""What the guided test's journeys share: how it is typed, and what stands in the book afterwards."""

from __future__ import annotations

import json
from typing import Any

from tests.journeys.conftest import Types

PULL = "pull --sheet launch-six.toml --unit psi"
BEGUN = "yes\nyes\n"

Rows = list[dict[str, Any]]


def told(types: Types) -> dict[str, Any]:
    """Return what stands in the book of its one test."""
    tests = json.loads(types("book list --json").out)
    assert len(tests) == 1
    found: dict[str, Any] = json.loads(types(f"book show {tests[0]['test']} --json").out)
    return found


def readings(types: Types) -> Rows:
    return told(types)["readings"]  # type: ignore[no-any-return]
