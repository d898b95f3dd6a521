"""Every command and every option stands in the guide, and the guide names none that is not there."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from cyclopts import App

from ringtrue.cli.app import app

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "guide" / "commands.md"
PAGES = sorted([*(ROOT / "docs").rglob("*.md"), ROOT / "README.md", ROOT / "CHANGELOG.md"])
# Every command has these; the page says so once.
EVERYWHERE = {"--help", "-h", "--version"}


@dataclass(frozen=True, slots=True)
class Command:
    """A command as it is typed, and what may be typed with it."""

    name: str
    options: frozenset[str]


def commands(inside: App = app, name: str = "ringtrue") -> list[Command]:
    """Return every command, subcommands behind the one they belong to."""
    found = []
    if inside.default_command is not None:
        arguments = inside.assemble_argument_collection(parse_docstring=False)
        names = {name for argument in arguments for name in argument.names if name.startswith("-")}
        found.append(Command(name, frozenset(names - EVERYWHERE)))
    for word in inside:
        if word not in EVERYWHERE:
            found += commands(inside[word], f"{name} {word}")
    return found


COMMANDS = commands()


def section(command: str) -> str:
    """Return the part of the page that is about a command, with its subcommands."""
    head = " ".join(command.split()[:2])
    parts = re.split(r"^## ", PAGE.read_text("utf-8"), flags=re.MULTILINE)
    return next((part for part in parts if re.match(rf"`{re.escape(head)}[ `]", part)), "")


def about(command: str) -> str:
    """Return the row of a subcommand, and what is said below where the row sends its reader there; else the section."""
    text = section(command)
    row = re.search(rf"^\| `{re.escape(command)}[ `].*$", text, re.MULTILINE)
    if row is None:
        return text
    below = re.search(rf"^`{re.escape(command)}[ `].*?(?=\n## |\Z)", text, re.MULTILINE | re.DOTALL)
    return row[0] + (below[0] if below else "")


# If this failed, the tests below would compare nothing with nothing.
def test_the_commands_are_found() -> None:
    names = {command.name for command in COMMANDS}
    assert {"ringtrue judge", "ringtrue book correct", "ringtrue settings", "ringtrue settings set"} <= names
    assert len(names) >= 25
    assert "--exit-code" in next(command.options for command in COMMANDS if command.name == "ringtrue judge")
    assert "-o" in next(command.options for command in COMMANDS if command.name == "ringtrue book export")


# If this failed, a command would be known only to those who wrote it, or an option only to those who ask for help.
@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_every_command_and_option_stands_in_the_guide(command: Command) -> None:
    text = about(command.name)
    assert f"`{command.name}" in text, f"{command.name} is not in {PAGE.name}"
    said = set(re.findall(r"`(--?[a-z][a-z-]*)`", text))
    assert command.options - said - {"-s"} == set()


# If this failed, somebody would look for a command or an option that is not there.
def test_the_guide_names_no_other() -> None:
    options = set().union(*(command.options for command in COMMANDS)) | EVERYWHERE
    assert set(re.findall(r"`(--?[a-z][a-z-]*)`", PAGE.read_text("utf-8"))) - options == set()
    for command in COMMANDS:
        said = set(re.findall(r"`(--?[a-z][a-z-]*)`", about(command.name)))
        of_section = set().union(
            *(other.options for other in COMMANDS if other.name.split()[:2] == command.name.split()[:2])
        )
        assert said - of_section == set(), command.name


# If this failed, a page would tell its reader to type what is no command.
@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_page_types_commands_that_are_there(page: Path) -> None:
    known = {command.name for command in COMMANDS} | {command.name.rsplit(" ", 1)[0] for command in COMMANDS}
    typed = re.findall(r"(?:^\$ |`)(ringtrue [a-z][a-z-]*(?: [a-z][a-z-]*)?)", page.read_text("utf-8"), re.MULTILINE)
    for words in typed:
        assert words in known or words.rsplit(" ", 1)[0] in known - {"ringtrue"}, f"{page.name}: {words}"
