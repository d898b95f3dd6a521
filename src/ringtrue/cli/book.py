"""``ringtrue book``: the record book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter

from ringtrue.cli import options
from ringtrue.cli.owner import forget_owner, owner
from ringtrue.cli.photograph import erase_photograph, on_sheet, photograph
from ringtrue.cli.put_aside import put_aside

MOST_LISTED = 100
"""A longer table is not read; it is asked for."""

app = App(name="book", help="The record book: list, show, correct, export, keep safe, verify.", help_format="plaintext")
app.command(put_aside)
app.command(photograph)
app.command(on_sheet)
app.command(erase_photograph)
app.command(owner)
app.command(forget_owner, name="forget-owner")


@app.command(name="list")
def list_tests(
    engine: str = "",
    /,
    *,
    latest: int | None = None,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    List the tests of the book.

    Parameters
    ----------
    engine
        Only those of this engine: its reference, or its name.
    latest
        So many of those opened last, 0 for all of them. The table shows 100 unless it is said; --json has all of them.
    """
    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    most = wanted_latest(latest, json=json)
    with place.open_book() as opened:
        tests = opened.tests(engine or None, latest=most)
        total = len(tests) if most is None or len(tests) < most else opened.count_tests(engine or None)
    told = [
        {
            "test": test.test_id,
            "engine": test.header.engine if test.header else "damaged",
            "name": test.header.engine_name if test.header else "",
            "date": test.header.date if test.header else "",
            "readings": test.readings,
            "finished": test.finished,
            "put_aside": test.put_aside,
        }
        for test in tests
    ]
    if json:
        show.as_json(told)
    elif told:
        show.rows(
            ("test", "engine", "name", "date", "readings", ""),
            [
                (
                    str(t["test"]),
                    str(t["engine"]),
                    str(t["name"]),
                    str(t["date"]),
                    str(t["readings"]),
                    "put aside" if t["put_aside"] else "" if t["finished"] else "open",
                )
                for t in told
            ],
            right=(4,),
        )
        if total > len(told):
            beyond = f"{total - len(told)} tests opened before these are not shown."
            show.remark(f"{beyond} Name an engine, or say --latest 0 for all of them.")
    else:
        show.line(
            f"There is no test in {place.book} yet. Take one with ringtrue pull, or enter a file with ringtrue enter."
        )


def wanted_latest(said: int | None, *, json: bool) -> int | None:
    """
    Tell how many tests a list shows.

    Parameters
    ----------
    said : int or None
        What the person said.
    json : bool
        It is for another program.

    Returns
    -------
    int or None
        None for all of them.

    Raises
    ------
    InputRefused
        It is below zero.
    """
    from ringtrue.errors import InputRefused

    if said is not None and said < 0:
        raise InputRefused.of(f"--latest {said}", "a list has no fewer tests than none", "say for example --latest 20")
    if said is None and not json:
        return MOST_LISTED
    return said or None


@app.command(name="show")
def show_test(test: options.Word, /, *, json: options.AsJson = False, book: options.BookPlace = None) -> None:
    """
    Show everything that stands in the book of one test.

    Parameters
    ----------
    test
        Its id.
    """
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.shop.recorded import as_json, entry_lines, header_lines
    from ringtrue.shop.workplace import workplace

    with workplace(book).open_book(create=False) as opened:
        recorded = opened.test(test)
    if json:
        show.as_json(as_json(recorded))
        return
    show.heading(f"Test {recorded.test_id}")
    show.rows(("what", "as written"), header_lines(recorded))
    show.heading("Entries, in the order in which the book took them")
    show.rows(("entry", "what", "cylinder", "said", "by"), entry_lines(recorded), right=(0,))
    show.line(f"\nHead of the chain: {wording.short_head(recorded.head)} ({recorded.head})")


