"""``ringtrue event``: the log of an engine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.records import Book


def event(
    engine: options.Word,
    text: str = "",
    /,
    *,
    at: Annotated[str, Parameter(help='Distance or running time since the build, for example "700 mile".')] = "",
    date: Annotated[str, Parameter(help="Year-month-day.")] = "",
    new_baseline: Annotated[bool, Parameter(negative=())] = False,
    take_back: int | None = None,
    why: str = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Write a line into an engine's log: an oil change, a heat cycle, a re-torqued head. Without a text, show the log.

    Parameters
    ----------
    engine
        Its reference, or its name.
    text
        What was done; left out to see the log, each line with its number.
    new_baseline
        The work made another engine of it: the next test is what later ones are compared with.
    take_back
        Number of a line that should not count: it stays in the book, and stands no more.
    why
        The reason for taking it back.
    """
    from ringtrue.cli import show
    from ringtrue.shop.keeping import add_event, event_doubts
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    said = text or at or date or new_baseline
    if take_back is not None or not said:
        with place.open_book(create=False) as opened:
            if take_back is not None:
                who = this_person(place.settings, by)
                _take_back(opened, (engine, take_back), why, (who, this_device()), text=text, json=json)
            else:
                _log(opened, engine, json=json)
        return
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


def _take_back(book: Book, line: tuple[str, int], why: str, person: tuple[str, str], *, text: str, json: bool) -> None:
    import secrets

    from ringtrue.cli import show
    from ringtrue.errors import InputRefused

    if text.strip():
        reason = "a line is written or taken back, not both"
        raise InputRefused.of("--take-back", reason, "take the one back first, then write the other")
    who, device = person
    key = f"event-back-{secrets.token_hex(16)}"
    entry = book.take_back_event(*line, why=why, key=key, who=who, device=device)
    told = f"Line {line[1]} of the log of {line[0]} is taken back. It stays in the book, and counts nowhere."
    show.done(told, {"engine": line[0], "entry": entry.seq, "taken_back": line[1]}, json=json)


def _log(book: Book, engine: str, *, json: bool) -> None:
    from ringtrue.cli import show

    log = book.events(engine, taken_back=True)
    if json:
        show.as_json(
            [
                {
                    "entry": each.seq,
                    "event": each.text,
                    "at": str(each.at or ""),
                    "date": each.date,
                    "new_baseline": each.new_baseline,
                    "taken_back": each.taken_back,
                }
                for each in log
            ]
        )
    elif log:
        rows = [
            (str(e.seq), e.text, str(e.at or ""), e.date, f"taken back: {e.taken_back}" if e.taken_back else "")
            for e in log
        ]
        show.rows(("line", "what", "at", "date", ""), rows)
    else:
        show.line("Nothing in its log yet: heat cycles, oil changes, re-torque.")
