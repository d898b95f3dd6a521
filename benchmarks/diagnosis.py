"""
How often a fault is named right, and how much what is said of it can be trusted, line by line beside its bar.

Run it as ``python -m benchmarks.diagnosis`` from the top of the project; ``--every 10`` asks one case in ten, for a
look. The cases are those of tests/simulated: engines with known faults, by the full equations, their seeds fixed
beforehand. Nine causes are equally likely, except where a line says as usual. Exit 1 when a bar is broken.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, pairwise
from statistics import fmean
from unittest.mock import patch

from benchmarks.lines import Line, told
from tests.simulated.faults import ENGINE_WIDE, NINE
from tests.simulated.library import EVERYTHING, Case, Group, read
from tests.simulated.scoring import (
    FINALS,
    FIRSTS,
    LEAST,
    MORE,
    SETS,
    USUAL,
    Alarm,
    Said,
    alarm,
    alike,
    asked,
    engine_odds,
    gained,
    leaking,
    of_cylinder,
)
from tests.simulated.shares import bounds, mean_and_error, share

from ringtrue.diagnosis import explain
from ringtrue.diagnosis.causes import Cause
from ringtrue.diagnosis.posterior import Solved, solve
from ringtrue.diagnosis.problem import Problem

BINS = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
ACCURACY = {"leak-down, heard, wet": 0.74, "everything": 0.86}
SURE, EVEN = 0.8, 0.5
SURE_RIGHT = {Group.NINE: 0.95, Group.DIFFERS: 0.90}
COVERAGE = (0.87, 0.95)
FALSE_ALARMS = 0.05
POSTERIOR = 0.050
"""Longest that one posterior of eight cylinders may take, everything known. [s]"""
EIGHT, RUNS = 8, 9

Told = Iterator[Line | str]


def all_sets(case: Case) -> list[Said]:
    """Return what is said with each set of evidence."""
    return [asked(case, evidence) for evidence in SETS.values()]


def usual_path(case: Case) -> float:
    """Return the largest probability of one leak path from finals alone, causes being as likely as is usual."""
    said = of_cylinder(explain(case.test(FINALS), case.build_sheet(), practice=USUAL), case.target)
    paths = (Cause.RINGS, Cause.INTAKE_VALVE, Cause.EXHAUST_VALVE)
    return max(each.probability for each in said.causes if each.cause in paths)


def alarms(case: Case) -> list[Alarm]:
    """Return what is said of a sound engine after a plain test, and with everything known."""
    return [alarm(case, evidence) for evidence in (FIRSTS, EVERYTHING)]


def wide(case: Case) -> list[dict[str, float]]:
    """Return the odds of causes of the whole engine after a plain test, and with everything known."""
    return [engine_odds(case, evidence) for evidence in (FIRSTS, EVERYTHING)]


def judged(name: str, said: Sequence[Said], group: Group) -> Told:
    """Tell how right one set of evidence is."""
    right = sum(each.right for each in said)
    low, high = bounds(right, len(said))
    yield Line(
        f"{name}: named right",
        right / len(said),
        ACCURACY.get(name) if group is Group.NINE else None,
        at_least=True,
    )
    yield f"    of {len(said)}, 95 % between {low:.3f} and {high:.3f}"
    yield Line("    low charge and late closing as one", share(each.right_in_kind for each in said))
    score, error = mean_and_error([each.score for each in said])
    yield f"    mean log score {score:.3f}, standard error {error:.3f}; nine alike would be {-math.log(len(NINE)):.3f}"
    sure = [each.right for each in said if each.sure > SURE]
    if sure:
        yield Line(f"    right where said with more than {SURE}, of {len(sure)}", share(sure))
    leaks = leaking(said)
    yield Line(f"    90 % interval holds the leak's area, of {len(leaks)}", share(each.covered for each in leaks))
    missed = Counter((each.case.cause, each.named) for each in said if not each.right)
    often = ", ".join(f"{true} as {named} {count}" for (true, named), count in missed.most_common(6))
    yield f"    most often mistaken: {often}"


def reliability(said: Sequence[Said]) -> Told:
    """Tell how often answers are right, by how sure they were."""
    yield "answers by their probability, all sets of evidence: count, mean probability, share right, 95 % bounds"
    for low, high in pairwise(BINS):
        inside = [each for each in said if low < each.sure <= high]
        if inside:
            right = sum(each.right for each in inside)
            least, most = bounds(right, len(inside))
            yield (
                f"    {low:4.2f} to {high:4.2f} {len(inside):6d}   {fmean(each.sure for each in inside):.3f}"
                f"   {right / len(inside):.3f}   {least:.3f} to {most:.3f}"
            )


def nine_causes(group: Group, rows: Sequence[Sequence[Said]]) -> Told:
    """Tell everything about the nine causes in one group."""
    by_set = dict(zip(SETS, map(list, zip(*rows, strict=True)), strict=True))
    for name, said in by_set.items():
        yield from judged(name, said, group)
    everyone = [each for said in by_set.values() for each in said]
    yield from reliability(everyone)
    sure = [each.right for each in everyone if each.sure > SURE]
    yield Line(f"answers above {SURE} that are right, all sets", share(sure), SURE_RIGHT[group], at_least=True)
    measured = leaking(each for name, said in by_set.items() if "leak-down" in name for each in said)
    covered = share(each.covered for each in measured)
    bars = COVERAGE if group is Group.NINE else (None, None)
    yield Line(
        "90 % interval holds the leak's area, sets with leak-down: not too seldom", covered, bars[0], at_least=True
    )
    yield Line("    not too often", covered, bars[1])
    paths = share(each.names_a_path for each in by_set["finals"])
    yield Line("finals only: a leak path is named above 0.5", paths, 0.0)
    for some, more in MORE:
        gain, error = gained(by_set[some], by_set[more])
        bar = 0.0 if group is Group.NINE else None
        yield Line(f"log score, {some} -> {more}: {gain:+.3f}; + 2 s.e.", gain + 2 * error, bar, at_least=True)


def sound_engines(rows: Sequence[Sequence[Alarm]]) -> Told:
    """Tell how often a sound engine sends somebody looking, causes being as likely as is usual."""
    for name, said in zip(("finals, firsts", "everything"), zip(*rows, strict=True), strict=True):
        even = [each for each in said if alike(each.case)]
        what = f"false alarms, {name}, mean deviation under 1 % ({len(even)})"
        yield Line(what, share(each.false for each in even), FALSE_ALARMS)
        yield Line(f"    every sound engine ({len(said)})", share(each.false for each in said))
        yield Line("    a cylinder named above 0.5", share(each.named is not None for each in said))
        yield Line("    a check proposed", share(each.sent for each in said))
        yield Line("    a cause of the whole engine likeliest", share(each.engine != "none" for each in said))


def whole_engines(cases: Sequence[Case], rows: Sequence[Sequence[Mapping[str, float]]]) -> Told:
    """Tell how well causes of a whole engine are found, causes being as likely as is usual."""
    for name, said in zip(("finals, firsts", "everything"), zip(*rows, strict=True), strict=True):
        found: dict[str, list[bool]] = defaultdict(list)
        scores = []
        for case, odds in zip(cases, said, strict=True):
            found[case.cause].append(case.cause in list(odds)[:2])
            scores.append(math.log(max(odds.get(case.cause, 0.0), LEAST)))
        yield Line(f"engine causes, {name}: true one among the first two", share(chain(*found.values())))
        for cause in ENGINE_WIDE:
            yield Line(f"    {cause}, of {len(found[cause])}", share(found[cause]))
        score, error = mean_and_error(scores)
        yield f"    mean log score {score:.3f}, standard error {error:.3f}"


def posterior_time(cases: Sequence[Case]) -> Told:
    """Tell how long an eight-cylinder engine with everything known takes, warm: the best of several."""
    case = max(cases, key=lambda each: (len(each.dry) == EIGHT, each.cause == "rings"))
    test, sheet = case.test(), case.build_sheet()
    explain(test, sheet)
    odds, whole = [], []

    def timed(problem: Problem) -> Solved:
        began = time.perf_counter()
        solved = solve(problem)
        odds.append(time.perf_counter() - began)
        return solved

    with patch("ringtrue.diagnosis.explaining.solve", timed):
        for _ in range(RUNS):
            began = time.perf_counter()
            explain(test, sheet)
            whole.append(time.perf_counter() - began)
    yield Line("posterior of eight cylinders, everything known, best of several [s]", min(odds), POSTERIOR)
    yield Line("    with what each reading did, and the next checks [s]", min(whole))


def report(cases: Sequence[Case]) -> Told:
    """Tell everything."""
    yield from posterior_time(cases)
    of = {group: [case for case in cases if case.group == group] for group in Group}
    with multiprocessing.Pool() as pool:
        for group, title in ((Group.NINE, "engines as their sheets say"), (Group.DIFFERS, "engines that differ")):
            yield f"--- {title}: {len(of[group])} cases, nine causes"
            yield from nine_causes(group, pool.map(all_sets, of[group], chunksize=8))
        both = of[Group.NINE] + of[Group.DIFFERS]
        named = [each > EVEN for each in pool.map(usual_path, both, chunksize=16)]
        yield "--- causes as likely as is usual"
        yield Line("finals only: rings or a valve named above 0.5", share(named), 0.0)
        yield from sound_engines(pool.map(alarms, of[Group.SOUND], chunksize=8))
        yield from whole_engines(of[Group.ENGINE], pool.map(wide, of[Group.ENGINE], chunksize=8))


def main() -> int:
    """Print every line; exit 1 when a bar is broken."""
    parser = argparse.ArgumentParser(description="How often a fault is named right.")
    parser.add_argument("--every", type=int, default=1, help="ask one case in so many")
    cases = read()[:: parser.parse_args().every]
    return 1 if told(report(cases)) else 0


if __name__ == "__main__":
    sys.exit(main())
