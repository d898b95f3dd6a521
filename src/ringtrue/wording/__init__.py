"""Facts to sentences with units, written once for terminal, page and sheet."""

from ringtrue.wording.cautions import Caution, cautions, deferral
from ringtrue.wording.checklists import (
    Item,
    Part,
    checklist,
    leakdown,
    preparation,
    pulling,
    putting_back,
    safety,
    wet_test,
)
from ringtrue.wording.numbers import figure, figure_and_limit, interval, percent, pressure, ratio
from ringtrue.wording.patterns import PatternWords, pattern_words
from ringtrue.wording.rules import asks, limit_text, rule_sentence, source_text, title, value_text
from ringtrue.wording.verdict import place_sentence, summary

__all__ = [
    "Caution",
    "Item",
    "Part",
    "PatternWords",
    "asks",
    "cautions",
    "checklist",
    "deferral",
    "figure",
    "figure_and_limit",
    "interval",
    "leakdown",
    "limit_text",
    "pattern_words",
    "percent",
    "place_sentence",
    "preparation",
    "pressure",
    "pulling",
    "putting_back",
    "ratio",
    "rule_sentence",
    "safety",
    "source_text",
    "summary",
    "title",
    "value_text",
    "wet_test",
]
