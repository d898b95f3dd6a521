"""
A book of many engines and many readings, invented, made through the record book's own code so that its chains are true.

Nothing in it is measured: figures are drawn, the same ones every time.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import random
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.compression import Conditions, Gauge, Pull, Reading
from ringtrue.quantities import Measured, PaGauge
from ringtrue.records import Book, Header, Whole, _register, _versions
from ringtrue.records._bodies import Happened
from ringtrue.records._chain import Stamp
from ringtrue.units import Dimension, find_unit, parse_measured, to_si

if TYPE_CHECKING:
    from sqlalchemy import Connection

ENGINES = 2_000
READINGS = 200_000
AT_ONCE = 200
"""Engines a transaction."""
WHO = {"who": "a builder", "device": "shop PC"}
LAYOUTS = {
    4: ("inline", [["1", "2", "3", "4"]], ["1", "3", "4", "2"]),
    6: ("inline", [["1", "2", "3", "4", "5", "6"]], ["1", "5", "3", "6", "2", "4"]),
    8: ("V", [["1", "3", "5", "7"], ["2", "4", "6", "8"]], ["1", "8", "4", "3", "6", "5", "7", "2"]),
}
GASKETS = ("1.0 mm", "1.2 mm", "1.5 mm")
SAID = ("heat cycle", "oil change", "head re-torqued")
PSI = find_unit("psi", Dimension.PRESSURE)


@dataclass(frozen=True, slots=True)
class Engine:
    """An invented engine."""

    number: int
    cylinders: tuple[str, ...]
    sheet: str

    @property
    def key(self) -> str:
        """Its reference."""
        return f"B{self.number:04d}"

    @property
    def name(self) -> str:
        """Its name."""
        return f"Bench engine {self.number}"


def psi(value: float) -> Measured:
    """Return a pressure as it is written."""
    return Measured(to_si(value, PSI), f"{value:g}", "psi")


def reading(value: float) -> Reading:
    """Return a pressure as it was read."""
    return Reading(PaGauge(to_si(value, PSI)), f"{value:g}", "psi")


GAUGES = tuple(
    Gauge(f"gauge {number}", psi(span), psi(step), grade)
    for number, (span, step, grade) in enumerate(
        ((300.0, 2.0, "B"), (300.0, 5.0, "B"), (250.0, 2.0, "A"), (300.0, 2.0, "1.6"), (400.0, 5.0, "")), 1
    )
)


def engine_of(number: int, draw: random.Random) -> Engine:
    """Invent an engine and its build sheet."""
    count = draw.choice(tuple(LAYOUTS))
    layout, banks, order = LAYOUTS[count]
    names = tuple(str(each) for each in range(1, count + 1))
    quoted = str(list(names)).replace("'", '"')
    measured = "".join(
        f'\n[measured."{name}"]\nchamber = "{draw.gauss(70, 0.6):.1f} cc"\n'
        for name in names
        if draw.random() < 0.5  # noqa: PLR2004 - every other engine's
    )
    sheet = f"""\
[engine]
name = "Bench engine {number}"
reference = "B{number:04d}"
layout = "{layout}"
cycle = 4
ignition = "spark"
cylinders = {quoted}
banks = {str(banks).replace("'", '"')}
firing_order = {str(order).replace("'", '"')}

