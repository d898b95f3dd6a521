"""All that the register knows of one gauge, newest first: descriptions, calibrations, studies."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from ringtrue.compression import Calibration, Gauge
from ringtrue.intake.study_file import StudyFile
from ringtrue.shop.calibrating import Calibrated, calibrated
from ringtrue.shop.studying import Studied, worked_out

if TYPE_CHECKING:
    from ringtrue.records import Book, GaugeRevision


@dataclass(frozen=True, slots=True)
class Known:
    """
    A gauge, and how it became known.

    Parameters
    ----------
    gauge : Gauge
        As it is described now.
    calibrated : Calibrated or None
        What its calibration comes to.
    studied : Studied or None
        What its study shows.
    due : str
        A sentence on the next calibration; empty where it is far off, or there was none.
    history : tuple of (str, str, str)
        Day, by whom, and what was said, newest first.
    """

    gauge: Gauge
    calibrated: Calibrated | None
    studied: Studied | None
    due: str
    history: tuple[tuple[str, str, str], ...]


SOON = 31
"""A calibration that is due within so many days is told. [day]"""


def know(book: Book, name: str) -> Known:
    """
    Gather what is known of a gauge.

    Parameters
    ----------
    book : Book
        The record book.
    name : str
        What the shop calls it.

    Returns
    -------
    Known
        All of it.

    Raises
    ------
    NotInBook
        There is no such gauge.
    """
    revisions = book.gauge_history(name)
    gauge = revisions[-1].gauge
    found = None if gauge.calibration is None else calibrated(gauge)
    return Known(gauge, found, _study(gauge), _due(gauge), _history(revisions))


def _study(gauge: Gauge) -> Studied | None:
    kept = gauge.study
    if kept is None or not kept.readings:
        return None
    cylinders = tuple(dict.fromkeys(each.cylinder for each in kept.readings))
    people = tuple(dict.fromkeys(each.person for each in kept.readings))
    return worked_out(StudyFile(kept.readings, cylinders, people, kept.repeats, kept.date, ()), gauge, kept.date)


def _due(gauge: Gauge) -> str:
    if gauge.calibration is None:
        return ""
    today, due = datetime.now(UTC).astimezone().date(), date.fromisoformat(gauge.calibration.due)
    days = (due - today).days
    if days < 0:
        return (
            f"Calibration was due on {due.isoformat()}: tests since then are judged by the grade where that is wider."
        )
    return f"Calibration is due on {due.isoformat()}." if days <= SOON else ""


def _history(revisions: tuple[GaugeRevision, ...]) -> tuple[tuple[str, str, str], ...]:
    told = []
    before = Gauge("")
    known: list[Calibration] = []
    for each in revisions:
        gauge, says = each.gauge, []
        if gauge.calibration != before.calibration:
            says.append(_calibration_says(gauge.calibration, known))
        if gauge.study != before.study:
            share = f"{100 * (gauge.repeatability or 0):.2f} %"
            says.append(f"studied on {gauge.study.date}: {share}" if gauge.study else "its study counts no more")
        if gauge.calibration is not None:
            known.append(gauge.calibration)
        told.append((each.at[:10], each.who, "; ".join(says) or "described"))
        before = gauge
    return tuple(reversed(told))


def _calibration_says(now: Calibration | None, known: list[Calibration]) -> str:
    if now is None:
        return "its calibration counts no more"
    if now in known:
        return f"its calibration of {now.date} counts on"
    return f"calibrated on {now.date}, {len(now.points)} points"
