"""
A straight line by least squares, against certified and printed figures.

NIST Statistical Reference Datasets (StRD), Norris: calibration of ozone monitors; the file is copied whole into
tests/data/nist_strd (a work of the United States government) and its certified values are read from it (read).
JCGM 100:2008, H.3: calibration of a thermometer (figures from memory, to the digits printed).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ringtrue.measure.line import fit_line

NORRIS = (Path(__file__).resolve().parents[1] / "data" / "nist_strd" / "Norris.dat").read_text("ascii")

READ = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTIONS = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def certified(name: str) -> list[float]:
    """Return the figures of a line of the certificate."""
    found = re.search(rf"^\s*{name}\s+(-?[\d.]+)\s+([\d.E+-]+)?", NORRIS, re.MULTILINE)
    assert found is not None, name
    return [float(each) for each in found.groups() if each is not None]


# If this failed, the correction of every gauge that a line describes would be wrong (ST-10).
def test_norris() -> None:
    rows = [line.split() for line in NORRIS.splitlines()[60:] if line.strip()]
    line = fit_line([float(x) for _, x in rows], [float(y) for y, _ in rows])
    assert line.count == 36
    assert [line.intercept, line.u_intercept] == pytest.approx(certified("B0"), rel=1e-10)
    assert [line.slope, line.u_slope] == pytest.approx(certified("B1"), rel=1e-10)
    scatter = re.search(r"Standard Deviation\s+([\d.]+)", NORRIS)
    assert scatter is not None
    assert line.scatter == pytest.approx(float(scatter[1]), rel=1e-10)


# If this failed, a correction between or beyond the points would be given for surer than it is (ST-17, from memory).
def test_gum_h3() -> None:
    line = fit_line(READ, CORRECTIONS, at=20.0)
    assert line.intercept == pytest.approx(-0.1712, abs=5e-5)
    assert line.u_intercept == pytest.approx(0.0029, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.u_slope == pytest.approx(0.00067, abs=5e-6)
    assert line.correlation == pytest.approx(-0.930, abs=5e-4)
    assert line.scatter == pytest.approx(0.0035, abs=5e-5)
    assert line.height(30.0) == pytest.approx(-0.1494, abs=5e-5)
    assert line.uncertainty(30.0) == pytest.approx(0.0041, abs=5e-5)
    assert line.uncertainty(30.0, 2 * line.scatter) == pytest.approx(2 * line.uncertainty(30.0), rel=1e-12)
