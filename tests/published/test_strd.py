"""
Mean and standard deviation against certified values.

NIST Statistical Reference Datasets (StRD), univariate summary statistics; the data files are copied whole, headers
included, into tests/data/nist_strd (works of the United States government). The certified values are read from the
files themselves. Their lag-1 autocorrelation is not computed by this project.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ringtrue.measure.statistics import mean, sample_sd

FOLDER = Path(__file__).resolve().parents[1] / "data" / "nist_strd"

# Relative, by the digits of the certificate. NumAcc3 and NumAcc4 lose theirs when 1000000.1 becomes a binary number.
TOLERANCES = {
    "NumAcc1": 0.0,
    "NumAcc2": 1e-14,
    "NumAcc3": 4e-10,
    "NumAcc4": 6e-9,
    "Lottery": 1e-14,
    "Lew": 1e-14,
    "Mavro": 2e-13,
    "Michelso": 2e-14,
}


def certified(name: str) -> tuple[list[float], float, float]:
    """Return data, certified mean and certified standard deviation of one set."""
    text = (FOLDER / f"{name}.dat").read_text(encoding="ascii")
    head, data = re.split(r"Data: Y\s*\n-+\n?", text)
    centre = re.search(r"Sample Mean[^\n]*?:\s+(-?[\d.]+)", head)
    scale = re.search(r"Sample Standard Deviation[^\n]*?:\s+([\d.]+)", head)
    assert centre is not None
    assert scale is not None
    return [float(each) for each in data.split()], float(centre.group(1)), float(scale.group(1))


# If this failed, readings that differ in their last digits would lose what they differ by (ST-07 to ST-09, printed).
@pytest.mark.parametrize("name", TOLERANCES)
def test_certified_mean_and_standard_deviation(name: str) -> None:
    values, centre, scale = certified(name)
    assert mean(values) == pytest.approx(centre, rel=1e-15, abs=0)
    assert sample_sd(values) == pytest.approx(scale, rel=TOLERANCES[name], abs=0)


# If this failed, the files would be read short, and the certificates kept by what was left out.
@pytest.mark.parametrize(
    ("name", "count"),
    {
        "NumAcc1": 3,
        "NumAcc2": 1001,
        "NumAcc3": 1001,
        "NumAcc4": 1001,
        "Lottery": 218,
        "Lew": 200,
        "Mavro": 50,
        "Michelso": 100,
    }.items(),
)
def test_all_of_the_data_is_read(name: str, count: int) -> None:
    assert len(certified(name)[0]) == count
