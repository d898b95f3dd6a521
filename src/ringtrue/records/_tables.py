"""
The tables of a record book. Their own: no class of the domain is mapped on them.

Indices that hold a part of a table are described in ``migrations/indices.py``: to describe them loads what is known of
every kind of database, and whoever only reads or writes waits for that.
"""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)

VERSION_TABLE = "ringtrue_version"
"""Where the book says which edition of its tables it has."""

LOOK_AT_VERSION = f"SELECT version_num FROM {VERSION_TABLE}"  # noqa: S608 - nothing of it comes from outside
"""How it is asked."""

metadata = MetaData()

version = Table(VERSION_TABLE, metadata, Column("version_num", Text, primary_key=True), sqlite_strict=True)

engines = Table(
    "engines",
    metadata,
    Column("key", Text, primary_key=True),
    Column("name", Text, nullable=False),
    sqlite_strict=True,
)
sheets = Table(
    "sheets",
    metadata,
    Column("engine", Text, ForeignKey("engines.key"), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("sha256", Text, nullable=False),
    Column("text", Text, nullable=False),
    UniqueConstraint("engine", "sha256", name="sheets_once"),
    sqlite_strict=True,
)

chains = Table(
    "chains",
    metadata,
    Column("name", Text, primary_key=True),
    Column("length", Integer, nullable=False),
    Column("head", Text, nullable=False),
    sqlite_strict=True,
)

tests = Table(
    "tests",
    metadata,
    Column("test_id", Text, ForeignKey("chains.name"), primary_key=True),
    Column("number", Integer, nullable=False, unique=True),
    Column("engine", Text, ForeignKey("engines.key"), nullable=False),
    sqlite_strict=True,
)

entries = Table(
    "entries",
    metadata,
    Column("chain", Text, ForeignKey("chains.name"), primary_key=True),
    Column("seq", Integer, CheckConstraint("seq >= 1", name="entries_from_one"), primary_key=True, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("key", Text, nullable=False, unique=True),
    Column("who", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("previous", Text, nullable=False),
    Column("hash", Text, nullable=False),
    sqlite_strict=True,
)

FINISHED = text("kind = 'finished'")
"""Written out, for an index over a part of the entries is used only where its very words stand."""

# On a server alone: beside a file, photographs have a folder.
server_only = MetaData()

pictures = Table(
    "pictures",
    server_only,
    Column("sha256", Text, primary_key=True),
    Column("media_type", Text, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
)

owners = Table(
    "owners",
    metadata,
    Column("engine", Text, ForeignKey("engines.key"), primary_key=True),
    Column("name", Text, nullable=False),
    Column("contact", Text, nullable=False),
    Column("address", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    sqlite_strict=True,
)

TABLES = tuple(metadata.tables)
"""Their names."""

GUARDS = {
    "sqlite": frozenset({"entries_no_update", "entries_no_delete", "sheets_no_update", "sheets_no_delete"}),
    "postgresql": frozenset({"entries_kept", "entries_not_emptied", "sheets_kept", "sheets_not_emptied"}),
}
"""Triggers that keep what was written from being changed by mistake."""
