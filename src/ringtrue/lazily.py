"""Packages whose halves are loaded when something out of them is first asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module


def halves(package: str, names: Mapping[str, tuple[str, ...]]) -> Callable[[str], object]:
    """
    Make the ``__getattr__`` of a package.

    No half may have the name of what is in one: once it is loaded, it would stand in its place.

    Parameters
    ----------
    package : str
        The package's ``__name__``.
    names : mapping of str to tuple of str
        What can be asked for, by the half that has it.

    Returns
    -------
    callable
        Loads the half that has a name, and keeps what the name means.

    Examples
    --------
    >>> halves("collections", {"abc": ("Sized",)})("Sized")
    <class 'collections.abc.Sized'>
    """
    where = {name: half for half, found in names.items() for name in found}

    def of_a_half(name: str) -> object:
        if name not in where:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        found: object = getattr(import_module(f"{package}.{where[name]}"), name)
        setattr(sys.modules[package], name, found)
        return found

    return of_a_half
