"""An engine over time: tests carried to one day, what changed between them, and where that leads."""

from ringtrue.history.carrying import Carried, CarriedCylinder, carry, is_same_gauge, not_said
from ringtrue.history.changing import SELDOM, Apart, Change, CylinderChange, Says, change, surely_for
from ringtrue.history.forecast import Forecast, Outlook, outlook
from ringtrue.history.forecast_budget import FAR, SHARED, meeting_budget
from ringtrue.history.seeing import FOUND, MOST_PULLS, Sight, pulls_to_see, sight, sight_of_one
from ringtrue.history.trend import Axis, Lines, Rate, Trend, trend

__all__ = [
    "FAR",
    "FOUND",
    "MOST_PULLS",
    "SELDOM",
    "SHARED",
    "Apart",
    "Axis",
    "Carried",
    "CarriedCylinder",
    "Change",
    "CylinderChange",
    "Forecast",
    "Lines",
    "Outlook",
    "Rate",
    "Says",
    "Sight",
    "Trend",
    "carry",
    "change",
    "is_same_gauge",
    "meeting_budget",
    "not_said",
    "outlook",
    "pulls_to_see",
    "sight",
    "sight_of_one",
    "surely_for",
    "trend",
]
