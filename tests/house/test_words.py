"""What the project's own files may not say, and how long they may be."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LONGEST = 450

# Written in halves, so that this file does not find itself.
UNFINISHED = [
    "TO" + "DO",
    "FIX" + "ME",
    "XX" + "X",
    "HA" + "CK",
    "NotImplemented" + "Error",
    "for " + "now",
    "lorem " + "ipsum",
]
MACHINE_PATHS = ["/wo" + "rk/", "/ro" + "ot/", "/ho" + "me/", "/opt/" + "wheels", "C:" + "\\Users\\", "../sha" + "red"]
REGISTRIES = [
    "pypi" + ".org",
    "python" + "hosted",
    "npmjs" + ".",
    "deb.debian" + ".org",
    "index" + "-url",
    "find" + "-links",
]

PAGES_ELSEWHERE = [
    name + ".md" for name in ("design", "contract", "style", "trade", "physics", "references", "reliability")
]
PAGES_ELSEWHERE += ["brief" + ".md", "check_values" + ".json"]

_BUILT = {".git", ".venv", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis", ".import_linter_cache"}
_BUILT |= {"__pycache__", "build", "dist", "site", "node_modules", "ringtrue-demo"}


_NOT_OURS = ROOT / "tests" / "browser" / "axe"
"""A library that the tests bring along, with its licence; nobody here changes it."""


def project_files() -> list[Path]:
    """Return the files of the project: those that git tracks or would, or, without git, all but what was built."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            capture_output=True,
            check=True,
        )
    except (OSError, subprocess.CalledProcessError):
        files = [path for path in ROOT.rglob("*") if not _BUILT & set(path.relative_to(ROOT).parts)]
    else:
        files = [ROOT / name for name in listed.stdout.decode().split("\0") if name]
    return sorted(path for path in files if path.is_file() and path.parent != _NOT_OURS)


def text_of(path: Path) -> str | None:
    """Return the text of a file, or None for a picture, a PDF or a database."""
    raw = path.read_bytes()
    if b"\0" in raw:
        return None
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return None


def found(words: list[str], *, whole: bool) -> list[str]:
    """Return "file:line: word" for each place that holds one of the words."""
    edge = r"\b" if whole else ""
    pattern = re.compile("|".join(f"{edge}{re.escape(word)}{edge}" for word in words), re.IGNORECASE)
    places = []
    for path in project_files():
        for number, line in enumerate((text_of(path) or "").splitlines(), start=1):
            if hit := pattern.search(line):
                places.append(f"{path.relative_to(ROOT)}:{number}: {hit.group()}")
    return places


# If this failed, something was handed over as done that its own author calls unfinished.
def test_nothing_is_marked_unfinished() -> None:
    assert found(UNFINISHED, whole=True) == []


# If this failed, the project would work, or make sense, on one machine only.
def test_no_path_of_one_machine() -> None:
    assert found(MACHINE_PATHS, whole=False) == []


# If this failed, an install would go where a file says rather than where its user's settings say.
def test_no_registry_is_named() -> None:
    assert found(REGISTRIES, whole=False) == []


# If this failed, a module would be longer than a person reads in one sitting.
@pytest.mark.parametrize("folder", ["src", "tests"])
def test_no_module_is_too_long_to_read(folder: str) -> None:
    python = [path for path in project_files() if path.suffix == ".py" and path.is_relative_to(ROOT / folder)]
    lengths = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in python}
    assert {name: length for name, length in lengths.items() if length > LONGEST} == {}


# If this failed, a style sheet, a script or a page's template would be longer (vendored ones are as they came).
def test_nothing_of_the_pages_is_too_long_to_read() -> None:
    web = ROOT / "src" / "ringtrue" / "web"
    ours = [path for path in project_files() if path.is_relative_to(web) and "vendor" not in path.parts]
    texts = [path for path in ours if path.suffix in {".css", ".js", ".html", ".j2"}]
    assert {"look.css", "pull.js", "pull.html.j2"} <= {path.name for path in texts}
    lengths = {path.name: len(path.read_text(encoding="utf-8").splitlines()) for path in texts}
    assert {name: length for name, length in lengths.items() if length > LONGEST} == {}


# If this failed, the project would lean on a page that its reader does not have.
def test_no_page_is_named_that_is_not_here() -> None:
    here = {path.name for path in project_files()}
    assert found([name for name in PAGES_ELSEWHERE if name not in here], whole=True) == []


# If this failed, the words above would be looked for in no file at all.
def test_the_files_are_found() -> None:
    names = {str(path.relative_to(ROOT)) for path in project_files()}
    assert {"README.md", "Makefile", "pyproject.toml", "src/ringtrue/__init__.py"} <= names
