"""The throw-away server is a real one, and safe to test durability on."""

from __future__ import annotations

import psycopg
import pytest


def _address(url: str) -> str:
    return url.replace("postgresql+psycopg://", "postgresql://")


# If a test's database were not empty, one test could pass on what another wrote.
@pytest.mark.parametrize("turn", [1, 2])
def test_every_test_gets_an_empty_database(postgres_url: str, turn: int) -> None:
    with psycopg.connect(_address(postgres_url)) as connection:
        assert connection.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone() == (0,)
        connection.execute("CREATE TABLE mark (turn int)")
        connection.execute("INSERT INTO mark VALUES (%s)", (turn,))


# If the server did not sync, a test of "no acknowledged reading is lost" would prove nothing.
def test_the_server_syncs_and_listens_on_loopback_alone(postgres_url: str) -> None:
    with psycopg.connect(_address(postgres_url)) as connection:
        settings = {
            name: connection.execute(f"SHOW {name}".encode()).fetchone()
            for name in ("fsync", "synchronous_commit", "listen_addresses")
        }
    assert settings == {"fsync": ("on",), "synchronous_commit": ("on",), "listen_addresses": ("127.0.0.1",)}
