"""A study of a gauge: planned, worked out, kept."""

from __future__ import annotations

import csv
import io
import math
import random
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from ringtrue.compression import Gauge, Study
from ringtrue.errors import Fault, GaugeRefused, ReadingsRefused
from ringtrue.intake import read_bytes
from ringtrue.intake.small_table import LARGEST_FILE, Typed
from ringtrue.intake.study_file import MOST_READINGS, MOST_REPEATS, StudyFile, apart, read_study
from ringtrue.intake.test_file import WORST_REPEATABILITY
from ringtrue.measure.correcting import gauge_curve
from ringtrue.measure.study import ByRanges, StudyFound, by_ranges, study
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit


@dataclass(frozen=True, slots=True)
class Studied:
    """
    A study, worked out.

    Parameters
    ----------
    file : StudyFile
        What was read.
    found : StudyFound
        What it shows, of logarithms: shares of the reading.
    ranges : ByRanges or None
        The same by averages and ranges, where that can be done.
    gauge : Gauge or None
        The gauge, where it was named.
    date : str
        ISO date of the study.
    mean : float
        Mean of all finals, as read. [Pa gauge]
    warnings : tuple of str
        What the person should know.
    """

    file: StudyFile
    found: StudyFound
    ranges: ByRanges | None
    gauge: Gauge | None
    date: str
    mean: float
    warnings: tuple[str, ...]

    @property
    def unit(self) -> Unit:
        """The unit of its first final."""
        return gauge_unit(find_unit(self.file.readings[0].final.unit, Dimension.PRESSURE))

    def with_it(self, gauge: Gauge) -> Gauge:
        """
        Return the gauge with the repeatability that the study found.

        Parameters
        ----------
        gauge : Gauge
            As it was known before.

        Returns
        -------
        Gauge
            As it is to stand from here on.

        Raises
        ------
        GaugeRefused
            The study shows no scatter, or far too much.
        """
        own = self.found.one_pull
        if own <= 0:
            raise GaugeRefused.of(
                "repeatability 0 %",
                "every repeat read the same: the gauge's step hides its scatter, and 0 would be taken for perfect",
                "keep the usual assumption, or read the gauge finer (half divisions) in a study of more repeats",
            )
        if own >= WORST_REPEATABILITY:
            why = "a gauge that repeats no better than 20 % measures nothing"
            raise GaugeRefused.of(f"repeatability {100 * own:.1f} %", why, "check the readings of the study")
        shape = Study(self.date, self.found.cylinders, self.found.people, self.found.repeats, self.file.readings)
        return replace(gauge, repeatability=own, study=shape)


def write_study(found: Studied, path: Path) -> None:
    """
    Draw a study.

    Parameters
    ----------
    found : Studied
        What it shows.
    path : Path
        Ends in ``.svg``.

    Raises
    ------
    CannotWrite
        It does not, or cannot be written there.
    """
    from ringtrue.report.course_figure import course_svg
    from ringtrue.report.study_course import study_course
    from ringtrue.shop.expecting import must_be_a_drawing
    from ringtrue.shop.workplace import write_file
    from ringtrue.wording import study_sentences

    must_be_a_drawing(path)
    course = study_course(found.file.readings, study_sentences(found.found)[0])
    write_file(path, course_svg(course, "study").encode())


def study_file(path: Path, typed: Typed, gauge: Gauge | None, date: str = "", *, names_right: bool = False) -> Studied:
    """
    Read a study file and work it out; nothing is kept.

    Parameters
    ----------
    path : Path
        CSV, XLSX or JSON.
    typed : Typed
        How it is written.
    gauge : Gauge or None
        The gauge that was used, where it is named.
    date : str
        The day, where the file does not say it; today where nobody does.
    names_right : bool
        People whose names look alike are different people.

    Returns
    -------
    Studied
        What it shows.

    Raises
    ------
    ReadingsRefused
        It cannot be used; every fault is told at once.
    """
    raw = read_bytes(path, ReadingsRefused, largest=LARGEST_FILE)
    return study_bytes(path.name, raw, typed, gauge, date, names_right=names_right)


def study_bytes(
    name: str, raw: bytes, typed: Typed, gauge: Gauge | None, date: str = "", *, names_right: bool = False
) -> Studied:
    """
    Do the same with a file that was handed in.

    Parameters
    ----------
    name : str
        Its name.
    raw : bytes
        What it holds.
    typed, gauge, date, names_right
        As in `study_file`.

    Returns
    -------
    Studied
        What it shows.

    Raises
    ------
    ReadingsRefused
        It cannot be used; every fault is told at once.
    """
    file = read_study(Path(name), raw, typed, gauge, names_right=names_right)
    return worked_out(file, gauge, _day(date, file.date))


