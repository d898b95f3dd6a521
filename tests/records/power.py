"""
A model of a disk that loses its power: what strace saw a program do is played back up to a cut, with losses.

Until a file is synced, any of its writes may be missing, or be there in part, or be there while an earlier one is not;
until a folder is synced, so may a new or a removed name. What was synced is there. The disk itself keeps its word.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator

SECTOR = 512
CALLS = "openat,pwrite64,write,fsync,fdatasync,ftruncate,unlink,close"
_LINE = re.compile(r"^\d+ +(\w+)\((.*)\) += (-?\d+|\?)")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')


@dataclass(slots=True)
class Op:
    """One call that changed something, or acknowledged it."""

    call: str
    path: str = ""
    data: bytes = b""
    at: int = 0


def calls_in(trace: Path, folder: Path) -> Iterator[Op]:
    """Yield what a traced program did in one folder, and what it said on its standard output."""
    names: dict[int, str] = {}
    for line in trace.read_text().splitlines():
        found = _LINE.match(line)
        if found is None or int(found[3].replace("?", "-1")) < 0:
            continue
        call, given, result = found[1], found[2], int(found[3])
        texts = [bytes.fromhex(text.replace("\\x", "")) for text in _TEXT.findall(given)]
        handle = int(given.split(",")[0]) if given[0].isdigit() else -1
        if call == "openat":
            path = texts[0].decode()
            names[result] = path
            if Path(path).parent == folder and "O_CREAT" in given:
                yield Op("create", path)
        elif call == "close":
            names.pop(handle, None)
        elif call == "unlink":
            yield Op("unlink", texts[0].decode())
        elif call == "write" and handle == 1:
            yield Op("said", data=texts[0])
        elif Path(names.get(handle, "/")) == folder:
            yield Op("sync folder")
        elif Path(names.get(handle, "/")).parent == folder:
            numbers = [int(each) for each in re.findall(r"\b\d+\b", given.rsplit('"', 1)[-1])]
            yield Op(call, names[handle], texts[0] if texts else b"", numbers[-1] if numbers else 0)


@dataclass(slots=True)
class File:
    """What of a file is on the disk for sure, and what was done to it since."""

    sure: bytearray = field(default_factory=bytearray)
    since: list[Op] = field(default_factory=list)

    def sync(self) -> None:
        """Make everything sure."""
        for op in self.since:
            change(self.sure, op)
        self.since.clear()

    def after_a_cut(self, how: str, chance: random.Random) -> bytes:
        """Return what may be on the disk after a cut."""
        left = bytearray(self.sure)
        since = self.since
        if how == "torn":
            since = since[: chance.randint(0, len(since))]
        for number, op in enumerate(since):
            if how == "dropped":
                break
            if how == "reordered" and op.call == "ftruncate":
                if chance.random() < 0.5:
                    change(left, op)
            elif how == "reordered" or (how == "torn" and number == len(since) - 1):
                for sector in sectors(op):
                    if chance.random() < 0.5:
                        change(left, sector)
            else:
                change(left, op)
        return bytes(left)


def sectors(op: Op) -> Iterator[Op]:
    """Yield a write sector by sector."""
    if op.call == "ftruncate":
        yield op
    start = 0
    while start < len(op.data):
        end = min(start + SECTOR - (op.at + start) % SECTOR, len(op.data))
        yield Op(op.call, op.path, op.data[start:end], op.at + start)
        start = end


def change(content: bytearray, op: Op) -> None:
    """Do to a file's bytes what a call did."""
    if op.call == "ftruncate":
        del content[op.at :]
        content.extend(bytes(op.at - len(content)))
    else:
        content.extend(bytes(max(0, op.at - len(content))))
        content[op.at : op.at + len(op.data)] = op.data


class Disk:
    """A folder on a disk that may lose its power."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self.sure = {name: File(bytearray(content)) for name, content in files.items()}
        self.names = dict(self.sure)
        self.since: list[tuple[str, File | None]] = []
        self.said = ""

    def do(self, op: Op) -> None:
        """Do what the program did."""
        if op.call == "said":
            self.said += op.data.decode()
        elif op.call == "sync folder":
            for name, file in self.since:
                rename(self.sure, name, file)
            self.since.clear()
        elif op.call == "create":
            if op.path not in self.names:
                self.names[op.path] = File()
                self.since.append((op.path, self.names[op.path]))
        elif op.call == "unlink":
            if self.names.pop(op.path, None):
                self.since.append((op.path, None))
        elif op.call in {"fsync", "fdatasync"}:
            self.names[op.path].sync()
        elif op.path in self.names:
            self.names[op.path].since.append(op)

    def after_a_cut(self, how: str, chance: random.Random) -> dict[str, bytes]:
        """Return what may be in the folder after a cut."""
        names = dict(self.sure)
        upto = chance.randint(0, len(self.since)) if how == "torn" else len(self.since)
        for name, file in self.since[:upto]:
            if how == "torn" or (how == "reordered" and chance.random() < 0.5):
                rename(names, name, file)
        return {name: file.after_a_cut(how, chance) for name, file in names.items()}


def rename(names: dict[str, File], name: str, file: File | None) -> None:
    """Give a name to a file, or take it away."""
    if file is None:
        names.pop(name, None)
    else:
        names[name] = file
