"""The pictures of a sheet. Nothing is computed here."""

from __future__ import annotations

from dataclasses import dataclass

from ringtrue.report.course import Course
from ringtrue.report.course_figure import COURSE_HEIGHT, COURSE_WIDTH, course_svg
from ringtrue.report.engine_figure import engine_svg, placed
from ringtrue.report.running_figure import RUNNING_HEIGHT, RUNNING_WIDTH, running_svg
from ringtrue.report.views import EngineView, RunningView


@dataclass(frozen=True, slots=True)
class Drawing:
    """
    A finished drawing.

    Parameters
    ----------
    svg : str
        An ``svg`` element.
    width, height : float
        Its size on paper. [mm]
    """

    svg: str
    width: float
    height: float


def picture(view: EngineView | RunningView | Course, name: str) -> Drawing:
    """
    Draw what a picture shows.

    Parameters
    ----------
    view : EngineView, RunningView or Course
        What it shows.
    name : str
        Put before every id of the drawing, so that two can stand in one page.

    Returns
    -------
    Drawing
        The same for the same view.
    """
    if isinstance(view, RunningView):
        return Drawing(running_svg(view, name), RUNNING_WIDTH, RUNNING_HEIGHT)
    if isinstance(view, Course):
        return Drawing(course_svg(view, name), COURSE_WIDTH, COURSE_HEIGHT)
    size = placed(view)
    return Drawing(engine_svg(view, name), size.width, size.height)
