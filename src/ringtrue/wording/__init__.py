"""
Facts to sentences with units, written once for terminal, page and sheet.

Each half is loaded when something out of it is first asked for: a list of gauges needs no words about causes. The names
stand twice, once for whoever reads or checks the types and once for Python, and a test holds the two together.
"""

from typing import TYPE_CHECKING

from ringtrue.lazily import halves

if TYPE_CHECKING:
    from ringtrue.wording.bands import BandWords as BandWords
    from ringtrue.wording.bands import ratio_words as ratio_words
    from ringtrue.wording.beside import beside_sheet as beside_sheet
    from ringtrue.wording.calibrating import as_read as as_read
    from ringtrue.wording.calibrating import budget_rows as budget_rows
    from ringtrue.wording.calibrating import calibrated_notes as calibrated_notes
    from ringtrue.wording.calibrating import calibration_sentences as calibration_sentences
    from ringtrue.wording.calibrating import corrected_by as corrected_by
    from ringtrue.wording.calibrating import correction_sentences as correction_sentences
    from ringtrue.wording.calibrating import grade_sentences as grade_sentences
    from ringtrue.wording.calibrating import point_rows as point_rows
    from ringtrue.wording.causes import answer_name as answer_name
    from ringtrue.wording.causes import bank_cause_name as bank_cause_name
    from ringtrue.wording.causes import cause_label as cause_label
    from ringtrue.wording.causes import cause_name as cause_name
    from ringtrue.wording.causes import engine_cause_name as engine_cause_name
    from ringtrue.wording.chances import odds as odds
    from ringtrue.wording.checklists import Item as Item
    from ringtrue.wording.checklists import dose_line as dose_line
    from ringtrue.wording.checklists import leakdown as leakdown
    from ringtrue.wording.checklists import oil_text as oil_text
    from ringtrue.wording.checklists import preparation as preparation
    from ringtrue.wording.checklists import pulling as pulling
    from ringtrue.wording.checklists import putting_back as putting_back
    from ringtrue.wording.checklists import safety as safety
    from ringtrue.wording.checklists import wet_test as wet_test
    from ringtrue.wording.dangers import Care as Care
    from ringtrue.wording.dangers import Caution as Caution
    from ringtrue.wording.dangers import care as care
    from ringtrue.wording.dangers import cautions as cautions
    from ringtrue.wording.dangers import deferral as deferral
    from ringtrue.wording.evidence_weighed import because_sentence as because_sentence
    from ringtrue.wording.evidence_weighed import contradiction_sentences as contradiction_sentences
    from ringtrue.wording.evidence_weighed import item_name as item_name
    from ringtrue.wording.evidence_weighed import read_text as read_text
    from ringtrue.wording.expectation import Expected as Expected
    from ringtrue.wording.expectation import InputRow as InputRow
    from ringtrue.wording.expectation import change_amount as change_amount
    from ringtrue.wording.expectation import change_title as change_title
    from ringtrue.wording.expectation import explained_percent as explained_percent
    from ringtrue.wording.expectation import gauge_sentence as gauge_sentence
    from ringtrue.wording.explaining import CylinderWords as CylinderWords
    from ringtrue.wording.explaining import Explained as Explained
    from ringtrue.wording.explaining import leak_area_sentence as leak_area_sentence
    from ringtrue.wording.explaining import short_answer as short_answer
    from ringtrue.wording.explaining import without_sheet as without_sheet
    from ringtrue.wording.forecast_why import forecast_budget as forecast_budget
    from ringtrue.wording.inputs import how_to_measure as how_to_measure
    from ringtrue.wording.inputs import input_ends as input_ends
    from ringtrue.wording.inputs import input_title as input_title
    from ringtrue.wording.inputs import input_units as input_units
    from ringtrue.wording.leak import again_sentence as again_sentence
    from ringtrue.wording.leak import area_sentence as area_sentence
    from ringtrue.wording.leak import area_text as area_text
    from ringtrue.wording.leak import cost_sentence as cost_sentence
    from ringtrue.wording.leak import elsewhere_sentence as elsewhere_sentence
    from ringtrue.wording.leak import leakdown_cautions as leakdown_cautions
    from ringtrue.wording.leak import path_sentence as path_sentence
    from ringtrue.wording.leak import turning_cautions as turning_cautions
    from ringtrue.wording.leakdown_and_oil import heard_text as heard_text
    from ringtrue.wording.leakdown_and_oil import leakdown_sentence as leakdown_sentence
    from ringtrue.wording.leakdown_and_oil import loss_text as loss_text
    from ringtrue.wording.leakdown_and_oil import oil_sentence as oil_sentence
    from ringtrue.wording.moments import to_the_minute as to_the_minute
    from ringtrue.wording.names import capital as capital
    from ringtrue.wording.names import cylinders as cylinders
    from ringtrue.wording.names import listed as listed
    from ringtrue.wording.names import short_head as short_head
    from ringtrue.wording.next_checks import CheckWords as CheckWords
    from ringtrue.wording.next_checks import ResultWords as ResultWords
    from ringtrue.wording.next_checks import check_cautions as check_cautions
    from ringtrue.wording.next_checks import check_name as check_name
    from ringtrue.wording.next_checks import check_words as check_words
    from ringtrue.wording.next_checks import minutes_text as minutes_text
    from ringtrue.wording.next_checks import practice_title as practice_title
    from ringtrue.wording.next_checks import result_text as result_text
    from ringtrue.wording.next_checks import why_sentence as why_sentence
    from ringtrue.wording.normalising import CHANGE_HEAD as CHANGE_HEAD
    from ringtrue.wording.normalising import beside_text as beside_text
    from ringtrue.wording.normalising import carried_text as carried_text
    from ringtrue.wording.normalising import carried_to as carried_to
    from ringtrue.wording.normalising import change_sentences as change_sentences
    from ringtrue.wording.normalising import factor_sentences as factor_sentences
    from ringtrue.wording.normalising import trust_sentences as trust_sentences
    from ringtrue.wording.numbers import figure as figure
    from ringtrue.wording.numbers import figure_and_limit as figure_and_limit
    from ringtrue.wording.numbers import interval as interval
    from ringtrue.wording.numbers import nearest as nearest
    from ringtrue.wording.numbers import percent as percent
    from ringtrue.wording.numbers import pressure as pressure
    from ringtrue.wording.numbers import ratio as ratio
    from ringtrue.wording.patterns import PatternWords as PatternWords
    from ringtrue.wording.patterns import pattern_words as pattern_words
    from ringtrue.wording.rules import asked_text as asked_text
    from ringtrue.wording.rules import asks as asks
    from ringtrue.wording.rules import limit_text as limit_text
    from ringtrue.wording.rules import rule_sentence as rule_sentence
    from ringtrue.wording.rules import source_text as source_text
    from ringtrue.wording.rules import title as title
    from ringtrue.wording.rules import value_text as value_text
    from ringtrue.wording.seeing import ALONE_TO_SEE as ALONE_TO_SEE
    from ringtrue.wording.seeing import NO_GAUGE_TO_SEE as NO_GAUGE_TO_SEE
    from ringtrue.wording.seeing import SEE_HEAD as SEE_HEAD
    from ringtrue.wording.seeing import Foreseen as Foreseen
    from ringtrue.wording.seeing import foreseen_sentences as foreseen_sentences
    from ringtrue.wording.seeing import gauge_not_known_to_see as gauge_not_known_to_see
    from ringtrue.wording.shown import Shown as Shown
    from ringtrue.wording.studying import component_rows as component_rows
    from ringtrue.wording.studying import share_text as share_text
    from ringtrue.wording.studying import study_sentences as study_sentences
    from ringtrue.wording.studying import variance_rows as variance_rows
    from ringtrue.wording.trend import change_in_short as change_in_short
    from ringtrue.wording.trend import change_percent as change_percent
    from ringtrue.wording.trend import event_text as event_text
    from ringtrue.wording.trend import outlook_sentences as outlook_sentences
    from ringtrue.wording.trend import per_text as per_text
    from ringtrue.wording.trend import place_text as place_text
    from ringtrue.wording.trend import rate_sentences as rate_sentences
    from ringtrue.wording.trend import rate_words as rate_words
    from ringtrue.wording.trend import rule_asked as rule_asked
    from ringtrue.wording.trend import sight_sentences as sight_sentences
    from ringtrue.wording.trend import trend_headline as trend_headline
    from ringtrue.wording.turning import TURNING_HEAD as TURNING_HEAD
    from ringtrue.wording.turning import no_order as no_order
    from ringtrue.wording.turning import turn_text as turn_text
    from ringtrue.wording.turning import turning_line as turning_line
    from ringtrue.wording.turning import turning_rows as turning_rows
    from ringtrue.wording.turning import turning_sentences as turning_sentences
    from ringtrue.wording.verdict import drift_asked as drift_asked
    from ringtrue.wording.verdict import drift_sentence as drift_sentence
    from ringtrue.wording.verdict import figures_sentence as figures_sentence
    from ringtrue.wording.verdict import how_sure as how_sure
    from ringtrue.wording.verdict import place_sentence as place_sentence
    from ringtrue.wording.verdict import running_sentence as running_sentence
    from ringtrue.wording.verdict import summary as summary
    from ringtrue.wording.why import WHY_HEAD as WHY_HEAD
    from ringtrue.wording.why import why_anchor as why_anchor
    from ringtrue.wording.why import why_budget as why_budget
    from ringtrue.wording.why import why_title as why_title

