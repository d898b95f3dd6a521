"""The cautions that every plan, screen and report carries, the care each check needs, and who comes before us."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ringtrue.engine import BuildSheet, Ignition

DECOMPRESSOR = ("decompressor", "decompression device", "decompression")
DIRECT_INJECTION = ("direct injection",)
HYBRID = ("hybrid",)


@dataclass(frozen=True, slots=True)
class Caution:
    """
    One caution.

    Parameters
    ----------
    key : str
        A name that stays.
    short : str
        A few words, for a narrow screen.
    text : str
        The whole sentence.
    """

    key: str
    short: str
    text: str


class Care(StrEnum):
    """What a check does to the engine, and so what can hurt while doing it."""

    NOTHING = "nothing"
    LOOKING = "looking"
    CRANKING = "cranking"
    OIL = "oil"
    AIR = "air"
    TURNING = "turning by hand"
    RUNNING = "running"
    COOLANT = "coolant"


_HIGH_VOLTAGE = Caution(
    "high_voltage",
    "Hybrid: high voltage",
    "Hybrid: high voltage can kill, and the engine is not to be cranked by hand tools; have the system made safe as "
    "the service data say, by somebody licensed for it.",
)
_LIVE_INJECTORS = Caution(
    "live_injectors",
    "Direct injection: others stay live",
    "Direct injection: the injectors and coils of the other cylinders stay live when only one plug is pulled; unplug "
    "every one of them, and leave the high-pressure side of the fuel closed.",
)
_DECOMPRESSION = Caution(
    "decompression",
    "Decompressor: find out how it works",
    "Decompression device: find out whether it acts at cranking speed, and lock it out only as the service data say; "
    "it lowers every reading.",
)
_NO_OIL = Caution(
    "compression_ignition",
    "Compression ignition: never a wet test",
    "Compression ignition: shut off the fuel, and never put oil into a cylinder: the clearance is a few teaspoons, and "
    "oil can lock or bend the engine.",
)
_LIVE_IGNITION = Caution(
    "ignition",
    "Live ignition",
    "Disable the ignition: a live lead beside an open plug hole can light the mist that it blows, and shocks.",
)
_ALWAYS = (
    Caution(
        "rotating",
        "Rotating parts",
        "Keep hands, hair, sleeves and leads away from belts, fan, pulleys and propeller; whoever works the starter "
        "sees everybody else.",
    ),
    Caution("fuel", "Fuel vapour", "Disable the fuel: open plug holes blow fuel mist. No naked flame, no smoking."),
    _LIVE_IGNITION,
    Caution("hot", "Hot parts", "A warm engine burns: gloves, and no hand on exhaust or coolant cap."),
    Caution(
        "air",
        "Compressed air turns the crank",
        "Compressed air turns the crank unless the piston stands at top dead centre: hold it with a bar or flywheel "
        "lock, stay out of their way, and open the valve slowly (FAA AC 43.13-1B).",
    ),
    Caution("eyes", "Eye protection", "Wear eye protection: plug holes and fittings throw out what lies in them."),
    Caution("battery", "Battery gas", "A battery on charge gives off gas that explodes: air, and no sparks beside it."),
    Caution(
        "movement",
        "Vehicle movement",
        "Chock the vehicle, take it out of gear, set the brake: the starter can move it.",
    ),
    Caution(
        "hydraulic_lock",
        "Hydraulic lock",
        "Liquid above a piston cannot be compressed: with oil, fuel or coolant in a cylinder turn the crank slowly "
        "first, plugs out.",
    ),
)


def has_hazard(sheet: BuildSheet | None, names: tuple[str, ...]) -> bool:
    """
    Tell whether a build sheet names a hazard.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine; None where it is not known.
    names : tuple of str
        The hazard, in each of its spellings, in small letters.

    Returns
    -------
    bool
        Whether one of them stands on the sheet.
    """
    return sheet is not None and any(each.strip().casefold() in names for each in sheet.hazards)


def cautions(sheet: BuildSheet | None = None) -> tuple[Caution, ...]:
    """
    Return the cautions for one engine.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, whose hazards and ignition move cautions to the front; None where it is not known.

    Returns
    -------
    tuple of Caution
        What the build sheet names first, then what holds for every engine, then what an engine may have although its
        sheet does not say so. Nothing is left out but what cannot be: no live ignition on compression ignition, and
        no word of it on spark ignition.
    """
    ignition = sheet.ignition if sheet else None
    special = [
        (has_hazard(sheet, HYBRID), _HIGH_VOLTAGE),
        (has_hazard(sheet, DIRECT_INJECTION), _LIVE_INJECTORS),
        (has_hazard(sheet, DECOMPRESSOR), _DECOMPRESSION),
    ]
    if ignition is not Ignition.SPARK:
        special.append((ignition is Ignition.COMPRESSION, _NO_OIL))
    known = {*HYBRID, *DIRECT_INJECTION, *DECOMPRESSOR}
    others = [each.strip() for each in (sheet.hazards if sheet else ()) if each.strip().casefold() not in known]
    named = [each for holds, each in special if holds]
    own = [
        Caution(
            f"hazard: {each}", each, f"The build sheet names a hazard: {each}. Read the service data about it first."
        )
        for each in others
        if each
    ]
    always = [each for each in _ALWAYS if each is not _LIVE_IGNITION or ignition is not Ignition.COMPRESSION]
    return (*named, *own, *always, *(each for holds, each in special if not holds))


def care(check: Care, sheet: BuildSheet | None = None) -> str:
    """
    Say what can hurt while something is checked.

    Parameters
    ----------
    check : Care
        What the check does to the engine.
    sheet : BuildSheet or None
        The engine; None where it is not known.

    Returns
    -------
    str
        One or two sentences; empty where the check leaves the engine alone.
    """
    if check in {Care.AIR, Care.TURNING, Care.RUNNING, Care.COOLANT} and has_hazard(sheet, HYBRID):
        return f"{_CARE[check]} {_HIGH_VOLTAGE.text}".strip()
    return _CARE[check]


_CARE = {
    Care.NOTHING: "",
    Care.LOOKING: "Ignition and fuel stay disabled, and nobody works the starter: what is loose in there breaks more.",
    Care.CRANKING: "Ignition and fuel disabled, hands and sleeves off belts and fan, vehicle chocked and out of gear.",
    Care.OIL: (
        "No more oil than the checklist says: oil cannot be compressed. Turn the crank slowly first; never with "
        "compression ignition."
    ),
    Care.AIR: (
        "Air turns the crank: hold it with a bar or flywheel lock, stay out of their way, open the valve slowly, and "
        "let the air out before anything is let go."
    ),
    Care.TURNING: "Ignition and fuel disabled, battery off, and the crank turned by hand with all plugs out.",
    Care.RUNNING: (
        "The engine is hot afterwards, and exhaust gas kills: extraction or open air, gloves, hands off belts. Air "
        "turns the crank: hold it, and stay out of the way of bar or lock."
    ),
    Care.COOLANT: (
        "Open the coolant cap on a cold engine only, and open the air slowly: it blows coolant out. Air turns the "
        "crank: hold it, and stay out of the way of bar or lock."
    ),
}


def deferral() -> str:
    """
    Say who comes before this tool.

    Returns
    -------
    str
        Sentences that stand on every plan, screen and report.
    """
    return (
        "ringtrue advises; it does not certify. The engine's own service data, local codes and a licensed mechanic "
        "come first; for aircraft, the authority's rules and a licensed engineer."
    )
