"""
A book of thousands of engines answers at once; and tests may say that they were brought in from a file of the past.

Two indices, nothing else: the tests of an engine, and the tests that somebody finished.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make edition 0003 of 0002."""
    op.create_index("tests_engine", "tests", ["engine", "number"])
    done = sa.text("kind = 'finished'")
    op.create_index("entries_finished", "entries", ["chain"], sqlite_where=done, postgresql_where=done)
