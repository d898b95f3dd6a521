"""A builder at the terminal: types a command, may pipe answers in, reads what comes out."""

from __future__ import annotations

import io
import shlex
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from ringtrue.cli import run

STORY = Path(__file__).parents[2] / "src" / "ringtrue" / "cli" / "story"


@dataclass(frozen=True, slots=True)
class Said:
    """What a command answered."""

    code: int
    out: str
    err: str


Types = Callable[..., Said]


@pytest.fixture
def types(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Types:
    """Return a way to type a command in an empty folder, with a book and settings of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("RINGTRUE_BOOK", str(tmp_path / "book.db"))
    monkeypatch.setenv("RINGTRUE_SETTINGS", str(tmp_path / "settings.toml"))
    for name in ("launch-six.toml", "may.toml", "june.toml", "june.csv"):
        (tmp_path / name).write_bytes((STORY / name).read_bytes())

    def typed(command: str, answers: str = "") -> Said:
        monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
        capsys.readouterr()
        code = run(shlex.split(command))
        said = capsys.readouterr()
        return Said(code, said.out, said.err)

    return typed
