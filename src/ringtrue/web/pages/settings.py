"""The shop's settings: names, units, paper, thresholds of rules, how often causes are met, minutes of checks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringtrue.errors import SettingsRefused
from ringtrue.intake import FIELDS, PRACTICE, usual_practice
from ringtrue.measure.limits import GENERAL, LEAKDOWN_SUSPECT, thresholds
from ringtrue.web.forms import Form, read_form
from ringtrue.web.page import FIRST, Frame, as_page, page, see
from ringtrue.web.routes import Route, Who
from ringtrue.wording import capital, practice_title, source_text, title

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.intake import Settings
    from ringtrue.web.service import Service

TYPED = tuple(key for key in FIELDS if key != "book.where")
"""What can be set here, but thresholds and practice; the book cannot be changed under a running server."""
_LABELS = {
    "shop.name": "Name of the shop",
    "shop.builder": "Builder",
    "units.pressure": "Unit of pressures",
    "sheet.paper": "Paper",
}


_ABOUT = {
    "causes": "How often a cylinder has each cause, before anything is read",
    "engine_causes": "How often a whole engine has what all cylinders share",
    "bank_causes": "How often a whole bank is off",
    "minutes": "How many minutes each check takes, plugs already out",
}
"""Headings of the tables of `PRACTICE`."""


@dataclass(frozen=True, slots=True)
class Figure:
    """
    One figure that can be set.

    Parameters
    ----------
    key : str
        Table and field.
    label : str
        What it is.
    unit : str
        Its unit; empty for a fraction.
    usual : str
        What it is when the shop sets nothing.
    now : str
        What the shop has set; empty when nothing.
    source : str
        Where the usual one comes from.
    """

    key: str
    label: str
    unit: str
    usual: str
    now: str
    source: str

    @property
    def help(self) -> str:
        """What stands under the label."""
        usual = f"{self.usual} {self.unit}".strip()
        return f"Usual: {usual} ({self.source}). Empty: the usual one."


def _limits(settings: Settings) -> list[Figure]:
    usual = thresholds({})
    units = {"percent": "%", "fraction": "as a fraction", "pressure": "Pa"}
    return [
        Figure(
            f"limits.{rule.key}",
            capital(title(rule.key)),
            units[rule.dimension],
            f"{usual[rule.key]:g}",
            f"{settings.limits[rule.key]:.15g}" if rule.key in settings.limits else "",
            source_text(rule.source),
        )
        for rule in (*GENERAL, LEAKDOWN_SUSPECT)
    ]


def _practice(settings: Settings, table: str) -> list[Figure]:
    own = settings.practice.get(table, {})
    minutes = table == "minutes"
    return [
        Figure(
            f"{table}.{key}",
            capital(practice_title(table, key)),
            "min" if minutes else "as a share",
            f"{usual:g}",
            f"{own[key]:.15g}" if key in own else "",
            "common practice" if minutes else "assumed",
        )
        for key, usual in usual_practice()[table].items()
    ]


def _figures(settings: Settings) -> dict[str, list[Figure]]:
    return {"limits": _limits(settings), **{table: _practice(settings, table) for table in PRACTICE}}


def _was(settings: Settings) -> dict[str, str]:
    was = {
        "shop.name": settings.shop,
        "shop.builder": settings.builder,
        "units.pressure": settings.pressure,
        "sheet.paper": settings.paper,
    }
    return was | {each.key: each.now for group in _figures(settings).values() for each in group}


def _page(service: Service, request: Request, form: Form | None, status: int = 200) -> Response:
    place = service.place
    was = _was(place.settings)
    return page(
        request,
        "settings.html.j2",
        Frame("Settings", FIRST, (FIRST,)),
        status,
        form=form or Form({key: (text,) for key, text in was.items()}),
        kept=request.query_params.get("kept") == "yes",
        typed=[(key, _LABELS[key], capital(FIELDS[key]) + ".") for key in TYPED if key != "sheet.paper"],
        figures=_figures(place.settings),
        about={"limits": "When a rule is met: limits", **_ABOUT},
        where=str(place.settings_path),
        book=place.book,
        fields=tuple(was),
        changed={key for key, text in was.items() if text and key not in TYPED},
    )


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show every setting."""
    return _page(service, request, None)


@as_page
async def send(service: Service, request: Request) -> Response:
    """Change what was changed, all or none."""
    form = await read_form(request)
    was = _was(service.place.settings)
    if form.text("do") == "usual":
        changes = {key: "" for key, text in was.items() if text and key not in TYPED}
    else:
        changes = {key: form.text(key) for key in was if key in form.said and form.text(key) != was[key]}
    if changes:
        try:
            settings = await service.do(service.place.set_all, changes)
        except SettingsRefused as error:
            return _page(service, request, form.refused(_each(error, changes), tuple(was)), 422)
        service.place = replace(service.place, settings=settings)
        for test in service.announcer.watched:
            service.announcer.changed(test)
    return see("/settings?kept=yes")


def _each(error: SettingsRefused, changes: dict[str, str]) -> SettingsRefused:
    """Place what is said of the only change beside its field."""
    if len(changes) > 1:
        return error
    only = next(iter(changes))
    return SettingsRefused(*(replace(fault, where=only) for fault in error.faults))


ROUTES = (
    Route("GET", "/settings", Who.OWNER, show),
    Route("POST", "/settings", Who.OWNER, send),
)
