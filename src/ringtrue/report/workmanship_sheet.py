"""The charts of the shop's builds as one drawing, to print or to hang up."""

from __future__ import annotations

import re

from ringtrue.history.workmanship import Charted
from ringtrue.report.course_figure import COURSE_HEIGHT, COURSE_WIDTH, course_svg
from ringtrue.report.glyphs import POINT
from ringtrue.report.workmanship_courses import courses

_GAP = 6.0
"""Between one chart and the next. [mm]"""


def drawn_builds(charted: Charted) -> str:
    """
    Draw every chart, one below the other.

    Parameters
    ----------
    charted : Charted
        The builds.

    Returns
    -------
    str
        An ``svg`` document; the same for the same builds.
    """
    wide = COURSE_WIDTH / POINT
    step = (COURSE_HEIGHT + _GAP) / POINT
    parts = []
    for at, course in enumerate(courses(charted)):
        svg = course_svg(course, f"chart-{at + 1}")
        # A drawing within a drawing stands where it is told, in the points of its own size.
        parts.append(re.sub(r"^<svg ", f'<svg x="0" y="{at * step:.2f}" ', svg, count=1))
    tall = len(parts) * step
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}pt" height="{tall:.2f}pt" '
        f'viewBox="0 0 {wide:.2f} {tall:.2f}"><title>Workmanship</title>\n{"".join(parts)}\n</svg>\n'
    )
