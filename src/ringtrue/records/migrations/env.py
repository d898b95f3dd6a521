"""Run by Alembic inside a transaction that the book opened and will commit."""

from alembic import context

from ringtrue.records._tables import VERSION_TABLE, metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=VERSION_TABLE,
    transactional_ddl=True,
)
context.run_migrations()
