"""``ringtrue workmanship``: the shop's builds over time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ringtrue.cli import options

if TYPE_CHECKING:
    from pathlib import Path

    from ringtrue.shop.workmanship import Workmanship

_SHOWN = 30
"""So many builds stand in the table; `--json` has all."""


def workmanship(
    *,
    since: Annotated[
        str | None,
        Parameter(
            help="Hand-overs of this day or later, year-month-day; the last 200 builds if left out.", negative=()
        ),
    ] = None,
    family: Annotated[
        str | None, Parameter(help='Builds of one family, for example "inline, 6 cylinders".', negative=())
    ] = None,
    builder: Annotated[str | None, Parameter(help="Builds that this person tested at hand-over.", negative=())] = None,
    baseline: Annotated[
        str | None, Parameter(help="So many of the first builds make the limits; 20 if left out.", negative=())
    ] = None,
    every: Annotated[bool, Parameter(name="--all", help="All builds, in place of the last 200.", negative=())] = False,
    output: options.Output = None,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """Tell how even the shop's builds are at hand-over, whether they change, and what goes with even ones."""
    from pathlib import Path

    from ringtrue.cli import show
    from ringtrue.shop.workmanship import asked_for, look_back
    from ringtrue.shop.workmanship_as_json import workmanship as told
    from ringtrue.shop.workplace import workplace

    place = workplace(book)
    asked = asked_for(since or "", family or "", builder or "", baseline or "", every=every)
    with place.open_book(create=False) as opened:
        made = look_back(opened, asked)
    drawn = _drawn(made, Path(output)) if output else None
    if json:
        show.as_json(told(made))
        return
    _show(made)
    if drawn is not None:
        show.line()
        show.sentences(
            [f"Drawn in {drawn}." if made.charted else f"{drawn} was not written: there is no chart to draw."]
        )


def _drawn(made: Workmanship, path: Path) -> Path:
    from ringtrue.errors import CannotWrite
    from ringtrue.report.workmanship_sheet import drawn_builds

    if made.charted is not None:
        try:
            path.write_text(drawn_builds(made.charted), encoding="utf-8")
        except OSError as error:
            raise CannotWrite.of(
                f"“{path}”", f"it cannot be written ({error.strerror})", "name another file", "--output"
            ) from None
    return path


def _show(made: Workmanship) -> None:
    from ringtrue.cli import show
    from ringtrue.wording import workmanship as words

    builds = made.builds
    title = words.builds_title(builds, only_last=made.only_last)
    show.heading(f"Workmanship: {title[0].lower()}{title[1:]}")
    if made.only_last:
        show.sentences([words.only_the_last("--all shows all of them, --since those of a day or later")])
        show.line()
    if made.charted is None:
        show.bullets([words.too_few(len(builds))])
    else:
        show.bullets(words.level_sentences(made.charted))
        show.heading("What the charts tell")
        show.bullets(words.signal_sentences(made.charted))
        show.heading("By which rules")
        show.bullets(words.rule_sentences(made.charted))
    if builds:
        show.heading("Builds" if len(builds) <= _SHOWN else f"The last {_SHOWN} of them")
        show.rows(words.BUILDS_HEAD, words.build_rows(builds)[-_SHOWN:], right=(0, 3, 4, 5))
    _together(made)
    if made.left_out:
        show.heading("Left out")
        show.bullets(words.left_out_sentences([(each.engine, each.name, each.why) for each in made.left_out]))


def _together(made: Workmanship) -> None:
    from ringtrue.cli import show
    from ringtrue.history.builds import usual_size
    from ringtrue.wording import workmanship as words

    for each in made.kinds:
        show.heading(words.kinds_title(each))
        show.rows(words.KINDS_HEAD, words.kinds_rows(each, usual_size(made.builds)), right=(1, 2, 3))
    if made.looked:
        show.heading("What goes with even finals")
        show.bullets([*words.looked_sentences(made.looked), words.CAUTION])
