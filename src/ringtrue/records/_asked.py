"""What a book is asked for every reading, put together once: to say it in SQL takes longer than to have it done."""

from __future__ import annotations

from sqlalchemy import BindParameter, bindparam, insert, select, update

from ringtrue.records._tables import chains, entries, sheets, tests

STORED = tuple(entries.c)
"""Columns of an entry, in the order of the fields of `Entry`."""

_CHAIN: BindParameter[str] = bindparam("chain")
_NAMES: BindParameter[list[str]] = bindparam("names", expanding=True)

# Of one chain.
COUNTED_OF = select(chains.c.length, chains.c.head).where(chains.c.name == _CHAIN)
ENTRIES_OF = select(*STORED).where(entries.c.chain == _CHAIN).order_by(entries.c.seq)
LAST = select(entries.c.seq, entries.c.hash).where(entries.c.chain == _CHAIN).order_by(entries.c.seq.desc()).limit(1)
BY_KEY = select(*STORED).where(entries.c.key == bindparam("made_with"))
IS_TEST = select(tests.c.test_id).where(tests.c.test_id == bindparam("test"))

# Of several; no statement takes more names than `ringtrue.records._bulk.portions` gives.
FILED = select(tests.c.test_id, tests.c.engine).where(tests.c.test_id.in_(_NAMES))
COUNTED = select(chains.c.name, chains.c.length, chains.c.head).where(chains.c.name.in_(_NAMES))
ENTRIES = select(*STORED).where(entries.c.chain.in_(_NAMES)).order_by(entries.c.chain, entries.c.seq)
SHEETS = select(sheets).where(sheets.c.engine.in_(_NAMES))

PUT = insert(entries)
COUNT = update(chains).where(chains.c.name == _CHAIN).values(length=bindparam("reached"), head=bindparam("last"))
