"""The fields of a day's conditions, and of a gauge, each explained once for every form that asks for them."""

from __future__ import annotations

from types import MappingProxyType

STATED = MappingProxyType({"cranking_speed": "rpm", "battery": "V"})
"""Fields whose label states the one unit that they are read in: a bare number there is in it."""

DAY = (
    (
        "altitude",
        "Altitude",
        "Of the shop, in m or ft; the air thins with it, and every reading with the air.",
        "120 m",
    ),
    (
        "barometer",
        "Barometer",
        "On the spot, not reduced to sea level; it tells more than the altitude. One of the two is enough.",
        "1003 hPa",
    ),
    ("inlet_air", "Air at the inlet", "In the shade, at the inlet, in C or F.", "18 C"),
    ("oil", "Oil", "In the sump, in C or F; it says how warm the engine is.", "80 C"),
    ("cranking_speed", "Cranking speed [rpm]", "On the starter; slow cranking loses more by every leak.", "190"),
    (
        "battery",
        "Battery [V]",
        "At rest, before the engine is cranked; it stands in for a speed that was not read.",
        "12.4",
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


def with_unit(name: str, text: str) -> str:
    """
    Put the unit that a field states behind a bare number.

    Parameters
    ----------
    name : str
        The field.
    text : str
        As typed.

    Returns
    -------
    str
        As typed, where the field states no unit or the text has one of its own.
    """
    unit = STATED.get(name)
    return f"{text} {unit}" if unit and text and not any(each.isalpha() for each in text) else text
