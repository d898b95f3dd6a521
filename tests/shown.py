"""
Pages of the documentation, run as they stand.

In a page, a block of the language ``console`` is a conversation: a line that begins with ``$`` is typed, the lines
below it are what the program says. A line ``...`` stands for any lines left out, ``...`` within a line for any text.
A line with a file's name and a colon, both alone, makes a file of the block below it. Comments, which no reader sees,
say what the page takes for granted:

- ``have: NAME``: a file of the demonstration's story is there;
- ``quietly: COMMAND``: typed before, and not shown;
- ``typed:`` and lines: what is typed into the next command.
"""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from unittest import mock

from ringtrue.cli import run

_COMMENT = re.compile(r"<!--\s*(have|quietly|typed):\s*(.*?)\s*-->", re.DOTALL)
_FILE = re.compile(r"^`([\w-]+\.[a-z]+)`:$")
_FENCE = re.compile(r"^```(\w*)$")
# Ids of tests and heads of chains: other ones at every run.
_CHANCE = re.compile(r"\b(?=[0-9a-z-]*[0-9])[0-9a-z]{4}(?:-[0-9a-z]{4})+\b|\b[0-9a-f]{64}\b")
_LEFT_OUT = "..."


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a page that does something: a comment, or a block in a language."""

    line: int
    what: str
    text: str


@dataclass(frozen=True, slots=True)
class Said:
    """A command of a page, and what the page says it answers."""

    line: int
    command: str
    answer: tuple[str, ...]


def pieces(page: str) -> Iterator[Piece]:
    """Yield the comments and the fenced blocks of a page, in its order."""
    lines = page.splitlines()
    at = 0
    while at < len(lines):
        if fence := _FENCE.match(lines[at]):
            end = lines.index("```", at + 1)
            yield Piece(at + 1, fence[1], "\n".join(lines[at + 1 : end]) + "\n")
            at = end + 1
        elif lines[at].startswith("<!--"):
            end = next(number for number in range(at, len(lines)) if "-->" in lines[number])
            if found := _COMMENT.fullmatch("\n".join(lines[at : end + 1]).strip()):
                yield Piece(at + 1, found[1], found[2])
            at = end + 1
        else:
            if named := _FILE.match(lines[at]):
                yield Piece(at + 1, "file", named[1])
            at += 1


def conversation(piece: Piece) -> Iterator[Said]:
    """Yield the commands of a block, each with its answer."""
    command, line, answer = "", 0, list[str]()
    for number, row in enumerate(piece.text.splitlines(), start=piece.line + 1):
        if row.startswith("$ "):
            if command:
                yield Said(line, command, tuple(answer))
            command, line, answer = row[2:], number, []
        elif command.endswith("\\"):
            command = command[:-1] + row.strip()
        else:
            answer.append(row)
    if command:
        yield Said(line, command, tuple(answer))


def _plain(text: str) -> list[str]:
    """Return the lines that say something, without the blanks that only make a picture of them."""
    rows = (re.sub(r"[─━]+", "─", " ".join(row.split())) for row in text.splitlines())
    return [row for row in rows if row]


class Workshop:
    """A folder, a book and settings of its own, in which the commands of one page are typed."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._place = {"RINGTRUE_BOOK": str(folder / ".book.db"), "RINGTRUE_SETTINGS": str(folder / ".settings.toml")}
        self._typed = ""
        self._code = 0
        self._real: dict[str, str] = {}
        self._file = ""

    def follow(self, page: str) -> list[str]:
        """Do what a page says from top to bottom; return a sentence for each answer that is another one."""
        wrong: list[str] = []
        for piece in pieces(page):
            if piece.what == "console":
                wrong += [fault for said in conversation(piece) if (fault := self._compare(said))]
            else:
                self._prepare(piece)
        return wrong

    def type(self, command: str) -> str:
        """Type one command, and return what it says."""
        for shown, real in self._real.items():
            command = command.replace(shown, real)
        words = shlex.split(command)
        if words == ["echo", "$?"]:
            return f"{self._code}\n"
        assert words[0] == "ringtrue", f"a page types {words[0]}, which the tests do not run"
        typed, self._typed = self._typed, ""
        if "<" in words:
            at = words.index("<")
            typed = (self._folder / words[at + 1]).read_text("utf-8")
            del words[at : at + 2]
        heard = io.StringIO()
        with (
            contextlib.chdir(self._folder),
            mock.patch.dict("os.environ", self._place),
            mock.patch.object(sys, "stdin", io.StringIO(typed)),
            contextlib.redirect_stdout(heard),
            contextlib.redirect_stderr(heard),
        ):
            self._code = run(words[1:])
        return heard.getvalue()

    def _prepare(self, piece: Piece) -> None:
        if piece.what == "file":
            self._file = piece.text
        elif piece.what == "have":
            story = resources.files("ringtrue.cli").joinpath("story", piece.text)
            (self._folder / piece.text).write_bytes(story.read_bytes())
        elif piece.what == "quietly":
            said = self.type(piece.text)
            assert self._code == 0, f"line {piece.line}: {piece.text}: {said}"
        elif piece.what == "typed":
            self._typed = piece.text + "\n"
        elif self._file:
            (self._folder / self._file).write_text(piece.text, "utf-8")
            self._file = ""

    def _compare(self, said: Said) -> str:
        real = _plain(self.type(said.command))
        shown = _plain("\n".join(said.answer))
        missing = self._first_missing(shown, real)
        if missing is None:
            return ""
        answer = "\n".join(f"    {row}" for row in real)
        return f"line {said.line}: {said.command}\n  says nothing like: {missing}\n{answer}"

    def _first_missing(self, shown: list[str], real: list[str]) -> str | None:
        """Lay what is shown on what was said, and return the first line that finds no place; None when all do."""
        at, may_skip = 0, False
        for row in shown:
            if row == _LEFT_OUT:
                may_skip = True
                continue
            places = range(at, len(real) if may_skip else min(at + 1, len(real)))
            found = next((place for place in places if self._alike(row, real[place])), None)
            if found is None:
                return row
            at, may_skip = found + 1, False
        return None if may_skip or at == len(real) else f"(and then) {real[at]}"

    def _alike(self, shown: str, real: str) -> bool:
        pattern, named = "", []
        at = 0
        for chance in _CHANCE.finditer(shown):
            pattern += _any_where_left_out(shown[at : chance.start()])
            if chance[0] in self._real:
                pattern += re.escape(self._real[chance[0]])
            else:
                named.append(chance[0])
                pattern += r"([0-9a-z]{4}(?:-[0-9a-z]{4})+|[0-9a-f]{64})"
            at = chance.end()
        found = re.fullmatch(pattern + _any_where_left_out(shown[at:]), real)
        if found is None:
            return False
        self._real.update(zip(named, found.groups(), strict=True))
        return True


def _any_where_left_out(text: str) -> str:
    return ".*".join(re.escape(part) for part in text.split(_LEFT_OUT))