HALVES = {
    "bands": ("BandWords", "ratio_words"),
    "beside": ("beside_sheet",),
    "calibrating": (
        "as_read",
        "budget_rows",
        "calibrated_notes",
        "calibration_sentences",
        "corrected_by",
        "correction_sentences",
        "grade_sentences",
        "point_rows",
    ),
    "causes": ("answer_name", "bank_cause_name", "cause_label", "cause_name", "engine_cause_name"),
    "chances": ("odds",),
    "checklists": (
        "Item",
        "dose_line",
        "leakdown",
        "oil_text",
        "preparation",
        "pulling",
        "putting_back",
        "safety",
        "wet_test",
    ),
    "dangers": ("Care", "Caution", "care", "cautions", "deferral"),
    "evidence_weighed": ("because_sentence", "contradiction_sentences", "item_name", "read_text"),
    "expectation": ("Expected", "InputRow", "change_amount", "change_title", "explained_percent", "gauge_sentence"),
    "explaining": ("CylinderWords", "Explained", "leak_area_sentence", "short_answer", "without_sheet"),
    "forecast_why": ("forecast_budget",),
    "inputs": ("how_to_measure", "input_ends", "input_title", "input_units"),
    "leak": (
        "again_sentence",
        "area_sentence",
        "area_text",
        "cost_sentence",
        "elsewhere_sentence",
        "leakdown_cautions",
        "path_sentence",
        "turning_cautions",
    ),
    "leakdown_and_oil": ("heard_text", "leakdown_sentence", "loss_text", "oil_sentence"),
    "moments": ("to_the_minute",),
    "names": ("capital", "cylinders", "listed", "short_head"),
    "next_checks": (
        "CheckWords",
        "ResultWords",
        "check_cautions",
        "check_name",
        "check_words",
        "minutes_text",
        "practice_title",
        "result_text",
        "why_sentence",
    ),
    "normalising": (
        "CHANGE_HEAD",
        "beside_text",
        "carried_text",
        "carried_to",
        "change_sentences",
        "factor_sentences",
        "trust_sentences",
    ),
    "numbers": ("figure", "figure_and_limit", "interval", "nearest", "percent", "pressure", "ratio"),
    "patterns": ("PatternWords", "pattern_words"),
    "rules": ("asked_text", "asks", "limit_text", "rule_sentence", "source_text", "title", "value_text"),
    "seeing": (
        "ALONE_TO_SEE",
        "NO_GAUGE_TO_SEE",
        "SEE_HEAD",
        "Foreseen",
        "foreseen_sentences",
        "gauge_not_known_to_see",
    ),
    "shown": ("Shown",),
    "studying": ("component_rows", "share_text", "study_sentences", "variance_rows"),
    "trend": (
        "change_in_short",
        "change_percent",
        "event_text",
        "outlook_sentences",
        "per_text",
        "place_text",
        "rate_sentences",
        "rate_words",
        "rule_asked",
        "sight_sentences",
        "trend_headline",
    ),
    "turning": ("TURNING_HEAD", "no_order", "turn_text", "turning_line", "turning_rows", "turning_sentences"),
    "verdict": (
        "drift_asked",
        "drift_sentence",
        "figures_sentence",
        "how_sure",
        "place_sentence",
        "running_sentence",
        "summary",
    ),
    "why": ("WHY_HEAD", "why_anchor", "why_budget", "why_title"),
}
"""What can be asked for, by the half that has it."""
__getattr__ = halves(__name__, HALVES)
