"""
Sheets of paper: the hand-over sheet and the worksheet for pencil.

One content model, already worded, is made into a page of HTML or a PDF. Nothing here judges or computes a result.
"""

from ringtrue.report.facts import CorrectionShown, HandOver, WorkPlan
from ringtrue.report.model import Paper, SheetContent

__all__ = ["CorrectionShown", "HandOver", "Paper", "SheetContent", "WorkPlan"]
