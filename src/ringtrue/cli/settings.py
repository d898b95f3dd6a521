"""``ringtrue settings``: names, units, paper, thresholds, and where the book is."""

from __future__ import annotations

from cyclopts import App

from ringtrue.cli import options

app = App(name="settings", help="The shop's settings: show them, or set one.", help_format="plaintext")


@app.default
def show_settings(*, json: options.AsJson = False) -> None:
    """Show every setting, and where it stands."""
    from ringtrue.cli import show
    from ringtrue.intake import FIELDS
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
    limits = place.rule_limits()
    if json:
        show.as_json(
            {
                "path": str(place.settings_path),
                "settings": values,
                "limits": {key: value for key, value, _, _ in limits},
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
