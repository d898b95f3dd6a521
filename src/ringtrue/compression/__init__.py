"""What was done at the engine and read, and what the engine was expected to do."""

from ringtrue.compression.expectation import (
    Band,
    ChangeEffect,
    CylinderExpectation,
    Expectation,
    InputEffect,
    Narrowing,
)
from ringtrue.compression.readings import (
    CheckValve,
    CompressionTest,
    Conditions,
    Gauge,
    Kind,
    LeakdownReading,
    Pull,
    Reading,
    Series,
    Taken,
)

__all__ = [
    "Band",
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
    "Taken",
]