def _day(said: str, in_file: str) -> str:
    today = datetime.now(UTC).astimezone().date().isoformat()
    if said and in_file and said != in_file:
        raise ReadingsRefused.of(said, f"the file says {in_file}", "keep one of them", "date")
    day = said or in_file or today
    try:
        day = datetime.fromisoformat(day).date().isoformat()
    except ValueError:
        raise ReadingsRefused.of(
            f"“{day}”", "this is a day", "write year, month, day, such as 2026-05-14", "date"
        ) from None
    if day > today:
        raise ReadingsRefused.of(day, f"that is in the future; today is {today}", "correct it", "date")
    return day


def worked_out(file: StudyFile, gauge: Gauge | None, date: str) -> Studied:
    """
    Work out what a study shows.

    Parameters
    ----------
    file : StudyFile
        What was read.
    gauge : Gauge or None
        The gauge that was used: its calibration corrects the finals first.
    date : str
        ISO date of the study.

    Returns
    -------
    Studied
        What it shows.
    """
    curve = gauge_curve(gauge) if gauge is not None else None
    cells: dict[tuple[str, str], list[tuple[int, float]]] = {}
    for each in file.readings:
        final = each.final.pressure + (curve.correction(each.final.pressure) if curve else 0.0)
        cells.setdefault((each.cylinder, each.person), []).append((each.repeat, math.log(max(final, 1.0))))
    table = [
        [[value for _, value in sorted(cells[(cylinder, person)])] for person in file.people]
        for cylinder in file.cylinders
    ]
    warnings = list(file.warnings)
    if far := apart(file):
        warnings.append(
            f"repeats that differ by more than 20 % are a misread rather than scatter; look at {'; '.join(far)}"
        )
    mean = math.fsum(each.final.pressure for each in file.readings) / len(file.readings)
    return Studied(file, study(table), by_ranges(table), gauge, date, mean, tuple(warnings))


@dataclass(frozen=True, slots=True)
class Order:
    """
    In which order a study is to be pulled.

    Parameters
    ----------
    pulls : tuple of (str, str, int)
        Cylinder, person, repeat.
    seed : int
        Of the order: the same seed gives the same order.
    unit : str
        Unit of the finals that will be written.
    """

    pulls: tuple[tuple[str, str, int], ...]
    seed: int
    unit: str

    def as_csv(self) -> str:
        """Return a file to fill in, which `read_study` reads."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        people = any(person for _, person, _ in self.pulls)
        writer.writerow(["pull", "cylinder", *(["read_by"] if people else []), "repeat", f"final [{self.unit}]"])
        for number, (cylinder, person, repeat) in enumerate(self.pulls, 1):
            writer.writerow([number, cylinder, *([person] if people else []), repeat, ""])
        return out.getvalue()


def order_of_study(
    cylinders: Sequence[str], people: Sequence[str], repeats: int, unit: str, seed: int | None = None
) -> Order:
    """
    Lay out a study, every round in an order of its own.

    A round is every cylinder once by every person: what drifts over the day (battery, heat) is then spread over all.

    Parameters
    ----------
    cylinders, people : sequence of str
        Their names; no person for one who does not name himself.
    repeats : int
        How many rounds.
    unit : str
        Unit of the finals.
    seed : int or None
        Of an order that is wanted again; None for one drawn now.

    Returns
    -------
    Order
        The order.

    Raises
    ------
    GaugeRefused
        Too little or too much for a study.
    """
    faults = []
    if len(set(cylinders)) < 2 or len(set(cylinders)) < len(cylinders):  # noqa: PLR2004 - a spread of two
        given = f"cylinders {', '.join(cylinders) or 'none'}"
        faults.append(
            Fault(given, "a study has two cylinders and more, each named once", 'write for example "1;2;3;4"')
        )
    if len(set(people)) < len(people):
        faults.append(Fault(f"people {', '.join(people)}", "somebody is named twice", "name each once"))
    if not 2 <= repeats <= MOST_REPEATS:  # noqa: PLR2004 - to differ from itself
        why = f"a study has 2 to {MOST_REPEATS} repeats"
        faults.append(Fault(f"{repeats} repeats", why, "type for example --repeats 3"))
    if len(cylinders) * max(len(people), 1) * repeats > MOST_READINGS:
        faults.append(Fault("", f"that is more than {MOST_READINGS} pulls", "plan fewer"))
    if faults:
        raise GaugeRefused(*faults)
    seed = secrets.randbelow(10**6) if seed is None else seed
    chance = random.Random(seed)  # noqa: S311 - an order, no secret
    pulls: list[tuple[str, str, int]] = []
    for repeat in range(1, repeats + 1):
        every = [(cylinder, person, repeat) for cylinder in cylinders for person in (people or [""])]
        chance.shuffle(every)
        pulls += every
    return Order(tuple(pulls), seed, unit)
