"""Every calm page, in one table."""

from __future__ import annotations

from ringtrue.web.pages import (
    corrections,
    expect,
    explain,
    film,
    first,
    gauge,
    gauges,
    handover,
    history,
    judgement,
    leakdown,
    notebook,
    photos,
    plan,
    settings,
    sheets,
    trend,
    why,
    workmanship,
)

ROUTES = (
    *first.ROUTES,
    *sheets.ROUTES,
    *notebook.ROUTES,
    *workmanship.ROUTES,
    *plan.ROUTES,
    *gauges.ROUTES,
    *gauge.ROUTES,
    *expect.ROUTES,
    *judgement.ROUTES,
    *explain.ROUTES,
    *leakdown.ROUTES,
    *photos.ROUTES,
    *film.ROUTES,
    *corrections.ROUTES,
    *history.ROUTES,
    *trend.ROUTES,
    *why.ROUTES,
    *handover.ROUTES,
    *settings.ROUTES,
)
"""All of them."""
