"""The glossary names what is there."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

from ringtrue.units import Dimension, units_of

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "nomenclature.md").read_text("utf-8")
NAMES = sorted({name for name in re.findall(r"`([A-Za-z_.]+)`", PAGE) if "." in name})


# If this failed, the glossary would send its reader to a name that the code does not have.
@pytest.mark.parametrize("name", NAMES)
def test_every_name_is_there(name: str) -> None:
    parts = name.split(".")
    depth = next(at for at, part in enumerate(parts) if part != part.casefold() or at == len(parts) - 1)
    found: object = importlib.import_module(".".join(["ringtrue", *parts[:depth]]))
    for part in parts[depth:]:
        assert hasattr(found, part), f"{name}: {found!r} has no {part}"
        found = getattr(found, part)


# If this failed, a unit would be read that the glossary does not tell of.
@pytest.mark.parametrize("dimension", list(Dimension))
def test_every_unit_stands_in_the_glossary(dimension: Dimension) -> None:
    table = PAGE[PAGE.index("## Units that people write") :]
    written = set(re.findall(r"[A-Za-z0-9/]+", table))
    assert [unit.name for unit in units_of(dimension) if not unit.absolute and unit.name not in written] == []
