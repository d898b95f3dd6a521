"""Ways in: build sheets, test files, settings and readings files, read at the edge, once."""

from ringtrue.intake.build_sheet import parse_sheet, read_sheet
from ringtrue.intake.calibration_file import CalibrationFile, calibration_of, read_calibration
from ringtrue.intake.dates import parse_date
from ringtrue.intake.files import read_bytes
from ringtrue.intake.plausible import (
    BEYOND_BELIEF,
    LARGEST_FINAL,
    PLAUSIBLE_MEDIAN,
    believed_finals,
    beside_others,
    implausible,
)
from ringtrue.intake.practice import PRACTICE, practice_of, usual_practice
from ringtrue.intake.readings import HowWritten, Readings, read_readings
from ringtrue.intake.rows import (
    MISREAD_OR_SWAPPED,
    NEVER_BELOW_THE_FIRST,
    first_above_final,
    leakdown_faults,
    places_heard,
)
from ringtrue.intake.settings import FIELDS, Settings, parse_settings, read_settings, with_setting
from ringtrue.intake.small_table import Typed, table_of
from ringtrue.intake.test_file import Day, parse_conditions, parse_day, parse_gauge, parse_run, read_day

__all__ = [
    "BEYOND_BELIEF",
    "FIELDS",
    "LARGEST_FINAL",
    "MISREAD_OR_SWAPPED",
    "NEVER_BELOW_THE_FIRST",
    "PLAUSIBLE_MEDIAN",
    "PRACTICE",
    "CalibrationFile",
    "Day",
    "HowWritten",
    "Readings",
    "Settings",
    "Typed",
    "believed_finals",
    "beside_others",
    "calibration_of",
    "first_above_final",
    "implausible",
    "leakdown_faults",
    "parse_conditions",
    "parse_date",
    "parse_day",
    "parse_gauge",
    "parse_run",
    "parse_settings",
    "parse_sheet",
    "places_heard",
    "practice_of",
    "read_bytes",
    "read_calibration",
    "read_day",
    "read_readings",
    "read_settings",
    "read_sheet",
    "table_of",
    "usual_practice",
    "with_setting",
]
