"""An engine over time, told: the same sentences for terminal, page and sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringtrue import wording
from ringtrue.compression import Kind
from ringtrue.measure.limits import OFF_THE_MEDIAN

if TYPE_CHECKING:
    from ringtrue.shop.trending import Followed


@dataclass(frozen=True, slots=True)
class Part:
    """
    Sentences under one title.

    Parameters
    ----------
    title : str
        What they are about.
    sentences : tuple of str
        At least one.
    """

    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """
    An engine over time in words.

    Parameters
    ----------
    headline : str
        What became of it.
    about : tuple of str
        What is compared with what, and under which conditions.
    parts : tuple of Part
        The rest; parts of which there is nothing to say are left out.
    """

    headline: str
    about: tuple[str, ...]
    parts: tuple[Part, ...]


def told(found: Followed) -> Told:
    """
    Tell an engine over time.

    Parameters
    ----------
    found : Followed
        The engine.

    Returns
    -------
    Told
        Sentences.
    """
    first = wording.trend_headline(found.latest, len(found.since), found.baseline)
    return Told(first, tuple(_about(found)), tuple(_parts(found)))


def in_short(found: Followed) -> tuple[str, ...]:
    """
    Tell an engine over time in as few sentences as a sheet has room for.

    Parameters
    ----------
    found : Followed
        The engine, its latest test beside the baseline.

    Returns
    -------
    tuple of str
        What became of it, which the baseline is, what changed, and which limits are in sight.
    """
    words = told(found)
    changed = wording.change_sentences(found.latest) if found.latest is not None else ()
    ahead: tuple[str, ...] = ()
    if (
        found.outlook is not None
        and found.placed is not None
        and any(each.in_sight for each in found.outlook.forecasts)
    ):
        placed = found.placed
        ahead = wording.outlook_sentences(found.outlook, placed.axis, placed.unit, found.unit, tests=len(found.since))
    return words.headline, words.about[0], *changed, *ahead


def _about(found: Followed) -> Iterator[str]:
    baseline = found.course[found.baseline]
    yield f"Baseline: {baseline.label}, {found.baseline_why}."
    if off := _off(found):
        yield (
            f"At the baseline {wording.cylinders(off)} read more than {100 * OFF_THE_MEDIAN:.0f} % from the middle of "
            "all. Where that was put right since, write the work into the log as a new baseline: else the repair is "
            "told as a change."
        )
    if found.not_carried:
        yield (
            f"Finals are as they were read, not carried to one day: {found.not_carried}. What became of the engine as "
            "a whole cannot be told; cylinders beside their siblings can."
        )
    else:
        yield wording.carried_to(found.to, found.to_gauge)
    calibrated = [each.test.gauge for each in found.course if each.test.gauge and each.test.gauge.calibration]
    for name in dict.fromkeys(gauge.name for gauge in calibrated):
        yield f"Readings of gauge {name} are corrected by its calibration; the book has them as they were read."
    for each in found.left_out:
        yield f"Left out: test {each.test_id}{f' of {each.date}' if each.date else ''}; {each.why}."


def _off(found: Followed) -> list[str]:
    """Return the cylinders that were out of line at the baseline."""
    carried = found.tests[found.baseline]
    reach = OFF_THE_MEDIAN * carried.middle_read
    return [
        each.cylinder
        for each in carried.cylinders
        if each.read is not None and abs(each.read - carried.middle_read) > reach
    ]


def _parts(found: Followed) -> Iterator[Part]:
    latest, at = found.latest, len(found.tests) - 1
    if latest is not None:
        yield Part(f"Since the baseline, by {found.course[at].label}", wording.change_sentences(latest))
    if found.placed is not None and found.trend.lines is not None:
        axis, unit, tests = found.placed.axis, found.placed.unit, len(found.since)
        yield Part("How fast", wording.rate_sentences(found.trend, axis, unit, tests))
        if found.outlook is not None:
            yield Part(
                "Where that leads", wording.outlook_sentences(found.outlook, axis, unit, found.unit, tests=tests)
            )
    elif len(found.since) > 1:
        yield Part(
            "How fast",
            (
                "No rate: neither miles, hours nor days were noted of all tests in a way that goes forward."
                if found.placed is None
                else "No rate: it takes two tests at two places, of whose gauges it is known how they err.",
            ),
        )
    if done := tuple(_done(found)):
        yield Part("What was done, and what it changed", done)
    if seen := _seen(found):
        yield Part("What a next test can see", seen)
    if latest is not None:
        first = found.course[found.baseline].test
        sentences = wording.trust_sentences(
            latest, first.conditions, found.course[at].test.conditions, oil_agreed=False
        )
        yield Part("How far to trust it", tuple(each.replace(" Say --oil to carry it too.", "") for each in sentences))


def _done(found: Followed) -> Iterator[str]:
    shown = {id(event) for each in found.between for event in each.events}
    for each in found.between:
        before, after = found.course[each.before], found.course[each.after]
        what = "; ".join(wording.event_text(event.text, event.at, event.date) for event in each.events)
        yield f"{what}. From {before.label} to {after.label}: {wording.change_in_short(each.change)}"
    for event in found.events:
        if id(event) not in shown:
            yield f"{wording.event_text(event.text, event.at, event.date)}. No test on either side of it."


def _seen(found: Followed) -> tuple[str, ...]:
    gauge = found.course[-1].test.gauge
    if gauge is None or not found.sights:
        return (
            "How the gauge errs is not known: nothing can be said of what a next test would see. Describe the gauge.",
        )
    series = found.course[found.baseline].test.series(Kind.DRY)
    return wording.sight_sentences(found.sights, gauge.name, len(series.cylinders) if series else 0)
