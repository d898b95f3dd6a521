"""No test is skipped unseen: the rule of conftest.py, tried on small runs of its own."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
pytest_plugins = ["pytester"]


def run(pytester: pytest.Pytester, test: str, *options: str) -> pytest.RunResult:
    """Run one small test file under the project's own conftest.py."""
    pytester.makeconftest((ROOT / "tests" / "conftest.py").read_text(encoding="utf-8"))
    settings = {"pythonpath": [str(ROOT)], "markers": ["soak: long", "in_part(n): some"]}
    lines = [f"{key} = {json.dumps(value)}" for key, value in settings.items()]
    pytester.makepyprojecttoml("\n".join(["[tool.pytest.ini_options]", *lines]))
    pytester.makepyfile(test)
    return pytester.runpytest_subprocess("-p", "no:cacheprovider", *options)


# If this failed, a check could be switched off and the run would still be green.
@pytest.mark.in_part(4)
@pytest.mark.parametrize("options", [(), ("-n", "2")])
@pytest.mark.parametrize(
    "test",
    [
        "import pytest\ndef test_a():\n    pytest.skip('tired')\n",
        "import pytest\npytest.skip('tired', allow_module_level=True)\n",
        "import pytest\n@pytest.mark.xfail(reason='tired')\ndef test_a():\n    assert False\n",
        "import pytest\n@pytest.mark.skip\ndef test_a():\n    pass\ndef test_b():\n    pass\n",
    ],
)
def test_a_skip_without_a_listed_reason_fails_the_run(
    pytester: pytest.Pytester, test: str, options: tuple[str, ...]
) -> None:
    result = run(pytester, test, *options)
    assert result.ret != 0
    result.stdout.fnmatch_lines(["*1 not run*", "NOT ALLOWED:*"])


# If this failed, a machine without a PostgreSQL server could not run the checks, or would run fewer in silence.
def test_a_listed_reason_is_allowed_and_printed(pytester: pytest.Pytester) -> None:
    test = "import pytest\ndef test_a():\n    pytest.skip('no PostgreSQL server here')\ndef test_b():\n    pass\n"
    result = run(pytester, test)
    assert result.ret == 0
    result.stdout.fnmatch_lines(["allowed: 1 x no PostgreSQL server: *"])


# If this failed, the long tests would run at every check, or never.
def test_long_tests_wait_for_soak(pytester: pytest.Pytester) -> None:
    test = (
        "import pytest\n@pytest.mark.soak\ndef test_a(soaking):\n    assert soaking\ndef test_b():\n    pass\n"
        "@pytest.mark.in_part(3)\n@pytest.mark.parametrize('n', range(7))\ndef test_c(n, soaking):\n"
        "    assert soaking or n in (0, 3, 6)\n"
    )
    run(pytester, test).assert_outcomes(passed=4, deselected=5)
    run(pytester, test, "--soak").assert_outcomes(passed=9)
