"""``ringtrue gauge``: the register of gauges."""

from __future__ import annotations

from typing import Annotated

from cyclopts import App, Parameter

from ringtrue.cli import options
from ringtrue.cli.gauge_calibrate import calibrate
from ringtrue.cli.gauge_study import study

app = App(name="gauge", help="The register of gauges.", help_format="plaintext")
app.command(calibrate)
app.command(study)


@app.command
def add(
    name: options.Word,
    /,
    *,
    range: Annotated[str, Parameter(name="--range")] = "",  # noqa: A002 - what the trade calls it
    resolution: str = "",
    grade: str = "",
    check_valve: str = "",
    adapter_volume: str = "",
    hose_volume: str = "",
    opening_pressure: str = "",
    repeatability: str = "",
    by: options.Person = "",
    json: options.AsJson = False,
    book: options.BookPlace = None,
) -> None:
    """
    Put a gauge into the register, or describe one anew.

    Parameters
    ----------
    name
        What the shop calls it.
    range
        Full scale, for example "300 psi".
    resolution
        The smallest step you can read, for example "2 psi".
    grade
        Accuracy grade on the dial: ASME B40.100 (4A to D) or EN 837-1 class (0.1 to 4).
    check_valve
        "plug end" or "gauge end".
    adapter_volume
        For example "2 cc".
    hose_volume
        For example "20 cc".
    opening_pressure
        Pressure at which the check valve opens.
    repeatability
        From a study, for example "0.6 %".
    """
    from ringtrue.cli import show
    from ringtrue.shop.gauges import add_gauge
    from ringtrue.shop.workplace import this_device, this_person, workplace

    place = workplace(book)
    fields = {
        "name": name,
        "range": range,
        "resolution": resolution,
        "grade": grade,
        "check_valve": check_valve,
        "adapter_volume": adapter_volume,
        "hose_volume": hose_volume,
        "opening_pressure": opening_pressure,
        "repeatability": repeatability,
    }
    with place.open_book() as opened:
        gauge, notes = add_gauge(opened, fields, who=this_person(place.settings, by), device=this_device())
    told = f'{gauge.name} is in the register. Use it with --gauge "{gauge.name}".'
    show.done(told, {"gauge": gauge.name, "missing": list(notes)}, json=json)
    show.warnings(notes)


@app.command(name="list")
def list_gauges(*, json: options.AsJson = False, book: options.BookPlace = None) -> None:
    """List the gauges."""
    from ringtrue.cli import show
    from ringtrue.shop.gauges import gauges_told
    from ringtrue.shop.workplace import workplace

    with workplace(book).open_book() as opened:
        told = gauges_told(opened)
    if json:
        show.as_json(told)
    elif told:
        known = [name for name in told[0] if any(gauge[name] for gauge in told)]
        show.rows([name.replace("_", " ") for name in known], [[gauge[name] for name in known] for gauge in told])
    else:
        example = 'ringtrue gauge add "shop gauge" --range "300 psi" --resolution "2 psi"'
        show.sentences([f"There is no gauge in the register yet. Add one: {example}"])
