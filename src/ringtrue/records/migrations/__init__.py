"""Alembic's scripts, one an edition of the tables; they run inside a transaction that the book opened."""
