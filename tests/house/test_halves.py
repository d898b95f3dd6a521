"""Packages whose halves are loaded when they are first asked for."""

from __future__ import annotations

import ast
import inspect
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

PACKAGES = ("ringtrue.intake", "ringtrue.measure", "ringtrue.physics", "ringtrue.wording")
HEAVY = ("matplotlib", "mpmath", "numba", "numpy", "scipy", "sqlalchemy", "typst")


def typed(package: str) -> dict[str, tuple[str, ...]]:
    """What the types are checked against."""
    tree = ast.parse(Path(inspect.getfile(import_module(package))).read_text(encoding="utf-8"))
    found: dict[str, tuple[str, ...]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module is not None and node.module.startswith(f"{package}."):
            half = node.module.removeprefix(f"{package}.")
            found[half] = (*found.get(half, ()), *(each.name for each in node.names))
    return found


# If this failed, a name that the types promise would not be there when a command asks for it, or the other way round.
@pytest.mark.parametrize("package", PACKAGES)
def test_types_and_python_are_told_the_same_names(package: str) -> None:
    halves: dict[str, tuple[str, ...]] = import_module(package).HALVES
    assert {half: sorted(names) for half, names in halves.items()} == {
        half: sorted(names) for half, names in typed(package).items()
    }
    assert all(name.isidentifier() for names in halves.values() for name in names)


# If this failed, a word would stop a command on some days and not on others: a half that is loaded first would stand
# where what it has was meant.
@pytest.mark.parametrize("package", PACKAGES)
def test_a_name_means_what_its_half_has_whatever_was_loaded_before(package: str) -> None:
    loaded = import_module(package)
    for half, names in loaded.HALVES.items():
        module = import_module(f"{package}.{half}")
        for name in names:
            assert getattr(loaded, name) is getattr(module, name), name
    halves = {path.stem for path in Path(inspect.getfile(loaded)).parent.glob("*.py")}
    assert not halves & {name for names in loaded.HALVES.values() for name in names}
    with pytest.raises(AttributeError, match="has no attribute 'nothing_of_the_kind'"):
        _ = loaded.nothing_of_the_kind


# If this failed, a command would keep a person waiting for libraries that it does not use.
@pytest.mark.parametrize(
    ("command", "may"),
    [
        (("--help",), ()),
        (("judge", "readings.csv"), ()),
        (("gauge", "list"), ("sqlalchemy",)),
        (("book", "list"), ("sqlalchemy",)),
    ],
)
def test_commands_load_what_they_use(command: tuple[str, ...], may: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "readings.csv").write_text("cylinder,final [psi]\n1,150\n2,152\n3,149\n4,151\n", encoding="utf-8")
    words = [*command, *(["--book", "book.db"] if may else [])]
    run = "import sys; from ringtrue.cli import run; code = run(sys.argv[1:]); print(*sys.modules, file=sys.stderr)"
    said = subprocess.run(
        [sys.executable, "-c", f"{run}; sys.exit(code)", *words],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    loaded = set(said.stderr.split())
    assert "ringtrue.cli.app" in loaded
    assert {each for each in HEAVY if each in loaded} == set(may)
