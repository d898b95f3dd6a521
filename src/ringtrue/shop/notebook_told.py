"""What is told of a notebook: how it is understood, what would come in, what came in; in words and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ringtrue.compression import Pull
from ringtrue.intake.notebook_map import A_DATE, A_TEST, FROM_TAB, KEEP, LEAVE_OUT, NotebookMap, Role, for_the_next

if TYPE_CHECKING:
    from ringtrue.compression import LeakdownReading
    from ringtrue.intake.notebook_facts import NotebookTest
    from ringtrue.shop.notebook import Brought, Looked

_LEFT_OUT = "Left out, in the book or in this file already"
SHOWN = 5
"""So many tests are shown as they are understood."""
_WHAT = {
    "engine": "the engine",
    "date": "the date",
    "run": "what the engine had run since its build",
    "by": "who took the test",
    "gauge": "the gauge",
    "test note": "a note on the test",
    "cylinder": "the cylinder",
    "final": "the final",
    "first": "the first stroke",
    "wet": "the final with oil",
    "kind": "dry, wet or leakdown",
    "repeat": "which repeat",
    "strokes": "how many compression strokes",
    "note": "a note on the reading",
    A_TEST: "a test: its heading is the date, its cells are the finals",
    KEEP: "kept as it is written, and used for nothing",
    LEAVE_OUT: "left out",
}


def look_lines(found: Looked) -> Iterator[tuple[str, list[str]]]:
    """
    Tell what a look found.

    Parameters
    ----------
    found : Looked
        The notebook.

    Yields
    ------
    (str, list of str)
        A heading and the lines below it.
    """
    whence = {
        "proposed": "proposed from its headings",
        "remembered": "remembered from the last file with these headings",
    }
    told = [*_map_lines(found.map), *(f"{each[0].upper()}{each[1:]}." for each in found.told)]
    yield f"How it is understood ({whence.get(found.whence, f'as {found.whence} says')})", told
    if found.tests:
        yield "The first tests, as they are understood", [test_line(each) for each in found.tests[:SHOWN]]
    yield f"What would come in{', once that is put right' if found.faults else ''}", list(_coming_lines(found))
    if found.left_out:
        yield _LEFT_OUT, _some(found.left_out)
    if found.warnings:
        yield "To know", [f"{each[0].upper()}{each[1:]}." for each in found.warnings]


def _some(lines: tuple[str, ...], most: int = 20) -> list[str]:
    more = [f"... and {len(lines) - most} more"] if len(lines) > most else []
    return [*(f"{each}." for each in lines[:most]), *more]


def _map_lines(how: NotebookMap) -> Iterator[str]:
    row = {"a reading": "one reading", "a cylinder": "one cylinder, with a test in each dated column"}
    yield f"A row is {row.get(how.form, 'one test, with a column for each cylinder')}."
    for heading, role in how.columns.items():
        yield f"{'A heading that is a date' if heading == A_DATE else f'“{heading}”'} is {_what(role)}."
    if how.engine:
        yield (
            "The engine is the name on the worksheet's tab."
            if how.engine == FROM_TAB
            else f"Every row is of {how.engine}."
        )
    if how.dates:
        yield f"A date such as 03/04/2004 has the {how.dates.value.replace(' first', '')} first."
    if how.unit:
        yield f"Pressures are in {how.unit} where nothing else is said."
    if how.run_unit:
        yield f"What the engine had run is in {how.run_unit} where nothing else is said."
    if how.blank:
        yield "A blank engine or date is that of the row above."
    for name, meant in how.engines.items():
        yield f"Engine {name} of the notebook is {meant}."
    if how.leave_rows:
        yield f"Rows named {' or '.join(how.leave_rows)} are left out."


def _what(role: Role) -> str:
    return f"{_WHAT[role.what]} of cylinder {role.cylinder}" if role.cylinder else _WHAT[role.what]


def test_line(test: NotebookTest) -> str:
    """
    Tell one test as it is understood.

    Parameters
    ----------
    test : NotebookTest
        The test.

    Returns
    -------
    str
        Where it stands, and what it says.
    """
    run = f", {test.run} since the build" if test.run else ""
    by = f", by {test.by}" if test.by else ""
    gauge = f", gauge {test.gauge}" if test.gauge else ""
    return (
        f"{test.where}: {test.engine}, {test.date.isoformat()}{run}{by}{gauge}: {'; '.join(map(_reading, test.rows))}"
    )


def _reading(row: Pull | LeakdownReading) -> str:
    if not isinstance(row, Pull):
        return f"cylinder {row.cylinder} leak-down, held {row.held or 'not read'} of {row.supply or 'not read'}"
    first = f"first {row.first}, " if row.first else ""
    repeat = f" repeat {row.repeat}" if row.repeat else ""
    wet = " wet" if row.kind.value == "wet" else ""
    return f"cylinder {row.cylinder}{repeat}{wet} {first}{row.final or 'not read'}"


def _coming_lines(found: Looked) -> Iterator[str]:
    came = f"{_many(len(found.coming), 'test')} with {_many(found.readings, 'reading')}."
    yield came if found.coming else "Nothing."
    for each in found.engines:
        if each.tests:
            state = "new to the book" if each.new else "in the book"
            key = f" ({each.key})" if each.key != each.name else ""
            yield f"{each.name or each.key}{key}, {state}: {_many(each.tests, 'test')}, build sheet: {each.sheet}."


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def as_json(found: Looked) -> dict[str, Any]:
    """
    Tell a program what a look found.

    Parameters
    ----------
    found : Looked
        The notebook.

    Returns
    -------
    dict
        As ``docs/guide/json.md`` describes it.
    """
    return {
        "file": found.file,
        "sha256": found.sha256,
        "mapping": found.whence,
        "row": found.map.form,
        "columns": {heading: str(role) for heading, role in found.map.columns.items()},
        "tests": len(found.coming),
        "readings": found.readings,
        "engines": [
            {"engine": each.key, "name": each.name, "new": each.new, "tests": each.tests} for each in found.engines
        ],
        "left_out": list(found.left_out),
        "warnings": list(found.warnings),
        "faults": [str(fault) for fault in found.faults],
    }


def brought_lines(done: Brought) -> list[str]:
    """
    Tell what came in.

    Parameters
    ----------
    done : Brought
        What came in.

    Returns
    -------
    list of str
        Sentences.
    """
    came = f"{_many(done.tests, 'test')} with {_many(done.readings, 'reading')}"
    told = [f"Brought in: {came}; engines new to the book: {done.engines}."]
    if done.looked.left_out:
        told.append(f"{_LEFT_OUT}: {_many(len(done.looked.left_out), 'test')}.")
    told.append("How its columns are understood is remembered for the next file with these headings.")
    if for_the_next(done.looked.map) != done.looked.map:
        told.append("What was allowed, and which engine or worksheets it was, held for this file alone.")
    return told


def brought_json(done: Brought) -> dict[str, Any]:
    """
    Tell a program what came in.

    Parameters
    ----------
    done : Brought
        What came in.

    Returns
    -------
    dict
        As ``docs/guide/json.md`` describes it.
    """
    return {
        "tests": done.tests,
        "readings": done.readings,
        "new_engines": done.engines,
        "left_out": list(done.looked.left_out),
        "warnings": list(done.looked.warnings),
    }
