"""The fields of a day's conditions, and of a gauge, each explained once for every form that asks for them."""

from __future__ import annotations

DAY = (
    ("altitude", "Altitude", "Of the shop; the air thins with it, and every reading with the air.", "120 m"),
    (
        "barometer",
        "Barometer",
        "On the spot, not reduced to sea level; it tells more than the altitude. One of the two is enough.",
        "1003 hPa",
    ),
    ("inlet_air", "Air at the inlet", "In the shade, at the inlet.", "18 C"),
    ("oil", "Oil", "In the sump; it says how warm the engine is.", "80 C"),
    ("cranking_speed", "Cranking speed", "On the starter; slow cranking loses more by every leak.", "190 rpm"),
    (
        "battery",
        "Battery",
        "At rest, before the engine is cranked; it stands in for a speed that was not read.",
        "12.4 V",
    ),
)
"""Name, label, what it is and why it matters, and an example."""

GAUGE = (
    ("name", "Name", "What the shop calls it.", "shop gauge"),
    ("range", "Range", "The last figure on its dial.", "300 psi"),
    ("resolution", "Smallest step", "The smallest step you can read off.", "2 psi"),
    ("grade", "Grade or class", "As printed on the dial: a grade of ASME B40.100 or a class of EN 837-1.", "B"),
    (
        "adapter_volume",
        "Volume of the adapter",
        "Filled from a syringe; up to the check valve it joins the chamber.",
        "2 cc",
    ),
    ("hose_volume", "Volume of the hose", "A long hose lowers the first stroke.", "20 cc"),
    ("repeatability", "Repeatability", "Of one reading, from a study; 0.6 % is assumed without one.", "0.6 %"),
)
"""Name, label, what it is, and an example."""

CHECK_VALVE = (("", "not known"), ("plug end", "at the plug end"), ("gauge end", "at the gauge end"))
"""Where the check valve of a gauge sits."""
