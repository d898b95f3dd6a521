"""``ringtrue book put-aside``: a test begun by mistake, or wrong as a whole, counts nowhere."""

from __future__ import annotations

from ringtrue.cli import options


def put_aside(
    test: options.Word,
    /,
    *,
    why: str = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Put a test aside that was begun by mistake or is wrong as a whole. It stays in the book, and counts nowhere.

    Parameters
    ----------
    test
        The test's id.
    why
        The reason; it stays in the record.
    """
    import secrets

    from ringtrue.cli import show
    from ringtrue.errors import InputRefused
    from ringtrue.shop.workplace import this_device, this_person, workplace

    if not why.strip():
        raise InputRefused.of(
            "",
            "a test that is put aside stays in the record, with the reason",
            'say --why, for example --why "begun on the wrong engine"',
        )
    place = workplace(book)
    with place.open_book(create=False) as opened:
        entry = opened.put_aside(
            test,
            why=why,
            key=f"put-aside-{secrets.token_hex(16)}",
            who=this_person(place.settings, by),
            device=this_device(),
        )
    told = (
        f"Test {entry.chain} is put aside. It stays in the book, and counts in no list, trend, baseline or workmanship."
    )
    show.done(told, {"test": entry.chain, "entry": entry.seq, "head": entry.hash}, json=json)