@app.command
def correct(
    test: options.Word,
    cylinder: options.Given = None,
    /,
    *,
    kind: str = "dry",
    first: str = "",
    final: str = "",
    supply: str = "",
    held: str = "",
    spoiled: Annotated[bool | None, Parameter(negative="--not-spoiled")] = None,
    to_cylinder: str = "",
    repeat: int | None = None,
    drift: Annotated[bool, Parameter(negative=())] = False,
    from_film: Annotated[bool, Parameter(negative=())] = False,
    date: options.Given = None,
    run: options.Given = None,
    why: str = "",
    confirm_unit: options.ConfirmUnit = False,
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Put a reading right, or the date of a whole test. What was written before stays in the book beside it.

    Parameters
    ----------
    test
        The test's id.
    cylinder
        Which cylinder; left out with --date and --run.
    kind
        dry, wet or leakdown.
    first
        What the first should be, for example "96 psi", or "not seen".
    final
        What the final should be, for example "151 psi".
    supply
        The same for a leak-down reading's supply.
    held
        The same for what the cylinder held.
    spoiled
        The first stroke was spoiled.
    to_cylinder
        The reading belongs to this cylinder.
    repeat
        Which declared repeat; the last one if left out.
    drift
        The pull that repeats the first cylinder at the end.
    from_film
        Nobody saw the first stroke; it was read later, off your own film of the pull. It is marked so everywhere.
    date
        The day of the whole test.
    run
        What the engine had run since it was built, for example "500 mile".
    why
        The reason; it stays in the record.
    """
    from ringtrue.cli import show
    from ringtrue.errors import InputRefused
    from ringtrue.shop.heading import correct_day
    from ringtrue.shop.keeping import Wanted
    from ringtrue.shop.keeping import correct as put_right
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    figures = (first, final, supply, held, spoiled, to_cylinder)
    wanted = Wanted(cylinder or "", kind, repeat, *figures, why, drift, confirm_unit, from_film)
    with place.open_book(create=False) as opened:
        who, device = this_person(place.settings, by), this_device()
        if date is not None or run is not None:
            of_reading = bool(cylinder) or any(each not in {"", None} for each in figures)
            entry = correct_day(
                opened, test, date=date, run=run, why=why, of_reading=of_reading, who=who, device=device
            )
        elif not cylinder:
            why_not = "it is not said what is put right"
            raise InputRefused.of("", why_not, "name a cylinder, or say --date or --run for the whole test")
        else:
            entry = put_right(opened, test, wanted, who=who, device=device)
    told = (
        f"Corrected, as entry {entry.seq} of test {entry.chain}. What was written before stays in the book beside it."
    )
    show.done(told, {"test": entry.chain, "entry": entry.seq, "head": entry.hash}, json=json)


@app.command
def withdraw(
    test: options.Word,
    entry: int,
    /,
    *,
    why: str = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Take a reading or a photograph back. It stays in the book, and out of everything else.

    Parameters
    ----------
    test
        The test's id.
    entry
        The entry's number, as ringtrue book show tells it.
    why
        The reason; it stays in the record.
    """
    from ringtrue.cli import show
    from ringtrue.shop.keeping import withdraw as take_back
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    with place.open_book(create=False) as opened:
        taken_back = take_back(opened, test, entry, why, who=this_person(place.settings, by), device=this_device())
    name = taken_back.chain
    told = f"Entry {entry} of test {name} is taken back. It stays in the book, and out of everything else."
    show.done(told, {"test": name, "withdrawn": entry}, json=json)


@app.command
def export(
    test: str = "",
    /,
    *,
    output: options.Output = None,
    owners: Annotated[bool, Parameter(help="With the owners' names and addresses.", negative=())] = False,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Write one test, or the whole book, as JSON; photographs go into a folder beside it.

    Parameters
    ----------
    test
        The test's id; everything if left out.
    """
    import sys

    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace, write_file

    missing: tuple[str, ...] = ()
    with workplace(book).open_book(create=False) as opened:
        data = opened.export(test or None, owners=owners)
        photographs = opened.count_photographs(test or None)
        if output:
            write_file(Path(output), data)
            photographs, missing = opened.export_photographs(Path(output), test or None)
    if output:
        if json:
            show.as_json({"file": output, "photographs": photographs, "missing": list(missing)})
        beside = f" Photographs, in the folder {output}.photographs: {photographs}." if photographs else ""
        show.remark(f"Written to {output}.{beside}")
        show.warnings(missing)
    else:
        # The bytes as they are: no console's alphabet or line ends may change what the chains were made of.
        sys.stdout.flush()
        sys.stdout.buffer.write(data + b"\n")
        if photographs:
            show.remark(f"Photographs that are not in it: {photographs}. Name a file with -o to take them along.")


@app.command(name="import")
def import_file(file: options.Word, /, *, json: options.AsJson = False, book: options.BookPlace = None) -> None:
    """
    Take an export into this book: its chains are checked first, and nothing is half imported.

    Parameters
    ----------
    file
        The export.
    """
    from ringtrue.cli import show
    from ringtrue.errors import InputRefused
    from ringtrue.shop.keeping import read_export
    from ringtrue.shop.workplace import workplace

    data = read_export(Path(file))
    with workplace(book).open_book() as opened:
        try:
            done = opened.import_(data, Path(file))
        except InputRefused as error:
            raise error.at(f"“{file}”") from None
    told = f"Tests added: {len(done.added)}; extended: {len(done.extended)}; here already: {len(done.unchanged)}."
    if done.photographs:
        told += f" Photographs: {done.photographs}."
    said = {
        "added": list(done.added),
        "extended": list(done.extended),
        "unchanged": list(done.unchanged),
        "photographs": done.photographs,
        "missing": list(done.missing),
    }
    show.done(told, said, json=json)
    show.warnings(done.missing)


@app.command
def backup(file: options.Word, /, *, json: options.AsJson = False, book: options.BookPlace = None) -> None:
    """
    Make a copy of the book that is read back and checked.

    Parameters
    ----------
    file
        Where.
    """
    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace

    with workplace(book).open_book(create=False) as opened:
        done = opened.backup(Path(file))
    told = f"Backed up to {done.path}, read back and found good. Tests: {done.tests}; entries: {done.entries}."
    if done.photographs:
        told += f" Photographs, in a folder beside it: {done.photographs}."
    said = {
        "file": str(done.path),
        "tests": done.tests,
        "entries": done.entries,
        "photographs": done.photographs,
        "missing": list(done.missing),
    }
    show.done(told, said, json=json)
    show.warnings(done.missing)


@app.command
def restore(file: options.Word, /, *, json: options.AsJson = False, book: options.BookPlace = None) -> None:
    """
    Put a backup in the place of the book. The old book is kept beside it under another name.

    Parameters
    ----------
    file
        The backup.
    """
    from ringtrue.cli import show
    from ringtrue.errors import InputRefused
    from ringtrue.records import Book
    from ringtrue.shop.keeping import restored_told
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    try:
        done = Book.restore(Path(file), place.book)
    except InputRefused as error:
        raise error.at(f"“{file}”") from None
    kept = None if done.kept is None else str(done.kept)
    data = {
        "book": done.where,
        "kept": kept,
        "tests": done.tests,
        "entries": done.entries,
        "photographs": done.photographs,
        "lost": list(done.lost),
    }
    show.done("\n".join(restored_told(done)), data, json=json)


@app.command
def verify(
    test: str = "",
    /,
    *,
    head: Annotated[str, Parameter(help="The head printed on the hand-over sheet, long or short.")] = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> int:
    """
    Check that the book is what was written. Leaves with 3 when it is not.

    Parameters
    ----------
    test
        Only this test; the whole book if left out.
    """
    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace

    with workplace(book).open_book(create=False) as opened:
        findings = opened.verify(test or None, head=head or None)
    if json:
        show.as_json([{"where": f.where, "entry": f.seq, "says": f.says, "damage": f.damage} for f in findings])
    else:
        show.bullets(str(finding) for finding in findings)
        if not any(finding.damage for finding in findings):
            against = ", and the head is that of the paper" if head and not findings else ""
            show.line(f"{f'Test {test}' if test else 'The book'} is what was written{against}.")
    return 3 if any(finding.damage for finding in findings) else 0
