"""What is kept of who may come in: hashes, for its owner's eyes alone, whatever the clock says (A6, D9)."""

from __future__ import annotations

import json
import os
import stat
import sys
from typing import TYPE_CHECKING

import pytest
from tests.web.shop import Shop

from ringtrue.errors import CannotWrite
from ringtrue.web import sessions as module
from ringtrue.web.routes import Who
from ringtrue.web.sessions import DAY, DAYS_UNUSED, LONGEST_REST, Sessions, hashed

if TYPE_CHECKING:
    from pathlib import Path

YEARS = 3652 * DAY
"""Ten years. [s]"""


class Clocks:
    """The wall clock and the monotonic one, in a test's own hands."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.wall, self.running = 1_800_000_000.0, 5000.0
        monkeypatch.setattr(module, "time", self)  # of this module alone: whatever else waits has its own

    def time(self) -> float:
        """Tell what the wall clock says."""
        return self.wall

    def monotonic(self) -> float:
        """Tell what the clock says that only runs on."""
        return self.running

    def pass_by(self, seconds: float) -> None:
        """Let time go by, as both clocks see it."""
        self.wall += seconds
        self.running += seconds


@pytest.fixture
def clocks(monkeypatch: pytest.MonkeyPatch) -> Clocks:
    """Return both clocks."""
    return Clocks(monkeypatch)


def restarted(path: Path, clocks: Clocks, off: float = 0.0) -> Sessions:
    """Start anew after a while; the monotonic clock begins anywhere."""
    clocks.wall += off
    clocks.running = 17.0
    return Sessions(path)


# If this failed, whoever reads the file, or a copy of it, could come in by what it holds.
def test_only_hashes_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "sessions.json"
    kept = Sessions(path)
    secret = kept.secret(Who.OWNER)
    token = kept.open(secret, "Alder", "shop PC")
    assert token is not None
    text = path.read_text("utf-8")
    assert token not in text
    assert token.removeprefix(module.PREFIX) not in text
    assert secret not in text
    assert hashed(token) in text
    assert kept.find(hashed(token)) is None


# If this failed, another user of the machine could read or change who may come in.
def test_the_file_is_its_owners_alone(tmp_path: Path) -> None:
    if sys.platform == "win32":  # there the user's own folder is what keeps others out
        return
    path = tmp_path / "sessions.json"
    before = os.umask(0)
    try:
        kept = Sessions(path)
        kept.admit("Alder", "phone", Who.ENTERS)
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        path.chmod(0o644)
        kept.admit("Quay", "phone", Who.ENTERS)
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    finally:
        os.umask(before)
    assert [each.name for each in tmp_path.iterdir()] == ["sessions.json"]


# If this failed, every phone would have to be paired anew each time the server is started.
def test_a_session_outlives_a_restart(tmp_path: Path, clocks: Clocks) -> None:
    path = tmp_path / "sessions.json"
    token = Sessions(path).admit("Alder", "phone", Who.ENTERS, program=True)
    again = restarted(path, clocks, off=3 * DAY)
    found = again.find(token)
    assert found is not None
    assert (found.person, found.device, found.role, found.program) == ("Alder", "phone", Who.ENTERS, True)
    again.revoke(found.name)
    assert restarted(path, clocks).find(token) is None


# If this failed, a phone that was lost years ago would still open the shop's records.
def test_what_is_not_used_runs_out(tmp_path: Path, clocks: Clocks) -> None:
    kept = Sessions(tmp_path / "sessions.json")
    unused, used = kept.admit("a", "b", Who.OWNER), kept.admit("c", "d", Who.OWNER)
    for _ in range(DAYS_UNUSED):
        clocks.pass_by(DAY)
        assert kept.find(used) is not None
    assert {each.person for each in kept.all()} == {"a", "c"}
    clocks.pass_by(1)
    assert kept.find(unused) is None
    assert {each.person for each in kept.all()} == {"c"}
    clocks.pass_by(DAY)
    kept.find(used)
    assert hashed(unused) not in (tmp_path / "sessions.json").read_text("utf-8")


# If this failed, a clock that jumps while the server runs would shut everybody out, or let them stay for ever.
@pytest.mark.parametrize("jump", [YEARS, -YEARS, 3600.0, -3600.0])
def test_a_jump_while_it_runs(tmp_path: Path, clocks: Clocks, jump: float) -> None:
    kept = Sessions(tmp_path / "sessions.json")
    token = kept.admit("Alder", "phone", Who.OWNER)
    clocks.wall += jump
    assert kept.find(token) is not None
    for _ in range(DAYS_UNUSED * 2):
        clocks.running += DAY / 2
    clocks.running += 1
    assert kept.find(token) is None


# If this failed, a clock that jumps while the server is off would do the same.
@pytest.mark.parametrize("jump", [YEARS, -YEARS, 3600.0, -3600.0])
def test_a_jump_while_it_is_off(tmp_path: Path, clocks: Clocks, jump: float) -> None:
    path = tmp_path / "sessions.json"
    token = Sessions(path).admit("Alder", "phone", Who.OWNER)
    again = restarted(path, clocks, off=jump)
    assert again.find(token) is not None
    assert LONGEST_REST < DAYS_UNUSED * DAY
    # Neither does it live on: half a year of running counts, whatever the wall clock says meanwhile.
    idle = restarted(path, clocks)
    clocks.wall -= YEARS
    clocks.running += DAYS_UNUSED * DAY + 1
    assert idle.find(token) is None


# If this failed, the secret on the terminal could be kept alive, or killed, by setting the clock.
@pytest.mark.parametrize("jump", [YEARS, -YEARS])
def test_a_secret_does_not_look_at_the_wall_clock(clocks: Clocks, jump: float) -> None:
    kept = Sessions(None)
    first, second = kept.secret(Who.OWNER), kept.secret(Who.OWNER)
    clocks.wall += jump
    assert kept.open(first, "a", "b") is not None
    clocks.running += 301
    assert kept.open(second, "a", "b") is None


# If this failed, the tests of the clock would also pass for a server that asks the wall clock.
def test_by_the_wall_clock_alone_a_jump_would_kill(
    tmp_path: Path, clocks: Clocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LONGEST_REST", float("inf"))
    path = tmp_path / "sessions.json"
    token = Sessions(path).admit("Alder", "phone", Who.OWNER)
    assert restarted(path, clocks, off=YEARS).find(token) is None


# If this failed, a file that a failing disk has spoiled would keep the shop from its own records.
@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"{",
        b"\xff\x00",
        b"[]",
        b"null",
        b'{"counted": 0, "wall": 0}',
        b'{"counted": "x", "wall": 0, "sessions": []}',
        b'{"counted": 0, "wall": 0, "sessions": [{"name": 1}]}',
        b'{"counted": 0, "wall": 0, "sessions": [{"name":"a","person":"b","device":"c","role":9,"hashed":"d"}]}',
        b"[" * 100_000,
    ],
    ids=range(10),
)
def test_a_damaged_file_is_set_aside(tmp_path: Path, damage: bytes) -> None:
    path = tmp_path / "sessions.json"
    path.write_bytes(damage)
    kept = Sessions(path)
    assert kept.all() == ()
    assert kept.set_aside is not None
    assert kept.set_aside.read_bytes() == damage
    token = kept.admit("Alder", "phone", Who.OWNER)
    assert Sessions(path).find(token) is not None


# If this failed, a full disk would let somebody stay who was shut out, or stop the server.
def test_what_cannot_be_written_counts_until_it_stops(tmp_path: Path) -> None:
    folder = tmp_path / "server"
    folder.mkdir()
    kept = Sessions(folder / "sessions.json")
    token = kept.admit("Alder", "phone", Who.OWNER)
    (name,) = (each.name for each in kept.all())
    (folder / "sessions.json").unlink()
    folder.rmdir()
    with pytest.raises(CannotWrite, match="Who may come in cannot be written down"):
        kept.revoke(name)
    assert kept.find(token) is None
    # Who is let in meanwhile is in, for as long as the server runs.
    assert kept.find(kept.admit("Quay", "phone", Who.ENTERS)) is not None


# If this failed, a copy of the book, which is carried about, would open the door of the shop.
def test_a_backup_has_no_session_in_it(tmp_path: Path) -> None:
    with Shop(tmp_path) as shop:
        owner = shop.device(Who.OWNER)
        token = owner.cookies[shop.cookie]
        owner.post("/api/devices/program", {"program": "price list", "role": "owner"})
        shop.test()
        shop.book.backup(tmp_path / "copy.ringtrue")
        made = json.dumps([each.hashed for each in shop.sessions.all()])
    for path in (tmp_path / "copy.ringtrue", tmp_path / "book.ringtrue"):
        whole = path.read_bytes()
        assert token.encode() not in whole
        assert not any(each.encode() in whole for each in json.loads(made))
