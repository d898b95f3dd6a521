"""Readings, headers and books for the tests of the record book. Everything in them is invented."""

from __future__ import annotations

import hashlib
import secrets
import sqlite3
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import NullPool, create_engine

from ringtrue.compression import (
    CheckValve,
    Conditions,
    Gauge,
    Kind,
    LeakdownReading,
    Pull,
    Reading,
)
from ringtrue.quantities import Measured, PaGauge
from ringtrue.records import Header, Picture, Shows

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

    from ringtrue.records import Book, Entry

PSI = 6894.757293168361
"""One pound-force per square inch, exactly 0.45359237 x 9.80665 / 0.0254**2 Pa. [Pa]"""

SHEET = (
    '[engine]\nname = "Launch six"\nreference = "0417"\nlayout = "inline"\ncylinders = ["1", "2", "3", "4", "5", "6"]\n'
)


class Who(TypedDict):
    """The two names that every entry carries."""

    who: str
    device: str


WHO: Who = {"who": "a builder", "device": "shop PC"}


def key() -> str:
    """Return a key that no entry has yet."""
    return secrets.token_hex(8)


def reading(psi: float) -> Reading:
    """Return a pressure as it is read off a gauge in psi."""
    return Reading(PaGauge(psi * PSI), f"{psi:g}", "psi")


def pull(cylinder: str, final: float, **more: Any) -> Pull:  # noqa: ANN401 - any field of a pull
    """Return a pull whose first stroke is six tenths of its final."""
    return Pull(cylinder=cylinder, first=reading(final * 0.6), final=reading(final), **more)


def leakdown(cylinder: str, held: float) -> LeakdownReading:
    """Return a leak-down reading off 80 psi."""
    bore = Measured(0.001016, "0.040", "in")
    return LeakdownReading(
        cylinder=cylinder, supply=reading(80), held=reading(held), restrictor=bore, heard=("crankcase", "cylinder 2")
    )


def full_pull() -> Pull:
    """Return a pull in which every field says something, awkward characters included."""
    return pull(
        "Zylinder Ⅲ / links",
        151.5,
        kind=Kind.WET,
        repeat=2,
        plug="oily",
        note='quote " backslash \\ tab\tline\nbreak é 日本 \u2028 \U0001f527',
        read_by="second pair of eyes",
        at="14:05",
        rpm=Measured(19.896753472735355, "190", "rpm"),
        battery=Measured(0.1 + 0.2, "0.30000000000000004", "V"),
        lift_loss=Measured(5e-324, "5e-324", "m"),
        extra=(("colour of smoke", ""), ("", "no header")),
        first_spoiled=True,
        strokes=6,
        oil=Measured(5e-6, "5", "cc"),
    )


def gauge(name: str = "shop gauge", **more: Any) -> Gauge:  # noqa: ANN401 - any field of a gauge
    """Return a gauge with a plug-end valve."""
    full = Measured(300 * PSI, "300", "psi")
    return Gauge(name, full, Measured(2 * PSI, "2", "psi"), "B", CheckValve.PLUG_END, **more)


def header(engine: str = "0417", name: str = "Launch six", **more: Any) -> Header:  # noqa: ANN401 - any field of a header
    """Return the header of a test on the six-cylinder engine."""
    said: dict[str, Any] = {
        "date": "2026-05-14",
        "by": "a builder",
        "run_since_build": Measured(804672.0, "500", "mile"),
        "gauge": gauge(),
        "conditions": Conditions(altitude=Measured(120.0, "120", "m"), oil=Measured(353.15, "80", "C")),
        "plan_order": ("1", "2", "3", "4", "5", "6"),
    }
    return Header(engine, name, **{**said, **more})


def six_pulls() -> tuple[Pull, ...]:
    """Return one dry pull of each cylinder, the fifth weak."""
    return tuple(pull(str(number), psi) for number, psi in enumerate((151, 149, 152, 150, 118, 151), 1))


