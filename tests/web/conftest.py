"""A server for every test that asks for one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.served import Served

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """Yield a server with an empty book of its own."""
    with Served(tmp_path) as running:
        yield running
