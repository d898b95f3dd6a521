"""The commands, by name. Nothing heavy is imported here: ``--help`` answers at once."""

from __future__ import annotations

from cyclopts import App

from ringtrue import __version__
from ringtrue.cli import book, gauge, notebook, pull, report, settings, sheet
from ringtrue.cli.demo import demo
from ringtrue.cli.event import event
from ringtrue.cli.expect import expect
from ringtrue.cli.explain import explain
from ringtrue.cli.judge import enter, judge
from ringtrue.cli.leakdown import leakdown
from ringtrue.cli.normalise import normalise
from ringtrue.cli.owner import forget_owner, owner
from ringtrue.cli.photograph import erase_photograph, on_sheet, photograph
from ringtrue.cli.put_aside import put_aside
from ringtrue.cli.serve import serve
from ringtrue.cli.trend import trend
from ringtrue.cli.why import why
from ringtrue.cli.workmanship import workmanship

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
app.command(demo)
app.command(sheet.app)
app.command(expect)
app.command(report.plan)
app.command(pull.pull)
app.command(judge)
app.command(explain)
app.command(enter)
app.command(leakdown)
app.command(normalise)
app.command(trend)
app.command(why)
app.command(workmanship)
app.command(report.report)
book.app.command(put_aside)
book.app.command(photograph)
book.app.command(on_sheet)
book.app.command(erase_photograph)
book.app.command(owner)
book.app.command(forget_owner, name="forget-owner")
app.command(book.app)
app.command(notebook.app)
app.command(gauge.app)
app.command(event)
app.command(settings.app)
app.command(serve)