def picture(data: bytes = b"not looked at by a book") -> Picture:
    """Return what an entry says of a photograph's file."""
    return Picture(hashlib.sha256(data).hexdigest(), "image/jpeg", len(data), 4000, 3000)


def photograph(book: Book, test_id: str, data: bytes, cylinder: str = "5", **more: Any) -> Entry:  # noqa: ANN401 - any argument
    """Keep a photograph of a plug."""
    said: dict[str, Any] = {"cylinder": cylinder, "shows": Shows.PLUG, "key": key(), **WHO, **more}
    return book.keep_photograph(test_id, data, picture(data), **said)


@dataclass(frozen=True, slots=True)
class Story:
    """A test that used everything a test can have, and its book."""

    book: Book
    test_id: str


def tell(book: Book) -> Story:
    """Write a test with every kind of entry, a second test, gauges, a log and an owner's absence."""
    test_id = book.start(header(), sheet_text=SHEET, key=key(), **WHO)
    entries = [book.add(test_id, row, key=key(), **WHO) for row in six_pulls()]
    book.add(test_id, full_pull(), key=key(), **WHO)
    book.add(test_id, leakdown("5", 58), key=key(), **WHO)
    book.correct(test_id, entries[1].seq, pull("2", 150), why="misread by one mark", key=key(), **WHO)
    book.withdraw(test_id, entries[2].seq, why="gauge was on cylinder 4", key=key(), **WHO)
    later = header(conditions=Conditions(oil=Measured(343.15, "70", "C")))
    book.change_header(test_id, later, why="oil had cooled", key=key(), sheet_text=SHEET + "# again\n", **WHO)
    book.finish(test_id, note="engine still warm", key=key(), **WHO)
    other = header("small single", "", gauge=None, plan_order=())
    book.enter(other, [pull("1", 120)], sheet_text=None, key=key(), **WHO)
    book.add_gauge(gauge(), key=key(), **WHO)
    book.add_gauge(gauge(repeatability=0.004), key=key(), **WHO)
    book.add_event("0417", "oil change", at=Measured(1126540.8, "700", "mile"), date="2026-06-01", key=key(), **WHO)
    return Story(book, test_id)


def take_pictures(book: Book, test_id: str) -> None:
    """Write every kind of entry about photographs."""
    sooty = photograph(book, test_id, b"a sooty plug", note="sooty on one side")
    face = photograph(book, test_id, b"a gauge face", "", shows=Shows.GAUGE, for_sheet=True)
    book.choose_photograph(test_id, sooty.seq, for_sheet=True, key=key(), **WHO)
    book.take_back_photograph(test_id, face.seq, why="shows another gauge", key=key(), **WHO)


@contextmanager
def behind(book: Book, *, guards: bool = False) -> Iterator[Connection]:
    """Yield a connection that goes round the book, as any database tool would; its guards are off unless asked for."""
    engine = book._door.engine
    if engine.dialect.name == "sqlite":
        path = file_of(book)
        engine = create_engine("sqlite+pysqlite://", creator=lambda: _stranger(path), poolclass=NullPool)
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            connection.exec_driver_sql("BEGIN")
        if not guards:
            _guards(connection, on=False)
        yield connection
        if not guards:
            _guards(connection, on=True)
        connection.commit()
    if engine is not book._door.engine:
        engine.dispose()


def _stranger(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None)


def _guards(connection: Connection, *, on: bool) -> None:
    for table in ("entries", "sheets"):
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql(f"ALTER TABLE {table} {'ENABLE' if on else 'DISABLE'} TRIGGER ALL")
            continue
        for deed in ("UPDATE", "DELETE"):
            name = f"{table}_no_{deed.lower()}"
            if on:
                connection.exec_driver_sql(
                    f"CREATE TRIGGER {name} BEFORE {deed} ON {table} BEGIN SELECT RAISE(ABORT, 'never'); END"
                )
            else:
                connection.exec_driver_sql(f"DROP TRIGGER {name}")


def file_of(book: Book) -> Path:
    """Return the file of an SQLite book."""
    path = book._door.place.path
    assert path is not None
    return path
