"""The register of gauges."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ringtrue.compression import Gauge
from ringtrue.errors import NotInBook
from ringtrue.intake import parse_gauge
from ringtrue.shop.gauge_on_day import same_dial

if TYPE_CHECKING:
    from ringtrue.records import Book


def add_gauge(
    book: Book, fields: Mapping[str, str], *, who: str, device: str, key: str = ""
) -> tuple[Gauge, tuple[str, ...]]:
    """
    Put a gauge into the register.

    Parameters
    ----------
    book : Book
        The record book.
    fields : mapping of str to str
        As in a test file's table ``[gauge]``; empty ones are left out.
    who, device : str
        Who describes it, and on which machine.
    key : str
        Made where it was described, so that what is sent twice is kept once; empty for one of its own.

    Returns
    -------
    tuple of Gauge and tuple of str
        The gauge, and what is missing for an uncertainty.

    Raises
    ------
    GaugeRefused
        A field cannot be used.
    BookUnusable
        The book cannot be used.
    """
    gauge = parse_gauge(fields)
    try:
        before = book.gauge_history(gauge.name)[-1].gauge
    except NotInBook:
        before = None
    gauge, kept = _with_what_was_known(gauge, before)
    book.add_gauge(gauge, key=key or f"gauge-{secrets.token_hex(16)}", who=who, device=device)
    return gauge, (*kept, *_missing(gauge))


def _with_what_was_known(gauge: Gauge, before: Gauge | None) -> tuple[Gauge, tuple[str, ...]]:
    """Carry calibration and study on to a new description, as far as it is still of the same dial."""
    if before is None:
        return gauge, ()
    notes = []
    if before.calibration is not None:
        if same_dial(gauge, before):
            gauge = replace(gauge, calibration=before.calibration)
            notes.append(f"it keeps its calibration of {before.calibration.date}")
        else:
            notes.append("its range is another, so the calibration of the old one counts no more")
    if before.study is not None:
        if gauge.repeatability is None:
            gauge = replace(gauge, repeatability=before.repeatability, study=before.study)
            notes.append(f"it keeps the repeatability of its study of {before.study.date}")
        else:
            notes.append("its repeatability is now the one that was typed, and no more that of its study")
    return gauge, tuple(notes)


def _missing(gauge: Gauge) -> tuple[str, ...]:
    notes = []
    if gauge.resolution is None:
        notes.append("its resolution is not known, so no interval holds it")
    if not gauge.grade and gauge.calibration is None:
        notes.append("its accuracy grade is not known, so the level of the readings has no interval from it")
    if gauge.repeatability is None:
        notes.append("its repeatability is not known: 0.6 % of the reading is assumed")
    return tuple(notes)


def gauges_told(book: Book) -> list[dict[str, str]]:
    """
    List the gauges as they were described.

    Parameters
    ----------
    book : Book
        The record book.

    Returns
    -------
    list of dict
        A dict a gauge, of text as written; empty text for what is not known.
    """
    return [
        {
            "name": gauge.name,
            "range": _said(gauge.range),
            "resolution": _said(gauge.resolution),
            "grade": gauge.grade,
            "check_valve": "" if gauge.check_valve is None else gauge.check_valve.value,
            "adapter_volume": _said(gauge.adapter_volume),
            "hose_volume": _said(gauge.hose_volume),
            "repeatability": "" if gauge.repeatability is None else f"{100 * gauge.repeatability:.3g} %",
            "calibrated": gauge.calibration.date if gauge.calibration else "",
            "due": gauge.calibration.due if gauge.calibration else "",
            "studied": gauge.study.date if gauge.study else "",
        }
        for gauge in book.gauges()
    ]


def _said(figure: object) -> str:
    return "" if figure is None else str(figure)
