"""``ringtrue notebook``: years of notebooks, typed into a spreadsheet, come into the book."""

from __future__ import annotations

from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Annotated

from cyclopts import App, Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.notebook import NotebookWords

app = App(
    name="notebook",
    help="Bring in the past: years of readings, typed into a spreadsheet. Look first, then bring in.",
    help_format="plaintext",
)

MapFile = Annotated[
    str | None,
    Parameter(name="--map", help="How its columns are understood (TOML), as notebook look writes it.", negative=()),
]
Sheets = Annotated[
    str | None,
    Parameter(name="--sheets", help="A folder of build sheets, for engines the book has none of.", negative=()),
]


@app.command
def look(
    file: options.Word,
    /,
    *,
    map: MapFile = None,  # noqa: A002 - the option's name
    sheets: Sheets = None,
    output: options.Output = None,
    encoding: options.Encoding = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> int:
    """
    Show how a notebook is understood, and what would come in. Nothing is written into the book.

    Parameters
    ----------
    file
        The spreadsheet: XLSX with one worksheet or several, or CSV.
    """
    from ringtrue.cli import show
    from ringtrue.shop import notebook
    from ringtrue.shop.notebook_told import as_json, look_lines
    from ringtrue.shop.workplace import workplace, write_new_file

    place = workplace(book)
    with place.open_book() as opened:
        found = notebook.look(opened, place, _words(file, map, sheets, encoding))
    if output:
        write_new_file(Path(output), found.proposal().encode())
    if json:
        show.as_json(as_json(found))
    else:
        for title, lines in look_lines(found):
            show.heading(title)
            show.bullets(lines)
        if output:
            say = f"--map {quote(output)}"
            show.line(f"\nThe mapping is in {output}. Put right what is wrong, and look again with {say}.")
        elif found.whence == "proposed" or (found.faults and not map):
            show.line(f"\nKeep this mapping, and put it right: ringtrue notebook look {quote(file)} -o map.toml")
        if not found.faults and found.coming and found.whence != "proposed":
            by = f" --map {quote(map)}" if map else ""
            show.line(f"\nNothing is in the way: ringtrue notebook bring-in {quote(file)}{by}")
    for fault in found.faults:
        show.remark(str(fault.at(Path(file).name)))
    return 2 if found.faults else 0


@app.command(name="bring-in")
def bring_in(
    file: options.Word,
    /,
    *,
    map: MapFile = None,  # noqa: A002 - the option's name
    sheets: Sheets = None,
    encoding: options.Encoding = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Bring a notebook into the book: all of it that is not there yet, or nothing.

    Parameters
    ----------
    file
        The spreadsheet.
    """
    from ringtrue.cli import show
    from ringtrue.shop import notebook
    from ringtrue.shop.notebook_told import brought_json, brought_lines
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    with place.open_book() as opened:
        done = notebook.bring_in(
            opened,
            place,
            _words(file, map, sheets, encoding),
            who=this_person(place.settings, by),
            device=this_device(),
        )
    show.done("\n".join(brought_lines(done)), brought_json(done), json=json)
    show.warnings(done.looked.warnings)


def _words(file: str, map_file: str | None, sheets: str | None, encoding: str) -> NotebookWords:
    from ringtrue.shop.notebook import notebook_words

    return notebook_words(Path(file), Path(map_file) if map_file else None, Path(sheets) if sheets else None, encoding)
