"""``ringtrue book owner`` and ``ringtrue book forget-owner``: whose engine it is, outside the chains."""

from __future__ import annotations

from ringtrue.cli import options


def owner(
    engine: options.Word,
    /,
    *,
    name: str | None = None,
    contact: str | None = None,
    address: str | None = None,
    note: str | None = None,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Say whose engine it is, or show it. Kept outside the chains, so that it can be erased.

    Parameters
    ----------
    engine
        Its reference, or its name.
    name
        The owner's name. What is left out stays as it is; with nothing said, what is known is shown.
    contact
        How to reach the owner.
    address
        Where the owner is.
    note
        Anything else.
    """
    from ringtrue.cli import show
    from ringtrue.shop.keeping import owner_of
    from ringtrue.shop.workplace import workplace

    said = {"name": name, "contact": contact, "address": address, "note": note}
    with workplace(book).open_book(create=False) as opened:
        found = owner_of(opened, engine, said)
    known = [] if found is None else [found.name, found.contact, found.address, found.note]
    told = ", ".join(filter(None, known)) or f"No owner is known for {engine}."
    show.done(told, dict(zip(("name", "contact", "address", "note"), known, strict=False)), json=json)


def forget_owner(engine: options.Word, /, *, json: options.AsJson = False, book: options.BookPlace = None) -> None:
    """
    Erase what the book knows of an engine's owner. The tests stay.

    Parameters
    ----------
    engine
        Its reference, or its name.
    """
    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace

    with workplace(book).open_book(create=False) as opened:
        known = opened.forget_owner(engine)
    erased = f"The owner of {engine} is erased from this book; backups and exports made before still hold it."
    show.done(erased if known else f"No owner was known for {engine}.", {"erased": known}, json=json)
