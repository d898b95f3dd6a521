"""
Who says so: every limit, constant and prior names one of these.

A source carries its edition and place, and how far it was seen: *read* (seen in a stored copy), *second-hand* (a
reprint or a quotation was seen, the document was not opened), *from memory* (known, not seen again), *practice* (common
practice, which no single source owns).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Status = Literal["read", "second-hand", "from memory", "practice", "own", "assumed"]


@dataclass(frozen=True, slots=True)
class Source:
    """
    One place where a number comes from.

    Parameters
    ----------
    key : str
        The short name by which rules and figures refer to it.
    title : str
        Document and edition, as far as known.
    place : str
        Chapter, section or table in it; empty where the whole is meant.
    status : str
        "read", "second-hand", "from memory", "practice", "own" for what the owner or the shop says of the engine, or
        "assumed" where nobody says so but this program.
    """

    key: str
    title: str
    place: str
    status: Status

    def __str__(self) -> str:
        """Return title and place as one phrase."""
        return f"{self.title}, {self.place}" if self.place else self.title


_ALL = (
    Source("common practice", "common practice of the trade, no single source", "", "practice"),
    Source("service data", "the engine's own service data, as entered on its build sheet", "[limits]", "own"),
    Source("shop settings", "the shop's own limit, from its settings", "thresholds", "own"),
    # ------------------------------------------------------------------------------- cranking compression
    Source("CT-01", "US Army TM 5-4210-230-14&P-1", "addendum 2, compression and cylinder leakage tests", "read"),
    Source("CT-02", "US Army TM 5-4210-230-14&P-1", "addendum 2, dry and wet compression test", "read"),
    Source("CT-03", "US Army TM 1-1500-204-23-1", "compression test, paragraph (d)", "read"),
    Source("CT-04", "US Army TM 10-3930-618-20", "paragraph 2-12 (an engine of 120 to 125 psi)", "read"),
    Source("CT-05", "US Army TM 5-2420-230-24-2", "section 14, engine testing (a diesel at 250 rev/min)", "read"),
    Source("CT-07", "US Army TM 5-3895-359-14&P; same rule in TM 5-3810-303-24", "table 2 and its example", "read"),
    # ------------------------------------------------------------------------------- leak-down
    Source("DT-01", "FAA AC 43.13-1B", "chapter 8, 8-14, Change 1 (2001), restrictor by bore", "second-hand"),
    Source("DT-02", "FAA AC 43.13-1B", "chapter 8, 8-14, Change 1 (2001), restrictor by bore", "second-hand"),
    Source("DT-03", "FAA AC 43.13-1B", "chapter 8, page 8-15, 8-14b(5)(i)", "read"),
    Source("DT-04", "FAA AC 43.13-1B", "chapter 8, 8-14b(5)", "second-hand"),
    Source("DT-05", "FAA AC 43.13-1B", "chapter 8, 8-14b, pressures and running again", "read"),
    Source("DT-06", "FAA AC 43.13-1B", "chapter 8, 8-14b, cautions", "read"),
    # ------------------------------------------------------------------------------- gauges, uncertainty
    Source("B40.100", "ASME B40.100", "accuracy grades, by zone of the scale", "from memory"),
    Source("EN 837-1", "EN 837-1", "accuracy classes, over the whole scale", "from memory"),
    Source(
        "JCGM 100", "JCGM 100:2008, Guide to the expression of uncertainty in measurement", "F.2.2.1", "from memory"
    ),
    Source("JCGM 100 H.3", "JCGM 100:2008", "H.3, calibration of a thermometer by a straight line", "from memory"),
    Source(
        "JCGM 106", "JCGM 106:2012, the role of measurement uncertainty in conformity assessment", "8", "from memory"
    ),
    Source("JCGM 101", "JCGM 101:2008, propagation of distributions by a Monte Carlo method", "", "from memory"),
    Source(
        "Davison & Hinkley",
        "Davison and Hinkley, Bootstrap Methods and their Application, Cambridge 1997",
        "chapter 5, basic (pivotal) bootstrap limits",
        "from memory",
    ),
    # ------------------------------------------------------------------------------- statistics
    Source("Grubbs", "NIST/SEMATECH e-Handbook of Statistical Methods", "1.3.5.17.1, Grubbs' test", "read"),
    Source("ESD", "NIST/SEMATECH e-Handbook of Statistical Methods", "1.3.5.17.3, generalised ESD", "read"),
    Source("modified z", "NIST/SEMATECH e-Handbook of Statistical Methods", "1.3.5.17, 0.6745 and 3.5", "read"),
    Source(
        "individuals", "NIST/SEMATECH e-Handbook of Statistical Methods", "6.3.2.2, individuals chart", "second-hand"
    ),
    Source("CUSUM", "NIST/SEMATECH e-Handbook of Statistical Methods", "6.3.2.3, CUSUM chart", "second-hand"),
    Source("EWMA", "NIST/SEMATECH e-Handbook of Statistical Methods", "6.3.2.4, EWMA chart", "second-hand"),
    Source("variance test", "NIST/SEMATECH e-Handbook of Statistical Methods", "1.3.5.8, chi-squared", "from memory"),
    # ------------------------------------------------------------------------------- gas
    Source("GA-07", "engine-fundamentals textbook", "exponent of unburned compression, 1.3 +/- 0.05", "from memory"),
    Source(
        "GA-08 to GA-10",
        "Hohenberg 1979, Woschni 1967, Annand 1963, as public engine codes give them",
        "heat transfer coefficients",
        "second-hand",
    ),
    Source(
        "expectation", "what this engine should show by its build sheet, gauge and day (90 % interval)", "", "assumed"
    ),
    Source("assumed", "an assumption of this program, for want of a published figure", "", "assumed"),
    Source("standard atmosphere", "ISO 2533, standard atmosphere at sea level", "101 325 Pa", "from memory"),
)

SOURCES: Mapping[str, Source] = MappingProxyType({each.key: each for each in _ALL})
"""Every source by its key."""


def source(key: str) -> Source:
    """
    Return the source of that key.

    Parameters
    ----------
    key : str
        A key of `SOURCES`, as rules and figures carry it.

    Returns
    -------
    Source
        Title, place and how far it was seen.

    Raises
    ------
    KeyError
        No such source: a fault of the program, not of what a person typed.

    Examples
    --------
    >>> str(source("CT-03"))
    'US Army TM 1-1500-204-23-1, compression test, paragraph (d)'
    """
    return SOURCES[key]
