"""Moments as the clock on the wall told them: the book keeps UTC, which nobody reads off a wall."""

from __future__ import annotations

from datetime import datetime, tzinfo


def to_the_minute(when: str, zone: tzinfo | None = None) -> str:
    """
    Write a book's time stamp as a person would: local time, with how far it is from UTC.

    Parameters
    ----------
    when : str
        A time in ISO form; anything else, and a time without a zone, stays what it is.
    zone : tzinfo or None
        Where the clock hangs; None for the zone of this machine.

    Returns
    -------
    str
        Day, hour, minute and distance from UTC.

    Examples
    --------
    >>> from datetime import timedelta, timezone
    >>> to_the_minute("2026-05-14T22:35:31.250000Z", timezone(timedelta(hours=2)))
    '2026-05-15 00:35 UTC+02:00'
    """
    if "T" not in when:
        return when
    try:
        moment = datetime.fromisoformat(when)
    except ValueError:
        return when
    if moment.tzinfo is None:
        return f"{moment:%Y-%m-%d %H:%M}"
    moment = moment.astimezone(zone)
    ahead = f"{moment:%z}"
    return f"{moment:%Y-%m-%d %H:%M} UTC" + ("" if ahead in {"+0000", "-0000"} else f"{ahead[:3]}:{ahead[3:5]}")
