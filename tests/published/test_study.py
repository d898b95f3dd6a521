"""
Analysis of variance and studies of gauges, against certified and printed figures.

NIST Statistical Reference Datasets (StRD), SiRstv: one-way analysis of variance; the file is copied whole into
tests/data/nist_strd (a work of the United States government), its certified values are read from it (read).
Measurement systems analysis manual of the automotive industry action group, 4th edition: 10 parts, 3 appraisers, 3
trials, by ANOVA (second-hand) and by averages and ranges (from memory).
Houf and Berman 1988, thermal resistance, 10 parts, 3 operators, 3 repeats, as printed in the sample program of a
statistics package (data read; authors and printed mean squares from memory).
statsmodels is a second reference.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pandas as pd
import pytest
import statsmodels.api as sm
from statsmodels.formula.api import ols

from ringtrue.measure.anova import one_way, two_way
from ringtrue.measure.study import by_ranges, study

SIRSTV = (Path(__file__).resolve().parents[1] / "data" / "nist_strd" / "SiRstv.dat").read_text("ascii")

# Rows are parts; three trials by each of three people.
MANUAL = """\
0.29 0.41 0.64 | 0.08 0.25 0.07 | 0.04 -0.11 -0.15
-0.56 -0.68 -0.58 | -0.47 -1.22 -0.68 | -1.38 -1.13 -0.96
1.34 1.17 1.27 | 1.19 0.94 1.34 | 0.88 1.09 0.67
0.47 0.50 0.64 | 0.01 1.03 0.20 | 0.14 0.20 0.11
-0.80 -0.92 -0.84 | -0.56 -1.20 -1.28 | -1.46 -1.07 -1.45
0.02 -0.11 -0.21 | -0.20 0.22 0.06 | -0.29 -0.67 -0.49
0.59 0.75 0.66 | 0.47 0.55 0.83 | 0.02 0.01 0.21
-0.31 -0.20 -0.17 | -0.63 0.08 -0.34 | -0.46 -0.56 -0.49
2.26 1.99 2.01 | 1.80 2.12 2.19 | 1.77 1.45 1.87
-1.36 -1.25 -1.31 | -1.68 -1.62 -1.50 | -1.49 -1.77 -2.16
"""
THERMAL = """\
37 38 37 | 41 41 40 | 41 42 41
42 41 43 | 42 42 42 | 43 42 43
30 31 31 | 31 31 31 | 29 30 28
42 43 42 | 43 43 43 | 42 42 42
28 30 29 | 29 30 29 | 31 29 29
42 42 43 | 45 45 45 | 44 46 45
25 26 27 | 28 28 30 | 29 27 27
40 40 40 | 43 42 42 | 43 43 41
25 25 25 | 27 29 28 | 26 26 26
35 34 34 | 35 35 34 | 35 34 35
"""


def table(text: str) -> list[list[list[float]]]:
    """Return parts, of people, of trials."""
    return [[[float(x) for x in cell.split()] for cell in row.split("|")] for row in text.splitlines()]


# If this failed, no component of any study could be trusted (ST-11).
def test_one_way() -> None:
    rows = [line.split() for line in SIRSTV.splitlines()[60:] if line.strip()]
    groups = [[float(x) for instrument, x in rows if instrument == name] for name in "12345"]
    between, within = one_way(groups)
    certified = {
        name: [float(each) for each in found.groups()]
        for name in ("Between", "Within")
        if (found := re.search(rf"{name} Instrument\s+(\d+)\s+([\d.E+-]+)\s+([\d.E+-]+)", SIRSTV))
    }
    for source, name in ((between, "Between"), (within, "Within")):
        assert [source.freedom, source.squares, source.mean_square] == pytest.approx(certified[name], rel=1e-9)
    assert between.over(within) == pytest.approx(1.18046237440255, rel=1e-9)
    assert math.sqrt(within.mean_square) == pytest.approx(0.104076068334656, rel=1e-9)


# If this failed, a study whose interaction is chance would not come out as its manual prints it (ST-12).
def test_the_manuals_example_pools_the_interaction() -> None:
    found = study(table(MANUAL))
    interaction = found.rows[2]
    assert interaction.ratio == pytest.approx(0.434, abs=5e-4)
    assert interaction.chance == pytest.approx(0.9741, abs=5e-5)
    assert found.pooled is True
    assert found.interaction is None
    assert found.between_people is not None
    assert found.repeatability.sd == pytest.approx(0.199933, abs=5e-7)
    assert found.between_people.sd == pytest.approx(0.226838, abs=1e-6)
    assert found.measurement.sd == pytest.approx(0.302373, abs=2e-6)
    assert found.between_cylinders.sd == pytest.approx(1.042327, abs=1e-6)
    whole = math.hypot(found.measurement.sd, found.between_cylinders.sd)
    assert 100 * found.measurement.sd / whole == pytest.approx(27.9, abs=0.05)
    assert 100 * found.share == pytest.approx(7.8, abs=0.05)


# If this failed, the check by pencil would not agree with the manual's (ST-13, from memory).
def test_averages_and_ranges() -> None:
    found = by_ranges(table(MANUAL))
    assert found is not None
    assert found.repeatability == pytest.approx(0.20186, abs=1e-4)
    assert found.between_people == pytest.approx(0.22967, abs=1e-4)
    assert found.between_cylinders == pytest.approx(1.1046, abs=1e-4)
    assert by_ranges([*table(MANUAL), *table(MANUAL)]) is None


# If this failed, a real interaction would be called scatter (ST-14).
def test_a_real_interaction_is_not_pooled() -> None:
    parts = two_way(table(THERMAL))
    squares = [each.mean_square for each in (parts.rows, parts.columns, parts.interaction, parts.within)]
    assert squares == pytest.approx([437.3284, 19.6333, 2.69506, 0.511111], abs=1e-4)
    found = study(table(THERMAL))
    assert found.pooled is False
    assert found.rows[2].ratio == pytest.approx(5.27, abs=0.005)
    assert found.between_people is not None
    assert found.interaction is not None
    sds = [found.repeatability.sd, found.between_people.sd, found.interaction.sd]
    assert sds == pytest.approx([0.71492, 0.751405, 0.85322], abs=1e-5)
    assert found.measurement.sd == pytest.approx(1.34302, abs=1e-5)
    assert found.between_cylinders.sd == pytest.approx(6.949287, abs=1e-5)
    assert found.one_pull == pytest.approx(math.hypot(0.71492, 0.85322), abs=1e-5)


# If this failed, our table of variance would be another than the one that a statistics library makes.
@pytest.mark.parametrize("text", [MANUAL, THERMAL])
def test_statsmodels_makes_the_same_table(text: str) -> None:
    rows = [(part, person, x) for part, row in enumerate(table(text)) for person, cell in enumerate(row) for x in cell]
    columns = dict(zip(("part", "person", "x"), zip(*rows, strict=True), strict=True))
    made = sm.stats.anova_lm(ols("x ~ C(part) * C(person)", data=pd.DataFrame(columns)).fit())
    found = two_way(table(text))
    ours = [found.rows, found.columns, found.interaction, found.within]
    assert [each.squares for each in ours] == pytest.approx(list(made["sum_sq"]), rel=1e-9)
    assert [each.freedom for each in ours] == pytest.approx(list(made["df"]))
    interaction = made["PR(>F)"]["C(part):C(person)"]
    assert found.interaction.chance(found.within) == pytest.approx(interaction, rel=1e-6)
