"""What the terminal shows: plain tables and sentences, no colour that carries meaning."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext, redirect_stdout
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from ringtrue import wording
from ringtrue.compression import Kind
from ringtrue.measure import Outcome
from ringtrue.sources import source
from ringtrue.units import Unit, from_si

if TYPE_CHECKING:
    from ringtrue.engine import BuildSheet, Station, Stop
    from ringtrue.measure import CylinderFigures, RuleOutcome, SeriesJudgement
    from ringtrue.shop.judging import Judged

NARROWEST, WIDEST = 60, 110
"""Lines longer than this are hard to read; a window narrower than this breaks tables. [character]"""


def console() -> Console:
    """
    Make the console that everything is printed on.

    Returns
    -------
    Console
        As wide as the window, within reason; without colours.
    """
    made = Console(highlight=False, markup=False, emoji=False, no_color=True, soft_wrap=False)
    # What is piped on has no window; it gets the widest lines.
    made.width = min(max(made.width, NARROWEST), WIDEST) if made.is_terminal else WIDEST
    return made


def as_json(data: object) -> None:
    """
    Print JSON for other programs.

    Parameters
    ----------
    data : object
        Of text, numbers, lists and dicts.
    """
    # A pipe of another alphabet would lose letters of a name; escaped, JSON passes through any.
    plain = (sys.stdout.encoding or "").casefold().replace("-", "") != "utf8"
    print(json.dumps(data, ensure_ascii=plain, indent=2, allow_nan=False))


@contextmanager
def conversation(*, json: bool) -> Iterator[None]:
    """
    Keep what is said to a person out of the way of what another program reads.

    Parameters
    ----------
    json : bool
        Another program reads the output: what is said meanwhile goes to standard error.

    Yields
    ------
    None
        While the conversation lasts.
    """
    with redirect_stdout(sys.stderr) if json else nullcontext():
        yield


def done(text: str, data: object, *, json: bool) -> None:
    """
    Say what a command did, to a person or to another program.

    Parameters
    ----------
    text : str
        A sentence.
    data : object
        The same for a program.
    json : bool
        Which of the two.
    """
    if json:
        as_json(data)
    else:
        line(text)


def line(text: str = "") -> None:
    """
    Print a line as it is.

    Parameters
    ----------
    text : str
        The line.
    """
    print(text)


def sentences(texts: Iterable[str]) -> None:
    """
    Print sentences, wrapped to the window.

    Parameters
    ----------
    texts : iterable of str
        Each begins a line.
    """
    out = console()
    for text in texts:
        out.print(text)


def bullets(texts: Iterable[str], mark: str = "-") -> None:
    """
    Print a list, wrapped and indented.

    Parameters
    ----------
    texts : iterable of str
        Its items.
    mark : str
        What stands before each.
    """
    out = console()
    for text in texts:
        grid = Table.grid(padding=(0, 1))
        grid.add_column(no_wrap=True)
        grid.add_column()
        grid.add_row(mark, text)
        out.print(Padding(grid, (0, 0, 0, 2)))


def named(lines: Iterable[tuple[str, str]]) -> None:
    """
    Print sentences, each with its name at the left.

    Parameters
    ----------
    lines : iterable of (str, str)
        Name, empty for one that belongs to the line above, and sentence.
    """
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column()
    for name, text in lines:
        grid.add_row(name, text)
    console().print(Padding(grid, (0, 0, 0, 2)))


def heading(text: str) -> None:
    """
    Print a heading, with a blank line before it.

    Parameters
    ----------
    text : str
        The heading.
    """
    print()
    print(text)
    print("-" * len(text))


def remark(text: str) -> None:
    """
    Tell the person something without disturbing what other programs read.

    Parameters
    ----------
    text : str
        A sentence.
    """
    print(text, file=sys.stderr)


def warnings(texts: Iterable[str]) -> None:
    """
    Tell what the person should know of a file.

    Parameters
    ----------
    texts : iterable of str
        Sentences without their full stop.
    """
    for text in texts:
        remark(f"Note: {text}.")


def rows(header: Sequence[str], lines: Iterable[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """
    Print a table.

    Parameters
    ----------
    header : sequence of str
        Its columns.
    lines : iterable of sequence of str
        Its rows.
    right : sequence of int
        Columns of figures, from 0.
    """
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for index, name in enumerate(header):
        table.add_column(name, justify="right" if index in right else "left", overflow="fold")
    for cells in lines:
        table.add_row(*cells)
    console().print(table)


def judged(found: Judged) -> None:
    """
    Print a judgement: figures, rules, what it means, what is usually next.

    Parameters
    ----------
    found : Judged
        What was found.
    """
    unit = found.unit
    name = "" if found.sheet is None else f"{found.sheet.name}: "
    for series in (found.judgement.dry, found.judgement.wet):
        if series is not None:
            cylinders = "1 cylinder" if series.count == 1 else f"{series.count} cylinders"
            heading(f"{name}{series.kind} series, {cylinders} read, in {unit.name}")
            _series(series, unit)
    if found.judgement.wet_over_dry:
        heading("With oil")
        bullets(wording.oil_sentence(each) for each in found.judgement.wet_over_dry)
    if found.judgement.leakdown:
        heading("Leak-down")
        bullets(wording.leakdown_sentence(each, unit) for each in found.judgement.leakdown)
    main = found.judgement.main
    heading("What it means")
    bullets(wording.summary(found.judgement.main, unit))
    beside = wording.beside_sheet(found.top, found.expected, found.not_expected, unit, found.strokes)
    if beside:
        heading("Beside the build sheet")
        bullets(beside)
    if found.patterns:
        heading("What it looks like, and what is usually next")
    for pattern in found.patterns:
        words = wording.pattern_words(pattern, unit, found.sheet, () if main is None else main.rules)
        bullets([" ".join(filter(None, (words.seen, words.means)))])
        bullets([f"Next: {words.next_check}"] if words.next_check else [], mark=" ")
        bullets([f"Caution: {words.caution}"] if words.caution else [], mark=" ")
    if main is not None:
        _rules(main, unit)
        heading("How sure this is")
        bullets(wording.how_sure(main, unit))
    line()
    sentences([wording.deferral()])


def _rules(series: SeriesJudgement, unit: Unit) -> None:
    heading("Rules")
    rows(
        ("outcome", "rule", "found", "asked", "from"),
        (
            (
                rule.outcome.value,
                wording.title(rule.rule),
                _found(rule, unit),
                wording.asked_text(rule, unit),
                rule.source,
            )
            for rule in series.rules
        ),
    )
    line()
    bullets(wording.rule_sentence(rule, unit) for rule in series.rules if rule.outcome is Outcome.TOO_CLOSE)
    reasons: dict[str, list[str]] = {}
    for rule in series.rules:
        if rule.reason and rule.outcome is not Outcome.TOO_CLOSE:
            reasons.setdefault(rule.reason, []).append(wording.title(rule.rule))
    every = len(series.rules)
    bullets(
        f"{'All rules' if len(titles) == every else '; '.join(titles)}: {reason}." for reason, titles in reasons.items()
    )
    named = {rule.source: source(rule.source) for rule in series.rules}
    bullets(f"{key}: {said}." for key, said in named.items())


def _found(rule: RuleOutcome, unit: Unit) -> str:
    if rule.value is None:
        return ""
    return f"{wording.value_text(rule, unit)}{f' (cylinder {rule.cylinder})' if rule.cylinder else ''}"


def _series(series: SeriesJudgement, unit: Unit) -> None:
    header = [
        "cylinder",
        "read",
        "first",
        "final",
        f"90 % interval [{unit.name}]",
        "off the mean",
        "first/final",
        "place",
    ]
    lines = [_cylinder(row, unit) for row in series.cylinders if row.final is not None or series.kind is Kind.DRY]
    # Oil raises a reading by itself, so wet ones have no place among each other.
    left_out = {"off the mean", "place"} if series.kind is Kind.WET else set()
    if not series.gauge_known:
        left_out.add(header[4])
    if series.correction is None:
        left_out.add("read")
    kept = [index for index, name in enumerate(header) if name not in left_out]
    rows(
        [header[index] for index in kept],
        [[cells[index] for index in kept] for cells in lines],
        right=[place for place, index in enumerate(kept) if header[index] not in {"cylinder", "place"}],
    )
    if series.kind is Kind.DRY:
        print()
        running(series, unit)


def _cylinder(row: CylinderFigures, unit: Unit) -> list[str]:
    no_first = "spoiled" if row.first_spoiled else "not seen"
    film = " (from film)" if row.first_from_film else ""
    ends = [] if row.interval is None else [from_si(end, unit) for end in (row.interval.low, row.interval.high)]
    return [
        row.cylinder,
        "" if row.final_as_read is None else wording.pressure(row.final_as_read, unit),
        no_first if row.first is None else f"{wording.pressure(row.first, unit)}{film}",
        "not read" if row.final is None else wording.pressure(row.final, unit),
        " to ".join(f"{end:.{unit.decimals}f}" for end in ends),
        "" if row.deviation_percent is None else _signed(row.deviation_percent),
        "" if row.first_over_final is None else wording.ratio(row.first_over_final, limit=0.5),
        row.place.value,
    ]


def running(series: SeriesJudgement, unit: Unit) -> None:
    """
    Print the running figures: after each pull the mean, the mean deviation, and that in per cent.

    Parameters
    ----------
    series : SeriesJudgement
        The series.
    unit : Unit
        The unit to show.
    """
    rows(
        ("after cylinder", "final", "mean", "mean deviation", "in %"),
        (
            (
                row.cylinder,
                wording.pressure(row.final, unit),
                wording.pressure(row.mean, unit),
                wording.pressure(row.mean_deviation, unit, decimals=unit.decimals + 1),
                wording.percent(row.mean_deviation_percent, decimals=2),
            )
            for row in series.running
        ),
        right=(1, 2, 3, 4),
    )


def _signed(value: float) -> str:
    shown = wording.percent(abs(value), limit=10.0)
    return f"{'-' if value < 0 else '+'}{shown}"


def turning(sheet: BuildSheet, stops: Sequence[Stop]) -> None:
    """
    Print in which order the crank is turned from cylinder to cylinder, and how far.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    stops : sequence of Stop
        From `ringtrue.engine.turning`; empty where the firing order is not known.
    """
    heading("Turning the crank from top dead centre to top dead centre")
    if stops:
        told = wording.turning_rows(stops)
        kept = [at for at in range(len(wording.TURNING_HEAD)) if any(row[at] for row in told)]
        rows([wording.TURNING_HEAD[at] for at in kept], [[row[at] for at in kept] for row in told])
        line()
    bullets(wording.turning_sentences(sheet, stops))


def engine(stations: Sequence[Station], captions: Mapping[str, str] | None = None) -> None:
    """
    Draw an engine from above in characters.

    Parameters
    ----------
    stations : sequence of Station
        Where its cylinders stand.
    captions : mapping of str to str or None
        What stands beside each cylinder's name.
    """
    shown = {
        station.cylinder: " ".join(filter(None, (f"({station.cylinder})", (captions or {}).get(station.cylinder))))
        for station in stations
    }
    wide = max(len(text) for text in shown.values()) + 2
    left, top = min(s.across for s in stations), min(s.along for s in stations)
    grid: dict[int, list[tuple[int, str]]] = {}
    for station in stations:
        row = round((station.along - top) * (2 if captions is None else 1.5))
        grid.setdefault(row, []).append((round((station.across - left) * wide * 0.75), shown[station.cylinder]))
    for row in range(max(grid) + 1):
        text = ""
        for column, word in sorted(grid.get(row, [])):
            text = text.ljust(column) + word
        if text or row in grid:
            line(f"    {text}")
