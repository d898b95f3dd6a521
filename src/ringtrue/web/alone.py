"""One server for a port's sessions: a second is refused, for each would write over whom the other let in."""

from __future__ import annotations

import contextlib
import sqlite3
from typing import TYPE_CHECKING

from ringtrue.errors import CannotWrite, InputRefused

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@contextlib.contextmanager
def alone(path: Path, port: int) -> Iterator[None]:
    """
    Be the only server that keeps who may come in on a port, for as long as this is open.

    Parameters
    ----------
    path : Path
        The file that is locked; made if it is not there, and left there.
    port : int
        For the message.

    Yields
    ------
    None
        While nobody else can be.

    Raises
    ------
    InputRefused
        Another server is.
    CannotWrite
        The file cannot be made or locked.

    Notes
    -----
    The lock is a transaction of SQLite, which locks a file in the same way on every system, and which the system opens
    by itself when the program ends, however it ends. Nothing is ever written to the file.
    """
    door = None
    try:
        door = sqlite3.connect(path, timeout=0, isolation_level=None)
        door.execute("BEGIN EXCLUSIVE")
    except sqlite3.Error as error:
        if door is not None:
            door.close()
        if getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY:
            raise InputRefused.of(
                f"--port {port}",
                f"another ringtrue that is running keeps who may come in on this port (“{path}” is locked)",
                "stop that one first, or take another port, such as --port 8418",
            ) from None
        why = f"it cannot be locked ({error}), and two servers must not keep who may come in on one port"
        raise CannotWrite.of(f"“{path}”", why, "let the folder be written, or remove that file") from None
    try:
        yield
    finally:
        door.close()
