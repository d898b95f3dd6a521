"""Sentences about the shop's builds: what they are like, what the charts tell, and what goes with even finals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ringtrue.history.builds import Build, Level, level
from ringtrue.history.hand_over import Kinds, Looked
from ringtrue.history.together import Together
from ringtrue.history.workmanship import AHEAD, FALSE_SIGNALS, FEWEST, Chart, Charted, Signal
from ringtrue.sources import source
from ringtrue.wording.numbers import figure, percent

BUILDS_HEAD = ("build", "engine", "handed over", "cylinders", "mean deviation", "gauge alone", "test")
"""Columns of the builds."""

KINDS_HEAD = ("", "builds", "typical mean deviation", "95 % interval")
"""Columns of the kinds."""

CAUTION = (
    "Few builds prove little, and what goes together need not cause one another: a change of rings often comes "
    "with another "
    "change. It says where to look, not what to do."
)
"""Stands wherever something is said to go together."""

_KIND_TITLES: Mapping[str, str] = {
    "family": "By family",
    "rings": "By rings",
    "gasket": "By head gasket",
    "builder": "By who took the test",
}
_KIND_NAMES: Mapping[str, str] = {
    "family": "families",
    "rings": "kinds of rings",
    "gasket": "kinds of head gasket",
    "builder": "people who took the test",
}
_MEASURED_NAMES: Mapping[str, str] = {
    "ring gap": "end gap of the top ring over the bore",
    "spread of ring gaps": "spread of the measured ring gaps",
    "spread of chambers": "spread of the measured chambers",
    "spread of bores": "spread of the measured bores",
}
_WITHIN_NAMES: Mapping[str, tuple[str, str]] = {
    "chamber and final": ("a larger measured chamber", "final"),
    "ring gap and final": ("a wider measured ring gap", "final"),
}
_RULES: Mapping[Chart, str] = {Chart.SINGLE: "individuals", Chart.AVERAGE: "EWMA", Chart.SUMS: "CUSUM"}


def build_name(build: Build, number: int) -> str:
    """
    Name a build.

    Parameters
    ----------
    build : Build
        The build.
    number : int
        Its place among those shown, from 1.

    Returns
    -------
    str
        For the inside of a sentence.

    Examples
    --------
    >>> build_name(Build("0417", "Launch six", "k3v9-t2mq", "2026-05-14", 6, 1.2), 14)
    'build 14 (Launch six, 2026-05-14)'
    """
    return f"build {number} ({build.name}, {build.date})"


def build_rows(builds: Sequence[Build]) -> list[tuple[str, ...]]:
    """
    Write builds as rows.

    Parameters
    ----------
    builds : sequence of Build
        In the order of hand-over.

    Returns
    -------
    list of tuple of str
        Cells below `BUILDS_HEAD`.
    """
    return [
        (
            f"{number}",
            each.name if each.name == each.engine else f"{each.name} ({each.engine})",
            each.date,
            f"{each.cylinders}",
            percent(each.deviation),
            "not known" if each.gauge_alone is None else percent(each.gauge_alone),
            each.test_id,
        )
        for number, each in enumerate(builds, 1)
    ]


def builds_title(builds: Sequence[Build], *, only_last: bool) -> str:
    """
    Say which builds are shown.

    Parameters
    ----------
    builds : sequence of Build
        They, in the order of hand-over.
    only_last : bool
        There are more: these are the last.

    Returns
    -------
    str
        How many, and from when to when.
    """
    count = f"{len(builds)} build{'' if len(builds) == 1 else 's'}"
    span = f", {builds[0].date} to {builds[-1].date}" if builds else ""
    return f"{'The last ' if only_last else ''}{count}{span}"


def only_the_last(instead: str) -> str:
    """
    Say that there are more builds than are shown.

    Parameters
    ----------
    instead : str
        How to see the others, as a clause.

    Returns
    -------
    str
        A sentence.
    """
    return f"There are more builds than these; limits and charts are of these alone. {instead[0].upper()}{instead[1:]}."


def level_sentences(charted: Charted) -> list[str]:
    """
    Say what the builds are like.

    Parameters
    ----------
    charted : Charted
        The builds.

    Returns
    -------
    list of str
        Sentences.
    """
    before, lately = charted.before, charted.lately
    last = charted.builds[charted.baseline - 1].date
    said = [
        (
            f"Baseline: the first {before.count} builds, until {last}. Typical mean deviation {_level(before)}; a "
            "single build is "
            f"expected below {percent(charted.upper)}."
        )
    ]
    if lately is not None:
        said.append(f"The last {lately.count} builds after it: {_level(lately)}.")
    said += [each for each in (_own(before, "the baseline"), lately and _own(lately, "the last builds")) if each]
    if len({each.cylinders for each in charted.builds}) > 1:
        said.append(
            f"Engines of different size are evened to {charted.size} cylinders, for the mean deviation of few is "
            "smaller by "
            "nature; the table has them as read."
        )
    return said


def _level(found: Level) -> str:
    return f"{percent(found.typical)} (95 % interval {_between(found)})"


def _between(found: Level) -> str:
    return f"{percent(found.low).removesuffix(' %')} to {percent(found.high)}"


def _own(found: Level, what: str) -> str:
    if found.own is None:
        return f"How much of {what} is gauge and hand cannot be told: the gauge of a test is not known."
    if found.own == 0:
        return (
            f"Gauge and hand alone would make as much as {what} shows: these builds are as even as can be seen "
            "with them."
        )
    return f"With gauge and hand taken out, about {percent(found.own)} is left of {what} for the engines themselves."


def signal_sentences(charted: Charted) -> list[str]:
    """
    Say what the charts tell.

    Parameters
    ----------
    charted : Charted
        The builds.

    Returns
    -------
    list of str
        A paragraph for each signal; one that says so where there is none.
    """
    if not charted.signals:
        return [
            (
                "No chart tells of a change: every build is within what the baseline leads one to expect, and no "
                "drift is seen."
            )
        ]
    said = [_signal(charted, each) for each in charted.signals]
    if any(each.wider and each.chart is not Chart.SINGLE and not each.may_be_gauge for each in charted.signals):
        said.append("Ask what changed about then: rings, honing, gaskets, gauge, hands.")
    return said


def _signal(charted: Charted, each: Signal) -> str:
    here = build_name(charted.builds[each.at], each.at + 1)
    apart = "wider apart than" if each.wider else "more alike than"
    if each.chart is Chart.SINGLE:
        value = percent(charted.evened[each.at], limit=charted.upper)
        said = (
            f"{here[0].upper()}{here[1:]} is outside what the builds of the baseline would lead one to expect: "
            f"mean deviation {value}, expected below {percent(charted.upper)}."
        )
        if each.may_be_gauge:
            said += " Too close to call: gauge and hand alone may make as much. Repeat it with three pulls a cylinder."
        return said
    since = build_name(charted.builds[each.began], each.began + 1)
    if each.chart is Chart.AVERAGE:
        said = f"At {here} the average of the latest builds leaves its limits: finals lie {apart} in the baseline."
    else:
        said = (
            f"At {here} the sums tell of a change that began about {since}: "
            f"finals lie {apart} in the baseline since then."
        )
    said += " It still tells so at the last build." if each.lasts else " It is back within limits later."
    if each.may_be_gauge:
        said += " Too close to call: these builds were read with a coarser gauge than the baseline."
    return said


def rule_sentences(charted: Charted) -> list[str]:
    """
    Say by which rules the charts tell, and how often they are wrong.

    Parameters
    ----------
    charted : Charted
        The builds.

    Returns
    -------
    list of str
        Sentences with their sources.
    """
    far = charted.reach
    limits = {
        Chart.SINGLE: f"{figure(far.single, 2)} standard deviations above the middle",
        Chart.AVERAGE: f"{figure(far.average, 2)} standard deviations of the average",
        Chart.SUMS: f"{figure(far.sums, 2)} standard deviations, half of one let pass at each build",
    }
    said = [f"{name.capitalize()}: limit {limits[name]} ({source(rule)})." for name, rule in _RULES.items()]
    said.append(
        f"The roots of the mean deviations are charted, since mean deviations lean to one side. Limits made of "
        f"{charted.baseline} builds lie farther out than usual, so that a shop that stays the same gets a false "
        "signal of a "
        f"chart within {AHEAD} builds about {figure(100 * FALSE_SIGNALS, 0)} times in 100, and of any of them "
        "about 20 times "
        "(simulated by this program)."
    )
    return said


def too_few(count: int) -> str:
    """
    Say that no limits can be drawn.

    Parameters
    ----------
    count : int
        Builds that there are.

    Returns
    -------
    str
        A sentence.
    """
    if count >= FEWEST:
        return "The builds of the baseline all have the same mean deviation: no limits can be made of them."
    there = "There is no build yet" if not count else f"There {'is 1 build' if count == 1 else f'are {count} builds'}"
    return f"{there}: limits are drawn from {FEWEST} on, for fewer cannot tell a change from chance."


def kinds_title(kinds: Kinds) -> str:
    """Return what stands over builds that are parted into kinds."""
    return _KIND_TITLES[kinds.key]


def kinds_rows(kinds: Kinds, size: int) -> list[tuple[str, ...]]:
    """
    Write kinds of builds as rows.

    Parameters
    ----------
    kinds : Kinds
        The builds, parted.
    size : int
        Cylinders to which they are evened.

    Returns
    -------
    list of tuple of str
        Cells below `KINDS_HEAD`.
    """
    rows: list[tuple[str, ...]] = []
    for name, builds in kinds.builds.items():
        found = level(builds, size)
        interval = _between(found) if found.count > 1 else "one build has none"
        rows.append((name, f"{found.count}", percent(found.typical), interval))
    return rows


def looked_sentences(looked: Sequence[Looked]) -> list[str]:
    """
    Say what goes with even finals.

    Parameters
    ----------
    looked : sequence of Looked
        What was looked at, the least likely by chance first.

    Returns
    -------
    list of str
        What was found, then what was looked at without finding anything.
    """
    told = list(_told(each for each in looked if each.told))
    quiet = [_name(each) for each in looked if not each.told]
    if quiet:
        number = "one thing" if len(looked) == 1 else f"{len(looked)} things"
        told.append(
            f"Of {number} looked at, no more than chance makes of {'it' if len(looked) == 1 else 'so many'}: "
            f"{'; '.join(quiet)}."
        )
    return told


def _told(looked: Iterator[Looked]) -> Iterator[str]:
    for each in looked:
        chance = f"by chance {_seldom(each.chance)}, all that was looked at taken into account"
        found = each.found
        if not isinstance(found, Together):
            best = min(found.kinds, key=lambda kind: found.kinds[kind])
            yield f"The {_KIND_NAMES[each.key]} differ: “{best}” has the most even finals ({chance})."
            continue
        numbers = (
            f"rank correlation {figure(found.rank, 2)}, 95 % interval {figure(found.low, 2)} to {figure(found.high, 2)}"
        )
        if found.engines:
            cause, effect = _WITHIN_NAMES[each.key]
            level_word = "higher" if found.rank > 0 else "lower"
            yield (
                f"Within an engine, {cause} goes with a {level_word} {effect} ({numbers}, {found.count} cylinders of "
                f"{found.engines} engines; {chance})."
            )
        else:
            apart = "wider apart" if found.rank > 0 else "more alike"
            yield (
                f"A larger {_MEASURED_NAMES[each.key]} goes with finals that lie {apart} ({numbers}, "
                f"{found.count} builds; "
                f"{chance})."
            )


def _name(each: Looked) -> str:
    found = each.found
    if not isinstance(found, Together):
        return _KIND_NAMES[each.key]
    numbers = f"{figure(found.rank, 2)}, {figure(found.low, 2)} to {figure(found.high, 2)}"
    if found.engines:
        cause, effect = _WITHIN_NAMES[each.key]
        return f"{cause} and {effect} within an engine ({numbers}, {found.count} cylinders)"
    return f"{_MEASURED_NAMES[each.key]} ({numbers}, {found.count} builds)"


def _seldom(chance: float) -> str:
    if chance < 0.001:  # noqa: PLR2004 - digits beyond it say nothing
        return "less than once in 1,000"
    return f"about once in {round(1 / chance):,}"


def left_out_sentences(left_out: Sequence[tuple[str, str, str]], most: int = 10) -> list[str]:
    """
    Say which engines are in no chart, and why.

    Parameters
    ----------
    left_out : sequence of (str, str, str)
        Key, name and reason of each.
    most : int
        So many are named; the rest is counted.

    Returns
    -------
    list of str
        Sentences.
    """
    said = [f"{name or key}{f' ({key})' if name and name != key else ''}: {why}." for key, name, why in left_out[:most]]
    if len(left_out) > most:
        said.append(f"And {len(left_out) - most} more engines.")
    return said
