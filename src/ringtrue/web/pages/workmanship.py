"""The shop's builds over time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused
from ringtrue.history.builds import usual_size
from ringtrue.report.workmanship_courses import courses
from ringtrue.shop.workmanship import MOST, Asked, asked_for, look_back
from ringtrue.web.forms import Form
from ringtrue.web.page import FIRST, Frame, as_page, page
from ringtrue.web.routes import Route, Who
from ringtrue.wording import workmanship as words

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from ringtrue.shop.workmanship import Workmanship
    from ringtrue.web.service import Service

FIELDS = ("since", "family", "builder", "baseline")
_LONGEST = 200
"""Of what is typed into a field. [character]"""


@as_page
async def show(service: Service, request: Request) -> Response:
    """Show the charts of the shop's builds, and what goes with even ones."""
    said = {name: (request.query_params.get(name, "").strip()[:_LONGEST],) for name in FIELDS}
    form, status = Form({name: typed for name, typed in said.items() if typed[0]}), 200
    try:
        asked = asked_for(*(form.text(name) for name in FIELDS), every=request.query_params.get("all") == "yes")
        made = await service.do(look_back, service.book, asked)
    except InputRefused as error:
        form, status = form.refused(error, FIELDS), 422
        made = await service.do(look_back, service.book, Asked())
    return page(
        request, "workmanship.html.j2", Frame("Workmanship", FIRST, (FIRST,)), status, form=form, **_facts(made)
    )


def _facts(made: Workmanship) -> dict[str, object]:
    charted, builds = made.charted, made.builds
    size = usual_size(builds) if builds else 0
    return {
        "title": words.builds_title(builds, only_last=made.only_last),
        "most": MOST,
        "more": words.only_the_last("all of them stand behind the button below") if made.only_last else "",
        "every": made.asked.every,
        "levels": [words.too_few(len(builds))] if charted is None else words.level_sentences(charted),
        "signals": [] if charted is None else words.signal_sentences(charted),
        "rules": [] if charted is None else words.rule_sentences(charted),
        "courses": () if charted is None else courses(charted),
        "builds": () if charted else tuple(zip(builds, words.build_rows(builds), strict=True)),
        "builds_head": words.BUILDS_HEAD,
        "kinds": [(words.kinds_title(each), words.kinds_rows(each, size)) for each in made.kinds],
        "kinds_head": words.KINDS_HEAD,
        "looked": [*words.looked_sentences(made.looked), words.CAUTION] if made.looked else [],
        "left_out": words.left_out_sentences([(each.engine, each.name, each.why) for each in made.left_out]),
    }


ROUTES = (Route("GET", "/workmanship", Who.LOOKS_ON, show),)
