"""``ringtrue trend``: an engine over time."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.trend_why import WhyThen
    from ringtrue.shop.trending import Followed


def trend(
    engine: options.Word,
    /,
    *,
    baseline: str = "",
    along: Literal["distance", "time", "date"] | None = None,
    why: Annotated[bool, Parameter(name="--why", negative=())] = False,
    output: options.Output = None,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Follow an engine from test to test: what changed since its baseline, how fast, and where that leads.

    Parameters
    ----------
    engine
        Its reference, or its name.
    baseline
        Id of the test that the others are held against, in place of the first whole one after the last work that made
        a new baseline.
    along
        Tell rates by distance, running time or date, in place of the first of these that all tests have.
    why
        Say why it is not known better when a limit will be met: what each test adds to that.
    """
    from ringtrue.cli import show
    from ringtrue.history import Axis
    from ringtrue.shop.expecting import must_be_a_drawing
    from ringtrue.shop.trend_as_json import followed
    from ringtrue.shop.trend_courses import write_trend
    from ringtrue.shop.trend_why import as_json as budgets_as_json
    from ringtrue.shop.trend_why import forecasts_why
    from ringtrue.shop.trending import follow
    from ringtrue.shop.workplace import workplace

    if output:
        must_be_a_drawing(Path(output))
    axes = {"distance": Axis.DISTANCE, "time": Axis.RUNNING_TIME, "date": Axis.DATE}
    place = workplace(book)
    with place.open_book(create=False) as opened:
        found = follow(opened, engine, place.settings.limits, baseline=baseline, axis=axes[along] if along else None)
    if output:
        write_trend(found, Path(output))
        show.remark(f"The drawing is in {output}.")
    whys = forecasts_why(found) if why else ()
    if json:
        show.as_json(followed(found) | ({"budgets": budgets_as_json(found, whys)} if why else {}))
        return
    show.warnings(found.warnings)
    if why:
        _why(found, whys)
    else:
        _show(found)


def _why(found: Followed, whys: tuple[WhyThen, ...]) -> None:
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.shop.trend_why import RESTS_ON, budgets_told

    budgets, without = budgets_told(found, whys)
    for told in budgets:
        interval = f", {told.interval}, 9 times in 10" if told.interval else ""
        show.heading(f"{told.title}: not met any more from about {told.value}{interval}")
        show.rows(wording.WHY_HEAD, told.rows, right=(1, 2, 3))
        show.line()
        show.bullets(told.says)
    show.bullets(without)
    if budgets:
        show.heading("What this rests on")
        show.bullets(RESTS_ON)


def _show(found: Followed) -> None:
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.shop.trend_courses import level_course, siblings_course
    from ringtrue.shop.trend_told import told

    title = f"{found.name} ({found.engine})" if found.name and found.name != found.engine else found.engine
    show.heading(f"{title} over time")
    words = told(found)
    show.sentences([words.headline])
    show.line()
    show.bullets(words.about)
    show.line()
    figures = level_course(found).figures
    show.rows(figures.columns, figures.rows, right=(3, 4))
    beside = siblings_course(found)
    if beside is not None:
        show.heading(beside.figures.caption)
        show.rows(beside.figures.columns, beside.figures.rows)
    for part in words.parts:
        show.heading(part.title)
        show.bullets(part.sentences)
    show.line()
    show.sentences([wording.deferral()])
