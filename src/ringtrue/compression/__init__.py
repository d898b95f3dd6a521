"""What was done at the engine and read, and what the engine was expected to do."""

from ringtrue.compression.calibration import Approach, Calibration, CalibrationPoint, Study, StudyReading
from ringtrue.compression.expectation import (
    Band,
    ChangeEffect,
    CylinderExpectation,
    Expectation,
    InputEffect,
    Narrowing,
)
from ringtrue.compression.reading import Reading
from ringtrue.compression.readings import (
    CheckValve,
    CompressionTest,
    Conditions,
    Gauge,
    Kind,
    LeakdownReading,
    Pull,
    Series,
    Taken,
)

__all__ = [
    "Approach",
    "Band",
    "Calibration",
    "CalibrationPoint",
    "ChangeEffect",
    "CheckValve",
    "CompressionTest",
    "Conditions",
    "CylinderExpectation",
    "Expectation",
    "Gauge",
    "InputEffect",
    "Kind",
    "LeakdownReading",
    "Narrowing",
    "Pull",
    "Reading",
    "Series",
    "Study",
    "StudyReading",
    "Taken",
]