[geometry]
bore = "92 mm"
stroke = "{draw.choice((86, 92, 98))} mm"
rod = "160 mm"
compression_ratio = {draw.choice((8.4, 9.0, 9.5))}
gasket_thickness = "{draw.choice(GASKETS)}"
{measured}
[rings]
kind = "{draw.choice(("gapped", "gapless"))}"
top_gap = "{draw.uniform(0.3, 0.5):.2f} mm"
"""
    return Engine(number, names, sheet)


def tests_of(engine: Engine, readings: int, draw: random.Random) -> Iterator[Whole]:
    """Yield an engine's tests over the years until it has so many readings: a baseline, then every half year or so."""
    level, levels = draw.uniform(140, 170), {name: draw.gauss(0, 0.006) for name in engine.cylinders}
    day, run, left, number = dt.date(2014, 1, 6) + dt.timedelta(draw.randrange(2500)), 500, readings, 0
    while left > 0:
        gauge = draw.choice(GAUGES)
        rows = []
        for name in engine.cylinders:
            final = round(level * (1 + levels[name] + draw.gauss(0, 0.008)))
            repeats = 3 if draw.random() < 0.03 else 1  # noqa: PLR2004 - one in thirty is repeated
            rows += [
                Pull(
                    cylinder=name,
                    repeat=each if repeats > 1 else None,
                    first=reading(round(final * draw.uniform(0.55, 0.68))),
                    final=reading(round(final * (1 + draw.gauss(0, 0.004)))),
                    strokes=6,
                )
                for each in range(1, repeats + 1)
            ]
        if draw.random() < 0.7:  # noqa: PLR2004 - most repeat the first at the end
            rows.append(Pull(cylinder=engine.cylinders[0], final=reading(round(level)), drift=True))
        left -= len(rows)
        header = Header(
            engine.key,
            engine.name,
            date=day.isoformat(),
            by="a builder",
            run_since_build=parse_measured(f"{run} mile", Dimension.DISTANCE),
            gauge=gauge,
            conditions=Conditions(
                altitude=parse_measured(f"{draw.randrange(20, 400)} m", Dimension.LENGTH),
                inlet_air=parse_measured(f"{draw.randrange(8, 28)} C", Dimension.TEMPERATURE),
            ),
            plan_order=engine.cylinders,
        )
        number += 1
        yield Whole(header, tuple(rows), engine.sheet, f"bench-{engine.number}-{number}")
        day += dt.timedelta(draw.randrange(120, 260))
        run += draw.randrange(1500, 5000)
        level *= 1 - draw.uniform(0, 0.006)
        worn = draw.choice(engine.cylinders)
        levels[worn] -= draw.uniform(0, 0.006)


def fill(book: Book, engines: int = ENGINES, readings: int = READINGS) -> None:
    """Fill an empty book."""
    draw = random.Random(417)  # noqa: S311 - chooses figures, keeps no secret
    invented = [engine_of(number, draw) for number in range(1, engines + 1)]
    for gauge in GAUGES:
        book.add_gauge(gauge, key=f"bench-{gauge.name}", **WHO)
    for first in range(0, engines, AT_ONCE):
        some = invented[first : first + AT_ONCE]
        tests = [test for engine in some for test in tests_of(engine, readings // engines, draw)]
        book.enter_all(sorted(tests, key=lambda each: each.header.date), **WHO)

    def log(connection: Connection) -> None:
        for engine in invented:
            for number, text in enumerate(SAID):
                at = parse_measured(f"{100 + 150 * number} mile", Dimension.DISTANCE)
                stamp = Stamp(f"bench-event-{engine.number}-{number}", **WHO)
                event = Happened(engine.key, text, at, "2020-05-14")
                _register.add_event(connection, event, stamp, book.where, new_engine=False)

    book._door.write(log)  # noqa: SLF001 - six thousand lines in one transaction; a person writes one


def stored() -> Path:
    """Return the big book in a file, made when there is none of this kind yet."""
    kind = f"{_versions.KNOWN[-1]} {ENGINES} {READINGS} ".encode() + Path(__file__).read_bytes()
    folder = Path(tempfile.gettempdir()) / "ringtrue-big-book"
    path = folder / f"{hashlib.sha256(kind).hexdigest()[:16]}.ringtrue"
    if not path.exists():
        folder.mkdir(exist_ok=True)
        fresh = path.with_suffix(".new")
        fresh.unlink(missing_ok=True)
        with Book.open(fresh) as book:
            fill(book)
        fresh.rename(path)
    return path
