"""
Ways in: build sheets, test files, settings and readings files, read at the edge, once.

Each half is loaded when something out of it is first asked for: settings are read without the formats of readings.
"""

from typing import TYPE_CHECKING

from ringtrue.lazily import halves

if TYPE_CHECKING:
    from ringtrue.intake.build_sheet import parse_sheet as parse_sheet
    from ringtrue.intake.build_sheet import read_sheet as read_sheet
    from ringtrue.intake.calibration_file import CalibrationFile as CalibrationFile
    from ringtrue.intake.calibration_file import calibration_of as calibration_of
    from ringtrue.intake.calibration_file import read_calibration as read_calibration
    from ringtrue.intake.dates import parse_date as parse_date
    from ringtrue.intake.files import read_bytes as read_bytes
    from ringtrue.intake.plausible import BEYOND_BELIEF as BEYOND_BELIEF
    from ringtrue.intake.plausible import LARGEST_FINAL as LARGEST_FINAL
    from ringtrue.intake.plausible import PLAUSIBLE_MEDIAN as PLAUSIBLE_MEDIAN
    from ringtrue.intake.plausible import believed_finals as believed_finals
    from ringtrue.intake.plausible import beside_others as beside_others
    from ringtrue.intake.plausible import implausible as implausible
    from ringtrue.intake.practice import PRACTICE as PRACTICE
    from ringtrue.intake.practice import practice_of as practice_of
    from ringtrue.intake.practice import usual_practice as usual_practice
    from ringtrue.intake.readings import HowWritten as HowWritten
    from ringtrue.intake.readings import Readings as Readings
    from ringtrue.intake.readings import read_readings as read_readings
    from ringtrue.intake.rows import MISREAD_OR_SWAPPED as MISREAD_OR_SWAPPED
    from ringtrue.intake.rows import NEVER_BELOW_THE_FIRST as NEVER_BELOW_THE_FIRST
    from ringtrue.intake.rows import first_above_final as first_above_final
    from ringtrue.intake.rows import leakdown_faults as leakdown_faults
    from ringtrue.intake.rows import places_heard as places_heard
    from ringtrue.intake.settings import FIELDS as FIELDS
    from ringtrue.intake.settings import Settings as Settings
    from ringtrue.intake.settings import parse_settings as parse_settings
    from ringtrue.intake.settings import read_settings as read_settings
    from ringtrue.intake.settings import with_setting as with_setting
    from ringtrue.intake.small_table import Typed as Typed
    from ringtrue.intake.small_table import table_of as table_of
    from ringtrue.intake.test_file import Day as Day
    from ringtrue.intake.test_file import parse_conditions as parse_conditions
    from ringtrue.intake.test_file import parse_day as parse_day
    from ringtrue.intake.test_file import parse_gauge as parse_gauge
    from ringtrue.intake.test_file import parse_run as parse_run
    from ringtrue.intake.test_file import read_day as read_day

HALVES = {
    "build_sheet": ("parse_sheet", "read_sheet"),
    "calibration_file": ("CalibrationFile", "calibration_of", "read_calibration"),
    "dates": ("parse_date",),
    "files": ("read_bytes",),
    "plausible": (
        "BEYOND_BELIEF",
        "LARGEST_FINAL",
        "PLAUSIBLE_MEDIAN",
        "believed_finals",
        "beside_others",
        "implausible",
    ),
    "practice": ("PRACTICE", "practice_of", "usual_practice"),
    "readings": ("HowWritten", "Readings", "read_readings"),
    "rows": ("MISREAD_OR_SWAPPED", "NEVER_BELOW_THE_FIRST", "first_above_final", "leakdown_faults", "places_heard"),
    "settings": ("FIELDS", "Settings", "parse_settings", "read_settings", "with_setting"),
    "small_table": ("Typed", "table_of"),
    "test_file": ("Day", "parse_conditions", "parse_day", "parse_gauge", "parse_run", "read_day"),
}
"""What can be asked for, by the half that has it."""
__getattr__ = halves(__name__, HALVES)
