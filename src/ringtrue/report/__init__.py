"""
Sheets of paper: the hand-over sheet and the worksheet for pencil.

One content model, already worded, is made into a page of HTML or a PDF. Nothing here judges or computes a result.
"""

from ringtrue.report.facts import CorrectionShown, HandOver, OverTime, PhotographShown, WorkPlan
from ringtrue.report.handover import content
from ringtrue.report.html import as_html, policy, sections_of
from ringtrue.report.model import Paper, SheetContent
from ringtrue.report.pdf import as_pdf
from ringtrue.report.worksheet import worksheet

__all__ = [
    "CorrectionShown",
    "HandOver",
    "OverTime",
    "Paper",
    "PhotographShown",
    "SheetContent",
    "WorkPlan",
    "as_html",
    "as_pdf",
    "content",
    "policy",
    "sections_of",
    "worksheet",
]
