"""The indices of the tables as they are in the last edition, for whoever compares them with the scripts."""

from __future__ import annotations

from sqlalchemy import Index

from ringtrue.records._tables import FINISHED, engines, entries, tests

_NAMED = engines.c.name != ""

INDICES = (
    Index("engines_name", engines.c.name, unique=True, sqlite_where=_NAMED, postgresql_where=_NAMED),
    Index("tests_engine", tests.c.engine, tests.c.number),
    Index("entries_finished", entries.c.chain, sqlite_where=FINISHED, postgresql_where=FINISHED),
)
"""Bound to their tables when this is imported."""
