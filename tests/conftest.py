"""What every test may use, and the rule that no test is skipped unseen."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import hypothesis
import pytest

if TYPE_CHECKING:
    from collections.abc import Sequence

pytest_plugins = ["tests.postgres"]

hypothesis.settings.register_profile("check", deadline=None, max_examples=100, print_blob=True)
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
    """Choose how long the random tests look."""
    hypothesis.settings.load_profile("soak" if config.getoption("--soak") else "check")


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
