"""Docstrings say what the signature says, and their examples are true."""

from __future__ import annotations

import ast
import builtins
import doctest
import importlib
import inspect
import pkgutil
import re
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, get_type_hints

import pytest
from cyclopts import App, Parameter

import ringtrue
from ringtrue import errors
from ringtrue.cli.app import app as command_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

# Scripts that only Alembic runs: they cannot be imported, and face nobody.
_RUN_BY_ALEMBIC = ".migrations."
MODULES = sorted(
    ["ringtrue"]
    + [
        found.name
        for found in pkgutil.walk_packages(ringtrue.__path__, "ringtrue.")
        if _RUN_BY_ALEMBIC not in found.name
    ]
)
RINGTRUE_ERRORS = {
    name for name, kind in vars(errors).items() if inspect.isclass(kind) and issubclass(kind, errors.RingtrueError)
}


@dataclass(frozen=True, slots=True)
class Public:
    """A public class, function or method, where it is written."""

    name: str
    thing: Any

    @property
    def doc(self) -> str:
        """Return its own docstring, cleaned; empty when it has none."""
        own = vars(self.thing).get("__doc__") if inspect.isclass(self.thing) else self.thing.__doc__
        return inspect.cleandoc(own) if own else ""


def public_of(module: str) -> Iterator[Public]:
    """Yield the public classes, functions and methods that a module itself defines."""
    for name, thing in vars(importlib.import_module(module)).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module:
            continue
        if inspect.isfunction(thing):
            yield Public(f"{module}.{name}", thing)
        elif inspect.isclass(thing):
            yield Public(f"{module}.{name}", thing)
            for inner, member in vars(thing).items():
                function = _function_in(member)
                if function is not None and not inner.startswith("_") and function.__module__ == module:
                    yield Public(f"{module}.{name}.{inner}", function)


def _function_in(member: object) -> Callable[..., Any] | None:
    if isinstance(member, staticmethod | classmethod):
        return member.__func__
    if isinstance(member, property):
        return member.fget
    return member if inspect.isfunction(member) else None


def section(doc: str, title: str) -> str | None:
    """Return the body of a numpy-style section, or None where there is none."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\S[^\n]*\n-{{3,}}\n|\Z)", doc, re.MULTILINE | re.DOTALL)
    return found.group(1) if found else None


def entries(body: str) -> list[str]:
    """Return the names at the left edge of a section, one by one where several share a line."""
    lines = [line for line in body.splitlines() if line and not line[0].isspace()]
    return [name.strip() for line in lines for name in line.split(" : ")[0].split(",")]


def commands_of(app: App) -> Iterator[object]:
    """Yield the functions behind the commands of the command line."""
    if app.default_command is not None:
        yield app.default_command
    for name in app:
        if not name.startswith("-"):
            yield from commands_of(app[name])


COMMANDS = frozenset(commands_of(command_line))


def explained_once(thing: Any) -> set[str]:  # noqa: ANN401 - anything with a signature
    """Return the options of a command whose help stands beside their type, so that it stands there alone."""
    if thing not in COMMANDS:
        return set()
    hints = get_type_hints(thing, include_extras=True)
    return {
        name
        for name, hint in hints.items()
        if any(isinstance(each, Parameter) and each.help for each in getattr(hint, "__metadata__", ()))
    }


def parameters_of(thing: Any) -> list[str]:  # noqa: ANN401 - anything with a signature
    """Return the names a caller may give, written as a docstring writes them."""
    if inspect.isclass(thing) and issubclass(thing, BaseException) and "__init__" not in vars(thing):
        return []
    stars: dict[object, str] = {inspect.Parameter.VAR_POSITIONAL: "*", inspect.Parameter.VAR_KEYWORD: "**"}
    given = inspect.signature(thing).parameters.values()
    return [stars.get(each.kind, "") + each.name for each in given if each.name not in {"self", "cls"}]


def raised_by(thing: Any) -> set[str]:  # noqa: ANN401 - anything with source text
    """Return the errors of ringtrue that a function raises in its own lines."""
    names = set()
    for node in ast.walk(ast.parse(textwrap.dedent(inspect.getsource(thing)))):
        if isinstance(node, ast.Raise) and node.exc is not None:
            names |= {
                part.attr if isinstance(part, ast.Attribute) else part.id
                for part in ast.walk(node.exc)
                if isinstance(part, ast.Name | ast.Attribute)
            }
    return names & RINGTRUE_ERRORS


# If this failed, a reader would meet a name that nobody explained.
@pytest.mark.parametrize("module", MODULES)
def test_everything_public_is_explained(module: str) -> None:
    assert inspect.getdoc(importlib.import_module(module)), f"{module} has no docstring"
    assert [public.name for public in public_of(module) if not public.doc] == []


# If this failed, a docstring would name an argument that is not there, or keep quiet about one that is.
@pytest.mark.parametrize("module", MODULES)
def test_documented_parameters_are_those_of_the_signature(module: str) -> None:
    wrong = {}
    for public in public_of(module):
        body = section(public.doc, "Parameters")
        if body is None:
            continue
        once = explained_once(public.thing)
        told, taken = entries(body), [name for name in parameters_of(public.thing) if name not in once]
        # A class may explain its own fields before those it inherits.
        if (sorted(told) != sorted(taken)) if inspect.isclass(public.thing) else (told != taken):
            wrong[public.name] = f"documented {told}, taken {taken}"
    assert wrong == {}


# If this failed, a caller would meet an error that nobody announced, or wait for one that does not exist.
@pytest.mark.parametrize("module", MODULES)
def test_errors_raised_are_documented(module: str) -> None:
    wrong = {}
    for public in public_of(module):
        told = set(entries(section(public.doc, "Raises") or ""))
        # What a command raises is told to a person; its docstring is its help.
        if (
            not inspect.isclass(public.thing)
            and public.thing not in COMMANDS
            and (silent := raised_by(public.thing) - told)
        ):
            wrong[public.name] = f"raises {sorted(silent)} and does not say so"
        here = importlib.import_module(module)
        known = RINGTRUE_ERRORS | set(vars(builtins)) | set(vars(here))
        if unknown := told - known:
            wrong[public.name] = f"says it raises {sorted(unknown)}, which are no errors"
    assert wrong == {}


# If this failed, an example that a person checks by hand would show another figure than the program gives.
@pytest.mark.parametrize("module", MODULES)
def test_examples_are_true(module: str) -> None:
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    told: list[str] = []
    for example in doctest.DocTestFinder(exclude_empty=True).find(importlib.import_module(module)):
        runner.run(example, out=told.append)
    assert "".join(told) == ""


# If this failed, the checks above would read sections that are not there, or miss those that are.
def test_the_reader_of_sections() -> None:
    doc = "Do.\n\nParameters\n----------\na, b : float\n    Both. [m]\n*rest : str\n\nRaises\n------\nValueError\n"
    assert entries(section(doc, "Parameters") or "") == ["a", "b", "*rest"]
    assert entries(section(doc, "Raises") or "") == ["ValueError"]
    assert section(doc, "Returns") is None
