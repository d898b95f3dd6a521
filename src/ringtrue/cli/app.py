"""The commands, by name. Each one's module is loaded when it is typed, all of them only where all are listed."""

from __future__ import annotations

from cyclopts import App

from ringtrue import __version__

app = App(
    name="ringtrue",
    version=__version__,
    help=(
        "Cranking compression tests for engine builders: plan the test, take it, judge it, record it, hand it over.\n\n"
        "ringtrue advises, it does not certify: the engine's own service data, local codes and licensed practice come "
        "first."
    ),
    help_format="plaintext",
)
app.command("ringtrue.cli.demo:demo")
app.command("ringtrue.cli.sheet:app", name="sheet")
app.command("ringtrue.cli.expect:expect")
app.command("ringtrue.cli.report:plan")
app.command("ringtrue.cli.pull:pull")
app.command("ringtrue.cli.judge:judge")
app.command("ringtrue.cli.explain:explain")
app.command("ringtrue.cli.judge:enter")
app.command("ringtrue.cli.leakdown:leakdown")
app.command("ringtrue.cli.normalise:normalise")
app.command("ringtrue.cli.trend:trend")
app.command("ringtrue.cli.why:why")
app.command("ringtrue.cli.workmanship:workmanship")
app.command("ringtrue.cli.report:report")
app.command("ringtrue.cli.book:app", name="book")
app.command("ringtrue.cli.notebook:app", name="notebook")
app.command("ringtrue.cli.gauge:app", name="gauge")
app.command("ringtrue.cli.event:event")
app.command("ringtrue.cli.settings:app", name="settings")
app.command("ringtrue.cli.serve:serve")


def load_all() -> App:
    """Return the commands with every module loaded, for a list that tells what each is for."""
    app.resolved_commands()
    return app
