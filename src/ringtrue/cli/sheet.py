"""``ringtrue sheet``: build sheets."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cyclopts import App

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.sheets import NewSheet, Question

app = App(name="sheet", help="Build sheets: make one, check it, show what follows from it.", help_format="plaintext")


_OPENING = "Every answer but name, layout and cylinders may be left empty. Type done to leave the rest out."


@app.command
def new(file: str = "", /, *, json: options.AsJson = False) -> None:
    """
    Make a build sheet, question by question.

    Parameters
    ----------
    file
        File to write; named after the engine if left out.
    """
    from ringtrue.cli import show
    from ringtrue.cli.ask import NoMoreAnswers
    from ringtrue.errors import CannotWrite
    from ringtrue.intake import parse_sheet
    from ringtrue.shop.sheets import NewSheet
    from ringtrue.shop.workplace import folder_is_there, write_file

    path = Path(file) if file else None
    if path is not None:
        folder_is_there(path)
    if path is not None and path.exists():
        why = "there is a file of that name already"
        raise CannotWrite.of(f"“{path}”", why, "edit it with any editor, or name another file")
    sheet = NewSheet()
    try:
        with show.conversation(json=json):
            show.sentences([_OPENING])
            for question in sheet.questions():
                more = _answer(sheet, question)
                if sheet.is_whole:
                    path = path or _free(sheet.name)
                    write_file(path, sheet.text.encode())
                if not more:
                    break
    except NoMoreAnswers:
        if not json:
            show.line()
    if path is None or not sheet.is_whole:
        why = "the answers ended before the sheet had a name, a layout and cylinders"
        raise CannotWrite.of("", why, "start again: ringtrue sheet new")
    told = f"\nThe build sheet is in {path}. Look at it with: ringtrue sheet show {path}"
    show.done(told, {"file": str(path), "engine": parse_sheet(sheet.text).key}, json=json)


def _answer(sheet: NewSheet, question: Question) -> bool:
    """Ask one question until its answer can be used; False when the rest is to be left out."""
    from ringtrue.cli import show
    from ringtrue.cli.ask import ask
    from ringtrue.errors import InputRefused

    while True:
        answer = ask(question.asks)
        if answer.casefold() == "done" and not question.needed:
            return False
        try:
            sheet.answer(question, answer)
        except InputRefused as error:
            show.bullets(str(error).splitlines(), mark="!")
        else:
            return True


def _free(name: str) -> Path:
    """Return a file named after the engine that is not there yet."""
    path, number = Path(f"{name}.toml"), 2
    while path.exists():
        path, number = Path(f"{name}-{number}.toml"), number + 1
    return path


@app.command
def check(file: options.Word, /, *, json: options.AsJson = False) -> None:
    """
    Check a build sheet, and say what it leaves out.

    Parameters
    ----------
    file
        The sheet.
    """
    from ringtrue.cli import show
    from ringtrue.engine import doubts
    from ringtrue.intake import read_sheet
    from ringtrue.shop.sheets import missing

    sheet, _ = read_sheet(Path(file))
    asked = doubts(sheet)
    told = {"engine": sheet.key, "missing": list(missing(sheet)), "warnings": list(asked)}
    show.done(f"{sheet.name}: the sheet holds together.", told, json=json)
    if json:
        return
    show.bullets(f"{sentence[0].upper()}{sentence[1:]}." for sentence in missing(sheet))
    show.warnings(asked)


@app.command(name="show")
def show_sheet(file: options.Word, /, *, json: options.AsJson = False) -> None:
    """
    Show a build sheet and what follows from it.

    Parameters
    ----------
    file
        The sheet.
    """
    from ringtrue.cli import show
    from ringtrue.engine import doubts, seen_from_above
    from ringtrue.intake import read_sheet
    from ringtrue.shop.sheets import CC, as_json, facts, missing

    sheet, _ = read_sheet(Path(file))
    if json:
        show.as_json(as_json(sheet))
        return
    show.warnings(doubts(sheet))
    reference = f", reference {sheet.reference}" if sheet.reference else ""
    show.heading(f"{sheet.name}{reference}")
    cylinders = f"{len(sheet.cylinders)} cylinder{'' if len(sheet.cylinders) == 1 else 's'}"
    ignition = f", {sheet.ignition} ignition" if sheet.ignition else ""
    told = [f"{sheet.layout}, {cylinders}, {sheet.cycle}-stroke{ignition}."]
    if sheet.displacement is not None:
        told.append(f"Displacement {sheet.displacement / CC:.0f} cc ({sheet.displacement / 0.0254**3:.1f} in3).")
    if sheet.firing_order:
        after = " ".join(f"{step:g}" for step in sheet.firing_intervals)
        told.append(f"Firing order {' '.join(sheet.firing_order)}; crank degrees after each: {after} deg.")
    told.append(f"Order of the test: {', '.join(sheet.pull_order)}.")
    show.sentences(told)
    if len(sheet.cylinders) > 1:
        show.heading(
            "Seen from the front" if sheet.layout == "radial" else "Seen from above, front of the engine at the top"
        )
        show.engine(seen_from_above(sheet))
    show.heading("Cylinder by cylinder")
    show.rows(
        (
            "cylinder",
            "compression ratio",
            "clearance [cc]",
            "swept [cc]",
            "at compression top [deg]",
            "companion",
            "gasket neighbours",
        ),
        [
            (
                row.cylinder,
                ""
                if row.compression_ratio is None
                else f"{row.compression_ratio:.2f}{' measured' if row.measured else ''}",
                "" if row.clearance is None else f"{row.clearance / CC:.1f}",
                "" if row.swept is None else f"{row.swept / CC:.1f}",
                "" if row.top_dead_centre is None else f"{row.top_dead_centre:g}",
                ", ".join(row.companions),
                ", ".join(row.neighbours),
            )
            for row in facts(sheet)
        ],
        right=(1, 2, 3, 4),
    )
    left_out = missing(sheet)
    if left_out:
        show.heading("Left out")
        show.bullets(f"{sentence[0].upper()}{sentence[1:]}." for sentence in left_out)
