"""Facts to sentences with units, written once for terminal, page and sheet."""

from ringtrue.wording.bands import BandWords, ratio_words
from ringtrue.wording.beside_sheet import beside_sheet
from ringtrue.wording.cautions import Care, Caution, care, cautions, deferral
from ringtrue.wording.checklists import (
    Item,
    dose_line,
    leakdown,
    oil_text,
    preparation,
    pulling,
    putting_back,
    safety,
    wet_test,
)
from ringtrue.wording.expectation import (
    Expected,
    InputRow,
    change_amount,
    change_title,
    explained_percent,
    gauge_sentence,
)
from ringtrue.wording.inputs import how_to_measure, input_ends, input_title, input_units
from ringtrue.wording.leak import (
    again_sentence,
    area_sentence,
    area_text,
    cost_sentence,
    elsewhere_sentence,
    leakdown_cautions,
    path_sentence,
    turning_cautions,
)
from ringtrue.wording.leakdown_and_oil import heard_text, leakdown_sentence, loss_text, oil_sentence
from ringtrue.wording.names import capital, cylinders, listed, short_head
from ringtrue.wording.numbers import figure, figure_and_limit, interval, nearest, percent, pressure, ratio
from ringtrue.wording.patterns import PatternWords, pattern_words
from ringtrue.wording.rules import asked_text, asks, limit_text, rule_sentence, source_text, title, value_text
from ringtrue.wording.shown import Shown
from ringtrue.wording.turning import TURNING_HEAD, no_order, turn_text, turning_line, turning_rows, turning_sentences
from ringtrue.wording.verdict import figures_sentence, how_sure, place_sentence, running_sentence, summary

__all__ = [
    "TURNING_HEAD",
    "BandWords",
    "Care",
    "Caution",
    "Expected",
    "InputRow",
    "Item",
    "PatternWords",
    "Shown",
    "again_sentence",
    "area_sentence",
    "area_text",
    "asked_text",
    "asks",
    "beside_sheet",
    "capital",
    "care",
    "cautions",
    "change_amount",
    "change_title",
    "cost_sentence",
    "cylinders",
    "deferral",
    "dose_line",
    "elsewhere_sentence",
    "explained_percent",
    "figure",
    "figure_and_limit",
    "figures_sentence",
    "gauge_sentence",
    "heard_text",
    "how_sure",
    "how_to_measure",
    "input_ends",
    "input_title",
    "input_units",
    "interval",
    "leakdown",
    "leakdown_cautions",
    "leakdown_sentence",
    "limit_text",
    "listed",
    "loss_text",
    "nearest",
    "no_order",
    "oil_sentence",
    "oil_text",
    "path_sentence",
    "pattern_words",
    "percent",
    "place_sentence",
    "preparation",
    "pressure",
    "pulling",
    "putting_back",
    "ratio",
    "ratio_words",
    "rule_sentence",
    "running_sentence",
    "safety",
    "short_head",
    "source_text",
    "summary",
    "title",
    "turn_text",
    "turning_cautions",
    "turning_line",
    "turning_rows",
    "turning_sentences",
    "value_text",
    "wet_test",
]
