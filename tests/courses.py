"""Courses of invented figures, as pages and sheets show them; between them they have all that a course can have."""

from __future__ import annotations

from ringtrue.report.course import (
    Axis,
    Band,
    Counts,
    Course,
    Figures,
    Limit,
    Line,
    Occasion,
    Shape,
    Spot,
    Stroke,
    told_apart,
)
from ringtrue.report.palette import HIGH, INK, LOW, QUIET

HOSTILE = "</script><script>document.title='taken'</script><!--"


def builds(name: str = "L") -> Course:
    """Return a control chart of builds, one of them out."""
    values = (0.8, 1.1, 0.7, 1.4, 0.9, 0.6, 1.2, 0.9, 1.0, 0.8, 3.6, 0.9)
    spots = tuple(
        Spot(
            at,
            each,
            low=each - 0.3,
            high=each + 0.3,
            shape=Shape.UP if each > 3 else None,
            ink=LOW if each > 3 else None,
            says=f"build {at} (engine {name}): {each} %",
            name=name if each > 3 else "",
        )
        for at, each in enumerate(values, 1)
    )
    return Course(
        title="Mean deviation at hand-over, build by build",
        says=f"Twelve builds between 0.6 and 3.6 %; build 11 (engine {name}) is above the limit of 2.4 %.",
        across=Axis("build, in order of hand-over", Counts.WHOLE),
        up=Axis("mean deviation [% of the mean]", low=0.0),
        lines=(Line("mean deviation of one build", spots),),
        bands=(Band("what the builds before lead one to expect", ((0.5, 0.3, 2.4), (12.5, 0.3, 2.4))),),
        limits=(
            Limit(2.4, "upper limit 2.4 %"),
            Limit(0.98, "middle 0.98 %", QUIET, Stroke.DOTTED),
            Limit(10.0, "trouble from 10 % (common practice)"),
        ),
        figures=Figures(
            "Mean deviation of each build",
            ("build", "engine", "mean deviation"),
            tuple((f"{at}", name if at == 11 else f"engine {at}", f"{each} %") for at, each in enumerate(values, 1)),
        ),
    )


def years(name: str = "oil change") -> Course:
    """Return eight cylinders over four tests, by date, with what was done in between."""
    days = (19_000.0, 19_200.0, 19_500.0, 20_050.0)
    falls = (0.0, 0.2, 0.1, 0.3, 9.5, 0.4, 0.2, 0.35)
    lines = tuple(
        Line(
            f"cylinder {at}",
            tuple(
                Spot(day, y := 150.0 + at / 3 - fall * step, y - 2.0, y + 2.0, says=f"cylinder {at}: {y:.0f} psi")
                for step, day in enumerate(days)
            ),
        )
        for at, fall in enumerate(falls, 1)
    )
    return Course(
        title="Each cylinder at standard conditions",
        says="Cylinder 5 falls from 152 to 123 psi over four tests; the others keep level.",
        across=Axis("date of the test", Counts.DATE),
        up=Axis("final, carried to the same day [psi]"),
        lines=told_apart(lines),
        limits=(Limit(120.0, "service minimum 120 psi", INK),),
        occasions=(Occasion(19_100.0, name), Occasion(19_105.0, "head re-torqued"), Occasion(19_900.0, "valve job")),
        figures=Figures(
            "Finals carried to the same day",
            ("cylinder", "first", "last"),
            tuple((line.label, f"{line.spots[0].y:.0f} psi", f"{line.spots[-1].y:.0f} psi") for line in lines),
        ),
    )


def drift() -> Course:
    """Return a sum that crosses its limit, as steps of two lines without points in between."""
    up = (0.0, 0.4, 0.9, 1.6, 2.0, 2.9, 3.8, 5.1)
    return Course(
        title="Sums of what builds are above and below the middle",
        says="The upper sum crosses 4.2 at build 8.",
        across=Axis("build, in order of hand-over", Counts.WHOLE),
        up=Axis("sum, in standard deviations [-]"),
        lines=(
            Line("upper sum", tuple(Spot(at, y) for at, y in enumerate(up, 1)), LOW, Shape.UP),
            Line("lower sum", tuple(Spot(at, -y / 4) for at, y in enumerate(up, 1)), HIGH, Shape.DOWN, Stroke.DASHED),
        ),
        limits=(Limit(4.2, "4.2"), Limit(-4.2, "\u22124.2")),
        figures=Figures("Sums", ("build", "upper sum"), tuple((f"{at}", f"{y}") for at, y in enumerate(up, 1))),
    )
