"""The first tables, and the guards that keep entries as they were written."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_KEPT = ("entries", "sheets")


def upgrade() -> None:
    """Make the tables of edition 0001."""
    op.create_table(
        "engines",
        sa.Column("key", sa.Text, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    named = sa.text("name <> ''")
    op.create_index("engines_name", "engines", ["name"], unique=True, sqlite_where=named, postgresql_where=named)
    op.create_table(
        "sheets",
        sa.Column("engine", sa.Text, sa.ForeignKey("engines.key"), primary_key=True),
        sa.Column("revision", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.UniqueConstraint("engine", "sha256", name="sheets_once"),
        sqlite_strict=True,
    )
    op.create_table(
        "chains",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("length", sa.Integer, nullable=False),
        sa.Column("head", sa.Text, nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "tests",
        sa.Column("test_id", sa.Text, sa.ForeignKey("chains.name"), primary_key=True),
        sa.Column("number", sa.Integer, nullable=False, unique=True),
        sa.Column("engine", sa.Text, sa.ForeignKey("engines.key"), nullable=False),
        sqlite_strict=True,
    )
    op.create_table(
        "entries",
        sa.Column("chain", sa.Text, sa.ForeignKey("chains.name"), primary_key=True),
        sa.Column(
            "seq",
            sa.Integer,
            sa.CheckConstraint("seq >= 1", name="entries_from_one"),
            primary_key=True,
            autoincrement=False,
        ),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False, unique=True),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("who", "device", "at", "body", "previous", "hash")),
        sqlite_strict=True,
    )
    op.create_table(
        "owners",
        sa.Column("engine", sa.Text, sa.ForeignKey("engines.key"), primary_key=True),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("name", "contact", "address", "note", "sha256")),
        sqlite_strict=True,
    )
    if op.get_context().dialect.name == "sqlite":
        _guard_sqlite()
    else:
        _guard_postgres()


def _guard_sqlite() -> None:
    for table in _KEPT:
        for deed in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'what is in {table} is never changed'); END"
            )


def _guard_postgres() -> None:
    op.execute(
        "CREATE FUNCTION ringtrue_kept() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION 'what is in % is never changed', TG_TABLE_NAME; END $$"
    )
    for table in _KEPT:
        op.execute(
            f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION ringtrue_kept()"
        )
        op.execute(
            f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION ringtrue_kept()"
        )
