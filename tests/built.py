"""Books with the builds of a shop, invented."""

from __future__ import annotations

import datetime as dt
import random
from typing import TYPE_CHECKING

from ringtrue.compression import Gauge, Pull, Reading
from ringtrue.quantities import Measured, PaGauge
from ringtrue.records import Header

if TYPE_CHECKING:
    from ringtrue.records import Book

PSI = 6894.757293168361
"""One pound-force per square inch, exactly 0.45359237 x 9.80665 / 0.0254**2 Pa. [Pa]"""

GAUGE = Gauge("shop gauge", Measured(300 * PSI, "300", "psi"), Measured(PSI, "1", "psi"), "B", repeatability=0.004)
WHO = {"who": "a builder", "device": "shop PC"}


def sheet(
    number: int, cylinders: int, chambers: dict[str, float], rings: str = "gapped", gasket: str = "copper"
) -> str:
    """Return the build sheet of an invented engine."""
    names = ", ".join(f'"{at}"' for at in range(1, cylinders + 1))
    measured = "".join(f'[measured."{name}"]\nchamber = "{volume:.2f} cc"\n' for name, volume in chambers.items())
    return (
        f'[engine]\nname = "Engine {number}"\nreference = "{number:04d}"\nlayout = "inline"\ncylinders = [{names}]\n'
        f'[geometry]\nbore = "92 mm"\nstroke = "98 mm"\ncompression_ratio = 8.4\n{measured}'
        f'[rings]\nkind = "{rings}"\ntop_gap = "{0.3 + 0.002 * number:.3f} mm"\n[gasket]\nkind = "{gasket}"\n'
    )


def finals(draw: random.Random, chambers: dict[str, float], tight: float) -> dict[str, float]:
    """Return finals that a larger chamber lowers, and that scatter. [psi]"""
    middle = sum(chambers.values()) / len(chambers)
    return {
        name: round(150 * (1 - 0.9 * (volume / middle - 1) + draw.gauss(0, tight))) for name, volume in chambers.items()
    }


def hand_over(
    book: Book,
    number: int,
    read: dict[str, float],
    text: str | None,
    date: str = "",
    by: str = "a builder",
    name: str = "Engine",
) -> str:
    """Write the hand-over test of an engine."""
    pulls = [
        Pull(cylinder=name, final=Reading(PaGauge(value * PSI), f"{value:g}", "psi")) for name, value in read.items()
    ]
    header = Header(f"{number:04d}", f"{name} {number}", date=date, by=by, gauge=GAUGE, plan_order=tuple(read))
    return book.enter(header, pulls, sheet_text=text, key=f"build-{number}-{date}", **WHO)


def fill(book: Book, builds: int, *, out: int | None = None, worse_from: int | None = None) -> None:
    """
    Write builds week by week, sixes and some fours.

    `out` is the number of one whose finals lie far apart; from `worse_from` on they all lie twice as far apart.
    """
    draw = random.Random(28)
    for number in range(1, builds + 1):
        cylinders = 4 if number % 5 == 0 else 6
        chambers = {str(at): 70 + draw.gauss(0, 0.6) for at in range(1, cylinders + 1)}
        tight = 0.05 if number == out else 0.02 if worse_from is not None and number >= worse_from else 0.008
        date = (dt.date(2026, 1, 5) + dt.timedelta(7 * number)).isoformat()
        rings = "gapless" if number % 3 == 0 else "gapped"
        by = "B. Other" if number % 4 == 0 else "a builder"
        text = sheet(number, cylinders, chambers, rings, "Copper" if number % 2 else "copper")
        hand_over(book, number, finals(draw, chambers, tight), text, date, by)
