"""A study of a gauge as a course: every reading beside the mean of its cylinder, person by person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from statistics import fmean

from ringtrue.compression import StudyReading
from ringtrue.report.course import Axis, Counts, Course, Figures, Limit, Line, Spot, Stroke, told_apart
from ringtrue.report.palette import INK


def study_course(readings: Sequence[StudyReading], says: str) -> Course:
    """
    Show a study.

    Parameters
    ----------
    readings : sequence of StudyReading
        All of them, above zero.
    says : str
        What it shows, in a sentence.

    Returns
    -------
    Course
        How far each reading lies from the mean of its cylinder [%], cylinder after cylinder; a mark a person. What
        lies apart within a person is how a pull repeats, what lies apart between marks is between people.
    """
    cylinders = list(dict.fromkeys(each.cylinder for each in readings))
    people = list(dict.fromkeys(each.person for each in readings))
    means = {name: fmean(each.final.pressure for each in readings if each.cylinder == name) for name in cylinders}
    lines = []
    for at, person in enumerate(people):
        aside = 0.12 * (at - (len(people) - 1) / 2)
        own = [each for each in readings if each.person == person]
        spots = sorted(
            (
                Spot(
                    cylinders.index(each.cylinder) + 1 + aside,
                    100 * (each.final.pressure / means[each.cylinder] - 1),
                    says=f"cylinder {each.cylinder}, {person or 'one person'}, repeat {each.repeat}: {each.final}",
                )
                for each in own
            ),
            key=lambda spot: spot.x,
        )
        lines.append(Line(person or "one person", tuple(spots)))
    rows = tuple(
        (
            each.cylinder,
            each.person or "one person",
            str(each.repeat),
            str(each.final),
            f"{100 * (each.final.pressure / means[each.cylinder] - 1):+.2f} %",
        )
        for each in sorted(readings, key=lambda each: (cylinders.index(each.cylinder), people.index(each.person)))
    )
    return Course(
        title="Every reading beside the mean of its cylinder",
        says=says,
        across=Axis(f"cylinder: {', '.join(cylinders)}", Counts.WHOLE),
        up=Axis("from the mean of the cylinder [%]"),
        lines=tuple(replace(line, stroke=Stroke.NONE) for line in told_apart(tuple(lines))),
        figures=Figures("The readings of the study", ("cylinder", "read by", "repeat", "final", "from the mean"), rows),
        limits=(Limit(0.0, "mean of the cylinder", INK),),
    )
