"""What every test may use, and the rule that no test is skipped unseen."""

from __future__ import annotations

import contextlib
import gc
import os
import re
import shutil
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import hypothesis
import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

pytest_plugins = ["tests.postgres"]

IN_MEMORY = Path("/dev/shm")  # noqa: S108 - each run makes a folder of its own there
"""Where Linux keeps files in memory; only a power cut tells them from those on a disk, and has tests of its own."""
ROOM = 4e9
"""So much a run may need of it. [bytes]"""

hypothesis.settings.register_profile("check", deadline=None, max_examples=50, print_blob=True)
hypothesis.settings.register_profile("soak", deadline=None, max_examples=5_000, print_blob=True)


@dataclass(frozen=True, slots=True)
class AllowedSkip:
    """A reason for which tests may be skipped or may fail, and why that is bearable."""

    reason: str
    because: str

    def covers(self, said: str) -> bool:
        """Tell whether the words of a skip are those of this reason."""
        return re.search(re.escape(self.reason), said) is not None


# The whole list. A skip for any other reason fails the run.
ALLOWED_SKIPS = (
    AllowedSkip(
        reason="no PostgreSQL server",
        because="the machine has none and may not install one; the same tests still run on SQLite",
    ),
    AllowedSkip(
        reason="no POSIX",
        because="a terminal of its own and a kill with signal 9 are not to be had; the same conversations run on pipes",
    ),
    AllowedSkip(
        reason="no strace",
        because="only the long tests of power cuts and failing disks need it, and they run where it is",
    ),
    AllowedSkip(
        reason="no pdftoppm",
        because="the machine has no poppler-utils and may not install it; the text of the sheets is still read",
    ),
    AllowedSkip(
        reason="no Chromium",
        because="the machine has none and may not install one; what the server answers is tested all the same",
    ),
)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add --soak."""
    parser.addoption("--soak", action="store_true", help="run the long tests too, and the random ones longer")


def pytest_configure(config: pytest.Config) -> None:
    """Choose how long the random tests look, and where files are made: for the long run on the disk."""
    hypothesis.settings.load_profile("soak" if config.getoption("--soak") else "check")
    if not config.getoption("--soak") and os.access(IN_MEMORY, os.W_OK) and shutil.disk_usage(IN_MEMORY).free > ROOM:
        os.environ["TMPDIR"] = tempfile.tempdir = str(IN_MEMORY)


def pytest_collection() -> None:
    """Look for nothing to throw away while the tests are found: all of it stays."""
    gc.disable()


def pytest_collection_finish() -> None:
    """Leave what was found out of every later look."""
    gc.freeze()
    gc.enable()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave long tests, and cases of `in_part`, out unless asked for: deselected, which pytest counts as it closes."""
    if config.getoption("--soak"):
        return
    cases, waiting = Counter[str](), list[pytest.Item]()
    for item in items:
        part = item.get_closest_marker("in_part")
        if part is not None:
            test = item.nodeid.partition("[")[0]
            number, cases[test] = cases[test], cases[test] + 1
            if number % part.args[0]:
                waiting.append(item)
        elif item.get_closest_marker("soak"):
            waiting.append(item)
    if waiting:
        config.hook.pytest_deselected(items=waiting)
        left_out = set(waiting)
        items[:] = [item for item in items if item not in left_out]


@pytest.fixture(scope="session", autouse=True)
def books_are_copied(tmp_path_factory: pytest.TempPathFactory, *, soaking: bool) -> Iterator[None]:
    """
    Make the first new book in a file of this process; every later one is a copy of it.

    Its tables come from scripts, one after the other, and thousands of tests begin with a new book. The long run makes
    each anew, and so does a run that has loaded no record book by now.
    """
    _sqlite = sys.modules.get("ringtrue.records._sqlite")
    if soaking or _sqlite is None:
        yield
        return
    first = tmp_path_factory.mktemp("books") / "new.ringtrue"

    def copied(path: Path) -> None:
        if not first.exists():
            made_anew(first)
        path.parent.mkdir(parents=True, exist_ok=True)
        with _sqlite.beside(path) as fresh:
            shutil.copy(first, fresh)
            with contextlib.suppress(FileExistsError):
                _sqlite.put_in_place(fresh, path)

    with pytest.MonkeyPatch.context() as patch:
        made_anew = _sqlite.new_file
        patch.setattr(_sqlite, "new_file", copied)
        yield


@pytest.fixture(scope="session")
def soaking(pytestconfig: pytest.Config) -> bool:
    """Whether this is the long run, for tests that do the same thing fewer or more times."""
    return bool(pytestconfig.getoption("--soak"))


# ---------------------------------------------------------------------------------------------- skips


def skipped(config: pytest.Config) -> list[tuple[str, str]]:
    """Return (test, reason) of all that was skipped or was expected to fail."""
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    if reporter is None:
        return []
    found = []
    for report in [*reporter.stats.get("skipped", []), *reporter.stats.get("xfailed", [])]:
        if hasattr(report, "wasxfail"):
            reason = report.wasxfail
        else:
            reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        found.append((report.nodeid, reason.removeprefix("Skipped: ")))
    return found


def uncovered(skips: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the skips for which ALLOWED_SKIPS has no reason."""
    return [(test, said) for test, said in skips if not any(allowed.covers(said) for allowed in ALLOWED_SKIPS)]


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Fail a run in which a test was skipped for a reason that is not on the list."""
    if exitstatus == pytest.ExitCode.OK and uncovered(skipped(session.config)):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say what was skipped, how often, and whether that is allowed."""
    skips = skipped(config)
    if not skips:
        return
    terminalreporter.section(f"{len(skips)} not run")
    for allowed in ALLOWED_SKIPS:
        count = sum(allowed.covers(said) for _, said in skips)
        if count:
            terminalreporter.line(f"allowed: {count} x {allowed.reason}: {allowed.because}")
    for test, said in uncovered(skips):
        terminalreporter.line(
            f"NOT ALLOWED: {test}: {said} (ALLOWED_SKIPS in tests/conftest.py has no such reason)", red=True
        )
