"""How kernels are compiled: on first use, and kept on disk for the next time."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from platformdirs import user_cache_path

_Function = TypeVar("_Function", bound=Callable[..., Any])

_LOOSE = {"contract", "arcp", "nsz", "reassoc"}
"""Freedoms that change a last digit and no more; not-a-number and infinity keep their meaning."""


def _shelf() -> Path:
    """
    Return where compiled kernels are kept: a folder for these sources and no others.

    Numba looks only at the file that a function stands in, so a change in what it calls would go unseen.
    """
    here = Path(__file__).parent
    of = b"".join((here / name).read_bytes() for name in ("_gas.py", "_kernels.py", "_stroke_map.py"))
    return user_cache_path("ringtrue", appauthor=False) / f"kernels-{hashlib.sha256(of).hexdigest()[:16]}"


def _can_keep(shelf: Path) -> bool:
    try:
        shelf.mkdir(parents=True, exist_ok=True)
        probe = shelf / "probe"
        probe.touch()
        probe.unlink()
    except OSError:
        return False
    return True


SHELF = _shelf()
KEPT = _can_keep(SHELF)
"""Whether compiled kernels can be kept; where not, they are compiled anew each time."""
if KEPT:
    numba.config.CACHE_DIR = str(SHELF)  # type: ignore[attr-defined]


def compiled(function: _Function) -> _Function:
    """Compile a kernel that is called from outside, and that may run on several cores at once."""
    return cast("_Function", numba.njit(cache=KEPT, error_model="numpy", fastmath=_LOOSE, nogil=True)(function))


def inlined(function: _Function) -> _Function:
    """
    Compile a piece that kernels are made of; it may not make an array.

    Who calls it holds the arrays meanwhile, so it is spared counting references, a tenth of the time of a kernel.
    """
    bare = numba.njit(error_model="numpy", fastmath=_LOOSE, _nrt=False)  # type: ignore[call-overload]
    return cast("_Function", bare(function))


def first_use() -> bool:
    """
    Say whether kernels have still to be compiled on this machine, which takes some seconds.

    Returns
    -------
    bool
        True until they have been compiled once and kept.
    """
    try:
        return not KEPT or not any(SHELF.rglob("*.nbc"))
    except OSError:
        return True
