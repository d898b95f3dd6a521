"""A gauge of the register as it was on the day of a test, with the calibration that was in force."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ringtrue.compression import Calibration, Gauge
    from ringtrue.records import Book, GaugeRevision


@dataclass(frozen=True, slots=True)
class OnDay:
    """
    A gauge as it was on a day.

    Parameters
    ----------
    gauge : Gauge
        For use at a test: without the single readings of its study.
    says : str
        What was taken where that is not how the register has it now, as a sentence without its full stop; else empty.
    """

    gauge: Gauge
    says: str = ""


@dataclass(frozen=True, slots=True)
class GaugeOverTime:
    """
    A gauge of the register with all that was said of it.

    Parameters
    ----------
    revisions : tuple of GaugeRevision
        Oldest first, at least one.
    """

    revisions: tuple[GaugeRevision, ...]

    @property
    def now(self) -> Gauge:
        """As the register has it now."""
        return _for_use(self.revisions[-1].gauge)

    def on(self, date: str) -> OnDay:
        """
        Return the gauge as it was on a day.

        Parameters
        ----------
        date : str
            ISO date of the test; empty where it is not said, which is taken as now.

        Returns
        -------
        OnDay
            The dial that was in use, as it was described last; the latest of its calibrations that was made by then,
            none before the first; what is known of how it repeats.

        Notes
        -----
        A description of another range is another dial. It counts from the day on which it was written down, and the
        first one before that too: a gauge is older than the register. What was put right in a description since, and a
        study, hold for earlier days as well: they tell what the gauge is, not how it stood.
        """
        now = self.now
        if not date:
            return OnDay(now)
        dial = self._dial(date)
        described = _for_use(dial[-1].gauge)
        known = [each.gauge.calibration for each in dial if each.gauge.calibration is not None]
        made = [each for each in known if each.date <= date]
        # Of two of one day the one that was entered last is the one that was put right.
        taken = max(reversed(made), key=lambda each: each.date, default=None)
        gauge = replace(described, calibration=taken)
        return OnDay(gauge, "" if gauge == now else "; ".join(_says(gauge, now, known)))

    def _dial(self, date: str) -> list[GaugeRevision]:
        """Return the descriptions of the dial that was in use."""
        dials: list[list[GaugeRevision]] = []
        for each in self.revisions:
            if dials and same_dial(dials[-1][-1].gauge, each.gauge):
                dials[-1].append(each)
            else:
                dials.append([each])
        begun = [dial for dial in dials if dial[0].at[:10] <= date]
        return begun[-1] if begun else dials[0]


def over_time(book: Book, name: str) -> GaugeOverTime:
    """
    Look up a gauge with all that was said of it.

    Parameters
    ----------
    book : Book
        The record book.
    name : str
        What the shop calls it.

    Returns
    -------
    GaugeOverTime
        All of it.

    Raises
    ------
    NotInBook
        There is no such gauge.
    BookUnusable
        The book cannot be used.
    """
    return GaugeOverTime(book.gauge_history(name))


def same_dial(one: Gauge, other: Gauge) -> bool:
    """
    Tell whether two descriptions are of one dial.

    Parameters
    ----------
    one, other : Gauge
        Of one name.

    Returns
    -------
    bool
        Unless both say a range, and not the same.
    """
    return one.range is None or other.range is None or one.range.value == other.range.value


def _for_use(gauge: Gauge) -> Gauge:
    return gauge if gauge.study is None else replace(gauge, study=replace(gauge.study, readings=()))


def _says(gauge: Gauge, now: Gauge, known: list[Calibration]) -> Iterator[str]:
    if not same_dial(gauge, now):
        yield f"gauge {gauge.name} is taken with the dial that it had that day, 0 to {gauge.range}"
    if gauge.calibration is not None and gauge.calibration != now.calibration:
        yield f"gauge {gauge.name} is taken with its calibration of {gauge.calibration.date}, in force that day"
    elif gauge.calibration is None and known:
        first = min(each.date for each in known)
        yield f"gauge {gauge.name} is taken without a calibration: the first that is known, of {first}, was made later"
