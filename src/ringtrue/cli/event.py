"""``ringtrue event``: the log of an engine."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter

from ringtrue.cli import options


def event(
    engine: options.Word,
    text: str,
    /,
    *,
    at: Annotated[str, Parameter(help='Distance or running time since the build, for example "700 mile".')] = "",
    date: Annotated[str, Parameter(help="Year-month-day.")] = "",
    new_baseline: Annotated[bool, Parameter(negative=())] = False,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Write a line into an engine's log: an oil change, a heat cycle, a re-torqued head.

    Parameters
    ----------
    engine
        Its reference, or its name.
    text
        What was done.
    new_baseline
        The work made another engine of it: the next test is what later ones are compared with.
    """
    from ringtrue.cli import show
    from ringtrue.shop.keeping import add_event, event_doubts
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    with place.open_book() as opened:
        made = add_event(
            opened,
            engine,
            text,
            at=at,
            date=date,
            new_baseline=new_baseline,
            who=this_person(place.settings, by),
            device=this_device(),
        )
        odd = event_doubts(opened, engine, at=at, date=date)
    told = f"In the log of {engine}: {made}."
    if new_baseline:
        told += " The next test of it is its new baseline."
    show.done(told, {"engine": engine, "event": made, "new_baseline": new_baseline}, json=json)
    show.warnings(odd)
