"""``ringtrue expect``: what an engine should show on its starter."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from ringtrue.cli import options

if TYPE_CHECKING:
    from ringtrue.shop.expecting import ExpectedEngine
    from ringtrue.wording import Expected


_BAR = 24
_ROOM_FOR_BARS = 100
"""In a narrower window the bars are left out; the figures stay. [character]"""


def expect(
    sheet: options.Word,
    /,
    *,
    gauge: options.GaugeName = None,
    test: options.TestFile = None,
    altitude: options.Altitude = None,
    barometer: options.Barometer = None,
    inlet_air: options.InletAir = None,
    oil: options.Oil = None,
    cranking_speed: options.CrankingSpeed = None,
    battery: Annotated[
        str | None, options.figure("--battery", 'Voltage at rest, for example "12.4 V"; where no speed is known.')
    ] = None,
    unit: Annotated[str | None, options.figure("--unit", "Unit to tell pressures in: psi, kPa, bar, kg/cm2.")] = None,
    confirm_unit: options.ConfirmUnit = False,
    output: options.Output = None,
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Say what an engine should show on its starter, and how sure that is.

    Parameters
    ----------
    sheet
        The engine's build sheet.
    """
    from ringtrue.cli import show
    from ringtrue.shop.expected_as_json import expected
    from ringtrue.shop.expecting import EngineAndWords, expect_engine, must_be_a_drawing, write_tornado
    from ringtrue.shop.workplace import workplace

    if output:
        must_be_a_drawing(Path(output))
    place = workplace(book)
    said = {
        "altitude": altitude,
        "barometer": barometer,
        "inlet_air": inlet_air,
        "oil": oil,
        "cranking_speed": cranking_speed,
        "battery": battery,
    }
    words = EngineAndWords(
        sheet=Path(sheet),
        test=Path(test) if test else None,
        gauge=place.gauge(gauge or ""),
        said={key: text or "" for key, text in said.items()},
        unit=unit or "",
        usual_unit=place.settings.pressure,
        confirmed=confirm_unit,
    )
    made = expect_engine(words)
    if output:
        write_tornado(made, Path(output))
        show.remark(f"The drawing is in {output}.")
    if json:
        show.as_json(expected(made))
        return
    show.warnings(made.warnings)
    _show(made)


def _show(made: ExpectedEngine) -> None:
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.sources import source

    words, unit = made.words, made.unit.name
    show.heading(f"{made.sheet.name}: what to look for on the starter, in {unit}")
    show.rows(
        ("compression stroke", "needle, middle", f"90 % interval [{unit}]"),
        [(number, band.median, f"{band.low} to {band.high}") for number, band in words.strokes],
        right=(0, 1, 2),
    )
    show.line()
    show.bullets((*words.what_to_look_for(), wording.gauge_sentence(made.gauge)))
    show.heading("How far to trust it")
    show.bullets((*words.how_far_to_trust_it(), wording.deferral()))
    show.heading(f"What moves the final most, in {unit}")
    _inputs(words, unit)
    show.line()
    show.bullets(filter(None, [words.the_rest()]))
    named = {each.source: source(each.source) for each in made.found.inputs}
    show.bullets(f"Ranges, {key}: {said}." for key, said in named.items())
    show.heading("What a change would do to the final")
    show.rows(
        ("change", "final, times", "90 % interval"),
        [(title, band.median, band.interval) for title, band in words.changes()],
        right=(1, 2),
    )
    _cylinders(words)
    show.heading("What would narrow it most")
    show.bullets([words.narrow_it()])


def _cylinders(words: Expected) -> None:
    from ringtrue.cli import show

    if not (explained := words.what_the_build_explains()):
        return
    show.heading("Cylinder by cylinder")
    if cylinders := words.cylinders():
        show.rows(
            ("cylinder", "compression ratio", "final over the mean", "90 % interval", "off the mean"),
            [(name, ratio, band.median, band.interval, off) for name, ratio, band, off in cylinders],
            right=(1, 2, 3, 4),
        )
        show.line()
    show.bullets(explained)


def _inputs(words: Expected, unit: str) -> None:
    """Print the tornado: a row an input, with a bar where there is room."""
    from ringtrue.cli import show

    whole = words.final
    low, high = float(whole.low), float(whole.high)
    rows = words.inputs()
    least, most = min([low, *(row.low for row in rows)]), max([high, *(row.high for row in rows)])
    bars = show.console().width >= _ROOM_FOR_BARS

    def bar(start: float, end: float) -> str:
        places = [round((each - least) / (most - least) * (_BAR - 1)) for each in (start, end, float(whole.median))]
        first, last, middle = places
        drawn = "".join("=" if first <= at <= last else "." for at in range(_BAR))
        return f"{drawn[:middle]}|{drawn[middle + 1 :]}"

    lines = [("all of them together", "", f"{whole.low} to {whole.high}", "", bar(low, high))]
    lines += [(row.title, row.span, row.finals, row.known, bar(row.low, row.high)) for row in rows]
    header = ("input", "its 90 % range", f"final [{unit}]", "known", "drawn (|: the middle)")
    shown = len(header) if bars else len(header) - 1
    show.rows(header[:shown], [line[:shown] for line in lines], right=(2,))
