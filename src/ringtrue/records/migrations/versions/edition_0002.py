"""
Entries may tell of photographs, and of first strokes that were read off a film.

On a server the photographs have a table; beside a file they have a folder, and nothing in the file changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make edition 0002 of 0001."""
    if op.get_context().dialect.name == "sqlite":
        return
    op.create_table(
        "pictures",
        sa.Column("sha256", sa.Text, primary_key=True),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("bytes", sa.LargeBinary, nullable=False),
    )
