"""The shop's builds as courses: single builds, moving range, the average that forgets, and the sums."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ringtrue import wording
from ringtrue.history.workmanship import Charted
from ringtrue.report.course import Axis, Band, Counts, Course, Figures, Limit, Line, Occasion, Shape, Spot, Stroke
from ringtrue.report.palette import ACCENT, HIGH, INK, LOW, QUIET

_ACROSS = Axis("build, in order of hand-over", Counts.WHOLE)
_UP = "mean deviation at hand-over [% of the mean]"
_MOST_GAUGES = 6
"""More changes of gauge than these are left to the table: their names would lie on one another."""


def courses(charted: Charted) -> tuple[Course, ...]:
    """
    Describe the charts.

    Parameters
    ----------
    charted : Charted
        The builds.

    Returns
    -------
    tuple of Course
        Single builds; moving range; and, where there are builds after the baseline, average and sums.
    """
    drawn = (_single(charted), _ranges(charted))
    return drawn if len(charted.builds) == charted.baseline else (*drawn, _average(charted), _sums(charted))


def _single(charted: Charted) -> Course:
    upper, names = charted.upper, [each.name for each in charted.builds]
    spots = []
    for at, value in enumerate(charted.evened):
        out = value > upper
        spots.append(
            Spot(
                at + 1,
                value,
                shape=Shape.UP if out else None,
                ink=LOW if out else None,
                says=f"Build {at + 1}, {names[at]}, {charted.builds[at].date}: {wording.percent(value)}",
                name=f"{at + 1}: {names[at]}" if out else "",
            )
        )
    out_of = [spot.name for spot in spots if spot.name]
    ends = (0.5, len(spots) + 0.5)
    return Course(
        title="Each build at its hand-over",
        says=(
            f"Mean deviation of {len(spots)} builds; a single one is expected below {wording.percent(upper)}. "
            f"{f'Above it: {wording.listed(out_of)}.' if out_of else 'None is above it.'}"
        ),
        across=_ACROSS,
        up=Axis(_UP, low=0.0),
        lines=(Line("mean deviation of a build", tuple(spots), INK),),
        bands=(Band("what the baseline leads one to expect", tuple((x, 0.0, upper) for x in ends)),),
        limits=(
            Limit(upper, f"limit of a single build {wording.percent(upper)}"),
            Limit(charted.middle, f"typical of the baseline {wording.percent(charted.middle)}", QUIET, Stroke.DOTTED),
        ),
        occasions=(*_baseline(charted), *_gauges(charted)),
        figures=Figures(
            "Mean deviation of each build, the latest first",
            ("build", "engine", "handed over", "mean deviation", "read with"),
            tuple(
                (f"{at + 1}", each.name, each.date, wording.percent(charted.evened[at]), each.gauge or "not said")
                for at, each in reversed(list(enumerate(charted.builds)))
            ),
        ),
    )


def _baseline(charted: Charted) -> Iterator[Occasion]:
    if len(charted.builds) > charted.baseline:
        yield Occasion(charted.baseline + 0.5, "baseline ends")


def _gauges(charted: Charted) -> tuple[Occasion, ...]:
    gauges = [each.gauge for each in charted.builds]
    changed = [at for at in range(1, len(gauges)) if gauges[at] and gauges[at - 1] and gauges[at] != gauges[at - 1]]
    return tuple(Occasion(at + 0.5, f"now {gauges[at]}") for at in changed) if len(changed) <= _MOST_GAUGES else ()


def _ranges(charted: Charted) -> Course:
    # In roots, as they are charted; a root of a percentage has no unit that anybody knows.
    sigma = charted.single.sigma
    values = [each / sigma for each in charted.single.ranges]
    upper = charted.single.range_upper / sigma
    spots = tuple(
        Spot(at, value, shape=Shape.UP if value > upper else None, ink=LOW if value > upper else None)
        for at, value in enumerate(values, 2)
    )
    above = [f"{at}" for at, value in enumerate(values, 2) if value > upper]
    return Course(
        title="Each build beside the one before it (moving range)",
        says=(
            "Moving range of the roots. "
            f"{f'Above its limit at build {wording.listed(above)}.' if above else 'None is above its limit.'}"
        ),
        across=_ACROSS,
        up=Axis("difference from the build before [standard deviations]", low=0.0),
        lines=(Line("moving range", spots, ACCENT),),
        limits=(
            Limit(upper, f"limit {wording.figure(upper, 1)}"),
            Limit(charted.single.range_mean / sigma, "mean of the baseline", QUIET, Stroke.DOTTED),
        ),
        figures=_table("Moving range of each build", "moving range [standard deviations]", values, 2),
    )


def _average(charted: Charted) -> Course:
    first, average = charted.baseline + 1, charted.average
    rows = list(zip(average.lower, average.values, average.upper, strict=True))
    spots = tuple(
        Spot(
            at,
            value**2,
            shape=Shape.UP if value > upper else Shape.DOWN if value < lower else None,
            ink=LOW if value > upper else HIGH if value < lower else None,
            says=f"After build {at}: {wording.percent(value**2)}",
        )
        for at, (lower, value, upper) in enumerate(rows, first)
    )
    out = [f"{at}" for at, (lower, value, upper) in enumerate(rows, first) if not lower <= value <= upper]
    return Course(
        title="Average of the latest builds, the newest counting most (EWMA)",
        says=(
            "The average after the baseline. "
            f"{f'Outside its limits at build {wording.listed(out)}.' if out else 'It stays within its limits.'}"
        ),
        across=_ACROSS,
        up=Axis("average mean deviation [% of the mean]", low=0.0),
        lines=(Line("average of the latest builds", spots, ACCENT, Shape.DOT),),
        bands=(
            Band(
                "limits of the average",
                tuple((at, max(lower, 0.0) ** 2, upper**2) for at, (lower, _, upper) in enumerate(rows, first)),
            ),
        ),
        limits=(Limit(charted.middle, f"baseline {wording.percent(charted.middle)}", QUIET, Stroke.DOTTED),),
        figures=_table("The average after each build", "average", [wording.percent(each.y) for each in spots], first),
    )


def _sums(charted: Charted) -> Course:
    first, far = charted.baseline + 1, charted.reach.sums
    above, below = charted.sums.above, charted.sums.below
    limit = wording.figure(far, 1)
    out = [f"{at}" for at, pair in enumerate(zip(above, below, strict=True), first) if max(pair) > far]
    rows = tuple(
        (f"{at}", wording.figure(up, 1), wording.figure(down, 1))
        for at, (up, down) in reversed(list(enumerate(zip(above, below, strict=True), first)))
    )
    return Course(
        title="Sums of what is wider apart and what is more alike (CUSUM)",
        says=(
            "Sums after the baseline. "
            f"{f'Beyond a limit at build {wording.listed(out)}.' if out else 'Neither reaches its limit.'}"
        ),
        across=_ACROSS,
        up=Axis("sum [standard deviations]"),
        lines=(
            Line("wider apart", tuple(Spot(at, each) for at, each in enumerate(above, first)), LOW, Shape.UP),
            Line(
                "more alike",
                tuple(Spot(at, -each) for at, each in enumerate(below, first)),
                HIGH,
                Shape.DOWN,
                Stroke.DASHED,
            ),
        ),
        limits=(
            Limit(far, f"limit {limit}"),
            Limit(-far, f"limit \u2212{limit}"),
            Limit(0.0, "baseline", QUIET, Stroke.DOTTED),
        ),
        figures=Figures("The sums after each build, the latest first", ("build", "wider apart", "more alike"), rows),
    )


def _table(caption: str, column: str, values: Sequence[float | str], first: int) -> Figures:
    cells = [each if isinstance(each, str) else wording.figure(each, 1) for each in values]
    rows = tuple((f"{at}", cell) for at, cell in reversed(list(enumerate(cells, first))))
    return Figures(f"{caption}, the latest first", ("build", column), rows)
