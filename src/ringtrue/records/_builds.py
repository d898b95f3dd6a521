"""Engines in the order of their first tests: where to look for hand-overs. Runs inside one transaction."""

from __future__ import annotations

import contextlib
from collections import defaultdict
from collections.abc import Iterable, Sequence

import msgspec
from sqlalchemy import Connection, func, select

from ringtrue.records._bulk import portions
from ringtrue.records._chain import EVENTS
from ringtrue.records._tables import FINISHED, engines, entries, tests
from ringtrue.records.engine_tests import EngineTests
from ringtrue.records.facts import EntryKind

_SAYS_WHEN = (str(EntryKind.OPENED), str(EntryKind.HEADER))
_AT_A_TIME = 100
"""Engines whose tests are all looked at in one go."""


_ASIDE, _LATER = entries.alias("aside"), entries.alias("later")
_READ_LATER = (
    select(_LATER.c.chain)
    .where(
        _LATER.c.chain == _ASIDE.c.chain,
        _LATER.c.seq > _ASIDE.c.seq,
        _LATER.c.kind.in_((str(EntryKind.PULL), str(EntryKind.LEAKDOWN))),
    )
    .exists()
)
_PUT_ASIDE = (
    select(_ASIDE.c.chain)
    .where(_ASIDE.c.chain == tests.c.test_id, _ASIDE.c.kind == str(EntryKind.PUT_ASIDE), ~_READ_LATER)
    .exists()
)
"""It was put aside, and no reading came after."""
_IS_DONE = select(entries.c.chain).where(entries.c.chain == tests.c.test_id, FINISHED).exists() & ~_PUT_ASIDE


class _When(msgspec.Struct):
    date: str = ""


class _Heading(msgspec.Struct):
    header: _When


class _Line(msgspec.Struct):
    engine: str


_LINE = msgspec.json.Decoder(_Line).decode
_DECODE = msgspec.json.Decoder(_Heading).decode


def engines_by_first_test(
    connection: Connection, latest: int | None, since: str, only: Iterable[str] | None
) -> tuple[EngineTests, ...]:
    """
    Return engines with their finished tests, the engine last whose first test is the latest.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    latest : int or None
        So many engines at most, the last ones; None for all.
    since : str
        ISO date: those whose first test is of that day or later; empty for all.
    only : iterable of str or None
        Keys of the engines that are looked at; None for all.

    Returns
    -------
    tuple of EngineTests
        Dates are as the headers say them; nothing is checked: whoever reads the tests does that.

    Notes
    -----
    No engine's first test is later than the one that this book met first. Engines are gone through from the latest of
    those on, and only as far as is needed to know the last ones for certain.
    """
    met = _first_met(connection)
    if only is not None:
        met = {key: met[key] for key in only if key in met}
    days = _dates(connection, list(met.values()))
    order = sorted(met, key=lambda key: days[met[key]], reverse=True)
    found: list[EngineTests] = []
    for at in range(0, len(order), _AT_A_TIME):
        some = order[at : at + _AT_A_TIME]
        next_one = days[met[some[0]]]
        if next_one < since or (latest is not None and len(found) >= latest and next_one < found[-latest].first):
            break
        found += _with_tests(connection, some)
        found.sort(key=lambda each: each.first)
    found = [each for each in found if each.first >= since]
    return tuple(found if latest is None else found[-latest:])


def rebuilt(connection: Connection) -> tuple[str, ...]:
    """
    Return the keys of engines whose log has work that made a new baseline.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.

    Returns
    -------
    tuple of str
        Nothing is checked: whoever reads a log does that.
    """
    # A quote within what somebody wrote is kept with a backslash before it, so that only the field itself is found.
    asked = select(entries.c.body).where(entries.c.chain == EVENTS, entries.c.body.contains('"new_baseline":true'))
    found: dict[str, None] = {}
    for (body,) in connection.execute(asked):
        with contextlib.suppress(msgspec.MsgspecError):
            found[_LINE(body).engine] = None
    return tuple(found)


def _first_met(connection: Connection) -> dict[str, str]:
    """Return the finished test of each engine that came first into this book."""
    first = select(func.min(tests.c.number)).where(_IS_DONE).group_by(tests.c.engine)
    asked = select(tests.c.engine, tests.c.test_id).where(tests.c.number.in_(first)).order_by(tests.c.number)
    return {row.engine: row.test_id for row in connection.execute(asked)}


def _with_tests(connection: Connection, keys: Sequence[str]) -> list[EngineTests]:
    of: dict[str, list[str]] = defaultdict(list)
    asked = select(tests.c.engine, tests.c.test_id).where(tests.c.engine.in_(keys), _IS_DONE).order_by(tests.c.number)
    for engine, test_id in connection.execute(asked):
        of[engine].append(test_id)
    names = {row.key: row.name for row in connection.execute(select(engines).where(engines.c.key.in_(keys)))}
    dates = _dates(connection, [test_id for ids in of.values() for test_id in ids])
    found = []
    for key in keys:
        in_order = sorted(of[key], key=dates.__getitem__)
        found.append(EngineTests(key, names[key], tuple(in_order), dates[in_order[0]]))
    return found


def _dates(connection: Connection, names: Sequence[str]) -> dict[str, str]:
    """Return the day of each test as its header says it, else that on which it was opened."""
    found: dict[str, str] = {}
    for some in portions(names):
        asked = select(entries.c.chain, entries.c.at, entries.c.body).where(entries.c.chain.in_(some))
        asked = asked.where(entries.c.kind.in_(_SAYS_WHEN)).order_by(entries.c.chain, entries.c.seq)
        for chain, at, body in connection.execute(asked):
            found[chain] = _day(body) or found.get(chain) or str(at)[:10]
    return {name: found.get(name, "") for name in names}


def _day(body: str) -> str:
    try:
        return _DECODE(body).header.date
    except msgspec.MsgspecError:
        return ""
