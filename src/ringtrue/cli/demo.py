"""``ringtrue demo``: the whole job on an invented engine, through the same commands that a builder types."""

from __future__ import annotations

import contextlib
import html
import io
import os
import shlex
import sys
from collections.abc import Iterator
from importlib import resources
from pathlib import Path

from ringtrue.cli import options

MARK = ".ringtrue-demo"
"""A folder with this file in it was made by the demonstration, and may be made anew."""

MADE = (
    "settings.toml",
    "book.db",
    "book-backup.db",
    "plan.pdf",
    "tornado.svg",
    "causes.svg",
    "may.pdf",
    "may.html",
    "june.pdf",
    "june.html",
    "autumn.pdf",
    "trend.svg",
    "conversation.txt",
    "index.html",
)
"""What the demonstration leaves besides its story; made anew, it takes away these and nothing else."""

STORY = (
    "launch-six.toml",
    "may.toml",
    "answers.txt",
    "june.toml",
    "june.csv",
    "spring.toml",
    "spring.csv",
    "autumn.toml",
    "autumn.csv",
)


class _Both(io.TextIOBase):
    """Writes to the terminal and keeps what was written."""

    def __init__(self, terminal: io.TextIOBase) -> None:
        self._terminal = terminal
        self.kept = io.StringIO()

    def write(self, text: str) -> int:
        self.kept.write(text)
        return self._terminal.write(text)

    def flush(self) -> None:
        self._terminal.flush()


def demo(folder: options.Word = "ringtrue-demo", /, *, json: options.AsJson = False) -> None:
    """
    Run the whole job on an invented engine, and leave the book, the sheets and a page that explains them.

    Parameters
    ----------
    folder
        Folder to make.
    """
    from ringtrue.cli import show
    from ringtrue.errors import CannotWrite

    place = Path(folder).resolve()
    if place.exists() and not (place / MARK).exists() and any(place.iterdir() if place.is_dir() else [place]):
        raise CannotWrite.of(
            f"“{folder}”", "there is something in it that the demonstration did not make", "name another folder"
        )
    try:
        place.mkdir(parents=True, exist_ok=True)
        for name in MADE:
            (place / name).unlink(missing_ok=True)
        (place / MARK).write_text("", "utf-8")
        for name in STORY:
            (place / name).write_bytes(resources.files("ringtrue.cli").joinpath("story", name).read_bytes())
    except OSError as error:
        raise CannotWrite.of(f"“{folder}”", f"it cannot be written ({error.strerror})", "name another folder") from None
    with _inside(place), show.conversation(json=json):
        tests = _tell(place)
    told = f"\nEverything is in {folder}. Open {Path(folder) / 'index.html'} to see what to look at."
    show.done(told, {"folder": str(place), "tests": list(tests)}, json=json)


@contextlib.contextmanager
def _inside(place: Path) -> Iterator[None]:
    """Work in the demonstration's folder, with a book and settings of its own."""
    from ringtrue.shop.workplace import BOOK_VARIABLE, SETTINGS_VARIABLE

    before, where = dict(os.environ), Path.cwd()
    os.environ[BOOK_VARIABLE] = str(place / "book.db")
    os.environ[SETTINGS_VARIABLE] = str(place / "settings.toml")
    try:
        os.chdir(place)
        yield
    finally:
        os.chdir(where)
        os.environ.clear()
        os.environ.update(before)


