"""``ringtrue settings``: names, units, paper, thresholds, and where the book is."""

from __future__ import annotations

from cyclopts import App

from ringtrue.cli import options

app = App(name="settings", help="The shop's settings: show them, or set one.", help_format="plaintext")


@app.default
def show_settings(*, json: options.AsJson = False) -> None:
    """Show every setting, and where it stands."""
    from ringtrue import wording
    from ringtrue.cli import show
    from ringtrue.intake import FIELDS, PRACTICE
    from ringtrue.shop.workplace import workplace

    place = workplace()
    settings = place.settings
    values = {
        "shop.name": settings.shop,
        "shop.builder": settings.builder,
        "units.pressure": settings.pressure,
        "sheet.paper": settings.paper,
        "book.where": place.book,
    }
    limits, figures = place.rule_limits(), place.practice_figures()
    if json:
        show.as_json(
            {
                "path": str(place.settings_path),
                "settings": values,
                "limits": {key: value for key, value, _, _ in limits},
                "practice": {table: {key: value for of, key, value, _ in figures if of == table} for table in PRACTICE},
            }
        )
        return
    show.sentences([f'Settings stand in {place.settings_path}. Change one with: ringtrue settings set shop.name "..."'])
    show.line()
    show.rows(("setting", "value", "what it is"), [(key, values[key] or "not set", FIELDS[key]) for key in FIELDS])
    show.line()
    show.rows(
        ("threshold", "value", "from"),
        [
            (f"limits.{key}", f"{value:g} {unit}".strip(), "this shop" if own else "as published")
            for key, value, unit, own in limits
        ],
    )
    show.line()
    show.rows(
        ("for explain", "value", "what it is", "from"),
        [
            (
                f"{table}.{key}",
                f"{value:g}{' min' if table == 'minutes' else ''}",
                wording.practice_title(table, key),
                "this shop" if own else "common practice" if table == "minutes" else "assumed",
            )
            for table, key, value, own in figures
        ],
    )
    show.line()
    show.bullets(f"{table}: {what}." for table, what in PRACTICE.items())


@app.command(name="set")
def set_setting(key: str, value: str, /, *, json: options.AsJson = False) -> None:
    """
    Set one setting.

    Parameters
    ----------
    key
        For example shop.name, units.pressure, limits.mean_deviation_target.
    value
        What it becomes; "" takes it back.
    """
    from ringtrue.cli import show
    from ringtrue.shop.workplace import workplace

    place = workplace()
    place.set(key, value)
    told = f"{key} = {value or 'not set'} ({place.settings_path})"
    show.done(told, {"setting": key, "value": value, "path": str(place.settings_path)}, json=json)
