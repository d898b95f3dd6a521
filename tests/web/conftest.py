"""A server for every test that asks for one."""

from __future__ import annotations

import contextlib
import shutil
import signal
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.served import Served
from tests.web.serving import Serve

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """Yield a server with an empty book of its own."""
    with Served(tmp_path) as running:
        yield running


@pytest.fixture(scope="module")
def busy() -> Iterator[Served]:
    """
    Yield one server for many short tests of engines; each begins one of its own.

    Its book is in memory where the system has a disk of that kind: what these tests ask does not rest on the disk.
    """
    memory = Path("/dev/shm")  # noqa: S108 - a folder of its own is made in it
    folder = Path(tempfile.mkdtemp(prefix="ringtrue-pages-", dir=memory if memory.is_dir() else None))
    try:
        with Served(folder) as running:
            yield running
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Yield a server in a process of its own, that runs."""
    started = Serve(tmp_path)
    started.start()
    yield started
    with contextlib.suppress(AssertionError):
        started.stop(signal.SIGKILL)