def _tell(place: Path) -> tuple[str, ...]:
    parts: list[tuple[str, str, str]] = []

    def step(why: str, command: str, answers: str = "") -> None:
        parts.append((why, command, _run(why, command, answers)))

    step("The shop settles its name and its unit once.", 'settings set shop.name "Alder & Quay, engine builders"')
    step("The builder's name goes under every sheet.", 'settings set shop.builder "J. Alder"')
    step("Pressures are read in psi here.", "settings set units.pressure psi")
    step("The gauge goes into the register: its face says 300 psi, grade B, steps of 2 psi.", _GAUGE)
    step("The build sheet, and what follows from it.", "sheet show launch-six.toml")
    step("A worksheet for the pencil.", "plan launch-six.toml --gauge face-1 -o plan.pdf")
    step(
        "What this engine should show on its starter that day, what moves it, and a drawing of that.",
        "expect launch-six.toml --gauge face-1 --test may.toml -o tornado.svg",
    )
    step(
        "The test at the engine. The first stroke of 3 was missed, that of 4 spoiled; a figure of 6 was misread and "
        "put right; 5 is weak, so it and its neighbour are pulled again with oil.",
        "pull --sheet launch-six.toml --test may.toml --gauge face-1",
        (place / "answers.txt").read_text("utf-8"),
    )
    first = _latest()
    step(
        "A leak-down on 5, kept with the test: most of the air is heard at the oil filler.",
        f"{_LEAK} --into {first}",
    )
    step(
        "What cylinder 5 is likely to have, what is ruled out, and which check would tell most.",
        f"explain {first} -o causes.svg",
    )
    step("What stands in the book, the correction beside what it replaced.", f"book show {first}")
    step("The hand-over sheet of May, for the file: cylinder 5 is not fit to hand over.", f"report {first} -o may.pdf")
    step("The same as a page.", f"report {first} -o may.html")
    step("After the rings were put right, the second test comes from a file.", _ENTER)
    second = _latest()
    step("It is judged against the same sheet.", f"judge {second}")
    step("Both tests, carried to one day and laid over one another.", f"normalise {first} {second}")
    step(
        "The work is written into the engine's log; what comes after it is held against the test of June.",
        'event 0417 "new rings in cylinder 5" --at "26 h" --date 2025-05-22 --new-baseline',
    )
    step("The owner gets this sheet.", f"report {second} -o june.pdf")
    step("The same as a page.", f"report {second} -o june.html")
    step("A second season. In spring the engine is pulled again, three times each cylinder.", _SPRING)
    third = _latest()
    step("The oil was changed in summer.", 'event 0417 "oil change" --at "140 h" --date 2026-07-18')
    step("Another gauge goes into the register.", _OTHER_GAUGE)
    step("In autumn the engine is pulled with that one.", _AUTUMN)
    fourth = _latest()
    step(
        "The engine over time: cylinder 2 loses beside its siblings, and the other gauge does not hide it.",
        "trend 0417 -o trend.svg",
    )
    step("The sheet of autumn.", f"report {fourth} -o autumn.pdf")
    step("Nobody changed anything unseen.", "book verify")
    step("A copy of the book, read back and checked.", "book backup book-backup.db")
    (place / "conversation.txt").write_text(
        "\n\n".join(f"# {why}\n$ ringtrue {command}\n{said}" for why, command, said in parts), "utf-8"
    )
    (place / "index.html").write_text(_page(parts, first, second, fourth), "utf-8")
    return first, second, third, fourth


_GAUGE = (
    'gauge add face-1 --range "300 psi" --resolution "2 psi" --grade B --check-valve "plug end" '
    '--adapter-volume "2 cc" --hose-volume "20 cc"'
)
_LEAK = 'leakdown --supply "80 psi" --held "56 psi" --restrictor "0.040 in" --cylinder 5 --heard crankcase'
_OTHER_GAUGE = (
    'gauge add face-2 --range "200 psi" --resolution "1 psi" --grade 1.6 --check-valve "plug end" '
    '--adapter-volume "2 cc" --hose-volume "20 cc"'
)
_SPRING = "enter spring.csv --sheet launch-six.toml --test spring.toml --gauge face-1"
_AUTUMN = "enter autumn.csv --sheet launch-six.toml --test autumn.toml --gauge face-2"
_ENTER = "enter june.csv --sheet launch-six.toml --test june.toml --gauge face-1"


def _run(why: str, command: str, answers: str) -> str:
    from ringtrue.cli import run
    from ringtrue.errors import RingtrueError

    print(f"\n# {why}\n$ ringtrue {command}")
    sys.stdout.flush()
    both = _Both(sys.stdout)  # type: ignore[arg-type]
    stdin, sys.stdin = sys.stdin, io.StringIO(answers)
    try:
        with contextlib.redirect_stdout(both), contextlib.redirect_stderr(both):
            code = run(shlex.split(command))
    finally:
        sys.stdin = stdin
    if code:
        raise RingtrueError.of(
            f"ringtrue {command}", f"the demonstration stopped with exit code {code}", "see what it said above"
        )
    return both.kept.getvalue()


def _latest() -> str:
    from ringtrue.shop.workplace import workplace

    with workplace().open_book() as book:
        return book.tests()[-1].test_id


def _page(parts: list[tuple[str, str, str]], first: str, second: str, last: str) -> str:
    template = resources.files("ringtrue.cli").joinpath("story", "index.html").read_text("utf-8")
    steps = "\n".join(
        f"<section><h3>{html.escape(why)}</h3><p><code>ringtrue {html.escape(command)}</code></p>"
        f"<details><summary>What it said</summary><pre>{html.escape(said)}</pre></details></section>"
        for why, command, said in parts
    )
    return (
        template.replace("@FIRST@", first).replace("@SECOND@", second).replace("@LAST@", last).replace("@STEPS@", steps)
    )
